"""The way from a place to battery + and to ground through what one state closes, fewest contacts first.

Nodes are those of ``network.volts.circuit``. Wires, contacts, fuses, joints and closed
switches are ways; loads and coils are not, but for the one that is asked for. A
way goes through no source, not on past the body, and through a diode in one
direction only.

Unlike ``network.volts.paths``, which follows the current, this finds a way where no
current flows: it is what a person with a meter walks along.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from harnesscheck.network.volts.circuit import ONE_WAY, PASSING, SOURCES, Branch, BranchSort, DcCircuit, Port, PortSort

Cost = tuple[int, int, int]  # loads and resistors, contacts, elements


@dataclass(frozen=True, slots=True)
class WayHop:
    """One element walked along, from node ``start`` to node ``end``. ``branch`` is its number, -1 for a port."""

    element: Branch | Port
    start: int
    end: int
    branch: int = -1

    @property
    def sort(self) -> BranchSort | PortSort:
        """The element's sort."""
        return self.element.sort

    @property
    def names(self) -> tuple[str, str]:
        """What the two ends of a wire are called, the element's ``a`` first; empty for anything else."""
        return self.element.ends if isinstance(self.element, Branch) else ("", "")

    @property
    def driven(self) -> str:
        """The terminal that a module's output switches; empty for anything else."""
        return self.element.driven if isinstance(self.element, Port) else ""

    @property
    def turned(self) -> WayHop:
        """The same element walked the other way."""
        return WayHop(self.element, self.end, self.start, self.branch)


Way = tuple[WayHop, ...]


class WayFinder:
    """A circuit with some ports closed. ``crossed`` numbers the branch of the one load that may be walked through."""

    def __init__(self, circuit: DcCircuit, closed: Iterable[int], crossed: int | None = None) -> None:
        self.circuit = circuit
        self.hops: list[list[WayHop]] = [[] for _ in range(circuit.count)]
        for number, branch in enumerate(circuit.branches):
            if branch.sort in PASSING or number == crossed:
                self._add(WayHop(branch, branch.a, branch.b, number))
        for number in sorted(closed):
            port = circuit.ports[number]
            if port.sort not in SOURCES and port.sort != "field":
                self._add(WayHop(port, port.a, port.b))
        self.plus = frozenset(port.a for port in circuit.ports if port.sort == "battery")
        self.minus = frozenset(circuit.references)

    def _add(self, hop: WayHop) -> None:
        self.hops[hop.start].append(hop)
        self.hops[hop.end].append(hop.turned)

    def up(self, starts: Collection[int], without: Collection[WayHop] = ()) -> Way | None:
        """The way to battery +, against the current; None where there is none, () at the battery itself."""
        return self._way(starts, self.plus, self.minus, False, without)

    def down(self, starts: Collection[int], without: Collection[WayHop] = ()) -> Way | None:
        """The way to ground, with the current."""
        return self._way(starts, self.minus, self.plus, True, without)

    def _way(
        self,
        starts: Collection[int],
        ends: frozenset[int],
        barred: frozenset[int],
        along: bool | None,
        without: Collection[WayHop],
    ) -> Way | None:
        """Dijkstra's shortest way by (loads and resistors, contacts, elements); ties by the order of the file."""
        barred_elements = {id(hop.element) for hop in without}
        best: dict[int, Cost] = dict.fromkeys(sorted(starts), (0, 0, 0))
        came: dict[int, WayHop] = {}
        queue = [((0, 0, 0), order, node) for order, node in enumerate(best)]
        pushed = len(queue)
        while queue:
            cost, _, node = heapq.heappop(queue)
            if cost > best[node]:
                continue
            if node in ends:
                return _unwound(came, node)
            if node in barred and node not in starts:
                continue
            for hop in self.hops[node]:
                if id(hop.element) in barred_elements or not _passes(hop, along):
                    continue
                new = (
                    cost[0] + (hop.sort in ("load", "coil", "resistor")),
                    cost[1] + (hop.sort == "contact"),
                    cost[2] + 1,
                )
                if hop.end not in best or new < best[hop.end]:
                    best[hop.end], came[hop.end] = new, hop
                    heapq.heappush(queue, (new, pushed, hop.end))
                    pushed += 1
        return None

    def to(self, starts: Collection[int], ends: Collection[int]) -> Way | None:
        """The way to any of some nodes, not on past ground or battery; diodes count as passing both ways."""
        return self._way(starts, frozenset(ends), self.plus | self.minus, None, ())

    def near(self, starts: Collection[int], without: Collection[WayHop] = ()) -> dict[int, int]:
        """How many contacts away each node is that no load and no source parts from the start."""
        barred = {id(hop.element) for hop in without}
        found = dict.fromkeys(sorted(starts), 0)
        queue = [(0, node) for node in found]
        heapq.heapify(queue)
        while queue:
            far, node = heapq.heappop(queue)
            if far > found[node] or node in self.minus or node in self.plus:
                continue
            for hop in self.hops[node]:
                new = far + (hop.sort == "contact")
                if id(hop.element) not in barred and new < found.get(hop.end, 1 << 30):
                    found[hop.end] = new
                    heapq.heappush(queue, (new, hop.end))
        return found


def _passes(hop: WayHop, along: bool | None) -> bool:
    return along is None or hop.sort not in ONE_WAY or (hop.start == hop.element.a) == along


def _unwound(came: dict[int, WayHop], node: int) -> Way:
    hops: list[WayHop] = []
    while node in came:
        hops.append(came[node])
        node = came[node].start
    return tuple(reversed(hops))
