"""Classes of functions as people write them. Common practice, no source; terminal numbers by DIN 72552."""

import csv
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.trade.lexicon import understand
from harnesscheck.trade.tables import rows

TABLE = Path(__file__).with_name("functions.csv")
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))
SURE = [row["text"] for row in ROWS if row["class"] != "none"]


def class_of(text):
    return understand(text).class_ or "none"


@pytest.mark.parametrize("row", ROWS, ids=[f"{row['language']} {row['text']}" for row in ROWS])
def test_a_function_has_the_class_that_a_mechanic_gives_it(row):
    assert class_of(row["text"]) in row["class"].split("|")


@settings(max_examples=150)
@given(st.sampled_from([row["text"] for row in ROWS]), st.sampled_from([str.upper, str.lower, str.title]))
def test_capitals_and_blanks_change_nothing(text, change):
    assert class_of(f"  {change(text)}  ") == class_of(text)
    assert class_of(text.replace(" ", "  ")) == class_of(text)


@settings(max_examples=100)
@given(st.sampled_from([row["text"] for row in ROWS if "(" not in row["text"]]))
def test_brackets_around_it_change_nothing(text):
    assert class_of(f"({text})") == class_of(text)


PLAIN = (
    "battery feed radio", "fuel pump ground", "sensor ground throttle", "ignition feed radio", "horn relay feed",
    "CAN high body", "permanent feed alarm", "masse carrosserie gauche", "positivo batería radio", "Dauerplus Radio",
    "jord vänster", "reference 5V throttle",
)  # fmt: skip


@settings(max_examples=100)
@given(st.sampled_from(PLAIN), st.data())
def test_the_order_of_words_changes_nothing(text, data):
    words = text.replace("fuel pump", "fuel_pump").split()
    shuffled = " ".join(data.draw(st.permutations(words))).replace("fuel_pump", "fuel pump")
    assert class_of(shuffled) == class_of(text)


@pytest.mark.parametrize("row", [row for row in rows("terminals") if row["class"]], ids=lambda row: row["terminal"])
def test_every_terminal_of_din_72552_with_a_class_has_it(row):
    """Against the standard's own table, after a word for terminal in several languages."""
    for word in ("Kl.", "Klemme", "terminal", "borne", "morsetto", "zacisk", "klem"):
        assert class_of(f"{word} {row['terminal']}") == row["class"]


@pytest.mark.parametrize(
    ("text", "class_"),
    [
        ("ground 1.5 mm²", "ground"), ("ground AWG 16", "ground"), ("IGN feed (F12 10A)", "run"),
        ("GND circuit 540", "ground"), ("ground (no. 2)", "ground"), ("12 V permanent (fuse 7)", "permanent"),
        ("masse 0,75 qmm", "ground"),
    ],
)  # fmt: skip
def test_sizes_fuses_and_circuit_numbers_are_read_as_such(text, class_):
    meaning = understand(text)

    assert (meaning.class_, meaning.unknown) == (class_, ())


def test_a_misprint_is_understood_and_said():
    meaning = understand("permanant feed")

    assert (meaning.class_, meaning.corrected) == ("permanent", (("permanant", "permanent"),))


def test_words_nobody_knows_are_said():
    assert understand("flurbel ground").unknown == ("flurbel",)


DOUBTS = (
    "switched ground | feed/ground | +12 V or ground | not ground | short to ground | ground? | fan relay coil ground"
)


@pytest.mark.parametrize("text", DOUBTS.split(" | "))
def test_a_word_of_doubt_gives_no_class_and_keeps_what_it_may_be(text):
    meaning = understand(text)

    assert meaning.class_ is None
    assert "ground" in meaning.maybe


@given(st.text(max_size=80))
def test_any_text_is_read(text):
    understand(text)


@pytest.mark.parametrize("text", ["", None, "+", "-", "--", "?", "..."])
def test_a_text_that_says_nothing_has_no_class(text):
    assert understand(text).class_ is None
