"""Connector faces and meeting sheets."""

from __future__ import annotations

import pytest
from builders.scenes import as_text, broken_laws, car, colour, plugs, size, small_van, titles, words_on
from hypothesis import given, settings
from hypothesis import strategies as st

from draw import golden
from harnesscheck.draw.arrows import MOST_LANES
from harnesscheck.draw.face import MATING_SIDE, ORDER, WIRE_SIDE, contents, face_sheets
from harnesscheck.draw.grid import rows_alike, rows_of
from harnesscheck.draw.marks import SEVERITIES, MarkedCavity, worst
from harnesscheck.draw.meeting import meeting_sheets, plain_differences
from harnesscheck.draw.scene import Box, Circle, Polyline, Scene, SceneGroup, Text, bounds, flat
from harnesscheck.model.records import Connector, Harness, Pin, Splice
from harnesscheck.network.graph.sides import Study

FOUR = Connector(id="C12", harness="body", cavities=("1", "2", "3", "4"), at="left kick panel", half="sockets")


def four(*pins: Pin, complete: bool | None = None) -> Study:
    row = Connector(id="C12", harness="body", cavities=FOUR.cavities, at=FOUR.at, half=FOUR.half, complete=complete)
    splices = [Splice(id="S1", harness="body"), Splice(id="S2", harness="body")]
    return car(harnesses=[Harness(id="body", name="Body harness")], connectors=[row], pins=pins, splices=splices)


def pin(cavity: str, circuit: str | None, paint: str | None = "BK/BU", to: str | None = "S1") -> Pin:
    return Pin(connector="C12", cavity=cavity, circuit=circuit, colour=colour(paint), size=size("1.25"), to=to)


DONOR = four(pin("1", "FP"), pin("2", "LMP", "GNYE"), pin("2", "LMP", "WH", "S2"), pin("4", None, None))
SHELL = four(pin("3", "FP"), pin("2", "LMP", "GN"), pin("4", "IGN", "RD"), complete=False)


def cells(scene: Scene) -> dict[str, SceneGroup]:
    """The drawn cavities by name."""
    return {
        item.title.split(":")[0].removeprefix("cavity "): item
        for item in scene.items
        if isinstance(item, SceneGroup) and item.title.startswith("cavity ")
    }


@settings(max_examples=20, deadline=None)
@given(plugs(), st.booleans(), st.data())
def test_any_plug_stands_on_its_sheets(study: Study, mating: bool, data: st.DataObject) -> None:
    """1 to 120 cavities, whatever is in them: the laws hold, every cavity is drawn once and named."""
    listed = contents(study, "C12")
    marked = data.draw(st.lists(st.sampled_from([each.cavity for each in listed]), max_size=20))
    found = [
        MarkedCavity(cavity, "feed-to-ground", data.draw(st.sampled_from((*SEVERITIES, ""))), "words " * 9, "A9")
        for cavity in marked
    ]

    scenes = face_sheets(study, "C12", mating=mating, digest="0123abcd", differences=found)

    assert [broken_laws(scene) for scene in scenes] == [{} for _ in scenes]
    drawn = [name for scene in scenes for name in cells(scene)]
    assert drawn == [each.cavity for each in listed]
    assert words_on(scenes[:1]).count(MATING_SIDE if mating else WIRE_SIDE) == 1


@settings(max_examples=12, deadline=None)
@given(plugs(), plugs(), st.data())
def test_any_two_plugs_meet_on_their_sheets(donor: Study, shell: Study, data: st.DataObject) -> None:
    """Whatever moves where: the laws hold, arrows run through no label, both plugs' cavities are all there."""
    ours, theirs = ([each.cavity for each in contents(study, "C12")] for study in (donor, shell))
    moves = data.draw(st.lists(st.tuples(st.sampled_from(ours), st.sampled_from(theirs)), max_size=MOST_LANES + 4))
    found = [MarkedCavity(a, "moved-pin", data.draw(st.sampled_from(SEVERITIES)), "words " * 20, b) for a, b in moves]
    found += plain_differences(donor, shell, ("C12", "C12"))

    scenes = meeting_sheets(donor, shell, ("C12", "C12"), found, digest="0123abcd")

    assert [broken_laws(scene) for scene in scenes] == [{} for _ in scenes]
    drawn = sum(count for title, count in _drawn(scenes))
    assert drawn == len(ours) + len(theirs)


def _drawn(scenes: list[Scene]) -> list[tuple[str, int]]:
    return [(title, count) for title, count in titles(scenes).items() if title.startswith("cavity ")]


def test_states_of_a_cavity_are_told_apart_without_colour() -> None:
    """Empty is hatched and says so, not known is a question mark, a colour nobody knows is dashed and a '?'."""
    [donor], [shell] = face_sheets(DONOR, "C12"), face_sheets(SHELL, "C12")

    empty, unknown, nameless = cells(donor)["3"], cells(shell)["1"], cells(donor)["4"]
    assert [item.text for item in empty.items if isinstance(item, Text)] == ["3", "empty"]
    assert sum(1 for item in flat([empty]) if type(item).__name__ == "Line") > 3
    assert [item.text for item in unknown.items if isinstance(item, Text)] == ["1", "?"]
    assert "?" in [item.text for item in nameless.items if isinstance(item, Text)]
    assert any(isinstance(item, Box) and item.pen and item.pen.dash_mm for item in nameless.items)


def test_colour_is_paint_and_text() -> None:
    """Base, stripe, and the words; two wires in one contact stand side by side and are counted."""
    [scene] = face_sheets(DONOR, "C12")

    one, two = cells(scene)["1"], cells(scene)["2"]
    fills = [item.fill for item in one.items if isinstance(item, Box)][1:]
    assert len(fills) == 2 and fills[0] != fills[1]
    assert "BK/BU" in [item.text for item in one.items if isinstance(item, Text)]
    assert "GNYE +1" in [item.text for item in two.items if isinstance(item, Text)]


def test_the_mating_side_is_the_mirror_image() -> None:
    """The same cavities, left and right exchanged; the sheet says which side it is and that the shape is not known."""
    [wires], [mating] = face_sheets(DONOR, "C12"), face_sheets(DONOR, "C12", mating=True)

    left = {name: bounds(cell).left for name, cell in cells(wires).items()}
    right = {name: bounds(cell).left for name, cell in cells(mating).items()}
    assert sorted(left, key=left.__getitem__) == ["1", "2", "3", "4"] == sorted(right, key=right.__getitem__)[::-1]
    assert WIRE_SIDE in words_on([wires]) and MATING_SIDE in words_on([mating])
    assert ORDER in words_on([wires])


def test_face_is_as_it_was() -> None:
    """Golden scene: a plug of four cavities."""
    golden.same("face-C12", "".join(as_text(scene) for scene in face_sheets(DONOR, "C12", digest="0123abcd")))


def test_meeting_is_as_it_was() -> None:
    """Golden scene: one contact moved, one colour differs, one is empty, one is not documented."""
    found = [
        MarkedCavity("1", "moved-pin", "rework", "Move the contact.", "3"),
        MarkedCavity("2", "recoloured", "note", "Same circuit, other colour."),
        MarkedCavity("4", "feed-to-ground", "injury", "The fuse blows."),
    ]

    scenes = meeting_sheets(DONOR, SHELL, ("C12", "C12"), found, digest="0123abcd")

    golden.same("meeting-C12", "".join(as_text(scene) for scene in scenes))
    assert {"feed to ground", "1 → 3", "injury", "rework", "note"} <= set(words_on(scenes))


def test_plain_differences_say_what_differs_and_nothing_more() -> None:
    """A moved contact, another colour; a cavity nobody documented is no difference."""
    found = {each.cavity: each for each in plain_differences(DONOR, SHELL, ("C12", "C12"))}

    assert {cavity: each.kind for cavity, each in found.items()} == {"2": "other colour", "3": "empty in the donor"}
    assert plain_differences(DONOR, DONOR, ("C12", "C12")) == []
    assert all(not each.severity for each in found.values())


def test_a_contact_that_moved_is_found() -> None:
    """Circuits exchanged between two cavities: both moved, each to the other."""
    one, other = four(pin("1", "FP"), pin("2", "LMP")), four(pin("1", "LMP"), pin("2", "FP"))

    found = plain_differences(one, other, ("C12", "C12"))

    assert [(each.cavity, each.kind, each.moved_to) for each in found] == [("1", "moved", "2"), ("2", "moved", "1")]


def test_severities_have_a_shape_and_a_letter_each() -> None:
    """Five marks that no two share letter or shape, told apart in grey."""
    from harnesscheck.draw.marks import sign

    letters, shapes = set(), set()
    for severity in SEVERITIES:
        outline, letter = sign(10, 10, severity)
        assert isinstance(letter, Text)
        letters.add(letter.text)
        shapes.add(_shape(outline))
    assert len(letters) == len(shapes) == len(SEVERITIES)
    assert worst(["note", "damage", "", "rework"]) == "damage" and worst([]) == ""


def _shape(outline: object) -> tuple[int, bool]:
    if isinstance(outline, Circle):
        return 0, False
    assert isinstance(outline, Polyline)
    top = min(y for _, y in outline.points)
    return len(outline.points), sum(1 for _, y in outline.points if y == pytest.approx(top)) == 1


def test_rows_follow_letters_and_numbers() -> None:
    """A row a letter where every name has one; plain numbers in rows of equal length; nothing is lost."""
    lettered = [f"{letter}{number}" for letter in "AB" for number in range(1, 9)]

    assert rows_of(lettered, 20) == [tuple(lettered[:8]), tuple(lettered[8:])]
    assert rows_of([str(n) for n in range(1, 9)], 20) == [tuple("12345678")]
    assert [len(row) for row in rows_of([str(n) for n in range(16)], 20)] == [8, 8]
    assert [len(row) for row in rows_of([f"A{n}" for n in range(60)] + [f"B{n}" for n in range(60)], 19)] == [15] * 8
    assert rows_of([], 5) == []
    with pytest.raises(ValueError, match="at least one"):
        rows_of(["1"], 0)


@given(st.integers(0, 150), st.integers(0, 150), st.integers(1, 25))
def test_rows_hold_every_name_in_order(one: int, other: int, most: int) -> None:
    """Rows joined are the names again, and no row is too long, for one plug and for two."""
    names = [str(number) for number in range(one)], [str(number) for number in range(other)]

    for rows, held in zip((rows_of(names[0], most), *rows_alike(*names, most)), (names[0], *names), strict=True):
        assert [name for row in rows for name in row] == held
        assert all(len(row) <= most for row in rows)


def test_component_plugs_show_terminals() -> None:
    """A component's plug has no wires of its own: terminal and role instead."""
    [scene] = face_sheets(small_van(), "U-A")

    assert {"LMP", "output-high", "ground"} <= set(words_on([scene]))


def test_an_unknown_connector_is_a_key_error() -> None:
    """As the docstring says."""
    with pytest.raises(KeyError):
        face_sheets(DONOR, "C13")
