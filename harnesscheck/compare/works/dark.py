"""Whether a load that is off in the file is off for certain: nothing unwritten could feed or ground it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from functools import cached_property

from harnesscheck.network.behaviour.states import Behaviour, State
from harnesscheck.network.graph.index import UnionFind
from harnesscheck.network.volts.circuit import PASSING, SOURCES, Branch, Port
from harnesscheck.network.volts.paths import Ways

PLUS, MINUS = "plus", "minus"


@dataclass(frozen=True, slots=True)
class _Flood:
    """What hangs together with one end of a load, the load itself left out; ``loaded`` where another load hangs on."""

    nodes: frozenset[int]
    reached: frozenset[str]
    clean: bool
    loaded: bool


@dataclass(eq=False)
class Darkness:
    """Asks of one car's states. ``controls`` are those that somebody has worked or left alone on purpose."""

    behaviour: Behaviour
    ways: Ways
    controls: Collection[str]
    _asked: State | None = None
    _ports: set[int] = field(default_factory=set)

    @cached_property
    def murky(self) -> frozenset[int]:
        """Nodes of whose wires the file does not tell everything, or that rest on something likely."""
        study, circuit = self.behaviour.study, self.behaviour.circuit
        index = study.index
        unjudged = {component for component, _ in circuit.unjudged}
        vague = {
            piece
            for piece, terminals in enumerate(index.terminals_of)
            if any(component in unjudged for component, _ in terminals)
            or (terminals and study.net_side(index.net_of[piece]).vague)
        }
        pieces = {*index.open_at, *index.likely_pieces, *study.murky, *vague}
        told = frozenset(circuit.node_of[node] for piece in pieces for node in index.nodes_of[piece])
        return told | self._loose_ends | self._left_alone

    @cached_property
    def _loose_ends(self) -> frozenset[int]:
        """Splices with one end, and terminals of no plug that no row says a wire of: that is not all there is."""
        study, circuit = self.behaviour.study, self.behaviour.circuit
        index, vehicle = study.index, study.vehicle
        splices = [index.point[name] for name in vehicle.splices if name in index.point]
        ends = {node: len(index.wires_at.get(node, ())) for node in splices}
        bare = {index.terminal[pin.component, pin.terminal or ""] for pin in vehicle.netlist.pins if pin.component}
        alone = {node for node in bare if not index.joined[node]} | {node for node, count in ends.items() if count < 2}
        return frozenset(circuit.node_of[node] for node in alone)

    @cached_property
    def _left_alone(self) -> frozenset[int]:
        """Nodes with a splice that nothing feeds or grounds in any state: no rule says that all its wires are written.

        A cavity without a row is empty by the rules of the format; a splice, or a part
        wired to one without a plug, says nothing of what is missing.
        """
        study, circuit = self.behaviour.study, self.behaviour.circuit
        sets = UnionFind(circuit.count)
        held = set(circuit.references)
        elements: list[Branch | Port] = [*circuit.branches, *circuit.ports]
        for element in elements:
            if element.sort in SOURCES:
                held |= {element.a, element.b}
            elif isinstance(element, Port) or element.sort in PASSING:
                sets.union(element.a, element.b)
        found = sets.numbered()
        holding = {found[node] for node in held}
        index = study.index
        splices = {circuit.node_of[index.point[name]] for name in study.vehicle.splices if name in index.point}
        doubtful = {found[node] for node in splices} - holding
        return frozenset(node for node, number in enumerate(found) if number in doubtful)

    def is_sure(self, state: State, load: int) -> bool:
        """Whether a load that is off in a state is known to be."""
        branch = self.behaviour.circuit.branches[self.behaviour.circuit.loads[load].branch]
        return self._branch_is_dark(state, branch.a, branch.b, set())

    def ends(self, state: State, load: int) -> tuple[frozenset[str], frozenset[str]]:
        """What each end of a load is joined to in a state, the load itself left out: a source's plus, the body."""
        branch = self.behaviour.circuit.branches[self.behaviour.circuit.loads[load].branch]
        a, b = (self._flood(state, node, (branch.a, branch.b), set()).reached for node in (branch.a, branch.b))
        return a, b

    def parts(self, state: State, load: int) -> frozenset[str]:
        """The components that hang together with the ends of a load that are not on the body."""
        circuit = self.behaviour.circuit
        branch = circuit.branches[circuit.loads[load].branch]
        floods = [self._flood(state, node, (branch.a, branch.b), set()) for node in (branch.a, branch.b)]
        nodes = {node for flood in floods if MINUS not in flood.reached for node in flood.nodes}
        return frozenset(component for node in nodes for component in self._components.get(node, ()))

    def is_clear(self, state: State, component: str) -> bool:
        """Whether the file tells all that hangs together with a part's terminals in a state."""
        index, circuit = self.behaviour.study.index, self.behaviour.circuit
        nodes = {circuit.node_of[node] for (part, _), node in index.terminal.items() if part == component}
        return all(self._flood(state, node, (-1, -1), set()).clean for node in sorted(nodes))

    @cached_property
    def _components(self) -> dict[int, list[str]]:
        found: dict[int, list[str]] = {}
        for (component, _), node in self.behaviour.study.index.terminal.items():
            found.setdefault(self.behaviour.circuit.node_of[node], []).append(component)
        return found

    def _branch_is_dark(self, state: State, a: int, b: int, asked: set[tuple[int, int]]) -> bool:
        if (a, b) in asked:
            return True  # it waits for itself
        asked.add((a, b))
        ends = [self._flood(state, node, (a, b), asked) for node in (a, b)]
        reached = ends[0].reached | ends[1].reached
        if reached == {PLUS, MINUS} and all(len(end.reached) == 1 for end in ends):
            return False  # both ends are where they should be: what keeps it off is not a missing wire
        if ends[0].reached == ends[1].reached:
            both = ends[0].reached == frozenset()
            if both and any(end.clean and not end.loaded for end in ends):
                return True  # no way out at that end, whatever is at the other
            return all(end.clean for end in ends)
        return any(end.clean for end in ends if not end.reached)

    def _closed(self, state: State) -> set[int]:
        """The ports that key, engine and controls close in a state, worked out once for all floods in it."""
        if self._asked is not state:
            self._asked, self._ports = state, self.behaviour.closed(state.condition)
        return self._ports

    def _flood(self, state: State, start: int, own: tuple[int, int], asked: set[tuple[int, int]]) -> _Flood:
        circuit = self.behaviour.circuit
        closed = self._closed(state)
        reached: set[str] = set()
        clean = start not in self.murky
        loaded = False
        queue, seen = [start], {start}
        for node in queue:
            if node in circuit.references:
                reached.add(MINUS)
                continue
            clean = clean and node not in self.murky
            for is_port, number, _ in self.ways.at[node]:
                element = circuit.ports[number] if is_port else circuit.branches[number]
                if isinstance(element, Port):
                    if element.sort in SOURCES:
                        if node == element.a and element.sort != "discharge":
                            reached.add(PLUS)
                        continue
                    passes, known = self._port(state, element, number in closed, asked)
                    clean = clean and known
                else:
                    passes = element.sort in PASSING
                    loaded = loaded or (not passes and (element.a, element.b) != own)
                if passes:
                    other = element.a if element.b == node else element.b
                    if other not in seen:
                        seen.add(other)
                        queue.append(other)
            if PLUS in reached:
                break
        return _Flood(frozenset(seen), frozenset(reached), clean, loaded)

    def _port(self, state: State, port: Port, closed: bool, asked: set[tuple[int, int]]) -> tuple[bool, bool]:
        """Whether a port passes current in a state, and whether that is certain."""
        energised = state.solution.energised
        if port.sort in ("make", "break"):
            pulled = port.component in energised
            known = pulled if port.sort == "make" else not pulled
            return known, known or port.sort == "break" or self._coil_is_dark(state, port.component, asked)
        if port.sort == "output" and closed:
            modules = [one for one in self.behaviour.circuit.modules if one.component == port.component]
            if modules and port.component not in energised:
                return False, any(self._branch_is_dark(state, a, b, asked) for a, b in modules[0].pairs)
            return True, True
        if port.control and not closed:
            return False, port.control in self.controls
        return closed, True

    def _coil_is_dark(self, state: State, relay: str, asked: set[tuple[int, int]]) -> bool:
        circuit = self.behaviour.circuit
        coil = next((one for one in circuit.coils if one.component == relay), None)
        if coil is None:
            return False
        branch = circuit.branches[coil.branch]
        if abs(float(state.solution.branch_amps[coil.branch])) * branch.ohm > coil.drop_out_v / 2:
            return False  # it has volts, and how many it needs may be assumed
        return self._branch_is_dark(state, branch.a, branch.b, asked)
