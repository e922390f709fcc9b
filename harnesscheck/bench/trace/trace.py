"""Follow a circuit: from a target up to the feed and down to the ground, with what a meter reads on the way.

A trace is a chain: battery + at its head, ground at its tail, one load in between.
Its *spots* are the nodes in that order, its hops what lies between them. A target
that no load and no source can be found for has only what there is of a chain, and
its loose ends are named instead.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from harnesscheck.bench.trace.lighting import STAGES, Lighting, closed_ports
from harnesscheck.bench.trace.safety import stop_reason
from harnesscheck.bench.trace.spots import GROUND, ProbeSpot, Spots, pieces_on, terminals_on
from harnesscheck.bench.trace.targets import GROUND as GROUND_TARGET
from harnesscheck.bench.trace.targets import Target
from harnesscheck.bench.trace.ways import Way, WayFinder, WayHop
from harnesscheck.lists.looseends import loose_ends
from harnesscheck.model.order import natural_key
from harnesscheck.network.behaviour.states import Behaviour, Condition
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import SOURCES

DRIVEN = frozenset({"make", "break", "output"})  # joints that something else closes
TRIED_LOADS = 12  # how many loads near a wire are tried for one whose current goes through it


@dataclass(frozen=True, slots=True)
class TraceStep:
    """One spot of a trace: how it is reached from the one before it in the chain, and what is measured there.

    ``volts`` is over the body in the trace's condition, None where the spot is
    joined to no source; ``found_v`` the same on the car as it was found.
    """

    spot: ProbeSpot
    node: int
    hop: WayHop | None
    volts: float | None
    found_v: float | None = None
    also: tuple[str, ...] = ()


@dataclass(frozen=True)
class Trace:
    """What was found. Steps up to number ``split``, the target's, lead to the feed, the rest to the ground.

    ``load`` numbers the hop that is the load, -1 without one. ``lit`` says that
    the condition was chosen because it turns the load on.
    """

    study: Study
    behaviour: Behaviour
    target: Target
    condition: Condition
    steps: tuple[TraceStep, ...] = ()
    split: int = -1
    load: int = -1
    lit: bool = False
    stop: str = ""
    to_feed: bool = False
    to_ground: bool = False

    @property
    def hops(self) -> Way:
        """The elements of the chain, feed first."""
        return tuple(step.hop for step in self.steps if step.hop is not None)

    @property
    def complete(self) -> bool:
        """Whether the chain leads from battery + to ground."""
        return self.to_feed and self.to_ground

    @property
    def up(self) -> tuple[TraceStep, ...]:
        """The steps from the target up to the feed."""
        return tuple(reversed(self.steps[: self.split + 1]))

    @property
    def down(self) -> tuple[TraceStep, ...]:
        """The steps from the target down to the ground."""
        return self.steps[self.split + 1 :]


def trace(behaviour: Behaviour, target: Target, asked: Condition | None = None) -> Trace:
    """Trace one target in a condition: the one asked for, else the one that turns its load on."""
    tracer = _Tracer(behaviour, target)
    stop = stop_reason(behaviour.study, index_nodes(behaviour.study, target))
    if stop:
        return Trace(behaviour.study, behaviour, target, asked or Condition("off"), stop=stop)
    found = tracer.traced(asked)
    stop = stop_reason(behaviour.study, (), found.hops)
    return replace(found, steps=(), split=-1, load=-1, stop=stop) if stop else found


def as_found(whole: Trace, behaviour: Behaviour) -> Trace:
    """The trace of the car as the maker wired it, with what is read on the car as it was found beside it."""
    spots = Spots(behaviour.study, behaviour.circuit)
    volts = behaviour.state(whole.condition).solution.volts
    steps = []
    for step in whole.steps:
        node = spots.node(step.spot.place)
        steps.append(replace(step, found_v=None if node is None else _rounded(float(volts[node]))))
    return replace(whole, steps=tuple(steps))


def _unmeasured(found: Trace) -> Trace:
    """A chain that nothing feeds: what a meter reads there is up to a module that the file does not describe."""
    steps = [step if step.spot.sort == GROUND else replace(step, volts=None) for step in found.steps]
    return replace(found, steps=tuple(steps))


def _rounded(volts: float) -> float | None:
    return None if math.isnan(volts) else round(volts, 3) + 0.0


class _Tracer:
    def __init__(self, behaviour: Behaviour, target: Target) -> None:
        self.behaviour = behaviour
        self.circuit = behaviour.circuit
        self.target = target
        self.spots = Spots(behaviour.study, self.circuit)
        self.lighting = Lighting(behaviour)

    # -- where to begin

    def starts(self) -> tuple[int, ...]:
        """The circuit's nodes to begin from; of a ground point its wires' far ends, for the body is everywhere."""
        nodes = index_nodes(self.behaviour.study, self.target)
        if self.target.sort != GROUND_TARGET:
            return tuple(self.circuit.node_of[node] for node in nodes)
        name = self.target.ends[0]
        own = (one for one in self.circuit.branches if one.sort == "wire" and name in one.ends)
        far = [branch.b if branch.ends[0] == name else branch.a for branch in own]
        return tuple(node for node in far if node not in self.circuit.references)

    # -- which load, which condition

    def traced(self, asked: Condition | None) -> Trace:
        """The chain through the target's own load, else through the nearest load whose current passes the target."""
        if self.target.branch is not None:
            condition, lit = self._condition(self.target.branch, asked)
            return self._of_load(self.target.branch, condition, lit)
        for branch in self._near_loads():
            condition, lit = self._condition(branch, asked)
            found = self._by_sort(branch, condition) if lit else None
            if found is not None:
                return found
        return self._in_pieces(asked)

    def _condition(self, branch: int, asked: Condition | None) -> tuple[Condition, bool]:
        """The condition to trace a load or coil in, and whether it works in it."""
        stages: Sequence[str] = STAGES
        if asked is not None:
            stages = (asked.stage,)
            if asked.settings:
                return asked, True
        relay = self.circuit.branches[branch].component if self.circuit.branches[branch].sort == "coil" else ""
        load = next((number for number, one in enumerate(self.circuit.loads) if one.branch == branch), None)
        found = None
        if relay:
            found = self.lighting.of_relay(relay, stages)
        elif load is not None:
            found = self.lighting.of_load(load, stages)
        return (found, True) if found is not None else (asked or Condition("run"), False)

    def _near_loads(self) -> list[int]:
        """Loads and coils by how many contacts they are away, switches not counted."""
        near = self._near()
        loads = [one.branch for one in self.circuit.loads] + [one.branch for one in self.circuit.coils]
        far = {}
        for number in loads:
            branch = self.circuit.branches[number]
            ends = [near[node] for node in (branch.a, branch.b) if node in near]
            if ends and not stop_reason(self.behaviour.study, (), [WayHop(branch, branch.a, branch.b)]):
                far[number] = min(ends)
        return sorted(far, key=lambda one: (far[one], natural_key(self.circuit.branches[one].component), one))[
            :TRIED_LOADS
        ]

    def _near(self) -> dict[int, int]:
        """How many contacts away each node is; of a fuse or switch from the end that is not the battery's."""
        finder = self._closable()
        starts = self.starts()
        if not self.target.between:
            return finder.near(starts)
        own = [hop for hop in finder.hops[starts[0]] if hop.end == starts[-1] and self._is_target(hop)]
        sides = [finder.near([start], own) for start in starts]
        return next((near for near in sides if finder.plus.isdisjoint(near)), sides[0] | sides[-1])

    def _finder(self, condition: Condition, branch: int | None) -> WayFinder:
        energised = self.behaviour.state(condition).solution.energised
        return WayFinder(self.circuit, closed_ports(self.circuit, condition, energised), branch)

    # -- chains

    def _of_load(self, branch: int, condition: Condition, lit: bool) -> Trace:
        """The chain of a load: its feed from the end the current comes in by."""
        finder = self._finder(condition, None)
        element = self.circuit.branches[branch]
        a, b = element.a, element.b
        ways = [(finder.up([one]), finder.down([two]), one, two) for one, two in ((a, b), (b, a))]
        amps = float(self.behaviour.state(condition).solution.branch_amps[branch])
        ranked = sorted(enumerate(ways), key=lambda item: self._rank(item[1], amps, item[0]))
        up, down, start, end = ranked[0][1]
        load = WayHop(element, start, end, branch)
        head = tuple(hop.turned for hop in reversed(up if up is not None else self._as_far(start, up=True)))
        chain = (*head, load, *(down if down is not None else self._as_far(end, up=False)))
        return self._made(chain, condition, lit, len(head), len(head), up is not None, down is not None)

    def _as_far(self, start: int, *, up: bool) -> Way:
        """Where nothing known joins a place to feed or ground: the way that would, every contact closed.

        Where there is none either, the way to the nearest loose end.
        """
        finder = self._closable()
        would = finder.up([start]) if up else finder.down([start])
        if would is not None:
            return would
        near = finder.near([start])
        study = self.behaviour.study
        nets = {study.index.net_of[piece] for piece in pieces_on(self.spots, near)}
        ends = [self.spots.node(one.place) for one in loose_ends(study, sorted(nets))]
        ends += [node for node in map(self.spots.node, study.vehicle.grounds) if node in near]  # metal nothing straps
        return finder.to([start], [node for node in ends if node is not None]) or ()

    def _closable(self) -> WayFinder:
        """Everything that could be joined: every switch, relay and output closed."""
        every = (number for number, port in enumerate(self.circuit.ports) if port.sort not in SOURCES)
        return WayFinder(self.circuit, every)

    @staticmethod
    def _rank(way: tuple[Way | None, Way | None, int, int], amps: float, turned: int) -> tuple[int, bool, int]:
        """Complete before half; then as the current flows; then as the file has the load."""
        missing = (way[0] is None) + (way[1] is None)
        return missing, bool(amps) and (amps < 0) != bool(turned), turned

    def _by_sort(self, branch: int, condition: Condition) -> Trace | None:
        """The chain of a load that works, if it leads through the target."""
        if self.target.sort == GROUND_TARGET:
            return self._over_ground(branch, condition)
        if self.target.between:
            return self._across(branch, condition)
        return self._through(branch, condition)

    def _over_ground(self, branch: int, condition: Condition) -> Trace | None:
        """The chain of a load that comes to ground at the target's stud."""
        found = self._of_load(branch, condition, True)
        places = [step.spot.place for step in found.steps]
        name = self.target.ends[0]
        if not found.complete or name not in places:
            return None
        return replace(found, split=places.index(name))

    def _across(self, branch: int, condition: Condition) -> Trace | None:
        """The chain of a load through a fuse or switch: up from one of its ends, down from the other."""
        finder = self._finder(condition, branch)
        ends = self.starts()
        own = next((hop for hop in finder.hops[ends[0]] if hop.end == ends[-1] and self._is_target(hop)), None)
        for hop in (own, own.turned) if own is not None else ():
            up, down = finder.up([hop.start], [hop]), finder.down([hop.end], [hop])
            if up is not None and down is not None:
                head = tuple(one.turned for one in reversed(up))
                made = self._checked((*head, hop, *down), branch, condition, len(head))
                if made is not None:
                    return made
        return None

    def _is_target(self, hop: WayHop) -> bool:
        return self.target.name in (hop.element.component, hop.element.name)

    def _checked(self, chain: Way, branch: int, condition: Condition, split: int) -> Trace | None:
        """The trace of a chain, if it goes through the load and nowhere twice."""
        place = next((number for number, hop in enumerate(chain) if hop.branch == branch), -1)
        nodes = {hop.start for hop in chain}
        if place < 0 or len(nodes) < len(chain):
            return None
        return self._made(chain, condition, True, split, place, True, True)

    def _through(self, branch: int, condition: Condition) -> Trace | None:
        """The chain of a load through the target; None where it does not lead through it."""
        finder = self._finder(condition, branch)
        starts = self.starts()
        up, down = finder.up(starts), finder.down(starts)
        if up is None or down is None:
            return None
        crossing = [any(hop.branch == branch for hop in way) for way in (up, down)]
        if crossing[0] == crossing[1]:
            return None
        if up and down and up[0].start != down[0].start:  # a target of several nodes: go on from one of them
            start = up[0].start if not crossing[0] else down[0].start
            up, down = finder.up([start]), finder.down([start])
            if up is None or down is None:
                return None
        head = tuple(hop.turned for hop in reversed(up))
        return self._checked((*head, *down), branch, condition, len(head))

    def _in_pieces(self, asked: Condition | None) -> Trace:
        """What there is of a chain where no load works through the target: the first key position it is fed in."""
        starts = self.starts()
        conditions = [asked] if asked is not None else [Condition(stage) for stage in STAGES]
        for condition in conditions:
            finder = self._finder(condition, None)
            up, down = finder.up(starts), finder.down(starts)
            if up is not None:
                break
        else:
            condition = conditions[0]
        start = up[0].start if up else down[0].start if down else starts[0] if starts else -1
        up = up if not up or up[0].start == start else None
        down = finder.down([start]) if down is not None and start >= 0 else None
        head = tuple(hop.turned for hop in reversed(up or ()))
        chain = (*head, *(down or ()))
        if not chain:
            return self._alone(condition, start, up is not None, down is not None)
        made = self._made(chain, condition, False, len(head), -1, up is not None, down is not None)
        return made if up is not None or self._is_ground() else _unmeasured(made)

    def _is_ground(self) -> bool:
        """Whether the target hangs on the body by wire alone: then 0 V is what a meter reads there."""
        study = self.behaviour.study
        nodes = index_nodes(study, self.target)
        return all(study.reach.reached(study.index.piece_of[node]).grounded for node in nodes)

    def _alone(self, condition: Condition, start: int, fed: bool, grounded: bool) -> Trace:
        """A target that leads nowhere by itself."""
        steps: tuple[TraceStep, ...] = ()
        if start >= 0:
            spot = self.spots.spot([self.target.ends[0]])
            volts = self.behaviour.state(condition).solution.volts
            steps = (TraceStep(spot, start, None, _rounded(float(volts[start])), None, self._also(start, set())),)
        return Trace(
            self.behaviour.study, self.behaviour, self.target, condition, steps, 0, to_feed=fed, to_ground=grounded
        )

    def _made(
        self, chain: Way, condition: Condition, lit: bool, split: int, load: int, fed: bool, grounded: bool
    ) -> Trace:
        spots = self.spots.along(chain)
        nodes = [*(hop.start for hop in chain), chain[-1].end]
        volts = self.behaviour.state(condition).solution.volts
        own = {end for hop in chain for end in self.spots.ends(hop)}
        told = {name for name in own if "." in name}
        steps = []
        for number, (spot, node) in enumerate(zip(spots, nodes, strict=True)):
            also = () if spot.sort == GROUND else self._also(node, told)
            hop = chain[number - 1] if number else None
            steps.append(TraceStep(spot, node, hop, _rounded(float(volts[node])), None, also))
        return Trace(
            self.behaviour.study, self.behaviour, self.target, condition, tuple(steps), split, load, lit,
            to_feed=fed, to_ground=grounded,
        )  # fmt: skip

    def _also(self, node: int, told: set[str]) -> tuple[str, ...]:
        """Terminals on a node's net that no step before has told of."""
        if node in self.circuit.references:
            return ()
        names = {f"{component}.{terminal}" for component, terminal in terminals_on(self.spots, [node])}
        new = sorted(names - told, key=natural_key)
        told.update(new)
        return tuple(new)


def nets_of(trace_: Trace) -> tuple[int, ...]:
    """The nets the target stands on; of a load those of a leg that does not come to its end, up to what is open."""
    index = trace_.study.index
    if trace_.target.branch is None:
        nets = {index.net_of[index.piece_of[node]] for node in index_nodes(trace_.study, trace_.target)}
    else:
        spots = Spots(trace_.study, trace_.behaviour.circuit)
        nodes = [node for node in _loose_nodes(trace_) if node not in trace_.behaviour.circuit.references]
        nets = {index.net_of[piece] for piece in pieces_on(spots, nodes)}
    return tuple(sorted(nets))


def _loose_nodes(trace_: Trace) -> Iterator[int]:
    """The nodes of legs that lead nowhere, from the load out to the first relay or output on them."""
    if not trace_.to_feed:
        for step in trace_.up:
            yield step.node
            if step.hop is not None and step.hop.sort in DRIVEN:
                break
    if not trace_.to_ground:
        for step in trace_.down:
            if step.hop is not None and step.hop.sort in DRIVEN:
                break
            yield step.node


def net_spots(trace_: Trace, nets: Iterable[int]) -> Iterator[ProbeSpot]:
    """Every cavity, splice and ground point on some nets, plug by plug as they are joined."""
    index, vehicle = trace_.study.index, trace_.study.vehicle
    spots = Spots(trace_.study, trace_.behaviour.circuit)
    points = {node: name for name, node in index.point.items()}
    for net in nets:
        for piece in index.pieces_of[net]:
            for node in index.nodes_of[piece]:
                if node in points:
                    yield spots.spot([points[node]])
            for connector, cavity in index.cavities_of[piece]:
                if vehicle.connectors[connector].component is None or connector not in vehicle.mate_of:
                    yield spots.spot([f"{connector}:{cavity}"])


def net_wires(trace_: Trace, nets: Iterable[int]) -> Iterator[WayHop]:
    """Every wire of some nets, in the order of the file."""
    index, circuit = trace_.study.index, trace_.behaviour.circuit
    pieces = [piece for net in nets for piece in index.pieces_of[net]]
    nodes = {circuit.node_of[node] for piece in pieces for node in index.nodes_of[piece]}
    for number, branch in enumerate(circuit.branches):
        if branch.sort == "wire" and branch.a in nodes and branch.b in nodes:
            yield WayHop(branch, branch.a, branch.b, number)


def index_nodes(study: Study, target: Target) -> tuple[int, ...]:
    """The index's nodes a target stands for."""
    index = study.index
    found = []
    for end in target.ends:
        owner, colon, cavity = end.partition(":")
        component, _, terminal = end.rpartition(".")
        node = index.cavity.get((owner, cavity)) if colon else index.point.get(end)
        node = index.terminal.get((component, terminal)) if node is None else node
        if node is not None:
            found.append(node)
    return tuple(found)
