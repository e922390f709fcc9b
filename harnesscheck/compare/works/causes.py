"""Whether a finding at a plug already tells why a load does what it does.

A plug's finding explains a load where it stands on the load's own way, or on the
way of a relay's coil or a module's supply that the load depends on. What is on when
it should not be is left out only where what explains it is told at least as
severely; what is dead behind a wire's loose end is told with that end.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice

from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import KindName, Severity, Trait, kinds_of
from harnesscheck.network.behaviour.states import Behaviour, State
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import DcCircuit
from harnesscheck.network.volts.paths import Area, Ways
from harnesscheck.network.volts.solve import Solution

CUTTING = kinds_of(Trait.CUTTING)
JOINING = kinds_of(Trait.GAIN)  # a loss explains no light

Place = tuple[str, str]
Far = dict[Place, int]  # how many elements a place is away from a load


class Places:
    """What stands at every node of one car's circuit: cavities, and ground points without a cavity."""

    def __init__(self, behaviour: Behaviour) -> None:
        index, circuit = behaviour.study.index, behaviour.circuit
        self.circuit: DcCircuit = circuit
        self.ways = Ways(circuit)
        self._far: dict[tuple[int, int, bool], Far] = {}
        self.at: dict[int, list[Place]] = {}
        for place, node in index.cavity.items():
            self.at.setdefault(circuit.node_of[node], []).append(place)
        for name, node in index.point.items():
            if name in behaviour.study.vehicle.grounds:
                self.at.setdefault(circuit.node_of[node], []).append((name, ""))

    def of(self, state: State, load: int, *, alone: bool = False) -> Far:
        """The places on all ways of a load in a state, and unless ``alone`` of the coils and supplies it depends on."""
        key = id(state.solution), load, alone  # the solution itself is kept with its currents
        if key not in self._far:
            self._far[key] = self._of(state, load, alone)
        return self._far[key]

    def _of(self, state: State, load: int, alone: bool) -> Far:
        found: Far = {}
        areas = self.areas(state.solution, [self.circuit.loads[load].branch])
        for number, area in enumerate(islice(areas, 1) if alone else areas):
            for node, steps in area.nodes.items():
                away = steps + 1000 * number
                for place in self.at.get(node, ()):
                    if away < found.get(place, away + 1):
                        found[place] = away
        way = self.ways.of(state.solution, load)
        for steps, hop in enumerate((*reversed(way.feed), *way.ground) if way is not None else ()):
            for place in (*self.at.get(hop.element.a, ()), *self.at.get(hop.element.b, ())):
                found.setdefault(place, steps)
        return found

    def areas(self, solution: Solution, branches: Sequence[int]) -> Iterator[Area]:
        """The ways of some branches, then of the coils of the relays on them."""
        queue, seen = list(branches), set(branches)
        coils = {coil.component: coil.branch for coil in self.circuit.coils}
        for branch in queue:
            area = self.ways.area(solution, branch, through_loads=False)
            yield area
            for element in area.elements:
                coil = coils.get(element.component) if element.sort in ("make", "break") else None
                if coil is not None and coil not in seen:
                    seen.add(coil)
                    queue.append(coil)
                if element.sort == "output":
                    yield from self._supplies(solution, element.component)

    def _supplies(self, solution: Solution, module: str) -> Iterator[Area]:
        """The ways of what a module itself uses."""
        for load in self.circuit.loads:
            if load.component == module:
                yield self.ways.area(solution, load.branch, through_loads=False)


def places_of(study: Study) -> Places:
    """The places of one car: worked out once (``study.kept(places_of)``)."""
    return Places(study.kept(Behaviour))


def telling(
    findings: Iterable[Finding], kinds: frozenset[KindName], least: Severity, ours: Far, theirs: Far
) -> Finding | None:
    """The nearest finding of some kinds, at least that bad, that stands on one of these places."""
    plugs: dict[str, int] = {}
    for (connector, _), steps in ours.items():
        plugs[connector] = min(steps, plugs.get(connector, steps))
    told: list[tuple[int, Finding]] = []
    for one in findings:
        if one.kind not in kinds or one.severity > least:
            continue
        far: list[int | None] = [
            ours.get((one.donor.connector, one.donor.cavity)),
            theirs.get((one.shell.connector, one.shell.cavity)),
        ]
        far += [plugs.get(one.donor.connector)] if one.kind == "no-mate" else []
        known = [each for each in far if each is not None]
        if known:
            told.append((min(known), one))
    return min(told, key=lambda each: (each[0], each[1].order), default=(0, None))[1]
