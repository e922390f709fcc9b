"""Wire sizes against ASTM B258 and JIS C 3406, resistance against IEC 60028 and IEC 60228."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harnesscheck.trade.sizes import (
    Size,
    awg_area_mm2,
    read_size,
    resistance_ohm_per_m,
    thinner_by,
    wire_ohm_per_m,
)

# ASTM B258: gauge, area in mm², ohm per km at 20 °C; computed by its formula and IEC 60028, and agreeing with
# two public tables. Printed to 4 decimals, hence the absolute tolerances below.
ASTM_B258 = [
    ("4/0", 107.2193, 0.1608),
    ("2/0", 67.4309, 0.2557),
    ("1/0", 53.4751, 0.3224),
    ("1", 42.4077, 0.4066),
    ("2", 33.6308, 0.5127),
    ("4", 21.1506, 0.8152),
    ("6", 13.3018, 1.2961),
    ("8", 8.3656, 2.0609),
    ("10", 5.2612, 3.2770),
    ("12", 3.3088, 5.2107),
    ("14", 2.0809, 8.2853),
    ("16", 1.3087, 13.1742),
    ("18", 0.8230, 20.9478),
    ("20", 0.5176, 33.3083),
    ("22", 0.3255, 52.9622),
    ("24", 0.2047, 84.2132),
    ("26", 0.1288, 133.9043),
    ("30", 0.0509, 338.5499),
]

# JIS C 3406 as a public cable catalogue prints it: AV size, calculated area, maximum mohm/m at 20 °C.
JIS_C_3406 = [
    ("0.5", 0.5629, 32.7),
    ("0.85", 0.8846, 20.8),
    ("1.25", 1.287, 14.3),
    ("2", 2.091, 8.81),
    ("3", 3.297, 5.59),
    ("5", 5.228, 3.52),
    ("8", 7.952, 2.32),
    ("10", 10.02, 1.84),
    ("15", 13.36, 1.38),
    ("20", 20.61, 0.887),
    ("30", 35.19, 0.52),
    ("60", 63.84, 0.287),
    ("100", 109.1, 0.168),
    ("0.5f", 0.5087, 36.7),
    ("0.75f", 0.763, 24.4),
    ("1.25f", 1.273, 14.7),
    ("2f", 1.964, 9.5),
    ("3f", 3.239, 5.76),
]

# ISO 6722-1, plain copper: nominal mm², maximum mohm/m at 20 °C; from memory.
ISO_6722 = [(0.5, 37.1), (1, 18.5), (1.5, 12.7), (2.5, 7.6), (6, 3.14), (10, 1.82), (16, 1.16), (35, 0.527)]

# IEC 60228:2004 tables 2 and 3: nominal mm², maximum ohm per km of class 2 and class 5 plain copper at 20 °C.
IEC_60228 = [
    (0.5, 36.0, 39.0),
    (0.75, 24.5, 26.0),
    (1, 18.1, 19.5),
    (1.5, 12.1, 13.3),
    (2.5, 7.41, 7.98),
    (4, 4.61, 4.95),
    (6, 3.08, 3.30),
    (10, 1.83, 1.91),
    (16, 1.15, 1.21),
    (25, 0.727, 0.780),
    (35, 0.524, 0.554),
    (50, 0.387, 0.386),
    (70, 0.268, 0.272),
    (95, 0.193, 0.206),
    (120, 0.153, 0.161),
]


def area(text):
    size = read_size(text)
    assert isinstance(size, Size), size
    return size.area_mm2


@pytest.mark.parametrize(("gauge", "area_mm2", "ohm_per_km"), ASTM_B258)
def test_gauges_have_the_areas_of_astm_b258(gauge, area_mm2, ohm_per_km):
    assert awg_area_mm2(gauge) == pytest.approx(area_mm2, abs=6e-5)
    assert 1000 * resistance_ohm_per_m(awg_area_mm2(gauge)) == pytest.approx(ohm_per_km, abs=6e-5)


def test_a_metre_of_one_square_millimetre_has_the_resistance_of_iec_60028():
    """17.241 ohm mm²/km and 0.00393 per K, IEC 60028:1925."""
    assert resistance_ohm_per_m(1.0) == pytest.approx(0.017241, abs=5e-7)
    assert resistance_ohm_per_m(1.0, 120.0) == pytest.approx(0.017241 * 1.393, abs=5e-7)


@pytest.mark.parametrize(("size", "area_mm2", "max_mohm_per_m"), JIS_C_3406)
def test_japanese_sizes_have_the_areas_of_jis_c_3406(size, area_mm2, max_mohm_per_m):
    """The maximum resistance allows for stranding: 0 to 10 % above the area's own."""
    assert area(f"AV {size}") == area_mm2
    assert 1.0 <= max_mohm_per_m / (1000 * resistance_ohm_per_m(area_mm2)) <= 1.10


@pytest.mark.parametrize(("nominal_mm2", "class2_ohm_per_km", "class5_ohm_per_km"), IEC_60228)
def test_metric_sizes_lie_near_the_limits_of_iec_60228(nominal_mm2, class2_ohm_per_km, class5_ohm_per_km):
    """The limits leave makers up to 16 % less copper than the nominal size; 50 mm² and up may have 11 % more."""
    ours = 1000 * resistance_ohm_per_m(nominal_mm2)

    assert 0.89 <= class2_ohm_per_km / ours <= 1.15
    assert 0.89 <= class5_ohm_per_km / ours <= 1.16


@pytest.mark.parametrize(("nominal_mm2", "max_mohm_per_m"), ISO_6722)
def test_metric_wire_has_the_most_of_iso_6722(nominal_mm2, max_mohm_per_m):
    """Exactly what the table allows, which is copper of the size with 0 to 12 % more; warmer by IEC 60028."""
    copper = 1000 * resistance_ohm_per_m(nominal_mm2)

    assert 1000 * wire_ohm_per_m(nominal_mm2) == pytest.approx(max_mohm_per_m)
    assert 1.0 <= max_mohm_per_m / copper <= 1.12
    assert 1000 * wire_ohm_per_m(nominal_mm2, 70.0) == pytest.approx(max_mohm_per_m * 1.1965, rel=1e-4)


@pytest.mark.parametrize(("nominal_mm2", "class2_ohm_per_km", "class5_ohm_per_km"), IEC_60228)
def test_metric_wire_lies_a_little_under_flexible_cable(nominal_mm2, class2_ohm_per_km, class5_ohm_per_km):
    """Every size against a table that was read, not recalled: vehicle wire may have 3 to 7 % less than class 5."""
    assert 0.93 <= 1000 * wire_ohm_per_m(nominal_mm2) / class5_ohm_per_km <= 0.97


@pytest.mark.parametrize(("size", "area_mm2", "max_mohm_per_m"), JIS_C_3406)
def test_japanese_wire_has_the_most_of_jis_c_3406(size, area_mm2, max_mohm_per_m):
    assert 1000 * wire_ohm_per_m(area(f"AV {size}")) == pytest.approx(max_mohm_per_m)


def test_a_gauge_loses_what_abyc_reckons():
    """ABYC E-11: 10 A over 21 ft of AWG 12, 6530 circular mils, lose 10.75 * 10 * 21 / 6530 = 0.3457 V."""
    lost_v = 10 * 21 * 0.3048 * wire_ohm_per_m(awg_area_mm2(12))

    assert lost_v == pytest.approx(10.75 * 10 * 21 / 6530, rel=1e-4)


def test_inferred_absolute_zero_of_copper_agrees_with_the_linear_form():
    """50 ohm at 20 °C are 65.72 ohm at 100 °C by either form; textbook exercise, recomputed."""
    ratio = resistance_ohm_per_m(1.0, 100.0) / resistance_ohm_per_m(1.0)

    assert 50 * ratio == pytest.approx(65.72, abs=0.005)
    assert ratio == pytest.approx((234.5 + 100) / (234.5 + 20), abs=2e-4)


def test_twelve_gauge_copper_of_a_textbook():
    """OpenStax University Physics vol. 2, 9.3: 12 gauge is 3.31 mm², 5 m of it 0.025 ohm, by 1.68e-8 ohm m.

    Of IEC 60028 copper, 1.7241e-8 ohm m, they are 0.02605 ohm: 2.6 % more.
    """
    area_mm2 = awg_area_mm2(12)

    assert area_mm2 == pytest.approx(3.31, abs=0.005)
    assert 5 * resistance_ohm_per_m(area_mm2) == pytest.approx(0.02605, abs=5e-6)
    assert 5 * resistance_ohm_per_m(area_mm2) == pytest.approx(0.025, rel=0.05)


@pytest.mark.parametrize(
    ("text", "area_mm2"),
    [
        ("1.25", 1.25),
        ("1,25", 1.25),
        ("0.35", 0.35),
        (".5", 0.5),
        ("1.25 mm2", 1.25),
        ("1.25mm²", 1.25),
        ("2.5 mm^2", 2.5),
        ("6 sq mm", 6.0),
        (" 10 ", 10.0),
        ("1000", 1000.0),
        ("AV 1.25", 1.287),
        ("av1,25", 1.287),
        ("AVS 0.3", 0.3716),  # JASO D 611, from memory
        ("AVSSX 0.5f", 0.5),  # no area in the table: the nominal number
        ("AESSX 2f", 2.0),
        ("AVSS 0.85", 0.85),
        ("1.25f", 1.273),
    ],
)
def test_metric_and_japanese_sizes_are_read(text, area_mm2):
    assert area(text) == area_mm2


@pytest.mark.parametrize(
    ("text", "gauge"),
    [("AWG 16", 16), ("16 AWG", 16), ("awg16", 16), ("AWG 2/0", "2/0"), ("00 AWG", -1), ("AWG 0", "1/0")],
)
def test_gauges_are_read_in_both_orders(text, gauge):
    assert area(text) == awg_area_mm2(gauge)


@pytest.mark.parametrize(
    "text",
    [
        "", "0", "0.0", "-1", "-1.25", "nan", "NaN", "inf", "1e3", "1001", "1.2.3", "1,000.5", "999999999999",
        "2/0", "AWG", "AWG 41", "AWG 5/0", "AWG -1", "AWG 1.5", "AV", "AV 1.5", "AVS 0", "XYZ 1.25", "1.25 m",
        "one", "١", "9" * 1000,
    ],
)  # fmt: skip
def test_what_is_no_size_is_answered_with_what_was_expected(text):
    answer = read_size(text)

    assert isinstance(answer, str)
    assert "AWG 16" in answer


@given(st.text(max_size=40))
def test_any_text_gives_a_sound_size_or_a_sentence(text):
    answer = read_size(text)

    assert isinstance(answer, str) or 0 < answer.area_mm2 <= 1000


@given(st.integers(-3, 39))
def test_a_higher_gauge_is_a_thinner_wire(gauge):
    """Six gauges halve the diameter almost exactly: 92^(6/39) = 2.005 (ASTM B258)."""
    assert awg_area_mm2(gauge) > awg_area_mm2(gauge + 1)
    assert awg_area_mm2(gauge) / awg_area_mm2(gauge + 1) == pytest.approx(92 ** (2 / 39))


@pytest.mark.parametrize("gauge", ["5/0", "41", 41, -4, "1.5", ""])
def test_a_gauge_off_the_scale_is_refused(gauge):
    with pytest.raises(ValueError, match="AWG goes from"):
        awg_area_mm2(gauge)


# The same wire under two systems. SAE metric sizes: public metric-to-AWG conversion table.
SAME_WIRE = [
    ("AWG 16", "AV 1.25"),
    ("AWG 16", "1.25"),
    ("AV 1.25", "1.25"),
    ("1.25f", "AV 1.25"),
    ("AVS 0.3", "0.3"),
    ("AV 30", "30"),
    ("AWG 20", "0.5"),
    ("AWG 18", "0.8"),
    ("AWG 14", "2.0"),
    ("AWG 12", "3.0"),
    ("AWG 10", "5.0"),
    ("AWG 8", "8"),
    ("AWG 6", "13"),
    ("AWG 4", "19"),
    ("AWG 2", "32"),
    ("AWG 1/0", "52"),
    ("AWG 18", "0.75"),  # the ISO size nearest to the gauge
    ("AWG 18", "AV 0.85"),
]


@pytest.mark.parametrize(("one", "other"), SAME_WIRE)
def test_one_wire_under_two_names_is_not_called_thinner(one, other):
    """Findings start at 20 %; SAE conductors are up to 11 % smaller than true AWG."""
    assert thinner_by(read_size(one), read_size(other)) < 0.12
    assert thinner_by(read_size(other), read_size(one)) < 0.12


@pytest.mark.parametrize(("thick", "thin"), [("AWG 14", "AWG 16"), ("2", "1.25"), ("AV 2", "1.25f"), ("1.5", "1.0")])
def test_the_next_size_down_is_thinner(thick, thin):
    assert thinner_by(read_size(thick), read_size(thin)) > 0.2
    assert thinner_by(read_size(thin), read_size(thick)) < -0.2


sizes = st.floats(0.01, 999).map(lambda area_mm2: Size(f"AWG {area_mm2}", area_mm2))


@given(sizes, sizes)
def test_extra_resistance_is_the_ratio_of_resistances(a, b):
    ratio = resistance_ohm_per_m(b.area_mm2) / resistance_ohm_per_m(a.area_mm2)

    assert thinner_by(a, b) == pytest.approx(ratio - 1, abs=1e-9, rel=1e-9)
