"""A plan of measurements as text, one page, and as JSON: numbered questions, lettered verdicts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from harnesscheck.bench.symptoms.plans import Diagnosis, MeasurementPlan, MeterQuestion, questions, verdicts
from harnesscheck.report.paragraphs import wrapped
from harnesscheck.report.traced import Section


def plan_section(plan: MeasurementPlan) -> Section:
    """The plan under its heading."""
    return Section(f"WHAT TO MEASURE NEXT: {plan.complaint}", tuple(_lines(plan)))


def _lines(plan: MeasurementPlan) -> Iterator[str]:
    for text in plan.intro:
        yield from wrapped(text)
    yield ""
    marks = marks_of(plan)
    for question in questions(plan):
        yield from wrapped(f"{marks[id(question)]:>2}  {_where(question)}", "", "    ")
        yield from wrapped(question.how, "    ")
        for answer in question.answers:
            yield from wrapped(f"{answer.reading}  -> {marks[id(answer.next)]}", "      ", "        ")
    if isinstance(plan.root, MeterQuestion):
        yield ""
    known = list({id(one): one for one in verdicts(plan)}.values())
    for verdict in known:
        yield from wrapped(f"{marks[id(verdict)]:>2}  {verdict.text}", "", "    ")
    yield ""
    for do in dict.fromkeys(one.do for one in known if one.do):
        at = [marks[id(one)] for one in known if one.do == do]
        yield from wrapped(f"{', '.join(at)}: {do}", "Do at ", "    ")
    if plan.notes:
        yield ""
        for note in plan.notes:
            yield from ([note] if len(note) <= 80 else wrapped(note))


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
