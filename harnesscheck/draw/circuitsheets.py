"""Circuit sheets: rails by key position on top, ground at the bottom, a branch in each upright column.

Columns are numbered through all sheets of a drawing; what does not fit goes
on another column, and both ends say where. With two cars the donor's sheet
stands above the shell's and only what differs is inked strongly.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.draw.blocks import (
    COLUMN_MM,
    DEAD,
    LINE_X_MM,
    SNEAK,
    STEP_MM,
    Block,
    BlockState,
    Naming,
    Refer,
    Writer,
    key_of,
)
from harnesscheck.draw.columns import ColumnDrop, ColumnSheet, ColumnSpot, sheets_of
from harnesscheck.draw.font import GLUE, wrap
from harnesscheck.draw.ink import BLACK, FAINT, LIKELY, NORMAL, RULE, small, wire_line
from harnesscheck.draw.joining import JoinedBranch, Placed
from harnesscheck.draw.links import RAIL_WORDS, RAILS, Links
from harnesscheck.draw.page import A4, Paper, SheetHeading, Stock, caption, page, paragraph
from harnesscheck.draw.pick import Picked
from harnesscheck.draw.scene import Circle, Item, Line, Pen, Scene, SceneGroup
from harnesscheck.draw.symbols import DOT_MM, ENDS, SYMBOLS
from harnesscheck.draw.tree import trees_of

_RAIL_STEP_MM = 4.8
_RAIL_MM = 1.0  # below the last rail
_FLOOR_MM = 6.5  # below the ground's line: column numbers
_CAPTION_MM = 6.0
_AIR_MM = 1.2
SNEAK_MM, SNEAK_DASH_MM, DEAD_MM = 1.4, (2.6, 1.4), 0.2
NOTHING = "No wire of it is in the file."


@dataclass(frozen=True)
class DrawnCircuit:
    """What one car has of the target: its links, what was picked, and how the sheet calls the car."""

    car: Links
    picked: Picked
    naming: Naming
    title: str


@dataclass(frozen=True, slots=True)
class _Panel:
    """A part of a page that one car's columns stand in."""

    left: float
    top: float
    bottom: float
    rails: tuple[str, ...]

    @property
    def begin(self) -> float:
        """Where columns begin, below the rails."""
        return self.top + _RAIL_STEP_MM * len(self.rails) + _RAIL_MM

    @property
    def end(self) -> float:
        """The ground's line."""
        return self.bottom - _FLOOR_MM

    @property
    def room(self) -> float:
        """The height a column may take."""
        return self.end - self.begin

    def x(self, column: int, first: int) -> float:
        """The line of a column."""
        return self.left + COLUMN_MM * (column - first) + LINE_X_MM


def circuit_sheets(
    circuit: DrawnCircuit, heading: SheetHeading, state: BlockState | None = None, stock: Stock = A4
) -> list[Scene]:
    """The sheets of one car, lying or standing, whichever needs fewer; ``state`` adds volts and amperes."""
    tried = [(paper, *_one(circuit, paper, state)) for paper in (stock.lying, stock.standing)]
    if not circuit.picked.links:
        return [page(stock.lying, heading, paragraph(stock.lying.left, stock.lying.top + 4, NOTHING, stock.lying.room))]
    paper, panel, sheets, where = min(tried, key=lambda each: (len(each[2]), sum(len(s.blocks) for s in each[2])))
    return [
        page(paper, heading, _panel(panel, sheet, where, at + 1, paper), at + 1, len(sheets))
        for at, sheet in enumerate(sheets)
    ]


def circuit_pair_sheets(
    donor: DrawnCircuit | None, shell: DrawnCircuit | None, heading: SheetHeading, stock: Stock = A4
) -> list[Scene]:
    """The donor's columns above the shell's; only what differs is inked strongly. None: that car has no such thing."""
    keys = [_keys(circuit) for circuit in (donor, shell)]
    paper = stock.standing
    middle = (paper.top + paper.bottom) / 2
    halves = ((paper.top, middle - 2), (middle + 2, paper.bottom))
    drawn = []
    for circuit, same, (top, bottom) in zip((donor, shell), (keys[1], keys[0]), halves, strict=True):
        panel = _Panel(paper.left, top + _CAPTION_MM, bottom, _rails(circuit.picked if circuit else None))
        sheets, where = _sheets(circuit, panel, paper, same) if circuit is not None else ([], {})
        drawn.append((panel, sheets, where))
    count = max(1, *(len(sheets) for _, sheets, _ in drawn))
    scenes = []
    for at in range(count):
        items: list[Item] = [Line(paper.left, middle, paper.right, middle, FAINT)]
        for role, circuit, (panel, sheets, where) in zip(("donor", "shell"), (donor, shell), drawn, strict=True):
            items += _half((role, paper), circuit, panel, sheets, where, at)
        scenes.append(page(paper, heading, items, at + 1, count))
    return scenes


def _half(
    on: tuple[str, Paper],
    circuit: DrawnCircuit | None,
    panel: _Panel,
    sheets: Sequence[ColumnSheet],
    where: Mapping[Hashable, ColumnSpot],
    at: int,
) -> Iterator[Item]:
    role, paper = on
    title = f"{role.capitalize()}: {circuit.title}" if circuit is not None else f"The {role} has no such thing"
    yield caption(panel.left, panel.top - _CAPTION_MM + 4.0, title, paper.room)
    if at < len(sheets):
        yield from _panel(panel, sheets[at], where, at + 1, paper)
    elif circuit is not None:
        words = f"The {role}'s columns are all on the sheets before." if sheets else NOTHING
        yield from paragraph(panel.left, panel.top + 5, words, 120)


def differing(donor: DrawnCircuit | None, shell: DrawnCircuit | None) -> int:
    """How many wires, crossings and parts only one of the two has, or has otherwise."""
    return max(len(_keys(donor) - _keys(shell)), len(_keys(shell) - _keys(donor)))


def _keys(circuit: DrawnCircuit | None) -> frozenset[Hashable]:
    if circuit is None:
        return frozenset()
    return frozenset(key_of(circuit.car, circuit.naming, link) for link in circuit.picked.links)


def _one(
    circuit: DrawnCircuit, paper: Paper, state: BlockState | None
) -> tuple[_Panel, list[ColumnSheet], dict[Hashable, ColumnSpot]]:
    panel = _Panel(paper.left, paper.top, paper.bottom, _rails(circuit.picked))
    return panel, *_sheets(circuit, panel, paper, None, state)


def _sheets(
    circuit: DrawnCircuit,
    panel: _Panel,
    paper: Paper,
    same: frozenset[Hashable] | None,
    state: BlockState | None = None,
) -> tuple[list[ColumnSheet], dict[Hashable, ColumnSpot]]:
    writer = Writer(circuit.car, circuit.picked, circuit.naming, same, state)
    trees = trees_of(circuit.car, circuit.picked)
    across = int((paper.room + _AIR_MM) // COLUMN_MM)
    return sheets_of(writer.segments(trees), across, panel.room)


def _rails(picked: Picked | None) -> tuple[str, ...]:
    """The rails of a sheet: 30, 15 and 75 always, the starter's where something hangs on it."""
    used = set(picked.rails.values()) if picked is not None else set()
    return tuple(rail for rail in RAILS if rail != "50" or rail in used)


# -- ink


def _panel(
    panel: _Panel, sheet: ColumnSheet, where: Mapping[Hashable, ColumnSpot], number: int, paper: Paper
) -> Iterator[Item]:
    yield from _lines(panel, paper)
    for drop in sheet.rails:
        yield from _drop(panel, panel.x(drop.column, sheet.first), drop)
    for branch in sheet.branches:
        yield _across(panel, branch, sheet.first)
    for stem in sheet.stems:
        x = panel.x(stem.column, sheet.first)
        ends = _y(panel, stem.start, stem.upward), _y(panel, stem.end, stem.upward)
        yield Line(x, ends[0], x, ends[1], _pen(stem.strong))
    for placed in sheet.blocks:
        yield _drawn(panel, placed, panel.x(placed.column, sheet.first), where, number)
    for placed in sheet.blocks:
        if placed.block.join:
            y = _y(panel, placed.start + placed.height, placed.upward)
            ink = BLACK if placed.block.strong else RULE
            yield Circle(panel.x(placed.column, sheet.first), y, DOT_MM, None, ink)
    for column in sorted({placed.column for placed in sheet.blocks}):
        yield small(panel.x(column, sheet.first), panel.end + 4.4, f"column {column}", bold=True, anchor="middle")


def _lines(panel: _Panel, paper: Paper) -> Iterator[Item]:
    for at, rail in enumerate(panel.rails):
        y = panel.top + _RAIL_STEP_MM * (at + 1)
        yield Line(panel.left, y, paper.right, y, NORMAL)
        yield small(paper.right, y - 0.9, RAIL_WORDS[rail], anchor="end")
    yield Line(panel.left, panel.end, paper.right, panel.end, Pen(BLACK, 0.8))
    yield small(paper.right, panel.end + 4.4, "31 ground", anchor="end")


def _drop(panel: _Panel, x: float, drop: ColumnDrop) -> Iterator[Item]:
    """From a rail down to where its column begins."""
    y = panel.top + _RAIL_STEP_MM * (panel.rails.index(drop.rail) + 1)
    yield Line(x, y, x, panel.begin, _pen(drop.strong))
    yield Circle(x, y, DOT_MM, None, BLACK if drop.strong else RULE)


def _y(panel: _Panel, start: float, upward: bool) -> float:
    return panel.end - start if upward else panel.begin + start


def _across(panel: _Panel, branch: JoinedBranch, first: int) -> Line:
    y = _y(panel, branch.start, branch.upward)
    return Line(panel.x(branch.first, first), y, panel.x(branch.last, first), y, _pen(branch.strong))


def _drawn(panel: _Panel, placed: Placed, x: float, where: Mapping[Hashable, ColumnSpot], number: int) -> SceneGroup:
    block = placed.block
    near = _y(panel, placed.start, placed.upward)
    far = _y(panel, placed.start + placed.height, placed.upward)
    items = list(_symbol(block, x, near, far))
    items += _text(block, x + block.text_x_mm, min(near, far), where, number)
    return SceneGroup(tuple(items), "", block.title)


def _symbol(block: Block, x: float, near: float, far: float) -> Iterator[Item]:
    """A block's ink; ``near`` is the side that its column comes from."""
    pen = _pen(block.strong)
    top, bottom = min(near, far), max(near, far)
    if block.look in ENDS:
        middle = (near + far) / 2
        yield Line(x, far if block.root else near, x, middle, pen)
        yield from ENDS[block.look](x, middle, pen)
    elif block.look == "wire" and block.wire is not None:
        if block.flow == SNEAK:
            yield Line(x, top, x, bottom, Pen(pen.colour, SNEAK_MM, SNEAK_DASH_MM))
        elif block.flow == DEAD:
            yield Line(x, top, x, bottom, Pen(pen.colour, DEAD_MM))
        elif block.likely:
            yield Line(x, top, x, bottom, Pen(pen.colour, pen.width_mm, LIKELY))
        else:
            yield from wire_line(x, top, bottom, block.wire.colour, strong=block.strong)
    else:
        yield from SYMBOLS[block.look](x, top, bottom, pen)


def _pen(strong: bool) -> Pen:
    return Pen(BLACK, 0.5) if strong else Pen(RULE, 0.35)


def _text(block: Block, x: float, top: float, where: Mapping[Hashable, ColumnSpot], number: int) -> Iterator[Item]:
    room = COLUMN_MM - LINE_X_MM - block.text_x_mm - _AIR_MM
    y = top + 3.2
    for line in block.lines:
        if isinstance(line, Refer):
            for text in wrap(_refers(line, where, number), room, 2.8, 2):
                yield small(x, y, text, strong=block.strong)
                y += STEP_MM
        else:
            yield small(x, y, line.text, strong=block.strong, bold=line.bold and block.strong)
            y += STEP_MM


def _refers(line: Refer, where: Mapping[Hashable, ColumnSpot], number: int) -> str:
    spot = where.get(line.to)
    if spot is None:
        return f"{line.words} another sheet".strip()
    sheet = f"sheet{GLUE}{spot.sheet}, " if spot.sheet != number else ""
    return f"{line.words} {sheet}column{GLUE}{spot.column}".strip()
