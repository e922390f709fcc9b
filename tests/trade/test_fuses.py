"""Blade fuses: ISO 8820-3 ratings and colours, time-current gates, and AC 43.13-1B fuses for wires."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harnesscheck.trade.fuses import (
    FORMS,
    fuse,
    fuse_colour,
    fuse_form,
    gates,
    largest_rating_a,
    melting_time_s,
    next_rating_a,
    protection_for_wire,
    rating_for_load_a,
    standard_ratings_a,
)
from harnesscheck.trade.sizes import awg_area_mm2

# ISO 8820-3 / SAE J1284, J2077, J1888 as printed on public fuse-colour pages.
ISO_8820_3 = {
    "C": {
        1: "black", 2: "grey", 3: "violet", 4: "pink", 5: "tan", 7.5: "brown", 10: "red", 15: "blue",
        20: "yellow", 25: "clear", 30: "green", 35: "blue-green", 40: "orange",
    },
    "F": {
        2: "grey", 3: "violet", 4: "pink", 5: "tan", 7.5: "brown", 10: "red", 15: "blue", 20: "yellow",
        25: "clear", 30: "green",
    },
    "E": {
        20: "yellow", 30: "green", 40: "orange", 50: "red", 60: "blue", 70: "brown", 80: "clear",
        100: "violet", 120: "pink",
    },
}  # fmt: skip


@pytest.mark.parametrize("form", FORMS)
def test_ratings_and_housing_colours_are_those_of_iso_8820_3(form):
    assert {rating: fuse_colour(form, rating) for rating in standard_ratings_a(form)} == ISO_8820_3[form]
    assert list(standard_ratings_a(form)) == sorted(ISO_8820_3[form])


def test_one_rating_has_different_colours_in_different_forms():
    """ISO 8820-3: a red fuse is 10 A in form C and 50 A in form E, so the printed number counts."""
    assert fuse_colour("C", 10) == fuse_colour("E", 50) == "red"


@pytest.mark.parametrize(("form", "rating"), [("C", 12), ("F", 40), ("E", 10), ("G", 10)])
def test_what_the_standard_does_not_have_is_none(form, rating):
    assert fuse(form, rating) is None
    assert fuse_colour(form, rating) is None


def test_cold_resistance_and_drop_are_given_only_where_published():
    """Typical cold resistances from data sheets and workshop charts; drops of form E from DIN 72581-3."""
    assert fuse("C", 10).cold_resistance_ohm == pytest.approx(0.0077)
    assert fuse("F", 15).cold_resistance_ohm == pytest.approx(0.0046)
    assert fuse("C", 40).cold_resistance_ohm == pytest.approx(0.00144)
    assert fuse("C", 20).cold_resistance_ohm is None
    assert fuse("E", 20).max_drop_v == pytest.approx(0.125)
    assert fuse("E", 30).max_drop_v == pytest.approx(0.100)
    assert fuse("C", 10).max_drop_v is None


@pytest.mark.parametrize(("form", "rating", "volts", "amps"), [("C", 10, 0.001, 0.130), ("F", 15, 0.001, 0.218)])
def test_reading_current_through_a_fuse_from_its_drop(form, rating, volts, amps):
    """Workshop chart, printed to 1 mA: 1 mV is 130 mA in a 10 A C fuse and 218 mA in a 15 A F fuse."""
    assert volts / fuse(form, rating).cold_resistance_ohm == pytest.approx(amps, abs=0.001)


def test_the_125_percent_rule():
    """10 A asks for at least 12.5 A, public fuse page; the next C rating is 15 A."""
    assert next_rating_a("C", 10 * 1.25) == 15
    assert rating_for_load_a("C", 10) == 15


def test_the_75_percent_rule():
    """10 A / 0.75 = 13.33 A, then 15 A; a fuse maker's introduction."""
    assert rating_for_load_a("C", 10, use=0.75) == 15


def test_six_hundred_watts_at_twelve_volts():
    """50 A times 1.25 is 62.5 A; ISO 8820-3 form E has 70 A, although the page that asks answers 80 A."""
    assert next_rating_a("E", 600 / 12 * 1.25) == 70


def test_neighbouring_ratings_at_the_ends_of_the_scale():
    assert next_rating_a("C", 10) == 10
    assert largest_rating_a("C", 14.9) == 10
    assert next_rating_a("F", 30.1) is None
    assert largest_rating_a("E", 19.9) is None
    assert next_rating_a("G", 1) is None


@given(st.sampled_from(FORMS), st.floats(0.1, 150))
def test_the_next_and_the_largest_rating_embrace_a_current(form, current_a):
    above, below = next_rating_a(form, current_a), largest_rating_a(form, current_a)

    assert above is None or above >= current_a
    assert below is None or below <= current_a
    assert not [r for r in standard_ratings_a(form) if (below or 0) < r < (above or 1e9) and r != current_a]


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("C", "C"),
        ("e", "E"),
        ("mini", "F"),
        ("Maxi", "E"),
        ("medium blade", "C"),
        ("glass", None),
        ("", None),
    ],
)
def test_forms_are_read_from_the_words_of_the_trade(text, form):
    """Common practice, no source."""
    assert fuse_form(text) == form


def test_a_current_between_two_gates_is_held_as_long_as_the_lower_gate_allows():
    """18.9 A through a 10 A C fuse is 189 %: 160 % gate 0.25-50 s, 200 % gate 0.15-5 s; so up to 50 s."""
    assert melting_time_s("C", 10, 18.9) == (0.15, 50)


@pytest.mark.parametrize(
    ("form", "rating", "current", "expected"),
    [
        ("C", 10, 10, (360000, None)),  # 100 h at 110 %, ISO 8820-3, from memory
        ("C", 10, 12, (0.75, None)),
        ("C", 10, 13.5, (0.75, 1800)),  # ISO 8820-3 gate; data sheets say 600 s, the wider one stands
        ("C", 10, 20, (0.15, 5)),
        ("C", 10, 200, (None, 0.1)),
        ("C", 40, 80, (0.15, 5)),
        ("E", 50, 67.5, (60, 1800)),  # DIN 72581-3
        ("E", 50, 100, (2, 60)),
        ("E", 40, 80, (2, 60)),  # one data sheet says 50 s
        ("E", 40, 240, (0.04, 1)),
        ("E", 100, 200, (None, None)),  # nothing published
    ],
)
def test_melting_times_are_the_published_gates(form, rating, current, expected):
    assert melting_time_s(form, rating, current) == expected


@given(st.sampled_from([(form, rating) for form in FORMS for rating in ISO_8820_3[form]]), st.floats(1, 12))
def test_more_current_never_allows_a_fuse_more_time(which, multiple):
    form, rating = which
    soonest, latest = melting_time_s(form, rating, multiple * rating)
    soonest_more, latest_more = melting_time_s(form, rating, 1.5 * multiple * rating)

    assert latest is None or (latest_more is not None and latest_more <= latest)
    assert soonest is None or soonest_more is None or soonest_more <= soonest
    assert soonest is None or latest is None or soonest < latest


@pytest.mark.parametrize("form", FORMS)
def test_gates_rise_in_current_and_are_not_crossed(form):
    for rating in standard_ratings_a(form):
        found = gates(form, rating)
        assert [gate.percent for gate in found] == sorted({gate.percent for gate in found})
        assert all(g.min_s < g.max_s for g in found if g.min_s is not None and g.max_s is not None)


# FAA AC 43.13-1B table 11-3: gauge, largest breaker, largest fuse.
AC_43_13_1B = [
    ("22", 5, 5),
    ("20", 7.5, 5),
    ("18", 10, 10),
    ("16", 15, 10),
    ("14", 20, 15),
    ("12", 30, 20),
    ("10", 40, 30),
    ("8", 50, 50),
    ("6", 80, 70),
    ("4", 100, 70),
    ("2", 125, 100),
    ("1", None, 150),
    ("1/0", None, 150),
]


@pytest.mark.parametrize(("awg", "breaker_a", "fuse_a"), AC_43_13_1B)
def test_fuse_for_wire_is_that_of_ac_43_13_1b(awg, breaker_a, fuse_a):
    found = protection_for_wire(awg_area_mm2(awg))

    assert (found.awg, found.breaker_a, found.fuse_a) == (awg, breaker_a, fuse_a)
    assert found.source == "FAA AC 43.13-1B table 11-3"


def test_a_wire_between_two_gauges_counts_as_the_thinner():
    assert protection_for_wire(2.5).awg == "14"
    assert protection_for_wire(2.08).awg == "14"  # AWG 14 as it is printed
    assert protection_for_wire(2.0).awg == "16"
    assert protection_for_wire(0.2) is None
