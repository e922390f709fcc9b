"""A drawing as data: boxes, lines, circles and measured text on a page, everything in millimetres.

The origin is the top left corner, y grows downwards, and a text stands on its
baseline.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import singledispatch

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
