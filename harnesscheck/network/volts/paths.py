"""The way a load's current takes, element by element, from a source's plus to its minus.

At every node the element with the largest current into it (upwards) or out of it
(downwards) is followed. Volts fall all along such a way, so it ends at a source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.network.volts.circuit import SOURCES, Branch, DcCircuit, Port
from harnesscheck.network.volts.solve import Solution

Key = tuple[str, str, str]  # sort, component, name
CONDUCTORS = frozenset({"wire", "contact"})
LEAST_A = 1e-9
LEAST_SHARE = 0.001  # of a branch's own current: less than that is no way of it


@dataclass(frozen=True, slots=True)
class Hop:
    """One element of a way, the current through it in A, and whether it runs from its ``b`` to its ``a``."""

    element: Branch | Port
    amps: float
    backwards: bool

    @property
    def start(self) -> int:
        """The node the current comes in by."""
        return self.element.b if self.backwards else self.element.a

    @property
    def end(self) -> int:
        """The node the current leaves by."""
        return self.element.a if self.backwards else self.element.b

    @property
    def drop_v(self) -> float:
        """What the element takes of the volts."""
        return self.amps * self.element.ohm


@dataclass(frozen=True, slots=True)
class Way:
    """A load's way: from the source to the load, and from the load back; the load is in neither."""

    feed: tuple[Hop, ...]
    load: Hop
    ground: tuple[Hop, ...]

    def hops(self) -> Iterator[Hop]:
        """All of it in the current's order, the load too."""
        yield from self.feed
        yield self.load
        yield from self.ground

    def keys(self) -> tuple[Key, ...]:
        """The elements other than wires, contacts and the source, the load itself left out."""
        return tuple(
            hop.element.key
            for hop in (*self.feed, *self.ground)
            if hop.element.sort not in CONDUCTORS and hop.element.sort not in SOURCES
        )


@dataclass(frozen=True, slots=True)
class Area:
    """All that a current comes through or goes through on any of its ways: nodes with their steps away, elements."""

    nodes: Mapping[int, int]
    elements: tuple[Branch | Port, ...]


class Ways:
    """Finds ways in one circuit's solutions."""

    def __init__(self, circuit: DcCircuit) -> None:
        self.circuit = circuit
        self._amps: dict[int, tuple[Solution, list[float], list[float]]] = {}
        self._areas: dict[tuple[int, int, bool], Area] = {}
        self.at: list[list[tuple[bool, int, bool]]] = [[] for _ in range(circuit.count)]  # is a port, number, by its b
        both: tuple[tuple[bool, Sequence[Branch | Port]], ...] = ((False, circuit.branches), (True, circuit.ports))
        for is_port, elements in both:
            for number, one in enumerate(elements):
                self.at[one.a].append((is_port, number, one.a == one.b))
                self.at[one.b].append((is_port, number, True))

    def of(self, solution: Solution, load: int) -> Way | None:
        """The way of a load's current; None where none flows."""
        return self.through(solution, self.circuit.loads[load].branch)

    def through(self, solution: Solution, number: int) -> Way | None:
        """The way of the current through any branch, which takes the load's place; None where none flows."""
        branch = self.circuit.branches[number]
        amps = float(solution.branch_amps[number])
        if abs(amps) < LEAST_A:
            return None
        backwards = amps < 0
        start, end = (branch.b, branch.a) if backwards else (branch.a, branch.b)
        feed = self._followed(solution, start, up=True)
        ground = self._followed(solution, end, up=False)
        return Way(tuple(reversed(feed)), Hop(branch, abs(amps), backwards), tuple(ground))

    def between(self, solution: Solution, start: int, end: int) -> tuple[Hop, ...]:
        """The strongest way down from one node to another; nothing where it does not lead there."""
        hops = self._followed(solution, start, up=False, end=end)
        return tuple(hops) if hops and hops[-1].end == end else ()

    def area(self, solution: Solution, branch: int, *, through_loads: bool = True) -> Area:
        """Everything that a branch's current comes through and goes through, parallel ways too; the branch is out.

        Without ``through_loads`` it ends where another load or coil lies on the way.
        """
        key = id(solution), branch, through_loads  # the solution itself is kept with its currents
        if key not in self._areas:
            self._areas[key] = self._area(solution, branch, through_loads=through_loads)
        return self._areas[key]

    def _area(self, solution: Solution, branch: int, *, through_loads: bool) -> Area:
        branches, ports = self.circuit.branches, self.circuit.ports
        a, b = branches[branch].a, branches[branch].b
        own_a = float(solution.branch_amps[branch])
        least_a = LEAST_SHARE * abs(own_a)
        plus, minus = (b, a) if own_a < 0 else (a, b)
        nodes: dict[int, int] = {}
        currents = self._currents(solution)
        found: dict[tuple[bool, int], Branch | Port] = {}
        for start, up in ((plus, True), (minus, False)):
            steps = {start: 0}
            queue = [start]
            for node in queue:
                for is_port, number, by_b in self.at[node]:  # as in ``_strongest``, without a call for each
                    amps = currents[is_port][number] if by_b is up else -currents[is_port][number]
                    if amps <= LEAST_A or amps < least_a or (number == branch and not is_port):
                        continue
                    element: Branch | Port = ports[number] if is_port else branches[number]
                    if not through_loads and element.sort in ("load", "coil"):
                        continue
                    found[is_port, number] = element
                    other = element.a if element.b == node else element.b
                    if other not in steps and element.sort not in SOURCES:
                        steps[other] = steps[node] + 1
                        queue.append(other)
            nodes |= {node: min(step, nodes.get(node, step)) for node, step in steps.items()}
        return Area(nodes, tuple(found.values()))

    def _followed(self, solution: Solution, node: int, *, up: bool, end: int = -1) -> list[Hop]:
        hops: list[Hop] = []
        seen = {node}
        while node != end:
            hop = self._strongest(solution, node, up=up)
            if hop is None:
                return hops
            hops.append(hop)
            if hop.element.sort in SOURCES:
                return hops
            node = (hop.element.b if hop.backwards else hop.element.a) if up else hop.end
            if node in seen:
                return hops
            seen.add(node)
        return hops

    def _strongest(self, solution: Solution, node: int, *, up: bool) -> Hop | None:
        """The element with the largest current into a node (up) or out of it."""
        currents = self._currents(solution)
        most, best = LEAST_A, None
        for one in self.at[node]:
            is_port, number, by_b = one
            flow = currents[is_port][number] if by_b is up else -currents[is_port][number]
            if flow > most:
                most, best = flow, one
        if best is None:
            return None
        is_port, number, _ = best
        element: Branch | Port = self.circuit.ports[number] if is_port else self.circuit.branches[number]
        return Hop(element, most, currents[is_port][number] < 0)

    def _currents(self, solution: Solution) -> tuple[list[float], list[float]]:
        """The currents of a solution's branches and ports in A, as lists: reading arrays one by one is slow."""
        found = self._amps.get(id(solution))
        if found is None:
            found = solution, solution.branch_amps.tolist(), solution.port_amps.tolist()
            self._amps[id(solution)] = found
        return found[1:]


def way_words(circuit: DcCircuit, way: Way) -> tuple[str, ...]:
    """The way as a person reads it: source, fuses, switches, loads on it, the load, and where it comes back."""
    words = [_word(hop) for hop in way.hops() if hop.element.sort not in CONDUCTORS]
    if way.ground and way.ground[-1].element.sort in SOURCES:
        words = words[:-1]
        passed = {hop.element.a for hop in way.ground} | {hop.element.b for hop in way.ground}
        words += [circuit.names[circuit.body]] if circuit.body in passed else []
    return tuple(words)


def _word(hop: Hop) -> str:
    element = hop.element
    if element.sort in SOURCES:
        return element.component
    if element.sort == "load":
        text = f"{element.component} {element.name}".strip()
        return f"{text} backwards" if hop.backwards else text
    if isinstance(element, Branch) and element.sort == "fuse":
        return f"{element.name} {element.rating_a:g} A" if element.rating_a else element.name
    return element.component if element.name == element.component else f"{element.component} {element.name}"
