"""Two lone plugs of words: what faces what, who is who. Common practice, no source."""

from collections.abc import Mapping

import pytest
from builders.rows import bare, findings
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.align import align
from harnesscheck.network.graph.sides import Study


def plug(functions: Mapping[int, str], circuits: Mapping[int, str] | None = None) -> Study:
    """A plug with a function, and maybe a circuit, in each cavity."""
    named = circuits or {}
    rows = "".join(
        f'<pin cavity="{n}" function="{text}"' + (f' circuit="{named[n]}"' if n in named else "") + "/>"
        for n, text in functions.items()
    )
    return bare(f'<connector id="X1" harness="?" cavities="{max(functions)}">{rows}</connector>')


def said(a: str, b: str) -> list[tuple[str, str]]:
    """Kind and certainty of what is found when one text faces another."""
    return [(one.kind, one.certainty.word) for one in findings(plug({1: a}), plug({1: b}))]


BURNS = [
    ("dauernd Plus Radio", "Masse Karosserie"), ("alimentation permanente", "masse"), ("ACC feed", "chassis earth"),
    ("fuel pump supply", "ground G3"), ("Klemme 15", "Klemme 31"), ("plus po stacyjce", "masa"), ("IG", "E1"),
]  # fmt: skip


@pytest.mark.parametrize(("feed", "ground"), BURNS)
def test_a_feed_that_meets_a_ground_is_a_short_whatever_the_language(feed, ground):
    assert said(feed, ground) == [("feed-to-ground", "likely")]
    assert said(ground, feed) == [("feed-to-ground", "likely")]


@settings(max_examples=40)
@given(st.sampled_from(BURNS), st.sampled_from(["left", "(grey wire)", "1.5 mm²", "zorbel", "?", "Reserve", "maybe"]))
def test_no_added_word_makes_a_short_silent(pair, word):
    feed, ground = pair

    assert said(f"{feed} {word}", ground)
    assert said(feed, f"{ground} {word}")


@pytest.mark.parametrize("rail", ["chassis earth", "permanent feed", "Zündungsplus"])
def test_a_rail_against_words_nobody_knows_may_burn_and_is_never_called_crossed(rail):
    for study in (plug({1: "zorbel 7"}), plug({1: "inconnu"})):
        (found,) = findings(plug({1: rail}), study)

        assert (found.kind, found.certainty.word) == ("not-documented", "not known")
        assert "may burn" in found.text


SAME = [
    ("gnd", "Masse"),
    ("CAN_H", "CAN High"),
    ("permanent feed", "battery positive"),
    ("left indicator", "LH turn signal"),
]
APART = [
    ("left indicator", "right indicator"),
    ("CAN high", "CAN low"),
    ("injector 1", "injector 2"),
    ("horn", "wiper"),
]


@pytest.mark.parametrize(("a", "b"), SAME)
def test_two_ways_to_say_the_same_are_no_difference(a, b):
    assert said(a, b) == said(b, a) == []


@pytest.mark.parametrize(("a", "b"), APART)
def test_what_is_understood_and_differs_is_crossed(a, b):
    assert said(a, b) == said(b, a) == [("crossed", "likely")]


def test_what_cannot_be_told_apart_is_to_be_rung_out():
    assert said("horn", "zorbel") == [("not-documented", "not known")]
    assert said("power supply", "permanent feed") == [("not-documented", "not known")]


def test_a_sensor_s_ground_is_no_body_ground():
    assert said("sensor ground", "chassis ground") == [("signal-grounded", "likely")]
    assert said("sensor ground", "signal return") == []


FUNCTIONS = ["horn", "radio feed", "left headlamp", "ground", "fuel pump feed", "CAN high", "wiper", "brake lamp"]
PLAIN = dict(enumerate(FUNCTIONS, 1))
NAMES = {n: f"W{n}" for n in PLAIN}


def turned(row: Mapping[int, str]) -> dict[int, str]:
    """The same, all one cavity on, the last one first."""
    return {n % len(row) + 1: text for n, text in row.items()}


def moved(donor: Study, shell: Study) -> dict[str, str]:
    found = findings(donor, shell, align(donor, shell))
    return {one.donor.cavity: one.shell.cavity for one in found if one.kind == "moved-pin"}


@pytest.mark.parametrize("functions", [True, False], ids=["names and functions", "names alone"])
def test_a_plug_all_one_cavity_on_is_told_as_moved(functions):
    texts = PLAIN if functions else dict.fromkeys(PLAIN, "")
    donor, shell = plug(texts, NAMES), plug(turned(texts), turned(NAMES))

    assert moved(donor, shell) == {str(n): str(n % len(PLAIN) + 1) for n in PLAIN}
    assert align(donor, shell).distrusted == ()


def test_names_that_only_moved_are_distrusted_where_functions_stay_and_the_reason_is_told():
    donor, shell = plug(PLAIN, NAMES), plug(PLAIN, turned(NAMES))
    pairs = align(donor, shell)

    assert findings(donor, shell, pairs) == ()
    assert len(pairs.distrusted) == len(PLAIN)
    assert "for 'horn' in both" in pairs.distrusted[0].why


def test_functions_that_moved_under_their_names_are_a_difference_and_the_reason_is_told():
    donor, shell = plug(PLAIN, NAMES), plug(turned(PLAIN), NAMES)
    pairs = align(donor, shell)

    assert {one.donor.cavity for one in findings(donor, shell, pairs)} == {str(n) for n in PLAIN}
    assert "'horn' in the donor and 'brake lamp' in the shell" in pairs.distrusted[0].why
