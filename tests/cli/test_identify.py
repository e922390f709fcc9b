"""``identify`` as a person types it, with a plug in one hand."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from builders.demo import DEMO

from harnesscheck.report.document import report_schema

CARS = [str(DEMO / "donor.xml"), str(DEMO / "shell.xml")]
LIGHT_SWITCH = "RD/WH,GY,WH,GY/OG,BN"  # LS-AH of both cars, cavities 1 to 5 of 6


def identify(*words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "harnesscheck", "identify", *words]
    return subprocess.run(command, cwd=cwd, capture_output=True, timeout=300, check=False, encoding="utf-8")


def report(*words: str, cwd: Path) -> dict[str, Any]:
    done = identify(*words, "--json", "-", cwd=cwd)
    assert done.returncode == 0, done.stderr
    document: dict[str, Any] = json.loads(done.stdout)
    jsonschema.Draft202012Validator(report_schema()).validate(document)
    return document


@pytest.mark.parametrize(
    ("wires", "more"),
    [
        (LIGHT_SWITCH, []),
        ("BN, GY/OG, WH, GY, RD/WH", []),  # in any order
        ("rt/ws;gr;ws;gr/or;br", ["--colour-code", "din"]),
        ("R/W,GR,W,GR/O,BR", ["--colour-code", "jis"]),
        ("RED/WHT,GRY,WHT,GRY/ORG,BRN", ["--colour-code", "sae"]),
        ("red/white,gray,white,grey/orange,brown", []),  # in English
        ("RD/WH,GY,WH,GY/OG,BN,-", ["--in-order"]),
        ("RD/WH,?,WH,GY/OG,BN", ["--in-order", "--half", "sockets"]),  # one wire too dirty to read
        ("RD/WH,GY,WH,GY/OG,BK", ["--housing-colour", "black"]),  # brown mistaken for black
    ],
)
def test_the_light_switch_is_named(wires: str, more: list[str], tmp_path: Path) -> None:
    """Whatever style the colours are typed in, the first two candidates are that plug in either car."""
    first, second = report(*CARS, "--cavities", "6", "--wires", wires, *more, cwd=tmp_path)["candidates"][:2]

    assert [first["connector"], second["connector"]] == ["LS-AH", "LS-AH"]
    assert {first["vehicle"], second["vehicle"]} == {"Linnet library van 2016", "Linnet library van 2014"}


def test_one_car_is_enough_and_the_answer_is_nearly_certain(tmp_path: Path) -> None:
    """With one car given nothing else comes close, and the sentence names plug and part."""
    done = identify(CARS[1], "--cavities", "6", "--wires", LIGHT_SWITCH, cwd=tmp_path)

    assert done.returncode == 0 and not done.stderr
    assert "Most likely LS-AH (over 99 %)." in done.stdout
    assert "6-way black, goes into Light switch" in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_candidates_with_none_of_these_add_up_to_one(tmp_path: Path) -> None:
    """They fall, and exactly one of them is no plug."""
    candidates = report(*CARS, "--wires", "BN,RD", "--cavities", "2", cwd=tmp_path)["candidates"]
    shares = [one["probability"] for one in candidates]

    assert sum(shares) == pytest.approx(1, abs=1e-4)  # six digits each
    assert shares == sorted(shares, reverse=True)
    assert [one["halves"] for one in candidates if one["connector"] == ""] == [[]]


def test_mated_halves_are_one_answer(tmp_path: Path) -> None:
    """An in-line plug counts once, whichever half is in the hand; the half that is seen comes first."""
    words = [CARS[1], "--cavities", "16", "--housing-colour", "natural", "--at", "left kick panel"]
    document = report(*words, cwd=tmp_path)
    first = document["candidates"][0]
    plugs = [half for one in document["candidates"] for half in one["halves"]]
    sockets, pins = (report(*words, "--half", half, cwd=tmp_path)["candidates"][0] for half in ("sockets", "pins"))

    assert set(first["halves"]) == {"C12", "C12E"} and first["probability"] > 0.8
    assert len(plugs) == len(set(plugs))
    assert (sockets["connector"], pins["connector"]) == ("C12", "C12E")


def test_a_plug_of_another_car_is_none_of_these(tmp_path: Path) -> None:
    """Colours that neither van has: the text leads with it, and says so before any plug."""
    done = identify(*CARS, "--cavities", "9", "--wires", ",".join(["TQ/GD"] * 8), cwd=tmp_path)
    lines = done.stdout.splitlines()
    ranks = [number for number, line in enumerate(lines) if " %  " in line]

    assert "Most likely none of these plugs (over 99 %)" in done.stdout
    assert lines[ranks[0]].endswith("none of these")


def test_what_to_look_at_parts_the_first_candidates(tmp_path: Path) -> None:
    """The rear lamps' plugs, left and right, have the same wires but one place."""
    done = identify(CARS[1], "--cavities", "6", "--wires", "BK/RD,GY/RD,BN,GY/BK,BU/WH", cwd=tmp_path)
    look = report(CARS[1], "--cavities", "6", "--wires", "BK/RD,GY/RD,BN", cwd=tmp_path)["look-at"]

    assert "look at " in done.stdout
    assert {"RLL-AH", "RLR-AH"} <= {one["connector"] for one in look["seen"]}
    assert len({one["seen"] for one in look["seen"]}) > 1


def test_the_face_is_listed_and_drawn(tmp_path: Path) -> None:
    """A list of cavities with colours; with -o a drawing as well, on the page and by itself."""
    words = [CARS[1], "--cavities", "6", "--wires", LIGHT_SWITCH]
    listed = identify(*words, cwd=tmp_path).stdout
    drawn = identify(*words, "-o", "out", cwd=tmp_path).stdout

    assert "  1  red/white +1  LSF" in listed and "  6  empty" in listed
    assert "wrote out/face-LS-AH.svg" in drawn and "  6  empty" in drawn
    assert "<svg" in (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    assert (tmp_path / "out" / "face-LS-AH.svg").read_text(encoding="utf-8").startswith("<svg")


def test_a_restraint_plug_comes_with_its_caution(tmp_path: Path) -> None:
    """Nobody is sent to an airbag plug with a meter (common practice; the maker's procedure rules)."""
    words = ["--cavities", "8", "--housing-colour", "yellow"]
    plug = identify(CARS[1], *words, "--wires", "BK/YE,YE/GN,YE/BN", cwd=tmp_path)
    other = identify(CARS[1], "--cavities", "6", "--wires", LIGHT_SWITCH, cwd=tmp_path)

    assert "C19" in plug.stdout and "maker's procedure" in " ".join(plug.stdout.split())
    assert "Airbags" not in other.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "identify: read 'nothing'; expected what you see"),
        (["--wires", "-,-"], "identify: read 'nothing'"),
        (["--wires", "BK,XX"], "--wires, wire 2: read 'XX'; expected a colour"),
        (["--wires", "BK,,RD"], "--wires, wire 2: read ''"),
        (["--wires", "GR"], "in the sae code GR is green; say --colour-code"),
        (["--wires", "BK", "--colour-code", "din"], "--wires, wire 1: read 'BK'"),
        (["--wires", "BK,RD,GN", "--in-order", "--cavities", "2"], "--wires: read '3 wires'; expected at most 2"),
        (["--in-order", "--cavities", "2"], "--in-order: read 'no wires'"),
        (["--wires", ",".join(["BK"] * 501)], "read '501 wires'"),
        (["--housing-colour", "plaid"], "--housing-colour: read 'plaid'; expected a colour"),
        (["--cavities", "0"], "--cavities"),
        (["--cavities", "many"], "--cavities"),
        (["--half", "both"], "--half"),
    ],
)
def test_bad_input_is_one_message_and_nothing_written(words: list[str], said: str, tmp_path: Path) -> None:
    """Status 2, what was read and what was expected, no traceback, no file."""
    done = identify(*CARS, *words, "-o", "out", "--json", "out.json", cwd=tmp_path)

    assert done.returncode == 2 and not done.stdout
    assert said in done.stderr and "Traceback" not in done.stderr
    assert not list(tmp_path.iterdir())


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    done = identify("absent.xml", "--wires", "BK", cwd=tmp_path)

    assert done.returncode == 2 and done.stderr.startswith("absent.xml: ")


def test_an_input_is_never_overwritten(tmp_path: Path) -> None:
    file = tmp_path / "car.xml"
    file.write_bytes(Path(CARS[1]).read_bytes())
    done = identify("car.xml", "--wires", "BK", "--json", "car.xml", cwd=tmp_path)

    assert done.returncode == 2
    assert file.read_bytes() == Path(CARS[1]).read_bytes()


def test_one_typed_plug_is_a_car_too(tmp_path: Path) -> None:
    """A single CSV file of one plug may be asked."""
    done = identify(str(DEMO / "plug-donor.csv"), "--wires", "RD/YE,BN,VT/RD,BK/OG,GY/OG,BN/RD", cwd=tmp_path)

    assert done.returncode == 0 and "plug-donor" in done.stdout


def test_two_files_of_one_name_are_told_apart_by_their_file(tmp_path: Path) -> None:
    """The same car under two file names."""
    for name in ("one.xml", "two.xml"):
        (tmp_path / name).write_bytes(Path(CARS[1]).read_bytes())
    first, second = report("one.xml", "two.xml", "--wires", LIGHT_SWITCH, cwd=tmp_path)["candidates"][:2]

    assert [first["vehicle"], second["vehicle"]] == [f"Linnet library van 2014, {name}.xml" for name in ("one", "two")]
    assert first["probability"] == second["probability"]
