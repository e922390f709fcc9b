"""Volts lost between a source and a load: on the feed side, and on the ground side.

A drop is read as a workshop reads it: the load on, as little else as may be, the
engine standing where it works then; of such states the one that loses most. A
load that no state turns on fully is read in the state that gives it most. What the
same side loses with everything on stands beside it. Ways that lead through a
resistor, a diode or another load lose volts there on purpose and are left out.

Limits are workshop practice in V, no source: headlamp 0.5, other lamps 0.7, motors
0.8, charging lead 0.4, starter cable 0.5, a single ground 0.2, a module's ground
0.1. What practice has no number for is held to a tenth of the nominal volts (ABYC
E-11, 10 %). A ground side that leads through a switch or a driver is no single
ground: it may lose what the feed side may. Limits are for 12 V and grow with the
nominal volts.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from harnesscheck.network.behaviour.currents import Currents
from harnesscheck.network.behaviour.judging import DIM_SHARE, on_volts
from harnesscheck.network.behaviour.states import Behaviour, State
from harnesscheck.network.volts.circuit import SOURCES, DcCircuit, Load, Port
from harnesscheck.network.volts.paths import Hop, Way, Ways
from harnesscheck.network.volts.resistances import NOMINAL_V

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Numbers = NDArray[np.int64]

HEADLAMP_V, LAMP_V, MOTOR_V = 0.5, 0.7, 0.8
CHARGING_V, STARTER_V = 0.4, 0.5
GROUND_V, MODULE_GROUND_V = 0.2, 0.1
MARINE_CRITICAL, MARINE_OTHER = 0.03, 0.10  # of nominal volts, feed and ground together (ABYC E-11)
RUNNING_EFFORT = 10_000  # more than any number of controls
TRIED = 3  # states whose way is followed before another is taken
FEED, GROUND, CHARGING = "feed", "ground", "charging"
_HEADLAMP = re.compile(r"head ?(lamp|light)|dipped|(low|main|high) beam")
_ON_PURPOSE = frozenset({"resistor", "load", "coil", "diode", "field"})


@dataclass(frozen=True, slots=True)
class Drop:
    """What one side of one load's circuit loses. ``load`` is -1 for the charging lead.

    ``most_v`` is the most that side loses in any state that keeps the load on.
    """

    load: int
    side: str
    function: str
    volts: float
    most_v: float
    limit_v: float
    amps: float
    state: int
    hops: tuple[Hop, ...]

    @property
    def culprit(self) -> Hop:
        """The element that takes most of it."""
        return max(self.hops, key=lambda hop: hop.drop_v)


def function_of(load: Load, *, starting: bool) -> tuple[str, float]:
    """What a load is by the words of workshop practice, and the volts its feed may lose."""
    words = f"{load.component} {load.name}".replace("-", " ").casefold()
    times = load.volts / NOMINAL_V
    if starting and load.kind == "motor":
        return "starter", STARTER_V * times
    if load.kind == "lamp":
        bright = _HEADLAMP.search(words) and "side" not in words
        return ("headlamp", HEADLAMP_V * times) if bright else ("lamp", LAMP_V * times)
    return ("motor", MOTOR_V * times) if load.kind == "motor" else (load.kind, MARINE_OTHER * load.volts)


def drops_of(behaviour: Behaviour, currents: Currents) -> tuple[Drop, ...]:
    """Both sides of every load that can be read, and the charging lead, in order of load and side."""
    return _DropReader(behaviour, currents).drops()


class _DropReader:
    def __init__(self, behaviour: Behaviour, currents: Currents) -> None:
        import numpy as np

        self.circuit: DcCircuit = behaviour.circuit
        self.states = currents.states
        self.ways = Ways(self.circuit)
        self.volts = np.stack([state.load_volts for state in self.states])
        self.ends = [self._sources(state) for state in self.states]
        conditions = [state.condition for state in self.states]
        self.effort = np.array([len(one.settings) + (RUNNING_EFFORT if one.running else 0) for one in conditions])
        branches = [self.circuit.branches[load.branch] for load in self.circuit.loads]
        a, b = [one.a for one in branches], [one.b for one in branches]
        nodes = [state.solution.volts for state in self.states]
        at_a = np.stack([volts[a] for volts in nodes])
        at_b = np.stack([volts[b] for volts in nodes])
        backwards = self.volts < 0
        up, down = np.where(backwards, at_b, at_a), np.where(backwards, at_a, at_b)
        self.feed = np.array([plus for plus, _ in self.ends])[:, None] - up
        self.ground = down - np.array([minus for _, minus in self.ends])[:, None]

    def drops(self) -> tuple[Drop, ...]:
        """Lost volts of every steady load, and of charging."""
        found: list[Drop] = []
        for number, load in enumerate(self.circuit.loads):
            if not load.pwm:
                found += self._of(number, load)
        return (*found, *self._charging())

    def _sources(self, state: State) -> tuple[float, float]:
        """Volts of the plus and the minus of the source that gives most."""
        solution = state.solution
        best, ends = 0.0, (float("nan"), 0.0)
        for port in solution.closed:
            one = self.circuit.ports[port]
            given = abs(float(solution.port_amps[port]))
            if one.sort in SOURCES and (given > best or ends[0] != ends[0]):
                plus, minus = (one.b, one.a) if one.sort == "discharge" else (one.a, one.b)
                best, ends = given, (float(solution.volts[plus]), float(solution.volts[minus]))
        return ends

    def _of(self, number: int, load: Load) -> Iterator[Drop]:
        import numpy as np

        across = np.abs(self.volts[:, number])
        on = np.flatnonzero(across >= on_volts(load, load.volts))
        alone = self._alone(on)
        starting = {self.states[state].condition.stage for state in on} == {"start"}
        function, limit_v = function_of(load, starting=starting)
        ground_v = (MODULE_GROUND_V if load.kind == "module" else GROUND_V) * (load.volts / NOMINAL_V)
        best = int(across.argmax())
        if across[best] < DIM_SHARE * load.volts:
            return
        for side, lost, limit in ((FEED, self.feed, limit_v), (GROUND, self.ground, ground_v)):
            column = np.nan_to_num(lost[:, number], nan=-1.0)
            order = [int(one) for one in alone[np.argsort(-column[alone], kind="stable")]][:TRIED]
            for state in dict.fromkeys([*order, best]):
                most_v = float(column[on].max(initial=column[state]))
                drop = self._read(number, side, (function, limit), state, (float(column[state]), most_v))
                if drop is not None:
                    yield drop
                    break

    def _alone(self, on: Numbers) -> Numbers:
        """Of the states that turn a load on those with the least else on, the engine standing if any."""
        efforts = self.effort[on]
        alone: Numbers = on[efforts == efforts.min()] if len(on) else on
        return alone

    def _read(
        self, load: int, side: str, judged_as: tuple[str, float], state: int, lost: tuple[float, float]
    ) -> Drop | None:
        """The drop in one state; None where the load's way takes volts on purpose, or does not end at a source."""
        way = self.ways.of(self.states[state].solution, load)
        hops = _side(way, side)
        if way is None or not hops or not _is_plain((*way.feed, *way.ground)):
            return None
        function, limit_v = judged_as
        if side == GROUND and any(isinstance(hop.element, Port) for hop in hops):
            limit_v = max(limit_v, function_of(self.circuit.loads[load], starting=False)[1])
        volts, most_v = (round(one, 6) for one in lost)
        return Drop(load, side, function, volts, most_v, limit_v, way.load.amps, state, hops)

    def _charging(self) -> Iterator[Drop]:
        """From the alternator's B+ to the battery's plus, while the engine runs and everything is on."""
        battery = next((port for port in self.circuit.ports if port.sort == "battery"), None)
        output = next((number for number, port in enumerate(self.circuit.ports) if port.sort == "alternator"), None)
        running = [number for number, state in enumerate(self.states) if state.condition.running]
        if battery is None or output is None or not running:
            return
        plus = battery.a
        start = self.circuit.ports[output].a

        def lost(number: int) -> float:
            """Volts between battery + and the start of a way in a state."""
            volts = self.states[number].solution.volts
            value = float(volts[start] - volts[plus])
            return value if value == value else 0.0

        worst = max(running, key=lambda number: (round(lost(number), 6), -number))
        solution = self.states[worst].solution
        hops = self.ways.between(solution, start, plus)
        amps = abs(float(solution.port_amps[output]))
        if hops:
            volts, limit_v = round(lost(worst), 6), CHARGING_V * (battery.emf_v / NOMINAL_V)
            yield Drop(-1, CHARGING, "charging lead", volts, volts, limit_v, amps, worst, hops)


def _side(way: Way | None, side: str) -> tuple[Hop, ...]:
    """The hops of one side without the source itself."""
    if way is None:
        return ()
    hops = way.feed if side == FEED else way.ground
    ends = [hop for hop in hops if hop.element.sort in SOURCES]
    return tuple(hop for hop in hops if hop.element.sort not in SOURCES) if ends else ()


def _is_plain(hops: Sequence[Hop]) -> bool:
    return not any(hop.element.sort in _ON_PURPOSE for hop in hops)
