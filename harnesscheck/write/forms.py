"""Forms to fill in: a workbook with a column a question, drop-downs, and a sheet that says what each column asks.

The sheet ``columns`` explains, the hidden sheet ``choices`` holds what the
drop-downs offer; the reader passes both over. Every column is text, so that a
spreadsheet makes no date of ``5-8`` and no number of ``1E1``.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from harnesscheck.fields import CHOICES_SHEET, COLUMNS_SHEET, Field, Type, example_of, fields_of, row_sort
from harnesscheck.model.records import Netlist
from harnesscheck.trade.parts import part_names
from harnesscheck.write.spreadsheets import Grid, printable, timeless
from harnesscheck.write.tables import csv_text, guarded, table_rows

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

PLUG_COLUMNS = ("connector", "cavity", "colour", "function", "circuit", "to", "size", "terminal", "role", "note")
PLUG_HEAD = ("id", "harness", "cavities", "half", "keyway", "housing-colour", "mates", "on", "kind", "at", "note")
FUSE_COLUMNS = ("id", "rating", "type", "live", "feeds", "note")
_LAST_ROW = 2000  # drop-downs reach so far down
_LONGEST_PROMPT = 255  # characters that a spreadsheet shows beside a cell
_TEXT = "@"
_NAMED_BY = {"connector": "connectors", "component": "components", "harness": "harnesses", "circuit": "circuits",
             "mates": "connectors", "like": "connectors", "with": "harnesses", "on": "components"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Form:
    """One table to fill in: its sort of row, its columns, and the rows that stand there already."""

    sort: str
    columns: tuple[str, ...]
    rows: tuple[Mapping[str, str], ...] = ()

    @property
    def table(self) -> str:
        """The name of its sheet or file."""
        return row_sort(self.sort).table

    @property
    def fields(self) -> list[Field]:
        """Its columns as fields."""
        known = {field.name: field for field in fields_of(self.sort)}
        return [known[name] for name in self.columns]

    @property
    def csv(self) -> str:
        """The form as CSV."""
        return csv_text(self.columns, list(map(dict, self.rows)))


def plug_forms(connector: str, cavities: Sequence[str]) -> tuple[Form, ...]:
    """The pins of one plug, a row for each cavity, and what there is to say of its housing."""
    rows = tuple({"connector": connector, "cavity": name} for name in cavities)
    count = str(len(cavities))
    listed = count if tuple(cavities) == tuple(map(str, range(1, len(cavities) + 1))) else " ".join(cavities)
    head = {"id": connector, "harness": "?", "cavities": listed}
    return Form("pin", PLUG_COLUMNS, rows), Form("connector", PLUG_HEAD, (head,))


def fuse_forms() -> tuple[Form, ...]:
    """The fuse-box lid."""
    return (Form("fuse", FUSE_COLUMNS),)


def netlist_forms(netlist: Netlist) -> tuple[Form, ...]:
    """A netlist's tables as forms that are filled in."""
    return tuple(Form(sort, tuple(columns), tuple(rows)) for sort, columns, rows in table_rows(netlist))


def form_workbook(forms: Sequence[Form], explained: Grid) -> bytes:
    """The forms as a workbook: the same bytes whenever it is made. ``explained`` goes onto the sheet of columns."""
    from openpyxl import Workbook

    book = Workbook()
    for name in book.sheetnames:
        del book[name]
    there = {form.table for form in forms}
    offered = _offered(forms)
    for form in forms:
        _fill(book.create_sheet(form.table), form, offered, there)
    _explain(book.create_sheet(COLUMNS_SHEET), explained)
    hidden = book.create_sheet(CHOICES_SHEET)
    hidden.sheet_state = "hidden"
    for number, (name, words) in enumerate(offered.items(), start=1):
        for line, word in enumerate((name, *words), start=1):
            hidden.cell(line, number, word)
    raw = io.BytesIO()
    book.save(raw)
    return timeless(raw.getvalue())


def choices_of(field: Field) -> tuple[str, ...]:
    """What may be chosen in a column; nothing where it is free."""
    if field.name == "part":
        return part_names()
    return ("yes", "no") if field.type is Type.YES_NO else field.choices


def _offered(forms: Sequence[Form]) -> dict[str, tuple[str, ...]]:
    """The columns one can choose in, with their words."""
    fields = (field for form in forms for field in form.fields)
    return {field.name: words for field in fields if (words := choices_of(field))}


def _fill(sheet: Worksheet, form: Form, offered: Mapping[str, Sequence[str]], there: set[str]) -> None:
    """Headings, the rows there are, and for each column its drop-down and a word beside the cell."""
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    sheet.append(list(form.columns))
    for row in form.rows:
        sheet.append([printable(guarded(name, row.get(name, ""))) or None for name in form.columns])
    for cells in sheet.iter_rows():
        for cell in cells:
            cell.number_format = _TEXT
            if cell.value is not None:
                cell.data_type = "s"  # a text, whatever it looks like: #REF! would be taken for an error
    for number, field in enumerate(form.fields, start=1):
        sheet.cell(1, number).font = Font(bold=True)
        letter = get_column_letter(number)
        column = sheet.column_dimensions[letter]
        column.width = max(10.0, len(field.name) + 3.0, len(example_of(form.sort, field)) + 2.0)
        column.number_format = _TEXT
        rule = _rule(form.sort, field, offered, there)
        rule.add(f"{letter}2:{letter}{_LAST_ROW}")
        sheet.add_data_validation(rule)
    sheet.freeze_panes = "A2"


def _rule(sort: str, field: Field, offered: Mapping[str, Sequence[str]], there: set[str]) -> Any:
    """What a spreadsheet offers in a column and says beside it; other words may be typed all the same."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    source = None
    if field.name in offered:
        letter = get_column_letter(list(offered).index(field.name) + 1)
        source = f"{CHOICES_SHEET}!${letter}$2:${letter}${len(offered[field.name]) + 1}"
    elif field.type in (Type.REF, Type.ID) and field.name != "id" and _NAMED_BY.get(field.name) in there:
        source = f"{_NAMED_BY[field.name]}!$A$2:$A${_LAST_ROW}"  # the first column of a table is its id
    prompt = f"{field.help}; for example {example_of(sort, field)}"[:_LONGEST_PROMPT]
    rule = DataValidation(type="list" if source else None, formula1=source, allow_blank=True)
    rule.promptTitle, rule.prompt, rule.showInputMessage = field.name, prompt, True
    rule.showErrorMessage, rule.errorStyle = field.name in offered, "warning"
    rule.errorTitle, rule.error = field.name, "not one of the words offered; keep it only if you are sure"
    return rule


def _explain(sheet: Worksheet, explained: Grid) -> None:
    from openpyxl.styles import Alignment, Font

    for row in explained:
        sheet.append([guarded("", cell) for cell in row])
    for letter, width in zip("ABCDE", (12, 16, 60, 44, 30), strict=True):
        sheet.column_dimensions[letter].width = width
    for cells in sheet.iter_rows():
        for cell in cells:
            cell.alignment = Alignment(wrap_text=True, vertical="top")
            cell.font = Font(bold=cell.row == 1)
    sheet.freeze_panes = "A2"
