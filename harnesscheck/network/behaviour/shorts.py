"""Short circuits of one car: states in which a source's plus comes to its minus through nothing that uses current.

Wires, contacts, fuses, closed switches and relay contacts use nothing; nor does a
diode that conducts, which is how a suppression diode turned round shorts a coil. Loads,
coils and resistors do. A way is told once, with the fewest controls that close it; where one
short stands already, those beside it are found with it opened.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TypeGuard

from harnesscheck.network.behaviour.states import Behaviour, Condition, State
from harnesscheck.network.graph.index import UnionFind
from harnesscheck.network.volts.circuit import PASSING, SOURCES, Branch, DcCircuit, Port

_LETS_PASS = PASSING - {"resistor"}
_USING_PORTS = SOURCES | {"field"}
MOST_BESIDE = 6  # shorts of one source in one state


@dataclass(frozen=True, slots=True)
class ShortCircuit:
    """One short: the state, the elements from a source's plus to its minus, and the source's current in A."""

    condition: Condition
    source: str
    way: tuple[Branch | Port, ...]
    nodes: tuple[int, ...]  # from the plus to the minus, one more than elements
    amps: float
    suppressor: Port | None  # the first diode on it that lies across a load or a coil, and should block

    @property
    def is_written(self) -> bool:
        """Whether the file writes every wire of it and the positions of every switch."""
        return not any(one.likely if isinstance(one, Branch) else one.guessed for one in self.way)

    @property
    def fuses(self) -> tuple[Branch, ...]:
        """The fuses on it."""
        return tuple(one for one in self.way if isinstance(one, Branch) and one.sort == "fuse")

    @property
    def parts(self) -> tuple[Branch | Port, ...]:
        """The fuses, switches, contacts and diodes it goes through."""
        return tuple(one for one in self.way if isinstance(one, Port) or one.sort == "fuse")

    @property
    def ports(self) -> tuple[Port, ...]:
        """The switches, contacts and diodes it goes through."""
        return tuple(one for one in self.way if isinstance(one, Port))


def short_circuits(behaviour: Behaviour, conditions: Iterable[Condition] | None = None) -> tuple[ShortCircuit, ...]:
    """Every short over some conditions, else all that are tried, those with the fewest controls first."""
    finder = behaviour.kept(_Finder)
    found: dict[tuple[tuple[str, str, str], ...], ShortCircuit] = {}
    wanted = behaviour.conditions if conditions is None else tuple(conditions)
    seen: set[int] = set()  # solutions; a state keeps its own
    for condition in sorted(wanted, key=lambda one: len(one.settings)):
        state = behaviour.state(condition)
        if id(state.solution) in seen:
            continue
        seen.add(id(state.solution))
        for short in finder.of(state):
            found.setdefault(tuple(one.key for one in short.parts), short)
    return tuple(found.values())


def parts_on_shorts(behaviour: Behaviour, conditions: Iterable[Condition]) -> tuple[Branch | Port, ...]:
    """Every fuse, switch, contact and diode that lies on some way from a source's plus to its minus in some states."""
    finder = behaviour.kept(_Finder)
    found: dict[int, Branch | Port] = {}
    for condition in conditions:
        for source, closed in finder.shorted(behaviour.state(condition)):
            found |= {id(one): one for one in finder.between(source, closed)}
    return tuple(found.values())


class _Finder:
    def __init__(self, circuit: DcCircuit) -> None:
        self.circuit = circuit
        self.sources = [number for number, one in enumerate(circuit.ports) if one.sort in ("battery", "alternator")]
        self.number = {id(one): number for number, one in enumerate(circuit.ports)}
        self.passing: list[Branch | Port] = [one for one in circuit.branches if one.sort in _LETS_PASS]
        sets = UnionFind(circuit.count)
        for branch in self.passing:
            sets.union(branch.a, branch.b)
        self.zone = sets.numbered()
        self.zones = max(self.zone) + 1
        using = (one for one in circuit.branches if one.sort in ("load", "coil"))
        self.across = {frozenset((self.zone[one.a], self.zone[one.b])) for one in using}
        self._lasting = _next_to(self.passing)
        self._known: dict[tuple[int, ...], list[tuple[tuple[Branch | Port, ...], tuple[int, ...], Port | None]]] = {}

    def of(self, state: State) -> Iterator[ShortCircuit]:
        """The shorts of one state."""
        for source, closed in self.shorted(state):
            amps = abs(float(state.solution.port_amps[self.number[id(source)]]))
            telling = self._between_others(source, closed)
            key = self.number[id(source)], *(self.number[id(one)] for one in telling)
            if key not in self._known:
                found = self._ways(source, telling)
                self._known[key] = [(*one, next(filter(self._suppresses, one[0]), None)) for one in found]
            for way, nodes, suppressor in self._known[key]:
                yield ShortCircuit(state.condition, source.component, way, nodes, amps, suppressor)

    def shorted(self, state: State) -> Iterator[tuple[Port, list[Port]]]:
        """The sources whose two ends nothing parts in a state, diodes aside, with the ports that are closed."""
        solution, ports = state.solution, self.circuit.ports
        closed = [number for number in solution.closed if ports[number].sort not in _USING_PORTS]
        zones = UnionFind(self.zones)
        for number in closed:
            zones.union(self.zone[ports[number].a], self.zone[ports[number].b])
        for number in self.sources:
            source = ports[number]
            if number in solution.closed and zones.find(self.zone[source.a]) == zones.find(self.zone[source.b]):
                yield source, [ports[one] for one in closed]

    def between(self, source: Port, closed: list[Port]) -> Iterator[Branch | Port]:
        """The parts on any way from a source's plus to its minus: of one block with the source's own edge.

        R. Tarjan, "Depth-first search and linear graph algorithms", 1972: the blocks of a graph.
        """
        edges: list[Branch | Port] = [source, *self.passing, *closed]
        at: dict[int, list[int]] = {}
        for number, one in enumerate(edges):
            at.setdefault(one.a, []).append(number)
            at.setdefault(one.b, []).append(number)
        depth, low = {source.a: 0}, {source.a: 0}
        block: list[int] = []  # edges seen on the way down and not yet of a finished block
        stack = [(source.a, -1, iter(at[source.a]))]
        while stack:
            node, came, beyond = stack[-1]
            number = next(beyond, -1)
            if number < 0:
                stack.pop()
                above = edges[came].b if edges[came].a == node else edges[came].a
                if stack and low[node] < depth[above]:
                    low[above] = min(low[above], low[node])
                elif stack:
                    start = block.index(came)
                    if 0 in block[start:]:
                        inside = (edges[one] for one in block[start:] if one)
                        yield from (one for one in inside if isinstance(one, Port) or one.sort == "fuse")
                    del block[start:]
                continue
            other = edges[number].b if edges[number].a == node else edges[number].a
            if other not in depth:
                depth[other] = low[other] = len(stack)
                block.append(number)
                stack.append((other, number, iter(at[other])))
            elif number != came and depth[other] < depth[node]:
                block.append(number)
                low[node] = min(low[node], depth[other])

    def _between_others(self, source: Port, closed: list[Port]) -> list[Port]:
        """The closed ports but for those behind which nothing leads on: no way from end to end goes through these.

        Most states differ in such ports only, a switch that leads to its own lamp.
        """
        ends = {self.zone[source.a], self.zone[source.b]}
        left = [one for one in closed if one is not source]
        while True:
            meeting = Counter(zone for one in left for zone in {self.zone[one.a], self.zone[one.b]})
            kept = [
                one
                for one in left
                if all(zone in ends or meeting[zone] > 1 for zone in (self.zone[one.a], self.zone[one.b]))
            ]
            if len(kept) == len(left):
                return kept
            left = kept

    def _suppresses(self, one: Branch | Port) -> TypeGuard[Port]:
        ends = frozenset((self.zone[one.a], self.zone[one.b]))
        return isinstance(one, Port) and one.sort == "diode" and ends in self.across

    def _ways(self, source: Port, closed: list[Port]) -> Iterator[tuple[tuple[Branch | Port, ...], tuple[int, ...]]]:
        """The shortest way, then the shortest with the last fuse, switch or diode of it open, and so on."""
        opened: set[int] = set()
        for _ in range(MOST_BESIDE):
            found = self._way(source, closed, opened)
            if found is None:
                return
            yield found
            last = next((one for one in reversed(found[0]) if isinstance(one, Port) or one.sort == "fuse"), None)
            if last is None:  # by wire alone: nothing to open
                return
            opened.add(id(last))

    def _way(
        self, source: Port, closed: list[Port], opened: set[int]
    ) -> tuple[tuple[Branch | Port, ...], tuple[int, ...]] | None:
        """The fewest elements from a source's plus to its minus; None where a diode stands against every way."""
        switched = _next_to(closed)
        came: dict[int, tuple[int, Branch | Port] | None] = {source.a: None}
        queue = deque([source.a])
        while queue:
            node = queue.popleft()
            if node == source.b:
                return _unwound(came, node)
            for one, other in (*self._lasting.get(node, ()), *switched.get(node, ())):
                if other not in came and id(one) not in opened:
                    came[other] = (node, one)
                    queue.append(other)
        return None


def _next_to(elements: Iterable[Branch | Port]) -> dict[int, list[tuple[Branch | Port, int]]]:
    """By node the elements that let current on from it, and where to."""
    at: dict[int, list[tuple[Branch | Port, int]]] = {}
    for one in elements:
        at.setdefault(one.a, []).append((one, one.b))
        if one.sort != "diode":
            at.setdefault(one.b, []).append((one, one.a))
    return at


def _unwound(
    came: dict[int, tuple[int, Branch | Port] | None], end: int
) -> tuple[tuple[Branch | Port, ...], tuple[int, ...]]:
    elements: list[Branch | Port] = []
    nodes = [end]
    step = came[end]
    while step is not None:
        elements.append(step[1])
        nodes.append(step[0])
        step = came[step[0]]
    return tuple(reversed(elements)), tuple(reversed(nodes))
