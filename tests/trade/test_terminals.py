"""DIN 72552-2:1971 terminal numbers, as public lists in four languages agree; the rest from memory."""

import pytest

from harnesscheck.fields import CLASSES
from harnesscheck.trade.tables import rows
from harnesscheck.trade.terminals import feed_class, terminal


@pytest.mark.parametrize(
    ("number", "group", "word"),
    [
        ("15", "supply", "ignition switch"),
        ("30", "supply", "always live"),
        ("31", "supply", "negative"),
        ("50", "starter", "solenoid"),
        ("85", "relay", "coil"),
        ("86", "relay", "coil"),
        ("4", "ignition", "high-voltage"),
    ],
)
def test_verified_numbers_mean_what_public_lists_say(number, group, word):
    found = terminal(number)

    assert (found.number, found.group, found.status) == (number, group, "verified")
    assert word in found.meaning


@pytest.mark.parametrize(("written", "number"), [("15A", "15a"), ("58l", "58L"), ("b+", "B+"), (" 30 ", "30")])
def test_numbers_are_found_in_either_case(written, number):
    assert terminal(written).number == number


@pytest.mark.parametrize("number", ["", "99", "301", "87c", "+", "-"])
def test_a_number_the_standard_does_not_have_is_none(number):
    assert terminal(number) is None
    assert feed_class(number) is None


@pytest.mark.parametrize(
    ("number", "class_"),
    [("30", "permanent"), ("B+", "permanent"), ("15", "run"), ("75", "accessory"), ("50", "start"),
     ("31", "ground"), ("B-", "ground"), ("58", "feed"), ("56a", "feed")],
)  # fmt: skip
def test_a_class_where_the_number_alone_makes_it_certain(number, class_):
    assert feed_class(number) == class_


@pytest.mark.parametrize(
    "number",
    [
        "31b",
        "15a",
        "31a",
        "D+",
        "61",
        "1",
        "54g",
        "L",
        "R",
        "W",
        "53",
        "85",
        "86",
        "87",
        "87a",
        "87b",
        "88",
        "82",
        "58d",
    ],
)
def test_no_class_where_the_number_leaves_a_doubt(number):
    """31b is a ground only through a switch, 15a lies behind a resistor, L is a turn signal or charge lamp."""
    assert terminal(number) is not None
    assert feed_class(number) is None


def test_both_customs_for_87_are_told():
    """Input in DIN 72552, make output on plug-in relays (ISO 7588): both are in use."""
    meaning = terminal("87").meaning

    assert "DIN 72552" in meaning
    assert "ISO 7588" in meaning


def test_every_class_is_one_a_circuit_can_have():
    assert {row["class"] for row in rows("terminals")} - {""} <= set(CLASSES)
