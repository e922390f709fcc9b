"""The job on paper: what is said is what the commands say; nothing too small, cut, or read as markup; the same bytes.

pdfplumber reads the finished files back. Sizes of paper: ISO 216 (A4), ANSI Y14.1 size A (Letter).
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from builders.lampcars import pair
from click.testing import CliRunner

from harnesscheck.api.decide import Decision, decide
from harnesscheck.api.faults import InputError
from harnesscheck.api.sheets import LABELS, NAMES, PAPERS, sheets
from harnesscheck.cli.main import cli
from harnesscheck.decide.reasons import headline
from harnesscheck.draw.font import width_mm
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.report.decide import by_place
from harnesscheck.report.paper import labels
from harnesscheck.report.paper.blocks import TABLE_MM, column_widths
from harnesscheck.report.paper.job import SHEETS
from harnesscheck.report.paper.labels import Flag, LabelSheet
from harnesscheck.write.xml import write_xml

POINTS_PER_MM = 72 / 25.4
SMALLEST_PT = 2.8 * POINTS_PER_MM  # the least text height of every sheet
SIZES_MM = {"a4": (210, 297), "letter": (215.9, 279.4)}
HOSTILE = "#panic() $x$ *b* <a> [c] \\ #read(\"/etc/hostname\") 'q'"
DATE = "1 May"


def cars() -> tuple[Vehicle, Vehicle]:
    """Two small cars of our own; the donor has a name that a typesetter's language would obey."""
    donor, shell, _ = pair(5)
    named = replace(donor.vehicle.netlist, header=replace(donor.vehicle.netlist.header, vehicle=HOSTILE))
    return Vehicle(named), shell.vehicle


@pytest.fixture(scope="module")
def decided() -> Decision:
    return decide(*cars())


@pytest.fixture(scope="module", params=PAPERS)
def printed(request: pytest.FixtureRequest) -> Iterator[tuple[str, Any]]:
    """The whole job on one sort of paper, opened."""
    only = () if request.param == "a4" else ("cover", "overview", "meetings", "circuits", "work", "fuses", "labels")
    made = sheets(*cars(), only=only, paper=request.param, car=HOSTILE, date=DATE)
    with pdfplumber.open(io.BytesIO(made.pdf)) as found:
        yield request.param, found


def test_nothing_is_too_small_or_cut(printed: tuple[str, Any]) -> None:
    """Every page is of the paper asked for, standing or lying; its text is 8 points or 2.8 mm and lies on it."""
    paper, found = printed
    sizes = {(round(float(page.width), 1), round(float(page.height), 1)) for page in found.pages}
    standing = tuple(round(side * POINTS_PER_MM, 1) for side in SIZES_MM[paper])
    assert sizes == {standing, standing[::-1]}
    for page in found.pages:
        assert min(char["size"] for char in page.chars) > SMALLEST_PT - 0.01
        for char in page.chars:
            assert char["x0"] > 0 and char["x1"] < page.width and char["top"] > 0 and char["bottom"] < page.height


def test_every_foot_tells_car_date_digest_and_page(printed: tuple[str, Any], decided: Decision) -> None:
    """What a person gave stands there as it was given, whatever signs are in it."""
    _, found = printed
    digests = " + ".join(one["digest"] for one in decided.inputs.values())
    for number, page in enumerate(found.pages, 1):
        foot = page.extract_text().splitlines()[-1]
        assert foot == f"{HOSTILE} | {DATE} | inputs {digests} page {number} of {len(found.pages)}"


def test_it_says_what_decide_says(printed: tuple[str, Any], decided: Decision) -> None:
    """The answer on the first page, every step on a work sheet, the hours of the plan; names stay text."""
    _, found = printed
    first = " ".join(found.pages[0].extract_text().split())
    everything = "".join("".join(page.extract_text() for page in found.pages).split())

    assert " ".join(headline(decided.best).split()) in first
    assert f"donor {HOSTILE}" in first
    assert all("".join(step.do.split())[:20] in everything for step in decided.best.steps)
    assert "initials" in everything and "hours of work" in first
    assert decided.best.proven == ("Proven on paper" in first)


def test_bookmarks_lead_to_the_places(printed: tuple[str, Any], decided: Decision) -> None:
    """Each place of the work has its own, below its sheet's."""
    _, found = printed
    marks = [(level, title) for level, title, *_ in found.doc.get_outlines()]
    assert (1, "The job") in marks
    assert {(2, place.capitalize()) for place, _ in by_place(decided.decided, decided.best)} <= set(marks)


def test_the_same_bytes_whatever_the_machine_says(tmp_path: Path) -> None:
    """Hash seed, time zone and language of the machine change nothing."""
    for car, name in zip(cars(), ("donor.xml", "shell.xml"), strict=True):
        write_xml(car.netlist, tmp_path / name)
    ask = [
        sys.executable,
        "-m",
        "harnesscheck",
        "sheets",
        "donor.xml",
        "shell.xml",
        "--only",
        "work",
        "--only",
        "labels",
    ]
    made = []
    for seed, zone, language in (("1", "UTC", "C"), ("7", "Pacific/Kiritimati", "tr_TR.UTF-8")):
        env = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": language}
        subprocess.run([*ask, "-o", f"{seed}.pdf"], cwd=tmp_path, env=env, capture_output=True, check=True)
        made.append((tmp_path / f"{seed}.pdf").read_bytes())

    assert made[0] == made[1]
    with pdfplumber.open(io.BytesIO(made[0])) as found:
        assert not [name for name in found.metadata if "Date" in name]


def test_names_of_sheets_are_those_that_are_made() -> None:
    """The list that options are checked against, and the one in the help."""
    help_text = " ".join(CliRunner().invoke(cli, ["sheets", "--help"]).output.split())
    assert tuple(SHEETS) == NAMES
    assert set(LABELS) == set(labels.LABELS)
    assert all(name in help_text.partition("Sheets:")[2].partition("Options:")[0] for name in NAMES)


def test_a_sheet_that_there_is_not_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Status 2, what was read, what there is; nothing written. All faults come at once."""
    monkeypatch.chdir(tmp_path)
    for car, name in zip(cars(), ("donor.xml", "shell.xml"), strict=True):
        write_xml(car.netlist, tmp_path / name)

    done = CliRunner().invoke(cli, ["sheets", "donor.xml", "shell.xml", "--only", "wrok", "--only", "covers"])

    assert done.exit_code == 2
    assert "wrok" in done.stderr and "covers" in done.stderr and "work" in done.stderr
    assert not (tmp_path / "job.pdf").exists()
    with pytest.raises(InputError):
        sheets(*cars(), paper="a5")


def test_where_nothing_could_be_chosen_the_cover_says_so(tmp_path: Path) -> None:
    """Two plugs alone: no plan, so no work sheets; what to write down stands there."""
    for name in ("donor", "shell"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "connectors.csv").write_text("id,harness\nC1,body\nC1E,engine\n", encoding="utf-8")
        (tmp_path / name / "pins.csv").write_text(
            "connector,cavity,circuit\nC1,1,FP\nC1,2,GND\nC1E,1,FP\nC1E,2,GND\n", encoding="utf-8"
        )
    made = sheets(tmp_path / "donor", tmp_path / "shell", only=["work"])
    with pdfplumber.open(io.BytesIO(made.pdf)) as found:
        text = found.pages[0].extract_text()

    assert made.decision.is_refused
    assert "These files do not say which harnesses to take" in text
    assert "What would pay most" in text


@pytest.mark.parametrize("stock", labels.LABELS.values(), ids=list(labels.LABELS))
def test_labels_lie_on_their_sheet_side_by_side(stock: labels.LabelStock) -> None:
    """None over the edge, none on another; a long text on a tape makes a longer label, and is not cut."""
    wide, high = stock.label_mm
    for x, y in stock.places():
        assert x >= 0 and y >= 0 and x + wide <= stock.page_mm[0] + 0.01 and y + high <= stock.page_mm[1] + 0.01
    for (x, y), (other_x, other_y) in combinations(stock.places(), 2):
        assert abs(x - other_x) >= wide or abs(y - other_y) >= high - 0.01

    said = "LEAVE ALONE: restraint; only a licensed person, maker's procedure, battery off and waiting time first"
    data = LabelSheet(stock, [Flag("DONOR AB-AH", said, "")]).data()
    lines = data["pages"][0]["flags"][0]
    assert " ".join(lines[1:]) == said


def test_columns_fill_the_page_and_hold_their_longest_word() -> None:
    """A very long text starves no other column."""
    names, rows = ("plug", "for"), [("C12-left-kick-panel", "word " * 400), ("C1", "x")]

    narrow, wide = column_widths(names, rows, 182)

    assert narrow + wide == pytest.approx(182)
    assert narrow > width_mm("C12-left-kick-panel", TABLE_MM)
