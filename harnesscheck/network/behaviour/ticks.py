"""The tick sheet of a car: which load is on in which state, by nominal volts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from harnesscheck.network.behaviour.judging import Status, judged
from harnesscheck.network.behaviour.states import Behaviour, Condition, State


@dataclass(frozen=True, slots=True)
class Ticks:
    """One state: the loads that are on, dim and fed backwards by label; relays held and hunting.

    ``close`` names loads whose answer another 0.1 % of volts would change.
    """

    condition: Condition
    on: tuple[str, ...]
    dim: tuple[str, ...]
    reversed: tuple[str, ...]
    held: tuple[str, ...]
    hunting: tuple[str, ...]
    close: tuple[str, ...]
    battery_a: float  # what all sources give, A; 0 where nothing is on


def tick_sheet(behaviour: Behaviour, conditions: Iterable[Condition] | None = None) -> tuple[Ticks, ...]:
    """One row a state, in the order of ``Behaviour.conditions``; pulsed loads are left out."""
    wanted = behaviour.conditions if conditions is None else conditions
    return tuple(_ticks(behaviour, behaviour.state(condition)) for condition in wanted)


def _ticks(behaviour: Behaviour, state: State) -> Ticks:
    found: dict[Status, list[str]] = {status: [] for status in Status}
    close: list[str] = []
    for load, volts in zip(behaviour.circuit.loads, state.load_volts.tolist(), strict=True):
        if load.pwm:
            continue
        one = judged(load, volts)
        found[one.status].append(load.label)
        if one.close:
            close.append(load.label)
    return Ticks(
        condition=state.condition,
        on=tuple(found[Status.ON]),
        dim=tuple(found[Status.DIM]),
        reversed=tuple(found[Status.REVERSED]),
        held=tuple(sorted(state.held)),
        hunting=tuple(sorted(state.hunting)),
        close=tuple(close),
        battery_a=_given_a(state),
    )


def _given_a(state: State) -> float:
    """The current all sources give; what flows back into one is not counted."""
    circuit, amps = state.solution.network.circuit, state.solution.port_amps.tolist()
    given = 0.0
    for port, flow in zip(circuit.ports, amps, strict=True):
        if port.sort in ("battery", "alternator"):
            given += max(-flow, 0.0)
        elif port.sort == "discharge":
            given += max(flow, 0.0)
    return round(given, 6)
