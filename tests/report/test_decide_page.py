"""The page of a decision: what stands on it, and in a real browser on a desk, a phone and paper."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from builders.browse import hostile, opened_in, started
from builders.decided import decided_vans
from builders.lampcars import pair

from harnesscheck.compare.compare import compare
from harnesscheck.decide.decide import DecisionQuestion
from harnesscheck.decide.decide import decide as decide_on
from harnesscheck.decide.hours import Estimate
from harnesscheck.decide.plan import WorkStep
from harnesscheck.decide.work import Repair
from harnesscheck.model.edits import AddLead, Conductor, Lay
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure
from harnesscheck.report.blocks.page import page_text
from harnesscheck.report.decide import Decided
from harnesscheck.report.decide_folder import decision_folder
from harnesscheck.trade.sizes import Size

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

A4_WIDTH_PX = 690  # less its margins, at 96 dots an inch
INPUTS = {
    name: {"vehicle": name, "model-year": "", "file": f"{name}.xml", "digest": sign * 12}
    for name, sign in (("donor", "d"), ("shell", "5"))
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What the command wrote for the example."""
    ran = decided_vans(tmp_path_factory)
    assert ran.status == 0, ran.err
    return ran.folder / "decision"


@pytest.fixture(scope="module")
def html(folder: Path) -> bytes:
    """The example's page."""
    return (folder / "report.html").read_bytes()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for all tests here."""
    with started() as one:
        yield one


@pytest.fixture
def opened(browser: Browser, html: bytes, tmp_path: Path) -> Iterator[tuple[Page, list[str]]]:
    """The page on a desk, and everything the browser had to say about it."""
    yield from opened_in(browser, html, tmp_path, 1200)


def rows_of(file: Path) -> list[dict[str, str]]:
    with file.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


# -- what stands on it


def test_the_answer_and_all_the_work_are_on_the_page(opened: tuple[Page, list[str]], folder: Path) -> None:
    """The answer is the heading; every step has a box and a line for initials; cautions stand before the work."""
    page, _ = opened
    answer = json.loads((folder.parent / "answer.json").read_text(encoding="utf-8"))
    steps = [step["id"] for step in answer["plan"]["steps"]]
    text = page.inner_text("body")

    assert page.inner_text("h1") in answer["verdict"]["sentence"]
    assert "Proven on paper, wiring only" in page.inner_text(".proof")
    assert 1 <= page.locator("#why li").count() <= 5
    assert page.locator("#side thead th").count() - 1 == len(answer["alternatives"]) + 1
    assert all(f"[{step}]" in page.inner_text("#work") for step in steps)
    assert page.locator("#work .tick").count() == page.locator("#work .fill").count() == len(steps)
    assert text.index("Battery off, negative first") < text.index("Tick and sign each step")
    for word in ("pull.csv", "shopping.csv", "strip.csv", "ring-out-first.csv", "unplug-and-label.csv"):
        assert word in (page.text_content("#lists") or "")
    assert re.search(r"from inputs [0-9a-f]{12}, [0-9a-f]{12} and [0-9a-f]{12}\b", page.inner_text("footer"))


def test_every_harness_is_lettered_by_its_source(folder: Path) -> None:
    """A D for every harness from the donor, an S for each of the shell's, and the meaning of both."""
    answer = json.loads((folder.parent / "answer.json").read_text(encoding="utf-8"))
    sources = list(answer["plan"]["harness"].values())
    drawing = (folder / "overview.svg").read_text(encoding="utf-8")
    letters = re.findall(r"<text[^>]*>(D|S|N)</text>", drawing)

    assert letters.count("D") == sources.count("donor") + 1  # and one in the legend
    assert letters.count("S") == sources.count("shell") + 1
    assert "from the donor" in drawing and "the shell&#39;s own" in drawing.replace("'", "&#39;")


def test_lists_on_the_page_are_those_of_the_files(opened: tuple[Page, list[str]], folder: Path) -> None:
    """As many rows under each heading as in its file."""
    page, _ = opened
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    for name in ("pull", "shopping", "strip", "ring-out-first", "unplug-and-label"):
        shown = page.locator(f'[aria-label="{name.replace("-", " ").capitalize()}"] tbody tr').count()
        assert shown == len(rows_of(folder / f"{name}.csv")), name


def small(seed: int = 5, *, spoilt: bool = False) -> Decided:
    """A small pair of cars decided, their texts attacks where they are to be."""
    donor, shell, pairs = pair(seed)
    if spoilt:
        donor, shell = (Study(configure(hostile(one.vehicle.netlist))) for one in (donor, shell))
    decision = decide_on(DecisionQuestion(donor, shell, pairs, kept=2, electrical=False))
    return Decided(decision, donor, shell, pairs, 2)


def files_of(decided: Decided) -> dict[str, bytes]:
    """The page and the files beside it."""
    report, files, _ = decision_folder(decided, INPUTS)
    return {"report.html": page_text(report).encode("utf-8"), **files}


def with_lead(decided: Decided) -> Decided:
    """The same with an adapter lead of two wires among the work."""
    best = decided.decision.best
    half = next(iter(best.car.mate_of))
    wires = (
        Lay("1", "2", Conductor(circuit="FP", size=Size("1.5", 1.5), length=0.3)),
        Lay("10", "3", Conductor(circuit="GND", length=0.3)),
    )
    edit = AddLead("lead-one", half, best.car.mate_of[half], wires, "adapter lead one")
    repair = Repair("lead", "Make an adapter lead", (edit,), connector=half)
    plan = replace(
        best, steps=(*best.steps, WorkStep("lead-one", "Make it", Estimate(1, 1, 1), "on the bench", (), repair))
    )
    return replace(decided, decision=replace(decided.decision, plans=(plan, *decided.decision.plans[1:])))


def test_adapter_leads_have_a_build_sheet(browser: Browser, tmp_path: Path) -> None:
    """Cavity to cavity with circuit, size and length; what is not known is a question mark; the same in its file."""
    files = files_of(with_lead(small()))
    for page, _ in opened_in(browser, files["report.html"], tmp_path, 1000):
        rows = page.locator("#leads tbody tr")
        cells = [rows.nth(at).locator("td").all_inner_texts()[:6] for at in range(rows.count())]
    (tmp_path / "leads.csv").write_bytes(files["adapter-leads.csv"])

    assert cells == [["1", "2", "FP", "?", "1.5 mm²", "0.3 m"], ["10", "3", "GND", "?", "?", "0.3 m"]]
    assert [row["from-cavity"] for row in rows_of(tmp_path / "leads.csv")] == ["1", "10"]


def test_what_is_left_wrong_stands_first(browser: Browser, tmp_path: Path) -> None:
    """A plan that is not proven says so in its frame, and lists every fault before the reasons."""
    decided = not_mended(small())
    files = files_of(decided)
    for page, _ in opened_in(browser, files["report.html"], tmp_path, 1000):
        assert page.locator("#left .card").count() == len(decided.decision.best.left) > 0
        assert "ot proven" in page.inner_text(".proof.bad")
        assert page.inner_text("main").startswith("What is left wrong")


def not_mended(decided: Decided) -> Decided:
    """The same, with all that differs between the two cars left as it is."""
    found = compare(decided.donor, decided.shell, decided.pairs, electrical=False).findings
    worst = replace(decided.decision.best, findings=found)
    return replace(decided, decision=replace(decided.decision, plans=(worst,)))


# -- in a browser


def test_nothing_is_requested_and_nothing_complained_of(opened: tuple[Page, list[str]]) -> None:
    """One file, no network, no script, and a policy the browser agrees with."""
    page, said = opened

    assert said == []
    assert page.locator("script").count() == 0
    assert "default-src 'none'" in (page.locator("meta[http-equiv]").get_attribute("content") or "")


@pytest.mark.parametrize("width", [320, 390, 768, 1200])
def test_no_sideways_scroll(browser: Browser, html: bytes, tmp_path: Path, width: int) -> None:
    """From a small phone to a desk the page itself never scrolls sideways."""
    for page, _ in opened_in(browser, html, tmp_path, width):
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")

        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_serious(browser: Browser, html: bytes, tmp_path: Path, scheme: str) -> None:
    """WCAG 2.2 AA by axe-core, in both settings of the device, every card open."""
    from axe_core_python.sync_playwright import Axe

    for page, _ in opened_in(browser, html, tmp_path, 1000, color_scheme=scheme, bypass_csp=True):
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        only = ["color-contrast"] if scheme == "dark" else None  # nothing else is another in the dark
        found = Axe().run(page, options={"runOnly": only} if only else None)["violations"]

        bad = [(row["id"], row["nodes"][0]["html"][:200]) for row in found if row["impact"] in ("serious", "critical")]
        assert bad == []


def test_paper_clips_no_row_and_shows_the_folded_list(opened: tuple[Page, list[str]]) -> None:
    """In print every row of every table is as wide as the paper at most, and the folded list is open."""
    page, _ = opened
    page.emulate_media(media="print")
    page.set_viewport_size({"width": A4_WIDTH_PX, "height": 1000})
    rights = page.evaluate("[...document.querySelectorAll('tr')].map(e => e.getBoundingClientRect().right)")
    heights = page.evaluate("[...document.querySelectorAll('tr')].map(e => e.getBoundingClientRect().height)")

    assert max(rights) <= A4_WIDTH_PX and min(heights) > 5
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert page.pdf(prefer_css_page_size=True).startswith(b"%PDF")


def test_ids_on_the_page_are_unique_and_every_link_leads_somewhere(html: bytes) -> None:
    """Drawings bring ids along; none may clash. Each entry of the contents has its section."""
    text = html.decode()
    ids = re.findall(r'\bid="([^"]+)"', text)

    assert len(ids) == len(set(ids))
    assert set(re.findall(r'href="#([^"]+)"', text)) <= set(ids)


def test_injected_markup_stays_text(browser: Browser, tmp_path: Path) -> None:
    """Whatever stands in a name, a place or a function is shown, never run; cells of lists are no formulas."""
    files = files_of(with_lead(small(spoilt=True)))
    for page, said in opened_in(browser, files["report.html"], tmp_path, 1000):
        assert said == []
        assert "owned" not in page.title() or "<script>" in page.title()
        assert page.locator("script").count() == 0 and page.locator("img").count() == 0
    plain = {name: data for name, data in files.items() if not name.endswith(".csv") and name != "bench.html"}
    assert all(b"<script" not in data.lower() for data in plain.values())
    assert files["bench.html"].lower().count(b"<script") == 2  # its data and its own


def test_the_same_bytes_twice() -> None:
    """Nothing on the page or in a file changes from run to run."""
    assert files_of(small()) == files_of(small())
