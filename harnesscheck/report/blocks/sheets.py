"""Tables of a report as files for a spreadsheet. Cells that it would take for a formula are guarded."""

from __future__ import annotations

from harnesscheck.report.blocks.vocabulary import Table
from harnesscheck.write.tables import csv_text


def table_csv(made: Table) -> bytes:
    """A table as CSV under the names of its columns, UTF-8, line feeds only."""
    names = [head.name for head in made.heads]
    return csv_text(names, [dict(zip(names, row, strict=True)) for row in made.rows]).encode("utf-8")
