"""Blade fuses: ratings, housing colours, melting times, and the fuse a wire can stand.

Forms are those of ISO 8820-3: ``C`` medium blade, ``F`` miniature blade, ``E``
high-current blade. Currents are in A, times in s, resistances in Ω.

A fuse protects the wire, not the load. Housing colours serve for a first look;
the printed number counts.

References
----------
ISO 8820-3, SAE J1284 (C), SAE J2077 (F), SAE J1888 (E), DIN 72581-3 (E).
FAA AC 43.13-1B, table 11-3: largest fuse and breaker for an aircraft wire.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from harnesscheck.trade.sizes import awg_area_mm2
from harnesscheck.trade.tables import number, rows

FORMS = ("C", "F", "E")
CONTINUOUS_USE = 0.8  # share of its rating a fuse carries for hours; the 125 % rule, common practice
_FORM_OF_WORDS = {
    "medium": "C", "regular": "C", "standard": "C", "blade": "C", "medium blade": "C", "regular blade": "C",
    "mini": "F", "miniature": "F", "mini blade": "F", "miniature blade": "F",
    "maxi": "E", "high current": "E", "maxi blade": "E", "high-current blade": "E",
}  # fmt: skip  # common practice, no source
_AREA_ROUNDING = 0.005  # 2.08 mm² is AWG 14 (2.0809 mm²)


@dataclass(frozen=True, slots=True)
class Fuse:
    """One standard fuse; None is not published. The cold resistance is typical, not a limit."""

    form: str
    rating_a: float
    colour: str
    rated_volts: float
    max_drop_v: float | None
    cold_resistance_ohm: float | None
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class Gate:
    """At that share of its rating a fuse melts no sooner and no later; None is no limit stated."""

    percent: float
    min_s: float | None
    max_s: float | None


@dataclass(frozen=True, slots=True)
class WireProtection:
    """The largest breaker and fuse for one gauge of copper wire; None is not in the table."""

    awg: str
    breaker_a: float | None
    fuse_a: float
    source: str
    status: str


def fuse_form(text: str) -> str | None:
    """``C``, ``F`` or ``E`` for a form written in words; None for any other form."""
    word = " ".join(text.split())
    return word.upper() if word.upper() in FORMS else _FORM_OF_WORDS.get(word.lower())


def fuse(form: str, rating_a: float) -> Fuse | None:
    """The standard fuse of that form and rating; None where the standard has none."""
    return _fuses().get((form, rating_a))


def fuse_colour(form: str, rating_a: float) -> str | None:
    """The housing colour; None for a rating the standard does not have."""
    found = fuse(form, rating_a)
    return None if found is None else found.colour


def standard_ratings_a(form: str) -> tuple[float, ...]:
    """Every standard rating of a form, rising; empty for a form that is none."""
    return tuple(sorted(rating_a for one, rating_a in _fuses() if one == form))


def gates(form: str, rating_a: float) -> tuple[Gate, ...]:
    """The time-current gates of a fuse, rising; where sources disagree the wider gate stands.

    Empty where nothing is published for that form and rating.
    """
    soonest: dict[float, list[float]] = {}
    latest: dict[float, list[float]] = {}
    for row in rows("fuse_gates"):
        if row["form"] == form and float(row["from_a"]) <= rating_a <= float(row["to_a"]):
            percent = float(row["percent"])
            soonest.setdefault(percent, []).extend(map(float, filter(None, [row["min_s"]])))
            latest.setdefault(percent, []).extend(map(float, filter(None, [row["max_s"]])))
    return tuple(
        Gate(percent, min(soonest[percent], default=None), max(latest[percent], default=None))
        for percent in sorted(soonest)
    )


def protection_for_wire(area_mm2: float) -> WireProtection | None:
    """The largest fuse for a wire, by the thickest listed gauge that is no thicker; None below AWG 22.

    Aircraft practice in bundles (AC 43.13-1B table 11-3): conservative in a car.
    """
    fitting = [row for row in _protections() if awg_area_mm2(row.awg) <= area_mm2 * (1 + _AREA_ROUNDING)]
    return max(fitting, key=lambda row: awg_area_mm2(row.awg), default=None)


@cache
def _fuses() -> Mapping[tuple[str, float], Fuse]:
    fuses = {}
    for row in rows("fuses"):
        drop_mv, cold_mohm = number(row["max_drop_mv"]), number(row["cold_mohm"])
        one = Fuse(
            form=row["form"],
            rating_a=float(row["rating_a"]),
            colour=row["colour"],
            rated_volts=float(row["rated_volts"]),
            max_drop_v=None if drop_mv is None else drop_mv / 1000,
            cold_resistance_ohm=None if cold_mohm is None else cold_mohm / 1000,
            source=row["source"],
            status=row["status"],
        )
        fuses[one.form, one.rating_a] = one
    return fuses


@cache
def _protections() -> tuple[WireProtection, ...]:
    return tuple(
        WireProtection(row["awg"], number(row["max_breaker_a"]), float(row["max_fuse_a"]), row["source"], row["status"])
        for row in rows("fuse_for_wire")
    )
