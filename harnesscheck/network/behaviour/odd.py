"""What goes odd when something is taken out of a car: a fuse, a ground point, a plug, a contact.

Both cars are put into the sound one's conditions. A load's reference is its
highest volts in the sound car. What is odd already with nothing touched, or with
fewer controls worked, is not told again for every control more.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from harnesscheck.network.behaviour.judging import JudgedLoad, Status, judged
from harnesscheck.network.behaviour.states import Behaviour, Condition, Settings, references
from harnesscheck.network.volts.circuit import Load


@dataclass(frozen=True, slots=True)
class Odd:
    """One load that does something else with the same controls worked, in all these stages."""

    load: str
    settings: Settings
    was: Status
    now: Status
    stages: tuple[str, ...]
    volts: float  # in the first of them
    close: bool


@dataclass(frozen=True, slots=True)
class Shaken:
    """A relay or module that does not come to rest, or stays in, where it did not before."""

    component: str
    condition: Condition
    held: bool


def openable(behaviour: Behaviour) -> frozenset[str]:
    """The names of what can be taken out of a car: parts, fuses in boxes, ground points, plugs, contacts."""
    study = behaviour.study
    vehicle = study.vehicle
    inside = {row.id for row in vehicle.netlist.insides if row.id}
    contacts = {f"{connector}:{cavity}" for connector, cavity in study.index.cavity}
    return frozenset({*vehicle.components, *vehicle.grounds, *vehicle.connectors, *inside, *contacts})


def odd(sound: Behaviour, opened: Behaviour) -> tuple[Odd, ...]:
    """Every load that does something else, most stages first settled by the fewest controls."""
    pairs = [
        (number, opened.circuit.load_of[load.key])
        for number, load in enumerate(sound.circuit.loads)
        if load.key in opened.circuit.load_of and not load.pwm
    ]
    standing, running = references(sound, sound.conditions)
    volts = [standing[n] if abs(standing[n]) >= abs(running[n]) / 2 else running[n] for n, _ in pairs]
    found: dict[tuple[int, Settings, Status, Status], list[tuple[str, JudgedLoad]]] = {}
    told: dict[tuple[int, str, Status, Status], list[Settings]] = {}
    for condition in sorted(sound.conditions, key=lambda one: len(one.settings)):
        ours, theirs = sound.state(condition).load_volts, opened.state(condition).load_volts
        for (number, other), reference in zip(pairs, volts, strict=True):
            if not reference or abs(ours[number] - theirs[other]) < 1e-6:
                continue
            was = judged(sound.circuit.loads[number], float(ours[number]), float(reference))
            now = judged(sound.circuit.loads[number], float(theirs[other]), float(reference))
            key = (number, condition.stage, was.status, now.status)
            if was.status is now.status or _is_told(condition.settings, told.get(key, ())):
                continue
            told.setdefault(key, []).append(condition.settings)
            found.setdefault((number, condition.settings, was.status, now.status), []).append((condition.stage, now))
    return tuple(_rows(sound.circuit.loads, found))


def _is_told(settings: Settings, before: Collection[Settings]) -> bool:
    return any(set(one) <= set(settings) for one in before)


def _rows(
    loads: tuple[Load, ...], found: dict[tuple[int, Settings, Status, Status], list[tuple[str, JudgedLoad]]]
) -> Iterator[Odd]:
    for (number, settings, was, now), each in found.items():
        stages = tuple(stage for stage, _ in each)
        close = any(one.close for _, one in each)
        yield Odd(loads[number].label, settings, was, now, stages, each[0][1].volts, close)


def shaken(sound: Behaviour, opened: Behaviour) -> tuple[Shaken, ...]:
    """Every relay and module that hunts or is held where it was not, in the first condition that shows it."""
    found: dict[tuple[str, bool], Shaken] = {}
    for condition in sound.conditions:
        before, after = sound.state(condition), opened.state(condition)
        for component in sorted(after.hunting - before.hunting):
            found.setdefault((component, False), Shaken(component, condition, held=False))
        for component in sorted(after.held - before.held):
            found.setdefault((component, True), Shaken(component, condition, held=True))
    return tuple(found.values())
