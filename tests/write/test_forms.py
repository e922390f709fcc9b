"""Forms to fill in: what a spreadsheet opens, offers and explains, and what is read back of them."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from builders.commands import Say
from builders.files import good
from openpyxl import load_workbook

from harnesscheck.fields import CHOICES_SHEET, COLUMNS_SHEET, INSIDES, LISTED, fields_of
from harnesscheck.read import read_netlist
from harnesscheck.report.manual import explained
from harnesscheck.trade.parts import part_names
from harnesscheck.write.forms import Form, choices_of, form_workbook, fuse_forms, plug_forms
from harnesscheck.write.templates import LEVELS, level_forms

FORMS = {level: level_forms(level) for level in LEVELS} | {
    "plug": plug_forms("C12", tuple("123")),
    "fuses": fuse_forms(),
}


def written(forms: tuple[Form, ...]) -> bytes:
    """The workbook of some forms."""
    return form_workbook(forms, explained({form.sort: form.columns for form in forms}))


@pytest.mark.parametrize("name", FORMS)
def test_every_column_has_its_question_and_every_choice_its_list(name: str) -> None:
    """Opened again: a prompt on each column, the field's own words in each drop-down, all explained."""
    forms = FORMS[name]
    book = load_workbook(io.BytesIO(written(forms)))

    assert book.sheetnames == [*(form.table for form in forms), COLUMNS_SHEET, CHOICES_SHEET]
    lists = {
        column[0].value: [cell.value for cell in column[1:] if cell.value] for column in book[CHOICES_SHEET].columns
    }
    for form in forms:
        sheet = book[form.table]
        assert tuple(cell.value for cell in sheet[1]) == form.columns
        rules = sheet.data_validations.dataValidation
        assert [rule.promptTitle for rule in rules] == list(form.columns)
        for rule, field in zip(rules, form.fields, strict=True):
            assert rule.prompt and len(rule.prompt) <= 255 and len(rule.promptTitle) <= 32
            if words := choices_of(field):
                assert rule.type == "list" and rule.formula1.startswith(f"{CHOICES_SHEET}!$")
                assert lists[field.name] == list(words)
    told = [row[:2] for row in book[COLUMNS_SHEET].iter_rows(min_row=2, values_only=True)]
    assert told == [(form.table, column) for form in forms for column in form.columns]


def test_the_parts_that_are_shipped_can_be_chosen() -> None:
    """The column part is a text in the file's words, and a choice of a person."""
    part = next(field for field in fields_of("connector") if field.name == "part")

    assert choices_of(part) == part_names()


@pytest.mark.parametrize("name", FORMS)
def test_a_form_that_is_not_filled_in_reads_without_a_fault(tmp_path: Path, name: str) -> None:
    """As a workbook, and the same bytes twice."""
    data = written(FORMS[name])
    (tmp_path / "car.xlsx").write_bytes(data)
    netlist = good(read_netlist(tmp_path / "car.xlsx"))

    assert written(FORMS[name]) == data
    assert not any(pin.circuit or pin.colour or pin.function or pin.to for pin in netlist.pins)
    assert len(netlist.pins) == (3 if name == "plug" else 0)


def test_a_plug_can_be_one_row_of_the_forms() -> None:
    """Each list has a column by the rung that needs it: all but sizes and lengths by the rung of components."""
    columns = {level: next(form.columns for form in FORMS[level] if form.sort == "connector") for level in LEVELS[1:]}

    assert {*LISTED, *INSIDES} - set(columns["components"]) == {"sizes", "lengths"}
    assert {*LISTED, *INSIDES} <= set(columns["loads"])


def test_every_example_of_the_explanation_can_be_typed(tmp_path: Path) -> None:
    """A row of examples in each table of the last level: names are not there, but every word is one that may be."""
    forms = level_forms("hours")
    book = load_workbook(io.BytesIO(written(forms)))
    for table, column, *_, example in book[COLUMNS_SHEET].iter_rows(min_row=2, values_only=True):
        sheet = book[str(table)]
        at = [cell.value for cell in sheet[1]].index(column) + 1
        sheet.cell(2, at, example)
    book.save(tmp_path / "car.xlsx")
    result = read_netlist(tmp_path / "car.xlsx")

    assert isinstance(result, list)
    for fault in result:
        assert not re.match("(?!cavity)[a-z-]+: one of [a-z]", fault.expected), fault


def test_a_filled_form_is_a_plug(say: Say, tmp_path: Path) -> None:
    """What is typed into the rows is read; signs a spreadsheet would take for a formula are texts."""
    assert say("new", "--plug", "C12", "--cavities", "A1-A2")[0] == 0
    book = load_workbook(tmp_path / "C12.xlsx")
    sheet = book["pins"]
    titles = [cell.value for cell in sheet[1]]
    for line, texts in (
        (2, {"colour": "RD/BK", "function": "permanent feed", "size": "1.5"}),
        (3, {"function": "empty"}),
    ):
        for title, text in texts.items():
            sheet.cell(line, titles.index(title) + 1, text)
    sheet.cell(2, titles.index("note") + 1, "-seen").data_type = "s"
    book["connectors"]["D2"] = "female"
    book.save(tmp_path / "C12.xlsx")
    netlist = good(read_netlist(tmp_path / "C12.xlsx"))

    assert [(pin.cavity, pin.function, pin.common.note) for pin in netlist.pins] == [("A1", "permanent feed", "-seen")]
    assert (netlist.connectors[0].cavities, netlist.connectors[0].half) == (("A1", "A2"), "sockets")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--plug", "C12", "--cavities", "0"), "new: read '0'; expected --cavities: a count of cavities, 1 or more\n"),
        (("--plug", "C 12", "--cavities", "2"), "new: read 'C 12'; expected --plug: a name without white space"),
        (
            ("--fuses", "-o", "lid.csv"),
            "lid.csv: read 'lid.csv'; expected a name that says what it holds, such as fuses.csv",
        ),
        (("--level", "mates", "-o", "car.csv"), "car.csv: read 'several tables'; expected a name that ends in .xlsx"),
        (("--level", "mates", "-o", "car.ods"), "car.ods: read 'a name that ends in .ods'; expected"),
        (("--plug", "C12"), "Usage: harnesscheck new"),
        (("--fuses", "--level", "mates"), "Usage: harnesscheck new"),
    ],
)
def test_what_cannot_be_written_is_said(say: Say, tmp_path: Path, words: tuple[str, ...], told: str) -> None:
    """Nothing is written."""
    status, _, err = say("new", *words)

    assert status == 2 and err.startswith(told)
    assert list(tmp_path.iterdir()) == []


def test_a_form_is_never_written_over_one(say: Say, tmp_path: Path) -> None:
    """What was filled in stands."""
    (tmp_path / "fuses.xlsx").write_text("mine")
    status, _, err = say("new", "--fuses")

    assert (status, err) == (2, "fuses.xlsx: read 'a file that is already there'; expected a folder without it\n")
    assert (tmp_path / "fuses.xlsx").read_text() == "mine"


@pytest.mark.parametrize("path", ["C12.csv", "tables", "pins-C12.csv"])
def test_a_form_of_a_plug_as_csv(say: Say, tmp_path: Path, path: str) -> None:
    """One file of pins, or a folder."""
    assert say("new", "--plug", "C12", "--cavities", "2", "-o", path)[0] == 0

    assert [pin.cavity for pin in good(read_netlist(tmp_path / path)).pins] == ["1", "2"]


def test_forms_that_say_nothing_are_not_called_alike(say: Say) -> None:
    """Two that are empty, and one that is: no difference was found because nothing was written."""
    for name in ("A.csv", "B.csv"):
        assert say("new", "--plug", "C12", "--cavities", "2", "-o", name)[0] == 0
    assert "no cavity of the donor and of the shell says anything yet" in " ".join(
        say("compare", "A.csv", "B.csv")[1].split()
    )

    Path("B.csv").write_text("cavity,function\n1,ground\n2,fuel pump feed\n")
    assert "Nothing could be compared: no cavity of the donor says anything" in say("compare", "A.csv", "B.csv")[1]
