"""The fewest faults that explain a set of readings.

Wrong readings fall into groups that no single fault could touch together; each
group is explained by itself. Within one, sets of 1, 2 and 3 faults are searched, the
smaller first: a wrong reading is picked, and every fault that could mend it is tried
(something on the way where it should not have been joined; a short, a crossing or a
part between the two where it should have been apart). Any set that explains everything
must hold one of them, so the search is exhaustive within its bounds; where a
bound was reached, the answer says so. Only contacts within one plug are taken to cross.

Explanations of the same size are ranked by how often such a fault is met (common
practice, no source) and by nearness. All of them show the same on every line that
was measured: no listed measurement tells them apart.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import prod

from harnesscheck.bench.readings.filled import APART_, BETWEEN_, JOINED_, PART_
from harnesscheck.bench.readings.loomfaults import (
    CROSSED,
    LEFT_IN,
    OPEN,
    SHORTED,
    SOME_PART,
    Bench,
    BenchScene,
    Fault,
    Faults,
)
from harnesscheck.bench.ringout.looms import CONTACT, PART, PLUG, STUD, WIRE, staying_parts
from harnesscheck.model.order import natural_key
from harnesscheck.network.graph.index import UnionFind

MOST_FAULTS = 3  # in one group
MOST_TRIES = 4000  # scenes worked out in one group
_LOOKED_AT = 6  # wrong readings whose faults are listed to find the one with the fewest


@dataclass(frozen=True, slots=True)
class Explanation:
    """Faults that together explain a group of wrong readings; ``weight`` compares it with its rivals."""

    faults: Faults
    weight: float


@dataclass(frozen=True, slots=True)
class FaultGroup:
    """Wrong readings that belong together (numbers of ``Bench.measured``), and what explains them, best first.

    ``exhaustive`` says that every set of that size, and of fewer faults, was tried.
    """

    wrong: tuple[int, ...]
    explanations: tuple[Explanation, ...]
    exhaustive: bool

    @property
    def factors(self) -> tuple[tuple[Fault, ...], ...]:
        """Independent choices: one fault out of each, in any mixture; empty where the explanations are no such product.

        Faults that never stand together are rivals; where as many sets of rivals as
        faults give as many mixtures as explanations, the mixtures are the explanations.
        """
        if not self.explanations:
            return ()
        order = list(dict.fromkeys(fault for one in self.explanations for fault in one.faults))
        together = {frozenset((a, b)) for one in self.explanations for a in one.faults for b in one.faults}
        sets = UnionFind(len(order))
        for at, a in enumerate(order):
            for later, b in enumerate(order[at + 1 :], start=at + 1):
                if frozenset((a, b)) not in together:
                    sets.union(at, later)
        found: dict[int, list[Fault]] = defaultdict(list)
        for at, fault in enumerate(order):
            found[sets.find(at)].append(fault)
        mixtures = prod(len(some) for some in found.values())
        whole = len(found) == len(self.explanations[0].faults) and mixtures == len(self.explanations)
        return tuple(tuple(some) for some in found.values()) if whole else ()


def explain(bench: Bench, most_faults: int = MOST_FAULTS, most_tries: int = MOST_TRIES) -> tuple[FaultGroup, ...]:
    """The wrong readings in groups, each with its smallest explanations; in the order of the sheet."""
    proposer = Proposer(bench)
    return tuple(_CoverSearch(bench, proposer, wrong, most_faults, most_tries).group() for wrong in _groups(bench))


def _groups(bench: Bench) -> list[tuple[int, ...]]:
    """Wrong readings that one fault could touch together, by the nets they are about."""
    looms = bench.looms
    sets = UnionFind(len(looms.nodes_of))
    nets_of: dict[int, tuple[int, ...]] = {}
    tied = [number for number in bench.wrong if number in bench.tied_set]
    broken: dict[str, list[int]] = defaultdict(list)
    for number in bench.wrong:
        row = bench.measured[number].measurement
        nets = (looms.net_of[row.a[0]], looms.net_of[row.b[0]])
        nets_of[number] = nets
        if number in tied:
            continue
        sets.union(*nets)
        if row.joined:
            for connector in {looms.connector_of[node] for node in looms.nodes_of[nets[0]]} - {""}:
                broken[connector].append(nets[0])
    for nets_here in broken.values():
        for net in nets_here[1:]:
            sets.union(nets_here[0], net)
    _join_by_parts(bench, sets)
    found: dict[int, list[int]] = defaultdict(list)
    for number in bench.wrong:
        found[-1 if tied else sets.find(nets_of[number][0])].append(number)
    return [tuple(some) for some in sorted(found.values())]


def _join_by_parts(bench: Bench, sets: UnionFind) -> None:
    """A part left in shows between all its nets at once."""
    looms = bench.looms
    for pairs in bench.joints_of.values():
        touched = [
            looms.net_of[bench.measured[number].measurement.a[0]]
            for net in {looms.net_of[face] for pair in pairs for face in pair}
            for number in bench.pairs_of.get(net, ())
            if number in bench.wrong_set and not bench.measured[number].measurement.joined
        ]
        for net in touched[1:]:
            sets.union(touched[0], net)


class Proposer:
    """Lists the faults that could mend a wrong reading."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.looms = bench.looms
        self.staying = frozenset(staying_parts(self.looms.study))
        self.faces_in: dict[str, list[int]] = defaultdict(list)
        for (connector, _), face in self.looms.face.items():
            if face not in self.looms.shunned and self.looms.net_of[face] not in self.looms.left_out:
                self.faces_in[connector].append(face)
        self.sides = bench.allowed_sides() if bench.tied else {}

    def faults(self, scene: BenchScene, number: int) -> list[Fault]:
        """The faults one of which must be among those that mend a measured row, given what is there already."""
        one = self.bench.measured[number]
        row = one.measurement
        a, b = row.a[0], row.b[0]
        relation = scene.relation(a, b)
        if relation == JOINED_:
            return list(dict.fromkeys(self._cuts(scene, a, b)))
        if one.seen == APART_:
            return []
        return list(dict.fromkeys(self._joins(scene, a, b, one.seen)))

    def _cuts(self, scene: BenchScene, a: int, b: int) -> Iterator[Fault]:
        """Everything on the way between two nodes: broken there, or a contact that is another's."""
        for _, number in scene.way(a, b):
            edge = self.looms.edges[number]
            if edge.sort == PART:
                continue
            yield Fault(OPEN, number)
            if edge.sort == CONTACT:
                yield from self._crossings(edge.a, None)

    def _crossings(self, face: int, into: set[int] | None) -> Iterator[Fault]:
        """A contact against every other of its plug, or those whose wires are in a set of nodes."""
        if face in self.looms.shunned:
            return
        for other in self.faces_in[self.looms.connector_of[face]]:
            if other != face and (into is None or other in into):
                yield Fault(CROSSED, min(face, other), max(face, other))

    def _joins(self, scene: BenchScene, a: int, b: int, seen: str) -> Iterator[Fault]:
        """What could join two nodes that are apart."""
        if seen in (JOINED_, BETWEEN_):
            yield self._short(scene, a, b)
        if seen == JOINED_:
            yield from self._crossed_joins(scene, a, b)
        yield from self._parts(a, b)
        if seen == PART_:
            yield Fault(LEFT_IN, min(a, b), max(a, b), SOME_PART)

    def _short(self, scene: BenchScene, a: int, b: int) -> Fault:
        """A short named by the first node of each side, so that one short has one name."""
        a, b = self._first(scene, a), self._first(scene, b)
        return Fault(SHORTED, min(a, b), max(a, b))

    def _first(self, scene: BenchScene, node: int) -> int:
        found = scene.copper.get(node)
        return self.looms.nodes_of[self.looms.net_of[node]][0] if found is None else found

    def _members(self, scene: BenchScene, node: int) -> list[int]:
        found = scene.copper.get(node)
        if found is None:
            return list(self.looms.nodes_of[self.looms.net_of[node]])
        return [other for other, number in scene.copper.items() if number == found]

    def _crossed_joins(self, scene: BenchScene, a: int, b: int) -> Iterator[Fault]:
        ours, theirs = self._members(scene, a), set(self._members(scene, b))
        for node in ours:
            if self.looms.face.get((self.looms.connector_of[node], self.looms.cavity_of[node])) == node:
                yield from self._crossings(node, theirs)

    def _parts(self, a: int, b: int) -> Iterator[Fault]:
        """Parts that, left in, join the two nets."""
        nets = {self.looms.net_of[a], self.looms.net_of[b]}
        if len(nets) == 1:
            return
        for part, pairs in self.bench.joints_of.items():
            touched = {self.looms.net_of[face] for pair in pairs for face in pair}
            if part not in self.staying and nets <= touched:
                yield Fault(LEFT_IN, -1, -1, part)

    def tied(self, scene: BenchScene, numbers: Sequence[int]) -> list[Fault]:
        """The faults that could mend all of some tied tests: shorts no good test speaks against, crossings, parts."""
        sides = [self.bench.sides(number) for number in numbers]
        for some in sides:
            joined = scene.meeting(some)
            if joined is not None:
                return list(dict.fromkeys(self._cuts(scene, *joined)))
        if any(scene.tied_relation(some) != APART_ for some in sides):
            return []
        seen = {self.bench.measured[number].seen for number in numbers}
        across = self._across(sides)
        found: list[Fault] = []
        if seen <= {JOINED_, BETWEEN_}:
            found += [self._short(scene, a, b) for a, b in across]
            found += self._tied_crossings(sides)
        for part, pairs in self.bench.joints_of.items():
            nets = [self.looms.net_of[face] for pair in pairs for face in pair]
            met = all(len({some[net][0][1] for net in nets if net in some}) == 2 for some in sides)
            if part not in self.staying and met:
                found.append(Fault(LEFT_IN, -1, -1, part))
        if seen == {PART_}:
            found += [Fault(LEFT_IN, min(a, b), max(a, b), SOME_PART) for a, b in across]
        return list(dict.fromkeys(found))

    def _across(self, sides: Sequence[Mapping[int, tuple[tuple[int, int], ...]]]) -> list[tuple[int, int]]:
        """Pairs of tied ends on opposite sides of all these tests and on one side of every good one."""
        alike: dict[tuple[tuple[int | None, ...], tuple[int, ...]], list[int]] = defaultdict(list)
        for net, ties in sides[0].items():
            alike[self.sides[net], tuple(some[net][0][1] for some in sides)].append(ties[0][0])
        found = []
        for (good, bits), ones in alike.items():
            if bits[0] == 1:
                zeros = alike.get((good, tuple(1 - bit for bit in bits)), ())
                found += [(a, b) for a in ones for b in zeros]
        return found

    def _tied_crossings(self, sides: Sequence[Mapping[int, tuple[tuple[int, int], ...]]]) -> Iterator[Fault]:
        """Contacts of one plug whose nets are on opposite sides of all these tests."""
        for faces in self.faces_in.values():
            held = [(face, self.looms.net_of[face]) for face in faces if self.looms.net_of[face] in sides[0]]
            for at, (face, net) in enumerate(held):
                for other, opposite in held[at + 1 :]:
                    if all(some[net][0][1] != some[opposite][0][1] for some in sides):
                        yield Fault(CROSSED, min(face, other), max(face, other))


class _CoverSearch:
    """Iterative deepening over the faults of one group."""

    def __init__(
        self, bench: Bench, proposer: Proposer, wrong: tuple[int, ...], most_faults: int, most_tries: int
    ) -> None:
        self.bench = bench
        self.proposer = proposer
        self.wrong = wrong
        self.others = frozenset(bench.wrong) - frozenset(wrong)  # wrong for reasons of their own
        self.most_faults = most_faults
        self.tries = most_tries
        self.seen: set[frozenset[Fault]] = set()
        self.found: dict[frozenset[Fault], None] = {}
        self.stopped = False

    def group(self) -> FaultGroup:
        """The smallest explanations, best first."""
        for size in range(1, self.most_faults + 1):
            self.seen.clear()
            self._deepen((), size)
            if self.found or self.stopped:
                break
        ranked = sorted(
            (Explanation(tuple(sorted(faults, key=self._key)), weight_of(self.bench, faults)) for faults in self.found),
            key=lambda one: (-one.weight, [self._key(fault) for fault in one.faults]),
        )
        different = {self._state(one.faults): one for one in reversed(ranked)}
        kept = {id(one) for one in different.values()}
        return FaultGroup(self.wrong, tuple(one for one in ranked if id(one) in kept), not self.stopped)

    def _state(self, faults: Faults) -> tuple[frozenset[Fault], frozenset[tuple[int, int]]]:
        """What the looms are then: contacts that went round in a ring can be said as several pairs of exchanges."""
        moved = self.bench.scene(faults).moved
        return frozenset(fault for fault in faults if fault.sort != CROSSED), frozenset(moved.items())

    def _key(self, fault: Fault) -> tuple[object, ...]:
        """An order of faults by names, whatever the order of the file."""
        looms = self.bench.looms
        if fault.sort == OPEN:
            return fault.sort, natural_key(looms.edges[fault.a].name), natural_key("")
        names = sorted(natural_key(looms.names[node]) for node in (fault.a, fault.b) if node >= 0)
        return fault.sort, *(names or [natural_key(fault.part)] * 2)

    def _deepen(self, faults: Faults, left: int) -> None:
        key = frozenset(faults)
        if key in self.seen or self.stopped:
            return
        self.seen.add(key)
        self.tries -= 1
        if self.tries < 0:
            self.stopped = True
            return
        scene = self.bench.scene(faults)
        wrong = [number for number in self.bench.wrong_with(scene) if number not in self.others]
        if not wrong:
            self.found[key] = None
            return
        if left == 0 or self._least(wrong) > left:
            return
        for fault in self._candidates(scene, wrong, last=left == 1):
            if fault not in key:
                self._deepen((*faults, fault), left - 1)

    def _least(self, wrong: Sequence[int]) -> int:
        """A bound: broken joints of so many nets need half as many faults, for a fault breaks two at most."""
        looms, measured = self.bench.looms, self.bench.measured
        nets = {looms.net_of[row.a[0]] for row in (measured[number].measurement for number in wrong) if row.joined}
        return (len(nets) + 1) // 2

    def _candidates(self, scene: BenchScene, wrong: Sequence[int], *, last: bool) -> list[Fault]:
        """The faults for the wrong reading that has the fewest; the last fault must be among those of all."""
        pairs = [number for number in wrong if number not in self.bench.tied_set][:_LOOKED_AT]
        if not pairs:
            return self.proposer.tied(scene, wrong if last else wrong[:1])
        lists = [self.proposer.faults(scene, number) for number in pairs]
        fewest = min(lists, key=len)
        sets = [set(some) for some in lists] if last else []
        return [fault for fault in fewest if all(fault in some for some in sets)]


_OFTEN = {CONTACT: 3.0, STUD: 3.0, PLUG: 2.0, WIRE: 1.5}


def weight_of(bench: Bench, faults: frozenset[Fault]) -> float:
    """How readily a set of faults is believed: the product over its faults."""
    weight = 1.0
    for fault in faults:
        weight *= _weight(bench, fault)
    return round(weight, 6)


def _weight(bench: Bench, fault: Fault) -> float:
    looms = bench.looms
    if fault.sort == OPEN:
        return _OFTEN.get(looms.edges[fault.a].sort, 1.0)
    if fault.sort == LEFT_IN:
        return 3.0 if fault.part else 0.5
    if fault.sort == CROSSED:
        return 5.0 if are_neighbours(bench, fault.a, fault.b) else 3.0
    plugs = [
        {looms.connector_of[node] for node in looms.nodes_of[looms.net_of[end]]} - {""} for end in (fault.a, fault.b)
    ]
    return 2.0 if plugs[0] & plugs[1] else 0.5


def are_neighbours(bench: Bench, a: int, b: int) -> bool:
    """Whether two cavities of one plug are next to each other by name."""
    looms = bench.looms
    if looms.connector_of[a] != looms.connector_of[b] or not looms.connector_of[a]:
        return False
    names = sorted(looms.study.index.cavities(looms.connector_of[a]), key=natural_key)
    return abs(names.index(looms.cavity_of[a]) - names.index(looms.cavity_of[b])) == 1
