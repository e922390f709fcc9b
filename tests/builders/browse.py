"""What tests of pages share: a browser, a page opened in it with all that it says, cars full of hostile text."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from harnesscheck.model.records import Netlist

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
HOSTILE = "<script>document.title='owned'</script><img src=x onerror=alert(1)>\"'&]]>"
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-sync", "--no-first-run"]


@contextmanager
def started() -> Iterator[Browser]:
    """Chromium from the machine; .ci/run brings it, elsewhere the tests that need it are skipped."""
    if CHROMIUM is None:
        assert not os.environ.get("CI"), "no Chromium on PATH"
        pytest.skip("no Chromium on PATH")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


def opened_in(browser: Browser, html: bytes, folder: Path, width: int, **more: Any) -> Iterator[tuple[Page, list[str]]]:
    file = folder / "report.html"
    file.write_bytes(html)
    page = browser.new_page(viewport={"width": width, "height": 900}, **more)
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: said.append(request.url) if request.url != file.as_uri() else None)
    page.goto(file.as_uri())
    yield page, said
    page.close()


def hostile(netlist: Netlist) -> Netlist:
    """Every free text of a netlist replaced by an attack."""
    free = ("name", "at", "function", "system", "keyway", "housing_colour", "vehicle", "curve", "part_number")

    def spoilt(row: Any) -> Any:
        named = {slot: f"{HOSTILE}{getattr(row, slot)}" for slot in free if getattr(row, slot, None)}
        if named.get("system"):
            del named["system"]  # a word the checks read
        return replace(row, **named, common=replace(row.common, note=HOSTILE))

    tables = {
        slot: tuple(spoilt(row) for row in getattr(netlist, slot))
        for slot in ("circuits", "harnesses", "components", "connectors", "pins", "grounds", "splices")
    }
    return replace(netlist, header=spoilt(netlist.header), **tables)
