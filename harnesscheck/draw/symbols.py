"""The symbols of circuit sheets: our own, plain, one for each sort of part.

A symbol stands in an upright column at x, between top and bottom, and draws the
column's line through or around itself. ``pen`` is heavy for what matters and
thin for the rest.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from harnesscheck.draw.font import BOLD
from harnesscheck.draw.ink import BLACK, GREY, SMALL_MM, WHITE
from harnesscheck.draw.scene import Box, Circle, Item, Line, Pen, Polyline, Text

DOT_MM = 0.9
_BOX_MM = 8.0  # height and width of a part's box

Symbol = Callable[[float, float, float, Pen], Iterator[Item]]


def _boxed(x: float, top: float, bottom: float, pen: Pen, width: float = _BOX_MM) -> Iterator[Item]:
    """The line from top to bottom with a white box on it, as high as a part's box at most."""
    upper, lower = _span(top, bottom)
    yield Line(x, top, x, upper, pen)
    yield Line(x, lower, x, bottom, pen)
    yield Box(x - width / 2, upper, width, lower - upper, pen, WHITE)


def _span(top: float, bottom: float) -> tuple[float, float]:
    """Top and bottom of a box in the middle of its block, with a piece of line on both sides."""
    height = min(_BOX_MM, bottom - top - 2.0)
    middle = (top + bottom) / 2
    return middle - height / 2, middle + height / 2


def _thin(pen: Pen) -> Pen:
    return Pen(pen.colour, min(pen.width_mm, 0.35))


def _letter(x: float, middle: float, letter: str, pen: Pen) -> Text:
    return Text(x, middle + 0.95, letter, SMALL_MM, BLACK if pen.colour == BLACK else GREY, BOLD, "middle")


def fuse(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A narrow box with the line through it."""
    yield from _boxed(x, top, bottom, pen, 3.4)
    upper, lower = _span(top, bottom)
    yield Line(x, upper, x, lower, _thin(pen))


def switch(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """Two posts and a slanting blade that is drawn open."""
    upper, lower = _span(top, bottom)
    yield Line(x, top, x, upper, pen)
    yield Line(x, lower, x, bottom, pen)
    yield Line(x, lower, x - 3.0, upper + 0.6, pen)
    yield Circle(x, upper, 0.7, pen, WHITE)
    yield Circle(x, lower, 0.7, pen, WHITE)


def closed(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A contact that is closed at rest: the blade lies on its post."""
    upper, lower = _span(top, bottom)
    yield Line(x, top, x, upper, pen)
    yield Line(x, lower, x, bottom, pen)
    yield Line(x, lower, x - 0.7, upper - 0.4, pen)
    yield Line(x - 2.4, upper, x, upper, pen)
    yield Circle(x, lower, 0.7, pen, WHITE)


def coil(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A box with a slanting stroke."""
    yield from _boxed(x, top, bottom, pen, 7.0)
    upper, lower = _span(top, bottom)
    yield Line(x - 1.6, lower, x + 1.6, upper, _thin(pen))


def diode(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A triangle that points the way current goes, onto a bar."""
    upper, lower = _span(top, bottom)
    middle = (upper + lower) / 2
    yield Line(x, top, x, bottom, pen)
    yield Polyline(((x - 2, middle - 1.8), (x + 2, middle - 1.8), (x, middle + 1.6)), pen, WHITE, closed=True)
    yield Line(x - 2, middle + 1.8, x + 2, middle + 1.8, pen)


def resistor(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A narrow empty box."""
    yield from _boxed(x, top, bottom, pen, 3.4)


def lamp(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A bulb: a ring with a bent filament."""
    yield from _boxed(x, top, bottom, pen)
    middle = (top + bottom) / 2
    yield Circle(x, middle, 2.7, _thin(pen), None)
    filament = ((x - 1.5, middle + 1.3), (x - 0.6, middle - 1.2), (x + 0.6, middle + 1.2), (x + 1.5, middle - 1.3))
    yield Polyline(filament, _thin(pen))


def motor(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A ring with an M."""
    yield from _boxed(x, top, bottom, pen)
    middle = (top + bottom) / 2
    yield Circle(x, middle, 2.7, _thin(pen), None)
    yield _letter(x, middle, "M", pen)


def heater(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """Three bars that glow."""
    yield from _boxed(x, top, bottom, pen)
    middle = (top + bottom) / 2
    for offset in (-1.7, 0.0, 1.7):
        yield Line(x + offset, middle - 2.2, x + offset, middle + 2.2, Pen(pen.colour, 0.6))


def solenoid(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A plunger halfway out of its body."""
    yield from _boxed(x, top, bottom, pen)
    middle = (top + bottom) / 2
    yield Box(x - 2.4, middle - 1.5, 3.0, 3.0, _thin(pen))
    yield Line(x - 0.8, middle, x + 2.8, middle, Pen(pen.colour, 0.8))


def sounder(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A horn seen from the side."""
    yield from _boxed(x, top, bottom, pen)
    middle = (top + bottom) / 2
    horn = ((x - 2.4, middle - 0.7), (x + 2.2, middle - 2.4), (x + 2.2, middle + 2.4), (x - 2.4, middle + 0.7))
    yield Polyline(horn, _thin(pen), None, closed=True)


def sensor(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A box with a needle on a scale."""
    yield from _boxed(x, top, bottom, pen)
    middle = (top + bottom) / 2
    yield Polyline(((x - 2.6, middle + 1.8), (x - 1.4, middle - 0.9), (x, middle - 1.6)), _thin(pen))
    yield Polyline(((x, middle - 1.6), (x + 1.4, middle - 0.9), (x + 2.6, middle + 1.8)), _thin(pen))
    yield Line(x, middle + 1.8, x + 1.2, middle - 0.4, Pen(pen.colour, 0.5))


def part(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A load of which nothing more is known: an empty box."""
    yield from _boxed(x, top, bottom, pen)


def unit(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A box with a double edge that wires leave on both sides: its inside is not in the file."""
    yield from _boxed(x, top, bottom, pen)
    upper, lower = _span(top, bottom)
    yield Box(x - 3.1, upper + 0.9, 6.2, lower - upper - 1.8, _thin(pen), WHITE)


def joint(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """The line straight through a part's dashed edge: joined inside."""
    upper, lower = _span(top, bottom)
    yield Box(x - 3, upper, 6, lower - upper, Pen(pen.colour, 0.35, (1.2, 0.9)), WHITE)
    yield Line(x, top, x, bottom, pen)


def plug(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """A plug crossing: a pin that goes into a socket."""
    middle = (top + bottom) / 2
    yield Line(x, top, x, middle - 1.2, pen)
    yield Box(x - 0.7, middle - 2.2, 1.4, 2.6, None, pen.colour)
    socket = ((x - 1.7, middle - 0.6), (x - 1.7, middle + 1.5), (x + 1.7, middle + 1.5), (x + 1.7, middle - 0.6))
    yield Polyline(socket, Pen(pen.colour, max(0.35, pen.width_mm)))
    yield Line(x, middle + 1.5, x, bottom, pen)


def dot(x: float, top: float, bottom: float, pen: Pen) -> Iterator[Item]:
    """The line alone."""
    yield Line(x, top, x, bottom, pen)


# -- ends of a column: drawn around their middle, on a line that comes from one side only


def module(x: float, middle: float, pen: Pen) -> Iterator[Item]:
    """A box with a double edge: its inside is not in the file."""
    half = _BOX_MM / 2
    yield Box(x - half, middle - half, _BOX_MM, _BOX_MM, pen, WHITE)
    yield Box(x - half + 0.9, middle - half + 0.9, _BOX_MM - 1.8, _BOX_MM - 1.8, _thin(pen), WHITE)


def part_end(x: float, middle: float, pen: Pen) -> Iterator[Item]:
    """A part in which the column ends."""
    yield Box(x - _BOX_MM / 2, middle - _BOX_MM / 2, _BOX_MM, _BOX_MM, pen, WHITE)


def ring(x: float, middle: float, pen: Pen) -> Iterator[Item]:
    """An open end."""
    yield Circle(x, middle, 1.3, pen, WHITE)


def arrow(x: float, middle: float, pen: Pen) -> Iterator[Item]:
    """The line goes on, or comes from, somewhere else; it points the way current goes."""
    head = ((x - 1.7, middle - 1.3), (x + 1.7, middle - 1.3), (x, middle + 1.3))
    yield Polyline(head, None, pen.colour, closed=True)


End = Callable[[float, float, Pen], Iterator[Item]]

SYMBOLS: Mapping[str, Symbol] = {
    symbol.__name__: symbol
    for symbol in (
        fuse, switch, closed, coil, diode, resistor, lamp, motor, heater, solenoid, sounder, sensor, part,
        unit, joint, plug, dot,
    )
}  # fmt: skip

ENDS: Mapping[str, End] = {"module": module, "part_end": part_end, "ring": ring, "arrow": arrow}
