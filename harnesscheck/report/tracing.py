"""Gathers what is told of a trace: loose ends where its chain is not whole, and whether they are live."""

from __future__ import annotations

from collections.abc import Mapping

from harnesscheck.bench.orphans import functions, liveness, loose_ends, once_fed
from harnesscheck.bench.trace import Trace, net_spots, nets_of
from harnesscheck.network.index import EMPTY
from harnesscheck.network.sides import Study
from harnesscheck.report.traced import Traced


def told(
    found: Trace,
    word: str,
    *,
    asked: bool = False,
    other: Study | None = None,
    circuits: Mapping[str, str] | None = None,
) -> Traced:
    """The report of a trace on one car. ``other`` is the car to ask what a loose wire once fed."""
    name = found.study.vehicle.name
    path = found.study.vehicle.netlist.header.file.path
    said = f"{name} ({path})" if path and path != name else name
    if found.stop or found.complete:
        return Traced(found, word, said, asked)
    if not found.steps:
        return Traced(found, word, said, asked, notes=(_nothing_there(found),))
    index = found.study.index
    nets = nets_of(found)
    ends = loose_ends(found.study, nets)
    nodes = [node for net in nets for piece in index.pieces_of[net] for node in index.nodes_of[piece]]
    return Traced(
        trace=found,
        word=word,
        car_name=said,
        asked=asked,
        net=tuple(dict.fromkeys(net_spots(found, nets))),
        ends=ends,
        live=liveness(found.behaviour, nodes) if ends else None,
        functions=functions(found.study, nets),
        once_fed=once_fed(found.study, nets, other, circuits or {}),
        other_study=other,
    )


def _nothing_there(found: Trace) -> str:
    """A cavity that no wire is in, and what faces it."""
    place = found.target.ends[0] if found.target.ends else found.target.name
    connector, _, cavity = place.partition(":")
    study = found.study
    state = "is empty" if study.index.state(connector, cavity) == EMPTY else "is not documented"
    mate = study.vehicle.mate_of.get(connector)
    if mate is not None and (mate, cavity) in study.index.cavity:
        return f"By the file {place} {state}; what ends there is in the other half: trace {mate}:{cavity}."
    return f"By the file {place} {state}, and nothing faces it."
