"""Groups of cars that exchange their looms, as a graph: a box a group, between two of them what differs least.

A heavy arrow points to where looms go in as they are; a thin line joins groups of
which neither takes the other's. Groups without any line between them are drawn on
sheets of their own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot

from harnesscheck.draw.font import BOLD, fit, width_mm
from harnesscheck.draw.ink import BLACK, LIKELY, NORMAL, SMALL_MM, STRONG, TEXT_MM, WASH, WHITE, small
from harnesscheck.draw.layout import Graph, Layout, lay_out
from harnesscheck.draw.marks import SEVERITIES, legend, sign
from harnesscheck.draw.page import LYING, STANDING, Paper, SheetHeading, page
from harnesscheck.draw.scene import Box, Item, Pen, Polyline, Scene, SceneGroup, Text

_ROW_MM, _HEAD_MM, _PAD_MM, _SIGN_MM = 4.6, 6.4, 2.0, 6.4
_WAY_MM = 6.4
_WIDEST_MM = 58.0
_LEGEND_MM = 8.0
_ARROW_MM = 3.2
_MEMBERS = (12, 4, 1)  # how many cars a box lists, from most to least


@dataclass(frozen=True, slots=True)
class GroupBox:
    """A group: its name, its cars."""

    name: str
    cars: tuple[str, ...]
    dashed: bool = False  # likely, not known


@dataclass(frozen=True, slots=True)
class GroupLine:
    """Between two groups, by number: what one's looms do in the other, there and back; the worst; where they go in."""

    a: int
    b: int
    words: tuple[str, str]
    severities: tuple[str, str]
    goes_in: tuple[bool, bool]


def exchange_sheets(boxes: Sequence[GroupBox], lines: Sequence[GroupLine], digest: str) -> list[Scene] | None:
    """A sheet for every set of groups that lines join, the largest first; groups alone share one.

    None where no layout engine answers, or a set is too large for a page.
    """
    sets = _joined_sets(len(boxes), lines)
    alone = [one for members in sets if len(members) == 1 for one in members]
    asked = [one for one in sets if len(one) > 1] + ([alone] if alone else [])
    found = []
    for members in asked:
        at = {old: new for new, old in enumerate(members)}
        within = [line for line in lines if line.a in at]
        made = _fitted([boxes[one] for one in members], [_moved(line, at) for line in within])
        if made is None:
            return None
        found.append(made)
    heading = SheetHeading("Which looms may be exchanged", _subtitle(boxes, lines), digest=digest)
    return [page(paper, heading, items, at, len(found)) for at, (paper, items) in enumerate(found, start=1)]


def _moved(line: GroupLine, at: dict[int, int]) -> GroupLine:
    return GroupLine(at[line.a], at[line.b], line.words, line.severities, line.goes_in)


def _subtitle(boxes: Sequence[GroupBox], lines: Sequence[GroupLine]) -> str:
    cars = sum(len(box.cars) for box in boxes)
    one_way = sum(any(line.goes_in) for line in lines)
    said = f"{cars} cars in {len(boxes)} groups; on each line what differs least"
    return f"{said}; heavy arrows: looms go in as they are" if one_way else said


def _joined_sets(count: int, lines: Sequence[GroupLine]) -> list[list[int]]:
    """Groups that lines join, directly or not, by number; the largest first."""
    near: dict[int, set[int]] = {one: set() for one in range(count)}
    for line in lines:
        near[line.a].add(line.b)
        near[line.b].add(line.a)
    left, found = set(near), []
    while left:
        waiting, members = [min(left)], set()
        while waiting:
            one = waiting.pop()
            if one not in members:
                members.add(one)
                waiting += near[one]
        left -= members
        found.append(sorted(members))
    return sorted(found, key=lambda one: (-len(one), one))


def _fitted(boxes: Sequence[GroupBox], lines: Sequence[GroupLine]) -> tuple[Paper, list[Item]] | None:
    """The drawing on the first paper it fits, with as many cars listed as there is room for."""
    ends = tuple(end for at, line in enumerate(lines) for end in _ends(line, len(boxes) + at))
    for most in _MEMBERS:
        sizes = (*(_box_size(box, most) for box in boxes), *(_line_size(line) for line in lines))
        for paper in (LYING, STANDING):
            for across in (True, False):
                layout = lay_out(Graph(sizes, ends, across, rank_gap_mm=7.0))
                if layout is None:
                    return None
                if layout.width_mm <= paper.room and layout.height_mm <= _room(paper):
                    return paper, list(_inked(paper, boxes, lines, sizes, most, layout))
    return None


def _ends(line: GroupLine, middle: int) -> tuple[tuple[int, int], tuple[int, int]]:
    return (line.a, middle), (middle, line.b)


def _room(paper: Paper) -> float:
    return paper.bottom - paper.top - _LEGEND_MM - 2.0


def _rows(box: GroupBox, most: int) -> list[str]:
    left = len(box.cars) - most
    return [*box.cars[:most], *([f"and {left} more"] if left > 0 else [])]


def _box_size(box: GroupBox, most: int) -> tuple[float, float]:
    rows = _rows(box, most)
    wide = max(width_mm(box.name, TEXT_MM, BOLD), *(width_mm(row, SMALL_MM) for row in rows))
    return min(_WIDEST_MM, wide) + 2 * _PAD_MM + 1, _HEAD_MM + _ROW_MM * len(rows) + 1.0


def _line_size(line: GroupLine) -> tuple[float, float]:
    return min(_WIDEST_MM, max(width_mm(text, SMALL_MM) for text in line.words)) + _SIGN_MM + 3, 2 * _WAY_MM + 0.8


def _inked(
    paper: Paper,
    boxes: Sequence[GroupBox],
    lines: Sequence[GroupLine],
    sizes: Sequence[tuple[float, float]],
    most: int,
    layout: Layout,
) -> Iterator[Item]:
    left = paper.left + (paper.room - layout.width_mm) / 2
    top = paper.top + _LEGEND_MM + 2.0
    worst = {word for line in lines for word in line.severities}
    yield from legend(paper.left, paper.top + 2, [word for word in SEVERITIES if word in worst])
    for at, line in enumerate(lines):
        for half, inwards in ((0, 1), (1, 0)):  # towards a from the middle; towards b
            points = [(left + x, top + y) for x, y in layout.lines[2 * at + half]]
            yield from _drawn(points, line.goes_in[inwards], at_start=half == 0, either=any(line.goes_in))
    for number, (size, (x, y)) in enumerate(zip(sizes, layout.boxes, strict=True)):
        corner = left + x - size[0] / 2, top + y - size[1] / 2
        if number < len(boxes):
            yield _group(boxes[number], most, *corner, *size)
        else:
            yield _label(lines[number - len(boxes)], *corner, *size)


def _drawn(points: list[tuple[float, float]], arrow: bool, *, at_start: bool, either: bool) -> Iterator[Item]:
    """Half of a line; an arrow's head stands at the group that takes the looms."""
    if at_start:
        points = points[::-1]
    if not arrow:
        yield Polyline(tuple(points), STRONG if either else NORMAL)
        return
    (x2, y2), at = points[-1], len(points) - 2
    while at > 0 and hypot(x2 - points[at][0], y2 - points[at][1]) < _ARROW_MM:
        at -= 1
    x1, y1 = points[at]
    length = hypot(x2 - x1, y2 - y1) or 1.0
    along = (x2 - x1) / length, (y2 - y1) / length
    base = x2 - _ARROW_MM * along[0], y2 - _ARROW_MM * along[1]
    yield Polyline((*points[: at + 1], base), STRONG)
    side = _ARROW_MM / 2.6
    corners = tuple((base[0] + turn * side * along[1], base[1] - turn * side * along[0]) for turn in (1, -1))
    yield Polyline(((x2, y2), *corners), None, BLACK, closed=True)


def _group(box: GroupBox, most: int, x: float, y: float, width: float, height: float) -> Item:
    pen = Pen(BLACK, STRONG.width_mm, LIKELY) if box.dashed else STRONG
    room = width - 2 * _PAD_MM
    items: list[Item] = [Box(x, y, width, height, pen, WASH, 2.0)]
    items.append(Text(x + _PAD_MM, y + 5.0, fit(box.name, room, TEXT_MM, BOLD), TEXT_MM, BLACK, BOLD))
    for at, row in enumerate(_rows(box, most)):
        items.append(small(x + _PAD_MM, y + _HEAD_MM + 3.4 + at * _ROW_MM, fit(row, room, SMALL_MM)))
    return SceneGroup(tuple(items), "", ", ".join(box.cars))


def _label(line: GroupLine, x: float, y: float, width: float, height: float) -> Item:
    items: list[Item] = [Box(x, y, width, height, NORMAL, WHITE)]
    for at, (text, severity) in enumerate(zip(line.words, line.severities, strict=True)):
        middle = y + 0.4 + _WAY_MM * (at + 0.5)
        items += sign(x + 3.8, middle, severity) if severity else ()
        items.append(small(x + _SIGN_MM + 1.5, middle + 1.0, fit(text, width - _SIGN_MM - 2, SMALL_MM)))
    return SceneGroup(tuple(items), "", "; ".join(line.words))
