"""What a short circuit may let through before the insulation is lost: I²·t = k²·S².

Areas are in mm², currents in A, times in s, let-through in A²·s, temperatures
in °C. The equation assumes that no heat leaves the conductor, which holds to
5 s; beyond that the steady current counts.

No k is published for automotive cable classes, so it is worked out from the
temperatures at the start and at the end.

References
----------
.. [1] IEC 60949, k = K · sqrt(ln((end + β) / (start + β))).
.. [2] IEC 60364-4-43, table 43A: published k and end temperatures.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import log, sqrt

MAX_SECONDS = 5.0  # longer and heat leaves the conductor [2]

_MATERIALS: Mapping[str, tuple[float, float]] = {
    "copper": (226.0, 234.5),
    "aluminium": (148.0, 228.0),  # 228 from memory
}
"""K in A·sqrt(s)/mm² and β in °C of [1]."""

_END_DEGC: Mapping[str, float] = {
    "pvc": 160.0, "pvc-90": 160.0, "pvc-105": 160.0, "xlpe": 250.0,
    "rubber": 200.0,  # from memory
}  # fmt: skip
_THICK_PVC_MM2 = 300.0  # thicker PVC cables are held to 140 °C [2], from memory
_THICK_PVC_END_DEGC = 140.0


def k_factor(start_degc: float, end_degc: float, material: str = "copper") -> float:
    """k in A·sqrt(s)/mm² by [1]_. Raises KeyError for another material, ValueError unless it gets hotter."""
    if not end_degc > start_degc:
        raise ValueError(f"the end ({end_degc} °C) must be hotter than the start ({start_degc} °C)")
    constant, beta_degc = _MATERIALS[material]
    return constant * sqrt(log((end_degc + beta_degc) / (start_degc + beta_degc)))


def end_temperature_degc(insulation: str, area_mm2: float) -> float | None:
    """The temperature an insulation stands for a short circuit's time; None where none is published."""
    if insulation.startswith("pvc") and area_mm2 > _THICK_PVC_MM2:
        return _THICK_PVC_END_DEGC
    return _END_DEGC.get(insulation)


def withstand_a2s(area_mm2: float, k: float) -> float:
    """The let-through I²·t a wire stands."""
    return (k * area_mm2) ** 2
