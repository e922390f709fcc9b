"""A file's bytes as pages with grids of cells, whatever the file is; told by what it holds, not by its name."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from harnesscheck.model.places import Place
from harnesscheck.model.progress import Told, silent
from harnesscheck.read.faults import Faults, StopReading
from harnesscheck.read.grids import Cell, Grid, csv_grid, text_of
from harnesscheck.read.headers import known_headers
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits
from harnesscheck.read.pages.cells import Box, PageCell, PageGrid, PageRow, SourceFile, SourcePage, Word, source_words
from harnesscheck.read.pages.pagelimits import PAGE_LIMITS, PageLimits
from harnesscheck.read.pages.words import grids_of

_LEADER = re.compile(r"[.·…_]{3,}|(?<=\s)[.·…_]{2}(?=\s)")  # dots that lead the eye to the next column
_RULER = re.compile(r"[-=_+:| ]+")
Wanted = Sequence[int]


@dataclass(frozen=True, slots=True)
class How:
    """What every reader of pages is handed: limits of a table, limits of pages, whom to tell how far it is."""

    limits: Limits = DEFAULT_LIMITS
    pages: PageLimits = PAGE_LIMITS
    told: Told = silent


def read_source(data: bytes, name: str, faults: Faults, how: How, wanted: Wanted = ()) -> SourceFile:
    """The pages of a file; ``wanted`` are numbers of pages, none for all. Stops reading where it cannot."""
    if not data:
        faults.stop(Place(name), "an empty file", "a page with a table of pins")
    if len(data) > how.pages.max_bytes:
        faults.stop(Place(name), f"{len(data)} bytes", f"at most {how.pages.max_bytes} bytes")
    how.told(source_words(name, 0))
    pages = _reader(data)(data, name, faults, how, wanted)
    return SourceFile(name, tuple(pages))


def is_picture(data: bytes) -> bool:
    """Whether the bytes are a PNG or JPEG."""
    return data.startswith((b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff"))


def is_text(data: bytes) -> bool:
    """Whether the bytes are read as a text or a web page: nothing that a library for pictures or archives opens."""
    return _reader(data) in (_text, _html)


_Reader = Callable[[bytes, str, Faults, How, Wanted], list[SourcePage]]


def _reader(data: bytes) -> _Reader:
    if data[:1024].lstrip().startswith(b"%PDF"):
        return _pdf
    if is_picture(data):
        return _picture
    if data.startswith(b"PK\x03\x04"):
        return _workbook
    head = data[:4096].removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    if head.startswith((b"<!doctype html", b"<html", b"<table", b"<!--")) or b"<table" in data[: 1 << 20].lower():
        return _html
    return _text


def _pdf(data: bytes, name: str, faults: Faults, how: How, wanted: Wanted) -> list[SourcePage]:
    from harnesscheck.read.pages.pdf import pdf_pages

    return pdf_pages(data, name, faults, how.pages, wanted, how.told)


def _picture(data: bytes, name: str, faults: Faults, how: How, wanted: Wanted) -> list[SourcePage]:
    from harnesscheck.read.pages.scan import picture_page

    return [picture_page(data, name, 0, faults, how.pages, how.told)]


def _html(data: bytes, name: str, faults: Faults, how: How, wanted: Wanted) -> list[SourcePage]:
    from harnesscheck.read.pages.web import html_page

    return [html_page(data, name, faults, how.limits)]


def _workbook(data: bytes, name: str, faults: Faults, how: How, wanted: Wanted) -> list[SourcePage]:
    from harnesscheck.read.workbook import workbook_grids

    grids = [_of_grid(grid, name, grid.name) for grid in workbook_grids(data, Path(name), faults, how.limits)]
    return [SourcePage(name, 0, tuple(grids), sum(len(grid.rows) for grid in grids))]


def _text(data: bytes, name: str, faults: Faults, how: How, wanted: Wanted) -> list[SourcePage]:
    """A table in a text: its cells apart by a sign, else by blanks."""
    limits = how.limits
    text = text_of(data, Path(name), faults)
    text = _LEADER.sub(lambda dots: " " * len(dots.group()), text)
    lines = [line.expandtabs(8) for line in text.splitlines()[: limits.max_rows]]
    grids: tuple[PageGrid, ...] = ()
    if sum(any(sign in line for sign in ",;\t|") for line in text.splitlines()) * 2 >= len(list(filter(None, lines))):
        trial = Faults()
        with suppress(StopReading):
            grid = csv_grid(text, Path(name), trial, limits, known_headers)
            grids = (_of_grid(grid, name, ""),) if any(known_headers(cells) > 1 for _, cells in grid.rows) else ()
    grids = grids or tuple(_ragged(lines, name))
    if not grids:
        words = [
            Word(match.group(), Box(match.start(), at * 2.0, match.end(), at * 2.0 + 1.0))
            for at, line in enumerate(lines)
            if not _RULER.fullmatch(line)
            for match in re.finditer(r"[^\s|]+", line)
        ]
        _judge_words(words, name, faults, how.pages)
        grids = tuple(grids_of(words, name, 0, em=2.0))
    if not grids:
        grids = tuple(_spaced(lines, name))
    if not grids and any("," in line or ";" in line for line in lines):
        grids = (_of_grid(csv_grid(text, Path(name), faults, limits, known_headers), name, ""),)
    return [SourcePage(name, 0, grids, len(lines))]


def _judge_words(words: Sequence[Word], name: str, faults: Faults, limits: PageLimits) -> None:
    if len(words) > limits.max_words:
        faults.stop(Place(name), f"{len(words)} words", f"at most {limits.max_words} words on a page")


def _of_grid(grid: Grid, name: str, sheet: str) -> PageGrid:
    """A table of a spreadsheet or text; what a spreadsheet has made of a cell is its trouble."""
    rows = tuple(PageRow(line, tuple(map(_cell, cells))) for line, cells in grid.rows)
    kept = tuple(row for row in rows if any(row.texts) and not all(_RULER.fullmatch(t) for t in row.texts if t))
    return PageGrid(name, 0, kept, name=sheet, ruled=True, decimal_comma=grid.decimal_comma)


def _cell(text: str) -> PageCell:
    return PageCell(" ".join(text.split()), trouble=text.trouble if isinstance(text, Cell) else "")


def _ragged(lines: Sequence[str], name: str) -> list[PageGrid]:
    """A table whose cells stand two blanks or more apart and not below each other: as many a line as headings.

    One line with another number of cells has a blank one somewhere; where, only its columns can tell.
    """
    parted = [re.split(r"\s{2,}", line.strip()) if line.strip() else [] for line in lines]
    heads = [at for at, cells in enumerate(parted) if len(cells) >= 2 and known_headers(cells) == len(cells)]
    if len(heads) != 1:
        return []  # no table, or several below each other
    at = heads[0]
    rows = [(number, cells) for number, cells in enumerate(parted[at:], start=at + 1) if cells]
    if len(rows) < 2 or any(len(cells) != len(parted[at]) for _, cells in rows):
        return []
    made = tuple(PageRow(number, tuple(map(_cell, cells))) for number, cells in rows)
    return [PageGrid(name, 0, made, tuple(lines[max(0, at - 6) : at]))]


def _spaced(lines: Sequence[str], name: str) -> list[PageGrid]:
    """A table whose cells a mail has put one blank apart: as many words a row as headings, the rest in the last."""
    for at, line in enumerate(lines):
        heads = line.split()
        known = known_headers(heads)
        body = [one.split(maxsplit=len(heads) - 1) for one in lines[at + 1 :] if one.strip()]
        if 2 <= len(heads) == known and body and sum(len(one) == len(heads) for one in body) >= 0.8 * len(body):
            rows = [heads, *body]
            made = (PageRow(n, tuple(map(_cell, cells))) for n, cells in enumerate(rows, start=at + 1))
            return [PageGrid(name, 0, tuple(made), tuple(lines[max(0, at - 6) : at]))]
    return []
