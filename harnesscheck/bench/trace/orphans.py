"""What a wire that leads nowhere is: whether it is live, and what it once fed."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from harnesscheck.bench.trace.lighting import Lighting
from harnesscheck.fields import KEY_POSITIONS
from harnesscheck.model.order import natural_key
from harnesscheck.network.behaviour.states import Behaviour, Condition
from harnesscheck.network.graph.reach import BITS
from harnesscheck.network.graph.sides import FEEDS, Study

LIVE_V = 1.0  # more than a meter's lead picks up; common practice, no source


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


def liveness(behaviour: Behaviour, nodes: Collection[int]) -> Liveness:
    """When some nodes of the index are live, nothing touched but the key; and when something could make them so."""
    study, node_of = behaviour.study, behaviour.circuit.node_of
    lighting = Lighting(behaviour)
    sure, maybe = [], []
    for key, bit in zip(KEY_POSITIONS, BITS, strict=True):
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
