"""A scene as SVG text: no scripts, nothing fetched, the same bytes for the same scene.

Every text of a file is escaped here and nowhere else. The paper is drawn white,
so a reader's dark setting changes nothing.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable, Iterable, Iterator
from html import escape

from harnesscheck.draw.font import (
    BOLD,
    FAMILY,
    REGULAR,
    SUBSET_FAMILY,
    drawable,
    subset,
    subset_characters,
)
from harnesscheck.draw.scene import Box, Circle, Item, Line, Pen, Polyline, Scene, SceneGroup, Text, texts

PAPER = "#ffffff"
_Clean = Callable[[str], str]


def svg(scene: Scene, *, prefix: str = "", embed_font: bool = True, clean: _Clean = drawable) -> str:
    """The scene as one SVG document.

    ``prefix`` goes before every id, for pages that hold several drawings. With
    ``embed_font=False`` the page around it must carry ``font_css``. ``clean``
    makes a text of the file drawable.
    """
    size = f'width="{_n(scene.width_mm)}mm" height="{_n(scene.height_mm)}mm"'
    view = f'viewBox="0 0 {_n(scene.width_mm)} {_n(scene.height_mm)}"'
    named = f'role="img" aria-labelledby="{_id(prefix, "title")} {_id(prefix, "description")}"'
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} {view} {named}>',
        f'<title id="{_id(prefix, "title")}">{_text(clean(scene.title))}</title>',
        f'<desc id="{_id(prefix, "description")}">{_text(clean(scene.description))}</desc>',
    ]
    if embed_font:
        lines.append(f"<style>{font_css(text.text for text in texts(scene))}</style>")
    lines.append(f'<rect width="{_n(scene.width_mm)}" height="{_n(scene.height_mm)}" fill="{PAPER}"/>')
    families = f"{SUBSET_FAMILY}, {FAMILY}, sans-serif"
    lines.append(f'<g font-family="{families}" font-kerning="none" stroke-linecap="butt">')
    lines.extend(_lines(scene.items, prefix, clean))
    lines.extend(("</g>", "</svg>", ""))
    return "\n".join(lines)


def font_css(shown: Iterable[str]) -> str:
    """The style rules that bring the drawings' font along, cut down to what these texts use."""
    characters = subset_characters(shown)
    return "".join(
        f"@font-face{{font-family:'{SUBSET_FAMILY}';font-weight:{weight};"
        f"src:url(data:font/ttf;base64,{b64encode(subset(characters, weight)).decode()})}}"
        for weight in (REGULAR, BOLD)
    )


def _lines(items: Iterable[Item], prefix: str, clean: _Clean) -> Iterator[str]:
    for item in items:
        if isinstance(item, SceneGroup):
            yield f'<g id="{_id(prefix, item.id)}">' if item.id else "<g>"
            if item.title:
                yield f"<title>{_text(clean(item.title))}</title>"
            yield from _lines(item.items, prefix, clean)
            yield "</g>"
        else:
            yield _element(item, clean)


def _element(item: Line | Polyline | Box | Circle | Text, clean: _Clean) -> str:
    if isinstance(item, Text):
        return _text_element(item, clean)
    if isinstance(item, Line):
        ends = f'x1="{_n(item.x1)}" y1="{_n(item.y1)}" x2="{_n(item.x2)}" y2="{_n(item.y2)}"'
        return f"<line {ends}{_pen(item.pen)}/>"
    look = _fill(item.fill) + _pen(item.pen)
    if isinstance(item, Box):
        place = f'x="{_n(item.x)}" y="{_n(item.y)}" width="{_n(item.width)}" height="{_n(item.height)}"'
        corners = f' rx="{_n(item.round_mm)}"' if item.round_mm else ""
        return f"<rect {place}{corners}{look}/>"
    if isinstance(item, Circle):
        return f'<circle cx="{_n(item.x)}" cy="{_n(item.y)}" r="{_n(item.radius)}"{look}/>'
    points = " ".join(f"{_n(x)},{_n(y)}" for x, y in item.points)
    return f'<{"polygon" if item.closed else "polyline"} points="{points}"{look}/>'


def _text_element(item: Text, clean: _Clean) -> str:
    anchor = "" if item.anchor == "start" else f' text-anchor="{item.anchor}"'
    weight = "" if item.weight == REGULAR else f' font-weight="{item.weight}"'
    place = f'x="{_n(item.x)}" y="{_n(item.y)}" font-size="{_n(item.size_mm)}"'
    return f"<text {place}{anchor}{weight}{_fill(item.colour)}>{_text(clean(item.text))}</text>"


def _pen(pen: Pen | None) -> str:
    if pen is None:
        return ""
    dash = f' stroke-dasharray="{" ".join(map(_n, pen.dash_mm))}"' if pen.dash_mm else ""
    return f' stroke="{escape(pen.colour)}" stroke-width="{_n(pen.width_mm)}"{dash}'


def _fill(fill: str | None) -> str:
    return f' fill="{escape(fill)}"' if fill else ' fill="none"'


def _text(text: str) -> str:
    return escape(text, quote=False)


def _id(prefix: str, name: str) -> str:
    """An id that any file name or cavity can become: letters, digits and dashes stay, others become codes."""
    return "".join(ch if ch.isascii() and (ch.isalnum() or ch in "-_") else f".{ord(ch):x}" for ch in prefix + name)


def _n(number: float) -> str:
    """A length to a hundredth of a millimetre, as short as it goes."""
    text = f"{number:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
