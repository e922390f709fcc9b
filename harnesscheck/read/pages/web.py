"""The tables of a web page as grids: cells that span are written out; scripts and links are ignored."""

from __future__ import annotations

from typing import Any

from harnesscheck.model.places import Place
from harnesscheck.read.faults import Faults
from harnesscheck.read.limits import Limits
from harnesscheck.read.pages.cells import EMPTY, PageCell, PageGrid, PageRow, SourcePage

_MOST_TABLES = 500
_MOST_SPAN = 200
_MOST_AROUND = 5  # elements around a table that are looked before
_TITLES = ("h1", "h2", "h3", "h4", "h5", "h6", "p", "caption", "div", "b", "strong")
_SKIPPED = ("script", "style", "template", "noscript")


def html_page(data: bytes, name: str, faults: Faults, limits: Limits) -> SourcePage:
    """A web page's tables that hold no other tables."""
    from lxml import etree, html

    try:
        parser = html.HTMLParser(no_network=True, huge_tree=False, remove_comments=True, encoding=_encoding(data))
        root = html.document_fromstring(data, parser=parser)
    except (etree.LxmlError, ValueError, AssertionError) as error:
        faults.stop(Place(name), " ".join(str(error).split())[:80] or "no page", "a web page that is not damaged")
    tables = [one for one in root.iter("table") if next(one.iterdescendants("table"), None) is None]
    grids = [_grid(one, name, faults, limits) for one in tables[:_MOST_TABLES]]
    return SourcePage(name, 0, tuple(grids), len(grids))


def _encoding(data: bytes) -> str | None:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return None
    return "utf-8"


def _grid(table: Any, name: str, faults: Faults, limits: Limits) -> PageGrid:
    rows: list[PageRow] = []
    hanging: dict[int, tuple[int, PageCell]] = {}
    left = limits.max_cells // 100
    for line, row in enumerate(table.iter("tr"), start=1):
        cells: list[PageCell] = []
        for one in row.iterchildren("td", "th"):
            _fill(cells, hanging)
            wide, high = _span(one, "colspan"), _span(one, "rowspan")
            cell = PageCell(_text(one), wide=wide)
            for at in range(wide):
                if high > 1:
                    hanging[len(cells)] = (high - 1, PageCell(cell.text, spans=True, wide=wide))
                cells.append(cell if not at else PageCell(cell.text, wide=wide))
        _fill(cells, hanging)
        left -= len(cells)
        if left < 0 or len(cells) > limits.max_columns:
            faults.stop(Place(name), "a table with more cells", f"at most {limits.max_cells // 100} cells in a page")
        rows.append(PageRow(line, tuple(cells) or (EMPTY,)))
    return PageGrid(name, 0, tuple(rows), _above(table), ruled=True)


def _fill(cells: list[PageCell], hanging: dict[int, tuple[int, PageCell]]) -> None:
    """Put in the cells that come down from the row above."""
    while len(cells) in hanging:
        more, cell = hanging.pop(len(cells))
        if more > 1:
            hanging[len(cells)] = (more - 1, cell)
        cells.append(cell)


def _span(cell: Any, name: str) -> int:
    text = cell.get(name, "1").strip()
    return min(max(1, int(text)), _MOST_SPAN) if text.isdigit() and len(text) < 5 else 1


def _text(cell: Any) -> str:
    parts: list[str] = []
    for one in cell.iter():
        if one.tag in _SKIPPED or one.tag == "sup":
            parts.append((one.tail or "") if one is not cell else "")
            continue
        parts.append((" " if one.tag in ("br", "p", "li", "div") else "") + (one.text or ""))
        if one is not cell:
            parts.append(one.tail or "")
    return " ".join("".join(parts).split()) if len(cell) else " ".join((cell.text or "").split())


def _above(table: Any) -> tuple[str, ...]:
    """The caption and the texts that stand before a table, the nearest last."""
    found = [" ".join(caption.text_content().split()) for caption in table.iterchildren("caption")]
    here = table
    for _ in range(_MOST_AROUND):
        before = here.getprevious()
        while before is not None and len(found) < 4 and before.tag != "table":
            if before.tag in _TITLES and next(before.iter("table"), None) is None:
                found += [text] if (text := " ".join(before.text_content().split())) else []
            before = before.getprevious()
        here = here.getparent()
        if before is not None or here is None or here.tag == "body" or len(found) >= 4:
            break
    return tuple(reversed(found))
