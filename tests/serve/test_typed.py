"""Two plugs as they are typed: what lines stand for, what is said of them, what is not read yet."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.model.records import Netlist
from harnesscheck.read.pages.lines import typed_table
from harnesscheck.serve import typed
from harnesscheck.serve.typed import MOST_TEXT, dropped_page, typed_answer, typed_plug

FEED = "1 red/yellow permanent feed\n2 brown ground"


@pytest.mark.parametrize(
    ("line", "row"),
    [
        ("1 red/yellow permanent feed", "1,red/yellow,permanent feed"),
        ("A5: rt ge Dauerplus", "A5,rt ge,Dauerplus"),
        ("2 dark green/white left lamp", "2,dark green/white,left lamp"),
        ("4 horn", "4,,horn"),
        ("7", "7,,"),
        ("3, violet/red, accessory feed, fuse 10", '3,violet/red,"accessory feed, fuse 10"'),
        ("3\tvt/rd\tradio", "3,vt/rd,radio"),
        ("3 ; ; ground", "3,,ground"),
    ],
)
def test_a_line_is_a_cavity_its_colour_and_what_it_is_for(line: str, row: str) -> None:
    """Signs between the parts count, else the longest beginning that is a colour."""
    assert typed_table(line) == f"cavity,colour,function\n{row}\n"


def test_lines_that_do_not_all_start_with_a_cavity_are_no_such_list() -> None:
    """A heading, or a sentence, is for the reader of tables."""
    assert typed_table("pin colour function\n1 red horn") is None
    assert typed_table("") is None


def test_a_feed_on_a_ground_is_an_injury_and_both_plugs_are_said_back() -> None:
    """The worst comes as the sentence; each line with what it was taken for."""
    found = typed_answer(FEED, "1 brown ground\n2 brown ground")
    assert found.tone == "injury"
    assert "How the donor's plug was understood" in found.html
    assert "permanent" in found.html


def test_the_same_plug_twice_has_nothing_to_tell() -> None:
    """Nothing above a note."""
    assert typed_answer(FEED, FEED).tone in ("", "note")


def test_restraint_wiring_says_hands_off() -> None:
    """A line that speaks of an airbag brings the caution, whether or not a plug stands opposite."""
    assert "licensed person" in typed_answer(f"{FEED}\n3 yellow driver airbag squib", "").html


def test_what_cannot_be_read_is_said_and_nothing_is_judged() -> None:
    """One plug alone, an unreadable one, one that is too long."""
    for donor in ("", "nothing like a plug here", "1 red a\n1 blue b", "x" * (MOST_TEXT + 1)):
        found = typed_answer(donor, FEED)
        assert found.tone == ""
        assert "cannot be read yet" in found.html or not donor.strip()


def test_a_table_with_headings_is_read_as_a_file_is() -> None:
    """Columns beyond the three count."""
    plug = typed_plug("cavity,colour,function,size\n1,red,horn feed,1.5\n")
    assert plug is not None
    assert isinstance(plug.read, Netlist)
    assert plug.read.pins[0].size is not None


def test_a_dropped_page_is_read_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """As read-table reads it; what takes too long is ended, whatever the file does to its reader."""
    page = (Path(__file__).parents[2] / "harness_demo" / "manual-page.pdf").read_bytes()
    plug = dropped_page(page, "manual-page.pdf")
    assert isinstance(plug.read, Netlist)
    assert {pin.connector for pin in plug.read.pins} == {"C15"}

    monkeypatch.setattr(typed, "DROPPED", replace(typed.DROPPED, step_s=0.01))
    late = dropped_page(page, "manual-page.pdf")
    assert isinstance(late.read, tuple)
    assert "time for" in late.read[0].read


@pytest.mark.parametrize("text", ["%PDF-1.7 1 0 obj", "PK\x03\x04 x", "%PDF-1.7\n1 red horn"])
def test_a_pasted_text_is_never_opened_as_a_file(text: str) -> None:
    """What looks like a PDF or an archive is said to be no text, in this process."""
    plug = typed_plug(text)
    assert plug is not None
    assert isinstance(plug.read, tuple)
    assert plug.read[0].read == "no text"


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=60), st.text(max_size=60))
def test_any_text_is_answered(donor: str, shell: str) -> None:
    """Whatever is in the boxes, there is an answer, and no element that a text brought along."""
    found = typed_answer(donor + "<b onclick=x>", f"1 red <script>alert(1)</script>{shell}")
    assert "<script" not in found.html
    assert "<b onclick" not in found.html
