"""Gathers what is told of a trace: loose ends where its chain is not whole, and whether they are live."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from harnesscheck.bench.trace.orphans import functions, liveness, once_fed
from harnesscheck.bench.trace.safety import cautions_of
from harnesscheck.bench.trace.trace import Trace, net_spots, net_wires, nets_of
from harnesscheck.lists.looseends import loose_ends
from harnesscheck.lists.wiresearch import alike
from harnesscheck.network.graph.index import EMPTY
from harnesscheck.network.graph.sides import Label, Study
from harnesscheck.network.graph.wiring import end_of, node_of, wiring_of
from harnesscheck.report.traced import Traced

SHORT_A = 100.0  # far more than all loads of a car but its starter; common practice, no source


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
    if found.stop:
        return Traced(found, word, said, asked)
    alarms, notes = tuple(_alarms(found)), cautions_of(found.study, found.hops, found.target.ends)
    if found.complete:
        return Traced(found, word, said, asked, alarms=alarms, notes=notes)
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
        alarms=alarms,
        notes=(*notes, *_signal_notes(found.study, nets)),
        net=tuple(dict.fromkeys(net_spots(found, nets))),
        net_wires=tuple(net_wires(found, nets)),
        ends=ends,
        live=liveness(found.behaviour, nodes) if ends else None,
        functions=functions(found.study, nets),
        once_fed=once_fed(found.study, nets, other, circuits or {}),
        alike=tuple(_alike(found.study, [end.place for end in ends], nets, other)),
        other_study=other,
    )


def _alike(study: Study, places: Sequence[str], nets: Iterable[int], other: Study | None) -> Iterator[str]:
    """Wires of both cars that are called or coloured as those that end loose, and are not joined to them."""
    cars = [study, *([other] if other is not None else [])]
    index, pieces = study.index, set(nets)
    own = {
        wire
        for wire in wiring_of(study).conductors
        for node in (node_of(index, end) for end in (wire.a, wire.b))
        if node is not None and index.net_of[index.piece_of[node]] in pieces
    }
    loose = dict.fromkeys(wire for place in places for wire in wiring_of(study).at.get(end_of(place), ()))
    for wire in loose:
        for found in alike(cars, wire, own):
            where = "" if found.car == 0 else "the other car: "
            circuit = f", circuit {found.wire.circuit}" if found.wire.circuit else ""
            yield f"{where}{found.wire.words}, {found.wire.a} to {found.wire.b}{circuit}"


def _alarms(found: Trace) -> Iterator[str]:
    """A current no car draws with the engine standing, or no battery to say anything by."""
    solution = found.behaviour.state(found.condition).solution
    ports = found.behaviour.circuit.ports
    if not any(port.sort == "battery" for port in ports):
        yield "The file has no battery: no volts can be computed, and what is live is not known."
    amps = max(
        (abs(float(solution.port_amps[n])) for n, port in enumerate(ports) if port.sort == "battery"), default=0.0
    )
    if amps > SHORT_A and found.condition.key != "start":
        yield (
            f"SHORT: in this state {amps:.0f} A leave the battery, by the file. Do not power this car up: find what "
            "joins a feed to ground first (compare, states)."
        )


def _signal_notes(study: Study, nets: Iterable[int]) -> Iterator[str]:
    """Of what is no feed and no ground a meter tells little."""
    labels = {study.net_side(net).label for net in nets}
    if Label.DATA in labels:
        yield "Of a CAN bus the pair reads about 60 Ω with the battery off (common practice, no source)."
    if labels & {Label.SIGNAL, Label.SENSOR_RETURN, Label.DATA, Label.INPUT, Label.REFERENCE}:
        words = " or ".join(sorted(label.value for label in labels))
        yield (
            f"Signal or data line ({words}): what a meter shows there is up to the modules on it. Continuity with "
            "everything unplugged is what can be proven; never a test lamp."
        )


def _nothing_there(found: Trace) -> str:
    """A cavity that no wire is in, and what faces it."""
    place = found.target.ends[0] if found.target.ends else found.target.name
    connector, colon, cavity = place.partition(":")
    study = found.study
    if not colon:
        return f"By the file no wire and no contact belongs to {place}."
    state = "is empty" if study.index.state(connector, cavity) == EMPTY else "is not documented"
    mate = study.vehicle.mate_of.get(connector)
    if mate is not None and (mate, cavity) in study.index.cavity:
        return f"By the file {place} {state}; what ends there is in the other half: trace {mate}:{cavity}."
    return f"By the file {place} {state}, and nothing faces it."
