"""Parts whose rated volts are not the car's, judged in one car alone."""

from __future__ import annotations

import pytest
from builders.rows import lamp, study

from harnesscheck.compare.carries.loadfindings import load_findings
from harnesscheck.compare.carries.loads import loads_of
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.network.behaviour.states import Behaviour


def told(volts: str, more: str = "") -> list[tuple[str, Severity]]:
    """What is said of one part made for some volts, in a car of 12 V."""
    car = study(lamp("part", "P", kind="sensor", more=f'amps="0.02" volts="{volts}" {more}'))
    found = load_findings(loads_of(Behaviour(car)))
    return [(one.kind, one.severity) for one in found if one.donor_component == "part"]


@pytest.mark.parametrize(
    ("volts", "expect"),
    [
        ("5", [("wrong-feed", Severity.DAMAGE)]),
        ("6", [("wrong-feed", Severity.DAMAGE)]),
        ("8", []),  # 12 is 1.5 times 8: the limit, see compare.works.stress
        ("12", []),
        ("24", [("dim-accessory", Severity.DEAD)]),
    ],
)
def test_rated_volts_are_held_against_what_arrives(volts: str, expect: list[tuple[str, Severity]]) -> None:
    """A part takes half as much again as its rated volts; for less than two thirds of them it is dim."""
    assert told(volts) == expect


def test_a_part_behind_a_resistor_gets_what_is_left() -> None:
    """The near miss: 6 V, 0.1 A is 60 Ω, and 60 Ω before it leave it 6 V (Ohm's law)."""
    drop = '<splice id="S1"/><component id="drop" kind="resistor" ohms="60"><pin terminal="1" to="P"/>'
    drop += '<pin terminal="2" to="S1"/></component>'
    car = study(drop, lamp("part", "S1", more='amps="0.1" volts="6"'))

    assert [one for one in load_findings(loads_of(Behaviour(car))) if one.donor_component == "part"] == []
