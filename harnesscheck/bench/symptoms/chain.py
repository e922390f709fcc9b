"""A trace's chain as suspects with spots between them, and what a meter reads for every one of them broken.

What is broken is simulated, not assumed: the elements of the chain become ports
that can be left open one at a time, and the circuit is solved for each.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from harnesscheck.bench.symptoms.orders import Effort
from harnesscheck.bench.trace.lighting import closed_ports
from harnesscheck.bench.trace.spots import CUT, FUSE, GROUND, HARNESS, PART, POST, SPLICE
from harnesscheck.bench.trace.trace import Trace, TraceStep
from harnesscheck.bench.trace.ways import WayHop
from harnesscheck.network.behaviour.judging import DIM_SHARE
from harnesscheck.network.behaviour.states import Condition
from harnesscheck.network.volts.circuit import Branch, DcCircuit, Port
from harnesscheck.network.volts.solve import Network

WEIGHTS = {"fuse": 4.0, "contact": 3.0, "switch": 3.0, "key": 1.0, "make": 3.0, "break": 3.0, "load": 6.0}
"""How likely each sort is to be what is broken, against a wire's 1; common practice, no source."""
BULB_KINDS = frozenset({"lamp"})
STUD = 2.0  # more for a wire that ends on a ground point
LEAST = 1e-3  # of what has another way beside it: it cannot be the one break
EFFORT_MIN = {FUSE: 1.0, GROUND: 1.0, POST: 1.0, CUT: 1.0, HARNESS: 2.0, PART: 4.0, SPLICE: 8.0}
"""Minutes for one measurement once there; common practice, no source."""
HALF = 0.5  # of the battery's volts: above is live, below is dead


@dataclass(frozen=True)
class Chain:
    """Suspects in the order of the current, each a run of hops; ``spots[k]`` stands between suspects k and k + 1.

    ``live_v`` is what a spot reads with the break beyond it, ``dead_v`` with the
    break before it, each the least telling over all suspects.
    """

    trace: Trace
    suspects: tuple[tuple[WayHop, ...], ...]
    spots: tuple[TraceStep, ...]
    weights: tuple[float, ...]
    live_v: tuple[float, ...]
    dead_v: tuple[float, ...]

    @property
    def efforts(self) -> list[Effort]:
        """What measuring at each spot costs."""
        return [Effort(EFFORT_MIN[step.spot.sort], step.spot.at) for step in self.spots]

    def is_ground_side(self, spot: int) -> bool:
        """Whether a spot lies behind the load."""
        return any(
            hop.branch == self.trace.hops[self.trace.load].branch for hops in self.suspects[: spot + 1] for hop in hops
        )


def chain_of(found: Trace) -> Chain:
    """The chain of a complete trace, at the spots where a meter tells before from after. Needs ``found.complete``."""
    hops = found.hops
    volts = broken_volts(found)
    limit_v = HALF * battery_v(found.behaviour.circuit)
    series = _series(found, volts)
    usable = [
        number
        for number in range(1, len(hops))
        if found.steps[number].spot.reachable and _tells(volts, series, number, limit_v)
    ]
    cuts = [0, *usable, len(hops)]
    suspects = tuple(hops[a:b] for a, b in pairwise(cuts))
    weights = tuple(
        sum(weight_of(found, hop) if series[number] else LEAST for number, hop in enumerate(hops) if a <= number < b)
        for a, b in pairwise(cuts)
    )
    live = [min(volts[row][number] for row in range(number, len(hops)) if series[row]) for number in usable]
    dead = [max(volts[row][number] for row in range(number) if series[row]) for number in usable]
    return Chain(found, suspects, tuple(found.steps[number] for number in usable), weights, tuple(live), tuple(dead))


def _tells(volts: Sequence[Sequence[float]], series: Sequence[bool], spot: int, limit_v: float) -> bool:
    """Whether a spot reads live with every break after it and dead with every break before it, and there are both."""
    after = [volts[row][spot] for row in range(spot, len(volts)) if series[row]]
    before = [volts[row][spot] for row in range(spot) if series[row]]
    return bool(after and before) and min(after) > limit_v and max(before) < limit_v


def _series(found: Trace, volts: Sequence[Sequence[float]]) -> tuple[bool, ...]:
    """For each hop whether the load is off without it: where something lies beside it, it is not the one break."""
    load, limit_v = found.load, DIM_SHARE * battery_v(found.behaviour.circuit)
    return tuple(
        number == load or abs(volts[number][load] - volts[number][load + 1]) < limit_v for number in range(len(volts))
    )


def weight_of(found: Trace, hop: WayHop) -> float:
    """How likely one element is to be what is broken."""
    if hop.sort == "wire":
        return 1.0 + (STUD if found.study.vehicle.grounds.keys() & set(hop.names) else 0.0)
    if hop.sort == "load":
        part = found.study.vehicle.components.get(hop.element.component)
        return WEIGHTS["load"] if part is not None and part.kind in BULB_KINDS else WEIGHTS["contact"]
    return WEIGHTS.get(hop.sort, 1.0)


def battery_v(circuit: DcCircuit) -> float:
    """The volts of the car's battery."""
    return max((port.emf_v for port in circuit.ports if port.sort == "battery"), default=12.0)


def source_ports(circuit: DcCircuit, condition: Condition) -> frozenset[int]:
    """The sources a condition has: the battery, or the alternator with the battery beside it."""
    charged = condition.running and any(port.sort == "alternator" for port in circuit.ports)
    sorts = {"discharge", "alternator"} if charged else {"battery", "field"}
    return frozenset(number for number, port in enumerate(circuit.ports) if port.sort in sorts)


def broken_volts(found: Trace) -> list[list[float]]:
    """Volts at every step of a chain for each of its hops open in turn; nothing joined reads 0 V."""
    circuit, opened = breakable(found.behaviour.circuit, found.hops)
    network = Network(circuit)
    closed = (
        closed_ports(circuit, found.condition, found.behaviour.state(found.condition).solution.energised)
        | source_ports(circuit, found.condition)
    ) - {number for number, port in enumerate(circuit.ports) if port.sort in ("make", "break")}
    start = found.behaviour.state(found.condition).solution.energised
    rows = []
    for number in opened:
        volts = network.settle((closed | set(opened)) - {number}, start).volts
        rows.append([_read(float(volts[step.node])) for step in found.steps])
    return rows


def _read(volts: float) -> float:
    return 0.0 if math.isnan(volts) else round(volts, 6) + 0.0


def breakable(circuit: DcCircuit, hops: Sequence[WayHop]) -> tuple[DcCircuit, list[int]]:
    """The circuit with these elements as ports, and the port of each: closed by whoever settles it, by nothing else."""
    own = {hop.branch for hop in hops if hop.branch >= 0}
    kept = [number for number in range(len(circuit.branches)) if number not in own]
    number_of = {old: new for new, old in enumerate(kept)}
    ports = list(circuit.ports)
    opened = []
    for hop in hops:
        element = hop.element
        if isinstance(element, Branch):
            opened.append(len(ports))
            ports.append(Port("chain", element.component, element.name, element.a, element.b, element.ohm))
        else:
            number = next(number for number, port in enumerate(ports) if port is element)
            opened.append(number)
            sort = element.sort if element.sort == "diode" else "chain"
            ports[number] = replace(element, sort=sort, control="", words=frozenset())
    return replace(
        circuit,
        branches=tuple(circuit.branches[number] for number in kept),
        ports=tuple(ports),
        loads=tuple(replace(one, branch=number_of[one.branch]) for one in circuit.loads if one.branch in number_of),
        coils=tuple(replace(one, branch=number_of[one.branch]) for one in circuit.coils if one.branch in number_of),
    ), opened
