"""The page itself: one document with its style and script inside, allowed to ask its own address and no other."""

from __future__ import annotations

import json
from collections.abc import Sequence
from importlib.resources import files
from typing import Any

from harnesscheck.report.blocks.page import digest_of, element
from harnesscheck.report.blocks.vocabulary import visible
from harnesscheck.serve.tables import SavedTable

_HINTS = {
    "donor": "1 red/yellow permanent feed\n2 brown ground\n3 violet/red accessory feed",
    "shell": "1 red/yellow permanent feed\n2 brown ground\n3 grey/orange dash illumination",
}


def page_text(folder: str, plugs: Sequence[SavedTable | None], cars: Sequence[str]) -> tuple[str, str]:
    """The page, and the policy it is served with (Content-Security-Policy, W3C, level 3).

    ``folder`` is what is said of where things are saved, ``plugs`` are the tables to begin with, ``cars`` the
    names of the donor and the shell that were named at the start.
    """
    from lxml.html import tostring

    style = _file("report.blocks", "style.css") + _file("serve", "page.css")
    script = _file("serve", "page.js")
    begin = {"plugs": [_table(one) for one in plugs], "cars": list(cars)}
    body = element(
        "body",
        _header(folder),
        element("main", _two_plugs(), _two_cars(cars)),
        _footer(),
        element("script", json.dumps(begin).replace("<", "\\u003c"), type="application/json", id="begin"),
        element("script", script),
    )
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", "harnesscheck: two plugs, two cars"),
        element("style", style),
    )
    text: str = tostring(element("html", head, body, lang="en"), encoding="unicode", doctype="<!DOCTYPE html>")
    parts = ("default-src 'none'", f"style-src {digest_of(style)}", f"script-src {digest_of(script)}")
    policy = "; ".join(
        (*parts, "connect-src 'self'", "base-uri 'none'", "form-action 'none'", "frame-ancestors 'none'")
    )
    return text + "\n", policy


def _file(room: str, name: str) -> str:
    return files(f"harnesscheck.{room}").joinpath(name).read_text(encoding="utf-8")


def _table(saved: SavedTable | None) -> dict[str, str] | None:
    return {"name": saved.name, "text": visible(saved.text), "digest": saved.digest} if saved is not None else None


def _header(folder: str) -> Any:
    where = element("p", f"Nothing leaves this machine. What you save goes into the folder {folder}.", class_="soft")
    stop = element("button", "Stop", type="button", id="stop", title="End the program behind this page")
    return element("header", element("h1", "Two plugs, two cars"), where, element("p", stop))


def _two_plugs() -> Any:
    boxes = element("div", *(_plug(side) for side in _HINTS), class_="sides")
    answer = element("div", role="status", aria_live="polite", id="plugs-sentence", class_="sentence")
    return element(
        "section",
        element("h2", "Two plugs"),
        element(
            "p",
            "Type or paste each plug, a line for each cavity: its number, the colour, what it is for. A table with "
            "headings, a manual's page or its picture dropped on a box does as well.",
        ),
        boxes,
        answer,
        element("div", id="plugs-found"),
        id="plugs",
    )


def _plug(side: str) -> Any:
    box = element("textarea", id=f"plug-{side}", rows="9", spellcheck="false", placeholder=_HINTS[side])
    name = element("input", type="text", id=f"name-{side}", value=f"plug-{side}.csv", spellcheck="false")
    return element(
        "div",
        element("label", f"The {side}'s plug", for_=f"plug-{side}"),
        box,
        element(
            "p",
            element("label", "File", for_=f"name-{side}"),
            name,
            element("button", "Save", type="button", id=f"save-{side}", aria_label=f"Save the {side}'s plug"),
            class_="save",
        ),
        element("p", id=f"saved-{side}", role="status", aria_live="polite", class_="soft"),
        class_="side drop",
        data_plug=side,
    )


def _two_cars(cars: Sequence[str]) -> Any:
    named = dict(zip(_HINTS, cars, strict=False))
    zones = element("div", *(_car(side, named.get(side, "")) for side in _HINTS), class_="sides")
    buttons = element(
        "p",
        element("button", "Compare", type="button", id="compare"),
        element("button", "Which harnesses to swap?", type="button", id="decide"),
        element("button", "Stop this work", type="button", id="halt", hidden="hidden"),
    )
    return element(
        "section",
        element("h2", "Two cars"),
        element("p", "Drop a netlist on each side: an XML file, a workbook, a CSV file, or a folder of tables."),
        zones,
        buttons,
        element("p", id="cars-said", role="status", aria_live="polite", class_="sentence"),
        element("ul", id="cars-faults"),
        element("div", id="cars-found"),
        id="cars",
    )


def _car(side: str, named: str) -> Any:
    return element(
        "div",
        element("h3", f"The {side}"),
        element("p", named or "nothing yet", id=f"car-{side}", class_="soft"),
        element("label", "Files", for_=f"files-{side}"),
        element("input", type="file", id=f"files-{side}", multiple="multiple"),
        element("label", "or a folder", for_=f"folder-{side}"),
        element("input", type="file", id=f"folder-{side}", webkitdirectory="webkitdirectory"),
        class_="side drop",
        data_car=side,
    )


def _footer() -> Any:
    words = (
        "An aid, not an approval. Battery off before any plug is opened, negative first; restraint and high-voltage "
        "wiring is for the licensed person, by the maker's procedure."
    )
    return element("footer", element("p", words))
