"""Voltage drop along a wire, and the wire a drop asks for.

Lengths are the whole conductor, out and back. Lengths are in m or ft, areas in
mm² or circular mils (names say which), currents in A, temperatures in °C.

The rules disagree a little: ISO 10133 has 0.0164 Ω·mm²/m, 5 % below annealed
copper at 20 °C, and so is optimistic; ABYC E-11 has 10.75 Ω·cmil/ft, 4 % above
it. The resistance form is the one to trust.

References
----------
.. [1] IEC 60028: R = R20 · (1 + 0.00393 · (T − 20)).
.. [2] ABYC E-11: CM = K · I · L / E with K = 10.75.
.. [3] ISO 10133 annex A: E = 0.0164 · I · L / S.
.. [4] FAA AC 43.13-1B, paragraphs 11-66 to 11-69.
"""

from __future__ import annotations

from math import sqrt

from harnesscheck.trade.sizes import resistance_ohm_per_m
from harnesscheck.trade.tables import rows

ABYC_OHM_CIRCULAR_MIL_PER_FT = 10.75  # [2]
ISO_10133_OHM_MM2_PER_M = 0.0164  # [3], attribution from memory
COPPER_ZERO_DEGC = 234.5  # copper's resistance, drawn on as a straight line, ends at -234.5 °C


def drop_v(current_a: float, length_m: float, area_mm2: float, temperature_degc: float = 20.0) -> float:
    """The drop along a copper wire at its own temperature [1]_."""
    return current_a * length_m * resistance_ohm_per_m(area_mm2, temperature_degc)


def drop_iso10133_v(current_a: float, length_m: float, area_mm2: float) -> float:
    """The drop by the small-craft rule [3]_, about 5 % optimistic."""
    return ISO_10133_OHM_MM2_PER_M * current_a * length_m / area_mm2


def circular_mils_abyc(current_a: float, length_ft: float, drop_v: float) -> float:
    """The area in circular mils that keeps a drop [2]_."""
    return ABYC_OHM_CIRCULAR_MIL_PER_FT * current_a * length_ft / drop_v


def sae_gauge(circular_mils: float) -> str | None:
    """The thinnest SAE J1127/J1128 gauge with that area; None above 4/0.

    SAE gauges are 1 to 11 % thinner than AWG; below AWG 10 their areas are from memory.
    """
    for row in rows("wire_sae"):
        if float(row["min_circular_mil"]) >= circular_mils:
            return row["awg"]
    return None


def resistance_at(resistance_ohm: float, from_degc: float, to_degc: float) -> float:
    """A copper resistance taken from one temperature to another, whatever the first one is."""
    return resistance_ohm * (COPPER_ZERO_DEGC + to_degc) / (COPPER_ZERO_DEGC + from_degc)


def hot_length(length: float, conductor_degc: float) -> float:
    """The length that drops as much hot as ``length`` does at 20 °C [4]_; in the unit it was given."""
    return (COPPER_ZERO_DEGC + 20.0) * length / (COPPER_ZERO_DEGC + conductor_degc)


def conductor_temperature_degc(current_a: float, allowable_a: float, ambient_degc: float, rated_degc: float) -> float:
    """How hot a conductor gets at part of its allowable current [4]_; errs on the hot side, from memory."""
    return ambient_degc + (rated_degc - ambient_degc) * sqrt(current_a / allowable_a)
