"""What a person may ask for, and what the files are called."""

from __future__ import annotations

import re

import pytest
from builders.scenes import broken_laws, car, small_van, words_on

from harnesscheck.align import align
from harnesscheck.draw.targets import DrawingAsked, DrawnSheet, NotDrawn, draw_target, keep_apart, names_of
from harnesscheck.model.records import Connector, Harness


def drawn(*args: object) -> list[DrawnSheet]:
    found = draw_target(small_van(), *args)  # type: ignore[arg-type]
    assert isinstance(found, list), found
    return found


@pytest.mark.parametrize(
    ("target", "name"),
    [
        ("C1", "face-C1"), ("FP", "circuit-FP"), ("pump", "circuit-pump"), ("S1", "circuit-S1"), ("G1", "circuit-G1"),
        ("overview", "overview"),
        ("C1:2", r"circuit-C1-2-[0-9a-f]{8}"), ("battery", "circuit-battery"), ("unit", "circuit-unit"),
    ],
)  # fmt: skip
def test_every_sort_of_target_is_drawn(target: str, name: str) -> None:
    """A file named by task for each, on pages that carry the digest."""
    sheets = drawn(target, None, None, DrawingAsked(digest="0123abcd"))

    assert re.fullmatch(name, sheets[0].name)
    for sheet in sheets:
        assert broken_laws(sheet.scene) == {}
        assert "inputs 0123abcd" in words_on([sheet.scene])


def test_two_cars_give_meeting_and_double_sheets() -> None:
    """With a shell beside it a connector is a meeting, a circuit stands above its partner."""
    donor, shell = small_van(), small_van(feed_to="C1:3")
    pairs = align(donor, shell)

    meeting = draw_target(donor, "C1", shell, pairs)
    flow = draw_target(donor, "FP", shell, pairs)

    assert isinstance(meeting, list) and [sheet.name for sheet in meeting] == ["meeting-C1"]
    assert {"2 → 3"} <= set(words_on(sheet.scene for sheet in meeting))
    assert isinstance(flow, list) and flow[0].name == "circuit-FP"
    captions = words_on(sheet.scene for sheet in flow)
    assert {"Donor: Circuit FP, fuel pump feed", "Shell: Circuit FP, fuel pump feed"} <= set(captions)


def test_what_only_one_car_has_is_drawn_with_a_sentence_for_the_other() -> None:
    """A circuit of the donor alone, and of the shell alone."""
    donor, bare = small_van(), car(harnesses=[Harness(id="body")])

    ours = draw_target(donor, "FP", bare, align(donor, bare))
    theirs = draw_target(bare, "FP", donor, align(bare, donor))

    assert isinstance(ours, list) and "The shell has no such thing" in words_on(s.scene for s in ours)
    assert isinstance(theirs, list) and "The donor has no such thing" in words_on(s.scene for s in theirs)
    face = draw_target(bare, "C1", donor, align(bare, donor))
    assert isinstance(face, list) and face[0].name == "face-C1"


def test_an_unknown_target_gets_the_names_that_come_close() -> None:
    """One sentence with close matches, whatever the case; none where nothing is close."""
    close = draw_target(small_van(), "PUMPE")
    none = draw_target(small_van(), "zzzzzz")

    assert isinstance(close, NotDrawn) and "pump" in close.close
    assert str(close).startswith("nothing in the netlist is called 'PUMPE'; close to it: ")
    assert none == NotDrawn("zzzzzz", "nothing in the netlist is called 'zzzzzz'")


def test_every_name_of_a_car_is_a_target() -> None:
    """Connectors, components, circuits, splices and ground points of the small van are all drawn."""
    for name in names_of(small_van().vehicle):
        assert drawn(name)


def test_sheets_of_several_targets_are_kept_apart() -> None:
    """Connectors C1 and c1 in one car: two files."""
    study = car(
        harnesses=[Harness(id="b")], connectors=[Connector(id="C1", harness="b"), Connector(id="c1", harness="b")]
    )
    sheets = [sheet for target in ("C1", "c1") for sheet in draw_target(study, target)]  # type: ignore[union-attr]

    assert [sheet.name for sheet in keep_apart(sheets)] == ["face-C1", "face-c1-2"]
