"""Drawings as a page takes them: no footer of their own, ids that differ, one font for all."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from harnesscheck.draw.page import FOOTER_MM, MARGIN_MM
from harnesscheck.draw.scene import Scene, bounds, texts
from harnesscheck.draw.svg import font_css, svg
from harnesscheck.report.blocks.vocabulary import Figure


def figure(scene: Scene, caption: str, number: int) -> Figure:
    """A drawing of a page; ``number`` tells its ids from those of the others there."""
    return Figure(caption, svg(without_footer(scene), prefix=f"s{number}-", embed_font=False))


def page_font(scenes: Iterable[Scene]) -> str:
    """The style that brings the font of these drawings, cut down to what they show."""
    shown = [text.text for scene in scenes for text in texts(scene)]
    return font_css(shown) if shown else ""


def without_footer(scene: Scene) -> Scene:
    """A sheet cut off below its drawing, for a page that has a footer of its own."""
    floor = scene.height_mm - MARGIN_MM - FOOTER_MM
    items = tuple(item for item in scene.items if bounds(item).top < floor)
    bottom = max((bounds(item).bottom for item in items), default=floor)
    return replace(scene, items=items, height_mm=round(min(scene.height_mm, bottom + MARGIN_MM), 2))
