"""A plan of measurements as a tree on paper: questions to the left, what they lead to on the right.

Every verdict has a row of its own; a question stands in the middle of its rows, one
column right of the question before it. A tree too big for a page goes on on another
sheet, and the place where it does says which.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from harnesscheck.bench.symptoms.plans import Diagnosis, MeasurementPlan, MeterQuestion
from harnesscheck.draw.font import BOLD, REGULAR, fit
from harnesscheck.draw.ink import BLACK, GREY, LINE_MM, NORMAL, SMALL_MM
from harnesscheck.draw.page import LYING, SheetHeading, page
from harnesscheck.draw.scene import Item, Line, Scene, Text

ROW_MM = 7.4
ROWS = int((LYING.bottom - LYING.top) // ROW_MM)  # verdicts on one sheet
COLUMNS = 8
GAP_MM = 4.0
_BETWEEN = ": "  # what stands before it, the two spots, is on the sheet already
FIRST, GOES_ON = "start here", "goes on"

Node = MeterQuestion | Diagnosis


@dataclass(frozen=True, slots=True)
class _BoxPlace:
    """A node on a sheet: its column, the middle of its rows, the reading that led to it, where it goes on."""

    node: Node
    column: int
    y: float
    reading: str
    children: tuple[_BoxPlace, ...] = ()
    sheet: int = 0  # where a question goes on that is not drawn here


def decision_sheets(plan: MeasurementPlan, marks: Mapping[int, str], heading: SheetHeading) -> list[Scene]:
    """The sheets of one plan. ``marks`` has a number or letter for every node by identity."""
    roots: deque[Node] = deque([plan.root])
    placed: list[_BoxPlace] = []
    while roots:
        drawn = _cut(roots.popleft())
        numbers = _numbers(drawn, len(placed) + len(roots) + 2)
        roots.extend(drawn.later)
        placed.append(_laid_out(drawn, numbers))
    return [
        page(LYING, heading, list(_items(root, marks)), number, len(placed))
        for number, root in enumerate(placed, start=1)
    ]


@dataclass(slots=True)
class _TreeSheet:
    """What of a tree fits on one sheet, and the questions at which it goes on elsewhere."""

    root: Node
    shown: set[int]
    later: list[MeterQuestion]


def _cut(root: Node) -> _TreeSheet:
    """Open questions level by level for as long as rows and columns last."""
    shown: set[int] = set()
    rows = 1
    level: list[Node] = [root]
    for _ in range(COLUMNS - 1):
        following: list[Node] = []
        for node in level:
            if isinstance(node, MeterQuestion) and rows + len(node.answers) - 1 <= ROWS:
                shown.add(id(node))
                rows += len(node.answers) - 1
                following += [answer.next for answer in node.answers]
        level = following
    later = [node for node in _ends(root, shown) if isinstance(node, MeterQuestion)]
    return _TreeSheet(root, shown, later)


def _ends(node: Node, shown: set[int]) -> Iterator[Node]:
    """The nodes of a sheet that lead no further on it."""
    if isinstance(node, MeterQuestion) and id(node) in shown:
        for answer in node.answers:
            yield from _ends(answer.next, shown)
    else:
        yield node


def _numbers(sheet: _TreeSheet, first: int) -> dict[int, int]:
    return {id(node): first + number for number, node in enumerate(sheet.later)}


def _laid_out(sheet: _TreeSheet, numbers: Mapping[int, int]) -> _BoxPlace:
    return _placed(sheet, numbers, sheet.root, 0, iter(range(ROWS + 1)), FIRST)


def _placed(
    sheet: _TreeSheet, numbers: Mapping[int, int], node: Node, column: int, rows: Iterator[int], reading: str
) -> _BoxPlace:
    if not (isinstance(node, MeterQuestion) and id(node) in sheet.shown):
        return _BoxPlace(node, column, LYING.top + (next(rows) + 0.5) * ROW_MM, reading, (), numbers.get(id(node), 0))
    children = tuple(_placed(sheet, numbers, answer.next, column + 1, rows, answer.reading) for answer in node.answers)
    return _BoxPlace(node, column, (children[0].y + children[-1].y) / 2, reading, children)


def _items(root: _BoxPlace, marks: Mapping[int, str]) -> Iterator[Item]:
    width = LYING.room / (_deepest(root) + 2)
    stack = [root]
    while stack:
        place = stack.pop()
        yield from _branches(place, width)
        yield from _words(place, width, marks)
        stack += place.children


def _deepest(place: _BoxPlace) -> int:
    return max([place.column, *(_deepest(child) for child in place.children)])


def _x(place: _BoxPlace, width: float) -> float:
    return LYING.left + place.column * width


def _branches(place: _BoxPlace, width: float) -> Iterator[Item]:
    """From a question to the middles of what follows: across, along, across."""
    if not place.children:
        return
    right = _x(place.children[0], width)
    bus = right - GAP_MM / 2
    ys = [child.y for child in place.children]
    yield Line(bus, min(ys), bus, max(ys), NORMAL)
    for y in ys:
        yield Line(bus, y, right - 0.8, y, NORMAL)
    yield Line(bus - GAP_MM / 2, place.y, bus, place.y, NORMAL)


def _words(place: _BoxPlace, width: float, marks: Mapping[int, str]) -> Iterator[Item]:
    """The reading, then mark and place; of a question also where in the car."""
    x = _x(place, width)
    room = width - GAP_MM if place.children else LYING.right - x
    mark = marks[id(place.node)]
    yield Text(x, place.y - 1.2, fit(place.reading, room, SMALL_MM), SMALL_MM, GREY)
    if isinstance(place.node, Diagnosis):
        words = place.node.text.rpartition(_BETWEEN)[2] if place.node.places else place.node.text
        yield Text(x, place.y + 2.2, fit(f"{mark}  {words}", room, SMALL_MM), SMALL_MM, BLACK)
        return
    head = f"{mark}  {place.node.place}" + (f": {GOES_ON} on sheet {place.sheet}" if place.sheet else "")
    yield Text(x, place.y + 2.2, fit(head, room, SMALL_MM, BOLD), SMALL_MM, BLACK, BOLD)
    if place.children and place.node.at:
        yield Text(x, place.y + 2.2 + LINE_MM, fit(place.node.at, room, SMALL_MM), SMALL_MM, BLACK, REGULAR)
