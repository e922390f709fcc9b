"""``read-table`` as it is typed: what it says, what it writes, what it never writes over."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from builders.commands import run
from builders.hostilepages import crowded
from click.testing import CliRunner

from harnesscheck.cli.main import cli
from harnesscheck.report.document import report_schema

DEMO = Path(__file__).parents[2] / "harness_demo"
PAGE = str(DEMO / "manual-page.pdf")


def test_it_says_how_it_understood_and_then_the_rows(tmp_path: Path) -> None:
    """Columns with why, the plug with why, rows; the CSV is a netlist."""
    out = tmp_path / "rows.csv"
    done = run("read-table", PAGE, "-o", str(out))

    assert "column 3, Colour: colour (its heading)" in done.stdout
    assert "plug C15: the line above" in done.stdout
    assert "VT/BN" in done.stdout
    run("validate", str(out))


@pytest.mark.parametrize("option", ["-o", "--check"])
def test_nothing_is_written_over(option: str, tmp_path: Path) -> None:
    """A file that exists stands."""
    (tmp_path / "mine.csv").write_text("typed", encoding="utf-8")
    done = run("read-table", PAGE, option, str(tmp_path / "mine.csv"), status=2)

    assert "already there" in done.stderr
    assert (tmp_path / "mine.csv").read_text(encoding="utf-8") == "typed"


@pytest.mark.parametrize("bad", [("-o", "none/rows.csv"), ("--json", "none/read.json"), ("--check", "none/check.html")])
def test_all_that_is_asked_for_is_written_or_none_of_it(
    bad: tuple[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rows, page and JSON, one of them into a folder that is not there: nothing is left, nothing but the fault said."""
    monkeypatch.chdir(tmp_path)
    asked = {"-o": "car", "--json": "read.json", "--check": "check.html", bad[0]: bad[1]}
    done = run("read-table", PAGE, *(word for pair in asked.items() for word in pair), status=2)

    assert done.stderr.startswith(f"{bad[1]}: read '") and done.stderr.count("\n") == 1 and not done.stdout
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["car.xlsx", "car.xml", "car"])
def test_other_forms(name: str, tmp_path: Path) -> None:
    """A workbook, XML and a folder are written whole, and read."""
    run("read-table", PAGE, "-o", str(tmp_path / name))
    run("validate", str(tmp_path / name))


def test_restraint_rows_are_marked(tmp_path: Path) -> None:
    """An airbag's row is said to be hands off."""
    page = tmp_path / "page.csv"
    page.write_text("C20, 2-way\nPin,Colour,Function\n1,yellow,airbag igniter\n2,brown,ground\n", encoding="utf-8")

    assert "restraint" in run("read-table", str(page)).stdout


@pytest.mark.parametrize("words", [["--page", "0"], ["--page", "9"], ["--columns", "pin"], ["--connector", "a b"]])
def test_what_cannot_be_asked_is_one_line(words: list[str]) -> None:
    """Status 2, one line, no traceback."""
    assert len(run("read-table", PAGE, *words, status=2).stderr.splitlines()) == 1


def test_the_check_page_stands_alone(tmp_path: Path) -> None:
    """Nothing is fetched; the page's own picture is in it, and every row."""
    out = tmp_path / "check.html"
    run("read-table", PAGE, "--check", str(out))
    text = out.read_text(encoding="utf-8")

    assert "default-src 'none'" in text and "http://" not in text and "https://" not in text
    assert "data:image/png;base64," in text
    assert text.count('name="cavity"') == 20


def test_a_wire_without_a_known_cavity_leaves_its_plug_open(tmp_path: Path) -> None:
    """A ``?`` for a cavity is a plug that is not all known, and no empty cavity."""
    (tmp_path / "rows.csv").write_text("connector,cavity,colour\nC1,1,red\nC1,?,brown\n", encoding="utf-8")
    run("convert", str(tmp_path / "rows.csv"), str(tmp_path / "car.xml"))
    text = (tmp_path / "car.xml").read_text(encoding="utf-8")

    assert 'complete="no"' in text and "colour brown" in text


TYPED = "connector,cavity,circuit,colour,size\nC15,1,WNF,RD/BU,2.5\nC15,2,31-4,BN,2.5\nC15,10,XX,BN,1\nC15,20,XX,BN,1\n"


def test_what_a_person_typed_stands(tmp_path: Path) -> None:
    """Disagreements with both places, what only one has; what is written contradicts nothing that was typed."""
    typed, out = tmp_path / "typed.csv", tmp_path / "rows.csv"
    typed.write_text(TYPED + "C15,?,ZZ,BN,1\n", encoding="utf-8")
    said = " ".join(run("read-table", PAGE, "--with", str(typed), "-o", str(out)).stdout.split())

    assert "C15:1 colour: typed RD/BU" in said and "typed.csv:2), read RD/OG (manual-page.pdf p. 1, row 2)" in said
    assert "C15:10 function: typed XX" in said
    assert "nothing typed there: - C15:3 (manual-page.pdf p. 1, row 4)" in said
    assert typed.read_text(encoding="utf-8").startswith(TYPED)
    lines = out.read_text(encoding="utf-8").splitlines()
    assert 'C15,1,WNF,,2.5,window feed,"colour not known, read as RD/OG",manual-page.pdf p. 1' in lines
    run("validate", str(typed), "--with", str(out))


def test_json_holds_every_cell_with_its_place(tmp_path: Path) -> None:
    """The same rows as data, on standard output alone, and valid by the schema."""
    typed = tmp_path / "typed.csv"
    typed.write_text(TYPED, encoding="utf-8")
    found = json.loads(run("read-table", PAGE, "--json", "-", "--with", str(typed)).stdout)
    jsonschema.validate(found, report_schema())

    assert len(found["rows"]) == 20
    cell = found["rows"][1]["cells"]["colour"]
    assert (cell["text"], cell["why"]) == ("BN", "") and len(cell["box"]) == 4
    assert found["typed"][0]["disagreements"][0]["typed"] == "RD/BU"


def test_standard_input_is_a_source() -> None:
    """A page pasted into the command."""
    done = CliRunner().invoke(cli, ["read-table", "-"], input="C7, 2-way\nPin  Colour\n1    red\n2    blue\n")

    assert done.exit_code == 0 and "plug C7" in done.stdout and "2 rows of 1 plug" in done.stdout


def test_a_page_that_takes_too_long_is_one_line(tmp_path: Path) -> None:
    """A hostile page ends in one line and status 2, and nothing is written."""
    page, out = tmp_path / "crowd.pdf", tmp_path / "rows.csv"
    page.write_bytes(crowded(30_000))
    done = run("read-table", str(page), "-o", str(out), "--max-seconds", "20", status=2)

    assert len(done.stderr.splitlines()) == 1 and not out.exists()
