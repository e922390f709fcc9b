"""The laws of a readable drawing: no label over another, off the page, too small or struck through."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from harnesscheck.draw.scene import (
    MIN_TEXT_MM,
    Box,
    Circle,
    Extent,
    Item,
    Line,
    Point,
    Polyline,
    Scene,
    Text,
    bounds,
    flat,
    texts,
)


def overlapping_labels(scene: Scene) -> list[tuple[Text, Text]]:
    """Pairs of labels that run into each other; none on a good sheet."""
    boxed = sorted(((bounds(text), text) for text in texts(scene)), key=lambda pair: pair[0].left)
    found = []
    for at, (box, text) in enumerate(boxed):
        for other_box, other in boxed[at + 1 :]:
            if other_box.left >= box.right:
                break
            if box.overlaps(other_box):
                found.append((text, other))
    return found


def outside(scene: Scene) -> list[Item]:
    """Items that leave the page; none on a good sheet."""
    return [item for item in flat(scene.items) if not bounds(item).within(scene.width_mm, scene.height_mm)]


def too_small(scene: Scene) -> list[Text]:
    """Labels smaller than ``MIN_TEXT_MM``; none on a good sheet."""
    return [text for text in texts(scene) if text.size_mm < MIN_TEXT_MM]


def struck_labels(scene: Scene) -> list[tuple[Text, Item]]:
    """Labels with a line drawn through their letters; none on a good sheet.

    A line under a filled box that carries the whole label is not seen.
    """
    items = list(flat(scene.items))
    strokes = [(at, item, stroke) for at, item in enumerate(items) for stroke in _strokes(item)]
    found: list[tuple[Text, Item]] = []
    for at, text in enumerate(items):
        if isinstance(text, Text):
            box = _letters(text)
            crossing = [(below, item) for below, item, stroke in strokes if _crosses(stroke, box)]
            plate = max((number for number in range(at) if _covers(items[number], box)), default=0) if crossing else 0
            found += [(text, item) for below, item in crossing if below >= plate]
    return found


def _covers(item: Item, box: Extent) -> bool:
    if not isinstance(item, Box | Circle | Polyline) or item.fill is None:
        return False
    plate = bounds(item)
    inside = plate.left <= box.left and box.right <= plate.right
    return inside and plate.top <= box.top and box.bottom <= plate.bottom


def _letters(text: Text) -> Extent:
    """The middle of the letters: a line that touches a descender does not make a word unreadable."""
    box = bounds(text)
    inset = 0.1 * text.size_mm
    return Extent(box.left + inset, box.top + inset, box.right - inset, text.y - inset)


def _strokes(item: Item) -> Sequence[tuple[Point, Point]]:
    if isinstance(item, Line):
        return [((item.x1, item.y1), (item.x2, item.y2))]
    if isinstance(item, Polyline) and item.pen is not None:
        points = item.points + (item.points[:1] if item.closed else ())
        return list(pairwise(points))
    if isinstance(item, Box) and item.pen is not None:
        right, bottom = item.x + item.width, item.y + item.height
        corners = [(item.x, item.y), (right, item.y), (right, bottom), (item.x, bottom), (item.x, item.y)]
        return list(pairwise(corners))
    return []


def _crosses(stroke: tuple[Point, Point], box: Extent) -> bool:
    """Whether a line passes through a rectangle (clipping it by each side in turn)."""
    (x1, y1), (x2, y2) = stroke
    enter, leave = 0.0, 1.0
    for start, step, low, high in ((x1, x2 - x1, box.left, box.right), (y1, y2 - y1, box.top, box.bottom)):
        if abs(step) < 1e-9:
            if not low < start < high:
                return False
            continue
        near, far = sorted(((low - start) / step, (high - start) / step))
        enter, leave = max(enter, near), min(leave, far)
    return leave - enter > 1e-9
