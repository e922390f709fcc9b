"""Where the header line of a table stands, what stands above it, and what its columns are where there is none."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from harnesscheck.fields import fields_of
from harnesscheck.model.places import Place
from harnesscheck.read.faults import Faults
from harnesscheck.read.grids import DELIMITERS, Cells, Grid
from harnesscheck.read.headers import (
    SAMPLE,
    VEHICLE_FIELDS,
    Columns,
    guessed_header,
    header_at,
    known_headers,
    may_be,
)
from harnesscheck.read.pinrows import heading

_HEAD_ROWS = 20  # a header line stands among the first rows that are not blank
_RULER = re.compile(r"[-:=_+ ]+")  # what draws a line under a heading
_SIGNS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "stroke"}


@dataclass(frozen=True, slots=True)
class TableLayout:
    """A table taken apart: its sort, its columns, the line they stand on, the rows, what lines above say of the car.

    ``rows`` holds headings of connectors above the header line too.
    """

    sort: str
    columns: Columns
    line: int
    rows: tuple[tuple[int, Cells], ...]
    vehicle: tuple[tuple[int, dict[str, str]], ...]


def layout_of(grid: Grid, sort: str, faults: Faults) -> TableLayout | None:
    """The layout of a table; None, with a fault, where it cannot be read."""
    rows = tuple(_filled(grid))
    first = [cells for _, cells in rows[:_HEAD_ROWS]]
    at = header_at(first, sort)
    if at is None and sort != "pin" and (at := header_at(first, "pin")) is not None:
        sort = "pin"  # harness.csv may be the pins of one harness
    if at is None:
        return _without_header(grid, sort, rows, faults)
    line, cells = rows[at]
    below = [cells for _, cells in rows[at + 1 : at + 1 + SAMPLE] if heading(cells, False) is None]
    if sort != "pin" and _missing(sort, cells) and not _missing("pin", cells):
        sort = "pin"
    columns = Columns(sort, line, cells, grid.source, faults, below)
    if not _is_whole(grid, sort, columns, line, faults):
        return None
    above, vehicle = _above(grid, sort, rows[:at], faults)
    return TableLayout(sort, columns, line, (*above, *rows[at + 1 :]), vehicle)


def shown_sign(sign: str) -> str:
    """The name of a sign between cells."""
    return _SIGNS[sign]


def _filled(grid: Grid) -> Iterator[tuple[int, Cells]]:
    """The rows that hold anything but lines drawn with dashes."""
    ruled = grid.delimiter == "|"
    for line, cells in grid.rows:
        if any(map(str.strip, cells)) and not (ruled and all(map(_RULER.fullmatch, filter(None, cells)))):
            yield line, cells


def _above(
    grid: Grid, sort: str, rows: Sequence[tuple[int, Cells]], faults: Faults
) -> tuple[list[tuple[int, Cells]], tuple[tuple[int, dict[str, str]], ...]]:
    """The headings of connectors above the header line, and what is said of the car; a title is left out, and said."""
    kept: list[tuple[int, Cells]] = []
    vehicle: list[tuple[int, dict[str, str]]] = []
    for line, cells in rows:
        texts = [cell.strip() for cell in cells if cell.strip()]
        name = next(iter(may_be(texts[0].rstrip(":"), "pin")), "").lstrip("?")
        if sort == "pin" and heading(cells) is not None:
            kept.append((line, cells))
        elif sort == "pin" and len(texts) == 2 and name in VEHICLE_FIELDS:
            vehicle.append((line, {name: texts[1]}))
        else:
            place = Place(grid.source.path, line, 0, grid.source.sheet)
            faults.remarks.add(place, ", ".join(texts), "a line above the headings, left out")
    return kept, tuple(vehicle)


def _without_header(grid: Grid, sort: str, rows: Sequence[tuple[int, Cells]], faults: Faults) -> TableLayout | None:
    """The columns of a plain table of pins without header line; else a fault at the line where one should be."""
    headings = [row for row in rows if sort == "pin" and heading(row[1]) is not None]
    body = [row for row in rows if row not in headings[:_HEAD_ROWS]] if headings else list(rows)
    guessed = guessed_header([cells for _, cells in body[:SAMPLE]]) if sort == "pin" else None
    if guessed is not None:
        columns = Columns(sort, body[0][0], guessed, grid.source, faults, guessed=True)
        return TableLayout(sort, columns, 0, tuple(rows), ())
    names = ", ".join(field.name for field in fields_of(sort))
    if not body:
        place = Place(grid.source.path, sheet=grid.source.sheet)
        faults.add(place, "no header line", f"the names of columns: {names}")
        return None
    line, cells = body[0]
    if known_headers(cells):
        columns = Columns(sort, line, cells, grid.source, faults)
        _is_whole(grid, sort, columns, line, faults)
        return None
    read = ", ".join(cell.strip() for cell in cells if cell.strip())
    place = Place(grid.source.path, line, 0, grid.source.sheet)
    faults.add(place, read, _header_line(sort))
    return None


def _is_whole(grid: Grid, sort: str, columns: Columns, line: int, faults: Faults) -> bool:
    """Whether the columns are there that a table cannot do without; one fault where a heading was not one already."""
    missing = _lacking(sort, columns.headers)
    if missing and not columns.wrong:
        place = Place(grid.source.path, line, 0, grid.source.sheet)
        if len(columns.cells) == 1 and " " in (alone := next(iter(columns.headers.values()), "")):
            faults.add(place, alone, _header_line(sort))  # the names of several columns, apart by blanks
        else:
            faults.add(place, f"a table {sort} without {missing}", f"a column {missing}")
    return not missing


def _header_line(sort: str) -> str:
    signs = ", ".join(_SIGNS[sign] for sign in DELIMITERS)
    return f"a header line, its names apart by {signs}: {', '.join(field.name for field in fields_of(sort))}"


def _missing(sort: str, cells: Cells) -> str:
    """What a header line surely lacks of a sort of table."""
    return _lacking(sort, {one.lstrip("?") for cell in cells for one in may_be(cell, sort)})


def _lacking(sort: str, there: Iterable[str]) -> str:
    names = set(there)
    if sort == "pin":
        return "" if names & {"cavity", "terminal"} else "cavity"
    required = [field.name for field in fields_of(sort) if sort in field.required_on]
    return " and ".join(name for name in required if name not in names)
