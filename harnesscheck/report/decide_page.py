"""The page of a decision: one HTML file to read first, to print, and to sign at the car."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from harnesscheck.decide.leads import BuildSheet, build_sheets
from harnesscheck.decide.lists import ListTable
from harnesscheck.decide.plan import Plan, WorkStep
from harnesscheck.decide.reasons import headline, proof, reasons
from harnesscheck.decide.supplies import size_words
from harnesscheck.report.decide import (
    CAUTIONS,
    LEFT_SAYS,
    Decided,
    alternatives,
    by_place,
    flip_sentences,
    hours_sentence,
    left_sentence,
    rests_on,
    schedule_sentences,
    step_materials,
    timetable,
    weighed,
    where,
)
from harnesscheck.report.html import clean, data, element, figure, listing, page_text, row, rows_of, table
from harnesscheck.report.stops import stop_elements

if TYPE_CHECKING:
    from lxml.etree import _Element

OVERVIEW_SAYS = "The finished car: D comes from the donor, S is the shell's own, N is made new; faults left are marked"
FOLDED = ("unplug-and-label",)  # lists so long that they open at a touch; on paper they are open
NOT_LISTED = ("adapter-leads",)  # shown as build sheets


@dataclass(frozen=True, slots=True)
class Drawings:
    """The overview as SVG texts without a font of their own, and the style that brings the font."""

    overview: tuple[str, ...] = ()
    font_css: str = ""


def decision_page(decided: Decided, tables: Sequence[ListTable], drawings: Drawings, digests: Sequence[str]) -> str:
    """The whole page; ``digests`` are the donor's and the shell's, and the swap sheet's where there is one."""
    title = f"{decided.donor.vehicle.name} into {decided.shell.vehicle.name}"
    body = (_top(decided), element("main", *_sections(decided, tables, drawings)), _foot(digests))
    return page_text(title, body, drawings.font_css)


# -- the answer


def _top(decided: Decided) -> _Element:
    best = decided.decision.best
    verdict = "proven" if best.proven else "unproven"
    return element(
        "header",
        element("h1", headline(best)),
        *stop_elements(decided.donor, decided.shell),
        element("p", element("strong", proof(best)), class_=f"proof {verdict}"),
        element("p", hours_sentence(decided, best)),
        element("p", f"Donor: {decided.donor.vehicle.name}. Shell: {decided.shell.vehicle.name}.", class_="soft"),
        _contents(left=bool(best.left), leads=bool(build_sheets(best)), change=any(flip_sentences(decided.decision))),
    )


def _contents(*, left: bool, leads: bool, change: bool) -> _Element:
    parts = [("left", "What is left wrong")] if left else []
    parts += [("why", "Why"), ("side", "Side by side"), ("car", "The car"), ("cautions", "Before you start")]
    parts += [("work", "Work sheets")] + ([("leads", "Adapter leads")] if leads else [])
    parts += [("when", "Who does what when"), ("lists", "Lists")]
    parts += [("change", "What would change it")] if change else []
    parts += [("rests", "What this rests on")]
    items = (element("li", element("a", words, href=f"#{name}")) for name, words in parts)
    return element("nav", element("ul", *items, class_="counts"), aria_label="On this page")


def _sections(decided: Decided, tables: Sequence[ListTable], drawings: Drawings) -> Iterator[_Element]:
    decision, best = decided.decision, decided.decision.best
    if best.left:
        yield _section("left", "What is left wrong", *_left(best))
    yield _section("why", "Why", listing(reasons(decision), "ol"))
    yield _side_by_side(decided)
    if drawings.overview:
        yield _section("car", "The car", *(figure(OVERVIEW_SAYS, svg) for svg in drawings.overview))
    else:
        yield _section("car", "The car", element("p", "The overview could not be drawn on this machine."))
    yield element("section", element("h2", "Before anybody starts"), listing(CAUTIONS), id="cautions", class_="caution")
    yield _section("work", "Work sheets, place by place", *_work(decided))
    sheets = build_sheets(best)
    if sheets:
        yield _section("leads", "Adapter leads to make", *(part for sheet in sheets for part in _lead(sheet)))
    yield _section("when", "Who does what when", *_when(decided))
    yield _section("lists", "Lists", *_lists(tables))
    yield from _change(decided)
    yield _rests(best)


def _section(name: str, title: str, *content: _Element) -> _Element:
    return element("section", element("h2", title), *content, id=name)


def _left(plan: Plan) -> Iterator[_Element]:
    yield element("p", f"No work listed here removes these, and the plan is not proven while they stand. {LEFT_SAYS}")
    for finding in plan.left:
        yield element(
            "div",
            element("p", element("strong", left_sentence(finding))),
            element("p", f"Do: {finding.do}"),
            class_=f"left {finding.severity.word}",
        )


def _side_by_side(decided: Decided) -> _Element:
    head, rows = alternatives(decided.decision)
    body = [
        element("tr", element("th", first, scope="row"), *(data(clean(cell)) for cell in cells))
        for first, *cells in rows
    ]
    return _section(
        "side",
        "Side by side",
        table("Plans side by side", head, body, "scroll whole"),
        element("p", weighed(decided.decision), class_="soft"),
    )


# -- the work


def _work(decided: Decided) -> Iterator[_Element]:
    """A sheet for every place, with a box to tick and one for initials at every step."""
    yield element("p", "Tick and sign each step. The name in brackets is the step's own: it goes into [done].")
    slots = {slot.task: slot for slot in timetable(decided, decided.decision.best).slots}
    for place, steps in by_place(decided, decided.decision.best):
        yield element("h3", place[:1].upper() + place[1:])
        rows = [_step(step, slots[step.id].person) for step in steps]
        yield table(f"Work: {place}", ("done", "step", "hours", "who", "initials"), rows, "scroll sheet")


def _step(step: WorkStep, person: int) -> _Element:
    text = element("td", step.do, " ", element("code", f"[{step.id}]"))
    if step_materials(step):
        text.append(element("p", step_materials(step), class_="soft"))
    done = step.done_h is not None
    hours = f"{step.done_h:g}" if step.done_h is not None else f"{step.hours.mean_h:.1f}"
    return element(
        "tr",
        element("td", _box(done)),
        text,
        data(hours),
        data(str(person)),
        element("td", element("span", class_="initials")),
    )


def _box(done: bool) -> _Element:
    return element("span", "x" if done else "", class_="box", role="img", aria_label="done" if done else "to do")


def _lead(sheet: BuildSheet) -> Iterator[_Element]:
    yield element("h3", sheet.name[:1].upper() + sheet.name[1:])
    where = f", {sheet.at}" if sheet.at else ""
    yield element(
        "p",
        f"Between {sheet.first} and {sheet.second}{where}. Plug for {sheet.first}: {sheet.first_plug}. "
        f"Plug for {sheet.second}: {sheet.second_plug}.",
    )
    head = (f"{sheet.first} cavity", f"{sheet.second} cavity", "circuit", "colour", "size", "length", "made")
    rows = [
        row(
            "td",
            wire.from_cavity,
            wire.to_cavity,
            wire.circuit,
            wire.colour or "?",
            size_words(wire.size) or "?",
            f"{wire.length_m:g} m" if wire.length_m is not None else "?",
            _box(False),
        )
        for wire in sheet.wires
    ]
    yield table(f"Adapter lead {sheet.name}", head, rows, "scroll wide sheet")


def _when(decided: Decided) -> Iterator[_Element]:
    best = decided.decision.best
    steps = {step.id: step for step in best.steps}
    rows = [
        row(
            "td",
            f"{slot.start_h:.1f}",
            f"{slot.end_h:.1f}",
            str(slot.person),
            steps[slot.task].do,
            where(steps[slot.task]),
        )
        for slot in timetable(decided, best).slots
        if slot.end_h > slot.start_h
    ]
    yield table("Schedule", ("from hour", "to", "person", "what", "place"), rows, "scroll wide")
    yield from (element("p", text) for text in schedule_sentences(decided, best))


# -- lists


def _lists(tables: Sequence[ListTable]) -> Iterator[_Element]:
    for one in sorted(tables, key=lambda each: each.name in FOLDED):
        if one.name in NOT_LISTED:
            continue
        title = one.name.replace("-", " ").capitalize()
        if not one.rows:
            content = element("p", "Nothing.", class_="soft")
        else:
            content = table(
                title, [name.replace("-", " ") for name in one.columns], rows_of(one.columns, one.rows), "scroll wide"
            )
        says = element("p", f"{one.says}. File: {one.name}.csv.")
        if one.name in FOLDED and one.rows:
            summary = element("summary", element("b", f"{title}: {len(one.rows)} plugs"))
            yield element("details", summary, says, content, class_="card")
        else:
            yield element("h3", title)
            yield from (says, content)


def _change(decided: Decided) -> Iterator[_Element]:
    sentences = list(flip_sentences(decided.decision))
    if sentences:
        yield _section("change", "What would change the answer", listing(sentences))


def _rests(plan: Plan) -> _Element:
    return _section("rests", "What this rests on, and what is not known", listing(rests_on(plan)))


def _foot(digests: Sequence[str]) -> _Element:
    *first, last = digests
    text = f"Made by harnesscheck from inputs {', '.join(first)} and {last}. An aid, not an approval."
    return element("footer", element("p", text, class_="soft"))
