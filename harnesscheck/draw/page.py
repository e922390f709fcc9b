"""What every sheet has around its drawing: title, what it shows, sheet number, inputs' digest; and tables."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from harnesscheck.draw.font import BOLD, REGULAR, fit, width_mm, wrap
from harnesscheck.draw.ink import (
    BLACK,
    GREY,
    HAIR,
    HEAD_MM,
    LINE_MM,
    NORMAL,
    SMALL_MM,
    TEXT_MM,
    TITLE_MM,
    WASH,
)
from harnesscheck.draw.scene import Box, Item, Line, Scene, Text, moved

A4_LONG_MM, A4_SHORT_MM = 297.0, 210.0  # ISO 216
LETTER_LONG_MM, LETTER_SHORT_MM = 279.4, 215.9  # 11 and 8 1/2 inches (ANSI Y14.1, size A)
MARGIN_MM = 9.0
HEADER_MM, FOOTER_MM = 18.0, 7.0


@dataclass(frozen=True, slots=True)
class Paper:
    """A page, lying or standing, and the part of it that a drawing may use."""

    standing: bool = False
    long_mm: float = A4_LONG_MM
    short_mm: float = A4_SHORT_MM

    @property
    def width(self) -> float:
        """The width of the page in mm."""
        return self.short_mm if self.standing else self.long_mm

    @property
    def height(self) -> float:
        """The height of the page in mm."""
        return self.long_mm if self.standing else self.short_mm

    @property
    def left(self) -> float:
        """Where drawing may begin."""
        return MARGIN_MM

    @property
    def right(self) -> float:
        """Where drawing must end."""
        return self.width - MARGIN_MM

    @property
    def top(self) -> float:
        """Below the title."""
        return MARGIN_MM + HEADER_MM

    @property
    def bottom(self) -> float:
        """Above the footer."""
        return self.height - MARGIN_MM - FOOTER_MM

    @property
    def room(self) -> float:
        """The width a drawing may use."""
        return self.right - self.left


@dataclass(frozen=True, slots=True)
class Stock:
    """One sort of paper, by its usual name, lying and standing."""

    name: str
    lying: Paper
    standing: Paper


LYING, STANDING = Paper(), Paper(standing=True)
A4 = Stock("a4", LYING, STANDING)
LETTER = Stock(
    "us-letter",
    Paper(False, LETTER_LONG_MM, LETTER_SHORT_MM),
    Paper(True, LETTER_LONG_MM, LETTER_SHORT_MM),
)


@dataclass(frozen=True, slots=True)
class SheetHeading:
    """What is written around a drawing. ``digest`` tells from which inputs it was made."""

    title: str
    subtitle: str = ""
    footer: str = ""
    digest: str = ""
    description: str = ""


def page(paper: Paper, heading: SheetHeading, items: Iterable[Item], number: int = 1, of: int = 1) -> Scene:
    """A drawing with its heading and footer."""
    sheet = f"sheet {number} of {of}"
    title = f"{heading.title}, {sheet}" if of > 1 else heading.title
    frame = _frame(paper, heading, sheet)
    return Scene(paper.width, paper.height, title, heading.description or heading.subtitle, (*frame, *items))


def _frame(paper: Paper, heading: SheetHeading, sheet: str) -> Iterator[Item]:
    room = paper.room - width_mm(sheet, TEXT_MM) - 6
    yield Text(paper.left, MARGIN_MM + 5, fit(heading.title, room, TITLE_MM, BOLD), TITLE_MM, BLACK, BOLD)
    yield Text(paper.right, MARGIN_MM + 5, sheet, TEXT_MM, GREY, REGULAR, "end")
    yield Text(paper.left, MARGIN_MM + 10.5, fit(heading.subtitle, paper.room, TEXT_MM), TEXT_MM, BLACK)
    rule = MARGIN_MM + 13
    yield Line(paper.left, rule, paper.right, rule, NORMAL)
    foot = paper.height - MARGIN_MM
    yield Line(paper.left, foot - 4, paper.right, foot - 4, HAIR)
    digest = f"inputs {heading.digest}" if heading.digest else "inputs not recorded"
    yield Text(paper.right, foot, fit(digest, 60, SMALL_MM), SMALL_MM, GREY, REGULAR, "end")
    yield Text(paper.left, foot, fit(heading.footer, paper.room - 64, SMALL_MM), SMALL_MM, GREY)


@dataclass(frozen=True, slots=True)
class TableColumn:
    """A column of a table; a long text is wrapped."""

    head: str
    width_mm: float


@dataclass(frozen=True, slots=True)
class TableRow:
    """A row of a table, one text a column; strong rows are heavier. ``lead`` is drawn at (0, 0) before it."""

    cells: tuple[str, ...]
    strong: bool = False
    lead: tuple[Item, ...] = ()


def fitting(columns: Sequence[TableColumn], paper: Paper) -> tuple[TableColumn, ...]:
    """The columns in the same proportions, together no wider than a page's room."""
    part = min(1.0, paper.room / sum(column.width_mm for column in columns))
    return tuple(TableColumn(column.head, column.width_mm * part) for column in columns)


_CELL_LINES = 4
_PAD_MM = 1.3


def table(
    x: float, y: float, bottom: float, columns: Sequence[TableColumn], rows: Sequence[TableRow]
) -> tuple[list[Item], int]:
    """As many rows as fit above ``bottom``, under their column heads, and how many those are."""
    items: list[Item] = list(_heads(x, y, columns))
    y += 6.0
    done = 0
    for row in rows:
        lines = _cell_lines(columns, row)
        height = _row_height(row, lines)
        if y + height > bottom:
            break
        items.extend(_row(x, y, columns, row, lines))
        y += height
        items.append(Line(x, y, x + sum(column.width_mm for column in columns), y, HAIR))
        done += 1
    return items, done


def _row_height(row: TableRow, lines: Sequence[Sequence[str]]) -> float:
    """The height of a row by its fullest cell, or by what is drawn in front of it."""
    return max(1.4 + LINE_MM * max(1, *map(len, lines)), 6.2 if row.lead else 0.0)


def _heads(x: float, y: float, columns: Sequence[TableColumn]) -> Iterator[Item]:
    yield Box(x, y, sum(column.width_mm for column in columns), 5.6, None, WASH)
    for column in columns:
        head = fit(column.head, column.width_mm - 2 * _PAD_MM, SMALL_MM, BOLD)
        yield Text(x + _PAD_MM, y + 4.0, head, SMALL_MM, BLACK, BOLD)
        x += column.width_mm


def _cell_lines(columns: Sequence[TableColumn], row: TableRow) -> list[list[str]]:
    weight = BOLD if row.strong else REGULAR
    return [
        wrap(cell, column.width_mm - 2 * _PAD_MM, SMALL_MM, _CELL_LINES, weight)
        for column, cell in zip(columns, row.cells, strict=True)
    ]


def _row(
    x: float, y: float, columns: Sequence[TableColumn], row: TableRow, lines: Sequence[Sequence[str]]
) -> Iterator[Item]:
    for item in row.lead:
        yield moved(item, x, y)
    weight = BOLD if row.strong else REGULAR
    for column, cell in zip(columns, lines, strict=True):
        for at, text in enumerate(cell):
            yield Text(x + _PAD_MM, y + (4.1 if row.lead else 3.6) + at * LINE_MM, text, SMALL_MM, BLACK, weight)
        x += column.width_mm


def paragraph(x: float, y: float, text: str, room_mm: float, lines: int = 2) -> list[Item]:
    """A plain sentence under one another, from the first baseline y."""
    found = wrap(text, room_mm, TEXT_MM, lines)
    return [Text(x, y + at * (TEXT_MM + 1), line, TEXT_MM, BLACK) for at, line in enumerate(found)]


def caption(x: float, y: float, text: str, room_mm: float) -> Text:
    """The heavy line above one part of a sheet."""
    return Text(x, y, fit(text, room_mm, HEAD_MM, BOLD), HEAD_MM, BLACK, BOLD)
