"""The scene, its bounds, and that the laws find what they are for."""

from __future__ import annotations

import pytest
from builders.readable import outside, overlapping_labels, struck_labels, too_small
from builders.scenes import NASTY
from hypothesis import given
from hypothesis import strategies as st

from harnesscheck.draw.font import BOLD, REGULAR, drawable, fit, width_mm, wrap
from harnesscheck.draw.ink import BLACK, WHITE
from harnesscheck.draw.scene import (
    MIN_TEXT_MM,
    Box,
    Circle,
    Line,
    Pen,
    Polyline,
    Scene,
    SceneGroup,
    Text,
    bounds,
    flat,
    moved,
)

PEN = Pen(BLACK, 0.5)


def scene(*items: object) -> Scene:
    return Scene(100, 50, "title", "description", items)  # type: ignore[arg-type]


def label(x: float, y: float, text: str = "C12:4", size: float = 3.0, **more: str) -> Text:
    return Text(x, y, text, size, BLACK, **more)  # type: ignore[arg-type]


def test_labels_that_run_into_each_other_are_found_through_groups() -> None:
    """Two labels overlap wherever they are; touching does not count."""
    one = label(10, 10)
    after = bounds(one).right

    assert overlapping_labels(scene(one, SceneGroup((label(12, 11),)))) == [(one, label(12, 11))]
    assert overlapping_labels(scene(one, label(after, 10))) == []
    assert overlapping_labels(scene(one, label(10, 14))) == []


def test_what_leaves_the_page_is_found() -> None:
    """A label that ends beyond the edge, a line whose pen does."""
    assert outside(scene(label(95, 10))) == [label(95, 10)]
    assert outside(scene(Line(1, 10, 5, 10, PEN))) == []
    assert outside(scene(Line(0, 0, 5, 0, PEN))) == [Line(0, 0, 5, 0, PEN)]
    assert outside(scene(SceneGroup((Circle(2, 2, 3),)))) == [Circle(2, 2, 3)]


def test_small_labels_are_found() -> None:
    """Text below 2.8 mm is too small for a sheet on A4."""
    assert MIN_TEXT_MM == 2.8
    assert too_small(scene(label(10, 10, size=2.8))) == []
    assert too_small(scene(label(10, 10, size=2.7))) == [label(10, 10, size=2.7)]


def test_lines_through_letters_are_found_unless_a_plate_covers_them() -> None:
    """A line, an edge of a box, a corner line; a filled box between line and label hides the line."""
    text = label(10, 10)
    through = Line(5, 9, 40, 9, PEN)
    plate = Box(8, 5, 20, 8, None, WHITE)

    assert struck_labels(scene(through, text)) == [(text, through)]
    assert struck_labels(scene(text, Polyline(((5, 9), (40, 9)), PEN)))
    assert struck_labels(scene(text, Box(12, 2, 40, 7, PEN)))
    assert struck_labels(scene(through, plate, text)) == []
    assert struck_labels(scene(plate, through, text)) == [(text, through)]
    assert struck_labels(scene(Line(5, 12, 40, 12, PEN), text)) == []
    assert struck_labels(scene(Line(5, 2, 5, 40, PEN), text)) == []


def test_anchors_say_which_part_of_a_label_stands_at_x() -> None:
    """Start, middle, end."""
    width = width_mm("C12:4", 3.0)

    boxes = [bounds(label(50, 10, anchor=anchor)) for anchor in ("start", "middle", "end")]

    assert [box.left for box in boxes] == pytest.approx([50, 50 - width / 2, 50 - width])


def test_moving_moves_everything_alike() -> None:
    """Every sort of item, groups too, by the same distance."""
    items = (
        label(10, 10), Line(1, 2, 3, 4, PEN), Polyline(((1, 2), (3, 4)), PEN), Box(1, 2, 3, 4), Circle(5, 6, 2),
        SceneGroup((Circle(5, 6, 2),)),
    )  # fmt: skip

    for item in items:
        before, after = bounds(item), bounds(moved(item, 2, 3))
        assert (after.left, after.top) == pytest.approx((before.left + 2, before.top + 3))
        assert (after.right, after.bottom) == pytest.approx((before.right + 2, before.bottom + 3))
    assert list(flat([SceneGroup((label(1, 1),))])) == [label(1, 1)]


@given(st.one_of(st.text(max_size=80), st.sampled_from(NASTY)), st.floats(0, 60), st.sampled_from((REGULAR, BOLD)))
def test_fitted_text_fits(text: str, room: float, weight: int) -> None:
    """Whatever the text and the room: it is not wider, and is whole where it can be."""
    fitted = fit(text, room, 2.8, weight)

    assert width_mm(fitted, 2.8, weight) <= room or fitted == ""
    if width_mm(drawable(text), 2.8, weight) <= room:
        assert fitted == drawable(text)


@given(st.one_of(st.text(max_size=200), st.sampled_from(NASTY)), st.floats(6, 60), st.integers(1, 4))
def test_wrapped_text_fits_and_loses_nothing_unsaid(text: str, room: float, lines: int) -> None:
    """No line is wider than its room, there are not too many, and words left out show as an ellipsis."""
    found = wrap(text, room, 2.8, lines)

    assert len(found) <= lines
    assert all(width_mm(line, 2.8) <= room for line in found)
    if not any("…" in line for line in found) and "…" not in text:
        assert " ".join(found) == drawable(text)


@pytest.mark.parametrize("text", NASTY)
def test_nothing_unprintable_is_drawn(text: str) -> None:
    """Control characters and bidirectional overrides are made visible instead."""
    assert drawable(text).isprintable()
