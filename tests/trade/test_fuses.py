"""Blade fuses: ISO 8820-3 ratings and colours, time-current gates, and AC 43.13-1B fuses for wires."""

import pytest

from harnesscheck.trade.fuses import (
    FORMS,
    Gate,
    fuse,
    fuse_colour,
    fuse_form,
    gates,
    protection_for_wire,
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


@pytest.mark.parametrize(
    ("form", "rating", "gate"),
    [
        ("C", 10, Gate(110, 360000, None)),  # 100 h, ISO 8820-3, from memory
        ("C", 10, Gate(135, 0.75, 1800)),  # ISO 8820-3; data sheets say 600 s, the wider one stands
        ("C", 10, Gate(200, 0.15, 5)),
        ("C", 40, Gate(200, 0.15, 5)),
        ("E", 50, Gate(135, 60, 1800)),  # DIN 72581-3
        ("E", 50, Gate(200, 2, 60)),
        ("E", 40, Gate(200, 2, 60)),  # one data sheet says 50 s
    ],
)
def test_gates_are_the_published_ones(form, rating, gate):
    assert gate in gates(form, rating)


def test_where_nothing_is_published_there_is_no_gate():
    assert gates("E", 100) == ()


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
