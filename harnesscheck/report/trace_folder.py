"""The drawings of a trace and the files that ``trace -o`` writes beside its page."""

from __future__ import annotations

from collections.abc import Sequence

from harnesscheck.bench.symptoms.plans import MeasurementPlan
from harnesscheck.draw.decisions import decision_sheets
from harnesscheck.draw.page import SheetHeading
from harnesscheck.draw.scene import Scene
from harnesscheck.draw.stops import with_stops
from harnesscheck.draw.svg import svg
from harnesscheck.report.blocks.terminal import terminal_text
from harnesscheck.report.blocks.vocabulary import Report
from harnesscheck.report.plan_text import marks_of
from harnesscheck.report.trace import condition_words
from harnesscheck.report.traced import Traced
from harnesscheck.write.filenames import numbered, safe_file_name


def tree_drawn(traced: Traced, plan: MeasurementPlan, digest: str) -> list[Scene]:
    """The tree of measurements, a sheet or more."""
    heading = SheetHeading(
        title=f"{traced.trace.target.name} {plan.complaint}: what to measure next",
        subtitle=f"{condition_words(traced.trace.condition)}; {traced.trace.study.vehicle.name}",
        footer="Set-up, limits, what to do at each letter: in the text.",
        digest=digest,
        description=f"A tree of measurements from the complaint {plan.complaint} to the place of the fault.",
    )
    drawn = decision_sheets(plan, marks_of(plan), heading)
    return [with_stops(scene, traced.trace.study) for scene in drawn]


def trace_folder(traced: Traced, report: Report, complaint: str, tree: Sequence[Scene]) -> dict[str, bytes]:
    """The files by name: the sheet as text, the tree of a complaint as drawings."""
    name = safe_file_name(traced.trace.target.name)
    files = {f"trace-{name}.txt": terminal_text(report).encode("utf-8")}
    for sheet, scene in zip(numbered(f"tree-{name}-{complaint}", len(tree)), tree, strict=True):
        files[f"{sheet}.svg"] = svg(scene).encode("utf-8")
    return files
