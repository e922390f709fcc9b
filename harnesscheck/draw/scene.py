"""A drawing as data: boxes, lines, circles and measured text on a page, everything in millimetres.

The origin is the top left corner, y grows downwards, and a text stands on its
baseline. The laws at the end say what makes a drawing readable; tests hold
every sheet to them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import singledispatch
from itertools import pairwise

from harnesscheck.draw.font import REGULAR, drawable, face, width_mm

MIN_TEXT_MM = 2.8  # below this a sheet in a car's footwell is not read
_TOUCH_MM = 0.01  # rounding; labels may touch, not overlap

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is drawn: colour ``#rrggbb``, width, and lengths drawn and left out in turn."""

    colour: str
    width_mm: float
    dash_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    pen: Pen


@dataclass(frozen=True, slots=True)
class Polyline:
    """A line with corners; closed, it may be filled."""

    points: tuple[Point, ...]
    pen: Pen | None
    fill: str | None = None
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle by its top left corner."""

    x: float
    y: float
    width: float
    height: float
    pen: Pen | None = None
    fill: str | None = None
    round_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle by its middle."""

    x: float
    y: float
    radius: float
    pen: Pen | None = None
    fill: str | None = None


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; ``anchor`` says which part of it stands at x: start, middle or end."""

    x: float
    y: float
    text: str
    size_mm: float
    colour: str
    weight: int = REGULAR
    anchor: str = "start"


@dataclass(frozen=True, slots=True)
class SceneGroup:
    """Items that belong together; the title is what a reader is told on pointing at it."""

    items: tuple[Item, ...]
    id: str = ""
    title: str = ""


Item = Line | Polyline | Box | Circle | Text | SceneGroup


@dataclass(frozen=True, slots=True)
class Scene:
    """One page. Title and description say in words what is drawn."""

    width_mm: float
    height_mm: float
    title: str
    description: str
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Extent:
    """The rectangle something covers."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Extent, by_mm: float = _TOUCH_MM) -> bool:
        """Whether the two share more than a hair's breadth, both ways."""
        return (
            min(self.right, other.right) - max(self.left, other.left) > by_mm
            and min(self.bottom, other.bottom) - max(self.top, other.top) > by_mm
        )

    def within(self, width_mm: float, height_mm: float) -> bool:
        """Whether it lies on a page of that size."""
        return (
            self.left >= -_TOUCH_MM
            and self.top >= -_TOUCH_MM
            and self.right <= width_mm + _TOUCH_MM
            and self.bottom <= height_mm + _TOUCH_MM
        )


@singledispatch
def bounds(item: Item) -> Extent:
    """What an item covers, the width of its pen included."""
    raise TypeError(f"no bounds for {item!r}")


def _spread(points: Iterable[Point], pen: Pen | None) -> Extent:
    xs, ys = zip(*points, strict=True)
    half = pen.width_mm / 2 if pen is not None else 0.0
    return Extent(min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half)


@bounds.register
def _(item: Line) -> Extent:
    return _spread(((item.x1, item.y1), (item.x2, item.y2)), item.pen)


@bounds.register
def _(item: Polyline) -> Extent:
    return _spread(item.points, item.pen)


@bounds.register
def _(item: Box) -> Extent:
    return _spread(((item.x, item.y), (item.x + item.width, item.y + item.height)), item.pen)


@bounds.register
def _(item: Circle) -> Extent:
    corners = ((item.x - item.radius, item.y - item.radius), (item.x + item.radius, item.y + item.radius))
    return _spread(corners, item.pen)


@bounds.register
def _(item: Text) -> Extent:
    width = width_mm(drawable(item.text), item.size_mm, item.weight)
    left = item.x - {"start": 0.0, "middle": width / 2, "end": width}[item.anchor]
    letters = face(item.weight)
    return Extent(
        left, item.y - letters.ascent_em * item.size_mm, left + width, item.y + letters.descent_em * item.size_mm
    )


@bounds.register
def _(item: SceneGroup) -> Extent:
    boxes = [bounds(part) for part in item.items]
    return Extent(
        min(box.left for box in boxes),
        min(box.top for box in boxes),
        max(box.right for box in boxes),
        max(box.bottom for box in boxes),
    )


def flat(items: Iterable[Item]) -> Iterator[Item]:
    """Every item that leaves ink, groups opened."""
    for item in items:
        if isinstance(item, SceneGroup):
            yield from flat(item.items)
        else:
            yield item


def texts(scene: Scene) -> list[Text]:
    """Every label of a scene, in drawing order."""
    return [item for item in flat(scene.items) if isinstance(item, Text)]


def moved(item: Item, right_mm: float, down_mm: float) -> Item:
    """The same item somewhere else."""
    if isinstance(item, Line):
        x1, x2 = item.x1 + right_mm, item.x2 + right_mm
        return Line(x1, item.y1 + down_mm, x2, item.y2 + down_mm, item.pen)
    if isinstance(item, Polyline):
        points = tuple((x + right_mm, y + down_mm) for x, y in item.points)
        return Polyline(points, item.pen, item.fill, item.closed)
    if isinstance(item, SceneGroup):
        return SceneGroup(tuple(moved(part, right_mm, down_mm) for part in item.items), item.id, item.title)
    x, y = item.x + right_mm, item.y + down_mm
    if isinstance(item, Box):
        return Box(x, y, item.width, item.height, item.pen, item.fill, item.round_mm)
    if isinstance(item, Circle):
        return Circle(x, y, item.radius, item.pen, item.fill)
    return Text(x, y, item.text, item.size_mm, item.colour, item.weight, item.anchor)


# -- laws of a readable drawing


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
