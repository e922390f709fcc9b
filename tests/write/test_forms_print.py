"""Workbooks as they come out of a printer."""

from __future__ import annotations

import io

from openpyxl import load_workbook

from harnesscheck.write.spreadsheets import workbook


def test_a_workbook_prints_lying_one_page_wide_with_its_heading_on_every_page() -> None:
    """As the office program that opens it reads it (ECMA-376 page setup, by openpyxl)."""
    data = workbook({"ring out": [["from", "to"], ["C1:1", "C2:1"]]}, {})
    sheet = load_workbook(io.BytesIO(data)).worksheets[0]

    assert sheet.page_setup.orientation == "landscape" and sheet.page_setup.fitToHeight == 0
    assert sheet.page_setup.fitToWidth == 1 and sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.print_title_rows == "$1:$1"
