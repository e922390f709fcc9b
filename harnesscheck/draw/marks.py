"""What a drawing is told about findings: differences in a cavity, and the mark of a severity.

Drawing judges nothing. The severities are the finding's own words; each has a
shape and a letter besides its colour.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import cos, pi, sin

from harnesscheck.draw.font import BOLD
from harnesscheck.draw.ink import BLACK, SMALL_MM, WHITE, small
from harnesscheck.draw.scene import Circle, Item, Pen, Polyline, Text

SEVERITIES = ("injury", "damage", "dead", "rework", "note")  # worst first


@dataclass(frozen=True, slots=True)
class MarkedCavity:
    """One thing that differs in a donor's cavity: kind in words, severity, a sentence, where it moved to.

    ``moved_to`` names the shell's cavity. ``severity`` is one of ``SEVERITIES``,
    or empty for a difference nobody has judged.
    """

    cavity: str
    kind: str
    severity: str = ""
    text: str = ""
    moved_to: str = ""


@dataclass(frozen=True, slots=True)
class _Sign:
    letter: str
    corners: int  # 0 is a circle
    radius: float
    turn: float  # of the first corner, in parts of a full turn
    fill: str
    ink: str


_SIGNS = {
    "injury": _Sign("I", 3, 3.0, -0.25, "#a3001b", WHITE),
    "damage": _Sign("D", 4, 2.7, 0.0, "#c8500a", WHITE),
    "dead": _Sign("X", 4, 2.5, 0.125, "#4a3b8f", WHITE),
    "rework": _Sign("R", 6, 2.3, 0.0, WHITE, BLACK),
    "note": _Sign("N", 0, 2.0, 0.0, WHITE, BLACK),
}


def worst(severities: Iterable[str]) -> str:
    """The worst of several severities; empty where there is none."""
    return min((word for word in severities if word in SEVERITIES), key=SEVERITIES.index, default="")


def sign(x: float, y: float, severity: str) -> Iterator[Item]:
    """The mark of a severity around a middle: triangle I, diamond D, square X, hexagon R, circle N."""
    look = _SIGNS[severity]
    pen = Pen(BLACK, 0.35)
    if look.corners:
        yield Polyline(_corners(x, y, look), pen, look.fill, closed=True)
    else:
        yield Circle(x, y, look.radius, pen, look.fill)
    drop = 1.2 if look.corners == 3 else 0.95
    yield Text(x, y + drop, look.letter, SMALL_MM, look.ink, BOLD, "middle")


def _corners(x: float, y: float, look: _Sign) -> tuple[tuple[float, float], ...]:
    angles = (2 * pi * (look.turn + at / look.corners) for at in range(look.corners))
    return tuple((round(x + look.radius * cos(a), 3), round(y + look.radius * sin(a), 3)) for a in angles)


def legend(x: float, y: float, severities: Iterable[str]) -> Iterator[Item]:
    """One line that says what each mark means."""
    for severity in severities:
        yield from sign(x + 3.6, y, severity)
        yield small(x + 8.4, y + 0.95, severity)
        x += 27
