"""Arrows from cavities of one face to cavities of the face below it, beside the cells and never across them.

A cell of the last row above is left downwards, any other to its right into the
gutter between columns; between the faces every arrow has a lane of its own; a
cell of the first row below is entered from above, any other from its left. The
gutters' and lanes' sizes are worked out before anything is drawn.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.draw.face import FaceCell
from harnesscheck.draw.ink import BLACK
from harnesscheck.draw.scene import Item, Pen, Point, Polyline

LANE_MM = 1.3
MOST_LANES = 16  # more arrows than that show nothing; the words in the cells stay
_EDGE_MM = 2.4  # between a face and the first lane
_PORT_MM = 1.1  # leaving and entering a cell beside its middle, so that two arrows never lie on one line
_BESIDE_MM = 1.1  # between a cell and the first lane of a gutter
_HEAD_MM = 1.8
_PEN = Pen(BLACK, 0.4)


@dataclass(frozen=True, slots=True)
class ArrowMove:
    """From a cavity above to a cavity below."""

    start: str
    end: str


def gutter_lanes(moves: Sequence[ArrowMove], above: Sequence[FaceCell], below: Sequence[FaceCell]) -> int:
    """How many arrows the busiest gutter between two columns holds."""
    starts, ends = {cell.cavity: cell for cell in above}, {cell.cavity: cell for cell in below}
    last = max((cell.row for cell in above), default=0)
    out = Counter(starts[move.start].column for move in moves if starts[move.start].row != last)
    into = Counter(ends[move.end].column for move in moves if ends[move.end].row != 0)
    return max([*out.values(), *into.values()], default=0)


def drawn_moves(moves: Sequence[ArrowMove], above: Sequence[FaceCell], below: Sequence[FaceCell]) -> list[ArrowMove]:
    """The moves whose two ends are both on this sheet; none where they are too many to follow."""
    starts, ends = {cell.cavity for cell in above}, {cell.cavity for cell in below}
    here = [move for move in dict.fromkeys(moves) if move.start in starts and move.end in ends]
    return here if len(here) <= MOST_LANES else []


def band_height(moves: Sequence[ArrowMove]) -> float:
    """The room that so many arrows need between the faces; without any, that of a line of text."""
    return 2 * _EDGE_MM + LANE_MM * len(moves) if moves else 8.0


def arrows(
    moves: Sequence[ArrowMove],
    above: Sequence[FaceCell],
    below: Sequence[FaceCell],
    cell_size: tuple[float, float],
    gap: float,
) -> list[Item]:
    """The arrows. Cells above and below are placed, with ``band_height`` between them."""
    starts, ends = {cell.cavity: cell for cell in above}, {cell.cavity: cell for cell in below}
    last = max(cell.row for cell in above) if above else 0
    floor = max((cell.y for cell in above), default=0.0) + cell_size[1]
    taken_out: Counter[int] = Counter()
    taken_in: Counter[int] = Counter()
    items: list[Item] = []
    for lane, move in enumerate(_in_order(moves, starts, ends)):
        a, b = starts[move.start], ends[move.end]
        y = floor + _EDGE_MM + LANE_MM * lane
        way = _leave(a, a.row == last, taken_out, cell_size, gap, y)
        items.extend(_arrow(way + _enter(b, taken_in, cell_size, gap, y)))
    return items


def _in_order(
    moves: Sequence[ArrowMove], starts: Mapping[str, FaceCell], ends: Mapping[str, FaceCell]
) -> list[ArrowMove]:
    """Arrows to the right from the right end on, then those to the left: fewer crossings."""
    rightward = [move for move in moves if starts[move.start].x <= ends[move.end].x]
    leftward = [move for move in moves if starts[move.start].x > ends[move.end].x]
    return sorted(rightward, key=lambda move: (-starts[move.start].x, move.start)) + sorted(
        leftward, key=lambda move: (starts[move.start].x, move.start)
    )


def _leave(
    cell: FaceCell, last: bool, taken: Counter[int], size: tuple[float, float], gap: float, lane_y: float
) -> list[Point]:
    if last:
        x = cell.x + size[0] / 2 - _PORT_MM
        return [(x, cell.y + size[1]), (x, lane_y)]
    x = cell.x + size[0] + _BESIDE_MM + LANE_MM * taken[cell.column]
    taken[cell.column] += 1
    middle = cell.y + size[1] / 2
    return [(cell.x + size[0], middle), (x, middle), (x, lane_y)]


def _enter(cell: FaceCell, taken: Counter[int], size: tuple[float, float], gap: float, lane_y: float) -> list[Point]:
    if cell.row == 0:
        x = cell.x + size[0] / 2 + _PORT_MM
        return [(x, lane_y), (x, cell.y)]
    x = cell.x - gap + _BESIDE_MM + LANE_MM * (taken[cell.column] + 0.5)
    taken[cell.column] += 1
    middle = cell.y + size[1] / 2
    return [(x, lane_y), (x, middle), (cell.x, middle)]


def _arrow(way: list[Point]) -> list[Item]:
    (x1, y1), (x2, y2) = way[-2], way[-1]
    along_x, along_y = (1.0, 0.0) if y1 == y2 and x2 > x1 else (0.0, 1.0)
    base_x, base_y = x2 - _HEAD_MM * along_x, y2 - _HEAD_MM * along_y
    side = _HEAD_MM / 3
    head = (
        (x2, y2),
        (base_x + side * along_y, base_y + side * along_x),
        (base_x - side * along_y, base_y - side * along_x),
    )
    return [Polyline((*way[:-1], (base_x, base_y)), _PEN), Polyline(head, None, BLACK, closed=True)]
