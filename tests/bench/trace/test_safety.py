"""What can hurt beside restraint and high voltage is said in one line where it matters, and nowhere else.

Common practice, no source, for all of it; the names in other languages are from memory.
"""

from __future__ import annotations

import pytest
from builders.rows import study

from harnesscheck.bench.ringout.looms import looms_of
from harnesscheck.bench.ringout.powerup import Check, PowerUp
from harnesscheck.bench.ringout.unplugging import unplug_list
from harnesscheck.bench.trace.safety import AT_THE_BATTERY, CAPACITOR, FUEL, HIGH_TENSION, XENON
from harnesscheck.bench.trace.targets import targets
from harnesscheck.bench.trace.trace import trace
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.lumping import circuit_of
from harnesscheck.report.tracing import told

CARES = {AT_THE_BATTERY, CAPACITOR, FUEL, HIGH_TENSION, XENON}


def car(name: str, more: str = "") -> Study:
    """A part of a name on a run feed, a lamp beside it."""
    rows = [
        f'<component id="{id_}" kind="{kind}" name="{called}" watts="20" {said}>'
        '<pin terminal="+" role="supply" to="R"/>'
        '<pin terminal="-" role="ground" to="G1"/></component>'
        for id_, kind, called, said in (("part", "other", name, more), ("beside", "lamp", "Roof lamp", ""))
    ]
    return study("".join(rows))


def cares(of: Study, asked: str) -> set[str]:
    """The lines of these that a trace has."""
    behaviour = Behaviour(of)
    (target,) = targets(of, behaviour.circuit, asked)
    return CARES & set(told(trace(behaviour, target), "vehicle").notes)


def power_up(of: Study) -> tuple[Check, ...]:
    """The first power-up of a car."""
    behaviour = Behaviour(of)
    return PowerUp(of, looms_of(of, behaviour.circuit), behaviour).checks()


@pytest.mark.parametrize(
    ("name", "care"),
    [
        ("Ignition coil 2", HIGH_TENSION),
        ("Zündspule", HIGH_TENSION),
        ("bobine d'allumage", HIGH_TENSION),
        ("Xenon headlamp, left", XENON),
        ("HID ballast", XENON),
        ("Suppression capacitor", CAPACITOR),
        ("Entstörkondensator", CAPACITOR),
    ],
)
def test_a_part_that_can_hurt_has_its_one_line_and_its_neighbour_none(name: str, care: str) -> None:
    assert cares(car(name), "part") == {care}
    assert cares(car(name), "beside") == set()


@pytest.mark.parametrize(
    "name", ["Ballast resistor", "Condenser fan, air conditioning", "Relay coil", "Ignition switch lamp"]
)
def test_a_name_that_only_looks_alike_has_none(name: str) -> None:
    assert cares(car(name), "part") == set()


def test_fuel_and_the_battery_have_theirs() -> None:
    """Who asks for the battery works at it; every other way begins there and says nothing of it."""
    of = car("Lift pump", 'system="fuel"')
    assert cares(of, "part") == {FUEL}
    assert cares(of, "battery") == {AT_THE_BATTERY}


def test_the_battery_s_line_stands_where_it_is_taken_off_and_at_cranking() -> None:
    of = car("Lift pump")
    (off,) = (row for row in unplug_list(looms_of(of), circuit_of(of)) if row.component == "battery")
    checks = power_up(of)

    assert AT_THE_BATTERY in off.caution
    assert [check.step for check in checks if AT_THE_BATTERY in check.do] == ["prepare"]
    assert any(check.step == "crank" and "Eye protection" in check.do for check in checks)


@pytest.mark.parametrize(("name", "steps"), [("Ignition coil", ["start"]), ("Glow plug", [])])
def test_the_high_tension_s_line_stands_before_the_start_of_a_car_that_has_it(name: str, steps: list[str]) -> None:
    checks = power_up(car(name))
    assert [check.step for check in checks if HIGH_TENSION in check.do] == steps
