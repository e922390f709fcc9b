"""A plan of measurements as blocks and as JSON: numbered questions, lettered verdicts."""

from __future__ import annotations

from typing import Any

from harnesscheck.bench.symptoms.plans import Diagnosis, MeasurementPlan, MeterQuestion, questions, verdicts
from harnesscheck.report.blocks.vocabulary import (
    Facts,
    MarkedText,
    MarkedTexts,
    Section,
    paragraphs,
    passage,
    present,
)


def plan_section(plan: MeasurementPlan) -> Section:
    """The plan under its heading: the questions in order, the verdicts they lead to, what to do at each."""
    marks = marks_of(plan)
    asked = [
        MarkedText(
            marks[id(one)],
            _where(one),
            one.how,
            tuple((answer.reading, marks[id(answer.next)]) for answer in one.answers),
        )
        for one in questions(plan)
    ]
    known = list({id(one): one for one in verdicts(plan)}.values())
    told = tuple(MarkedText(marks[id(one)], one.text) for one in known)
    todo = tuple(
        (f"Do at {', '.join(marks[id(one)] for one in known if one.do == do)}", do)
        for do in dict.fromkeys(one.do for one in known if one.do)
    )
    return Section(
        "What to measure next",
        present(
            passage(*paragraphs(plan.intro)),
            MarkedTexts("Questions", tuple(asked)) if asked else None,
            MarkedTexts("Verdicts", told) if told else None,
            passage(Facts(todo)) if todo else None,
            passage(*paragraphs(plan.notes)),
        ),
        plan.complaint,
    )


def _where(question: MeterQuestion) -> str:
    return question.place + (f", {question.at}" if question.at else "")


def marks_of(plan: MeasurementPlan) -> dict[int, str]:
    """A number for every question and letters for every verdict, by identity."""
    marks = {id(one): str(number) for number, one in enumerate(questions(plan), start=1)}
    seen = dict.fromkeys(id(one) for one in verdicts(plan))
    return marks | {one: letters(number) for number, one in enumerate(seen)}


def letters(number: int) -> str:
    """A … Z, AA, AB …

    >>> letters(0), letters(25), letters(26)
    ('A', 'Z', 'AA')
    """
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text


def plan_document(plan: MeasurementPlan) -> dict[str, Any]:
    """The plan for programs: a tree of questions and verdicts."""
    return {"complaint": plan.complaint, "intro": list(plan.intro), "root": _node(plan.root), "notes": list(plan.notes)}


def _node(node: MeterQuestion | Diagnosis) -> dict[str, Any]:
    if isinstance(node, Diagnosis):
        return {"verdict": node.text, "do": node.do, "between": list(node.places)}
    return {
        "place": node.place,
        "at": node.at,
        "how": node.how,
        "answers": [{"reading": answer.reading, "next": _node(answer.next)} for answer in node.answers],
    }
