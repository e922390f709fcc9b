"""The page on which a person looks at what was read: the picture beside the rows, doubtful cells to accept or retype.

It stands alone: nothing is fetched, and its one script, which the page names by its
digest, sends nothing; it saves the corrected rows as a CSV file.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Iterator, Mapping
from importlib.resources import files
from typing import TYPE_CHECKING

from harnesscheck.read.pages.cells import Box
from harnesscheck.read.pages.pictures import Picture
from harnesscheck.read.pages.pinlist import ReadRow
from harnesscheck.read.pages.read import PagesRead
from harnesscheck.read.values import UNKNOWN
from harnesscheck.report.blocks.page import digest_of, element, page_head
from harnesscheck.write.pagerows import COLUMNS, doubt_words, ordered_rows, pin_texts, plug_headings

if TYPE_CHECKING:
    from lxml.etree import _Element

_WIDE = ("function", "note", "colour")
_HIDDEN = ("connector", "source", "note")
_HOW = (
    "A dashed cell is not known. Enter takes what was read (it stands greyed in the cell), or type what the picture "
    "shows; Enter goes on to the next. What is left blank stays not known. Save writes a new file beside your others."
)
Pages = Mapping[tuple[str, int], Picture]
"""Pages as they look, by file and number."""


def check_page(read: PagesRead, pictures: Pages) -> str:
    """The whole page; ``pictures`` are those of the pages by file and number."""
    from lxml.html import tostring

    style = "".join(_text(name) for name in ("blocks/style.css", "checkpage.css"))
    script = _text("checkpage.js")
    data = element("script", id="rows", type="application/json")
    data.text = json.dumps(_data(read), ensure_ascii=True, sort_keys=True).replace("<", "\\u003c")
    code = element("script")
    code.text = script
    body = element("body", *_body(read, pictures), data, code, class_="check")
    head = page_head("check what was read", style, f"script-src {digest_of(script)}", "img-src data:")
    root = element("html", head, body, lang="en")
    page: str = tostring(root, encoding="unicode", doctype="<!DOCTYPE html>")
    return page + "\n"


def _text(name: str) -> str:
    return files("harnesscheck.report").joinpath(*name.split("/")).read_text(encoding="utf-8")


def _body(read: PagesRead, pictures: Pages) -> Iterator[_Element]:
    frames = [_frame(number, key, picture) for number, (key, picture) in enumerate(pictures.items())]
    names = {key: f"page-{number}" for number, key in enumerate(pictures)}
    yield element("header", element("h1", "Check what was read"), element("p", _HOW))
    shown = [element("div", *frames)] if frames else []
    yield element("main", element("div", *shown, element("div", *_plugs(read, pictures, names)), class_="pages"))
    count = element("p", "", id="left", role="status")
    save = element("button", "Save the corrected rows", id="save", type="button")
    yield element("div", count, save, class_="bar")


def _frame(number: int, key: tuple[str, int], picture: Picture) -> _Element:
    words = f"{key[0]}, page {key[1]}" if key[1] else key[0]
    uri = "data:image/png;base64," + base64.b64encode(picture.png).decode()
    image = element("div", element("img", src=uri, alt=f"The picture of {words}"), class_="frame", id=f"page-{number}")
    return element("div", image, class_="shown", tabindex="0", role="region", aria_label=words)


def _plugs(read: PagesRead, pictures: Pages, names: Mapping[tuple[str, int], str]) -> Iterator[_Element]:
    rows = ordered_rows(read)
    texts = pin_texts(read)
    for plug in dict.fromkeys(row.connector for row in rows):
        own = [at for at, row in enumerate(rows) if row.connector == plug]
        columns = [
            name
            for name in COLUMNS
            if name not in _HIDDEN and any(texts[at].get(name) or name in rows[at].doubts for at in own)
        ]
        head = element("tr", *(element("th", name, scope="col") for name in columns))
        body = [_line(at, rows[at], texts[at], columns, pictures, names) for at in own]
        made = element("table", element("thead", head), element("tbody", *body))
        yield element("h2", f"Plug {plug}")
        yield element("div", made, class_="box", tabindex="0", role="region", aria_label=f"Rows of {plug}")


def _line(
    at: int, row: ReadRow, texts: Mapping[str, str], columns: list[str], pictures: Pages,
    names: Mapping[tuple[str, int], str],
) -> _Element:  # fmt: skip
    cells = []
    for name in columns:
        cell = row.cells.get(name)
        key = (row.file, row.page)
        said = {"data_page": names.get(key, "")}
        if cell is not None and cell.box is not None and key in pictures:
            said["data_box"] = json.dumps(_percent(cell.box, pictures[key]))
        if cell is not None and cell.why:
            said |= {"class_": "doubt", "data_reading": cell.written, "placeholder": cell.written}
        label = f"{name} of {row.connector}:{texts['cavity']}"
        value = "" if name in row.doubts else texts.get(name, "")
        field = element("input", name=name, value=value, data_row=str(at), aria_label=label, autocomplete="off", **said)
        why = (
            [element("span", doubt_why(cell.why, cell.readings), class_="why")] if cell is not None and cell.why else []
        )
        cells.append(element("td", field, *why, class_="wide" if name in _WIDE else ""))
    return element("tr", *cells)


def doubt_why(why: str, readings: tuple[str, ...]) -> str:
    """Why a cell is not known, and how else it was read."""
    return f"{why}; or {', '.join(readings)}" if readings else why


def _percent(box: Box, picture: Picture) -> list[float]:
    wide, high = 100 / picture.width, 100 / picture.height
    return [
        round(box.left * wide, 2),
        round(box.top * high, 2),
        round(box.right * wide, 2),
        round(box.bottom * high, 2),
    ]


def _data(read: PagesRead) -> dict[str, object]:
    """What the script needs to write the rows anew."""
    rows = []
    for row, texts in zip(ordered_rows(read), pin_texts(read), strict=True):
        doubts = {name: doubt_words(name, cell.written, cell.readings) for name, cell in row.doubts.items()}
        parts = texts["note"].split("; ") if texts["note"] else []
        kept = "; ".join(part for part in parts if part not in "; ".join(doubts.values()))
        rows.append({"texts": texts, "doubts": doubts, "note": kept})
    return {"columns": list(COLUMNS), "rows": rows, "heads": plug_headings(read), "unknown": UNKNOWN}
