"""Which version of a car is meant: --option, --without and --built, of one car or of each of two."""

from __future__ import annotations

import csv
import json
from itertools import product
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from harnesscheck.cli.main import cli

ROWS = (
    '<pin cavity="1" circuit="A" colour="RD"/>',
    '<pin cavity="2" circuit="B" colour="GN" option="lift"/>',
    '<pin cavity="3" circuit="C" colour="BU" without="lamps"/>',
    '<pin cavity="4" circuit="D" colour="WH" built-to="2014-01"/>',
    '<pin cavity="5" circuit="E" colour="BK" option="lamps" built-from="2013-10"/>',
)


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, [*map(str, words)])


def car(path: Path, options: str = "", months: str = 'built-from="2013-08" built-to="2014-07"') -> Path:
    path.write_text(
        f'<netlist xmlns="urn:harnesscheck:netlist:1" vehicle="Van" {months}>{options}<harness id="h"/>'
        f'<connector id="C1" harness="h" cavities="5">{"".join(ROWS)}</connector></netlist>',
        encoding="utf-8",
    )
    return path


def cavities(converted: Path) -> list[str]:
    with (converted / "pins.csv").open(encoding="utf-8", newline="") as file:
        return [row["cavity"] for row in csv.DictReader(file)]


@pytest.mark.parametrize(("lift", "lamps"), list(product((True, False), repeat=2)))
def test_what_is_chosen_is_what_a_file_that_says_so_would_be(tmp_path: Path, lift: bool, lamps: bool) -> None:
    """Every choice of two options against the rows worked out by hand; the file itself has the lamps."""
    source = car(tmp_path / "car.xml", '<option id="lamps"/>')
    chosen = ["--option", "lift"] * lift + ["--without", "lamps"] * (not lamps) + ["--built", "2013-09"]

    assert run("convert", source, tmp_path / "out", *chosen).exit_code == 0

    assert cavities(tmp_path / "out") == ["1", *["2"] * lift, *["3"] * (not lamps), "4"]


def test_months_may_be_a_span(tmp_path: Path) -> None:
    """As common practice on a build plate: the month, or between two. A row of a part of the span stays."""
    source = car(tmp_path / "car.xml", '<option id="lamps"/>')
    for months, expected in (("2014-02", "15"), ("2013-09", "14"), ("2013-09..2014-02", "145")):
        out = tmp_path / months.replace(".", "_")
        assert run("convert", source, out, "--built", months).exit_code == 0
        assert cavities(out) == list(expected)


def test_each_of_two_cars_may_be_a_version_of_its_own(tmp_path: Path) -> None:
    """One file as both cars: nothing differs, until one of them gets the lift."""
    source = car(tmp_path / "car.xml")
    same, other, both = (
        json.loads(run("compare", source, source, *more, "--json", "-").stdout)
        for more in ([], ["--option", "donor=lift"], ["--option", "lift"])
    )

    assert same["findings"] == both["findings"] == []
    assert [one["donor"]["circuit"] for one in other["findings"]] == ["B"]
    assert other["inputs"]["donor"]["version"] == "with lift" and "version" not in other["inputs"]["shell"]
    assert other["inputs"]["donor"]["digest"] != same["inputs"]["donor"]["digest"]


def test_a_report_says_which_version_it_is_of(tmp_path: Path) -> None:
    done = run("validate", car(tmp_path / "car.xml"), "--option", "lift,lamps", "--built", "2013-10")

    assert "with lift lamps, built 2013-10" in " ".join(done.stdout.split())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--option", "lfit"], "car.xml: read 'lfit'; expected --option: an option of this file (lift?)"),
        (["--without", "x"], "expected --without: an option of this file: lamps, lift"),
        (["--option", "lift", "--without", "lift"], "expected --option or --without, not both"),
        (["--built", "2013-13"], "--built: read '2013-13'; expected a month (2013-10)"),
        (["--built", "2014-02..2013-02"], "expected a month (2013-10), or the first and the last"),
        (["--built", "2013-10", "--built", "2013-11"], "expected one month of a car"),
        (["--option", "donor=lift"], "expected a name; donor= and shell= where there are two cars"),
    ],
)
def test_what_cannot_be_is_one_message(tmp_path: Path, words: list[str], told: str) -> None:
    done = run("validate", car(tmp_path / "car.xml"), *words)

    assert done.exit_code == 2 and told in done.stderr and "Traceback" not in done.output


def test_a_ranking_takes_no_version(tmp_path: Path) -> None:
    """Its cars are read in processes of their own, and kept by their files' contents."""
    done = run("rank", car(tmp_path / "car.xml"), tmp_path, "--option", "lift", "--no-cache")

    assert done.exit_code == 2 and "convert with --option writes a version" in done.stderr
