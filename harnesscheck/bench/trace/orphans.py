"""Wires that lead nowhere: where they end and why, whether they are live, and what they once fed."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from harnesscheck.bench.trace.lighting import Lighting
from harnesscheck.model.edits import CUT_END, LOOSE_ENDS, STUB, TIED_BACK
from harnesscheck.model.order import natural_key
from harnesscheck.network.behaviour.states import Behaviour, Condition
from harnesscheck.network.graph.index import EMPTY, UNKNOWN
from harnesscheck.network.graph.reach import BITS
from harnesscheck.network.graph.sides import FEEDS, Study

KEYS = ("off", "accessory", "run", "start")
_LEFT = {
    CUT_END: "cut: this end leads nowhere",
    STUB: "cut: a stub of wire is left in the contact",
    TIED_BACK: "tied back",
}
LIVE_V = 1.0  # more than a meter's lead picks up; common practice, no source


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """One end of a net at which the file knows nothing to go on with. ``certain`` is False where it may go on."""

    place: str
    at: str | None
    why: str
    certain: bool
    cut: bool = False


@dataclass(frozen=True, slots=True)
class Liveness:
    """When a net has battery voltage: key positions for sure, and those in which a control could give it some.

    ``known`` says that the file tells all the net is joined to: without it no
    position counts as dead. ``called`` is what the file calls it, where that is a feed.
    """

    sure: tuple[str, ...]
    maybe: tuple[str, ...]
    known: bool = True
    called: str = ""

    @property
    def suspect(self) -> bool:
        """Whether it has to be taken for live until it is measured."""
        return bool(self.sure or self.maybe or self.called) or not self.known


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


def liveness(behaviour: Behaviour, nodes: Collection[int]) -> Liveness:
    """When some nodes of the index are live, nothing touched but the key; and when something could make them so."""
    study, node_of = behaviour.study, behaviour.circuit.node_of
    lighting = Lighting(behaviour)
    sure, maybe = [], []
    for key, bit in zip(KEYS, BITS, strict=True):
        volts = behaviour.state(Condition(key)).solution.volts
        measured = [float(volts[node_of[node]]) for node in nodes]
        reached = [study.reach.reached(study.index.piece_of[node]) for node in nodes]
        if any(not math.isnan(one) and one > LIVE_V for one in measured):
            sure.append(key)
        elif any(one.feed_maybe & bit for one in reached) or any(
            lighting.could_feed(node_of[node], key) for node in nodes
        ):
            maybe.append(key)
    pieces = {study.index.piece_of[node] for node in nodes}
    battery = any(port.sort == "battery" for port in behaviour.circuit.ports)
    labels = [study.net_side(study.index.net_of[piece]).label for piece in sorted(pieces)]
    called = next((label.value for label in labels if label in FEEDS), "")
    return Liveness(tuple(sure), tuple(maybe), battery and not pieces & study.index.open_at.keys(), called)


def once_fed(study: Study, nets: Collection[int], other: Study | None, circuits: Mapping[str, str]) -> tuple[str, ...]:
    """The parts that the same circuits reach in the other car and not here; likely, for it rests on names.

    ``circuits`` is certain knowledge: what a circuit of this car is called in the other.
    """
    if other is None:
        return ()
    index, theirs = study.index, other.index
    names = {name for net in nets for piece in index.pieces_of[net] for name in index.circuits_of[piece]}
    wanted = {circuits.get(name, name) for name in names}
    here = {key for net in nets for piece in index.pieces_of[net] for key in index.terminals_of[piece]}
    found = {
        key
        for piece, held in enumerate(theirs.circuits_of)
        if wanted & set(held)
        for near in theirs.pieces_of[theirs.net_of[piece]]
        for key in theirs.terminals_of[near]
    }
    return tuple(sorted((f"{component}.{name}" for component, name in found - here), key=natural_key))


def functions(study: Study, nets: Collection[int]) -> tuple[str, ...]:
    """What the file calls the circuits of some nets."""
    index, circuits = study.index, study.vehicle.circuits
    names = dict.fromkeys(name for net in nets for piece in index.pieces_of[net] for name in index.circuits_of[piece])
    return tuple(
        f"{name} ({circuits[name].function})" if name in circuits and circuits[name].function else name
        for name in sorted(names, key=natural_key)
    )
