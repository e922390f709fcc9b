"""Allowable currents: published tables, never mixed, and their corrections."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harnesscheck.trade.ampacity import (
    INSULATION_LIMITS_DEGC,
    allowable_current,
    ambient_factor,
    bundle_factor,
    sources,
)
from harnesscheck.trade.sizes import awg_area_mm2

CFR = "33 CFR 183.425 table 5"
VDE = "DIN VDE 0298-4 table 11 column 2"
FAA = "FAA AC 43.13-1B table 11-9"
ISO = "ISO 10133 annex A"  # from memory
IEC = "IEC 60204-1 table 6"  # from memory

# 33 CFR 183.425 table 5 (public law): gauge, A at 60, 80, 105 °C insulation, 30 °C ambient.
CFR_ROWS = [
    ("18", 10, 15, 20),
    ("16", 15, 20, 25),
    ("14", 20, 25, 35),
    ("12", 25, 35, 45),
    ("10", 40, 50, 60),
    ("8", 55, 70, 80),
    ("6", 80, 100, 120),
    ("2", 140, 175, 210),
    ("4/0", 300, 385, 445),
]
# DIN VDE 0298-4 table 11 column 2: one single-core PVC cable in air, 70 °C, ambient 30 °C.
VDE_ROWS = [(0.75, 15), (1, 19), (1.5, 24), (2.5, 32), (4, 42), (6, 54), (10, 73), (25, 129), (120, 344)]
# FAA AC 43.13-1B table 11-9: wires in bundles, ambient 70 °C; A at 105, 150, 200 °C.
FAA_ROWS = [("24", 2.5, 4, 5), ("20", 4, 7, 9), ("14", 10, 14, 18), ("10", 17, 26, 32), ("8", 38, 57, 71)]


@pytest.mark.parametrize(("gauge", "at_60", "at_80", "at_105"), CFR_ROWS)
def test_33_cfr_183_425_table_5(gauge, at_60, at_80, at_105):
    for insulation_degc, expected in ((60, at_60), (80, at_80), (105, at_105)):
        found = allowable_current(awg_area_mm2(gauge), insulation_degc, source=CFR)
        assert found.current_a == pytest.approx(expected)
        assert (found.source, found.status) == (CFR, "verified")


@pytest.mark.parametrize(("area_mm2", "expected"), VDE_ROWS)
def test_din_vde_0298_4_table_11(area_mm2, expected):
    assert allowable_current(area_mm2, 70, source=VDE).current_a == pytest.approx(expected)


@pytest.mark.parametrize(("gauge", "at_105", "at_150", "at_200"), FAA_ROWS)
def test_ac_43_13_1b_table_11_9(gauge, at_105, at_150, at_200):
    for insulation_degc, expected in ((105, at_105), (150, at_150), (200, at_200)):
        found = allowable_current(awg_area_mm2(gauge), insulation_degc, ambient_degc=70, source=FAA)
        assert found.current_a == pytest.approx(expected)


def test_tables_differ_for_one_wire_and_are_not_mixed():
    """2.5 mm² at 70 °C: 32 A in DIN VDE 0298-4, 25 A in ISO 10133 (from memory)."""
    assert allowable_current(2.5, 70, source=VDE).current_a == pytest.approx(32)
    assert allowable_current(2.5, 70, source=ISO).current_a == pytest.approx(25)
    assert allowable_current(2.5, 70).source in sources()


def test_every_limit_is_of_one_table():
    """Whatever the size and the insulation; beyond the table's ends it is called extrapolated and goes on rising."""
    areas = [0.13, 0.22, 0.35, 0.5, 0.75, 0.82, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 50, 95, 107, 120]
    found = [allowable_current(area, limit) for limit in (60, 80, 105, 125) for area in areas]

    assert {one.source for one in found} == {CFR}
    assert {
        one.table_a
        for one, area in zip(found, areas * 4, strict=True)
        if one.status == "extrapolated" and 0.82 <= area <= 107
    } == set()
    for first in range(0, len(found), len(areas)):
        amps = [one.current_a for one in found[first : first + len(areas)]]
        assert amps == sorted(amps) and len(set(amps)) == len(amps)


def test_a_thin_wire_goes_on_from_the_two_thinnest_rows():
    """AWG 18 and 16 at 80 °C are 15 and 20 A, two gauges apart; two gauges thinner is 15 · 15 / 20 A."""
    assert allowable_current(awg_area_mm2(20)).current_a == pytest.approx(15 * 15 / 20)
    assert 0.75 < allowable_current(0.5, 70, 40).current_a / 7.8 <= 1  # IEC 60204-1 table 6, from memory


# DIN VDE 0298-4 table 17, 70 °C conductor, base 30 °C; printed to 2 digits, cut and rounded.
VDE_AMBIENT = [
    (10, 1.22), (15, 1.17), (20, 1.12), (25, 1.06), (30, 1.00), (35, 0.94), (40, 0.87), (45, 0.79),
    (50, 0.71), (55, 0.61), (60, 0.50), (65, 0.35),
]  # fmt: skip
# 33 CFR 183.425 table 5 note 1: insulation limit, factor in engine spaces (50 °C); all but 105 from memory.
CFR_ENGINE_SPACE = [(60, 0.58), (75, 0.75), (80, 0.78), (90, 0.82), (105, 0.85), (125, 0.89)]


@pytest.mark.parametrize(("ambient_degc", "factor"), VDE_AMBIENT)
def test_the_heat_balance_gives_the_ambient_factors_of_din_vde_0298_4(ambient_degc, factor):
    assert ambient_factor(70, ambient_degc, 30) == pytest.approx(factor, abs=0.006)


@pytest.mark.parametrize(("insulation_degc", "factor"), CFR_ENGINE_SPACE)
def test_the_heat_balance_gives_the_engine_space_factors_of_33_cfr(insulation_degc, factor):
    assert ambient_factor(insulation_degc, 50, 30) == pytest.approx(factor, abs=0.007)


def test_at_the_limit_of_the_insulation_nothing_is_left():
    assert allowable_current(2.5, 80, ambient_degc=80).current_a == 0
    assert allowable_current(2.5, 80, ambient_degc=120).current_a == 0


# 33 CFR 183.425 table 5 note 2 / UL 1426 (25 and more from memory); DIN VDE 0298-4 table 26.
@pytest.mark.parametrize(
    ("source", "wires", "factor"),
    [
        (CFR, 2, 1.0), (CFR, 3, 0.7), (CFR, 4, 0.6), (CFR, 6, 0.6), (CFR, 7, 0.5), (CFR, 24, 0.5),
        (CFR, 25, 0.4),
        (VDE, 1, 1.0), (VDE, 5, 0.75), (VDE, 7, 0.65), (VDE, 10, 0.55), (VDE, 14, 0.5), (VDE, 19, 0.45),
        (VDE, 24, 0.4), (VDE, 40, 0.35), (VDE, 61, 0.3), (VDE, 6, 0.65), (VDE, 62, None),
        (ISO, 2, None), (FAA, 40, 1.0),
    ],
)  # fmt: skip
def test_bundles_follow_the_rule_of_the_same_table(source, wires, factor):
    assert bundle_factor(source, wires) == factor


def test_corrections_are_named_beside_the_table_value():
    found = allowable_current(awg_area_mm2(14), 105, ambient_degc=50, loaded_wires=5, source=CFR)

    assert found.table_a == pytest.approx(35)
    assert found.bundle_factor == 0.6
    assert found.current_a == pytest.approx(35 * found.ambient_factor * 0.6)


@pytest.mark.parametrize(
    ("area_mm2", "insulation_degc", "source"),
    [(0.1, 80, None), (500, 80, None), (0.5, 80, CFR), (2.5, 60, VDE), (6.5, 105, FAA), (2.5, 80, "another")],
)
def test_what_no_table_covers_is_not_known(area_mm2, insulation_degc, source):
    """Among them the step in AC 43.13-1B between AWG 10 and 8, where the bundle it is printed for changes."""
    assert allowable_current(area_mm2, insulation_degc, source=source) is None


@given(st.sampled_from([CFR, VDE, ISO]), st.floats(0.83, 100), st.floats(1.01, 1.5))
def test_within_a_table_a_thicker_wire_carries_more(source, area_mm2, more):
    thin = allowable_current(area_mm2, 105, source=source)
    thick = allowable_current(min(area_mm2 * more, 107), 105, source=source)

    assert thick.current_a >= thin.current_a


@given(st.floats(0.83, 100), st.floats(0, 100), st.floats(0, 20))
def test_a_hotter_surrounding_never_allows_more(area_mm2, ambient_degc, more_degc):
    cool = allowable_current(area_mm2, 105, ambient_degc, source=CFR)
    warm = allowable_current(area_mm2, 105, ambient_degc + more_degc, source=CFR)

    assert warm.current_a <= cool.current_a


def test_every_insulation_of_the_netlist_has_a_limit():
    from harnesscheck.fields import INSULATIONS

    assert set(INSULATION_LIMITS_DEGC) == set(INSULATIONS)
    assert INSULATION_LIMITS_DEGC["pvc"] == 80  # the stated default
