"""Short circuits of one car: states in which a source's plus comes to its minus through nothing that uses current.

Wires, contacts, fuses, closed switches and relay contacts use nothing; nor does a
diode that conducts, which is how a suppression diode turned round shorts a coil. Loads,
coils and resistors do. A way is told once, with the fewest controls that close it.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from harnesscheck.network.behaviour.states import Behaviour, Condition, State
from harnesscheck.network.graph.index import UnionFind
from harnesscheck.network.volts.circuit import PASSING, SOURCES, Branch, DcCircuit, Port

_LETS_PASS = PASSING - {"resistor"}
_USING_PORTS = SOURCES | {"field"}


@dataclass(frozen=True, slots=True)
class ShortCircuit:
    """One short: the state, the elements from a source's plus to its minus, and the source's current in A."""

    condition: Condition
    source: str
    way: tuple[Branch | Port, ...]
    nodes: tuple[int, ...]  # from the plus to the minus, one more than elements
    amps: float

    @property
    def fuses(self) -> tuple[Branch, ...]:
        """The fuses on it."""
        return tuple(one for one in self.way if isinstance(one, Branch) and one.sort == "fuse")

    @property
    def diode(self) -> Port | None:
        """The first diode it goes through."""
        return next((one for one in self.way if isinstance(one, Port) and one.sort == "diode"), None)

    @property
    def ports(self) -> tuple[Port, ...]:
        """The switches, contacts and diodes it goes through."""
        return tuple(one for one in self.way if isinstance(one, Port))


def short_circuits(behaviour: Behaviour, conditions: Iterable[Condition] | None = None) -> tuple[ShortCircuit, ...]:
    """Every short over some conditions, else all that are tried, those with the fewest controls first."""
    finder = _Finder(behaviour.circuit)
    found: dict[tuple[tuple[str, str, str], ...], ShortCircuit] = {}
    wanted = behaviour.conditions if conditions is None else tuple(conditions)
    for condition in sorted(wanted, key=lambda one: len(one.settings)):
        for short in finder.of(behaviour.state(condition)):
            found.setdefault(tuple(one.key for one in short.ports), short)
    return tuple(found.values())


class _Finder:
    def __init__(self, circuit: DcCircuit) -> None:
        self.circuit = circuit
        self.sources = [number for number, one in enumerate(circuit.ports) if one.sort in ("battery", "alternator")]
        sets = UnionFind(circuit.count)
        for branch in circuit.branches:
            if branch.sort in _LETS_PASS:
                sets.union(branch.a, branch.b)
        self.zone = sets.numbered()

    def of(self, state: State) -> Iterator[ShortCircuit]:
        """The shorts of one state, one a source at most."""
        solution, ports = state.solution, self.circuit.ports
        closed = [number for number in solution.closed if ports[number].sort not in _USING_PORTS]
        zones = UnionFind(max(self.zone) + 1)
        for number in closed:
            zones.union(self.zone[ports[number].a], self.zone[ports[number].b])
        for number in self.sources:
            source = ports[number]
            if number in solution.closed and zones.find(self.zone[source.a]) == zones.find(self.zone[source.b]):
                way = self._way(source, [ports[one] for one in closed])
                if way is not None:
                    amps = abs(float(solution.port_amps[number]))
                    yield ShortCircuit(state.condition, source.component, *way, amps)

    def _way(self, source: Port, closed: list[Port]) -> tuple[tuple[Branch | Port, ...], tuple[int, ...]] | None:
        """The fewest elements from a source's plus to its minus; None where a diode stands against every way."""
        at: dict[int, list[tuple[Branch | Port, int]]] = {}
        elements: list[Branch | Port] = [one for one in self.circuit.branches if one.sort in _LETS_PASS]
        for one in (*elements, *closed):
            at.setdefault(one.a, []).append((one, one.b))
            if one.sort != "diode":
                at.setdefault(one.b, []).append((one, one.a))
        came: dict[int, tuple[int, Branch | Port] | None] = {source.a: None}
        queue = deque([source.a])
        while queue:
            node = queue.popleft()
            if node == source.b:
                return _unwound(came, node)
            for one, other in at.get(node, ()):
                if other not in came:
                    came[other] = (node, one)
                    queue.append(other)
        return None


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
