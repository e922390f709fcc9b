"""The bench page in a real browser: found, lit, ticked, undone, kept, taken out and in, on a phone, without store."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from builders.browse import HOSTILE, hostile, started
from builders.demo import RICH
from builders.files import good
from builders.lampcars import pair

from harnesscheck import InputError, decide, ringout
from harnesscheck.bench.readings.filled import judge, limits_of, read_reading
from harnesscheck.bench.ringout.measurements import CONTINUITY, ISOLATION, Measurement
from harnesscheck.read import read_netlist
from harnesscheck.write.xml import write_xml

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

STEP = "work:battery-off"
TYPED = (
    "", "-", "0.3", "0,3", ".4", "0.3 ohm", "OL", "O.L", "0.L ohm", "open", "\u221e", ">1M", "> 20 M", "<0.5",
    "12k", "4K7", "0R3", "1,500", "1.500,5", "1,234,567", "12,34,56", "20 mohm", "3 m", "12 V", "0.2a", "beep",
    "~0.4", "=1", "?1", "1.5 \u2126", "0.51", "1.9", "2.1", "999k", "1.2 Mohm", "1..2", "5 kohm.", "1 000",
    "constructor",
)  # fmt: skip

ALL_OPEN = """() => {
  for (let turn = 0; turn < 2; turn += 1)
    document.querySelectorAll("details:not(#more)").forEach((one) => { if (one.fill) one.fill(); one.open = true; });
  light(0);
}"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for all tests here."""
    with started() as one:
        yield one


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two small cars, and what ``decide -o`` writes of them."""
    made = tmp_path_factory.mktemp("bench")
    for name, car in zip(("donor", "shell"), pair(5)[:2], strict=True):
        write_xml(car.vehicle.netlist, made / f"{name}.xml")
    decide(made / "donor.xml", made / "shell.xml").save(made / "out")
    return made


def data_of(page: str) -> dict[str, Any]:
    """The page's data."""
    found = re.search(r'<script id="bench" type="application/json">(.*?)</script>', page, re.DOTALL)
    assert found is not None
    data: dict[str, Any] = json.loads(found[1])
    return data


@contextmanager
def shown(browser: Browser, file: Path, **more: Any) -> Iterator[tuple[Page, list[str]]]:
    """A page opened from its file in a store of its own, and all it complains of or asks for."""
    context = browser.new_context(**({"viewport": {"width": 1000, "height": 900}} | more))
    with context:
        yield opened(context, file)


def opened(context: Any, file: Path) -> tuple[Page, list[str]]:
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on(
        "request",
        lambda request: None if request.url.startswith((file.as_uri(), "blob:")) else said.append(request.url),
    )
    page.goto(file.as_uri())
    page.wait_for_function("document.getElementById('progress').textContent !== ''")
    return page, said


def ticked(page: Page, line: str) -> bool:
    return bool(page.is_checked(f'[id="tick {line}"]'))


def first_place(page: Page) -> None:
    page.click(".place >> nth=0 >> summary >> nth=0")


def test_a_net_lights_up_wherever_it_is(browser: Browser, folder: Path) -> None:
    """Found by a word, tapped: face, list and the readings of the same net, each said in more than colour."""
    with shown(browser, folder / "out" / "bench.html") as (page, said):
        data = data_of(page.content())
        plug, cell = next((plug, cell) for plug in data["plugs"] for cell in plug["cells"] if cell[6] is not None)
        page.keyboard.press("/")
        page.keyboard.type(f"{plug['id']}:{cell[0]} {cell[4]}")
        page.click("#found button >> nth=0")
        ends = {f"{one['id']}:{two[0]}" for one in data["plugs"] for two in one["cells"] if two[6] == cell[6]}
        assert {text for text in page.locator("#net-ends button").all_inner_texts() if ":" in text} == ends
        assert page.get_attribute(f'[data-end="{plug["id"]}:{cell[0]}"]', "aria-pressed") == "true"
        rows = {
            one["id"] for one in data["readings"] if {one["from"], one["to"]} & ends and one["place"] == plug["place"]
        }
        assert {one.get_attribute("data-id") for one in page.query_selector_all(".line.lit")} == rows
        assert rows
        page.keyboard.press("Escape")
        assert page.locator(".lit").count() == 0
        assert said == []


def test_ticks_stay_and_go_out_and_come_in(browser: Browser, folder: Path, tmp_path: Path) -> None:
    """Tick, undo, load again, export; ``decide`` and ``ringout`` read the export; another browser takes it in."""
    file = folder / "out" / "bench.html"
    with shown(browser, file) as (page, said):
        data = data_of(page.content())
        reading = data["readings"][0]
        first_place(page)
        page.check(f'[id="tick {STEP}"]')
        page.fill(".line .value input >> nth=0", "0,25")
        page.keyboard.press("Tab")
        page.click("#undo")
        page.click("#undo")
        assert not ticked(page, STEP)
        page.check(f'[id="tick {STEP}"]')
        page.fill(".line .value input >> nth=0", "0,25")
        page.keyboard.press("Tab")
        page.evaluate("id => goToLine(id)", reading["id"])
        page.keyboard.type("0.1" if not reading["joined"] else "OL")
        page.keyboard.press("Tab")
        assert "✗" in page.inner_text(f'[data-id="{reading["id"]}"] .verdict')
        page.reload()
        first_place(page)
        assert ticked(page, STEP)
        assert "Saved" in page.inner_text("#saved")
        page.click("#more summary")
        with page.expect_download() as loaded:
            page.click("#export")
        loaded.value.save_as(tmp_path / "bench.json")
        assert said == []
    again = decide(folder / "donor.xml", folder / "shell.xml", done=tmp_path / "bench.json")
    assert {step.id: step.done_h for step in again.best.steps if step.done_h is not None} == {"battery-off": 0.25}
    read = ringout(folder / "out" / "finished-car.xml", results=tmp_path / "bench.json")
    bad = [one for one in read.found.judged if one.verdict]
    assert [(one.measurement.from_, one.measurement.to) for one in bad] == [(reading["from"], reading["to"])]
    assert bad[0].verdict == ("open" if reading["joined"] else "shorted")
    with shown(browser, file) as (page, _):
        page.click("#more summary")
        page.set_input_files("#import", tmp_path / "bench.json")
        page.wait_for_selector("#said:has-text('Taken from')")
        page.keyboard.press("Escape")
        first_place(page)
        assert ticked(page, STEP)
        (tmp_path / "other.json").write_text('{"format": "x"}', encoding="utf-8")
        page.click("#more summary")
        page.set_input_files("#import", tmp_path / "other.json")
        page.wait_for_selector("#said:has-text('Not taken')")
        assert ticked(page, STEP)


def test_a_page_made_anew_takes_over_what_is_still_the_same(browser: Browser, folder: Path, tmp_path: Path) -> None:
    """Ticks of lines with the same id and words; what is gone, what asks something else and what is new is listed."""
    text = (folder / "out" / "bench.html").read_text(encoding="utf-8")
    data = data_of(text)
    ids = [one["id"] for one in data["work"]]
    assert len(ids) >= 4
    plain, altered, gone, new = STEP, *[one for one in ids if one != STEP][:3]
    later = json.loads(json.dumps(data))
    later["digest"] = "0123456789ab"
    later["work"] = [one for one in later["work"] if one["id"] != gone]
    next(one for one in later["work"] if one["id"] == altered)["do"] = "Something else altogether"
    data["work"] = [one for one in data["work"] if one["id"] != new]
    context = browser.new_context()
    with context:
        for number, some in enumerate((data, later)):
            file = tmp_path / f"page-{number}.html"
            head, _, rest = text.partition('<script id="bench" type="application/json">')
            tail = rest.partition("</script>")[2]
            made = json.dumps(some).replace("<", "\\u003c")
            file.write_text(f'{head}<script id="bench" type="application/json">{made}</script>{tail}', encoding="utf-8")
            page, said = opened(context, file)
            if not number:
                page.evaluate("ids => ids.forEach((id) => set('done', id, '1'))", [plain, altered, gone])
        told = page.inner_text("#changed")
        assert page.evaluate("Object.keys(state.done)") == [plain]
        assert all(
            text in told
            for text in (
                "Something else altogether",
                next(one["do"] for one in data["work"] if one["id"] == gone),
                next(one["do"] for one in later["work"] if one["id"] == new),
            )
        )
        assert said == []


def test_it_works_where_nothing_may_be_stored(browser: Browser, folder: Path) -> None:
    """The store throws: ticks hold, and the page says that they are not saved."""
    with browser.new_context() as context:
        context.add_init_script(
            "Object.defineProperty(window, 'localStorage', "
            "{ get() { throw new DOMException('no', 'SecurityError'); } })"
        )
        page, said = opened(context, folder / "out" / "bench.html")
        first_place(page)
        page.check(f'[id="tick {STEP}"]')
        assert "Not saved" in page.inner_text("#saved")
        assert ticked(page, STEP)
        assert said == []


def test_a_reading_is_judged_as_the_sheet_is(browser: Browser, folder: Path) -> None:
    """Whatever is typed: the page's word is that of ``ringout --results``, of a joint, a long one, two nets apart."""
    with shown(browser, folder / "out" / "bench.html") as (page, _):
        for joined, limit in ((True, 0.5), (True, 1.5), (False, 0.5)):
            sort = CONTINUITY if joined else ISOLATION
            one = Measurement(1, sort, "", (0,), (1,), "A", "B", joined, limit)
            limits = limits_of(one)
            asked = {"joined": joined, "limits": [limits.joined_ohm, limits.part_ohm], "expect": ""}
            found = page.evaluate("([one, typed]) => typed.map((text) => verdictOf(one, text)[0])", [asked, TYPED])
            assert dict(zip(TYPED, found, strict=True)) == {text: said_by_us(one, text) for text in TYPED}


def said_by_us(one: Measurement, text: str) -> str:
    reading = read_reading(text)
    return "not read" if isinstance(reading, str) else judge(one, reading).verdict


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_on_a_phone(browser: Browser, folder: Path, scheme: str) -> None:
    """At 360 pixels nothing is cut, everything open; targets of 24 pixels and axe's serious rules (WCAG 2.2 AA)."""
    from axe_core_python.sync_playwright import Axe

    with shown(browser, folder / "out" / "bench.html", viewport={"width": 360, "height": 740}, color_scheme=scheme) as (
        page,
        said,
    ):
        page.evaluate(ALL_OPEN)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        small = page.evaluate(
            "[...document.querySelectorAll('button, input, summary')].filter((one) => one.offsetParent)"
            ".map((one) => one.getBoundingClientRect()).filter((box) => box.width < 24 || box.height < 24).length"
        )  # success criterion 2.5.8, target size (minimum)
        assert small == 0
        if scheme == "dark":
            found = Axe().run(page)["violations"]
            assert [one["id"] for one in found if one["impact"] in ("serious", "critical")] == []
        assert said == []


def test_hostile_texts_stay_texts(browser: Browser, tmp_path: Path) -> None:
    """In every free text, as a photo's name and as a reading: nothing runs, nothing is asked of the network."""
    car = hostile(good(read_netlist(RICH / "rich-donor.xml")))
    plugs = tuple(replace(row, common=replace(row.common, photo=f"https://x.test/{HOSTILE}")) for row in car.connectors)
    write_xml(replace(car, connectors=plugs), tmp_path / "car.xml")
    ringout(tmp_path / "car.xml").save(tmp_path / "out")
    with shown(browser, tmp_path / "out" / "bench.html") as (page, said):
        page.evaluate(ALL_OPEN)
        page.evaluate("text => set('read', data.readings[0].id, text)", HOSTILE)
        page.fill("#search", "onerror")
        assert page.locator("#found button").count() > 0
        assert "owned" not in page.title().partition(",")[0]
        assert page.evaluate("document.querySelectorAll('img[src=x], #places script').length") == 0
        assert [one for one in said if "x.test" in one and not one.startswith("file:")] == []


def test_an_export_that_is_none_is_told(tmp_path: Path) -> None:
    """Each fault with the file; a reading that means nothing, or another car's digest, is refused."""
    write_xml(pair(5)[0].vehicle.netlist, tmp_path / "car.xml")
    file = tmp_path / "bench.json"
    for text in (
        "",
        "[]",
        "{}",
        '{"format": "harnesscheck-bench/1", "readings": [1], "done": {"a": -1}}',
        "[" * 10_000,
    ):
        file.write_text(text, encoding="utf-8")
        with pytest.raises(InputError):
            ringout(tmp_path / "car.xml", results=file)
        with pytest.raises(InputError):
            decide(tmp_path / "car.xml", tmp_path / "car.xml", done=file)
    given = {"format": "harnesscheck-bench/1", "inputs": "0" * 12, "plan": "pairs"}
    file.write_text(json.dumps({**given, "readings": [{"from": "a", "to": "b", "read": "beep"}]}), encoding="utf-8")
    with pytest.raises(InputError, match="beep"):
        ringout(tmp_path / "car.xml", results=file)
    file.write_text(json.dumps(given), encoding="utf-8")
    with pytest.raises(InputError, match="0" * 12):
        ringout(tmp_path / "car.xml", results=file)
