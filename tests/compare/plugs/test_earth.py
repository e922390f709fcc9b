"""The pole of the battery that is the body: told in one car, and where two cars do not agree."""

from __future__ import annotations

import pytest
from builders.rows import TWO, bare, doubted, findings, joined, lamp, socket, told

from harnesscheck.compare.doubtful import doubts
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.network.graph.earth import earth_of
from harnesscheck.network.graph.sides import Study


def car(plus: str, minus: str, more: str = "", battery: dict[str, str] = TWO) -> Study:
    """A battery with one wire on each post, a fuse behind one of them, a lamp and what else a test needs."""
    rows = '<ground id="G1"/><harness id="front"/><splice id="B"/><splice id="P"/>'
    rows += socket("battery", "battery", battery, {"1": plus, "2": minus})
    rows += (
        '<component id="F1" kind="fuse" rating="10"><pin terminal="1" to="B"/><pin terminal="2" to="P"/></component>'
    )
    return bare(rows, lamp("lamp", "P", more='watts="21"'), more)


NEGATIVE, POSITIVE = ("30>B", "31>G1"), ("31>G1", "30>B")
ALTERNATOR = '<component id="alt" kind="alternator"><pin terminal="B+" to="B"/><pin terminal="B-" to="G1"/></component>'


def test_the_pole_on_the_body_is_read_from_the_wires() -> None:
    """Minus in one car, plus in the other; with both on it neither tells."""
    assert earth_of(car(*NEGATIVE)) == ("negative", "battery")
    assert earth_of(car(*POSITIVE)) == ("positive", "battery")
    assert earth_of(car("30>G1", "31>G1")) == ("", "")


@pytest.mark.parametrize(("more", "severity"), [("", Severity.DAMAGE), (ALTERNATOR, Severity.INJURY)])
def test_a_battery_turned_round_is_one_finding_at_its_plug(more: str, severity: Severity) -> None:
    """What minds its direction burns; an alternator's diodes short the battery, with no fuse on the way."""
    for donor, shell in ((NEGATIVE, POSITIVE), (POSITIVE, NEGATIVE)):
        found = [one for one in joined(car(*donor, more), car(*shell, more)) if one.severity <= Severity.DEAD]

        assert told(found) == ["reversed battery-H"]
        assert found[0].severity is severity


def test_two_cars_of_one_earth_differ_in_nothing() -> None:
    """The near miss."""
    assert [one for one in findings(car(*POSITIVE), car(*POSITIVE)) if one.severity < Severity.NOTE] == []


def test_validate_says_positive_earth_and_not_short() -> None:
    """It may be meant so, hence likely; with both posts on the body it is a short circuit."""
    (one,) = [each for each in doubts(car(*POSITIVE)) if each.kind == "reversed"]

    assert "positive earth" in one.text
    assert doubted(car(*NEGATIVE)) == []
    assert "feed-to-ground" in " ".join(doubted(car("30>G1", "31>G1")))


def test_validate_asks_which_post_is_plus() -> None:
    """Without it no current can be worked out."""
    (one,) = doubts(car(*NEGATIVE, battery={"1": "a", "2": "b"}))

    assert "which of its terminals (a, b) is +" in one.text and one.severity is Severity.REWORK
