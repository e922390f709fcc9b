"""``trace`` as a person types it."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import jsonschema
import pytest
from builders.demo import DEMO
from click.testing import CliRunner

from harnesscheck.cli.main import cli
from harnesscheck.report.document import report_schema

DONOR, SHELL, SWAP = (str(DEMO / name) for name in ("donor.xml", "shell.xml", "swap.toml"))


@dataclass(frozen=True)
class Done:
    """What a command left behind."""

    returncode: int
    stdout: str
    stderr: str


def trace(*words: str) -> Done:
    """Run the command in this process, which is quicker; some tests below start one of their own."""
    result = CliRunner().invoke(cli, ["trace", *words])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return Done(result.exit_code, result.stdout, result.stderr)


def document(*words: str) -> dict[str, object]:
    done = trace(*words, "--json", "-")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert isinstance(found, dict)
    return found


def test_a_lamp_from_battery_to_ground() -> None:
    """Both lists, volts, sides to probe, the state and why; 80 columns; nothing on standard error."""
    done = trace(DONOR, "reading-lamp-1")

    assert done.returncode == 0 and not done.stderr
    assert max(map(len, done.stdout.splitlines())) <= 80
    for words in (
        "UP TO THE FEED",
        "DOWN TO GROUND",
        "key off, reading-switch on",
        "fuse F8 10 A",
        "back-probe",
        "RD/PK",
    ):
        assert words in done.stdout
    assert done.stdout.index("RE1-AH:1") < done.stdout.index("FB-B:6") < done.stdout.index("BAT-PH:1")


def test_json_is_a_report_with_points() -> None:
    """By the shipped schema; every point has place, connector, cavity, volts, key and at."""
    found = document(DONOR, "reading-lamp-1")
    points = found["points"]
    assert isinstance(points, list)

    jsonschema.validate(found, report_schema())
    assert found["command"] == "trace"
    assert all({"place", "connector", "cavity", "volts", "key", "at"} <= point.keys() for point in points)
    assert points[0]["volts"] > 11.5 and points[-1] == points[-1] | {"place": "G7", "volts": 0.0, "connector": None}
    assert {point["key"] for point in points} == {"off"}


@pytest.mark.parametrize(
    ("words", "key"),
    [
        (["--key", "run"], "run"),
        (["--state", "run reading-switch=on"], "run"),
        (["--state", "key accessory, reading-switch=on"], "accessory"),
        (["--state", "running"], "run"),
        ([], "off"),
    ],
)
def test_the_state_can_be_chosen(words: list[str], key: str) -> None:
    """By key position, by words, or left to the load."""
    assert document(DONOR, "reading-lamp-1", *words)["state"]["key"] == key  # type: ignore[index]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["reading-lamp"], "reading-lamp-4"),
        (["headlamp-left"], "headlamp-left.56a"),
        (["C21H"], "C21H:4"),
        (["redding-lamp-1"], "close to it: reading-lamp-1"),
        (["nothing at all"], "expected a cavity"),
        (["reading-lamp-1", "--state", "run reading-swich"], "reading-switch"),
        (["reading-lamp-1", "--state", "run reading-switch=sideways"], "reading-switch=off"),
        (["reading-lamp-1", "--state", "run", "--key", "run"], "not both"),
        (["TPS", "--symptom", "dead"], "no whole way"),
        (["reading-lamp-1", "--swap", "no-such.toml"], "no-such.toml"),
    ],
)
def test_what_cannot_be_traced_is_one_message(
    words: list[str], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Status 2, the reason on standard error, nothing written."""
    monkeypatch.chdir(tmp_path)
    done = trace(DONOR, *words, "-o", "out", "--json", "out.json")

    assert done.returncode == 2
    assert said in done.stderr and "Traceback" not in done.stderr
    assert done.stdout == "" and not list(tmp_path.iterdir())


@pytest.mark.parametrize("target", ["driver-squib", "DS1", "C19:2"])
def test_restraint_is_a_stop(target: str) -> None:
    """The command ran, and no place to probe is named, in text or JSON, whatever is asked."""
    done = trace(DONOR, target, "--symptom", "dead")
    found = document(DONOR, target, "--symptom", "dead")

    assert done.returncode == 0
    assert "STOP" in done.stdout and "maker's procedure" in " ".join(done.stdout.split())
    assert "probe " not in done.stdout.split("STOP")[1].replace("probing", "")
    assert found["points"] == [] and found["stop"] and found["plan"] is None


def test_the_cut_of_the_swap_sheet_is_the_break() -> None:
    """From a dead reading lamp to the wire somebody cut, as found beside as built."""
    done = trace(DONOR, "reading-lamp-1", "--symptom", "dead", "--swap", SWAP)
    text = " ".join(done.stdout.split())
    points = {point["place"]: point for point in document(DONOR, "reading-lamp-1", "--swap", SWAP)["points"]}  # type: ignore[union-attr,attr-defined]

    assert done.returncode == 0, done.stderr
    assert "THE BREAK: the wire RD/PK 1 from C21H:4 to RE-SH:1 is cut at C21H:4" in text
    assert points["C21H:4"]["found-volts"] == pytest.approx(12.0, abs=0.1)
    assert points["RE-SH:1"]["found-volts"] in (None, pytest.approx(0.0, abs=0.01))
    assert points["RE-SH:1"]["volts"] == pytest.approx(11.7, abs=0.1)


def test_a_signal_s_points_are_its_whole_net() -> None:
    """A wire between modules has no feed and no ground: every place it is at, and no volts claimed."""
    points = {point["place"]: point for point in document(DONOR, "CANH")["points"]}  # type: ignore[attr-defined]

    assert {"C13:1", "EC-AH:24", "BM-AH:5", "IC-AH:13", "S23"} <= points.keys()
    assert {point["volts"] for point in points.values()} == {None}


def test_the_end_of_a_cut_wire_is_a_target() -> None:
    """It is there only on the car as found, under the name the cut gave it."""
    text = " ".join(trace(DONOR, "C21H.4.cut", "--swap", SWAP).stdout.split())

    assert "cut: this end leads nowhere" in text and "join the cut wire again" in text
    assert trace(DONOR, "C21H.4.cut").returncode == 2


def test_the_swap_sheet_itself_is_the_car_that_is_built() -> None:
    """Steps say from which car they are; the shell's ground stud takes the donor's wire."""
    found = document(SWAP, "reading-lamp-1")
    cars = {point["through"]["car"] for point in found["points"] if point["through"]}  # type: ignore[union-attr,attr-defined]

    assert "donor" in cars
    assert found["breaks"]
    assert set(found["inputs"]) == {"swap", "donor", "shell"}  # type: ignore[call-overload]


def test_a_car_the_sheet_does_not_name(tmp_path: Path) -> None:
    """--swap is of this car or of none."""
    shutil.copy(DONOR, tmp_path / "third.xml")
    done = trace(str(tmp_path / "third.xml"), "reading-lamp-1", "--swap", SWAP)

    assert done.returncode == 2
    assert "does not name" in done.stderr


def test_an_orphan_says_where_why_live_and_what_it_fed() -> None:
    """The shell's feed of a rear socket it has not: empty beyond the plug, live with the key off, the donor's."""
    text = " ".join(trace(SHELL, "C17:16", "--swap", SWAP).stdout.split())
    found = document(SHELL, "C17:16", "--swap", SWAP)

    assert "the other half C17H has this cavity empty" in text
    assert "LIVE WITH THE KEY OFF" in text and "pull fuse F7" in text and "tie it back" in text
    assert "Power socket, library room terminal + (likely: by its name)" in text
    assert text.index("WHERE IT ENDS") < text.index("UP TO THE FEED")
    assert found["live"] == ["off", "accessory", "run", "start"]
    assert found["once-fed"] == ["rear-socket.+"]


def test_an_empty_cavity_says_what_faces_it() -> None:
    """The other side of that plug: nothing is in it, and the feed waits in the half that is."""
    text = " ".join(trace(SHELL, "C17H:16").stdout.split())

    assert "C17H:16 is empty" in text and "trace C17:16" in text


@pytest.mark.parametrize("symptom", ["dead", "dim", "always-on", "blows-fuse", "drains"])
def test_every_symptom_prints_a_plan(symptom: str, tmp_path: Path) -> None:
    """On one page of text, and with -o as a drawing beside it."""
    done = trace(DONOR, "reading-lamp-1", "--symptom", symptom, "-o", str(tmp_path / "out"))
    names = sorted(file.name for file in (tmp_path / "out").iterdir())

    assert done.returncode == 0, done.stderr
    assert f"WHAT TO MEASURE NEXT - {symptom}" in done.stdout
    assert names == [".trace.sha256", "report.html", "trace-reading-lamp-1.txt", f"tree-reading-lamp-1-{symptom}.svg"]
    assert max(len(line) for line in done.stdout.splitlines() if not line.startswith("wrote")) <= 80


def test_charge_takes_the_alternator_by_its_name() -> None:
    """Any of its terminals will do; a car part that is none has its alternator found."""
    assert "alternator.B+" in trace(DONOR, "alternator", "--symptom", "charge").stdout
    assert trace(DONOR, "fuel-pump", "--symptom", "charge").returncode == 0


def test_the_same_bytes_whatever_the_hash_seed() -> None:
    """Two runs with other seeds print and write the same."""
    outputs = set()
    for seed in ("0", "1", "12345"):
        done = subprocess.run(
            [sys.executable, "-m", "harnesscheck", "trace", DONOR, "G7", "--symptom", "blows-fuse", "--json", "-"],
            capture_output=True, timeout=300, check=True, env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(DEMO.parent)},
        )  # fmt: skip
        outputs.add(done.stdout)

    assert len(outputs) == 1


def test_tracing_imports_neither_networkx_nor_scipy() -> None:
    """Nor what only reading workbooks, writing XML or fonts need."""
    code = (
        "import sys, click.testing, harnesscheck.cli.main as m\n"
        f"r = click.testing.CliRunner().invoke(m.cli, ['trace', {DONOR!r}, 'reading-lamp-1', '--symptom', 'dead'])\n"
        "assert r.exit_code == 0, r.output\nprint(*sorted({name.split('.')[0] for name in sys.modules}))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=300)

    assert not set(done.stdout.split()) & {"networkx", "scipy", "openpyxl", "lxml", "fontTools", "graphviz"}
