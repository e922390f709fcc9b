"""Which fuse guards which wire, and what a short circuit at the wire's far end passes.

From each fuse's far end the wires it feeds are searched, as far as the next fuse:
along wires, mated contacts, joints and resistors, through switches, relays and
outputs as if closed (one control in one position at a time), through diodes
forwards. Loads, coils and what is ground end the search. What comes out is the
loop of least resistance; other ways beside it are left out, so a real short passes
more. Ω, V and A.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from harnesscheck.network.graph.index import UnionFind
from harnesscheck.network.volts.circuit import ONE_WAY, SOURCES, Branch, DcCircuit, Port

_LOOM = frozenset({"wire", "contact", "joint"})
_ALONG = _LOOM | {"resistor"}
_FORWARDS = ONE_WAY | {"output"}
_NOT_PASSED = SOURCES | {"field"}

Positions = Mapping[str, frozenset[str]]  # by control, the positions that a way leaves open


@dataclass(frozen=True, slots=True)
class Guard:
    """A fuse and a wire it guards, both as branch numbers.

    ``loop_ohm`` is the resistance of the loop from the battery through the fuse to
    the wire's far end and back through the body, ``volts`` the battery's own; None
    where the body is not joined to the battery. ``whys`` says what of it was assumed.
    ``driven``: a module's output lies between, and what that limits is not in the file.
    """

    fuse: int
    wire: int
    loop_ohm: float | None
    volts: float
    whys: tuple[str, ...]
    driven: bool = False

    @property
    def short_a(self) -> float | None:
        """What a short circuit to the body at the wire's far end passes."""
        return None if self.loop_ohm is None else self.volts / self.loop_ohm


@dataclass
class _GuardTree:
    """Ways of least resistance from some nodes: Ω and the last element by node."""

    ohm: dict[int, float] = field(default_factory=dict)
    last: dict[int, tuple[int, Branch | Port]] = field(default_factory=dict)

    def elements(self, node: int) -> Iterator[Branch | Port]:
        """The way to a node, from its end."""
        while node in self.last:
            node, element = self.last[node]
            yield element

    def whys(self, node: int) -> set[str]:
        """What was assumed of the way to a node."""
        return {why for element in self.elements(node) for why in element.why.split("; ") if why}


@dataclass(frozen=True)
class Feeds:
    """The fuses of one car: ``guards`` of every wire behind one, and by fuse its two ends and what it feeds.

    ``ends`` holds the node towards the battery and the one away from it; a fuse
    that no way from a battery reaches is in ``unfed``. ``loads``, ``coils`` and ``behind``
    are load numbers, relays and fuses (branch numbers) next behind each fuse.
    """

    guards: tuple[Guard, ...]
    ends: Mapping[int, tuple[int, int]]
    loads: Mapping[int, tuple[int, ...]]
    coils: Mapping[int, tuple[str, ...]]
    behind: Mapping[int, tuple[int, ...]]
    unfed: tuple[int, ...]


def feeds_of(circuit: DcCircuit) -> Feeds:
    """The fuses of a circuit and what each of them guards."""
    return _GuardSearch(circuit).feeds()


class _GuardSearch:
    def __init__(self, circuit: DcCircuit) -> None:
        self.circuit = circuit
        self.ground = _ground(circuit)
        self.at: dict[int, list[tuple[Branch | Port, int]]] = defaultdict(list)
        for branch in circuit.branches:
            if branch.sort in _ALONG or branch.sort == "fuse":
                self.at[branch.a].append((branch, branch.b))
                self.at[branch.b].append((branch, branch.a))
        for port in circuit.ports:
            if port.sort not in _NOT_PASSED:
                self.at[port.a].append((port, port.b))
                if port.sort not in _FORWARDS:
                    self.at[port.b].append((port, port.a))
        self.loads_at: dict[int, list[int]] = defaultdict(list)
        for number, load in enumerate(circuit.loads):
            branch = circuit.branches[load.branch]
            self.loads_at[branch.a].append(number)
            self.loads_at[branch.b].append(number)
        self.coils_at: dict[int, list[str]] = defaultdict(list)
        for coil in circuit.coils:
            for node in (circuit.branches[coil.branch].a, circuit.branches[coil.branch].b):
                self.coils_at[node].append(coil.component)
        self.wires = [number for number, one in enumerate(circuit.branches) if one.sort == "wire"]
        self.fuses = [number for number, one in enumerate(circuit.branches) if one.sort == "fuse"]

    def feeds(self) -> Feeds:
        """Which fuse guards which wire, and what hangs on it."""
        batteries = [port for port in self.circuit.ports if port.sort == "battery" and port.a not in self.ground]
        source = self._tree({port.a: port.ohm for port in batteries}, through_fuses=True)
        volts = max((port.emf_v for port in batteries), default=0.0)
        back = self._back({port.b for port in batteries})
        wires_at = self._wires_at()
        guards: list[Guard] = []
        ends: dict[int, tuple[int, int]] = {}
        loads: dict[int, tuple[int, ...]] = {}
        coils: dict[int, tuple[str, ...]] = {}
        behind: dict[int, tuple[int, ...]] = {}
        for fuse in self.fuses:
            near, far = self._ends(fuse, source)
            if near not in source.ohm or far in self.ground:
                continue
            ends[fuse] = near, far
            tree = self._tree({far: 0.0})
            up = source.ohm[near] + self.circuit.branches[fuse].ohm
            whys = source.whys(near) | set(filter(None, self.circuit.branches[fuse].why.split("; ")))
            wires = sorted({wire for node in tree.ohm for wire in wires_at.get(node, ())})
            guards += [self._guard(fuse, wire, tree, (up, whys), back, volts) for wire in wires]
            loads[fuse] = tuple(sorted({load for node in tree.ohm for load in self.loads_at.get(node, ())}))
            coils[fuse] = tuple(sorted({coil for node in tree.ohm for coil in self.coils_at.get(node, ())}))
            behind[fuse] = tuple(other for other in self.fuses if other != fuse and self._is_at(other, source, tree))
        unfed = tuple(fuse for fuse in self.fuses if fuse not in ends)
        return Feeds(tuple(guards), ends, loads, coils, behind, unfed)

    def _is_at(self, fuse: int, source: _GuardTree, tree: _GuardTree) -> bool:
        """Whether the end of a fuse that looks to the battery is in a tree."""
        near, _ = self._ends(fuse, source)
        return near in tree.ohm

    def _guard(
        self,
        fuse: int,
        wire: int,
        tree: _GuardTree,
        upwards: tuple[float, set[str]],
        back: tuple[float | None, set[str]],
        volts: float,
    ) -> Guard:
        branch = self.circuit.branches[wire]
        reached = [node for node in (branch.a, branch.b) if node in tree.ohm]
        far = max(reached, key=lambda node: (tree.ohm[node], node))
        down, whys = tree.ohm[far], upwards[1] | tree.whys(far) | back[1]
        if len(reached) == 1:  # its other end is ground
            down += branch.ohm
        loop = None if back[0] is None or volts <= 0 else upwards[0] + down + back[0]
        driven = any(element.sort == "output" for element in tree.elements(far))
        return Guard(fuse, wire, loop, volts, tuple(sorted(whys)), driven)

    def _wires_at(self) -> dict[int, list[int]]:
        """By node the wires that end there, those inside the ground left out."""
        found: dict[int, list[int]] = defaultdict(list)
        for number in self.wires:
            branch = self.circuit.branches[number]
            for node in (branch.a, branch.b):
                found[node].append(number)
        return found

    def _ends(self, fuse: int, source: _GuardTree) -> tuple[int, int]:
        """A fuse's two nodes, that nearer to the battery first."""
        branch = self.circuit.branches[fuse]
        a, b = (source.ohm.get(node, float("inf")) for node in (branch.a, branch.b))
        return (branch.a, branch.b) if a <= b else (branch.b, branch.a)

    def _tree(self, starts: Mapping[int, float], *, through_fuses: bool = False) -> _GuardTree:
        """Dijkstra's ways from some nodes; each keeps to one position of a control."""
        tree = _GuardTree()
        open_at: dict[int, Positions] = {}
        queue: list[tuple[float, int, int, tuple[int, Branch | Port] | None, Positions]] = []
        for number, (node, ohm) in enumerate(sorted(starts.items())):
            heapq.heappush(queue, (ohm, node, number, None, {}))
        pushed = len(queue)
        while queue:
            ohm, node, _, last, positions = heapq.heappop(queue)
            if node in tree.ohm:
                continue
            tree.ohm[node], open_at[node] = ohm, positions
            if last is not None:
                tree.last[node] = last
            for element, other in self.at.get(node, ()):
                if other in tree.ohm or other in self.ground or (element.sort == "fuse" and not through_fuses):
                    continue
                left = _left_open(positions, element)
                if left is not None:
                    heapq.heappush(queue, (ohm + element.ohm, other, pushed, (node, element), left))
                    pushed += 1
        return tree

    def _back(self, negatives: Iterable[int]) -> tuple[float | None, set[str]]:
        """Ω from the body to the battery's negative along wires and contacts, and what of it was assumed."""
        tree = _GuardTree()
        queue: list[tuple[float, int, int, tuple[int, Branch | Port] | None]] = []
        queue += [(0.0, node, number, None) for number, node in enumerate(sorted(negatives))]
        pushed = len(queue)
        while queue:
            ohm, node, _, last = heapq.heappop(queue)
            if node in tree.ohm:
                continue
            tree.ohm[node] = ohm
            if last is not None:
                tree.last[node] = last
            if node == self.circuit.body:
                return ohm, tree.whys(node)
            for element, other in self.at.get(node, ()):
                if element.sort in _LOOM and other not in tree.ohm:
                    heapq.heappush(queue, (ohm + element.ohm, other, pushed, (node, element)))
                    pushed += 1
        return None, set()


def _left_open(positions: Positions, element: Branch | Port) -> Positions | None:
    """The positions left open after an element; None where its control would have to be in two at once."""
    words: frozenset[str]
    if not isinstance(element, Port):
        return positions
    if element.sort in ("make", "break"):
        control, words = element.component, frozenset({element.sort})
    elif element.sort == "key":
        control, words = f"key {element.component}", element.words
    elif element.control:
        control, words = element.control, element.words
    else:
        return positions
    left = positions.get(control, words) & words
    return {**positions, control: left} if left else None


def _ground(circuit: DcCircuit) -> frozenset[int]:
    """The nodes that wires, contacts and joints hold together with the body or a battery's negative."""
    sets = UnionFind(circuit.count)
    for branch in circuit.branches:
        if branch.sort in _LOOM:
            sets.union(branch.a, branch.b)
    roots = {sets.find(node) for node in circuit.references}
    return frozenset(_members(sets, circuit.count, roots))


def _members(sets: UnionFind, count: int, roots: set[int]) -> Iterator[int]:
    return (node for node in range(count) if sets.find(node) in roots)
