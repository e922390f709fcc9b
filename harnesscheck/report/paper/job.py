"""The sheets of a decided job, by name: made of what decide, compare, ringout and loads say, and of nothing else."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import Any

from harnesscheck.compare.built import BuiltComparison
from harnesscheck.compare.carries.fusecard import fuse_card
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.decide.lists import lists
from harnesscheck.decide.plan import Plan
from harnesscheck.draw.page import Stock
from harnesscheck.draw.scene import Scene
from harnesscheck.draw.targets import DrawingAsked, NotDrawn, draw_target
from harnesscheck.lists.listtable import ListTable
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.guards import feeds_of
from harnesscheck.report.blocks.vocabulary import (
    Answer,
    AnyBlock,
    Caution,
    Facts,
    Listing,
    Paragraph,
    Passage,
    RowGroup,
    Steps,
    Table,
    heads,
    present,
    section,
)
from harnesscheck.report.cars import car_words
from harnesscheck.report.decide import (
    CAUTIONS,
    LEFT_SAYS,
    Decided,
    answer_said,
    by_place,
    hours_sentence,
    left_sentence,
    rests_on,
    timetable,
)
from harnesscheck.report.decide_blocks import HOW_TO_TICK, lead_sections, list_table, tick_step
from harnesscheck.report.decide_folder import overview_of
from harnesscheck.report.findings import finding_card
from harnesscheck.report.fuses import card_table
from harnesscheck.report.paper.finder import colour_finder
from harnesscheck.report.paper.flags import flags
from harnesscheck.report.paper.labels import LabelSheet, LabelStock
from harnesscheck.report.paper.pages import Foot, Sheet, job_pdf
from harnesscheck.report.pictures import PictureSheet, comparison_sheets
from harnesscheck.report.ringout import RingoutReport, ringout_tables
from harnesscheck.report.ringout_blocks import ringout_parts
from harnesscheck.report.stops import stop_block

COVER = "cover"
MOST_LEFT = 6  # faults on the cover; all stand on a sheet of their own
MOST_RESTS = 6
HOLD_STEPS = ("wait-", "open-", "close-")
WRITE_IN = frozenset({"read", "note", "done", "made", "initials"})  # columns that a person fills in


@dataclass(frozen=True)
class Job:
    """A decided job and how it is to be printed. ``ringout`` and ``built`` are made when a sheet asks for them."""

    decided: Decided
    inputs: Mapping[str, Any]
    foot: Foot
    stock: Stock
    labels: LabelStock
    ringout_of: Callable[[], RingoutReport]
    built_of: Callable[[], BuiltComparison]

    @property
    def best(self) -> Plan:
        """The plan that is proposed."""
        return self.decided.decision.best

    @cached_property
    def ringout(self) -> RingoutReport:
        """What is measured in the finished car."""
        return self.ringout_of()

    @cached_property
    def finished(self) -> Study:
        """The finished car."""
        return self.ringout.ringout.looms.study

    @cached_property
    def built(self) -> BuiltComparison:
        """The donor against the car that the plan puts together."""
        return self.built_of()

    @cached_property
    def pictures(self) -> list[PictureSheet]:
        """What differs where the two cars will be mated, drawn; without the overview."""
        made, _ = comparison_sheets(self.built, self.foot.digest, Severity.REWORK, self.stock)
        return [one for one in made if one.finding]

    @cached_property
    def lists(self) -> dict[str, ListTable]:
        """The plan's lists by name."""
        return {one.name: one for one in lists(self.best, self.decided.donor, self.decided.shell)}


def printed(job: Job, names: Sequence[str]) -> bytes:
    """The sheets asked for, in their usual order, as one PDF; where nothing could be chosen the cover says so alone."""
    title = f"{job.decided.donor.vehicle.name} into {job.decided.shell.vehicle.name}"
    wanted = [name for name in SHEETS if name in names] if job.decided.grounds is None else [COVER]
    made = [sheet for name in wanted for sheet in SHEETS[name](job)] or [_none(wanted)]
    return job_pdf(title, job.foot, made, job.stock)


def _none(names: Sequence[str]) -> Sheet:
    """What is printed where this job has none of the sheets asked for."""
    return Sheet("Nothing to print", (Paragraph(f"This job has nothing for: {', '.join(names)}."),))


# -- the answer


def _cover(job: Job) -> Iterator[Sheet]:
    decided, best = job.decided, job.best
    about = [("donor", car_words(decided.donor.vehicle)), ("shell", car_words(decided.shell.vehicle))]
    given = [("car", job.foot.car), ("date", job.foot.date)]
    facts = Facts(tuple((word, text) for word, text in (*given, *about) if text))
    proven = best.proven and decided.grounds is None
    blocks = present(
        facts,
        stop_block(decided.donor, decided.shell),
        Answer(*answer_said(decided), "good" if proven else "bad"),
        *(_answered(job) if decided.grounds is None else _refused(job)),
        Caution(CAUTIONS, "Before anybody starts"),
    )
    yield Sheet("The job", blocks, contents=decided.grounds is None)


def _answered(job: Job) -> Iterator[AnyBlock | None]:
    best = job.best
    yield Paragraph(hours_sentence(job.decided, best))
    texts = tuple(map(left_sentence, best.left))
    more = "Each with what to do: sheet What is left wrong." if len(texts) > MOST_LEFT else ""
    if texts:
        yield Listing(texts, f"What is left wrong. {LEFT_SAYS}", most=MOST_LEFT, noun="faults", where=more)
    holds = tuple(f"{one.do} ({one.id})" for one in best.steps if one.id.startswith(HOLD_STEPS))
    yield section("Hold points: the work stops here until it is done", Listing(holds, tick=True)) if holds else None
    rests = tuple(rests_on(best))
    yield section("What this rests on", Listing(rests, most=MOST_RESTS, noun="things", where="(decide says all)"))


def _refused(job: Job) -> Iterator[AnyBlock | None]:
    grounds = job.decided.grounds
    if grounds is not None:
        yield section("What stands", Listing(grounds.stands)) if grounds.stands else None
        yield section("What cannot be said", Listing(grounds.cannot)) if grounds.cannot else None
        yield section("What would pay most, the best first", Listing(grounds.ask)) if grounds.ask else None


def _left(job: Job) -> Iterator[Sheet]:
    if job.best.left:
        told = Paragraph(f"No work of this plan removes these, and it is not proven while they stand. {LEFT_SAYS}")
        yield Sheet("What is left wrong", (told, *(finding_card(one, "car") for one in job.best.left)))


# -- drawings


def _overview(job: Job) -> Iterator[Sheet]:
    scenes, warnings = overview_of(job.best, job.foot.digest, job.stock)
    notes = tuple(map(Paragraph, warnings))
    if scenes or warnings:
        yield Sheet("The finished car", notes, drawings=tuple((scene.title, scene) for scene in scenes))


def _meetings(job: Job) -> Iterator[Sheet]:
    drawn = tuple((one.caption, one.scene) for one in job.pictures if not one.name.startswith("circuit-"))
    told = Paragraph(
        "Every plug at which the two cars meet and differ, before the work of this plan: the donor above, below the "
        "car as it is put together. The work sheets say what is done there."
    )
    shown = {one.finding for one in job.pictures}
    cards = (finding_card(one, "car") for one in job.built.findings if one.id in shown)
    if drawn:
        yield Sheet("Meeting places", (told, *cards), drawings=drawn)


def _circuits(job: Job) -> Iterator[Sheet]:
    asked = DrawingAsked(digest=job.foot.digest, stock=job.stock)
    names: dict[str, None] = dict.fromkeys(repair.circuit for _, repair in job.best.work if repair.circuit)
    faults = (*job.best.left, *job.best.lost)
    names |= dict.fromkeys(spot.circuit for one in faults for spot in (one.shell, one.donor) if spot.circuit)
    drawn: list[tuple[str, Scene]] = []
    for name in names:
        for study in (job.finished, job.decided.donor):
            made = draw_target(study, name, asked=asked)
            if not isinstance(made, NotDrawn):
                drawn += [(one.scene.title, one.scene) for one in made]
                break
    drawn += [(one.caption, one.scene) for one in job.pictures if one.name.startswith("circuit-")]
    if drawn:
        yield Sheet("Circuits in question", (), drawings=tuple(drawn))


# -- the work


def _leads(job: Job) -> Iterator[Sheet]:
    made = tuple(block for one in lead_sections(job.best) for block in one.blocks)
    if made:
        yield Sheet("Adapter leads to make", made)


def _work(job: Job) -> Iterator[Sheet]:
    best = job.best
    slots = {slot.task: slot for slot in timetable(job.decided, best).slots}
    places = [
        Passage((Steps(place, tuple(tick_step(one, slots[one.id].person) for one in steps)),), place.capitalize())
        for place, steps in by_place(job.decided, best)
    ]
    stop = stop_block(job.decided.donor, job.decided.shell)
    yield Sheet("Work, place by place", present(stop, Paragraph(HOW_TO_TICK), *places))


def _listed(name: str, title: str, by: str = "") -> Callable[[Job], Iterator[Sheet]]:
    """A sheet of one of the plan's lists, grouped by a column where one is named."""

    def made(job: Job) -> Iterator[Sheet]:
        """The sheet; none where the list is empty."""
        one = job.lists[name]
        if one.rows:
            content = list_table(one)
            yield Sheet(title, (Paragraph(f"{one.says}."), _grouped(content, by) if by else content), lying=True)

    return made


def _grouped(content: Table, by: str) -> Table:
    """A table by the values of one of its columns, in the rows' order, without that column."""
    at = [head.name for head in content.heads].index(by)
    groups = tuple(
        RowGroup(value, tuple((*row[:at], *row[at + 1 :]) for row in rows))
        for value, rows in groupby(content.rows, key=lambda row: row[at])
    )
    return Table(content.title, (*content.heads[:at], *content.heads[at + 1 :]), groups, fill=content.fill)


# -- after the work


def _ringout(job: Job) -> Iterator[Sheet]:
    found = job.ringout
    blocks = ringout_parts(found, lines=False, sheet=True)
    first = job.lists["ring-out-first"]
    if first.rows:
        yield Sheet(
            "Ring out first: what was worked on", (Paragraph(f"{first.says}."), _fill(_grid(first))), lying=True
        )
    yield Sheet("Ring-out", blocks)
    tables = ringout_tables(found)
    for name in ("ring-out", "feeds under load"):
        if name in tables:
            head = next(at for at, row in enumerate(tables[name]) if "expect" in row)
            yield Sheet(_titled(name), (_fill(_by_place(tables[name][head:])),))


def _powerup(job: Job) -> Iterator[Sheet]:
    grid = ringout_tables(job.ringout).get("first power-up")
    stop = Caution(CAUTIONS, "Before power comes on")
    if grid:
        yield Sheet("First power-up", (stop, _fill(_table(grid))), lying=True)


def _titled(name: str) -> str:
    return "Ring-out, line by line" if name == "ring-out" else name.capitalize()


def _grid(one: ListTable) -> Table:
    return _grouped(list_table(one), "place")


def _by_place(grid: Sequence[Sequence[str]]) -> Table:
    return _grouped(_table(grid), "place")


def _table(grid: Sequence[Sequence[str]]) -> Table:
    names, *rows = grid
    return Table("", heads(*names), (RowGroup("", tuple(map(tuple, rows))),))


def _fill(content: Table) -> Table:
    return Table(content.title, content.heads, content.groups, fill=True)


def _fuses(job: Job) -> Iterator[Sheet]:
    behaviour = job.ringout.behaviour
    card = card_table(fuse_card(behaviour, feeds_of(behaviour.circuit)))
    checked = job.lists["fuses"]
    told = Paragraph(
        "Of the finished car. A fuse protects the wire behind it: never fit a bigger one. Read the number."
    )
    new = section(checked.says, list_table(checked)) if checked.rows else None
    if card.rows:
        yield Sheet("Fuse card", present(told, card, new), lying=True)


def _colours(job: Job) -> Iterator[Sheet]:
    found = colour_finder(job.finished)
    told = Paragraph("Every wire of the finished car by the colour in its file; a colour alone proves nothing.")
    if found.rows:
        yield Sheet("Which wire is this: by colour", present(stop_block(job.finished), told, found), lying=True)


def _labels(job: Job) -> Iterator[Sheet]:
    made = flags(job.best, job.decided.donor, job.decided.shell)
    told = Paragraph(
        f"{len(made)} flags for {job.labels.says}: contacts that are worked on first, then the plugs in the order of "
        "the walk, one for each half. Print at full size (100 %), and one sheet on plain paper first, to hold against "
        "the labels."
    )
    if made:
        yield Sheet("Labels", (told,), labels=LabelSheet(job.labels, made))


SHEETS: Mapping[str, Callable[[Job], Iterator[Sheet]]] = {
    COVER: _cover,
    "left": _left,
    "overview": _overview,
    "meetings": _meetings,
    "circuits": _circuits,
    "leads": _leads,
    "unplug": _listed("unplug-and-label", "Unplug and label", "place"),
    "work": _work,
    "pull": _listed("pull", "Save from the leftover car"),
    "shopping": _listed("shopping", "To buy"),
    "ring-out": _ringout,
    "power-up": _powerup,
    "fuses": _fuses,
    "colours": _colours,
    "labels": _labels,
}
