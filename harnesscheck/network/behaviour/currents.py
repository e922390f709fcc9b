"""The largest current of every branch over a car's states, and in which state it flows.

Three readings of the same states, in A, without sign:

*worst*    over all of them: what flows for a moment too.
*steady*   over those in which no load of short duty works: what flows for hours. A
           continuous load that works only beside one of short duty counts there.
*nominal*  as steady, with running states taken from the alternator's volts to the
           battery's: what the loads draw as they are rated.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from harnesscheck.network.behaviour.judging import DIM_SHARE
from harnesscheck.network.behaviour.states import Behaviour, Condition, State

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Numbers = NDArray[np.int64]


@dataclass(frozen=True)
class Largest:
    """By branch the largest current in A and the number of the state it flows in; the first of equals."""

    amps: Array
    at: Numbers


@dataclass(frozen=True)
class Currents:
    """The largest currents over ``states``. ``steady`` leaves out states with a load of short duty."""

    states: tuple[State, ...]
    worst: Largest
    steady: Largest
    nominal: Largest


def currents_of(behaviour: Behaviour, conditions: Sequence[Condition] | None = None) -> Currents:
    """The largest currents over some conditions, else every one that is tried. Linear in states and branches."""
    states = tuple(behaviour.state(one) for one in (behaviour.conditions if conditions is None else conditions))
    steady = _steady(behaviour, states)
    worst, lasting, nominal = (_Running(len(behaviour.circuit.branches)) for _ in range(3))
    to_nominal = _to_nominal(behaviour)
    for number, state in enumerate(states):
        amps = _amps(state)
        worst.see(amps, number)
        if number in steady:
            lasting.see(amps, number)
            nominal.see(amps * to_nominal if state.condition.running else amps, number)
    return Currents(states, worst.largest(), lasting.largest(), nominal.largest())


class _Running:
    """Largest currents so far."""

    def __init__(self, count: int) -> None:
        import numpy as np

        self.amps, self.at = np.zeros(count), np.zeros(count, dtype=np.int64)

    def see(self, amps: Array, number: int) -> None:
        """Take another state's currents, A, in."""
        larger = amps > self.amps + 1e-9  # the first of states that differ by rounding only
        self.amps[larger] = amps[larger]
        self.at[larger] = number

    def largest(self) -> Largest:
        """The largest current of every branch, and the state it flows in."""
        return Largest(self.amps, self.at)


def _amps(state: State) -> Array:
    """The current of every branch without sign; where something hunts, the most of its rounds."""
    import numpy as np

    phases = state.solution.phases or (state.solution,)
    largest: Array = np.abs(phases[0].branch_amps)
    for phase in phases[1:]:
        largest = np.maximum(largest, np.abs(phase.branch_amps))
    return largest


def _steady(behaviour: Behaviour, states: tuple[State, ...]) -> set[int]:
    """The states that may last."""
    import numpy as np

    loads = behaviour.circuit.loads
    least = DIM_SHARE * np.array([load.volts for load in loads])
    short = np.array([load.short for load in loads], dtype=bool)
    working = [np.abs(state.load_volts) >= least for state in states]
    steady = {number for number, on in enumerate(working) if not (on & short).any()}
    seen = np.zeros(len(loads), dtype=bool)
    for number in steady:
        seen |= working[number]
    missed = ~seen & ~short
    return steady | {number for number, on in enumerate(working) if (on & missed).any()}


def _to_nominal(behaviour: Behaviour) -> float:
    """Battery volts over the alternator's; 1 where one of them is not known."""
    ports = behaviour.circuit.ports
    battery = max(_emf(behaviour, "battery"), default=0.0)
    running = max(_emf(behaviour, "alternator"), default=0.0)
    return battery / running if ports and 0 < battery < running else 1.0


def _emf(behaviour: Behaviour, sort: str) -> Iterator[float]:
    return (port.emf_v for port in behaviour.circuit.ports if port.sort == sort)
