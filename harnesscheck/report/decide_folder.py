"""The files that ``decide -o`` writes: one page that holds everything, lists and work sheets, the finished car."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from harnesscheck.assemble.choice import DONOR
from harnesscheck.compare.plugs.wholeset import with_origins
from harnesscheck.decide.lists import ListTable, lists
from harnesscheck.decide.plan import Plan
from harnesscheck.draw.scene import Scene, texts
from harnesscheck.draw.svg import font_css, svg
from harnesscheck.draw.targets import OVERVIEW, DrawingAsked, NotDrawn, draw_target
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.decide import Decided, by_place, timetable
from harnesscheck.report.decide_page import Drawings, decision_page
from harnesscheck.report.drawings import without_footer
from harnesscheck.write.tables import csv_text


def decision_folder(decided: Decided, digests: Sequence[str]) -> tuple[dict[str, bytes], list[str]]:
    """The files by name, and a line for everything that could not be drawn.

    ``digests`` are the donor's and the shell's, and the swap sheet's where there is one.
    """
    from harnesscheck.write.xml import xml_text

    best = decided.decision.best
    tables = lists(best, decided.donor, decided.shell)
    scenes, warnings = _overview(best, " + ".join(digests))
    drawings = Drawings(
        tuple(svg(without_footer(scene), prefix=f"s{at}-", embed_font=False) for at, scene in enumerate(scenes)),
        font_css([text.text for scene in scenes for text in texts(scene)]) if scenes else "",
    )
    files = {"report.html": decision_page(decided, tables, drawings, digests).encode("utf-8")}
    for at, scene in enumerate(scenes):
        files[f"overview{f'-{at + 1}' if len(scenes) > 1 else ''}.svg"] = svg(scene).encode("utf-8")
    files |= {f"{table.name}.csv": _csv(table) for table in (*tables, _work_table(decided, best))}
    car = (
        with_origins(best.car.netlist, decided.donor, decided.shell, best.assembly) if best.mixes else best.car.netlist
    )
    files["finished-car.xml"] = xml_text(car).encode("utf-8")
    return files, warnings


def sources_of(plan: Plan) -> Mapping[str, str]:
    """By harness of the finished car: donor, shell, or new for what was made at the bench."""
    made = plan.assembly
    found: dict[str, str] = {}
    for group in plan.groups:
        label = plan.labels[group.id]
        names, pairs = (group.donor, made.from_donor) if label == DONOR else (group.shell, made.from_shell)
        found |= {pairs.harness[name].shell: label for name in names if name in pairs.harness}
    return {name: found.get(name, "new") for name in plan.car.harnesses}


def _overview(plan: Plan, digest: str) -> tuple[list[Scene], list[str]]:
    """The finished car, every harness lettered by its source, every plug with a fault marked."""
    if not plan.car.harnesses:
        return [], []
    marks: dict[str, str] = {}
    for finding in plan.left:
        for name in (finding.shell.connector, plan.car.mate_of.get(finding.shell.connector, "")):
            marks.setdefault(name, finding.severity.word)
    asked = DrawingAsked(digest=digest, marks=marks, sources=sources_of(plan))
    drawn = draw_target(Study(plan.car), OVERVIEW, asked=asked)
    return ([], [str(drawn)]) if isinstance(drawn, NotDrawn) else ([sheet.scene for sheet in drawn], [])


def _csv(table: ListTable) -> bytes:
    return csv_text(table.columns, [dict(row) for row in table.rows]).encode("utf-8")


def _work_table(decided: Decided, plan: Plan) -> ListTable:
    slots = {slot.task: slot for slot in timetable(decided, plan).slots}
    rows = tuple(
        {
            "place": place,
            "step": step.id,
            "do": step.do,
            "hours": f"{step.hours.mean_h:.2f}",
            "person": str(slots[step.id].person),
            "from-hour": f"{slots[step.id].start_h:.1f}",
            "after": " ".join(step.after),
            "done": f"{step.done_h:g}" if step.done_h is not None else "",
            "initials": "",
        }
        for place, steps in by_place(decided, plan)
        for step in steps
    )
    columns = ("place", "step", "do", "hours", "person", "from-hour", "after", "done", "initials")
    return ListTable("work", "Every step by place, with room for initials", columns, rows)
