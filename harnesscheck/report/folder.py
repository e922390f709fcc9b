"""The files that ``compare -o`` writes: one page that holds everything, and every drawing by itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from harnesscheck.compare.compare import Comparison
from harnesscheck.draw.scene import texts
from harnesscheck.draw.svg import font_css, svg
from harnesscheck.report.blocks.sheets import table_csv
from harnesscheck.report.fuses import map_table, moves_of
from harnesscheck.report.page import Picture, Pictures, comparison_page
from harnesscheck.report.pictures import PictureSheet, comparison_sheets, drawn_with, without_footer
from harnesscheck.write.atomic import safe_file_names


def comparison_folder(result: Comparison, digests: Sequence[str]) -> tuple[dict[str, bytes], list[str]]:
    """The report's files by name, and a line for everything that could not be drawn."""
    sheets, warnings = comparison_sheets(result, " + ".join(digests))
    pictures = _pictures(sheets, drawn_with(result))
    names = safe_file_names(sheet.name for sheet in sheets)
    fuses = map_table(moves_of(result))
    rows = [dict(zip((head.name for head in fuses.heads), row, strict=True)) for row in fuses.rows]
    contents = {"report.html": comparison_page(result, pictures, digests, rows).encode("utf-8")}
    if rows:
        contents["fuse-map.csv"] = table_csv(fuses)
    contents |= {f"{names[sheet.name]}.svg": svg(sheet.scene).encode("utf-8") for sheet in sheets}
    return contents, warnings


def _pictures(sheets: Sequence[PictureSheet], beside: Mapping[str, str]) -> Pictures:
    """The drawings as the page takes them: no footers, ids of their own, one font for all."""
    by_finding: dict[str, list[Picture]] = {}
    for number, sheet in enumerate(sheets):
        drawing = svg(without_footer(sheet.scene), prefix=f"s{number}-", embed_font=False)
        by_finding.setdefault(sheet.finding, []).append(Picture(sheet.caption, drawing))
    shown = [text.text for sheet in sheets for text in texts(sheet.scene)]
    overview = by_finding.pop("", [])
    return Pictures(by_finding, overview, font_css(shown) if shown else "", beside)
