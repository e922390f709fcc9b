"""``harnesscheck loads`` as a person types it."""

from __future__ import annotations

import csv
import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeAlias

import jsonschema
import pytest
from builders.demo import DEMO

from harnesscheck.report.document import report_schema

Done: TypeAlias = "subprocess.CompletedProcess[bytes]"
Run = Callable[..., Done]
Asked = tuple[Done, dict[str, Any]]
PUMP = """<netlist xmlns="urn:harnesscheck:netlist:1" volts="12">
<component id="pump" kind="motor" name="Pump of a bigger van" amps="16"><connector id="P" cavities="2">
<pin cavity="1" terminal="+" role="supply"/><pin cavity="2" terminal="-" role="ground"/></connector></component>
</netlist>
"""
HARNESSCHECK = (sys.executable, "-X", "utf8", "-m", "harnesscheck")
BIGGER = "fuel-pump.amps=15"


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Run harnesscheck in a folder of its own, with the donor copied into it."""
    shutil.copy(DEMO / "donor.xml", tmp_path)

    def go(*words: str) -> Done:
        return subprocess.run([*HARNESSCHECK, *words], cwd=tmp_path, capture_output=True, timeout=300, check=False)

    return go


@pytest.fixture(scope="module")
def bigger(tmp_path_factory: pytest.TempPathFactory) -> Asked:
    """The question of the bigger pump, asked once: what is printed, and the report for programs."""
    file = tmp_path_factory.mktemp("bigger") / "report.json"
    words = ("loads", str(DEMO / "donor.xml"), "--what-if", BIGGER, "--json", str(file), "--fail-on", "damage")
    done = subprocess.run([*HARNESSCHECK, *words], capture_output=True, timeout=300, check=False)
    return done, json.loads(file.read_text(encoding="utf-8"))


def test_the_bigger_pump(bigger: Asked) -> None:
    """No, and what would do; in 80 columns, with the status that was asked for."""
    done, _ = bigger
    text = done.stdout.decode()

    assert done.returncode == 1 and not done.stderr
    assert max(map(len, text.splitlines())) <= 80
    assert "CAN IT TAKE IT?" in text
    assert "fuse F31: 15 A -> 20 A" in text
    assert "With it nothing is worse than before." in text
    assert "fuel-pump-relay, inertia-switch" in text


def test_a_part_from_a_file(run: Run, tmp_path: Path) -> None:
    """The same pump, its data from another file, gives the same answer."""
    (tmp_path / "pump.xml").write_text(PUMP, encoding="utf-8")
    done = run("loads", "donor.xml", "--replace", "fuel-pump=pump.xml")

    assert done.returncode == 0
    assert "fuse F31: 15 A -> 20 A" in done.stdout.decode()


def test_the_report_for_programs(run: Run, bigger: Asked) -> None:
    """It holds to the schema, has every wire, fuse and drop, and names the change as what-ifs that can be tried."""
    _, report = bigger

    jsonschema.validate(report, report_schema())
    assert report["command"] == "loads"
    assert len(report["wires"]) > 400 and len(report["fuses"]) == 38 and len(report["drops"]) > 100
    assert report["what-if"] == [BIGGER]
    assert all(not finding["shell"]["connector"] for finding in report["findings"])
    again = [word for step in report["change"] for word in ("--what-if", step["what-if"])]
    worse = json.loads(run("loads", "donor.xml", "--what-if", BIGGER, *again, "--json", "-").stdout)
    assert worse["worse"] == []


def test_the_files(run: Run, tmp_path: Path) -> None:
    """The fuse card and all wires and drops; the same bytes every time."""
    first = run("loads", "donor.xml", "-o", "out")
    names = ["drops.csv", "fuse-card.csv", "report.html", "wires.csv"]
    before = {name: (tmp_path / "out" / name).read_bytes() for name in names}
    run("loads", "donor.xml", "-o", "out")

    assert first.returncode == 0
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [".loads.sha256", *names]
    assert {name: (tmp_path / "out" / name).read_bytes() for name in names} == before
    rows = {row["slot"]: row for row in csv.DictReader(before["fuse-card.csv"].decode().splitlines())}
    assert rows["F31"]["rating"] == "15" and rows["F31"]["feeds"] == "fuel-pump"
    assert rows["F13"]["live"] == "run start"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--what-if", "fuel-pump"], "--what-if: read 'fuel-pump'; expected a row, a field and its value"),
        (["--what-if", "fuel-pump.amps=0"], "a number above 0"),
        (["--what-if", "nobody.amps=1"], "a component, a load inside one"),
        (["--replace", "fuel-pump"], "a part and a file"),
        (["--replace", "nobody=donor.xml"], "a component of the file"),
        (["--replace", "fuel-pump=missing.xml"], "missing.xml"),
    ],
)
def test_what_cannot_be_put_in_is_one_clear_message(run: Run, words: list[str], said: str) -> None:
    """Status 2, no report, no traceback."""
    done = run("loads", "donor.xml", *words)

    assert done.returncode == 2
    assert said in done.stderr.decode()
    assert not done.stdout and b"Traceback" not in done.stderr


def test_all_that_cannot_be_put_in_is_said_at_once(run: Run) -> None:
    """Two faults, two lines."""
    done = run("loads", "donor.xml", "--what-if", "x.amps=1", "--what-if", "fuel-pump.size=1")

    assert done.returncode == 2
    assert len(done.stderr.decode().splitlines()) == 2


def test_fail_on(run: Run) -> None:
    """Status 1 only where something that bad is found, as of the bigger pump."""
    assert run("loads", "donor.xml", "--fail-on", "note").returncode == 0
    assert run("loads", "donor.xml", "--what-if", "fuel-pump.amps=9", "--fail-on", "damage").returncode == 0


def test_an_input_is_never_written_over(run: Run, tmp_path: Path) -> None:
    """Not even when it is asked for."""
    before = (tmp_path / "donor.xml").read_bytes()

    assert run("loads", "donor.xml", "--json", "donor.xml").returncode == 2
    assert (tmp_path / "donor.xml").read_bytes() == before


def test_the_car_that_a_swap_sheet_puts_together(run: Run, tmp_path: Path) -> None:
    """Its loads are judged as any car's; the report names the sheet and both cars."""
    shutil.copy(DEMO / "shell.xml", tmp_path)
    shutil.copy(DEMO / "swap.toml", tmp_path)
    done = run("loads", "swap.toml")
    report = json.loads(run("loads", "swap.toml", "--what-if", "fuel-pump.amps=5", "--json", "-").stdout)

    assert done.returncode == 0, done.stderr
    assert max(map(len, done.stdout.decode().splitlines())) <= 80
    assert set(report["inputs"]) == {"donor", "shell", "swap"}
    assert report["worse"] == [] and len(report["fuses"]) > 30
