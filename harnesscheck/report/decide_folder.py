"""The files that ``decide -o`` writes: one page that holds everything, lists and work sheets, the finished car."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

from harnesscheck.assemble.choice import DONOR
from harnesscheck.bench.ringout.measurements import PAIRS, ring_out
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.plugs.wholeset import with_origins
from harnesscheck.decide.lists import lists
from harnesscheck.decide.plan import Plan
from harnesscheck.draw.page import A4, Stock
from harnesscheck.draw.scene import Scene
from harnesscheck.draw.svg import svg
from harnesscheck.draw.targets import OVERVIEW, DrawingAsked, NotDrawn, draw_target
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.benchdata import BenchStep
from harnesscheck.report.benchpage import FILE, bench_page
from harnesscheck.report.blocks.sheets import table_csv
from harnesscheck.report.blocks.vocabulary import Report, Table, table
from harnesscheck.report.decide import Decided, by_place, step_materials, timetable
from harnesscheck.report.decide_blocks import OVERVIEW_SAYS, decision_report, list_table
from harnesscheck.report.drawings import figure, page_font
from harnesscheck.report.ringout import RingoutReport
from harnesscheck.write.filenames import numbered


def decision_folder(decided: Decided, inputs: Mapping[str, Any]) -> tuple[Report, dict[str, bytes], list[str]]:
    """The report for a page, the files beside it by name, and a line for everything that could not be drawn.

    ``inputs`` are the files read, as the JSON report has them.
    """
    from harnesscheck.write.xml import xml_text

    best = decided.decision.best
    if decided.grounds is not None:  # nothing was chosen: there is no work to list
        return decision_report(decided, inputs), {}, []
    tables = lists(best, decided.donor, decided.shell)
    scenes, warnings = overview_of(best, " + ".join(one["digest"] for one in inputs.values()))
    overview = [figure(scene, OVERVIEW_SAYS, number) for number, scene in enumerate(scenes)]
    sheets = zip(numbered("overview", len(scenes)), scenes, strict=True)
    files = {f"{sheet}.svg": svg(scene).encode("utf-8") for sheet, scene in sheets}
    files |= {f"{one.name}.csv": table_csv(list_table(one)) for one in tables}
    files["work.csv"] = table_csv(_work_table(decided, best))
    car = best.car.netlist
    if best.mixes:
        car = with_origins(car, decided.donor, decided.shell, best.assembly)
    files["finished-car.xml"] = xml_text(car).encode("utf-8")
    files[FILE] = _bench(decided, best, files["finished-car.xml"], " + ".join(one["digest"] for one in inputs.values()))
    return decision_report(decided, inputs, tables, overview, page_font(scenes)), files, warnings


def _bench(decided: Decided, plan: Plan, car: bytes, digest: str) -> bytes:
    """The page to work by: the plan's steps, and the ring-out of the finished car's file."""
    study = Study(plan.car)
    behaviour = Behaviour(study)
    dangers = tuple(one for one in plan.left if one.severity <= Severity.DAMAGE and not one.accepted)
    of_file = hashlib.sha256(car).hexdigest()[:12]  # as a reader of that file has it
    found = RingoutReport(ring_out(study, PAIRS, behaviour.circuit), behaviour, of_file, dangers=dangers)
    steps = [
        BenchStep(step.id, step.do, place, step.hours.mean_h, step.after, step_materials(step), step.done_h)
        for place, some in by_place(decided, plan)
        for step in some
    ]
    return bench_page(found, digest, steps)


def sources_of(plan: Plan) -> Mapping[str, str]:
    """By harness of the finished car: donor, shell, or new for what was made at the bench."""
    made = plan.assembly
    found: dict[str, str] = {}
    for group in plan.groups:
        label = plan.labels[group.id]
        names, pairs = (group.donor, made.from_donor) if label == DONOR else (group.shell, made.from_shell)
        found |= {pairs.harness[name].shell: label for name in names if name in pairs.harness}
    return {name: found.get(name, "new") for name in plan.car.harnesses}


def overview_of(plan: Plan, digest: str, stock: Stock = A4) -> tuple[list[Scene], list[str]]:
    """The finished car, every harness lettered by its source, every plug with a fault marked."""
    if not plan.car.harnesses:
        return [], []
    marks: dict[str, str] = {}
    for finding in plan.left:
        for name in (finding.shell.connector, plan.car.mate_of.get(finding.shell.connector, "")):
            marks.setdefault(name, finding.severity.word)
    asked = DrawingAsked(digest=digest, marks=marks, sources=sources_of(plan), stock=stock)
    drawn = draw_target(Study(plan.car), OVERVIEW, asked=asked)
    return ([], [str(drawn)]) if isinstance(drawn, NotDrawn) else ([sheet.scene for sheet in drawn], [])


def _work_table(decided: Decided, plan: Plan) -> Table:
    """Every step by place, with room for initials."""
    slots = {slot.task: slot for slot in timetable(decided, plan).slots}
    rows = [
        (
            place,
            step.id,
            step.do,
            f"{step.hours.mean_h:.2f}",
            str(slots[step.id].person),
            f"{slots[step.id].start_h:.1f}",
            " ".join(step.after),
            f"{step.done_h:g}" if step.done_h is not None else "",
            "",
        )
        for place, steps in by_place(decided, plan)
        for step in steps
    ]
    columns = ("place", "step", "do", "#hours", "#person", "#from-hour", "after", "done", "initials")
    return table("Work", columns, rows)
