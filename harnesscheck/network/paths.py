"""The way a load's current takes, element by element, from a source's plus to its minus.

At every node the element with the largest current into it (upwards) or out of it
(downwards) is followed. Volts fall all along such a way, so it ends at a source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from harnesscheck.network.circuit import SOURCES, Branch, Circuit, Port
from harnesscheck.network.solve import Solution

Key = tuple[str, str, str]  # sort, component, name
CONDUCTORS = frozenset({"wire", "contact"})
LEAST_A = 1e-9


@dataclass(frozen=True, slots=True)
class Hop:
    """One element of a way, the current through it in A, and whether it runs from its ``b`` to its ``a``."""

    element: Branch | Port
    amps: float
    backwards: bool

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


class Ways:
    """Finds ways in one circuit's solutions."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.at: list[list[tuple[bool, int]]] = [[] for _ in range(circuit.count)]  # is a port, number
        for number, branch in enumerate(circuit.branches):
            self.at[branch.a].append((False, number))
            self.at[branch.b].append((False, number))
        for number, port in enumerate(circuit.ports):
            self.at[port.a].append((True, number))
            self.at[port.b].append((True, number))

    def of(self, solution: Solution, load: int) -> Way | None:
        """The way of a load's current; None where none flows."""
        branch = self.circuit.branches[self.circuit.loads[load].branch]
        amps = float(solution.branch_amps[self.circuit.loads[load].branch])
        if abs(amps) < LEAST_A:
            return None
        backwards = amps < 0
        start, end = (branch.b, branch.a) if backwards else (branch.a, branch.b)
        feed = self._followed(solution, start, up=True)
        ground = self._followed(solution, end, up=False)
        return Way(tuple(reversed(feed)), Hop(branch, abs(amps), backwards), tuple(ground))

    def _followed(self, solution: Solution, node: int, *, up: bool) -> list[Hop]:
        hops: list[Hop] = []
        seen = {node}
        while True:
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

    def _strongest(self, solution: Solution, node: int, *, up: bool) -> Hop | None:
        """The element with the largest current into a node (up) or out of it."""
        best: Hop | None = None
        for is_port, number in self.at[node]:
            element: Branch | Port = self.circuit.ports[number] if is_port else self.circuit.branches[number]
            amps = float(solution.port_amps[number] if is_port else solution.branch_amps[number])
            into = amps if element.b == node else -amps
            flow = into if up else -into
            if flow > LEAST_A and (best is None or flow > best.amps):
                best = Hop(element, flow, amps < 0)
        return best


def way_words(circuit: Circuit, way: Way) -> tuple[str, ...]:
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
