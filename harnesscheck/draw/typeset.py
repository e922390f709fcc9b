"""Pages as PDF, set by one version of one typesetter with one typeface: the same bytes on every machine.

Sources come with the package; what a file says is handed over as data and never
read as a source, so no text of a file can be a command.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from harnesscheck.draw.font import REGULAR, drawable, font_file, in_font
from harnesscheck.draw.scene import Scene
from harnesscheck.draw.svg import svg

_DRAWING = """\
#let data = json(bytes(sys.inputs.data))
#set document(title: data.title, date: none)
#for one in data.sheets {
  set page(width: one.width * 1mm, height: one.height * 1mm, margin: 0mm)
  page(image(bytes(one.svg), format: "svg", width: 100%, height: 100%, alt: one.alt))
}
"""


def typeset(source: str, data: Mapping[str, Any]) -> bytes:
    """A source with its data as PDF; no date of the machine stands in it."""
    import typst

    return typst.compile(
        source.encode("utf-8"),
        format="pdf",
        font_paths=_typeface(),
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        timestamp=0,
    )


@cache
def _typeface() -> Any:
    """Our typeface and none besides."""
    import typst

    folder = font_file(REGULAR).parent
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[folder])


def pdf(scenes: Sequence[Scene]) -> bytes:
    """Drawings as one PDF, each on a page of its own size."""
    sheets = [
        {"width": one.width_mm, "height": one.height_mm, "svg": picture(one), "alt": in_our_font(one.title)}
        for one in scenes
    ]
    return typeset(_DRAWING, {"title": sheets[0]["alt"] if sheets else "", "sheets": sheets})


def picture(scene: Scene) -> str:
    """A drawing as the typesetter takes it: SVG without a font of its own."""
    return svg(scene, embed_font=False, clean=in_our_font)


def in_our_font(text: str) -> str:
    """A text on one line, what cannot be drawn made visible."""
    return in_font(drawable(text))
