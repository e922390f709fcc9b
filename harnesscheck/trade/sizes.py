"""Wire sizes in mm², gauges and Japanese nominal sizes, as copper cross-sections.

Areas are in mm², resistances in ohms per metre of annealed copper. A plain
number is mm². A gauge is solid AWG. A Japanese nominal size stands for the
area its standard's table gives, which can differ from its number.

References
----------
.. [1] IEC 60028:1925, resistivity 17.241 Ω·mm²/km and 0.00393 per K at 20 °C.
.. [2] ASTM B258, d = 0.127 mm · 92^((36 − n)/39).
.. [3] JIS C 3406 and JASO D 611, automobile low-voltage wires.
.. [4] ISO 6722-1, road vehicles, 60 V and 600 V single-core cables: conductor resistance at 20 °C; from memory.
.. [5] ABYC E-11, conductor sizes for a drop in voltage: circular mils = 10.75 · A · ft / V.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import pi

from harnesscheck.trade.tables import number, rows

RESISTIVITY_CU_20C_OHM_MM2_PER_M = 0.017241  # [1]
TEMP_COEFF_CU_20C_PER_K = 0.00393  # [1]
STRANDED_OHM_MM2_PER_M = 10.75 * pi / 4 * 0.0254**2 / 0.3048  # [5]: 0.01787, 10.75 ohm circular mils a foot
MIN_AREA_MM2 = 0.005  # AWG 40, thinner than any wire of a loom
MAX_AREA_MM2 = 1000.0  # far thicker than any cable of a road vehicle

METRIC_SIZES_MM2 = (0.35, 0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120)
"""The sizes wire is made in: IEC 60228, and 0.35 of ISO 6722."""

_EXPECTED = "a wire size in mm² (1.25), a gauge (AWG 16) or a Japanese size (AV 1.25), above 0, at most 1000 mm²"
_NUMBER = r"[0-9]{1,6}(?:[.,][0-9]{1,9})?|[.,][0-9]{1,9}"
_METRIC = re.compile(rf"({_NUMBER})\s*(?:mm2|mm²|mm\^2|sq\.?\s*mm|mm\s*sq|sq|qmm)?")
_GAUGE = re.compile(r"(?:awg\s*([0-9]/0|[0-9]{1,4})|([0-9]/0|[0-9]{1,4})\s*awg)")
_JAPANESE = re.compile(rf"(avssx|aessx|avss|avsx|avs|avx|aex|av)\s*({_NUMBER})\s*(f?)|({_NUMBER})\s*(f)")
_FULL_TABLE = "AV"  # the one type whose every size is listed


@dataclass(frozen=True, slots=True)
class Size:
    """A wire size as written, and its copper cross-section."""

    text: str
    area_mm2: float


def read_size(text: str) -> Size | str:
    """Read a size; returns a sentence of what was expected when it is none.

    Thin-wall Japanese types whose area is not in the table count with their
    nominal number.
    """
    written = text.strip()
    key = written.lower()
    if match := _METRIC.fullmatch(key):
        area_mm2: float | None = _float(match[1])
    elif match := _GAUGE.fullmatch(key):
        area_mm2 = _gauge_area_mm2(match[1] or match[2])
    elif match := _JAPANESE.fullmatch(key):
        area_mm2 = _japanese_area_mm2(match[1] or "av", match[2] or match[4], match[3] or match[5] or "")
    else:
        area_mm2 = None
    if area_mm2 is None or not MIN_AREA_MM2 <= area_mm2 <= MAX_AREA_MM2:
        return _EXPECTED
    return Size(written, area_mm2)


def awg_area_mm2(gauge: str | int) -> float:
    """Area of solid AWG 4/0 to 40 from the formula of [2]_; ``"2/0"``, ``"00"`` and -1 are the same gauge.

    Raises ValueError for any other gauge.
    """
    number_of_gauge = _gauge_number(str(gauge))
    if number_of_gauge is None:
        raise ValueError(f"AWG goes from 4/0 to 40, not {gauge!r}")
    diameter_mm: float = 0.127 * 92.0 ** ((36 - number_of_gauge) / 39)
    return pi / 4 * diameter_mm**2


def resistance_ohm_per_m(area_mm2: float, temperature_degc: float = 20.0) -> float:
    """DC resistance of one metre of annealed copper, linear in temperature around 20 °C [1]_."""
    factor = 1 + TEMP_COEFF_CU_20C_PER_K * (temperature_degc - 20.0)
    return RESISTIVITY_CU_20C_OHM_MM2_PER_M / area_mm2 * factor


def wire_ohm_per_m(area_mm2: float, temperature_degc: float = 20.0) -> float:
    """The most that one metre of automotive wire of a nominal size may have, plain copper, by ISO 6722-1 or JIS C 3406.

    A gauge, or another size that no table has, is taken at what [5]_ reckons volts with.
    """
    factor = 1 + TEMP_COEFF_CU_20C_PER_K * (temperature_degc - 20.0)
    printed = _printed_ohm_per_m().get(round(area_mm2, 6))
    return factor * (printed if printed is not None else STRANDED_OHM_MM2_PER_M / area_mm2)


@cache
def _printed_ohm_per_m() -> Mapping[float, float]:
    """By area, at 20 °C: Japanese sizes by their copper, metric ones by their number."""
    japanese = ((number(row["area_mm2"]), number(row["max_resistance_mohm_per_m_20c"])) for row in rows("wire_jis"))
    printed = {area: mohm / 1000 for area, mohm in japanese if area is not None and mohm is not None}
    return printed | {
        float(row["nominal_mm2"]): float(row["max_resistance_mohm_per_m_20c"]) / 1000 for row in rows("wire_metric")
    }


def next_size(size: Size) -> Size | None:
    """The next thicker wire that is made: a gauge two numbers down for a gauge, else metric; None above 120 mm²."""
    if match := _GAUGE.fullmatch(size.text.lower()):
        number = _gauge_number(match[1] or match[2])
        if number is not None and number >= 2:  # even gauges are what shops keep
            found = read_size(f"AWG {number - 1 if number % 2 else number - 2}")
            return found if isinstance(found, Size) else None
    area = next((one for one in METRIC_SIZES_MM2 if one > size.area_mm2 * 1.001), None)
    return None if area is None else Size(f"{area:g}", float(area))


def thinner_by(a: Size, b: Size) -> float:
    """The extra resistance of ``b`` over ``a``, relative (0.2 = 20 %); negative where ``b`` is thicker.

    Two sizes of the same nominal number (``1.25``, ``AV 1.25``, ``1.25f``) are
    one wire under two names, whatever copper their tables give: 0.
    """
    if a.area_mm2 != b.area_mm2 and (nominal := _nominal(a)) is not None and nominal == _nominal(b):
        return 0.0
    return a.area_mm2 / b.area_mm2 - 1


def _float(digits: str) -> float:
    return float(digits.replace(",", "."))


def _gauge_number(gauge: str) -> int | None:
    """n of [2]_: 16 for AWG 16, 0 for 1/0 or 0, -1 for 2/0 or 00, -3 for 4/0."""
    if match := re.fullmatch(r"([1-4])/0", gauge):
        return 1 - int(match[1])
    if re.fullmatch(r"0{1,4}", gauge):
        return 1 - len(gauge)
    if re.fullmatch(r"-[1-3]|[1-9]|[1-3][0-9]|40", gauge):
        return int(gauge)
    return None


def _gauge_area_mm2(gauge: str) -> float | None:
    return None if _gauge_number(gauge) is None else awg_area_mm2(gauge)


def _japanese_area_mm2(wire_type: str, digits: str, fine: str) -> float | None:
    nominal = _float(digits)
    wire_type = wire_type.upper()
    area_mm2 = _japanese_areas_mm2().get((wire_type, nominal, fine))
    return None if area_mm2 is None and wire_type == _FULL_TABLE else area_mm2 or nominal


@cache
def _japanese_areas_mm2() -> Mapping[tuple[str, float, str], float]:
    """By type, nominal number and ``f`` for fine strands; the nominal number where the table has no area."""
    areas_mm2 = {}
    for row in rows("wire_jis"):
        nominal = float(row["nominal"].rstrip("f"))
        fine = "f" if row["nominal"].endswith("f") else ""
        areas_mm2[row["type"], nominal, fine] = number(row["area_mm2"]) or nominal
    return areas_mm2


def _nominal(size: Size) -> float | None:
    """The number a metric or Japanese size is called by; None for a gauge."""
    key = size.text.lower()
    if match := _METRIC.fullmatch(key):
        return _float(match[1])
    if match := _JAPANESE.fullmatch(key):
        return _float(match[2] or match[4])
    return None


def with_unit(text: str) -> str:
    """A size with its unit: a bare number is mm², anything else says itself what it is.

    >>> with_unit("1.25"), with_unit("AWG 16"), with_unit("")
    ('1.25 mm²', 'AWG 16', '')
    """
    return f"{text} mm²" if text.replace(",", ".").replace(".", "", 1).isdecimal() else text
