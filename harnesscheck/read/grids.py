"""Tables as rows of cells, from CSV text; ``workbook`` makes the same of .xlsx files.

CSV is UTF-8, with or without byte order mark. Comma, semicolon and tab are told
apart by which of them makes known column names of the header line; in semicolon
and tab files a decimal comma is read.
"""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from harnesscheck.model.places import Place, Source
from harnesscheck.read.faults import Faults
from harnesscheck.read.files import open_regular
from harnesscheck.read.limits import Limits

DELIMITERS = ",;\t|"
FORMULA = "the value; formulas are not worked out (paste values instead)"
DATE = "what was typed; the spreadsheet has made a date of it (format the column as text)"
ERROR = "a value; the spreadsheet shows an error here"
_QUOTES = 'cells whose quotes (") are in pairs and around the whole cell'
_HEAD_LINES = 20  # a header stands among the first lines that are not blank
_HEAD_CELLS = 200  # of one line; no table has as many columns
_UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


class Cell(str):
    """The text of a cell that a spreadsheet has made something else of: ``trouble`` says what to do about it."""

    __slots__ = ("trouble",)
    trouble: str

    def __new__(cls, text: str, trouble: str) -> Cell:
        """A cell whose text is not what somebody typed."""
        cell = super().__new__(cls, text)
        cell.trouble = trouble
        return cell


Cells = Sequence[str]


@dataclass(frozen=True, slots=True)
class Grid:
    """One table: where it is, the name that says which, its numbered rows, how it writes decimals."""

    source: Source
    name: str
    rows: tuple[tuple[int, Cells], ...]
    decimal_comma: bool = False
    delimiter: str = ""  # between the cells of a text


def read_csv(path: Path, faults: Faults, limits: Limits, known: Callable[[Cells], int]) -> Grid:
    """Read a CSV file; ``known`` counts the column names it knows in a row of cells."""
    with open_regular(path, faults, limits) as file:
        data = file.read()
    return csv_grid(text_of(data, path, faults), path, faults, limits, known)


def csv_grid(text: str, path: Path, faults: Faults, limits: Limits, known: Callable[[Cells], int]) -> Grid:
    """The same of a text; ``path`` is what it is called in messages."""
    delimiter = _delimiter(text, known)
    source = Source(str(path))
    rows = limited_rows(_numbered(text, delimiter, path, faults), source, faults, limits)
    return Grid(source, path.stem, tuple(rows), decimal_comma=delimiter != ",", delimiter=delimiter)


def _numbered(text: str, delimiter: str, path: Path, faults: Faults) -> Iterator[tuple[int, list[str]]]:
    """Rows of cells, each with the line it begins on."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    try:
        for cells in reader:
            yield line, cells
            line = reader.line_num + 1
    except csv.Error as error:
        place = Place(str(path), line)
        if "field limit" in str(error):
            most = f"at most {csv.field_size_limit()} characters, and {_QUOTES}"
            faults.stop(place, f"a cell of more than {csv.field_size_limit()} characters", most)
        read = "a quote that is never closed" if "end of data" in str(error) else "a quote in the middle of a cell"
        faults.stop(place, read, _QUOTES)


def limited_rows(
    rows: Iterable[tuple[int, list[str]]], source: Source, faults: Faults, limits: Limits
) -> Iterator[tuple[int, list[str]]]:
    """The rows of a table that is not larger than the limits; blank cells at the end of a row are not kept."""
    cells_left = limits.max_cells
    for number, (line, cells) in enumerate(rows, start=1):
        while cells and not cells[-1]:
            cells.pop()
        cells_left -= len(cells)
        if number <= limits.max_rows and len(cells) <= limits.max_columns and cells_left >= 0:
            yield line, cells
            continue
        read, most = (
            "one more row",
            f"{limits.max_rows} rows" if number > limits.max_rows else f"{limits.max_cells} cells",
        )
        if len(cells) > limits.max_columns:
            read, most = f"{len(cells)} cells in one row", f"{limits.max_columns} columns"
        faults.stop(Place(source.path, line, 0, source.sheet), read, f"at most {most} (a limit, can be raised)")


def text_of(data: bytes, path: Path, faults: Faults) -> str:
    """The bytes of a file as text, without byte order mark."""
    faults.contents.update(data)
    place = Place(str(path))
    if data.startswith(_UTF_16):
        faults.stop(place, "UTF-16 text", "UTF-8 text (save as CSV UTF-8)")
    if b"\0" in data:
        faults.stop(place, "a binary file", "a table as UTF-8 text")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        before = data[data.rfind(b"\n", 0, error.start) + 1 : error.start].decode("utf-8-sig")
        faults.stop(
            Place(str(path), line, len(before) + 1), f"byte {data[error.start]:#04x}", "UTF-8 text (save as CSV UTF-8)"
        )
    if not text.strip():
        faults.stop(place, "a file without text", "a table with a header line")
    return text


def _delimiter(text: str, known: Callable[[Cells], int]) -> str:
    """The delimiter that makes the most column names; of equals, the one that is there most often.

    Where a line names columns only that line counts: a text below may hold any sign.
    """
    head = list(_head(text))
    named = [line for line in head if any(_best((line,), one, known) for one in DELIMITERS)][:1] or head
    return max(DELIMITERS, key=lambda one: (_best(head, one, known), sum(line.count(one) for line in named)))


def _head(text: str) -> Iterator[str]:
    start = text[: 1 << 16].splitlines()
    return (line for line in start[:_HEAD_LINES] if line.strip())


def _best(lines: Sequence[str], delimiter: str, known: Callable[[Cells], int]) -> int:
    return max((known(cells[:_HEAD_CELLS]) for cells in csv.reader(lines, delimiter=delimiter)), default=0)
