"""Adiabatic short circuit: IEC 60949, IEC 60364-4-43, and the figure and pages named beside each check."""

import pytest

from harnesscheck.trade.short_circuit import (
    end_temperature_degc,
    k_factor,
    withstand_a2s,
)

# IEC 60364-4-43 table 43A: material, start and end temperature, k without decimals. 103, 141 from memory.
TABLE_43A = [
    ("copper", 70, 160, 115),
    ("copper", 70, 140, 103),
    ("copper", 90, 250, 143),
    ("copper", 60, 200, 141),
    ("aluminium", 70, 160, 76),
    ("aluminium", 90, 250, 94),
]


@pytest.mark.parametrize(("material", "start_degc", "end_degc", "k"), TABLE_43A)
def test_k_from_temperatures_is_the_published_k(material, start_degc, end_degc, k):
    assert k_factor(start_degc, end_degc, material) == pytest.approx(k, abs=0.51)


# Electrical Installation Guide figure G53: mm², k²S² in 1e6 A²s of copper in PVC and in XLPE, cut or rounded.
FIGURE_G53 = [
    (1.5, 0.0297, 0.0460),
    (2.5, 0.0826, 0.1278),
    (4, 0.2116, 0.3272),
    (6, 0.4761, 0.7362),
    (10, 1.3225, 2.0450),
    (16, 3.3856, 5.2350),
    (25, 8.2656, 12.7806),
]


@pytest.mark.parametrize(("area_mm2", "pvc_1e6", "xlpe_1e6"), FIGURE_G53)
def test_let_through_a_wire_stands(area_mm2, pvc_1e6, xlpe_1e6):
    assert withstand_a2s(area_mm2, 115) / 1e6 == pytest.approx(pvc_1e6, abs=1.01e-4)
    assert withstand_a2s(area_mm2, 143) / 1e6 == pytest.approx(xlpe_1e6, abs=1.01e-4)


def test_end_temperatures_are_given_only_where_published():
    """IEC 60364-4-43 table 43A; PVC above 300 mm² and rubber from memory; nothing found for silicone."""
    assert end_temperature_degc("pvc", 2.5) == 160
    assert end_temperature_degc("pvc", 400) == 140
    assert end_temperature_degc("xlpe", 400) == 250
    assert end_temperature_degc("rubber", 2.5) == 200
    assert end_temperature_degc("silicone", 2.5) is None


def test_a_short_circuit_that_does_not_heat_is_refused():
    with pytest.raises(ValueError, match="hotter"):
        k_factor(160, 160)
    with pytest.raises(KeyError):
        k_factor(70, 160, "tin")
