"""Sheets of an .xlsx workbook as grids. Formulas are not worked out; a cell that holds one is a fault.

A spreadsheet makes a date of ``5-8`` and of ``2013-08`` unless the column is
text. A date is taken back where a month belongs; elsewhere what was typed is
lost, and the cell is a fault.
"""

from __future__ import annotations

import lzma
import struct
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any, BinaryIO
from xml.parsers import expat

from harnesscheck.model.places import Place, Source
from harnesscheck.read.bounds import Bounds, Refused
from harnesscheck.read.faults import Faults
from harnesscheck.read.files import open_regular
from harnesscheck.read.grids import DATE, ERROR, FORMULA, Cell, Grid, limited_rows
from harnesscheck.read.limits import Limits


def read_workbook(path: Path, faults: Faults, limits: Limits) -> list[Grid]:
    """Every sheet of a workbook that holds anything; raises ``StopReading`` for what is no workbook."""
    with open_regular(path, faults, limits) as opened:
        data = opened.read()
    return workbook_grids(data, path, faults, limits)


def workbook_grids(data: bytes, path: Path, faults: Faults, limits: Limits) -> list[Grid]:
    """The same of the bytes of a workbook; ``path`` is what it is called in messages."""
    faults.contents.update(data)
    file = BytesIO(data)
    _judge_package(file, path, faults, limits)
    file.seek(0)
    return list(_grids(file, path, faults, limits))


def _judge_package(file: BinaryIO, path: Path, faults: Faults, limits: Limits) -> None:
    """A workbook is a zip of XML: it must not unpack beyond the limits, nor declare entities."""
    place = Place(str(path))
    try:
        with zipfile.ZipFile(file) as package:
            size = sum(member.file_size for member in package.infolist())
            if size > limits.max_unpacked:
                most = f"at most {limits.max_unpacked} bytes (a limit, can be raised)"
                faults.stop(place, f"a workbook that unpacks to {size} bytes", most)
            for member in package.infolist():
                if member.filename.endswith((".xml", ".rels", ".vml")):
                    _judge_member(package, member)
    except Refused as error:
        faults.stop(place, error.read, error.expected)
    except (
        zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error, NotImplementedError, RuntimeError, OSError,
        EOFError, ValueError,
    ) as error:  # fmt: skip
        read = "a file that is no zip" if isinstance(error, zipfile.BadZipFile) else str(error)
        faults.stop(place, read or type(error).__name__, "an .xlsx workbook that is not damaged")


def _judge_member(package: zipfile.ZipFile, member: zipfile.ZipInfo) -> None:
    """Look one XML member through before anything keeps it in memory."""
    with package.open(member) as stream:
        try:
            Bounds().judge(stream)
        except expat.ExpatError as error:
            read = f"{member.filename}:{error.lineno}:{error.offset + 1}: {expat.ErrorString(error.code)}"
            raise Refused(read, "an .xlsx workbook that is not damaged") from None
        except Refused as error:
            raise Refused(f"{error.read} in {member.filename}", error.expected) from None


def _grids(file: BinaryIO, path: Path, faults: Faults, limits: Limits) -> Iterator[Grid]:
    from openpyxl import load_workbook  # slow to import, and seldom needed

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and drop-down lists, which are not read
            workbook = load_workbook(file, read_only=True, data_only=False)
            sheets = [
                (sheet.title, tuple(limited_rows(_rows(sheet, path, faults, limits), source, faults, limits)))
                for sheet in workbook.worksheets
                for source in (Source(str(path), sheet.title),)
            ]
    except (
        KeyError, ValueError, TypeError, AttributeError, IndexError, SyntaxError, OverflowError, OSError,
        zipfile.BadZipFile,
    ) as error:  # fmt: skip
        # What openpyxl raises for a package that is no workbook is not documented; these are what it does raise.
        read = " ".join(str(error).strip("\"'").split()) or type(error).__name__
        faults.stop(Place(str(path)), f"a damaged package ({read})", "an .xlsx workbook that is not damaged")
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
