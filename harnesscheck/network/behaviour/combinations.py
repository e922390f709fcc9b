"""Which controls, worked together, could turn a load on: read off the wiring, fewest first.

A feed reaches a place by a set of settings, among them controls that must stay at
rest; of the sets that reach one place the ``KEPT`` smallest are kept. A relay's
contact asks for what its coil asks for, so the search is repeated until no relay
is reached by less. What it finds is a proposal: ``network.behaviour.states`` solves each
before it is believed.

Nothing here knows volts. Loads and coils are ends, never ways; resistors are ways.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import product

from harnesscheck.network.graph.index import UnionFind
from harnesscheck.network.volts.circuit import PASSING, REST, SOURCES, DcCircuit, Port

KEPT = 4  # ways to one place
PROPOSED = 8  # combinations for one load
UNTOUCHED = ""  # the position of a control that must rest

Settings = tuple[tuple[str, str], ...]  # control, position; in order of the control


def zones_of(circuit: DcCircuit) -> list[int]:
    """By node its zone: all nodes that branches other than loads and coils hold together, in every stage."""
    sets = UnionFind(circuit.count)
    for branch in circuit.branches:
        if branch.sort in PASSING:
            sets.union(branch.a, branch.b)
    return sets.numbered()


class ControlWays:
    """The settings by which feed and ground reach every zone of a circuit, in one stage.

    ``zone`` is what ``zones_of`` gives.
    """

    def __init__(self, circuit: DcCircuit, stage_ports: Collection[int], running: bool, zone: Sequence[int]) -> None:
        self.circuit, self.zone = circuit, zone
        self._steps = self._passable(frozenset(stage_ports))
        plus = {self.zone[one.a] for one in circuit.ports if one.sort == "battery"}
        if running:
            plus |= {self.zone[one.a] for one in circuit.ports if one.sort == "alternator"}
        minus = {self.zone[node] for node in circuit.references}
        self.relays: dict[str, tuple[Settings, ...]] = {}
        for _ in range(len(circuit.coils) + 1):
            self.feed = self._reached(plus, forwards=True)
            self.ground = self._reached(minus, forwards=False)
            relays = dict(self._coils())
            if relays == self.relays:
                break
            self.relays = relays

    def to_load(self, number: int) -> tuple[Settings, ...]:
        """Proposals for one load, fewest settings first, without the controls that only must rest."""
        branch = self.circuit.branches[self.circuit.loads[number].branch]
        found = [*self._across(branch.a, branch.b), *self._across(branch.b, branch.a)]
        worked = {tuple(one for one in way if one[1] != UNTOUCHED) for way in found}
        return tuple(sorted(worked, key=lambda way: (len(way), way))[:PROPOSED])

    def _across(self, plus: int, minus: int) -> Iterator[Settings]:
        for fed, grounded in product(self.feed.get(self.zone[plus], ()), self.ground.get(self.zone[minus], ())):
            both = merged(fed, grounded)
            if both is not None:
                yield both

    def _coils(self) -> Iterator[tuple[str, tuple[Settings, ...]]]:
        """What each relay that can be reached asks for."""
        for coil in self.circuit.coils:
            branch = self.circuit.branches[coil.branch]
            ways = {*self._across(branch.a, branch.b), *self._across(branch.b, branch.a)}
            if ways:
                yield coil.component, _smallest(ways)

    def _passable(self, stage_ports: frozenset[int]) -> dict[int, list[tuple[int, int, bool]]]:
        """By zone: where ports lead out of it, the port, and whether it is walked from a to b."""
        steps: dict[int, list[tuple[int, int, bool]]] = {}
        for number, port in enumerate(self.circuit.ports):
            if port.sort in SOURCES or (port.sort in ("key", "field") and number not in stage_ports):
                continue
            a, b = self.zone[port.a], self.zone[port.b]
            if a != b:
                steps.setdefault(a, []).append((b, number, True))
                steps.setdefault(b, []).append((a, number, False))
        return steps

    def _asks(self, port: Port) -> Sequence[Settings]:
        """The settings that would close a port, one tuple a way; none where nothing known does."""
        if port.sort == "make":
            return self.relays.get(port.component, ())
        if port.control:
            words = sorted(port.words - REST) + ([UNTOUCHED] if port.words & REST else [])
            return [((port.control, word),) for word in words]
        return ((),)

    def _reached(self, roots: Collection[int], *, forwards: bool) -> dict[int, tuple[Settings, ...]]:
        """The fewest settings by which each zone is joined to a root, with the current or against it."""
        ports = self.circuit.ports
        asks = [self._asks(port) for port in ports]
        found: dict[int, tuple[Settings, ...]] = {}
        queue: list[tuple[int, Settings, int]] = [(0, (), root) for root in sorted(roots)]
        while queue:
            _, asked, zone = heapq.heappop(queue)
            before = found.get(zone, ())
            if _is_known(asked, before):
                continue
            found[zone] = (*before, asked)
            for other, number, along in self._steps.get(zone, ()):
                if ports[number].sort == "diode" and along != forwards:
                    continue
                for way in asks[number]:
                    both = merged(asked, way)
                    if both is not None and not _is_known(both, found.get(other, ())):
                        heapq.heappush(queue, (_count(both), both, other))
        return found


def _is_known(asked: Settings, before: Sequence[Settings]) -> bool:
    """Whether a zone is reached by less already, or in ways enough."""
    return bool(before) and (len(before) == KEPT or any(set(one) <= set(asked) for one in before))


def _count(settings: Settings) -> int:
    return sum(1 for _, position in settings if position != UNTOUCHED)


def _smallest(ways: Iterable[Settings]) -> tuple[Settings, ...]:
    return tuple(sorted(ways, key=lambda way: (_count(way), way))[:KEPT])


def merged(one: Settings, other: Settings) -> Settings | None:
    """Both sets of settings, or None where they want one control in two positions.

    >>> merged((("a", "on"),), (("a", "off"),)) is None
    True
    """
    if not one or not other:
        return one or other
    both = dict(one)
    for control, position in other:
        if both.setdefault(control, position) != position:
            return None
    return tuple(sorted(both.items()))
