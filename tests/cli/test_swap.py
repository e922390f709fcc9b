"""``compare --swap`` as it is typed, and swap sheets that do not fit their cars: one message, whichever the command."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from builders.commands import run
from builders.demo import DEMO

from harnesscheck.report.document import report_schema

CARS = 'donor = "demo/donor.xml"\nshell = "demo/shell.xml"\n'
CROSSWALK = '[crosswalk]\nconnector = { C21 = "C31", C21H = "C31H" }\n'


@pytest.fixture(autouse=True)
def _folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in a folder of one's own that holds the demo."""
    shutil.copytree(DEMO, tmp_path / "demo")
    monkeypatch.chdir(tmp_path)


def sheet(text: str = "", cars: str = CARS) -> str:
    """A swap sheet with both cars, the renumbered plug, and more."""
    Path("swap.toml").write_text(cars + CROSSWALK + text, encoding="utf-8")
    return "swap.toml"


def report(*words: str) -> dict[str, Any]:
    """The JSON report of a compare, which must follow its schema."""
    found = json.loads(run("compare", *words, "--json", "-").stdout)
    jsonschema.Draft202012Validator(report_schema()).validate(found)
    assert isinstance(found, dict)
    return found


def above_note(found: dict[str, Any]) -> list[tuple[str, str]]:
    """Kind and plug of everything above note."""
    return [(row["kind"], row["donor"]["connector"]) for row in found["findings"] if row["severity"] != "note"]


def test_everything_of_the_donor_brings_all_that_it_had() -> None:
    """All looms and, by default, all parts are the donor's: the hatch's strap comes with its loom."""
    found = report("--swap", sheet())

    assert above_note(found) == []
    assert set(found["built"]["harness"].values()) == {"donor"}


def test_everything_of_the_donor_with_its_body_is_the_donor() -> None:
    """Where nothing of the shell is left, nothing at all is found."""
    found = report("--swap", sheet('[harness]\n"*" = "donor"\n[parts]\n"*" = "donor"\n'))

    assert found["findings"] == []


def test_everything_of_the_shell_is_told_what_is_so_by_itself() -> None:
    """No plug meets anything new: nothing faces, nothing is crossed or missing."""
    found = report("--swap", sheet('[harness]\n"*" = "shell"\n[parts]\n"*" = "shell"\n'))
    kinds = {kind for kind, _ in above_note(found)}

    assert "unfused-feed" in kinds  # the bonnet lamp's is so in the shell by itself
    assert not kinds & {"feed-to-ground", "feeds-joined", "outputs-joined", "wrong-feed", "crossed", "missing-circuit"}


def test_a_harness_of_the_shell_under_the_donors_parts() -> None:
    """The reading lamps are the donor's and the shell's rear harness has no plugs for them."""
    found = report("--swap", sheet('[harness]\nrear = "shell"\n'))
    parts = {row["component"]["donor"] for row in found["findings"] if row["severity"] == "dead"}

    assert {"reading-lamp-1", "tail-lift-pump"} <= parts
    assert found["built"]["harness"]["rear"] == "shell"


def test_the_envelope_names_donor_shell_and_sheet() -> None:
    """The cars by their own names, though what is judged is put together of both."""
    found = report("--swap", sheet())

    assert set(found["inputs"]) == {"donor", "shell", "swap"}
    assert found["inputs"]["shell"]["model-year"] == 2014
    assert found["inputs"]["swap"]["file"] == "swap.toml"
    assert found["command"] == "compare"


def test_the_text_says_that_it_is_the_car_that_will_be_built() -> None:
    """And which harness is of which car, and what was found cut, in 80 columns."""
    text = run("compare", "--swap", sheet('[harness]\nrear = "shell"\n[built.donor]\ncut = ["C21H:4"]\n')).stdout
    head = " ".join(text.split("Do not build")[0].split())

    assert "car: as it will be built by swap.toml" in head
    assert "Harnesses of the donor: engine, body, dash, door-left, door-right, floor" in head
    assert "Harnesses of the shell: rear" in head
    assert "As found: donor: C21H:4 cut" in head
    assert max(map(len, text.splitlines())) <= 80


def test_what_was_cut_is_missing_in_the_car() -> None:
    """The donor as its maker built it is what the car must do; the cars that are put together are as found."""
    found = report("--swap", sheet('[built.donor]\ncut = ["C21H:4"]\n'))

    assert ("missing-circuit", "RE-SH") in above_note(found)


def test_a_sheet_alone_is_the_same_and_cars_stand_in_for_those_it_names() -> None:
    """``compare swap.toml``; and a sheet that names no cars, with both on the command line."""
    first = report("--swap", sheet())
    alone = report("swap.toml")
    given = report("demo/donor.xml", "demo/shell.xml", "--swap", sheet(cars=""))

    assert alone == first
    assert given["findings"] == first["findings"]


def test_what_was_dead_before_is_said_and_what_is_accepted_does_not_count() -> None:
    """``[before] dead`` marks the lamp; an accepted finding passes --fail-on."""
    words = '[parts]\nrear-wiper-motor = "donor"\n[harness]\nrear = "shell"\n'
    first = report("--swap", sheet(words))
    works = [row for row in first["findings"] if row["kind"] in ("dead-accessory", "dim-accessory")]
    dead = ", ".join(f'"{row["component"]["donor"]}"' for row in works)
    after = report("--swap", sheet(f"{words}[before]\ndead = [{dead}]\n"))
    known = {row["id"]: row["text"] for row in after["findings"]}
    assert all("it was dead already" in known[row["id"]] for row in works)

    ids = "\n".join(f'{row["id"]} = "can live with it"' for row in first["findings"])
    run("compare", "--swap", sheet(f"{words}[accepted]\n{ids}\n"), "--fail-on", "dead")
    run("compare", "--swap", sheet(words), "--fail-on", "dead", status=1)


def test_the_page_and_its_drawings_are_of_the_built_car(tmp_path: Path) -> None:
    """The page says what is built, and the plug is drawn as it will be mated."""
    run("compare", "--swap", sheet('[built.donor]\ncut = ["C21H:4"]\n'), "-o", "out")
    page = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")

    assert "as it will be built by swap.toml" in page and "Built so" not in page.split("<h1>")[0]
    assert (tmp_path / "out" / "meeting-RE-SH.svg").exists()


def test_since_is_against_an_older_report_of_the_same_sheet() -> None:
    """Mending the cut makes its findings gone."""
    run("compare", "--swap", sheet('[built.donor]\ncut = ["C21H:4"]\n'), "--json", "old.json")
    found = report("--swap", sheet(), "--since", "old.json")

    assert found["since"]["new"] == []
    assert "missing-circuit" in {row["kind"] for row in found["since"]["gone"]}


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("demo/donor.xml",),
        ("demo/donor.xml", "--swap", "swap.toml"),
        ("demo/donor.xml", "demo/shell.xml", "demo/shell.xml"),
        ("--swap", "swap.toml", "--crosswalk", "swap.toml"),
    ],
)
def test_a_wrong_number_of_cars_says_what_to_give(words: tuple[str, ...]) -> None:
    """Two cars, or a sheet; status 2."""
    sheet()
    assert "swap" in run("compare", *words, status=2).stderr


def test_an_input_is_never_overwritten() -> None:
    """Neither the sheet nor the cars that it names."""
    sheet()
    for name in ("swap.toml", "demo/donor.xml", "demo/shell.xml"):
        before = Path(name).read_bytes()
        assert "an input of this command" in run("compare", "--swap", "swap.toml", "--json", name, status=2).stderr
        assert Path(name).read_bytes() == before


def test_a_plain_compare_heeds_no_choices_of_the_sheet() -> None:
    """--crosswalk takes [crosswalk], [before] and [accepted] of a sheet; what it chooses changes nothing."""
    first = run("compare", "demo/donor.xml", "demo/shell.xml", "--crosswalk", sheet()).stdout
    other = run("compare", "demo/donor.xml", "demo/shell.xml", "--crosswalk", sheet('[harness]\nrear = "shell"\n'))

    assert other.stdout == first


# -- sheets that do not fit their cars, in every command that takes one

COMMANDS = {
    "compare": ("compare", "--swap", "swap.toml"),
    "decide": ("decide", "swap.toml"),
    "trace": ("trace", "swap.toml", "FP"),
    "trace --swap": ("trace", "demo/donor.xml", "FP", "--swap", "swap.toml"),
    "states": ("states", "swap.toml"),
    "states --swap": ("states", "demo/donor.xml", "--swap", "swap.toml"),
    "ringout": ("ringout", "swap.toml"),
}
WRONG = {  # what is in the sheet, and the one line that is printed
    "harness": ('[harness]\nrae = "shell"\n', "swap.toml:6: read 'rae'; expected a harness of one of the cars in"),
    "part": ('[parts]\nradoi = "none"\n', "swap.toml:6: read 'radoi'; expected a component of one of the cars in"),
    "connector": ('component = { nix = "radio" }\n', "swap.toml:5: read 'nix'; expected a component of the donor in"),
    "dead": ('[before]\ndead = [\n"radio",\n"nix"]\n', "swap.toml:8: read 'nix'; expected a component of either car"),
    "condition": (
        '[built.shell]\ncondition = { nix = "wet" }\n',
        "swap.toml:6: read 'nix'; expected a harness of the shell in [built.shell.condition]",
    ),
    "cut": ('[built.donor]\ncut = ["C21H:99"]\n', "swap.toml:6: read 'C21H:99'; expected built.donor.cut: what can be"),
}


@pytest.mark.parametrize("wrong", WRONG)
@pytest.mark.parametrize("command", COMMANDS)
def test_a_name_that_the_cars_lack_is_one_line(command: str, wrong: str) -> None:
    """File, line, what was read, what was expected; the same whichever command reads it."""
    text, expected = WRONG[wrong]
    sheet(text)
    done = run(*COMMANDS[command], status=2)

    assert done.stderr.startswith(expected), done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert done.stdout == ""


@pytest.mark.parametrize("command", COMMANDS)
def test_a_sheet_without_cars_says_which_are_missing(command: str) -> None:
    """A line for each that the sheet does not name."""
    sheet(cars='shell = "demo/shell.xml"\n')
    done = run(*COMMANDS[command], status=2)

    assert "swap.toml: read 'no donor'; expected donor = \"FILE\", the netlist of the donor" in done.stderr
    assert len(done.stderr.splitlines()) == 1


@pytest.mark.parametrize("command", ["compare", "trace", "states", "ringout", "decide"])
def test_a_choice_that_no_car_can_be_built_by_has_its_line(command: str) -> None:
    """A fuse box that cannot leave the shell's harness, wanted without it."""
    sheet('[harness]\n"*" = "donor"\n[parts]\nFL5 = "shell"\nFL1 = "shell"\n')
    done = run(*COMMANDS[command], status=2)

    assert all(line.startswith(("swap.toml:8: ", "swap.toml:9: ")) for line in done.stderr.splitlines()), done.stderr
