"""Current-flow sheets: rails by key position on top, ground at the bottom, one upright track a branch.

Tracks are numbered through all sheets of a drawing; what does not fit goes on
on another track, and both ends say where. With two cars the donor's sheet
stands above the shell's and only what differs is inked strongly.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.draw.blocks import (
    DEAD,
    LINE_X_MM,
    SNEAK,
    STEP_MM,
    TRACK_MM,
    Block,
    BlockState,
    Naming,
    Refer,
    Writer,
    key_of,
)
from harnesscheck.draw.font import wrap
from harnesscheck.draw.ink import BLACK, FAINT, LIKELY, NORMAL, RULE, small, wire_line
from harnesscheck.draw.joining import JoinedBranch, Placed
from harnesscheck.draw.links import RAIL_WORDS, RAILS, Links
from harnesscheck.draw.page import LYING, STANDING, Heading, Paper, caption, page, paragraph
from harnesscheck.draw.pick import Picked
from harnesscheck.draw.scene import Circle, Item, Line, Pen, Scene, SceneGroup
from harnesscheck.draw.symbols import DOT_MM, ENDS, SYMBOLS
from harnesscheck.draw.tracks import TrackDrop, TrackSheet, TrackSpot, sheets_of
from harnesscheck.draw.tree import trees_of

_RAIL_STEP_MM = 4.8
_RAIL_MM = 1.0  # below the last rail
_FLOOR_MM = 6.5  # below the ground's line: track numbers
_CAPTION_MM = 6.0
_AIR_MM = 1.2
SNEAK_MM, SNEAK_DASH_MM, DEAD_MM = 1.4, (2.6, 1.4), 0.2
NOTHING = "No wire of it is in the file."


@dataclass(frozen=True)
class Flow:
    """What one car has of the target: its links, what was picked, and how the sheet calls the car."""

    car: Links
    picked: Picked
    naming: Naming
    title: str


@dataclass(frozen=True, slots=True)
class _Panel:
    """A part of a page that one car's tracks stand on."""

    left: float
    top: float
    bottom: float
    rails: tuple[str, ...]

    @property
    def begin(self) -> float:
        """Where tracks begin, below the rails."""
        return self.top + _RAIL_STEP_MM * len(self.rails) + _RAIL_MM

    @property
    def end(self) -> float:
        """The ground's line."""
        return self.bottom - _FLOOR_MM

    @property
    def room(self) -> float:
        """The height a track may take."""
        return self.end - self.begin

    def x(self, track: int, first: int) -> float:
        """The line of a track."""
        return self.left + TRACK_MM * (track - first) + LINE_X_MM


def flow_sheets(flow: Flow, heading: Heading, state: BlockState | None = None) -> list[Scene]:
    """The sheets of one car, lying or standing, whichever needs fewer; ``state`` adds volts and amperes."""
    tried = [(paper, *_one(flow, paper, state)) for paper in (LYING, STANDING)]
    if not flow.picked.links:
        return [page(LYING, heading, paragraph(LYING.left, LYING.top + 4, NOTHING, LYING.room))]
    paper, panel, sheets, where = min(tried, key=lambda each: (len(each[2]), sum(len(s.blocks) for s in each[2])))
    return [
        page(paper, heading, _panel(panel, sheet, where, at + 1, paper), at + 1, len(sheets))
        for at, sheet in enumerate(sheets)
    ]


def flow_pair_sheets(donor: Flow | None, shell: Flow | None, heading: Heading) -> list[Scene]:
    """The donor's tracks above the shell's; only what differs is inked strongly. None: that car has no such thing."""
    keys = [_keys(flow) for flow in (donor, shell)]
    middle = (STANDING.top + STANDING.bottom) / 2
    halves = ((STANDING.top, middle - 2), (middle + 2, STANDING.bottom))
    drawn = []
    for flow, same, (top, bottom) in zip((donor, shell), (keys[1], keys[0]), halves, strict=True):
        panel = _Panel(STANDING.left, top + _CAPTION_MM, bottom, _rails(flow.picked if flow else None))
        sheets, where = _sheets(flow, panel, STANDING, same) if flow is not None else ([], {})
        drawn.append((panel, sheets, where))
    count = max(1, *(len(sheets) for _, sheets, _ in drawn))
    scenes = []
    for at in range(count):
        items: list[Item] = [Line(STANDING.left, middle, STANDING.right, middle, FAINT)]
        for role, flow, (panel, sheets, where) in zip(("donor", "shell"), (donor, shell), drawn, strict=True):
            items += _half(role, flow, panel, sheets, where, at)
        scenes.append(page(STANDING, heading, items, at + 1, count))
    return scenes


def _half(
    role: str,
    flow: Flow | None,
    panel: _Panel,
    sheets: Sequence[TrackSheet],
    where: Mapping[Hashable, TrackSpot],
    at: int,
) -> Iterator[Item]:
    title = f"{role.capitalize()}: {flow.title}" if flow is not None else f"The {role} has no such thing"
    yield caption(panel.left, panel.top - _CAPTION_MM + 4.0, title, STANDING.room)
    if at < len(sheets):
        yield from _panel(panel, sheets[at], where, at + 1, STANDING)
    elif flow is not None:
        words = f"The {role}'s tracks are all on the sheets before." if sheets else NOTHING
        yield from paragraph(panel.left, panel.top + 5, words, 120)


def differing(donor: Flow | None, shell: Flow | None) -> int:
    """How many wires, crossings and parts only one of the two has, or has otherwise."""
    return max(len(_keys(donor) - _keys(shell)), len(_keys(shell) - _keys(donor)))


def _keys(flow: Flow | None) -> frozenset[Hashable]:
    if flow is None:
        return frozenset()
    return frozenset(key_of(flow.car, flow.naming, link) for link in flow.picked.links)


def _one(
    flow: Flow, paper: Paper, state: BlockState | None
) -> tuple[_Panel, list[TrackSheet], dict[Hashable, TrackSpot]]:
    panel = _Panel(paper.left, paper.top, paper.bottom, _rails(flow.picked))
    return panel, *_sheets(flow, panel, paper, None, state)


def _sheets(
    flow: Flow, panel: _Panel, paper: Paper, same: frozenset[Hashable] | None, state: BlockState | None = None
) -> tuple[list[TrackSheet], dict[Hashable, TrackSpot]]:
    writer = Writer(flow.car, flow.picked, flow.naming, same, state)
    trees = trees_of(flow.car, flow.picked)
    across = int((paper.room + _AIR_MM) // TRACK_MM)
    return sheets_of(writer.segments(trees), across, panel.room)


def _rails(picked: Picked | None) -> tuple[str, ...]:
    """The rails of a sheet: 30, 15 and 75 always, the starter's where something hangs on it."""
    used = set(picked.rails.values()) if picked is not None else set()
    return tuple(rail for rail in RAILS if rail != "50" or rail in used)


# -- ink


def _panel(
    panel: _Panel, sheet: TrackSheet, where: Mapping[Hashable, TrackSpot], number: int, paper: Paper
) -> Iterator[Item]:
    yield from _lines(panel, paper)
    for drop in sheet.rails:
        yield from _drop(panel, panel.x(drop.track, sheet.first), drop)
    for branch in sheet.branches:
        yield _across(panel, branch, sheet.first)
    for stem in sheet.stems:
        x = panel.x(stem.track, sheet.first)
        ends = _y(panel, stem.start, stem.upward), _y(panel, stem.end, stem.upward)
        yield Line(x, ends[0], x, ends[1], _pen(stem.strong))
    for placed in sheet.blocks:
        yield _drawn(panel, placed, panel.x(placed.track, sheet.first), where, number)
    for placed in sheet.blocks:
        if placed.block.join:
            y = _y(panel, placed.start + placed.height, placed.upward)
            ink = BLACK if placed.block.strong else RULE
            yield Circle(panel.x(placed.track, sheet.first), y, DOT_MM, None, ink)
    for track in sorted({placed.track for placed in sheet.blocks}):
        yield small(panel.x(track, sheet.first), panel.end + 4.4, f"track {track}", bold=True, anchor="middle")


def _lines(panel: _Panel, paper: Paper) -> Iterator[Item]:
    for at, rail in enumerate(panel.rails):
        y = panel.top + _RAIL_STEP_MM * (at + 1)
        yield Line(panel.left, y, paper.right, y, NORMAL)
        yield small(paper.right, y - 0.9, RAIL_WORDS[rail], anchor="end")
    yield Line(panel.left, panel.end, paper.right, panel.end, Pen(BLACK, 0.8))
    yield small(paper.right, panel.end + 4.4, "31 ground", anchor="end")


def _drop(panel: _Panel, x: float, drop: TrackDrop) -> Iterator[Item]:
    """From a rail down to where its track begins."""
    y = panel.top + _RAIL_STEP_MM * (panel.rails.index(drop.rail) + 1)
    yield Line(x, y, x, panel.begin, _pen(drop.strong))
    yield Circle(x, y, DOT_MM, None, BLACK if drop.strong else RULE)


def _y(panel: _Panel, start: float, upward: bool) -> float:
    return panel.end - start if upward else panel.begin + start


def _across(panel: _Panel, branch: JoinedBranch, first: int) -> Line:
    y = _y(panel, branch.start, branch.upward)
    return Line(panel.x(branch.first, first), y, panel.x(branch.last, first), y, _pen(branch.strong))


def _drawn(panel: _Panel, placed: Placed, x: float, where: Mapping[Hashable, TrackSpot], number: int) -> SceneGroup:
    block = placed.block
    near = _y(panel, placed.start, placed.upward)
    far = _y(panel, placed.start + placed.height, placed.upward)
    items = list(_symbol(block, x, near, far))
    items += _text(block, x + block.text_x_mm, min(near, far), where, number)
    return SceneGroup(tuple(items), "", block.title)


def _symbol(block: Block, x: float, near: float, far: float) -> Iterator[Item]:
    """A block's ink; ``near`` is the side that its track comes from."""
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


def _text(block: Block, x: float, top: float, where: Mapping[Hashable, TrackSpot], number: int) -> Iterator[Item]:
    room = TRACK_MM - LINE_X_MM - block.text_x_mm - _AIR_MM
    y = top + 3.2
    for line in block.lines:
        if isinstance(line, Refer):
            for text in wrap(_refers(line, where, number), room, 2.8, 2):
                yield small(x, y, text, strong=block.strong)
                y += STEP_MM
        else:
            yield small(x, y, line.text, strong=block.strong, bold=line.bold and block.strong)
            y += STEP_MM


def _refers(line: Refer, where: Mapping[Hashable, TrackSpot], number: int) -> str:
    spot = where.get(line.to)
    if spot is None:
        return f"{line.words} another sheet".strip()
    sheet = f"sheet {spot.sheet}, " if spot.sheet != number else ""
    return f"{line.words} {sheet}track {spot.track}".strip()
