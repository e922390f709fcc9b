"""``harnesscheck states``: the tick sheet on paper, as CSV and JSON; what goes odd with something out."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from builders.demo import ROOT
from jsonschema import Draft202012Validator

from harnesscheck.report.document import report_schema

DONOR = str(ROOT / "harness_demo" / "donor.xml")
SWAP = str(ROOT / "harness_demo" / "swap.toml")
Run = Callable[..., "subprocess.CompletedProcess[str]"]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """The command in an empty folder."""

    def go(*words: str, status: int = 0) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-X", "utf8", "-m", "harnesscheck", "states", *words]
        done = subprocess.run(command, cwd=tmp_path, capture_output=True, encoding="utf-8", timeout=300, check=False)
        assert done.returncode == status, done.stderr
        return done

    return go


def test_the_tick_sheet_is_80_columns_by_control_and_key_position(run: Run) -> None:
    """Charge lamp: on with the key on and the engine standing, off with it running; common practice, no source."""
    lines = run(DONOR).stdout.splitlines()

    assert max(map(len, lines)) <= 80
    assert next(line.split() for line in lines if "cluster charge lamp" in line)[-6:] == [".", ".", "~", "~", "~", "."]
    head = lines.index(next(line for line in lines if line.startswith("brake-switch=pressed")))
    assert lines[head].split()[1:] == ["off", "acc", "run", "start", "eng"]
    assert lines[head + 1].split() == ["high-brake-lamp", "x", "x", "x", "x", "x"]


def test_only_together(run: Run) -> None:
    """The rear fog lamp wants its switch and dipped headlamps."""
    lines = run(DONOR).stdout.splitlines()

    at = next(at for at, line in enumerate(lines) if line.startswith("fog-switch=on + light-switch=dipped "))
    assert lines[at + 1].split()[:3] == ["rear-lamp-right", "fog", "lamp"]


def test_json_has_key_controls_and_what_is_on(run: Run, tmp_path: Path) -> None:
    """The document follows the report's schema; the brake lamps are on with the pedal pressed."""
    run(DONOR, "--json", "states.json")
    document = json.loads((tmp_path / "states.json").read_text(encoding="utf-8"))

    Draft202012Validator(report_schema()).validate(document)
    (pressed,) = [
        one for one in document["states"] if one["key"] == "off" and one["controls"] == {"brake-switch": "pressed"}
    ]
    assert {"high-brake-lamp", "rear-lamp-left brake lamp", "rear-lamp-right brake lamp"} <= set(pressed["on"])
    assert document["command"] == "states"


def test_json_on_standard_output_is_alone(run: Run) -> None:
    """Nothing else is printed."""
    assert json.loads(run(DONOR, "--json", "-").stdout)["states"]


def test_an_open_ground_makes_others_glow(run: Run) -> None:
    """The rear ground point out: brake lamps only dim, tail lamps glow; each said once, with the key positions."""
    done = run(DONOR, "--open", "G8")

    paragraphs = done.stdout.split("\n\n")
    (brake,) = [text for text in paragraphs if text.startswith("brake-switch=pressed")]
    words = " ".join(brake.split())
    assert "only dim, whatever the key: high-brake-lamp 8.4 V, rear-lamp-left brake lamp" in words
    assert "glows, was off, whatever the key: cluster illumination 1.0 V" in words
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_a_blown_fuse_feeds_the_charge_lamp_backwards(run: Run) -> None:
    """Cluster fuse out, engine running: the alternator's D+ feeds the cluster through its own charge lamp."""
    words = " ".join(run(DONOR, "--open", "F12").stdout.split())

    assert "dead, key run, start, again: cluster charge lamp, cluster electronics, speed-sensor" in words
    assert "only dim, key eng: cluster electronics 6.2 V" in words


def test_what_is_out_and_changes_nothing(run: Run) -> None:
    """A spare contact."""
    assert "nothing goes odd" in run(DONOR, "--open", "speaker-rear-left").stdout


def test_the_sheets_of_a_swap(run: Run, tmp_path: Path) -> None:
    """Both cars before, the finished one; a line a load, an empty column to tick."""
    run(SWAP, "-o", "ticks")

    files = sorted(file.name for file in (tmp_path / "ticks").iterdir())
    assert files == [".states.sha256", "donor-before.csv", "finished.csv", "report.html", "shell-before.csv"]
    rows = list(csv.DictReader(io.StringIO((tmp_path / "ticks" / "donor-before.csv").read_text(encoding="utf-8"))))
    off = [row["load"] for row in rows if row["key"] == "off" and row["engine"] == "standing" and not row["controls"]]
    assert off == ["body-module electronics", "radio memory and amplifier"]
    assert {row["seen"] for row in rows} == {""}


def test_a_car_of_a_swap_is_told_as_found(run: Run, tmp_path: Path) -> None:
    """Somebody cut the feed of the reading lamps: they are on in the whole car, and not in the donor as found."""
    whole = run(DONOR).stdout
    found = run(DONOR, "--swap", SWAP).stdout

    assert "reading-lamp-1  " in whole
    assert "reading-lamp-1  " not in found


def test_odd_loads_go_into_a_file(run: Run, tmp_path: Path) -> None:
    """With --open, -o writes them too."""
    run(DONOR, "--open", "F12", "-o", "out")

    rows = list(csv.DictReader(io.StringIO((tmp_path / "out" / "odd.csv").read_text(encoding="utf-8"))))
    assert {"cluster charge lamp", "cluster electronics", "speed-sensor"} == {row["load"] for row in rows}


@pytest.mark.parametrize("name", ["nix", "C12:99", "FP"])
def test_an_unknown_place_is_one_message(run: Run, name: str, tmp_path: Path) -> None:
    """A circuit is no place that could be open; nothing is written."""
    done = run(DONOR, "--open", name, "-o", "out", status=2)

    assert len(done.stderr.splitlines()) == 1
    assert f"read '{name}'" in done.stderr
    assert not (tmp_path / "out").exists()


def test_a_pin_table_has_no_states_and_says_so(run: Run) -> None:
    """No battery, nothing can be on."""
    done = run(str(ROOT / "harness_demo" / "plug-donor.csv"))

    assert "no battery in the file" in done.stdout


def test_a_swap_sheet_with_swap_is_refused(run: Run) -> None:
    """One of the two."""
    assert "a swap sheet alone" in run(SWAP, "--swap", SWAP, status=2).stderr


def test_the_same_bytes_twice(run: Run) -> None:
    """Whatever the hash seed."""
    assert run(DONOR, "--json", "-").stdout == run(DONOR, "--json", "-").stdout
