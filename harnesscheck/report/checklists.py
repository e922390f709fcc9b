"""Checklists as files: CSV to fill in, and text to print."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from harnesscheck.lists.checklists import checklists
from harnesscheck.lists.listtable import ListTable
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.blocks.sheets import table_csv
from harnesscheck.report.blocks.terminal import block_lines
from harnesscheck.report.blocks.vocabulary import AnyBlock, Caution, Listing, Passage, Section, present, table
from harnesscheck.report.stops import stop_block
from harnesscheck.report.trace_words import CAUTIONS


def checklist_files(study: Study) -> dict[str, bytes]:
    """``checklist-NAME.csv`` and ``checklist-NAME.txt`` for every list of a car."""
    files = {}
    for one in checklists(study):
        rows = ([row.get(name, "") for name in one.columns] for row in one.rows)
        files[f"checklist-{one.name}.csv"] = table_csv(table(one.says, one.columns, rows))
        lines = block_lines(checklist_blocks(one, study))
        files[f"checklist-{one.name}.txt"] = "\n".join([*lines, ""]).encode("utf-8")
    return files


def checklist_blocks(one: ListTable, study: Study) -> tuple[AnyBlock, ...]:
    """One list with a box to tick before every line, a passage for each group, the cautions under all."""
    first, *others = one.columns
    groups = tuple(
        Passage((Listing(tuple(_words(row, others) for row in rows), tick=True),), group or "-")
        for group, rows in groupby(one.rows, key=lambda row: row.get(first))
    )
    return Section(one.says, present(stop_block(study), *groups), study.vehicle.name), Caution(CAUTIONS[1:])


def _words(row: Mapping[str, str], columns: Sequence[str]) -> str:
    return ", ".join(row[name] for name in columns if row.get(name))
