"""Sheets of an .xlsx workbook as grids. Formulas are not worked out; a cell that holds one is a fault.

A spreadsheet makes a date of ``5-8`` and of ``2013-08`` unless the column is
text. A date is taken back where a month belongs; elsewhere what was typed is
lost, and the cell is a fault.
"""

from __future__ import annotations

import warnings
import zipfile
from collections.abc import Iterator
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any, BinaryIO

from harnesscheck.model.places import Place, Source
from harnesscheck.read.faults import Faults
from harnesscheck.read.files import open_regular
from harnesscheck.read.grids import DATE, ERROR, FORMULA, Cell, Grid
from harnesscheck.read.limits import Limits

_CHUNK = 1 << 16


def read_workbook(path: Path, faults: Faults, limits: Limits) -> list[Grid]:
    """Every sheet of a workbook that holds anything; raises ``StopReading`` for what is no workbook."""
    with open_regular(path, faults, limits) as file:
        _judge_package(file, path, faults, limits)
        file.seek(0)
        return list(_grids(file, path, faults, limits))


def _judge_package(file: BinaryIO, path: Path, faults: Faults, limits: Limits) -> None:
    """A workbook is a zip of XML: it must not unpack beyond the limit, nor declare entities."""
    place = Place(str(path))
    try:
        with zipfile.ZipFile(file) as package:
            size = sum(member.file_size for member in package.infolist())
            if size > limits.max_bytes:
                most = f"at most {limits.max_bytes} bytes (a limit, can be raised)"
                faults.stop(place, f"a workbook that unpacks to {size} bytes", most)
            if any(_declares(package, member) for member in package.infolist()):
                faults.stop(place, "a DOCTYPE inside the workbook", "a workbook without DOCTYPE")
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, OSError, EOFError) as error:
        faults.stop(place, str(error) or type(error).__name__, "an .xlsx workbook")


def _declares(package: zipfile.ZipFile, member: zipfile.ZipInfo) -> bool:
    """Whether an XML member has a DOCTYPE, or is in an encoding in which one would not be seen."""
    if not member.filename.endswith((".xml", ".rels", ".vml")):
        return False
    kept = b""
    with package.open(member) as stream:
        while chunk := stream.read(_CHUNK):
            if b"<!DOCTYPE" in kept + chunk or b"\0" in chunk:
                return True
            kept = chunk[-16:]
    return False


def _grids(file: BinaryIO, path: Path, faults: Faults, limits: Limits) -> Iterator[Grid]:
    from openpyxl import load_workbook  # slow to import, and seldom needed

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and drop-down lists, which are not read
            workbook = load_workbook(file, read_only=True, data_only=False)
            sheets = [(sheet.title, tuple(_rows(sheet, path, faults, limits))) for sheet in workbook.worksheets]
    except (KeyError, ValueError, TypeError, AttributeError, IndexError, SyntaxError, zipfile.BadZipFile) as error:
        # What openpyxl raises for a package that is no workbook is not documented; these are what it does raise.
        faults.stop(Place(str(path)), f"{type(error).__name__}: {error}", "an .xlsx workbook that is not damaged")
    for title, rows in sheets:
        if rows:
            yield Grid(Source(str(path), title), title, rows)


def _rows(sheet: Any, path: Path, faults: Faults, limits: Limits) -> Iterator[tuple[int, list[str]]]:
    """The rows that hold anything, with their numbers; what the sheet says of its own size is not believed."""
    sheet.reset_dimensions()
    for number, row in enumerate(sheet.iter_rows(), start=1):
        if number > limits.max_rows:
            most = f"at most {limits.max_rows} rows (a limit, can be raised)"
            faults.stop(Place(str(path), number, 0, sheet.title), "one more row", most)
        cells = [_text(cell) for cell in row]
        if any(cells):
            yield number, cells


def _text(cell: Any) -> str:
    value = cell.value
    if value is None:
        return ""
    if cell.data_type == "f":
        return Cell(str(value), FORMULA)
    if cell.data_type == "e":
        return Cell(str(value), ERROR)
    if isinstance(value, datetime | date):
        return Cell(value.isoformat()[:10], DATE)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        # Fifteen digits are what a spreadsheet keeps; more would be noise of binary fractions.
        return format(Decimal(f"{value:.15g}"), "f")
    return str(value)
