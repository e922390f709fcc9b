"""Reads the table form: a folder, a workbook, or one CSV file; rows of all of them are pooled.

A table is told by the name of its file or sheet (``pins``, ``pins-engine``); a
table that stands alone under another name holds pins. Cells become texts by
field name, as attributes are in XML, and one typer reads both.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from harnesscheck.fields import CHOICES_SHEET, COLUMNS_SHEET, ROW_NAMES, row_sort
from harnesscheck.model.places import Place, Source
from harnesscheck.read.build import Begin, Row
from harnesscheck.read.faults import Faults, StopReading
from harnesscheck.read.files import is_folder
from harnesscheck.read.grids import DATE, DELIMITERS, Cell, Cells, Grid, csv_grid, read_csv
from harnesscheck.read.headers import VEHICLE_FIELDS, Columns, known_headers, table_sort, table_suffix, with_unit
from harnesscheck.read.layout import layout_of, shown_sign
from harnesscheck.read.limits import Limits
from harnesscheck.read.listed import connector_of, listed_pins, pin_origin, without_lists
from harnesscheck.read.lookalikes import ask_about_lookalikes
from harnesscheck.read.pinrows import (
    MARKED,
    EmptyCavities,
    heading,
    is_mark,
    is_marked_empty,
    without_guard,
    without_marks,
)
from harnesscheck.read.pooling import Pool
from harnesscheck.read.spoilt import CAVITIES, may_be_spoilt, spoilt
from harnesscheck.read.values import UNKNOWN, Origin, Typer

TEXT_ENDINGS = (".csv", ".tsv")
WORKBOOK_ENDINGS = (".xlsx", ".xlsm")
OTHER_ENDINGS = (".xls", ".xlsb", ".ods", ".numbers")
_MONTHS = ("built-from", "built-to")


@dataclass(slots=True)
class _RawRow:
    """One line of a table: texts by field name and where they stand; ``empty``: it marks its cavity as empty."""

    sort: str
    texts: dict[str, str]
    origin: Origin
    decimal_comma: bool = False
    empty: bool = False


@dataclass(frozen=True, slots=True)
class _SortedGrid:
    """A grid whose sort of row is known, and the connector its pins are in where no column says so."""

    sort: str
    grid: Grid
    connector: str


def table_files(folder: Path) -> list[Path]:
    """The files of a folder that hold tables. Hidden files, and a spreadsheet's own lock files, do not.

    Raises OSError for a folder that cannot be read.
    """
    endings = (*TEXT_ENDINGS, *WORKBOOK_ENDINGS, *OTHER_ENDINGS)
    entries = sorted(folder.iterdir(), key=lambda file: file.name)
    return [file for file in entries if file.suffix.lower() in endings and not file.name.startswith((".", "~$"))]


def read_tables(path: Path, faults: Faults, limits: Limits, begin: Begin, empties: bool = False) -> None:
    """Hand the header of a folder, workbook or CSV file to ``begin``, and every other row to what that answers with.

    With ``empties`` a cavity that is said to be empty is a row too, as it is over
    a base. Raises ``StopReading`` when it cannot go on.
    """
    reading = _TableReader(path, faults, limits)
    _hand_over(reading, reading.tables(), faults, limits, begin, empties)


def read_pins_table(text: str, name: str, faults: Faults, limits: Limits, begin: Begin) -> None:
    """The same of one CSV text of pins that is in no file; ``name`` is what it is called in messages."""
    path = Path(name)
    grid = csv_grid(text, path, faults, limits, known_headers)
    tables = iter([_SortedGrid("pin", grid, _as_id(path.stem))])
    _hand_over(_TableReader(path, faults, limits), tables, faults, limits, begin, empties=False)


def _hand_over(
    reading: _TableReader,
    tables: Iterator[_SortedGrid],
    faults: Faults,
    limits: Limits,
    begin: Begin,
    empties: bool,
) -> None:
    raw: dict[str, list[_RawRow]] = {sort: [] for sort in ROW_NAMES}
    left = limits.max_rows
    for table in tables:
        for row in reading.rows(table):
            raw[row.sort].append(row)
            left -= 1
            if left < 0:
                most = f"at most {limits.max_rows} rows (a limit, can be raised)"
                faults.stop(row.origin.place(), "one more row", most)
    reading.hand_over(raw, begin, empties)


class _TableReader:
    def __init__(self, path: Path, faults: Faults, limits: Limits) -> None:
        self._path = path
        self._faults = faults
        self._limits = limits
        self.broken = False  # a file could not be read at all; the others are still looked through

    # -- which tables there are

    def tables(self) -> Iterator[_SortedGrid]:
        """Every table below the path."""
        if not is_folder(self._path):
            yield from self._of_file(self._path, alone=True)
            return
        found = False
        for file in self._files():
            found = True
            try:
                yield from self._of_file(file, alone=False)
            except StopReading:
                self._faults.raise_if_full()
                self.broken = True
        if not found:
            expected = "a folder with tables (pins.csv), or one XML netlist instead of a folder"
            self._faults.stop(Place(str(self._path)), "a folder without tables", expected)

    def _files(self) -> list[Path]:
        """The files of the folder, unless there are more than may be."""
        try:
            files = table_files(self._path)
        except OSError as error:
            self._faults.stop(Place(str(self._path)), str(error.strerror), "a folder that can be read")
        self._ask_about_twins(files)
        if len(files) > self._limits.max_files:
            most = f"at most {self._limits.max_files} (a limit, can be raised)"
            self._faults.stop(Place(str(self._path)), f"{len(files)} tables", most)
        return files

    def _ask_about_twins(self, files: Sequence[Path]) -> None:
        """``harness.csv`` beside ``harnesses.csv``: an old copy, or the pins of one harness?"""
        first: dict[str, Path] = {}
        for file in files:
            sort = table_sort(file.stem)
            if sort is not None and not table_suffix(file.stem):
                other = first.setdefault(sort, file)
                if other.stem.casefold() != file.stem.casefold():
                    asked = f"two tables of one sort, with {other.name}: both are read; is one an old copy?"
                    self._faults.remarks.add(Place(str(file)), file.name, asked)

    def _of_file(self, file: Path, alone: bool) -> Iterator[_SortedGrid]:
        ending = file.suffix.lower()
        if ending in OTHER_ENDINGS:
            self._faults.stop(Place(str(file)), f"a {ending} file", "a table as .csv or .xlsx")
        if ending in WORKBOOK_ENDINGS:
            yield from self._of_workbook(file)
            return
        sort = table_sort(file.stem)
        if sort is None and not alone:
            expected = f"the name of a table at the start ({_table_names()}), as in pins-{file.stem}.csv"
            self._faults.stop(Place(str(file)), file.name, expected)
        grid = read_csv(file, self._faults, self._limits, known_headers)
        yield _SortedGrid(sort or "pin", grid, _as_id(table_suffix(file.stem) or file.stem))

    def _of_workbook(self, file: Path) -> Iterator[_SortedGrid]:
        from harnesscheck.read.workbook import read_workbook  # seldom needed

        grids = [grid for grid in read_workbook(file, self._faults, self._limits) if not _is_beside(grid.name)]
        if not grids:
            self._faults.stop(Place(str(file)), "an empty workbook", "a sheet with a table")
        stem = table_suffix(file.stem) or file.stem
        for grid in grids:
            sort = table_sort(grid.name)
            if sort is None and len(grids) == 1:
                sort = table_sort(file.stem) or "pin"
            if sort is None:
                place = Place(grid.source.path, sheet=grid.source.sheet)
                self._faults.add(place, grid.name, f"a sheet with the name of a table: {_table_names()}")
            else:
                yield _SortedGrid(sort, grid, _as_id(table_suffix(grid.name) or stem))

    # -- rows as texts

    def rows(self, table: _SortedGrid) -> Iterator[_RawRow]:
        """The rows of one table; headings between them start another connector."""
        layout = layout_of(table.grid, table.sort, self._faults)
        if layout is None:
            return
        table = replace(table, sort=layout.sort)
        columns, connector, headed = layout.columns, "", False
        of_vehicle = table.sort == "pin" and any(map(columns.holds, VEHICLE_FIELDS))
        source = table.grid.source
        yield from (_RawRow("netlist", texts, Origin(source, line)) for line, texts in layout.vehicle)
        for line, cells in layout.rows:
            spread = line < layout.line or not columns.holds("connector")
            if table.sort == "pin" and (found := heading(cells, spread)) is not None:
                connector, headed = found["id"], True
                yield _RawRow("connector", found, Origin(source, line))
            elif headed and tuple(cell.strip().lower() for cell in cells) == columns.cells:
                headed = False  # the header line again, under a heading
            else:
                headed = False
                row = self._row(table, columns, line, cells)
                if row is not None and table.sort == "pin":
                    if of_vehicle:
                        yield from _of_the_vehicle(row)
                    connector = _name_connector(row, columns, connector, table.connector)
                    self._ask_about_unused(row)
                    row = _without_place(row)
                if row is not None and row.texts:
                    yield row
                if row is not None and row.sort == "connector":
                    yield from self._listed(row)

    def _listed(self, row: _RawRow) -> Iterator[_RawRow]:
        """The rows of pins that a connector's row lists."""
        pins = listed_pins(row.texts, row.origin, self._faults, self._limits, row.decimal_comma)
        row.texts = without_lists(row.texts)
        origin = pin_origin(row.origin)
        for pin in pins:
            texts = {"connector": connector_of(pin, row.texts) or ""} | pin.texts
            yield _RawRow("pin", texts, origin, row.decimal_comma, pin.empty)

    def _row(self, table: _SortedGrid, columns: Columns, line: int, cells: Cells) -> _RawRow | None:
        origin = Origin(table.grid.source, line, 0, columns.headers)
        comma, fields, plain = table.grid.decimal_comma, columns.fields, columns.plain
        if len(cells) < len(fields) and not cells[0].isalnum():
            cells, comma = self._apart(table.grid, columns, origin, cells)
        texts: dict[str, str] = {}
        sound = True
        for number, cell in enumerate(cells):
            text = cell.strip()
            if not text:
                continue
            name = fields[number] if number < len(fields) else None
            if name is not None and type(cell) is str and (name in plain or (name == "cavity" and text.isdigit())):
                texts[name] = without_guard(text) if text[0] == "'" and name in columns.guarded else text
            elif name is not None:
                sound &= self._cell(name, cell, text, columns, origin, texts)
            elif not columns.is_reported(number):
                self._faults.add(replace(origin.place(), column=number + 1), text, "a column name above it")
        return _RawRow(table.sort, texts, origin, comma) if sound and texts else None

    def _cell(self, name: str, cell: str, text: str, columns: Columns, origin: Origin, texts: dict[str, str]) -> bool:
        """Take a cell that is not plainly its text; whether what was typed is still there."""
        trouble = cell.trouble if isinstance(cell, Cell) else spoilt(text) if name in CAVITIES else ""
        if trouble == DATE and name in _MONTHS:
            texts[name] = text[:7]
        elif trouble:
            self._faults.add(origin.place(name), text, f"{name}: {trouble}")
            return False
        else:
            text = text if name in MARKED else without_guard(text)
            texts[name] = with_unit(text, columns.units[name]) if name in columns.units else text
        if name == "cavity" and may_be_spoilt(text):
            asked = "is the cavity called so? A spreadsheet makes a number of it"
            self._faults.remarks.add(origin.place(name), text, asked)
        return True

    def _apart(self, grid: Grid, columns: Columns, origin: Origin, cells: Cells) -> tuple[Cells, bool]:
        """The cells of a row; one written with another separator than the rest of its file is taken apart by that."""
        written = grid.delimiter.join(cells)
        for other in DELIMITERS if grid.delimiter and cells[0][:1] != "'" else "":
            apart = written.split(other)
            if other != grid.delimiter and other in cells[0] and len(apart) == len(columns.fields) > 1:
                self._faults.remarks.add(origin.place(), written, f"cells apart by {shown_sign(other)} in this row")
                return apart, other != ","
        return cells, grid.decimal_comma

    def _ask_about_unused(self, row: _RawRow) -> None:
        """A wire with a colour, in a cavity that is said to be unused: a wire is there until somebody has looked."""
        colour, function = row.texts.get("colour"), row.texts.get("function")
        if colour and function and is_mark(function) and colour.strip("?"):
            asked = f"a wire ({colour}) in a cavity that is not used? It is read as a wire"
            self._faults.remarks.add(row.origin.place("function"), function, asked)

    # -- rows as values

    def hand_over(self, raw: dict[str, list[_RawRow]], begin: Begin, empties: bool) -> None:
        """Type the rows, pool those that are one, and hand them over: the header first, for it may tell the colours."""
        pool, empty = Pool(self._faults), EmptyCavities()
        self._type(raw, ("netlist",), self._typers(None), pool, empty)
        header = next(iter(pool.rows["netlist"]), None) or Row("netlist", {}, Origin(Source(str(self._path)), 0))
        has_base = header.values.get("base") is not None
        take = begin(header.values, header.origin)
        self._type(raw, ROW_NAMES[1:], self._typers(header.values.get("colour_code")), pool, empty)
        ask_about_lookalikes(pool.rows["pin"], pool.rows["connector"], self._faults)
        empty.settle(pool.rows["pin"], pool.rows["connector"], self._faults, over_base=has_base)
        if self.broken:
            raise StopReading
        for sort in ROW_NAMES[1:]:
            for typed in pool.rows[sort]:
                take(sort, typed.values, typed.origin)
        for typed in empty.rows() if empties or has_base else ():
            take("pin", typed.values, typed.origin)

    def _type(
        self,
        raw: dict[str, list[_RawRow]],
        sorts: Sequence[str],
        typers: dict[bool, Typer],
        pool: Pool,
        empty: EmptyCavities,
    ) -> None:
        for sort in sorts:
            for row in raw[sort]:
                values = typers[row.decimal_comma].values(sort, row.texts, row.origin)
                if row.empty:
                    empty.add(values, row.origin)
                else:
                    pool.add(Row(sort, values, row.origin))

    def _typers(self, colour_code: str | None) -> dict[bool, Typer]:
        """One for tables with a decimal point, one for those with a comma."""
        return {comma: Typer(self._faults, self._limits, colour_code, comma, people=True) for comma in (False, True)}


def _name_connector(row: _RawRow, columns: Columns, above: str, default: str) -> str:
    """Say which connector a pin is in: its own cell, else the one above, else the file's name.

    Answers with the connector the next row is in, unless it says otherwise.
    """
    texts = row.texts
    if not texts.get("component") and not texts.get("connector"):
        name = above or ("" if "connector" in columns.headers else default)
        if name:
            texts["connector"] = name
    row.empty = is_marked_empty(texts)
    kept = {name: text for name, text in texts.items() if name not in MARKED} if row.empty else without_marks(texts)
    row.texts = {name: without_guard(text) if name in MARKED else text for name, text in kept.items()}
    return texts.get("connector", above)


def _without_place(row: _RawRow) -> _RawRow:
    """A wire whose cavity is not known (``?``): it is told of its plug, which then is not one that is all known."""
    connector = row.texts.get("connector")
    if row.texts.get("cavity") != UNKNOWN or not connector:
        return row
    left = {name: text for name, text in row.texts.items() if name not in ("connector", "cavity", "source")}
    said = ", ".join(f"{name} {text}" for name, text in left.items())
    texts = {"id": connector, "harness": UNKNOWN, "complete": "no", "note": f"cavity not known: {said}"}
    return _RawRow("connector", texts, row.origin, row.decimal_comma)


def _of_the_vehicle(row: _RawRow) -> Iterator[_RawRow]:
    """What a row of pins says of the vehicle, as a row of its own."""
    said = {name: row.texts.pop(name) for name in VEHICLE_FIELDS if name in row.texts}
    if said:
        yield _RawRow("netlist", said, row.origin)


def _is_beside(sheet: str) -> bool:
    """Whether a sheet of our own forms holds no rows."""
    return sheet.strip().lower() in (COLUMNS_SHEET, CHOICES_SHEET)


def _table_names() -> str:
    return ", ".join(row_sort(name).table for name in ROW_NAMES)


def _as_id(stem: str) -> str:
    """A file's name as the name of a connector."""
    return re.sub(r"""[\s:<>"'&\\]+""", "-", stem.strip()).strip("-") or "connector"
