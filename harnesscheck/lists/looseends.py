"""Wires that lead nowhere: where they end, and why."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from harnesscheck.model.edits import CUT_END, LOOSE_ENDS, STUB, TIED_BACK
from harnesscheck.model.order import natural_key
from harnesscheck.network.graph.index import EMPTY, UNKNOWN
from harnesscheck.network.graph.sides import Study

_LEFT = {
    CUT_END: "cut: this end leads nowhere",
    STUB: "cut: a stub of wire is left in the contact",
    TIED_BACK: "tied back",
}


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """One end of a net at which the file knows nothing to go on with. ``certain`` is False where it may go on."""

    place: str
    at: str | None
    why: str
    certain: bool
    cut: bool = False


def loose_ends(study: Study, nets: Collection[int]) -> tuple[LooseEnd, ...]:
    """Where some nets end in nothing, in natural order."""
    found = {one.place: one for net in nets for one in _ends_of(study, net)}
    return tuple(found[place] for place in sorted(found, key=natural_key))


def _ends_of(study: Study, net: int) -> Iterator[LooseEnd]:
    index = study.index
    pieces = index.pieces_of[net]
    for piece in pieces:
        for connector, cavity in index.cavities_of[piece]:
            end = _at_cavity(study, connector, cavity)
            if end is not None:
                yield end
    own = {node for piece in pieces for node in index.nodes_of[piece]}
    for point, node in index.point.items():
        if node in own and point in study.vehicle.splices and len(index.wires_at.get(node, ())) < 2:
            yield _at_splice(study, point)


def _at_cavity(study: Study, connector: str, cavity: str) -> LooseEnd | None:
    """Why a cavity leads no further: on the side of its mate, or on that of its own wire."""
    vehicle, index = study.vehicle, study.index
    place, row = f"{connector}:{cavity}", vehicle.connectors[connector]
    at = row.at or _part_at(study, row.component)
    mate = vehicle.mate_of.get(connector)
    node = index.cavity[connector, cavity]
    if row.component is None and len(index.nodes_of[index.piece_of[node]]) == 1:
        return LooseEnd(place, at, "nobody wrote where its wire goes", False)
    if mate is None:
        what = "plug with no other half in the file" if row.component is None else "no harness plug on this part"
        return LooseEnd(place, at, what, False)
    state = index.state(mate, cavity)
    if state == EMPTY:
        return LooseEnd(place, at, f"the other half {mate} has this cavity empty", not index.may_lack_wires(mate))
    if state == UNKNOWN:
        return LooseEnd(place, at, f"the other half {mate} is not documented here", False)
    return None


def _part_at(study: Study, component: str | None) -> str | None:
    row = study.vehicle.components.get(component or "")
    return row.at if row is not None else None


def _at_splice(study: Study, point: str) -> LooseEnd:
    row = study.vehicle.splices[point]
    why = _LEFT.get(row.name or "", "a splice with one wire only")
    return LooseEnd(point, row.at, why, row.name in LOOSE_ENDS, row.name in (CUT_END, STUB))
