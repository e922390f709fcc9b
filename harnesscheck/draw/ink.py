"""The few pens, sizes and greys of every sheet, and how a wire's colour is painted.

Nothing is told apart by colour alone: a wire's colour is also written, a
finding's severity is also a shape and a letter, and what matters is heavier as
well as darker. The palette is our own; greys keep a contrast of 4.5:1 and more
for text (WCAG 2.2, 1.4.3).
"""

from __future__ import annotations

from collections.abc import Iterator

from harnesscheck.draw.font import BOLD, REGULAR
from harnesscheck.draw.scene import Box, Item, Line, Pen, Text
from harnesscheck.trade.colours import Colour, srgb

BLACK, GREY, RULE, WASH, WHITE = "#1b1b1b", "#636363", "#a6a6a6", "#f1f1ef", "#ffffff"

SMALL_MM, TEXT_MM, HEAD_MM, TITLE_MM = 2.8, 3.0, 3.6, 5.4
LINE_MM = 3.7  # from baseline to baseline of small text

STRONG = Pen(BLACK, 0.7)
NORMAL = Pen(BLACK, 0.35)
FAINT = Pen(RULE, 0.3)
HAIR = Pen(RULE, 0.15)
NOT_KNOWN = Pen(BLACK, 0.3, (0.8, 0.8))
LIKELY = (1.6, 1.0)  # dashes of a line that is likely, not known

_WIRE_MM = 1.3
_CASE_MM = 0.25  # black on both sides, so that a white wire shows on white paper
_BAND_MM = 1.8  # length of a stripe along the wire


def small(x: float, y: float, text: str, *, strong: bool = True, bold: bool = False, anchor: str = "start") -> Text:
    """A label in the smallest size there is; what is not strong is grey."""
    return Text(x, y, text, SMALL_MM, BLACK if strong else GREY, BOLD if bold else REGULAR, anchor)


def colour_words(colour: Colour | None) -> str:
    """A wire colour as it was written; ``?`` where it is not known."""
    return colour.text if colour is not None else "?"


def swatch(x: float, y: float, width: float, height: float, colour: Colour | None) -> Iterator[Item]:
    """A rectangle in a wire's colours, the base and a stripe for every further one; dotted where not known."""
    known = colour is not None and colour.names is not None
    names = colour.names if colour is not None and colour.names is not None else ()
    yield Box(x, y, width, height, NORMAL if known else NOT_KNOWN, srgb(names[0]) if known else WHITE)
    stripes = names[1:]
    band = height / (2 * len(stripes) + 1) if stripes else 0.0
    for at, name in enumerate(stripes):
        yield Box(x + 0.3, y + band * (2 * at + 1), width - 0.6, band, Pen(WHITE, 0.2), srgb(name))  # seen in grey too


def wire_line(x: float, top: float, bottom: float, colour: Colour | None, *, strong: bool) -> Iterator[Item]:
    """An upright wire in its colours between two black edges; not known, or not strong: a plain line."""
    names = colour.names if colour is not None and colour.names is not None else ()
    if not strong or not names:
        yield Line(x, top, x, bottom, Pen(BLACK, 0.5) if strong else Pen(RULE, 0.5))
        return
    yield Line(x, top, x, bottom, Pen(BLACK, _WIRE_MM + 2 * _CASE_MM))
    yield Line(x, top, x, bottom, Pen(srgb(names[0]), _WIRE_MM))
    count = len(names)
    for at, name in enumerate(names[1:], 1):
        dash = (0.0, at * _BAND_MM, _BAND_MM, (count - 1 - at) * _BAND_MM)
        yield Line(x, top, x, bottom, Pen(srgb(name), _WIRE_MM, dash))


def hatch(x: float, y: float, width: float, height: float, step: float = 2.2) -> Iterator[Item]:
    """Slanting lines across a rectangle: nothing is in here, and that is known."""
    offset = step
    while offset < width + height:
        x1, y1 = x + min(offset, width), y + max(0.0, offset - width)
        x2, y2 = x + max(0.0, offset - height), y + min(offset, height)
        yield Line(x1, y1, x2, y2, HAIR)
        offset += step
