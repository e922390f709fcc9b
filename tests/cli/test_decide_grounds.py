"""``decide`` on files that tell too little, and its choice written back into a swap sheet."""

from __future__ import annotations

import io
import json
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from builders.commands import run
from builders.lampcars import pair

from harnesscheck.cli.progress import progress
from harnesscheck.report.document import report_schema
from harnesscheck.write.swapsheet import sheet_with_choice
from harnesscheck.write.xml import write_xml

SEED = 5


def words(text: str) -> str:
    """A printed text without its line ends."""
    return " ".join(text.split())


def pins_only(folder: Path, name: str, third: str) -> str:
    """A car of one plug between two harnesses: words in its cavities, and no part."""
    car = folder / name
    car.mkdir()
    (car / "connectors.csv").write_text("id,harness,cavities,mates\nC1,front,3,C1R\nC1R,rear,3,\n", encoding="utf-8")
    rows = [f"{half},{n},{text}" for half in ("C1", "C1R") for n, text in enumerate(("feed", "ground", third), 1)]
    (car / "pins.csv").write_text("connector,cavity,function\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return str(car)


@pytest.fixture
def bare_pair(tmp_path: Path) -> tuple[str, str]:
    """Two cars of which no part is known, with one wire called otherwise."""
    return pins_only(tmp_path, "donor", "horn"), pins_only(tmp_path, "shell", "wiper")


@pytest.fixture
def cars(tmp_path: Path) -> tuple[str, str]:
    """Two small cars with their parts."""
    donor, shell, _ = pair(SEED)
    write_xml(donor.vehicle.netlist, tmp_path / "donor.xml")
    write_xml(shell.vehicle.netlist, tmp_path / "shell.xml")
    return str(tmp_path / "donor.xml"), str(tmp_path / "shell.xml")


def test_nothing_is_chosen_from_nothing(bare_pair: tuple[str, str]) -> None:
    """No part known: what meets what stands, the rest is not said, three things are asked for."""
    text = words(run("decide", *bare_pair).stdout)

    assert "do not say which harnesses to take" in text
    assert "C1: crossed" in text
    assert "nothing has to be mended" not in text
    assert "Keep all" not in text
    assert "THE WORK" not in text


def test_programs_are_told_the_same(bare_pair: tuple[str, str]) -> None:
    report = json.loads(run("decide", *bare_pair, "--json", "-").stdout)
    jsonschema.validate(report, report_schema())
    open_ = report["grounds"]

    assert report["plan"]["proven"] is False
    assert "do not say" in report["verdict"]["sentence"]
    assert len(open_["ask"]) == 3
    assert "battery" in open_["ask"][0]
    assert "C1" in open_["ask"][1]
    assert open_["stands"] != [] != open_["cannot"]


def test_no_work_list_is_written_of_no_choice(bare_pair: tuple[str, str], tmp_path: Path) -> None:
    run("decide", *bare_pair, "-o", str(tmp_path / "out"))

    assert {file.name for file in (tmp_path / "out").iterdir()} == {".decide.sha256", "report.html"}
    assert run("decide", *bare_pair, "--write-choice", str(tmp_path / "new.toml"), status=2).stdout == ""
    assert not (tmp_path / "new.toml").exists()


def test_what_was_decided_beforehand_is_worked_out_all_the_same(bare_pair: tuple[str, str], tmp_path: Path) -> None:
    """A person who says which harness comes from where gets the work that words alone ask for."""
    sheet = tmp_path / "swap.toml"
    sheet.write_text('donor = "donor"\nshell = "shell"\n[harness]\nfront = "donor"\nrear = "donor"\n', encoding="utf-8")
    text = words(run("decide", str(sheet)).stdout)

    assert "nothing could be tried" in text
    assert "what works was not judged" in text
    assert "nothing has to be mended" not in text


def test_cars_with_their_parts_are_decided(cars: tuple[str, str]) -> None:
    """The near miss: parts are known, so a choice is made, and the parts that come across are a step."""
    report = json.loads(run("decide", *cars, "--json", "-").stdout)
    steps = {step["id"]: step for step in report["plan"]["steps"]}

    assert report["grounds"] == {"stands": [], "cannot": [], "ask": []}
    assert steps["in-parts"]["hours"] == [0, 0, 0]
    assert any("hours to move" in text for text in report["plan"]["rests_on"])


# -- the choice, written


def test_the_choice_is_written_and_gives_the_same_car(cars: tuple[str, str], tmp_path: Path) -> None:
    """``compare --swap`` reads the sheet that decide wrote, and puts together the harnesses that it chose."""
    target = tmp_path / "there" / "chosen.toml"
    target.parent.mkdir()
    done = run("decide", *cars, "--write-choice", str(target), "--json", str(tmp_path / "plan.json"))
    plan = json.loads((tmp_path / "plan.json").read_text(encoding="utf-8"))["plan"]
    said: dict[str, Any] = tomllib.loads(target.read_text(encoding="utf-8"))
    built = json.loads(run("compare", "--swap", str(target), "--json", "-").stdout)["built"]

    assert f"wrote {target}" in done.stdout
    assert said["harness"] == plan["harness"]
    assert (target.parent / said["donor"]).resolve() == Path(cars[0])
    assert built["harness"] == {name: car for name, car in plan["harness"].items() if name in built["harness"]} != {}
    assert run("decide", str(target)).stdout.count("Said beforehand") == 1


def test_the_sheet_it_was_asked_of_is_never_written_over(cars: tuple[str, str], tmp_path: Path) -> None:
    sheet = tmp_path / "swap.toml"
    sheet.write_text('# mine\ndonor = "donor.xml"\nshell = "shell.xml"\n[accepted]\n', encoding="utf-8")
    before = sheet.read_bytes()
    run("decide", str(sheet), "--write-choice", str(sheet), status=2)
    run("decide", str(sheet), "--write-choice", str(tmp_path / "new.toml"))

    assert sheet.read_bytes() == before
    assert (tmp_path / "new.toml").read_text(encoding="utf-8").startswith("# mine\n")


def test_what_a_sheet_says_already_stands() -> None:
    text = 'donor = "a.xml" # mine\n\n[harness] # fixed\nengine = "donor"\n'
    made = sheet_with_choice(
        text,
        {"donor": "../a.xml", "shell": "../b.xml"},
        {"harness": {"engine": "donor", "shell:rear": "shell"}, "parts": {"radio": "none"}},
        {"harness": {"engine": "donor"}},
    )

    assert tomllib.loads(made) == {
        "shell": "../b.xml",
        "donor": "../a.xml",
        "harness": {"shell:rear": "shell", "engine": "donor"},
        "parts": {"radio": "none"},
    }
    assert "# fixed" in made


# -- how far it is


class _Screen(io.StringIO):
    def isatty(self) -> bool:
        """A person sits before it."""
        return True


def test_progress_is_shown_to_a_person_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a terminal one line that is wiped; nothing at all where standard error is a file or a pipe."""
    shown = {}
    for name, stream in (("terminal", _Screen()), ("pipe", io.StringIO())):
        monkeypatch.setattr("sys.stderr", stream)
        with progress("decide") as told:
            told("car 3")
        shown[name] = stream.getvalue()

    assert shown["pipe"] == ""
    assert "decide: car 3" in shown["terminal"]
    assert shown["terminal"].endswith("\r")
    assert "\n" not in shown["terminal"]


def test_a_piped_run_writes_nothing_but_its_answer(cars: tuple[str, str]) -> None:
    assert run("decide", *cars).stderr == ""
