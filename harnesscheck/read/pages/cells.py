"""What the readers of files hand on: grids of cells, each with its text, where it stood and how sure it is.

Boxes are in the unit of their page, points of a PDF or pixels of a picture, from
its upper left corner; a text and a web page have none.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on a page: left, top, right, bottom."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def middle(self) -> tuple[float, float]:
        """Its centre, x and y."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left


def around(boxes: Iterable[Box]) -> Box | None:
    """The smallest box that holds all; None for none."""
    some = list(boxes)
    if not some:
        return None
    return Box(
        min(box.left for box in some),
        min(box.top for box in some),
        max(box.right for box in some),
        max(box.bottom for box in some),
    )


@dataclass(frozen=True, slots=True)
class Word:
    """Some letters that stand together on a page. ``score`` is 1 for what was not recognised but read.

    ``readings`` are further ways in which a recogniser read it; ``small`` says that it is set
    smaller and higher than its line, as the sign of a footnote is.
    """

    text: str
    box: Box
    score: float = 1.0
    readings: tuple[str, ...] = ()
    small: bool = False


@dataclass(frozen=True, slots=True)
class PageCell:
    """A cell: its text in one line, its box, the recogniser's score, what else it may read; ``trouble``: what to do.

    ``spans`` says that the cell goes on from the row above, ``wide`` over how many columns it goes.
    """

    text: str
    box: Box | None = None
    score: float = 1.0
    readings: tuple[str, ...] = ()
    trouble: str = ""
    spans: bool = False
    wide: int = 1


EMPTY = PageCell("")


@dataclass(frozen=True, slots=True)
class PageRow:
    """One row of a grid; ``line`` counts from 1 in a text, a sheet or the page's table."""

    line: int
    cells: tuple[PageCell, ...]

    @property
    def texts(self) -> list[str]:
        """The texts of its cells."""
        return [cell.text for cell in self.cells]


@dataclass(frozen=True, slots=True)
class PageGrid:
    """One table as it stands on a page, the lines of text above it (the nearest last), and whether it was recognised.

    ``page`` counts from 1; 0 where the file has no pages. ``ruled``: lines part its rows.
    """

    file: str
    page: int
    rows: tuple[PageRow, ...]
    above: tuple[str, ...] = ()
    name: str = ""  # of a sheet
    scanned: bool = False
    ruled: bool = False
    decimal_comma: bool = False

    @property
    def source(self) -> str:
        """Where its rows were read, as a netlist's ``source`` says it."""
        return source_words(self.file, self.page, self.name)

    @property
    def box(self) -> Box | None:
        """Around all of its cells."""
        return around(cell.box for row in self.rows for cell in row.cells if cell.box is not None)


def source_words(file: str, page: int, sheet: str = "") -> str:
    """``manual.pdf p. 71``, ``car.xlsx sheet C15``: the file without its folder, for it may be moved."""
    name = file.replace("\\", "/").rpartition("/")[2] or file
    return f"{name} p. {page}" if page else f"{name} sheet {sheet}" if sheet else name


@dataclass(frozen=True, slots=True)
class SourcePage:
    """A page, sheet or text: its grids, how many lines of text it has, whether it shows a drawing."""

    file: str
    page: int
    grids: tuple[PageGrid, ...]
    lines: int = 0
    drawn: bool = False
    scanned: bool = False


@dataclass(frozen=True, slots=True)
class SourceFile:
    """All pages of a file that were asked for."""

    file: str
    pages: tuple[SourcePage, ...]
