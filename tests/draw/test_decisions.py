"""The tree of measurements on paper: readable, complete, and going on where it says."""

from __future__ import annotations

import random

import pytest
from builders.readable import outside, overlapping_labels, struck_labels, too_small
from builders.tracing import demo, traced

from harnesscheck.bench.symptoms import SYMPTOMS
from harnesscheck.bench.symptoms.plans import (
    Diagnosis,
    MeasurementPlan,
    MeterAnswer,
    MeterQuestion,
    questions,
    verdicts,
)
from harnesscheck.bench.symptoms.symptoms import plan_for
from harnesscheck.draw.decisions import GOES_ON, decision_sheets
from harnesscheck.draw.page import SheetHeading
from harnesscheck.draw.scene import Scene, texts
from harnesscheck.report.plan_text import marks_of

HEADING = SheetHeading("lamp dead", "key off", digest="0" * 12)


def tree(rng: random.Random, size: int) -> MeterQuestion | Diagnosis:
    """Any tree with so many verdicts."""
    if size == 1:
        return Diagnosis(f"between A:{rng.randint(1, 9)} and B: the wire " + "long " * rng.randint(0, 30))
    left = rng.randint(1, size - 1)
    answers = (MeterAnswer("good: 12.0 V", tree(rng, left)), MeterAnswer("bad: 0.0 V", tree(rng, size - left)))
    return MeterQuestion(
        f"C{rng.randint(1, 99)}:{rng.randint(1, 40)}", "behind the left kick panel, low down", "probe", answers
    )


def readable(scene: Scene) -> bool:
    return not (outside(scene) or too_small(scene) or overlapping_labels(scene) or struck_labels(scene))


@pytest.mark.parametrize("size", [1, 2, 3, 8, 21, 22, 23, 60, 150])
def test_trees_of_any_size_are_readable_and_complete(size: int) -> None:
    """No label overlaps or leaves the page; every question and verdict is on a sheet, each once."""
    plan = MeasurementPlan("dead", (), tree(random.Random(size), size))
    marks = marks_of(plan)
    scenes = decision_sheets(plan, marks, HEADING)
    shown = [text.text for scene in scenes for text in texts(scene)]
    drawn = [text.split(" ")[0] for text in shown if text.split(" ")[0] in marks.values() and GOES_ON not in text]

    assert all(readable(scene) for scene in scenes)
    assert sorted(drawn) == sorted(marks[id(one)] for one in (*questions(plan), *verdicts(plan)))


def test_what_goes_on_says_on_which_sheet() -> None:
    """Every question that is not drawn out is the root of the sheet it names."""
    plan = MeasurementPlan("dead", (), tree(random.Random(5), 150))
    scenes = decision_sheets(plan, marks_of(plan), HEADING)
    going = [text.text for scene in scenes for text in texts(scene) if GOES_ON in text.text]

    assert len(going) == len(scenes) - 1
    for text in going:
        head, _, sheet = text.partition(f": {GOES_ON} on sheet ")
        assert any(one.text == head for one in texts(scenes[int(sheet) - 1]))


@pytest.mark.parametrize("symptom", SYMPTOMS)
def test_the_example_s_trees_are_one_page(symptom: str) -> None:
    """Of the reading lamp and of the alternator: one readable sheet each."""
    plan = plan_for(traced(demo(), "alternator.D+" if symptom == "charge" else "reading-lamp-1"), symptom)
    scenes = decision_sheets(plan, marks_of(plan), HEADING)

    assert len(scenes) == 1
    assert readable(scenes[0])
