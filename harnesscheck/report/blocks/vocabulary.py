"""The few things a report is made of: data without a layout.

A command says once what there is to say, as a ``Report`` of blocks in reading
order; ``terminal`` makes 80 columns of it, ``page`` one HTML file, ``sheets``
a table of it for a spreadsheet. Texts are plain: whoever writes a form escapes
them. Blocks of one ``Passage`` belong together; a ``Section`` has a heading.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

NO_BREAK = "\u00a0"  # between words that stay on one line
Tone: TypeAlias = Literal["plain", "good", "bad"]


def visible(text: str) -> str:
    """Control characters, which no page may hold and a terminal would obey, become a visible mark."""
    if text.isprintable():
        return text
    return "".join(ch if ch.isprintable() or ch in ("\n", "\t", NO_BREAK) else "\ufffd" for ch in text)


def left_out(number: int, noun: str = "", where: str = "") -> str:
    """``and 3 more``: what stands where a list is cut off."""
    return " ".join(filter(None, (f"and {number} more", noun, where)))


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A few sentences."""

    text: str


@dataclass(frozen=True, slots=True)
class Listing:
    """Texts one below the other, under a line that says what they are.

    Where ``most`` is given a terminal stops there, says how many are left, and
    ``where`` they can be read. ``tick`` puts a box to tick before each.
    """

    items: tuple[str, ...]
    head: str = ""
    ordered: bool = False
    tick: bool = False
    most: int = 0
    noun: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True)
class Facts:
    """Words and what is said of each."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class TableHead:
    """A column: ``name`` is what a file calls it. ``number`` columns are compared digit by digit."""

    name: str
    number: bool = False


@dataclass(frozen=True, slots=True)
class RowGroup:
    """Rows that share a heading."""

    head: str
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells. Where ``fill`` is set an empty cell is one to write in."""

    title: str
    heads: tuple[TableHead, ...]
    groups: tuple[RowGroup, ...]
    most: int = 0
    noun: str = ""
    where: str = ""
    fill: bool = False

    @property
    def rows(self) -> tuple[tuple[str, ...], ...]:
        """All rows, whatever group they are in."""
        return tuple(row for group in self.groups for row in group.rows)


def heads(*names: str) -> tuple[TableHead, ...]:
    """Columns by name; a ``#`` before it marks one of numbers."""
    return tuple(TableHead(name.removeprefix("#"), name.startswith("#")) for name in names)


def table(title: str, names: Sequence[str], rows: Iterable[Sequence[str]], **more: Any) -> Table:
    """A table of one group; ``names`` as ``heads`` takes them."""
    return Table(title, heads(*names), (RowGroup("", tuple(map(tuple, rows))),), **more)


@dataclass(frozen=True, slots=True)
class GridCell:
    """A contact: its cavity, what it carries in words, its paint, what is wrong with it and how bad that is."""

    cavity: str
    words: str
    paint: tuple[str, ...] = ()
    severity: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class FaceGrid:
    """A connector's face as cells that flow: whose it is, and every contact."""

    title: str
    cells: tuple[GridCell, ...]


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing: SVG without a font of its own, what it shows, the file that holds it.

    ``faces`` show the same where a drawing would be too small to read, on a phone and in print; with ``told`` they
    stand with an earlier drawing.
    """

    caption: str
    svg: str
    file: str = ""
    faces: tuple[FaceGrid, ...] = ()
    told: bool = False


@dataclass(frozen=True, slots=True)
class TickStep:
    """One step to tick and sign; ``id`` is the step's own name, ``needs`` what it is done with."""

    id: str
    do: str
    hours: str = ""
    who: str = ""
    needs: str = ""
    done: bool = False


@dataclass(frozen=True, slots=True)
class Steps:
    """Work in its order, with room for a tick and initials."""

    title: str
    steps: tuple[TickStep, ...]


@dataclass(frozen=True, slots=True)
class Caution:
    """What keeps a person from harm; ``urgent`` is said before all else."""

    texts: tuple[str, ...]
    head: str = ""
    urgent: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """What it comes to: one sentence, how well it stands, and how many things of which severity it rests on."""

    sentence: str
    proof: str = ""
    tone: Tone = "plain"
    counts: tuple[tuple[str, int], ...] = ()
    accepted: int = 0


@dataclass(frozen=True, slots=True)
class FindingCard:
    """One finding. ``mark`` names its place among those it stands with, ``where`` among all.

    A terminal prints ``text``, ``assumed`` and ``do`` (not where it was ``said`` of one like it); paper and
    page have the ``facts`` and the drawings too. ``beside`` is the id of the card that shows its drawing,
    ``also`` are the ids of other findings that it tells of.
    """

    id: str
    severity: str
    kind: str
    mark: str
    where: str
    text: str
    do: str
    doubt: str = ""
    circuits: str = ""
    assumed: str = ""
    said: bool = False
    facts: tuple[tuple[str, str], ...] = ()
    figures: tuple[Figure, ...] = ()
    beside: str = ""
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RoutePoint:
    """A place on the way of a current: what should be read, what is (``now``), what lies before the next place."""

    number: str
    reading: str
    place: str
    now: str = ""
    lines: tuple[str, ...] = ()
    between: str = ""


@dataclass(frozen=True, slots=True)
class Route:
    """The way of a current, place by place."""

    title: str
    points: tuple[RoutePoint, ...]


@dataclass(frozen=True, slots=True)
class MarkedText:
    """A text with a number or letter that others point to: what is done there, and which reading leads where."""

    mark: str
    text: str
    how: str = ""
    leads: tuple[tuple[str, str], ...] = ()  # a reading, the mark it leads to


@dataclass(frozen=True, slots=True)
class MarkedTexts:
    """Questions or verdicts that point to one another by their marks."""

    title: str
    items: tuple[MarkedText, ...]


@dataclass(frozen=True, slots=True)
class Passage:
    """What belongs together, under a small heading or under none."""

    blocks: tuple[AnyBlock, ...]
    head: str = ""


@dataclass(frozen=True, slots=True)
class Folded:
    """What is long and seldom read: a page shows it at a touch, paper prints it, a terminal leaves it to the page."""

    head: str
    blocks: tuple[AnyBlock, ...]


@dataclass(frozen=True, slots=True)
class BriefOrFull:
    """The same matter twice: short for a terminal, in full where pages can be turned."""

    brief: tuple[AnyBlock, ...] = ()
    full: tuple[AnyBlock, ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a report under a heading; ``says`` stands beside it, ``id`` names it to links."""

    title: str
    blocks: tuple[AnyBlock, ...]
    says: str = ""
    id: str = ""


AnyBlock: TypeAlias = (
    Paragraph
    | Listing
    | Facts
    | Table
    | Figure
    | Steps
    | Caution
    | Answer
    | FindingCard
    | Route
    | MarkedTexts
    | Passage
    | Folded
    | BriefOrFull
    | Section
)


@dataclass(frozen=True, slots=True)
class Report:
    """Everything a command says. ``about`` names the cars, ``inputs`` the files as the JSON report does.

    ``font_css`` brings the font that the drawings are made for.
    """

    title: str
    about: tuple[tuple[str, str], ...]
    blocks: tuple[AnyBlock, ...]
    inputs: Mapping[str, Any] = field(default_factory=dict)
    font_css: str = ""


def section(title: str, *blocks: AnyBlock | None, says: str = "", id: str = "") -> Section | None:
    """A section, or nothing where there is nothing to say under its heading."""
    there = tuple(block for block in blocks if block is not None)
    return Section(title, there, says, id) if there else None


def passage(*blocks: AnyBlock | None, head: str = "") -> Passage | None:
    """A passage, or nothing where it would be empty."""
    there = tuple(block for block in blocks if block is not None)
    return Passage(there, head) if there else None


def present(*blocks: AnyBlock | None) -> tuple[AnyBlock, ...]:
    """The blocks that there are."""
    return tuple(block for block in blocks if block is not None)


def paragraphs(texts: Iterable[str]) -> Iterator[Paragraph]:
    """A paragraph a text."""
    return map(Paragraph, texts)
