"""The vocabulary of reports, and what is made of it: every block, any text, in every form."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from builders.blocks import BLOCKS, blocks_of, report_of, texts
from builders.browse import HOSTILE, opened_in, started
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import html as parsed

from harnesscheck.model.escapes import escaped
from harnesscheck.report.blocks.page import page_text
from harnesscheck.report.blocks.terminal import WIDTH, block_lines, terminal_text
from harnesscheck.report.blocks.vocabulary import (
    BriefOrFull,
    Facts,
    Folded,
    Listing,
    Paragraph,
    Passage,
    Report,
    RowGroup,
    Section,
    Table,
    heads,
    table,
)

if TYPE_CHECKING:
    from playwright.sync_api import Browser

EXAMPLES = 40


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for all tests here."""
    with started() as one:
        yield one


def test_every_block_is_tried() -> None:
    """The reports of these tests hold each block of the vocabulary."""
    assert {type(block) for block in blocks_of("text")} == set(BLOCKS)


# -- any text


@given(texts)
@settings(max_examples=EXAMPLES, deadline=None)
def test_a_terminal_obeys_no_text(text: str) -> None:
    """What a terminal would obey is an escape; no line over 80 columns but where a single word is longer."""
    longest = max(map(len, re.split(r"\s", escaped(text))), default=0)
    for line in terminal_text(report_of(text)).split("\n"):
        assert line == escaped(line)
        assert line == line.rstrip()
        assert len(line) <= max(WIDTH, 24 + 2 * longest), line


@given(texts)
@settings(max_examples=EXAMPLES, deadline=None)
def test_a_page_takes_every_text_for_text(text: str) -> None:
    """Read back by a parser no element or attribute is there that the renderer has not made."""
    page = page_text(report_of(text))
    plain = page_text(report_of("word"))

    def shape(page: str) -> list[tuple[str, tuple[str, ...]]]:
        return [(str(one.tag), tuple(one.attrib)) for one in parsed.fromstring(page).iter()]

    assert {tag for tag, _ in shape(page)} <= {tag for tag, _ in shape(plain)}
    assert not [names for _, names in shape(page) if any(name.startswith("on") for name in names)]


def test_injected_markup_is_shown_and_never_run(browser: Browser, tmp_path: Path) -> None:
    """In a real browser: nothing requested, nothing complained of, the attack readable as text."""
    for page, said in opened_in(browser, page_text(report_of(HOSTILE)).encode(), tmp_path, 360):
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")

        assert said == []
        assert page.locator("script").count() == 0 and page.locator("img").count() == 0
        assert page.inner_text("main").count("<script>") > len(BLOCKS)
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


# -- terminal


def test_passages_are_parted_and_what_belongs_together_is_not() -> None:
    """Paragraphs, lists and facts follow one another; a section and a passage have a blank line before them."""
    report = Report(
        "title",
        (("donor", "van"),),
        (
            Paragraph("One."),
            Listing(("a", "b"), "Two:"),
            Facts((("key", "value"),)),
            Section("Three", (Paragraph("Four."), Passage((Paragraph("six"),), "Five")), "says"),
            Section("Empty", ()),
        ),
    )

    assert terminal_text(report).split("\n") == [
        "donor: van", "", "One.", "Two:", "  - a", "  - b", "key: value", "",
        "THREE - says", "============", "Four.", "", "Five", "  six", "",
    ]  # fmt: skip


def test_a_list_is_cut_off_and_says_so() -> None:
    """What is left is counted, with the place to read it; the page has it all."""
    block = Listing(("a", "b", "c", "d", "e"), "These:", most=2, noun="wires", where="(in the file)")

    assert block_lines([block]) == ["These:", "  - a", "  - b", "  and 3 more wires (in the file)"]
    assert parsed.fromstring(page_text(Report("t", (), (block,)))).xpath("//li/text()") == list("abcde")


def test_columns_are_as_wide_as_their_cells() -> None:
    """Numbers stand under each other by their last digit, words by their first letter."""
    block = table("t", ("#line", "from-cavity"), [("7", "C1:2"), ("10", "body")])

    assert block_lines([block]) == ["  line  from cavity", "     7  C1:2", "    10  body"]


def test_a_column_of_words_wraps_under_itself() -> None:
    """Where the line is too short the widest words give way, and numbers never."""
    block = table("t", ("#amps", "what"), [("10.5 A", "word " * 30)])
    lines = block_lines([block])

    assert lines[1].startswith("  10.5 A  word") and len(lines) > 2
    assert all(line.startswith(" " * 10 + "word") and len(line) <= WIDTH for line in lines[2:])


def test_a_table_too_wide_for_a_terminal_becomes_lines() -> None:
    """Twelve columns of words are told one row after the other."""
    block = table(
        "t", tuple(f"column-{number}" for number in range(12)), [tuple(f"{'cell':>9} {n}" for n in range(12))]
    )

    assert block_lines([block])[0].startswith("  - ")
    assert all(len(line) <= WIDTH for line in block_lines([block]))


def test_headings_of_groups_stand_over_their_columns() -> None:
    """Where the first column has no name each group is headed anew, so that the columns are known a page on."""
    block = Table(
        "t", heads("", "#off", "#run"), (RowGroup("LAMPS", (("a", ".", "x"),)), RowGroup("FAN", (("b", "x", "."),)))
    )

    assert block_lines([block]) == ["LAMPS  off  run", "  a      .    x", "", "FAN    off  run", "  b      x    ."]


@given(st.lists(st.tuples(texts, texts, texts, texts), min_size=1, max_size=4))
@settings(max_examples=EXAMPLES, deadline=None)
def test_any_table_fits(rows: list[tuple[str, str, str, str]]) -> None:
    """No cell is lost, no line too long, whatever stands in words' columns."""
    told = block_lines([table("t", ("one", "two", "three", "four"), rows)])

    assert all(len(line) <= WIDTH for line in told)
    cells = {one for row in rows for cell in row for ch in cell if not ch.isspace() for one in escaped(ch)}
    assert cells <= set("".join(told))


def test_a_terminal_has_the_short_form_and_a_page_the_full_one() -> None:
    """The same matter twice is told once in each; what is folded is for pages."""
    blocks = (BriefOrFull((Paragraph("short"),), (Paragraph("whole"),)), Folded("more", (Paragraph("folded"),)))
    page = page_text(Report("t", (), blocks))

    assert block_lines(blocks) == ["short"]
    assert "short" not in page and "whole" in page and "folded" in page


# -- page


def test_a_page_links_what_it_has() -> None:
    """Every link leads somewhere and no id is there twice."""
    page = page_text(report_of("word"))
    ids = re.findall(r'\bid="([^"]+)"', page)

    assert len(ids) == len(set(ids))
    assert set(re.findall(r'href="#([^"]+)"', page)) <= set(ids)


def test_the_policy_of_a_page_names_its_own_style_only() -> None:
    """Nothing else may be loaded or run."""
    page = page_text(report_of("word"))

    assert re.search(r"default-src 'none'; style-src 'sha256-[A-Za-z0-9+/=]+'; font-src data:; base-uri 'none'", page)
    assert "style=" not in page and "<script" not in page


def test_the_same_bytes_twice() -> None:
    """A report is the same text and page every time."""
    assert page_text(report_of(HOSTILE)) == page_text(report_of(HOSTILE))
    assert terminal_text(report_of(HOSTILE)) == terminal_text(report_of(HOSTILE))
