"""Natural order: what a person expects of names with numbers in them, and an order between any two names."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.model.order import natural_key

NAMES = st.text(st.sampled_from("AC12 0-é"), max_size=6)


def test_numbers_count_as_numbers_and_a_name_comes_before_what_goes_on_from_it() -> None:
    ordered = ["", "1", "2", "10", "C", "C1", "C2", "C2:1", "C2:10", "C2A", "C10", "C-1", "sill", "sill 2"]

    assert sorted(set(ordered), key=natural_key) == ordered


@settings(max_examples=50)
@given(NAMES, NAMES)
def test_only_the_same_name_has_the_same_key(one: str, other: str) -> None:
    assert (natural_key(one) == natural_key(other)) == (one == other)
    assert natural_key(one) <= natural_key(other) or natural_key(other) <= natural_key(one)
