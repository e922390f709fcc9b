"""A decision as blocks: to read first, to print, and to sign at the car."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from harnesscheck.decide.grounds import Grounds
from harnesscheck.decide.leads import BuildSheet, build_sheets
from harnesscheck.decide.plan import Plan, WorkStep
from harnesscheck.decide.reasons import headline, proof, reasons
from harnesscheck.lists.listtable import ListTable
from harnesscheck.lists.rungs import next_sentence
from harnesscheck.report.blocks.vocabulary import (
    Answer,
    AnyBlock,
    BriefOrFull,
    Caution,
    Figure,
    Folded,
    Listing,
    Paragraph,
    Passage,
    Report,
    RowGroup,
    Section,
    Steps,
    Table,
    TickStep,
    heads,
    paragraphs,
    present,
    section,
    table,
)
from harnesscheck.report.cars import car_words
from harnesscheck.report.decide import (
    CAUTIONS,
    LEFT_SAYS,
    MOST_LEFT,
    Decided,
    alternatives,
    answer_said,
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
from harnesscheck.report.findings import finding_card
from harnesscheck.report.stops import stop_block
from harnesscheck.trade.sizes import with_unit

OVERVIEW_SAYS = "The finished car: D comes from the donor, S is the shell's own, N is made new; faults left are marked"
FOLDED = ("unplug-and-label",)  # lists so long that they open at a touch; on paper they are open
NOT_LISTED = ("adapter-leads",)  # shown as build sheets
HOW_TO_TICK = "Tick and sign each step. The name in brackets is the step's own: it goes into [done]."


def decision_report(
    decided: Decided,
    inputs: Mapping[str, Any],
    tables: Sequence[ListTable] = (),
    overview: Sequence[Figure] = (),
    font_css: str = "",
) -> Report:
    """The whole answer; ``tables`` and the drawn ``overview`` are for pages."""
    if decided.grounds is not None:
        return _refusal(decided, decided.grounds, inputs, font_css)
    decision, best = decided.decision, decided.decision.best
    flips = tuple(flip_sentences(decision))
    blocks = present(
        stop_block(decided.donor, decided.shell),
        Answer(*answer_said(decided), "good" if best.proven else "bad"),
        Paragraph(hours_sentence(decided, best)),
        _left(best) if best.left else None,
        _whole(decided, decision.whole) if decision.whole is not None else None,
        section("Why", Listing(tuple(reasons(decision)))),
        _side_by_side(decided),
        BriefOrFull((), (Section("The car", tuple(overview) or (Paragraph(NOT_DRAWN),)),)),
        Caution(CAUTIONS, "Before anybody starts"),
        section("The work, place by place", BriefOrFull((), (Paragraph(HOW_TO_TICK),)), *_work(decided), id="work"),
        BriefOrFull((), tuple(lead_sections(best))),
        _when(decided),
        BriefOrFull((), (Section("Lists", tuple(_lists(tables))),)) if tables else None,
        section("What would change the answer", Listing(flips), id="change") if flips else None,
        section("What this rests on, and what is not known", Listing(tuple(rests_on(best))), id="rests"),
        section("What would tell more", Paragraph(next_sentence({"donor": decided.donor, "shell": decided.shell}))),
    )
    return _report(decided, blocks, inputs, font_css)


def _report(decided: Decided, blocks: tuple[AnyBlock, ...], inputs: Mapping[str, Any], font_css: str) -> Report:
    cars = (("donor", decided.donor), ("shell", decided.shell))
    title = f"{decided.donor.vehicle.name} into {decided.shell.vehicle.name}"
    return Report(title, tuple((word, car_words(car.vehicle)) for word, car in cars), blocks, inputs, font_css)


def _refusal(decided: Decided, grounds: Grounds, inputs: Mapping[str, Any], font_css: str) -> Report:
    """The report where the files allow no decision: what stands, what cannot be said, what would pay most."""
    said, proven = answer_said(decided)
    blocks = present(
        stop_block(decided.donor, decided.shell),
        Answer(said, proven, "bad"),
        section("What stands", Listing(grounds.stands)),
        section("What cannot be said", Listing(grounds.cannot)),
        section("What would pay most, the best first", Listing(grounds.ask)),
        Caution(CAUTIONS, "Before anybody starts"),
    )
    return _report(decided, blocks, inputs, font_css)


NOT_DRAWN = "The overview could not be drawn on this machine."


def _left(plan: Plan) -> Section | None:
    """What no work listed here removes: the worst on a terminal, and how many more of which kind."""
    more = Counter(one.kind.replace("-", " ") for one in plan.left[MOST_LEFT:])
    kinds = ", ".join(f"{count} {kind}" for kind, count in more.most_common())
    brief = Listing(
        tuple(map(left_sentence, plan.left)), most=MOST_LEFT, where=f"({kinds}); the page that -o writes has them all"
    )
    none = f"No work listed here removes these, and the plan is not proven while they stand. {LEFT_SAYS}"
    full: tuple[AnyBlock, ...] = (Paragraph(none), *(finding_card(finding, "car") for finding in plan.left))
    return section("What is left wrong", BriefOrFull((Paragraph(LEFT_SAYS), brief), full), id="left")


def _whole(decided: Decided, whole: Plan) -> Section | None:
    """Where the best plan mixes the restraint sets of two cars: the best that does not."""
    said = (headline(whole), proof(whole), hours_sentence(decided, whole))
    return section("The best plan that keeps the set of one car", Listing(said), id="whole")


def _side_by_side(decided: Decided) -> Section | None:
    (_, *names), rows = alternatives(decided.decision)
    plans = table("Plans side by side", ("", *(f"#{name}" for name in names)), rows)
    return section("Side by side", plans, Paragraph(weighed(decided.decision)), id="side")


# -- the work


def _work(decided: Decided) -> Iterator[AnyBlock]:
    """A sheet for every place, with a box to tick and room for initials at every step."""
    slots = {slot.task: slot for slot in timetable(decided, decided.decision.best).slots}
    for place, steps in by_place(decided, decided.decision.best):
        sheet = Steps(f"Work: {place}", tuple(tick_step(step, slots[step.id].person) for step in steps))
        yield Passage((sheet,), place[:1].upper() + place[1:])


def tick_step(step: WorkStep, person: int) -> TickStep:
    """A step to tick and sign: its hours, who does it, the wire it needs."""
    hours = f"{step.done_h:g}" if step.done_h is not None else f"{step.hours.mean_h:.1f}"
    return TickStep(step.id, step.do, hours, str(person), step_materials(step), step.done_h is not None)


def lead_sections(plan: Plan) -> Iterator[Section]:
    """The build sheets of a plan's adapter leads, where it has any."""
    sheets = build_sheets(plan)
    if sheets:
        yield Section("Adapter leads to make", tuple(map(_lead, sheets)), id="leads")


def _lead(sheet: BuildSheet) -> Passage:
    at = f", {sheet.at}" if sheet.at else ""
    told = (
        f"Between {sheet.first} and {sheet.second}{at}. Plug for {sheet.first}: {sheet.first_plug}. "
        f"Plug for {sheet.second}: {sheet.second_plug}."
    )
    names = (f"{sheet.first} cavity", f"{sheet.second} cavity", "circuit", "colour", "size", "length", "made")
    rows = [
        (
            wire.from_cavity,
            wire.to_cavity,
            wire.circuit,
            wire.colour or "?",
            with_unit(wire.size) or "?",
            f"{wire.length_m:g} m" if wire.length_m is not None else "?",
            "",
        )
        for wire in sheet.wires
    ]
    wires = table(f"Adapter lead {sheet.name}", names, rows, fill=True)
    return Passage((Paragraph(told), wires), sheet.name[:1].upper() + sheet.name[1:])


def _when(decided: Decided) -> Section | None:
    best = decided.decision.best
    steps = {step.id: step for step in best.steps}
    slots = [slot for slot in timetable(decided, best).slots if slot.end_h > slot.start_h]
    times = [(f"{slot.start_h:.1f}", f"{slot.end_h:.1f}", str(slot.person)) for slot in slots]
    brief = table("Schedule", ("#from hour", "#to", "#person", "step"), [
        (*time, slot.task) for time, slot in zip(times, slots, strict=True)
    ])  # fmt: skip
    full = table("Schedule", ("#from hour", "#to", "#person", "what", "place"), [
        (*time, steps[slot.task].do, where(steps[slot.task])) for time, slot in zip(times, slots, strict=True)
    ])  # fmt: skip
    told = paragraphs(schedule_sentences(decided, best))
    return section("Who does what when", BriefOrFull((brief,), (full,)), *told, id="when")


# -- lists


def _lists(tables: Sequence[ListTable]) -> Iterator[AnyBlock]:
    for one in sorted(tables, key=lambda each: each.name in FOLDED):
        if one.name in NOT_LISTED:
            continue
        title = one.name.replace("-", " ").capitalize()
        says = Paragraph(f"{one.says}. File: {one.name}.csv.")
        content = list_table(one) if one.rows else Paragraph("Nothing.")
        if one.name in FOLDED and one.rows:
            yield Folded(f"{title}: {len(one.rows)} plugs", (says, content))
        else:
            yield Passage((says, content), title)


def list_table(one: ListTable) -> Table:
    """A list as a table of a report."""
    rows = tuple(tuple(row.get(name, "") for name in one.columns) for row in one.rows)
    return Table(one.name.replace("-", " ").capitalize(), heads(*one.columns), (RowGroup("", rows),))
