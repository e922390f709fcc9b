"""A filled-in ring-out sheet read back, and each reading judged by itself.

Forgiving about how a reading is written, never about what it means: ``0.3``, ``0,3``,
``0.3 ohm``, ``OL``, ``open``, ``>1M`` are read, blank is *not measured*; a tick, a
beep, ``20 mohm`` (milli or mega?) and ``1,500`` (decimals or thousands?) are faults.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from harnesscheck.bench.ringout.measurements import (
    AT_THE_KIT,
    GOOD_OHM,
    GROUPS,
    ISOLATED_OHM,
    PAIRS,
    REST,
    Measurement,
    Ringout,
)
from harnesscheck.bench.ringout.ringsheet import COLUMNS, INPUTS, PLAN
from harnesscheck.model.places import InputFault, Place
from harnesscheck.read.benchfile import ENDING, read_bench_file
from harnesscheck.read.faults import Faults, StopReading
from harnesscheck.read.grids import Cell, Cells, Grid, read_csv
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits
from harnesscheck.read.tables import WORKBOOK_ENDINGS
from harnesscheck.read.workbook import read_workbook

PART_OHM = 2.0  # up to here from 0.5 Ω a lamp or another part is in circuit; workshop practice, no source
GOOD, PART, DOUBTFUL, OPEN, SHORTED = "good", "through a part", "doubtful", "open", "shorted"
JOINED_, PART_, BETWEEN_, APART_ = "joined", "part", "between", "apart"

_PLANS = (PAIRS, GROUPS, REST)
_BLANK = frozenset({"", "-", "--", "---", "n/a", "na", "n.a.", "not measured", "skipped", "nm"})
_OVER = frozenset(
    {
        "ol",
        "o.l",
        "o.l.",
        "0l",
        "0.l",
        "0.l.",
        "open",
        "inf",
        "infinite",
        "infinity",
        "∞",
        "overload",
        "over",
        "over range",
    }
)
_NUMBER = re.compile(r"(?P<bound>[<>≤≥~=≈]{0,2})\s*(?P<number>[0-9][0-9., ]*|[.,][0-9]+)\s*(?P<unit>[^0-9]*)")
_LETTER_AS_POINT = re.compile(r"(?P<whole>[0-9]+)(?P<unit>[RrkKM])(?P<part>[0-9]+)")  # 4K7, 0R3: IEC 60062
_UNITS = {
    "": 1.0, "r": 1.0, "ohm": 1.0, "ohms": 1.0, "Ω": 1.0, "k": 1e3, "kohm": 1e3, "kohms": 1e3, "kΩ": 1e3,
    "M": 1e6, "Mohm": 1e6, "Mohms": 1e6, "MΩ": 1e6, "meg": 1e6, "megohm": 1e6, "megohms": 1e6, "megaohm": 1e6,
}  # fmt: skip
_TWO_MEANINGS = frozenset({"m", "mohm", "mohms", "mΩ"})
_OTHER_UNITS = frozenset({"v", "volt", "volts", "a", "amp", "amps"})
_MILLI_OR_MEGA = "the value in ohm (0.3) or in Mohm: 'm' may be milli or mega"
_NOT_OHMS = "ohms; a meter that shows volts or amperes is set wrong, or the battery is still on"
EXPECTED = "ohms as the meter shows them (0.3, 12k, >1M), OL, or nothing where it was not measured"


@dataclass(frozen=True, slots=True)
class MeterReading:
    """What a meter showed, in Ω; ``bound`` is ``<`` or ``>`` where it only says below or above what."""

    ohm: float
    bound: str = ""

    def __str__(self) -> str:
        """``0.3 ohm``, ``OL``."""
        if math.isinf(self.ohm):
            return "OL"
        for factor, unit in ((1e6, " Mohm"), (1e3, " kohm")):
            if self.ohm >= factor:
                return f"{self.bound}{self.ohm / factor:g}{unit}"
        return f"{self.bound}{self.ohm:g} ohm"


@dataclass(frozen=True, slots=True)
class Filled:
    """One line of a filled-in sheet."""

    number: str
    from_: str
    to: str
    reading: MeterReading | None
    place: Place


@dataclass(frozen=True, slots=True)
class FilledSheet:
    """A filled-in sheet: what it was made from, by which plan, and its lines."""

    path: str
    digest: str
    plan: str
    rows: tuple[Filled, ...]


@dataclass(frozen=True, slots=True)
class JudgedReading:
    """A measurement with its reading and what that reading is by itself."""

    measurement: Measurement
    reading: MeterReading | None
    verdict: str  # good | through a part | doubtful | open | shorted; "" where not measured
    seen: str  # joined | part | between | apart; "" where not measured


# -- one reading


def read_reading(text: str, *, decimal_comma: bool = False) -> MeterReading | str | None:
    """A cell as a reading, None for not measured, or what is wrong with it in words.

    >>> read_reading("0,3"), str(read_reading("OL")), str(read_reading(" > 1 M")), read_reading("-")
    (MeterReading(ohm=0.3, bound=''), 'OL', 'OL', None)
    """
    plain = " ".join(text.replace("\u2126", "Ω").replace("\u00a0", " ").split())
    folded = plain.casefold()
    if folded in _BLANK:
        return None
    if folded.removesuffix("ohm").removesuffix("ω").strip() in _OVER:
        return MeterReading(math.inf)
    if match := _LETTER_AS_POINT.fullmatch(plain):
        factor = {"r": 1.0, "k": 1e3, "m": 1e6}[match["unit"].casefold()]
        return MeterReading(float(f"{match['whole']}.{match['part']}") * factor)
    match = _NUMBER.fullmatch(plain)
    if match is None:
        return EXPECTED
    unit = _unit(match["unit"].strip())
    number = _number(match["number"].strip(), decimal_comma)
    if isinstance(unit, str):
        return unit
    if isinstance(number, str):
        return number
    bound = {"<": "<", "≤": "<", "<=": "<", ">": ">", "≥": ">", ">=": ">"}.get(match["bound"], "")
    if match["bound"] and not bound and match["bound"] not in ("=", "~", "≈"):
        return EXPECTED
    ohm = number * unit
    return MeterReading(math.inf) if bound == ">" and ohm >= ISOLATED_OHM else MeterReading(ohm, bound)


def _unit(text: str) -> float | str:
    bare = text.rstrip(".")
    if bare in _TWO_MEANINGS:
        return _MILLI_OR_MEGA
    if bare.casefold() in _OTHER_UNITS:
        return _NOT_OHMS
    for candidate in (bare, bare.replace(" ", ""), bare.casefold().replace(" ", "")):
        if candidate in _UNITS:
            return _UNITS[candidate]
    return EXPECTED


def _number(text: str, decimal_comma: bool) -> float | str:
    digits = text.replace(" ", "")
    if digits.count(",") and digits.count("."):
        last = max(digits.rfind(","), digits.rfind("."))
        digits = re.sub(r"[.,]", "", digits[:last]) + "." + digits[last + 1 :]
    elif digits.count(",") > 1 or digits.count(".") > 1:
        if not re.fullmatch(r"[0-9]{1,3}([.,])[0-9]{3}(\1[0-9]{3})+", digits):
            return EXPECTED
        digits = re.sub(r"[.,]", "", digits)
    elif "," in digits:
        if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", digits) and not decimal_comma:
            return f"{digits.replace(',', '')} or {digits.replace(',', '.')}: the comma may be either"
        digits = digits.replace(",", ".")
    try:
        return float(digits)
    except ValueError:
        return EXPECTED


@dataclass(frozen=True, slots=True)
class ReadingLimits:
    """What a reading is held against, in Ω: joined up to the first, through a part up to the next, apart above it."""

    joined_ohm: float
    part_ohm: float
    apart_ohm: float = ISOLATED_OHM


def limits_of(measurement: Measurement) -> ReadingLimits:
    """The limits of one measurement."""
    limit = measurement.limit_ohm if measurement.joined else GOOD_OHM
    return ReadingLimits(limit, max(PART_OHM, limit * PART_OHM / GOOD_OHM))


def reading_grammar() -> dict[str, Any]:
    """How a reading may be written, as data for a page that judges while somebody types: words, patterns, units."""
    return {
        "blank": sorted(_BLANK),
        "over": sorted(_OVER),
        "number": _NUMBER.pattern.replace("(?P<", "(?<"),
        "letterAsPoint": _LETTER_AS_POINT.pattern.replace("(?P<", "(?<"),
        "units": _UNITS,
        "twoMeanings": sorted(_TWO_MEANINGS),
        "otherUnits": sorted(_OTHER_UNITS),
        "apart": ISOLATED_OHM,
        "expected": EXPECTED,
        "milliOrMega": _MILLI_OR_MEGA,
        "notOhms": _NOT_OHMS,
        "verdicts": {JOINED_: SHORTED, PART_: PART, BETWEEN_: DOUBTFUL, APART_: OPEN, "good": GOOD},
    }


def judge(measurement: Measurement, reading: MeterReading | None) -> JudgedReading:
    """What a reading is by itself: 0.5 to 2 Ω is a part in circuit, not a short; what lies between is doubtful."""
    if reading is None:
        return JudgedReading(measurement, None, "", "")
    seen = _seen(reading, limits_of(measurement))
    good = seen == (JOINED_ if measurement.joined else APART_)
    words = {JOINED_: SHORTED, PART_: PART, BETWEEN_: DOUBTFUL, APART_: OPEN}
    return JudgedReading(measurement, reading, GOOD if good else words[seen], seen)


def _seen(reading: MeterReading, limits: ReadingLimits) -> str:
    if reading.bound == ">":
        return BETWEEN_  # the range was too small: anything above it
    if reading.ohm <= limits.joined_ohm:
        return JOINED_
    if reading.bound == "<":
        return BETWEEN_
    if reading.ohm <= limits.part_ohm:
        return PART_
    return APART_ if reading.ohm > limits.apart_ohm else BETWEEN_


# -- the sheet


def read_sheet(path: str | Path, limits: Limits = DEFAULT_LIMITS) -> FilledSheet | list[InputFault]:
    """Read a filled-in sheet (CSV, workbook, or JSON of the bench page); returns every fault instead where any is."""
    if Path(path).suffix.lower() == ENDING:
        return _exported(path, limits)
    faults = Faults()
    try:
        sheet = _sheet(_grid(Path(path), faults, limits), faults)
    except StopReading:
        return faults.in_order()
    return faults.in_order() if faults else sheet


def _exported(path: str | Path, limits: Limits) -> FilledSheet | list[InputFault]:
    """The readings of an export of the bench page."""
    read = read_bench_file(path, limits)
    if isinstance(read, list):
        return read
    place = Place(read.path, field="read")
    faults = [] if read.plan in _PLANS else [InputFault(place, read.plan, f"plan: one of {', '.join(_PLANS)}")]
    rows = []
    for row in read.readings:
        reading = read_reading(row.read)
        if isinstance(reading, str):
            faults.append(InputFault(place, row.read, f"{row.from_} to {row.to}, read: {reading}"))
        else:
            rows.append(Filled("", row.from_, row.to, reading, place))
    return faults or FilledSheet(read.path, read.inputs, read.plan, tuple(rows))


def _grid(path: Path, faults: Faults, limits: Limits) -> Grid:
    """The file's table; of a workbook the first sheet with readings."""
    if path.suffix.lower() in WORKBOOK_ENDINGS:
        grids = read_workbook(path, faults, limits)
        found = next((grid for grid in grids if _header(grid) is not None), None)
    else:
        found = read_csv(path, faults, limits, lambda cells: len(_columns(cells)))
        found = found if _header(found) is not None else None
    if found is None:
        wanted = "a line of column names: " + ", ".join(COLUMNS)
        faults.stop(Place(str(path)), "no such line", wanted)
    return found


def _columns(cells: Cells) -> dict[str, int]:
    """The sheet's columns among some cells, by name."""
    other = {"no": "number", "no.": "number", "#": "number", "reading": "read", "measured": "read", "notes": "note"}
    found: dict[str, int] = {}
    for at, cell in enumerate(cells):
        name = " ".join(cell.casefold().split())
        name = other.get(name, name)
        if name in COLUMNS:
            found.setdefault(name, at)
    return found


def _header(grid: Grid) -> int | None:
    """The place of the header among a grid's rows."""
    wanted = {"from", "to", "read"}
    return next((at for at, (_, cells) in enumerate(grid.rows) if wanted <= _columns(cells).keys()), None)


def _sheet(grid: Grid, faults: Faults) -> FilledSheet:
    header = _header(grid)
    assert header is not None
    said: dict[str, str] = {}
    for _, cells in grid.rows[:header]:
        words = [cell.strip() for cell in cells if cell.strip()]
        if len(words) > 1:
            said.setdefault(words[0].casefold(), words[1])
    top = Place(grid.source.path, grid.rows[0][0], sheet=grid.source.sheet)
    if INPUTS not in said:
        faults.add(top, "no digest", "a line 'inputs' with the digest of the sheet, as ringout -o writes it")
    plan = said.get(PLAN, PAIRS)
    if plan not in _PLANS:
        faults.add(top, plan, f"plan: one of {', '.join(_PLANS)}")
    rows = tuple(_rows(grid, header, faults))
    return FilledSheet(grid.source.path, said.get(INPUTS, ""), plan, rows)


def _rows(grid: Grid, header: int, faults: Faults) -> Iterator[Filled]:
    columns = _columns(grid.rows[header][1])
    for line, cells in grid.rows[header + 1 :]:
        texts = {name: cells[at] if at < len(cells) else "" for name, at in columns.items()}
        if not any(text.strip() for text in texts.values()):
            continue
        place = Place(grid.source.path, line, sheet=grid.source.sheet, field="read")
        cell = texts["read"]
        if isinstance(cell, Cell):
            faults.add(place, str(cell), cell.trouble)
            continue
        reading = read_reading(_unguarded(cell), decimal_comma=grid.decimal_comma)
        if isinstance(reading, str):
            faults.add(place, cell.strip(), f"read: {reading}")
            continue
        number = _unguarded(texts.get("number", ""))
        yield Filled(number, _unguarded(texts["from"]), _unguarded(texts["to"]), reading, place)


def _unguarded(text: str) -> str:
    """A cell without the apostrophe that keeps spreadsheets from reading it as a formula."""
    return text.strip().removeprefix("'").strip()


# -- the sheet against the plan


def matched(
    ringout: Ringout, sheet: FilledSheet, *, older: bool
) -> tuple[tuple[JudgedReading, ...], int] | list[InputFault]:
    """Every measurement with its reading, and how many lines of the sheet fit none; or what is wrong.

    Lines are matched by their ends, so that a sheet may be sorted. Of an ``older``
    sheet, lines that no measurement has any more are passed over, and tests with
    tie leads too: what was tied has changed.
    """
    wanted: dict[tuple[str, str], Measurement] = {}
    for one in ringout.measurements:
        if not (older and one.place == AT_THE_KIT):
            wanted[_ends(one.from_, one.to)] = one
    faults: list[InputFault] = []
    found: dict[int, Filled] = {}
    unknown = 0
    for row in sheet.rows:
        measurement = wanted.get(_ends(row.from_, row.to))
        if measurement is None:
            unknown += 1
            if not older:
                faults.append(InputFault(row.place, f"{row.from_} to {row.to}", "from and to as the sheet had them"))
            continue
        first = found.setdefault(measurement.number, row)
        if first.reading is None:
            found[measurement.number] = row
        elif row.reading not in (None, first.reading):
            faults.append(
                InputFault(row.place, str(row.reading), f"one reading of a pair, or {first.reading} again", first.place)
            )
    if faults:
        return faults
    judged = tuple(
        judge(one, found[one.number].reading if one.number in found else None) for one in ringout.measurements
    )
    return judged, unknown


def _ends(a: str, b: str) -> tuple[str, str]:
    """Which way round a lead was held does not matter."""
    a, b = " ".join(a.split()), " ".join(b.split())
    return (a, b) if a <= b else (b, a)


def failing(judged: Sequence[JudgedReading]) -> tuple[JudgedReading, ...]:
    """The readings that are not good."""
    return tuple(one for one in judged if one.verdict not in ("", GOOD))
