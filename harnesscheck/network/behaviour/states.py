"""What a car does: its key turned, every control worked alone, and everything on.

A *stage* is a key position with the engine standing or running. A stage begins
with all relays released, but start begins as run left them, ``run again`` as
start left them, and ``running`` as that left them. A *setting* puts one control
in one position: a switch, a module's output, something plugged in. Controls that
are not named rest. Each state is reached from the stage at rest by working its
controls, and left by letting them go again: a relay that stays in was held.

All states are tried, none is left out as alike. The order is fixed by names.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from harnesscheck.network.behaviour.combinations import ControlWays, zones_of
from harnesscheck.network.behaviour.judging import DIM_SHARE, ON_SHARE
from harnesscheck.network.graph.sides import Kept, Study
from harnesscheck.network.volts.circuit import REST, DcCircuit
from harnesscheck.network.volts.lumping import circuit_of
from harnesscheck.network.volts.solve import Network, Solution, TooLargeError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

TOO_MANY = 20_000_000  # nodes times positions of controls; a car of 350 plugs has 0.3 million, of 3,000 15
STAGES = ("off", "accessory", "run", "start", "running")  # what controls are tried in
SEQUENCE = ("off", "accessory", "run", "start", "run again", "running")
_BEFORE = {"start": "run", "run again": "start", "running": "run again"}

Setting = tuple[str, str]  # control, position
Settings = tuple[Setting, ...]  # in order of the control's name


@dataclass(frozen=True, slots=True, order=True)
class Condition:
    """A stage and what is worked in it."""

    stage: str
    settings: Settings = ()

    @property
    def key(self) -> str:
        """The key position."""
        return "run" if self.stage in ("run again", "running") else self.stage

    @property
    def running(self) -> bool:
        """Whether the engine runs."""
        return self.stage == "running"

    def __str__(self) -> str:
        """``key run, engine running, light-switch=dipped``."""
        words = [f"key {self.key}"]
        if self.stage == "run again":
            words.append("after start")
        if self.running:
            words.append("engine running")
        return ", ".join([*words, *(f"{control}={position}" for control, position in self.settings)])


@dataclass(frozen=True)
class State:
    """A condition and what comes of it. ``held`` relays stay in after the controls are let go: ``released``."""

    condition: Condition
    solution: Solution
    held: frozenset[str] = frozenset()
    released: Solution | None = None

    @property
    def hunting(self) -> frozenset[str]:
        """Relays and modules that do not come to rest."""
        return self.solution.hunting

    @cached_property
    def load_volts(self) -> Array:
        """Volts across every load; where something hunts, the least of its rounds: what the load can rely on."""
        if not self.solution.phases:
            return self.solution.load_volts
        import numpy as np

        volts = np.stack([one.load_volts for one in self.solution.phases])
        least: Array = volts[np.abs(volts).argmin(axis=0), np.arange(volts.shape[1])]
        return least


@dataclass
class Behaviour:
    """A car's circuit and its states, each worked out once when it is asked for.

    ``opened`` names what is taken out: fuses, ground points, connectors, cavities.
    Raises TooLargeError for a car that does not fit in memory.
    """

    study: Study
    opened: Collection[str] = ()
    _states: dict[Condition, State] = field(default_factory=dict, repr=False)
    _combinations: dict[str, dict[int, Settings]] = field(default_factory=dict, repr=False)
    _kept: dict[Callable[[DcCircuit], Any], Any] = field(default_factory=dict, repr=False)

    @cached_property
    def circuit(self) -> DcCircuit:
        """The lumped circuit."""
        return circuit_of(self.study, self.opened)

    @cached_property
    def network(self) -> Network:
        """The circuit made ready for solving."""
        return Network(self.circuit)

    def kept(self, make: Callable[[DcCircuit], Kept]) -> Kept:
        """What a higher module works out of the circuit alone, worked out once."""
        if make not in self._kept:
            self._kept[make] = make(self.circuit)
        found: Kept = self._kept[make]
        return found

    def state(self, condition: Condition) -> State:
        """The state of one condition. Settings a car does not have leave it at rest."""
        found = self._states.get(condition)
        if found is None:
            found = self._states[condition] = self._worked_out(condition)
        return found

    def _worked_out(self, condition: Condition) -> State:
        stage = condition.stage
        if not condition.settings:
            before = _BEFORE.get(stage)
            start = self.state(Condition(before)).solution.energised if before else frozenset()
            return State(condition, self.network.settle(self.closed(condition), start))
        rest = self.state(Condition(stage)).solution
        worked = self.network.settle(self.closed(condition), rest.energised)
        held: frozenset[str] = frozenset()
        released = None
        if worked.energised != rest.energised:
            released = self.network.settle(self.closed(Condition(stage)), worked.energised)
            held = released.energised - rest.energised - released.hunting
        return State(condition, worked, held, released if held else None)

    # -- which ports a condition closes

    @cached_property
    def _rest_ports(self) -> dict[str, frozenset[int]]:
        """By control, the ports closed while nobody touches it."""
        found: dict[str, list[int]] = {}
        for number, port in enumerate(self.circuit.ports):
            if port.control and port.words & REST:
                found.setdefault(port.control, []).append(number)
        return {control: frozenset(ports) for control, ports in found.items()}

    @cached_property
    def _set_ports(self) -> dict[Setting, frozenset[int]]:
        """By setting, the ports it closes."""
        found: dict[Setting, list[int]] = {}
        for number, port in enumerate(self.circuit.ports):
            for word in port.words if port.control else ():
                found.setdefault((port.control, word), []).append(number)
        return {setting: frozenset(ports) for setting, ports in found.items()}

    @cached_property
    def _stage_ports(self) -> dict[str, frozenset[int]]:
        """By stage, the ports that key and engine close, and every diode."""
        charged = any(port.sort == "alternator" for port in self.circuit.ports)
        found: dict[str, frozenset[int]] = {}
        for stage in SEQUENCE:
            key = Condition(stage).key
            running = stage == "running" and charged
            sorts = {"diode", "discharge", "alternator"} if running else {"diode", "battery", "field"}
            found[stage] = frozenset(
                number
                for number, port in enumerate(self.circuit.ports)
                if port.sort in sorts or (port.sort == "key" and key in port.words)
            )
        return found

    def closed(self, condition: Condition) -> set[int]:
        """The ports that key, engine and controls close; what relays and sleeping modules make of it comes later."""
        worked = {control for control, _ in condition.settings}
        closed = set(self._stage_ports[condition.stage])
        for control, ports in self._rest_ports.items():
            if control not in worked:
                closed |= ports
        for control, position in condition.settings:
            known = self._set_ports.get((control, position))
            closed |= known if known is not None else self._rest_ports.get(control, frozenset())
        return closed

    # -- the lists of states

    @cached_property
    def settings(self) -> tuple[Setting, ...]:
        """Every control in every position it does not rest in."""
        return tuple((control, word) for control, words in self.circuit.controls.items() for word in words)

    def singles(self, stage: str) -> tuple[State, ...]:
        """One state for every setting alone."""
        return tuple(self.state(Condition(stage, (setting,))) for setting in self.settings)

    def combinations(self, stage: str) -> dict[int, Settings]:
        """By load that neither rest nor one control turns on: the fewest settings found that do.

        Where none turns it on fully and nothing else lights it, the first that lights it at all.
        """
        if stage not in self._combinations:
            self._combinations[stage] = dict(self._combined(stage))
        return self._combinations[stage]

    def _combined(self, stage: str) -> Iterator[tuple[int, Settings]]:
        tried = [self.state(Condition(stage)), *self.singles(stage)]
        on, lit = self._lit(tried, ON_SHARE), self._lit(tried)
        ways = ControlWays(self.circuit, self._stage_ports[stage], stage == "running", self.kept(zones_of))
        for load in range(len(self.circuit.loads)):
            if load in on:
                continue
            proposed = [settings for settings in ways.to_load(load) if len(settings) > 1]
            for share in (ON_SHARE,) if load in lit else (ON_SHARE, DIM_SHARE):
                works = next((one for one in proposed if self._lights(load, stage, one, share)), None)
                if works is not None:
                    yield load, self._fewest(load, stage, works, share)
                    break

    def _fewest(self, load: int, stage: str, settings: Settings, share: float) -> Settings:
        """Leave out one setting after the other for as long as the load stays on."""
        for left_out in settings if len(settings) > 2 else ():
            fewer = tuple(one for one in settings if one != left_out)
            if self._lights(load, stage, fewer, share):
                return self._fewest(load, stage, fewer, share)
        return settings

    def _lights(self, load: int, stage: str, settings: Settings, share: float) -> bool:
        volts = self.state(Condition(stage, settings)).load_volts[load]
        return bool(abs(volts) >= share * self.circuit.loads[load].volts)

    def _lit(self, states: Iterable[State], share: float = DIM_SHARE) -> set[int]:
        """The loads that any of some states gives that share of their nominal volts."""
        import numpy as np

        least = share * np.array([load.volts for load in self.circuit.loads])
        lit = np.zeros(len(least), dtype=bool)
        for state in states:
            lit |= np.abs(state.load_volts) >= least
        return set(np.flatnonzero(lit).tolist())

    @cached_property
    def everything_on(self) -> Settings:
        """The settings of a rainy winter night: as many continuous loads at once as controls allow.

        Settings alone and in combination are taken by what they draw, the most
        first, where they agree with those taken before. What works a load of
        short duty (horns, windows, locks) is left out.
        """
        stage = "running"
        rest = self._lit([self.state(Condition(stage))])
        drawing: list[tuple[float, Settings]] = []
        for settings in dict.fromkeys([*((one,) for one in self.settings), *self.combinations(stage).values()]):
            state = self.state(Condition(stage, settings))
            lit = self._lit([state]) - rest
            if lit and not any(self.circuit.loads[load].short for load in lit):
                drawing.append((-round(sum(self._watts(state, load) for load in lit), 3), settings))
        taken: dict[str, str] = {}
        for _, settings in sorted(drawing):
            if all(taken.get(control, position) == position for control, position in settings):
                taken |= dict(settings)
        return tuple(sorted(taken.items()))

    def _watts(self, state: State, load: int) -> float:
        ohm = self.circuit.branches[self.circuit.loads[load].branch].ohm
        return float(state.load_volts[load]) ** 2 / ohm

    @cached_property
    def conditions(self) -> tuple[Condition, ...]:
        """Every condition that is tried: the key, each setting alone, combinations, everything on.

        Raises TooLargeError for a car of which that would take hours.
        """
        if self.circuit.count * len(self.settings) > TOO_MANY:
            raise TooLargeError(f"{self.circuit.count} nodes and {len(self.settings)} positions of controls")
        found = [Condition(stage) for stage in SEQUENCE]
        for stage in STAGES:
            found += [Condition(stage, (setting,)) for setting in self.settings]
            found += [Condition(stage, settings) for settings in sorted(set(self.combinations(stage).values()))]
        found += [Condition(stage, self.everything_on) for stage in ("run", "running") if self.everything_on]
        return tuple(dict.fromkeys(found))

    def states(self) -> Iterator[State]:
        """Every state of ``conditions``, in their order."""
        return (self.state(condition) for condition in self.conditions)

    @cached_property
    def not_exercised(self) -> tuple[int, ...]:
        """The loads that no state turns on: nothing can be said of them."""
        lit = self._lit(self.states())
        return tuple(number for number in range(len(self.circuit.loads)) if number not in lit)


def references(behaviour: Behaviour, conditions: Sequence[Condition]) -> tuple[Array, Array]:
    """Each load's highest volts by size over some conditions, signed: engine standing, running; 0 where never."""
    import numpy as np

    found = []
    for running in (False, True):
        rows = [behaviour.state(one).load_volts for one in conditions if one.running == running]
        rows.append(np.zeros(len(behaviour.circuit.loads)))
        volts = np.stack(rows)
        found.append(volts[np.abs(volts).argmax(axis=0), np.arange(volts.shape[1])])
    return found[0], found[1]
