"""The report page in a real browser: no request, no error, keyboard, phone, paper, no serious accessibility fault."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pdfplumber
import pytest
from builders.browse import hostile, opened_in, started
from builders.demo import DEMO, RICH, demo_study, study_at
from builders.files import good

from harnesscheck.align import align
from harnesscheck.compare.compare import Comparison, compare
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure, read_netlist
from harnesscheck.report.blocks.page import page_text
from harnesscheck.report.document import comparison_inputs
from harnesscheck.report.folder import comparison_folder

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


def compared(donor: Study, shell: Study) -> Comparison:
    """Two cars, aligned and compared."""
    return compare(donor, shell, align(donor, shell))


def files_of(result: Comparison) -> dict[str, bytes]:
    """The page and the drawings of a compare."""
    report, files, _ = comparison_folder(result, comparison_inputs(result))
    return {"report.html": page_text(report).encode("utf-8"), **files}


@pytest.fixture(scope="module")
def contents() -> dict[str, bytes]:
    """The files of the demo's report."""
    return files_of(compared(demo_study("donor"), demo_study("shell")))


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for all tests here."""
    with started() as one:
        yield one


@pytest.fixture
def opened(browser: Browser, contents: dict[str, bytes], tmp_path: Path) -> Iterator[tuple[Page, list[str]]]:
    """The page on a desk, and everything the browser had to say about it."""
    yield from opened_in(browser, contents["report.html"], tmp_path, 1200)


def test_nothing_is_requested_and_nothing_complained_of(opened: tuple[Page, list[str]]) -> None:
    """One file, no network, no script, and a policy the browser agrees with."""
    page, said = opened

    assert said == []
    assert page.locator("script").count() == 0
    assert "default-src 'none'" in (page.locator("meta[http-equiv]").get_attribute("content") or "")


def test_cards_open_by_keyboard(opened: tuple[Page, list[str]]) -> None:
    """Enter on a summary opens its card."""
    page, _ = opened
    card = page.locator("details.card.dead").first
    assert card.get_attribute("open") is None
    card.locator("summary").focus()
    page.keyboard.press("Enter")

    assert card.get_attribute("open") is not None


@pytest.mark.parametrize("width", [320, 390, 768, 1200])
def test_no_sideways_scroll(browser: Browser, contents: dict[str, bytes], tmp_path: Path, width: int) -> None:
    """From a small phone to a desk the page itself never scrolls sideways."""
    for page, _ in opened_in(browser, contents["report.html"], tmp_path, width):
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")

        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.fixture(scope="module")
def small() -> bytes:
    """The page of two small cars with faults of every sort: the same blocks as the demo's, in a quarter of the size."""
    return files_of(compared(*(study_at(RICH / f"rich-{car}.xml") for car in ("donor", "shell"))))["report.html"]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_serious(browser: Browser, small: bytes, tmp_path: Path, scheme: str) -> None:
    """WCAG 2.2 AA by axe-core, in both settings of the device, every card open."""
    from axe_core_python.sync_playwright import Axe

    for page, _ in opened_in(browser, small, tmp_path, 1000, color_scheme=scheme, bypass_csp=True):
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        only = ["color-contrast"] if scheme == "dark" else None  # nothing else is another in the dark
        found = Axe().run(page, options={"runOnly": only} if only else None)["violations"]

        bad = [(row["id"], row["nodes"][0]["html"][:200]) for row in found if row["impact"] in ("serious", "critical")]
        assert bad == []


def test_paper_shows_every_card(opened: tuple[Page, list[str]]) -> None:
    """In print no card is closed and nothing sticks out of the page."""
    page, _ = opened
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 690, "height": 1000})  # A4 less its margins, at 96 dots an inch

    assert page.evaluate(
        "[...document.querySelectorAll('details.card > p:not(.screen)')].every((one) => one.offsetHeight > 10)"
    )
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    with pdfplumber.open(io.BytesIO(page.pdf(prefer_css_page_size=True))) as paper:
        texts = [sheet.extract_text() for sheet in paper.pages]
        least = min(char["size"] for sheet in paper.pages for char in sheet.chars if char["text"].strip())
    assert len(texts) <= 20
    assert least >= 8  # points, 2.8 mm
    assert "At a glance" in texts[0]
    assert any("burns or hurts somebody" in text for text in texts[:3])  # what comes after two pages of answer


def test_on_a_phone_a_face_is_a_grid_that_flows(browser: Browser, contents: dict[str, bytes], tmp_path: Path) -> None:
    """At 360 pixels no picture of a plug is cut: its contacts stand as cells, each mark in words and letter."""
    for page, said in opened_in(browser, contents["report.html"], tmp_path, 360):
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        assert not page.locator("figure.gridded").first.is_visible()
        grid = page.locator("details[open] .flow").first
        assert grid.is_visible()
        assert grid.evaluate("one => one.scrollWidth <= one.clientWidth")
        assert page.locator(".flow li:not(.plain) .sign").count() > 0
        assert said == []


def test_every_finding_is_on_the_page_and_bad_ones_have_a_drawing(contents: dict[str, bytes]) -> None:
    """A card a finding, and beside each plug with something dead or worse its drawing."""
    result = compared(demo_study("donor"), demo_study("shell"))
    html = contents["report.html"].decode()
    drawn = html.count("<figure")

    for finding in result.findings:
        if finding.severity.word != "note":
            assert f'id="f-{finding.id}"' in html
    places = {
        (f.donor.connector, f.shell.connector) for f in result.findings if f.severity.word in ("injury", "damage")
    }
    assert drawn >= len(places)
    assert len(contents["report.html"]) <= 4 * 1024 * 1024


def test_ids_on_the_page_are_unique(contents: dict[str, bytes]) -> None:
    """Drawings bring ids along; none may clash with another's."""
    ids = re.findall(r'\bid="([^"]+)"', contents["report.html"].decode())

    assert len(ids) == len(set(ids))


def test_injected_markup_stays_text(browser: Browser, tmp_path: Path) -> None:
    """Whatever stands in a name, a place or a function is shown, never run."""
    cars = (good(read_netlist(RICH / f"rich-{car}.xml")) for car in ("donor", "shell"))
    files = files_of(compared(*(Study(configure(hostile(car))) for car in cars)))
    for page, said in opened_in(browser, files["report.html"], tmp_path, 1000):
        assert said == []
        assert "owned" not in page.title() or "<script>" in page.title()
        assert page.locator("script").count() == 0 and page.locator("img").count() == 0
    assert all(b"<script" not in data.lower() for data in files.values())


def test_the_same_bytes_twice(contents: dict[str, bytes]) -> None:
    """Nothing on the page or in a drawing changes from run to run."""
    again = files_of(compared(*(study_at(DEMO / f"{car}.xml") for car in ("donor", "shell"))))

    assert again == contents
