"""Steady current a copper wire may carry, from one published table: ``BOOK``.

Areas are in mm², temperatures in °C, currents in A. Tables differ widely for
the same wire (2.5 mm²: 20 to 35 A), because their conditions differ; so every
limit of the program is of one table, and another answers only where it is asked
for by name. What a table does not cover is None: not known.

The table goes from AWG 18 to 4/0. Thinner and thicker wires, as far as cars have
them, go on from its two last rows on the same scales, and are called extrapolated.

Between two rows of one table the current is interpolated on logarithmic
scales, which passes through the rows. Another ambient temperature is taken
into account by the heat balance: the heat a wire sheds goes with its rise
above ambient and the heat it makes with the square of the current. That is
what the correction tables of DIN VDE 0298-4 (table 17) and 33 CFR 183.425
(note 1) print, to two digits.

References
----------
33 CFR 183.425 table 5; DIN VDE 0298-4 tables 11, 17 and 26; FAA AC 43.13-1B
table 11-9; ISO 10133 annex A and IEC 60204-1 table 6, both from memory.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from math import exp, log, sqrt

from harnesscheck.trade.sizes import awg_area_mm2
from harnesscheck.trade.tables import number, rows

BOOK = "33 CFR 183.425 table 5"
"""Public law, for wires in small craft on 50 V and less: a column an insulation, bundles by its note 2."""
_THINNEST_MM2, _THICKEST_MM2 = 0.13, 120.0  # of ISO 6722-1; from memory
EXTRAPOLATED = "extrapolated"
DEFAULT_INSULATION = "pvc"
DEFAULT_AMBIENT_DEGC = 30.0  # the ambient most tables are printed for

INSULATION_LIMITS_DEGC: Mapping[str, float] = {
    "pvc": 80.0, "pvc-90": 90.0, "pvc-105": 105.0, "xlpe": 125.0, "rubber": 60.0, "silicone": 180.0,
    "ptfe": 200.0,
}  # fmt: skip
"""Conductor temperature each insulation stands for years; common practice, no source."""

_SIZE_ROUNDING = 0.005  # 0.82 mm² is AWG 18 (0.823 mm²)


@dataclass(frozen=True, slots=True)
class Allowable:
    """An allowable current and what it rests on.

    ``table_a`` is what the table gives for its own conditions; ``ambient_factor``
    (temperatures) and ``bundle_factor`` took it to the conditions asked for.
    """

    current_a: float
    source: str
    status: str
    conditions: str
    table_a: float
    insulation_degc: float
    ambient_factor: float
    bundle_factor: float


@dataclass(frozen=True, slots=True)
class _AmpacityColumn:
    """One column of one table: areas rising, for one insulation and one set of conditions."""

    source: str
    status: str
    conditions: str
    insulation_degc: float
    ambient_degc: float
    rows: tuple[tuple[float, float], ...]  # area in mm², current in A


def sources() -> tuple[str, ...]:
    """The tables that may be asked for by name, verified ones first."""
    return tuple(dict.fromkeys(column.source for column in _columns()))


def allowable_current(
    area_mm2: float,
    insulation_degc: float = INSULATION_LIMITS_DEGC[DEFAULT_INSULATION],
    ambient_degc: float = DEFAULT_AMBIENT_DEGC,
    loaded_wires: int = 1,
    source: str | None = None,
) -> Allowable | None:
    """The steady current a wire may carry, by one table; None where that does not cover the case.

    Without ``source`` it is ``BOOK``, for thinner and thicker wires than it has too. The hottest
    column that the insulation stands is used. ``loaded_wires`` lie together.
    """
    if source is None:
        return _by_the_book(area_mm2, insulation_degc, ambient_degc, loaded_wires)
    too_hot = ambient_degc >= insulation_degc  # 0 A then, whatever the column
    columns = [
        column
        for column in _columns()
        if column.source == source
        and column.insulation_degc <= insulation_degc
        and (too_hot or column.insulation_degc > ambient_degc)
    ]
    for column in sorted(columns, key=lambda one: -one.insulation_degc):
        answer = _by_column(column, area_mm2, ambient_degc, loaded_wires)
        if answer is not None:
            return answer
    return None


@cache
def _by_the_book(area_mm2: float, insulation_degc: float, ambient_degc: float, loaded_wires: int) -> Allowable | None:
    """The column of the insulation, else of the next cooler one, taken to its limit by the heat balance."""
    columns = [one for one in _columns() if one.source == BOOK and one.insulation_degc <= insulation_degc]
    if not columns:
        return None
    column = max(columns, key=lambda one: one.insulation_degc)
    first, last = column.rows[0][0] * (1 - _SIZE_ROUNDING), column.rows[-1][0] * (1 + _SIZE_ROUNDING)
    if not first <= area_mm2 <= last and _THINNEST_MM2 <= area_mm2 <= _THICKEST_MM2:
        ends = column.rows[:2] if area_mm2 < first else column.rows[:-3:-1]
        known = sorted([*column.rows, (area_mm2, _beyond(ends, area_mm2))])
        column = replace(column, rows=tuple(known), status=EXTRAPOLATED)
    found = _by_column(column, area_mm2, column.ambient_degc, loaded_wires)
    if found is None:
        return None
    rise = max(insulation_degc - ambient_degc, 0.0) / (column.insulation_degc - column.ambient_degc)
    return replace(found, current_a=found.current_a * sqrt(rise), ambient_factor=sqrt(rise))


def _beyond(table: Sequence[tuple[float, float]], area_mm2: float) -> float:
    """Current at an area beyond a table's end, along the line of its last two rows there on logarithmic scales."""
    (low, low_a), (high, high_a) = table
    return low_a * exp(log(area_mm2 / low) / log(high / low) * log(high_a / low_a))


def ambient_factor(insulation_degc: float, ambient_degc: float, table_ambient_degc: float) -> float:
    """What a hotter or cooler surrounding leaves of a table's current; 0 from the insulation's limit up."""
    if ambient_degc >= insulation_degc:
        return 0.0
    return sqrt((insulation_degc - ambient_degc) / (insulation_degc - table_ambient_degc))


def bundle_factor(source: str, loaded_wires: int) -> float | None:
    """What lying together leaves of a table's current, by that table's own rule; None where it has none."""
    for row in rows("bundling"):
        last = number(row["to_wires"])
        if row["table"] == source and int(row["from_wires"]) <= loaded_wires and (last is None or loaded_wires <= last):
            return float(row["factor"])
    return None


def _by_column(column: _AmpacityColumn, area_mm2: float, ambient_degc: float, loaded_wires: int) -> Allowable | None:
    table_a = _interpolated(column.rows, area_mm2)
    bundle = bundle_factor(column.source, loaded_wires)
    if table_a is None or bundle is None:
        return None
    ambient = ambient_factor(column.insulation_degc, ambient_degc, column.ambient_degc)
    return Allowable(
        current_a=table_a * ambient * bundle,
        source=column.source,
        status=column.status,
        conditions=column.conditions,
        table_a=table_a,
        insulation_degc=column.insulation_degc,
        ambient_factor=ambient,
        bundle_factor=bundle,
    )


def _interpolated(table: Sequence[tuple[float, float]], area_mm2: float) -> float | None:
    """Current at an area within the table, on logarithmic scales; None outside it."""
    for area, current_a in (table[0], table[-1]):
        if abs(area_mm2 / area - 1) <= _SIZE_ROUNDING:
            return current_a
    for (low, low_a), (high, high_a) in pairwise(table):
        if low <= area_mm2 <= high:
            share = log(area_mm2 / low) / log(high / low)
            return exp(log(low_a) + share * log(high_a / low_a))
    return None


@cache
def _columns() -> tuple[_AmpacityColumn, ...]:
    """The columns in file order, verified tables before those from memory."""
    groups: dict[tuple[str, str, str, float, float], list[tuple[float, float]]] = {}
    for row in rows("ampacity"):
        key = (
            row["source"],
            row["status"],
            row["conditions"],
            float(row["insulation_degc"]),
            float(row["ambient_degc"]),
        )
        area_mm2 = awg_area_mm2(row["size"]) if row["unit"] == "AWG" else float(row["size"])
        groups.setdefault(key, []).append((area_mm2, float(row["current_a"])))
    columns = [_AmpacityColumn(*key, tuple(sorted(table))) for key, table in groups.items()]
    return tuple(sorted(columns, key=lambda column: column.status != "verified"))
