"""``read-table`` as it is typed: what it says, what it writes, what it never writes over."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.commands import run

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
