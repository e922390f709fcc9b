"""The page for the bench and under the car: plugs, work, readings and checks by place, ticked with one hand.

It stands alone: nothing is fetched but photos that lie beside it, and its one script, which the page names by its
digest, sends nothing. What is ticked stays in the browser's own store and goes out as JSON (``read.benchfile``).
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from importlib.resources import files
from typing import TYPE_CHECKING

from harnesscheck.report.benchdata import BenchStep, bench_data
from harnesscheck.report.blocks.page import digest_of, element, page_head
from harnesscheck.report.ringout import RingoutReport
from harnesscheck.report.stops import stop_block
from harnesscheck.report.trace_words import CAUTIONS

if TYPE_CHECKING:
    from lxml.etree import _Element

FILE = "bench.html"


def bench_page(report: RingoutReport, digest: str, work: Sequence[BenchStep] = ()) -> bytes:
    """The whole page of one car; ``digest`` is that of the files it was made from, ``work`` the steps of a plan."""
    from lxml.html import tostring

    style = "".join(_text(name) for name in ("blocks/style.css", "benchpage.css"))
    script = _text("benchpage.js")
    data = element("script", id="bench", type="application/json")
    data.text = json.dumps(
        bench_data(report, digest, work), ensure_ascii=True, sort_keys=True, separators=(",", ":")
    ).replace("<", "\\u003c")
    code = element("script")
    code.text = script
    study = report.ringout.looms.study
    stops = stop_block(study)
    body = element(
        "body",
        _header(study.vehicle.name, digest, bool(work)),
        element("main", *_cautions([*(stops.texts if stops is not None else ()), *CAUTIONS]), *_main()),
        _net(),
        _bar(),
        data,
        code,
        class_="bench",
    )
    head = page_head(f"bench, {study.vehicle.name}", style, f"script-src {digest_of(script)}", "img-src 'self' file:")
    text: str = tostring(element("html", head, body, lang="en"), encoding="unicode", doctype="<!DOCTYPE html>")
    return (text + "\n").encode("utf-8")


def _text(name: str) -> str:
    return files("harnesscheck.report").joinpath(*name.split("/")).read_text(encoding="utf-8")


def _header(name: str, digest: str, planned: bool) -> _Element:
    what = "work, ring-out and first power-up" if planned else "ring-out and first power-up"
    return element(
        "header",
        element("p", f"{what[0].upper()}{what[1:]}, place by place", class_="kicker"),
        element("h1", name),
        element("p", f"Made from inputs {digest}. An aid, not an approval.", class_="soft"),
    )


def _cautions(texts: Sequence[str]) -> Iterator[_Element]:
    summary = element("summary", element("b", "Before you touch anything"))
    inside = [element("p", text) for text in texts]
    yield element("details", summary, *inside, class_="card damage", id="cautions", open="open")


def _main() -> Iterator[_Element]:
    yield element("section", id="changed", hidden="hidden", aria_label="What changed since the last page")
    field = element("input", type="search", id="search", autocomplete="off", spellcheck="false", enterkeyhint="search")
    yield element("p", element("label", "Search: plug, colour, circuit, word", for_="search"), field, class_="search")
    yield element("p", id="hits", role="status", class_="soft")
    yield element("ul", id="found", hidden="hidden")
    yield element("div", id="places")
    yield element("noscript", element("p", "This page needs its script; the report beside it does not."))


def _net() -> _Element:
    close = element("button", "Close", type="button", id="net-close")
    head = element("div", element("h2", "", id="net-name"), close, class_="net-head")
    return element(
        "section",
        head,
        element("ul", id="net-ends"),
        id="net",
        hidden="hidden",
        aria_labelledby="net-name",
        tabindex="-1",
    )


def _bar() -> _Element:
    """What is always at the thumb: how far, saved or not, undo, and what is seldom wanted."""
    far = element(
        "p", element("span", "", id="progress", role="status"), element("span", "", id="saved", role="status")
    )
    undo = element("button", "Undo", type="button", id="undo", disabled="disabled")
    more = element(
        "details",
        element("summary", "More"),
        element(
            "div",
            element("button", "Export", type="button", id="export"),
            element("label", "Import", element("input", type="file", id="import", accept=".json,application/json")),
            element("p", "", id="said", role="status"),
        ),
        id="more",
    )
    return element("div", far, undo, more, class_="bar", role="region", aria_label="Progress")
