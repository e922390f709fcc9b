"""Rows of text as CSV and as a workbook; what a spreadsheet would take for a formula has an apostrophe before it."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Mapping
from typing import TYPE_CHECKING

from harnesscheck.write.tables import guarded

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_FIXED_TIME = (1980, 1, 1, 0, 0, 0)  # the first that a zip can hold: no clock in what we write
_CORE = "docProps/core.xml"

Grid = list[list[str]]


def grid_csv(table: Grid) -> str:
    """A grid as CSV with line feeds only."""
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows([guarded("", cell) for cell in row] for row in table)
    return text.getvalue()


def workbook(grids: Mapping[str, Grid], above: Mapping[str, int]) -> bytes:
    """Grids as the sheets of one workbook, every cell text: the same bytes whenever it is made.

    ``above`` says of a sheet how many lines stand above its header, where any do.
    """
    from openpyxl import Workbook
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    for name in book.sheetnames:
        del book[name]
    for title, table in grids.items():
        sheet = book.create_sheet(title)
        header = above.get(title, 0) + 1
        for row in table:
            sheet.append([guarded("", printable(cell)) for cell in row])
        for cell in sheet[header]:
            cell.font = Font(bold=True)
        if "read" in table[header - 1]:
            column = table[header - 1].index("read") + 1
            for number in range(header + 1, len(table) + 1):
                sheet.cell(number, column).number_format = "@"  # text: what is typed stays what it was
        sheet.freeze_panes = sheet.cell(row=header + 1, column=1)
        _set_for_paper(sheet, header)
        for column, width in enumerate(_widths(table[header - 1 :]), start=1):
            sheet.column_dimensions[get_column_letter(column)].width = width
    raw = io.BytesIO()
    book.save(raw)
    return timeless(raw.getvalue())


def _set_for_paper(sheet: Worksheet, header: int) -> None:
    """A4 lying, one page wide and as long as it is, the header on every page."""
    from openpyxl.worksheet.properties import PageSetupProperties

    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.print_title_rows = f"{header}:{header}"


def printable(text: str) -> str:
    """The text without what a workbook cannot hold."""
    return re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", " ", text)


def _widths(table: Grid) -> list[float]:
    columns = max(map(len, table), default=0)
    longest = [max((len(row[n]) for row in table if n < len(row)), default=8) for n in range(columns)]
    return [min(max(8.0, width + 2.0), 48.0) for width in longest]


def timeless(package: bytes) -> bytes:
    """The package with every clock in it set to one time."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(package)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in sorted(old.namelist(), key=lambda one: (one != "[Content_Types].xml", one)):
            data = old.read(name)
            if name == _CORE:
                data = re.sub(rb"(<dcterms:\w+[^>]*>)[^<]*", rb"\g<1>1980-01-01T00:00:00Z", data)
            entry = zipfile.ZipInfo(name, _FIXED_TIME)
            entry.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(entry, data)
    return out.getvalue()
