"""Checklists as files: CSV to fill in, and text to print."""

from __future__ import annotations

from collections.abc import Iterator

from harnesscheck.bench.checklists import Checklist, checklists
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.paragraphs import wrapped
from harnesscheck.report.stops import stop_lines
from harnesscheck.report.trace_words import CAUTIONS
from harnesscheck.write.tables import csv_text


def checklist_files(study: Study) -> dict[str, bytes]:
    """``checklist-NAME.csv`` and ``checklist-NAME.txt`` for every list of a car."""
    files = {}
    for one in checklists(study):
        files[f"checklist-{one.name}.csv"] = csv_text(one.columns, [dict(row) for row in one.rows]).encode("utf-8")
        files[f"checklist-{one.name}.txt"] = "\n".join([*checklist_lines(one, study), ""]).encode("utf-8")
    return files


def checklist_lines(one: Checklist, study: Study) -> Iterator[str]:
    """One list in 80 columns, a box to tick before every line, under a heading for each group."""
    head = f"{one.title}: {study.vehicle.name}"
    yield from wrapped(head)
    yield "=" * min(80, len(head))
    yield from stop_lines(study)
    group = None
    first = one.columns[0]
    for row in one.rows:
        if row.get(first) != group:
            group = row.get(first)
            yield ""
            yield from wrapped(group or "-")
        words = ", ".join(row[name] for name in one.columns[1:] if row.get(name))
        yield from wrapped(f"[ ] {words}", "  ", "      ")
    yield ""
    for caution in CAUTIONS[1:]:
        yield from wrapped(caution)
