"""What a fault does to the looms: which ends are then joined, and what each measurement would show.

Four sorts of fault: *open* (an edge is broken, or bad: a contact pushed out, a crimp, a wire,
a stud), *crossed* (two contacts of one plug sit in each other's cavity),
*shorted* (two nets touch), *left in* (a part is still plugged in). Several may
be there at once: opens and crossed contacts first, then shorts between what is
then there. Only the nets that faults touch are worked out anew.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Literal

from harnesscheck.bench.readings.filled import APART_, BETWEEN_, JOINED_, PART_, JudgedReading
from harnesscheck.bench.ringout.looms import CONTACT, Looms
from harnesscheck.bench.ringout.measurements import Measurement, Ringout
from harnesscheck.model.order import natural_key
from harnesscheck.network.volts.circuit import DcCircuit

OPEN: Final = "open"
CROSSED: Final = "crossed"
SHORTED: Final = "shorted"
LEFT_IN: Final = "left in"
FaultSort = Literal["open", "crossed", "shorted", "left in"]
SOME_PART = ""  # a part that is not in the file


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One fault. ``a`` and ``b`` are nodes, of *open* ``a`` is an edge; ``part`` is what was left in."""

    sort: FaultSort
    a: int
    b: int = -1
    part: str = ""


Faults = tuple[Fault, ...]

# What may be seen where an expectation (joined?) meets what the faults make of it.
_SEEN = {
    (True, JOINED_): frozenset({JOINED_}),
    (True, PART_): frozenset({PART_, BETWEEN_}),
    (True, APART_): frozenset({APART_, BETWEEN_, PART_}),  # a bad joint reads anything
    (False, JOINED_): frozenset({JOINED_, BETWEEN_}),  # a wet or chafed place leaks
    (False, PART_): frozenset({PART_, BETWEEN_, JOINED_}),
    (False, APART_): frozenset({APART_}),
}


class Bench:
    """One ring-out with its readings, and what faults would make of it."""

    def __init__(self, ringout: Ringout, circuit: DcCircuit, judged: Sequence[JudgedReading]) -> None:
        self.looms: Looms = ringout.looms
        self.circuit = circuit
        self.measured = tuple(one for one in judged if one.seen)
        self.blank = tuple(one.measurement for one in judged if not one.seen)
        self.pairs_of: dict[int, list[int]] = defaultdict(list)  # by net, measured rows of two single ends
        self.tied: list[int] = []
        for number, one in enumerate(self.measured):
            row = one.measurement
            if len(row.a) == len(row.b) == 1:
                for net in {self.looms.net_of[row.a[0]], self.looms.net_of[row.b[0]]}:
                    self.pairs_of[net].append(number)
            else:
                self.tied.append(number)
        self.wrong = tuple(n for n, one in enumerate(self.measured) if not self._fits(one, self._expected(one)))
        self._sides = [self._side_of_nets(self.measured[number].measurement) for number in self.tied]

    def _expected(self, one: JudgedReading) -> str:
        return JOINED_ if one.measurement.joined else APART_

    def _fits(self, one: JudgedReading, relation: str) -> bool:
        return one.seen in _SEEN[one.measurement.joined, relation]

    def _side_of_nets(self, row: Measurement) -> Mapping[int, tuple[tuple[int, int], ...]]:
        """By net, the tied ends of it with their side."""
        found: dict[int, list[tuple[int, int]]] = defaultdict(list)
        for side, nodes in enumerate((row.a, row.b)):
            for node in nodes:
                found[self.looms.net_of[node]].append((node, side))
        return {net: tuple(ties) for net, ties in found.items()}

    # -- parts

    @cached_property
    def terminals_of(self) -> Mapping[str, tuple[int, ...]]:
        """By part, the faces that its plugs meet, where a probe may go."""
        looms, vehicle = self.looms, self.looms.study.vehicle
        ends = {node for some in looms.ends_of_net for node in some}
        found: dict[str, list[int]] = defaultdict(list)
        for key, face in looms.face.items():
            mate = vehicle.connectors.get(vehicle.mate_of.get(key[0], ""))
            if mate is not None and mate.component is not None and face in ends:
                found[mate.component].append(face)
        return {part: tuple(faces) for part, faces in found.items()}

    @cached_property
    def joints_of(self) -> Mapping[str, tuple[tuple[int, int], ...]]:
        """By part, the pairs of faces that something inside it joins: fuse, contact, load, coil."""
        looms, index = self.looms, self.looms.study.index
        at: dict[int, list[int]] = defaultdict(list)
        vehicle = looms.study.vehicle
        for faces in self.terminals_of.values():
            for face in faces:
                mate = vehicle.mate_of[looms.connector_of[face]]
                node = index.cavity.get((mate, looms.cavity_of[face]))
                if node is not None:
                    at[self.circuit.node_of[node]].append(face)
        inner: dict[str, dict[int, set[int]]] = defaultdict(lambda: defaultdict(set))
        passing = [(one.component, one.a, one.b) for one in self.circuit.branches if one.component]
        passing += [(one.component, one.a, one.b) for one in self.circuit.ports]
        for part, a, b in passing:
            inner[part][a].add(b)
            inner[part][b].add(a)
        return {part: tuple(self._joined_faces(steps, at, part)) for part, steps in inner.items()}

    def _joined_faces(
        self, steps: Mapping[int, set[int]], at: Mapping[int, list[int]], part: str
    ) -> Iterator[tuple[int, int]]:
        """Faces of one part that are joined inside it, each with the first of its set."""
        own = set(self.terminals_of.get(part, ()))
        seen: set[int] = set()
        for start in sorted(steps):
            if start in seen:
                continue
            island, first = [start], -1
            seen.add(start)
            for here in island:
                for face in at.get(here, ()):
                    if face in own:
                        if first < 0:
                            first = face
                        elif self.looms.net_of[face] != self.looms.net_of[first]:
                            yield first, face
                for there in sorted(steps[here] - seen):
                    seen.add(there)
                    island.append(there)

    # -- what faults make of the looms

    def nets_of(self, fault: Fault) -> tuple[int, ...]:
        """The nets a fault touches."""
        looms = self.looms
        if fault.sort == OPEN:
            return (looms.net_of[looms.edges[fault.a].a],)
        nets = [looms.net_of[node] for node in (fault.a, fault.b) if node >= 0]
        if fault.sort == LEFT_IN and fault.part:
            nets = [looms.net_of[face] for pair in self.joints_of.get(fault.part, ()) for face in pair]
        return tuple(dict.fromkeys(nets))

    def scene(self, faults: Faults) -> BenchScene:
        """The looms with some faults."""
        return BenchScene(self, faults)

    def wrong_with(self, scene: BenchScene) -> tuple[int, ...]:
        """The measured rows that do not fit what some faults would show."""
        touched = scene.nets
        rows = {number for net in touched for number in self.pairs_of.get(net, ())}
        found = [number for number in self.wrong if number not in rows and number not in self.tied_set]
        for number in rows:
            row = self.measured[number].measurement
            if not self._fits(self.measured[number], scene.relation(row.a[0], row.b[0])):
                found.append(number)
        for number, sides in zip(self.tied, self._sides, strict=True):
            if not self._fits(self.measured[number], scene.tied_relation(sides)):
                found.append(number)
        return tuple(sorted(found))

    @cached_property
    def tied_set(self) -> frozenset[int]:
        """The measured rows of tied sets of ends."""
        return frozenset(self.tied)

    @cached_property
    def wrong_set(self) -> frozenset[int]:
        """The measured rows that do not fit a sound loom."""
        return frozenset(self.wrong)

    def allowed_sides(self) -> Mapping[int, tuple[int | None, ...]]:
        """By net, its side in every tied test that was good: a short across one would have shown."""
        good = [
            sides for number, sides in zip(self.tied, self._sides, strict=True) if self.measured[number].seen == APART_
        ]
        found: dict[int, tuple[int | None, ...]] = {}
        for net in range(len(self.looms.nodes_of)):
            found[net] = tuple(sides[net][0][1] if net in sides else None for sides in good)
        return found

    def sides(self, number: int) -> Mapping[int, tuple[tuple[int, int], ...]]:
        """By net, the tied ends of a tied test with their side."""
        return self._sides[self.tied.index(number)]


class BenchScene:
    """The nets that some faults touch, worked out anew: ``copper`` and ``any_way`` number what is joined."""

    def __init__(self, bench: Bench, faults: Faults) -> None:
        self.bench = bench
        self.looms = bench.looms
        self.faults = faults
        self.nets = tuple(sorted({net for fault in faults for net in bench.nets_of(fault)}))
        self.opened = {fault.a for fault in faults if fault.sort == OPEN}
        self.moved = self._moved()
        self.copper = self._copper()
        self.any_way = self._any_way()

    def _moved(self) -> dict[int, int]:
        """By face, the wire's side that sits behind it now, where contacts are crossed, pair by pair, by name."""
        looms = self.looms
        behind: dict[int, int] = {}
        crossed = [fault for fault in self.faults if fault.sort == CROSSED]
        for fault in sorted(crossed, key=lambda one: sorted(natural_key(looms.names[n]) for n in (one.a, one.b))):
            faces = (fault.a, fault.b)
            own = [behind.get(n, looms.wire_side[looms.connector_of[n], looms.cavity_of[n]]) for n in faces]
            behind[fault.a], behind[fault.b] = own[1], own[0]
        return behind

    def neighbours(self, node: int) -> Iterator[tuple[int, int]]:
        """What a node is joined to now, with the number of the edge."""
        looms = self.looms
        for number in looms.edges_at[node]:
            if number in self.opened:
                continue
            edge = looms.edges[number]
            if edge.sort == CONTACT and self.moved:
                if node == edge.a:
                    yield self.moved.get(edge.a, edge.b), number
                    continue
                face = self._face_before.get(node, edge.a)
                yield face, number
                continue
            yield (edge.b if edge.a == node else edge.a), number

    @cached_property
    def _face_before(self) -> dict[int, int]:
        return {wire: face for face, wire in self.moved.items()}

    def _copper(self) -> dict[int, int]:
        number: dict[int, int] = {}
        for net in self.nets:
            for start in self.looms.nodes_of[net]:
                if start in number:
                    continue
                number[start] = start
                island = [start]
                for here in island:
                    for there, _ in self.neighbours(here):
                        if there not in number:
                            number[there] = start
                            island.append(there)
        shorts = [fault for fault in self.faults if fault.sort == SHORTED]
        return _merged(number, [(fault.a, fault.b) for fault in shorts])

    def _any_way(self) -> dict[int, int]:
        pairs: list[tuple[int, int]] = []
        for fault in self.faults:
            if fault.sort == LEFT_IN:
                pairs += self.bench.joints_of.get(fault.part, ()) if fault.part else [(fault.a, fault.b)]
        return _merged(self.copper, pairs) if pairs else self.copper

    def island(self, node: int) -> tuple[str, int]:
        """A name of what a node is joined to by copper: its net where no fault touches it."""
        found = self.copper.get(node)
        return ("net", self.looms.net_of[node]) if found is None else ("part", found)

    def _loose_island(self, node: int) -> tuple[str, int]:
        found = self.any_way.get(node)
        return ("net", self.looms.net_of[node]) if found is None else ("part", found)

    def relation(self, a: int, b: int) -> str:
        """Whether two nodes are joined, joined through a part left in, or apart."""
        if self.island(a) == self.island(b):
            return JOINED_
        return PART_ if self._loose_island(a) == self._loose_island(b) else APART_

    def behind(self, node: int) -> int:
        """What a probe at the back of a cavity meets: the wire that sits there now. Other nodes are themselves."""
        face = self.looms.face.get((self.looms.connector_of[node], self.looms.cavity_of[node]), node)
        return node if face == node else self.moved.get(face, node)

    def tied_relation(self, sides: Mapping[int, tuple[tuple[int, int], ...]]) -> str:
        """The same of two tied sets of ends."""
        for number, found in ((self.copper, JOINED_), (self.any_way, PART_)):
            met: dict[int, int] = {}
            for net in self.nets:
                for node, side in sides.get(net, ()):
                    if met.setdefault(number[node], side) != side:
                        return found
        return APART_

    def meeting(self, sides: Mapping[int, tuple[tuple[int, int], ...]]) -> tuple[int, int] | None:
        """Two ends on opposite sides of a tied test that copper joins."""
        met: dict[int, tuple[int, int]] = {}
        for net in self.nets:
            for node, side in sides.get(net, ()):
                first = met.setdefault(self.copper[node], (node, side))
                if first[1] != side:
                    return first[0], node
        return None

    def way(self, a: int, b: int) -> list[tuple[int, int]]:
        """The nodes after ``a`` on the shortest copper way to ``b``, with the edges they are reached by."""
        came: dict[int, tuple[int, int]] = {}
        queue = deque([a])
        seen = {a}
        while queue and b not in seen:
            here = queue.popleft()
            for there, number in self.neighbours(here):
                if there not in seen:
                    seen.add(there)
                    came[there] = here, number
                    queue.append(there)
        way = []
        here = b
        while here in came:
            before, number = came[here]
            way.append((here, number))
            here = before
        return way[::-1]


def _merged(number: Mapping[int, int], pairs: Collection[tuple[int, int]]) -> dict[int, int]:
    """The numbering with some nodes' sets put together; the smaller number stands for both."""
    found = dict(number)
    for a, b in pairs:
        one, other = found[a], found[b]
        if one != other:
            low, high = min(one, other), max(one, other)
            for node, value in found.items():
                if value == high:
                    found[node] = low
    return found
