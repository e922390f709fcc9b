"""Tables as rows of cells, from CSV text; ``workbook`` makes the same of .xlsx files.

CSV is UTF-8, with or without byte order mark. Comma, semicolon and tab are told
apart by which of them makes known column names of the header line; in semicolon
and tab files a decimal comma is read.
"""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from harnesscheck.model.places import Place, Source
from harnesscheck.read.faults import Faults
from harnesscheck.read.files import open_regular
from harnesscheck.read.limits import Limits

DELIMITERS = ",;\t"
FORMULA = "the value; formulas are not worked out (paste values instead)"
DATE = "what was typed; the spreadsheet has made a date of it (format the column as text)"
ERROR = "a value; the spreadsheet shows an error here"
_HEAD_LINES = 20  # a header stands among the first lines that are not blank
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


def read_csv(path: Path, faults: Faults, limits: Limits, known: Callable[[Cells], int]) -> Grid:
    """Read a CSV file; ``known`` counts the column names it knows in a row of cells."""
    text = _text(path, faults, limits)
    delimiter = _delimiter(text, known)
    rows = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    try:
        for cells in reader:
            rows.append((line, cells))
            line = reader.line_num + 1
            if len(rows) > limits.max_rows:
                most = f"at most {limits.max_rows} rows (a limit, can be raised)"
                faults.stop(Place(str(path), line), "one more row", most)
    except csv.Error as error:
        faults.stop(Place(str(path), line), str(error), 'cells whose quotes (") are in pairs')
    return Grid(Source(str(path)), path.stem, tuple(rows), decimal_comma=delimiter != ",")


def _text(path: Path, faults: Faults, limits: Limits) -> str:
    """The file as text, without byte order mark."""
    with open_regular(path, faults, limits) as file:
        data = file.read()
    place = Place(str(path))
    if data.startswith(_UTF_16):
        faults.stop(place, "UTF-16 text", "UTF-8 text (save as CSV UTF-8)")
    if b"\0" in data:
        faults.stop(place, "a binary file", "a table as UTF-8 text")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        faults.stop(Place(str(path), line), f"byte {data[error.start]:#04x}", "UTF-8 text (save as CSV UTF-8)")
    if not text.strip():
        faults.stop(place, "a file without text", "a table with a header line")
    return text


def _delimiter(text: str, known: Callable[[Cells], int]) -> str:
    """The delimiter that makes the most column names; of equals, the one that is there most often."""
    head = list(_head(text))
    return max(DELIMITERS, key=lambda one: (_best(head, one, known), sum(line.count(one) for line in head)))


def _head(text: str) -> Iterator[str]:
    start = text[: 1 << 16].splitlines()
    return (line for line in start[:_HEAD_LINES] if line.strip())


def _best(lines: Sequence[str], delimiter: str, known: Callable[[Cells], int]) -> int:
    return max((known(cells) for cells in csv.reader(lines, delimiter=delimiter)), default=0)
