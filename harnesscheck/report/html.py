"""Building blocks of a page that stands alone: one HTML text, nothing fetched, no script.

A page is built as a tree by lxml, which escapes every text; drawings come as
finished SVG elements.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable, Mapping, Sequence
from importlib.resources import files
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lxml.etree import _Element

_SHORT = re.compile(r"\S{1,10}|[+-]?[0-9][0-9.,]* [a-zA-Z%]{1,2}")


def element(tag: str, *content: Any, **attributes: str) -> _Element:
    """An element: texts and elements in order; ``class_`` and ``for_`` lose their underscore."""
    from lxml import etree

    made = etree.Element(tag, {name.rstrip("_").replace("_", "-"): value for name, value in attributes.items()})
    for item in content:
        if not isinstance(item, str):
            made.append(item)
        elif len(made):
            made[-1].tail = (made[-1].tail or "") + clean(item)
        else:
            made.text = (made.text or "") + clean(item)
    return made


def clean(text: str) -> str:
    """Control characters, which no HTML text may hold, become a visible mark."""
    return "".join(ch if ch in "\n\t" or (ch.isprintable() or ch == "\u00a0") else "\ufffd" for ch in text)


def page_text(title: str, parts: Iterable[_Element], font_css: str = "") -> str:
    """The whole page: the project's style, a policy that lets nothing else in, the parts of the body."""
    from lxml.html import tostring

    style = (files("harnesscheck.report") / "style.css").read_text(encoding="utf-8") + font_css
    root = element("html", _head(title, style), element("body", *parts), lang="en")
    text: str = tostring(root, encoding="unicode", doctype="<!DOCTYPE html>", pretty_print=False)
    return text + "\n"


def _head(title: str, style: str) -> _Element:
    sheet = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{sheet}'; font-src data:; base-uri 'none'; form-action 'none'"
    return element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=policy),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", f"harnesscheck: {title}"),
        element("style", style),
    )


def row(cell: str, *content: Any) -> _Element:
    """A row of ``th`` or ``td`` cells, each a text or an element."""
    return element("tr", *(element(cell, one, scope="col") if cell == "th" else data(one) for one in content))


def data(content: Any) -> _Element:
    """A cell; a short word, or a figure with its unit, is never broken."""
    if isinstance(content, str) and _SHORT.fullmatch(content):
        return element("td", content, class_="n")
    return element("td", content)


def table(label: str, head: Sequence[str], rows: Iterable[_Element], class_: str = "scroll") -> _Element:
    """A table in a box that scrolls by itself where the screen is narrower; ``label`` names it to a reader aloud."""
    made = element("table", element("thead", row("th", *head)), element("tbody", *rows))
    return element("div", made, class_=class_, tabindex="0", role="region", aria_label=label)


def rows_of(columns: Sequence[str], rows: Iterable[Mapping[str, str]]) -> list[_Element]:
    """Rows of text as cells of a table."""
    return [row("td", *(one.get(name, "") for name in columns)) for one in rows]


def listing(texts: Iterable[str], tag: str = "ul") -> _Element:
    """A list, one item a text."""
    return element(tag, *(element("li", text) for text in texts))


def figure(caption: str, svg: str) -> _Element:
    """A drawing: SVG text without a font of its own, and what it shows."""
    from lxml import etree

    parser = etree.XMLParser(resolve_entities=False, no_network=True)
    drawing = etree.fromstring(svg.encode("utf-8"), parser)
    return element(
        "figure", drawing, element("figcaption", caption), tabindex="0", role="group", aria_label=clean(caption)
    )
