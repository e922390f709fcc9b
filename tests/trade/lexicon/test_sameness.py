"""Do two texts name one circuit? Common practice, no source."""

import csv
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.trade.lexicon import Sameness, sameness

TABLE = Path(__file__).with_name("pairs.csv")
ALL = [
    (row["a"], row["b"], Sameness(row["answer"]))
    for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines())
]


@pytest.mark.parametrize(("a", "b", "answer"), ALL)
def test_two_texts_are_told_apart_as_a_mechanic_would(a, b, answer):
    assert sameness(a, b) is answer
    assert sameness(b, a) is answer


@settings(max_examples=100)
@given(st.sampled_from(ALL), st.sampled_from([str.upper, str.lower]))
def test_capitals_and_brackets_change_nothing(pair, change):
    a, b, answer = pair
    assert sameness(change(a), f"({b})") is answer


@given(st.text(min_size=1, max_size=40), st.text(min_size=1, max_size=40))
def test_the_order_of_two_texts_says_nothing(a, b):
    assert sameness(a, b) is sameness(b, a)
