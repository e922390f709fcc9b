"""The files that ``compare -o`` writes: one page that holds everything, and every drawing by itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from harnesscheck.compare.compare import Comparison
from harnesscheck.draw.svg import svg
from harnesscheck.report.blocks.sheets import table_csv
from harnesscheck.report.blocks.vocabulary import Figure, Report
from harnesscheck.report.comparison import ComparisonFigures, comparison_report
from harnesscheck.report.drawings import figure, page_font
from harnesscheck.report.fuses import map_table, moves_of
from harnesscheck.report.pictures import PictureSheet, comparison_sheets, drawn_with
from harnesscheck.report.since import Since
from harnesscheck.write.filenames import safe_file_names


def comparison_folder(
    result: Comparison, inputs: Mapping[str, Any], *, notes: bool = False, since: Since | None = None
) -> tuple[Report, dict[str, bytes], list[str]]:
    """The report with its drawings, the files beside its page by name, a line for all that could not be drawn."""
    sheets, warnings = comparison_sheets(result, " + ".join(one["digest"] for one in inputs.values()))
    names = safe_file_names(sheet.name for sheet in sheets)
    fuses = map_table(moves_of(result))
    files = {"fuse-map.csv": table_csv(fuses)} if fuses.rows else {}
    files |= {f"{names[sheet.name]}.svg": svg(sheet.scene).encode("utf-8") for sheet in sheets}
    drawn = _figures(sheets, drawn_with(result))
    return comparison_report(result, inputs, drawn, fuses, notes=notes, since=since), files, warnings


def _figures(sheets: Sequence[PictureSheet], beside: Mapping[str, str]) -> ComparisonFigures:
    by_finding: dict[str, tuple[Figure, ...]] = {}
    for number, sheet in enumerate(sheets):
        drawn = replace(figure(sheet.scene, sheet.caption, number), faces=sheet.faces, told=sheet.told)
        by_finding[sheet.finding] = (*by_finding.get(sheet.finding, ()), drawn)
    overview = by_finding.pop("", ())
    return ComparisonFigures(by_finding, overview, beside, page_font(sheet.scene for sheet in sheets))
