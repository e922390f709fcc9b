"""The files that ``trace -o`` writes: the sheet as text, and the tree of measurements as drawings."""

from __future__ import annotations

from harnesscheck.bench.symptoms.plans import MeasurementPlan
from harnesscheck.draw.decisions import decision_sheets
from harnesscheck.draw.page import Heading
from harnesscheck.draw.svg import svg
from harnesscheck.report.plan_text import marks_of
from harnesscheck.report.trace import condition_words, trace_text
from harnesscheck.report.traced import Traced
from harnesscheck.write.atomic import safe_file_name


def trace_folder(traced: Traced, plan: MeasurementPlan | None, digest: str) -> dict[str, bytes]:
    """The files by name."""
    name = safe_file_name(traced.trace.target.name)
    files = {f"trace-{name}.txt": trace_text(traced).encode("utf-8")}
    if plan is not None:
        heading = Heading(
            title=f"{traced.trace.target.name} {plan.complaint}: what to measure next",
            subtitle=f"{condition_words(traced.trace.condition)}; {traced.trace.study.vehicle.name}",
            footer="Set-up, limits, what to do at each letter: in the text. Never measure airbags or high voltage.",
            digest=digest,
            description=f"A tree of measurements from the complaint {plan.complaint} to the place of the fault.",
        )
        scenes = decision_sheets(plan, marks_of(plan), heading)
        for number, scene in enumerate(scenes, start=1):
            sheet = f"-{number}" if len(scenes) > 1 else ""
            files[f"tree-{name}-{plan.complaint}{sheet}.svg"] = svg(scene).encode("utf-8")
    return files
