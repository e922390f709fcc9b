"""A shield that only one car has: one finding a shield, known where the other file speaks of shields."""

from __future__ import annotations

import pytest
from builders.rows import findings, inline, study, told

from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.network.graph.sides import Study

SENSOR = (
    '<component id="crank" kind="sensor"><pin terminal="1" to="SA"/><pin terminal="2" to="SB"/></component>'
    '<splice id="MA"/><splice id="MB"/><component id="ecu" kind="module">'
    '<pin terminal="A" role="input" to="MA"/><pin terminal="B" role="return" to="MB"/></component>'
)


def car(shield: str, more: str = "") -> Study:
    """A sensor's two wires through an in-line plug, in a shield or in none."""
    said = f' shield="{shield}"' if shield else ""
    wires = {"1": f"a>MA{said}", "2": f"b>MB{said}"}
    return study(SENSOR, inline(wires, {"1": "a>SA", "2": "b>SB"}), more)


def lost(donor: Study, shell: Study) -> list[Finding]:
    """What is told of shields."""
    return [one for one in findings(donor, shell) if one.kind == "signal-mismatch"]


@pytest.mark.parametrize(("donor", "shell"), [("SH1", ""), ("", "SH1")])
def test_a_shield_that_one_car_has_is_told_once(donor: str, shell: str) -> None:
    """Both of its wires in one sentence, at the first of its contacts, whichever car has it."""
    (one,) = lost(car(donor), car(shell))

    assert told([one]) == ["signal-mismatch C1:1"]
    assert one.severity is Severity.REWORK and "a, b in shield SH1" in one.text
    assert one.certainty is Certainty.LIKELY  # the other file speaks of no shield at all


def test_a_file_that_speaks_of_other_shields_has_left_none_out() -> None:
    """Known then."""
    other = '<splice id="SX"/><splice id="SY"/><wire from="SX" to="SY" shield="SH9"/>'
    (one,) = lost(car("SH1"), car("", other))

    assert one.certainty is Certainty.KNOWN


def test_a_shield_of_another_name_is_a_shield() -> None:
    """The near miss; and two files without any."""
    assert lost(car("SH1"), car("S7")) == lost(car(""), car("")) == []
