"""Voltage drop: worked examples of public pages, ABYC E-11 sizing, length and temperature corrections."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harnesscheck.trade.sizes import MM2_PER_CIRCULAR_MIL, awg_area_mm2
from harnesscheck.trade.volt_drop import (
    circular_mils_abyc,
    conductor_temperature_degc,
    drop_iso10133_v,
    drop_v,
    hot_length,
    resistance_at,
    sae_gauge,
)

FT_M = 0.3048


def test_aircraft_branch_circuits():
    """AC 43.13-1B table 11-7, tinned stranded wire: solid copper of the gauge drops up to a quarter less."""
    for gauge, ohm_per_ft, length_ft, current_a in (
        (6, 0.00044, 107, 20),
        (12, 0.00202, 88, 20),
        (14, 0.00306, 100, 20),
    ):
        printed_v = ohm_per_ft * length_ft * current_a
        assert 0.75 <= drop_v(current_a, length_ft * FT_M, awg_area_mm2(gauge)) / printed_v <= 1.0


def test_out_and_back_run_of_sixteen_gauge():
    """Public voltage-drop lessons: AWG 16 with 4.99 ohm per 1000 ft, 100 ft one way, 4 A: 3.99 V.

    Our AWG 16 is solid annealed copper, 4.016 ohm per 1000 ft, 20 % below that stranded wire.
    """
    drop = drop_v(4, 200 * FT_M, awg_area_mm2(16))

    assert drop == pytest.approx(3.99 * 4.0155 / 4.99, rel=2e-3)
    assert drop / 24 == pytest.approx(0.134, abs=0.001)


# Public towing-cable guidance: mm², mohm/m at 20 °C, A, drop over 5 m in V.
VEHICLE_PVC = [
    (0.65, 29.4, 5.75, 0.845),
    (1.0, 18.9, 8.75, 0.827),
    (2.0, 9.4, 17.5, 0.823),
    (2.5, 7.5, 21.75, 0.816),
    (3.0, 6.0, 25.5, 0.765),
]


@pytest.mark.parametrize(("area_mm2", "mohm_per_m", "current_a", "printed_v"), VEHICLE_PVC)
def test_vehicle_cable_over_five_metres(area_mm2, mohm_per_m, current_a, printed_v):
    """The page's resistances hold up to 11 % for stranding; the drop scales with them."""
    ours_v = drop_v(current_a, 5, area_mm2)

    assert ours_v * mohm_per_m / (17.241 / area_mm2) == pytest.approx(printed_v, abs=6e-4)
    assert 0.89 <= ours_v / printed_v <= 1.0


def test_half_a_square_millimetre_over_five_metres():
    """39 ohm per km, 5 m, 10 A: 1.95 V (IEC 60228 class 5 maximum); bare copper of 0.5 mm² 12 % less."""
    assert drop_v(10, 5, 0.5) == pytest.approx(1.95 * 34.482 / 39.0, rel=1e-6)


def test_circular_mils_of_abyc_e_11():
    """Public page and catalogue: 12 V, 10 A, 21 ft, 3 %: 6271, which AWG 12 has and SAE 12 has not; 10 %: 1881."""
    assert circular_mils_abyc(10, 21, 0.36) == pytest.approx(6271, abs=0.5)
    assert circular_mils_abyc(10, 21, 1.2) == pytest.approx(1881, abs=0.5)
    assert awg_area_mm2(12) / MM2_PER_CIRCULAR_MIL == pytest.approx(6530, abs=0.5)
    assert sae_gauge(6271) == "10"
    assert sae_gauge(1881) == "16"


# ABYC E-11 tables IX (3 %, 12 V) and X (10 %): A, ft out and back, published gauge.
ABYC_3_PERCENT = [
    (5, 10, "18"), (5, 15, "16"), (5, 20, "14"), (5, 25, "12"), (5, 40, "10"), (5, 70, "8"), (5, 100, "6"),
    (10, 10, "14"), (10, 20, "10"), (10, 40, "8"), (10, 90, "4"), (10, 130, "2"), (15, 15, "10"),
    (15, 25, "8"), (15, 140, "1"), (20, 10, "10"), (20, 15, "10"),
]  # fmt: skip


@pytest.mark.parametrize(("current_a", "length_ft", "gauge"), ABYC_3_PERCENT)
def test_gauges_of_abyc_e_11_table_ix(current_a, length_ft, gauge):
    assert sae_gauge(circular_mils_abyc(current_a, length_ft, 0.36)) == gauge


def test_the_gauge_where_table_and_formula_disagree_follows_the_formula():
    """15 A over 60 ft: 26875 circular mils; the table prints 6, the formula asks for 4."""
    assert sae_gauge(circular_mils_abyc(15, 60, 0.36)) == "4"


def test_no_gauge_is_thick_enough_beyond_four_nought():
    assert sae_gauge(205500) == "4/0"
    assert sae_gauge(205501) is None


def test_iso_10133_is_five_percent_optimistic():
    """0.0164 against 0.017241 ohm mm²/m (IEC 60028)."""
    assert drop_iso10133_v(10, 6, 2.5) == pytest.approx(0.3936)
    assert drop_iso10133_v(10, 6, 2.5) / drop_v(10, 6, 2.5) == pytest.approx(0.951, abs=5e-4)


def test_resistance_taken_from_one_temperature_to_another():
    """50 ohm at 20 °C are 65.72 at 100 °C; 28.2 ohm at 24.5 °C are 33.02 at 68.8 °C (not 33.25)."""
    assert resistance_at(50, 20, 100) == pytest.approx(65.72, abs=0.005)
    assert resistance_at(28.2, 24.5, 68.8) == pytest.approx(33.02, abs=0.005)


def test_correction_to_twenty_degrees():
    """A cable maker prints 0.833 at 70 °C with alpha 0.004; with 0.00393 (IEC 60028) it is 0.836."""
    assert drop_v(1, 1, 1, 20) / drop_v(1, 1, 1, 70) == pytest.approx(0.836, abs=5e-4)


def test_length_and_conductor_temperature_of_ac_43_13_1b():
    """Paragraph 11-69 example 2: 200 °C wire in 50 °C, 20 A of 26 A allowed: 182 °C; 15.5 ft become 9.5 ft.

    26 A is 47 A in free air, times 0.91 for altitude, times 0.6 for the bundle; inputs verified.
    """
    allowed_a = 47 * 0.91 * 0.6
    assert allowed_a == pytest.approx(26, abs=0.4)
    conductor_degc = conductor_temperature_degc(20, 26, 50, 200)
    assert conductor_degc == pytest.approx(181.6, abs=0.05)
    assert hot_length(15.5, 182) == pytest.approx(9.47, abs=0.005)


@given(st.floats(0.1, 50), st.floats(0.1, 50), st.floats(0.2, 100), st.floats(-40, 150))
def test_drop_is_proportional_and_a_cold_wire_drops_less(current_a, length_m, area_mm2, temperature_degc):
    drop = drop_v(current_a, length_m, area_mm2, temperature_degc)

    assert drop_v(2 * current_a, length_m, area_mm2, temperature_degc) == pytest.approx(2 * drop)
    assert drop_v(current_a, length_m, 2 * area_mm2, temperature_degc) == pytest.approx(drop / 2)
    assert drop_v(current_a, length_m, area_mm2, temperature_degc + 1) > drop
