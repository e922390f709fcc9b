"""``ringout`` as a person types it."""

from __future__ import annotations

import csv
import json
import shutil
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from builders.demo import DEMO
from builders.filling import CIRCUITS, FILLED, HOW, PLUG, demo_sheet, filled_table
from builders.littlecar import little_car
from builders.simulated import Node, Simulated

from harnesscheck.api.reading import Reading
from harnesscheck.api.ringout import car_of
from harnesscheck.bench.ringout.measurements import ring_out
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.document import report_schema
from harnesscheck.write.spreadsheets import grid_csv


def ringout(*words: str, cwd: Path | None = None) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "harnesscheck", "ringout", *words],
        cwd=cwd,
        capture_output=True,
        timeout=300,
        check=False,
    )


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The donor's sheets."""
    folder = tmp_path_factory.mktemp("sheets")
    done = ringout(str(DEMO / "donor.xml"), "-o", str(folder))
    assert done.returncode == 0, done.stderr.decode()
    return folder


def rows_of(file: Path) -> list[list[str]]:
    with file.open(encoding="utf-8", newline="") as lines:
        return list(csv.reader(lines))


def fill(source: Path, target: Path, changed: dict[int, str] | None = None) -> None:
    """Every line as it should read, but for some by number."""
    rows = rows_of(source)
    for row in rows[4:]:
        row[5] = (changed or {}).get(int(row[0]), "OL" if row[4] == "over 1 Mohm" else "0.2")
    with target.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out, lineterminator="\n").writerows(rows)


def test_the_sheets_to_fill_in(sheets: Path) -> None:
    """One file a list and a workbook of all; the columns are the agreed ones, the digest is in it."""
    rows = rows_of(sheets / "ringout.csv")

    assert {file.name for file in sheets.iterdir()} >= {
        "ringout.csv", "ringout.xlsx", "ringout-unplug-first.csv", "ringout-not-proven.csv",
        "ringout-feeds-under-load.csv", "ringout-first-power-up.csv",
    }  # fmt: skip
    assert rows[3] == ["number", "place", "from", "to", "expect", "read", "note"]
    assert rows[1][0] == "inputs" and len(rows[1][1]) == 12
    assert all(len(row) == 7 and row[5] == "" for row in rows[4:])


def test_the_same_bytes_again(sheets: Path, tmp_path: Path) -> None:
    """Another time, another hash seed: the same files."""
    for seed in ("1", "2"):
        folder = tmp_path / seed
        command = [sys.executable, "-m", "harnesscheck", "ringout", str(DEMO / "donor.xml"), "-o", str(folder)]
        subprocess.run(
            command, env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(DEMO.parent)}, check=True, capture_output=True
        )
        for file in sheets.iterdir():
            assert (folder / file.name).read_bytes() == file.read_bytes(), file.name


def test_the_list_on_the_terminal() -> None:
    """What to unplug by name, the readings by place, what stays unproven, in 80 columns."""
    done = ringout(str(DEMO / "donor.xml"))
    text = done.stdout.decode()

    assert done.returncode == 0
    assert all(len(line) <= 80 for line in text.splitlines()), max(text.splitlines(), key=len)
    for words in ("UNPLUG FIRST", "Fuel pump (fuel-pump", "NOT PROVEN", "airbag-module", "60 ohm", "--with-tie-leads"):
        assert words in text, words


def test_tie_leads_need_far_fewer_tests(tmp_path: Path) -> None:
    """With a kit the sheet has seven isolation tests for the example, and says where each lead goes."""
    done = ringout(str(DEMO / "donor.xml"), "--with-tie-leads", "-o", str(tmp_path), "--json", str(tmp_path / "r.json"))
    document = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))
    tests = [row for row in document["measurements"] if row["sort"] == "isolation"]

    assert done.returncode == 0
    assert len(tests) == (document["coverage"]["nets"] - 1).bit_length() == 7
    assert len(rows_of(tmp_path / "ringout-tie-leads.csv")) > 100
    each = ringout(str(DEMO / "donor.xml"), "--each-against-rest", "--json", "-")
    rows = json.loads(each.stdout)["measurements"]
    assert sum(row["sort"] == "isolation" for row in rows) == document["coverage"]["nets"]


def test_json_keeps_to_the_schema(sheets: Path, tmp_path: Path) -> None:
    """Measurements hold from, to and expect; with results, readings and explanations too."""
    fill(sheets / "ringout.csv", tmp_path / "f.csv", {1: "0.1"})
    plain = json.loads(ringout(str(DEMO / "donor.xml"), "--json", "-").stdout)
    read = json.loads(ringout(str(DEMO / "donor.xml"), "--results", str(tmp_path / "f.csv"), "--json", "-").stdout)

    for document in (plain, read):
        jsonschema.validate(document, report_schema())
        assert document["command"] == "ringout"
        assert all({"from", "to", "expect"} <= row.keys() for row in document["measurements"])
    assert "explanations" not in plain
    assert read["explanations"][0]["lines"] == [1]
    assert read["measurements"][0]["read"] == "0.1 ohm"


def test_good_readings_are_good(sheets: Path, tmp_path: Path) -> None:
    fill(sheets / "ringout.csv", tmp_path / "f.csv")
    done = ringout(str(DEMO / "donor.xml"), "--results", str(tmp_path / "f.csv"))

    assert done.returncode == 0 and b"Every reading is good." in done.stdout
    assert b"The others were not measured" in done.stdout


def test_an_empty_sheet_proves_nothing(sheets: Path) -> None:
    done = ringout(str(DEMO / "donor.xml"), "--results", str(sheets / "ringout.xlsx"))

    assert done.returncode == 0
    assert b"0 of " in done.stdout and b"Not measured, so not proven" in done.stdout and b"good" not in done.stdout


def test_results_of_other_files_are_refused(sheets: Path, tmp_path: Path) -> None:
    """A sheet of the donor says nothing of the shell, nor of the donor after an edit, unless one insists."""
    fill(sheets / "ringout.csv", tmp_path / "f.csv")
    for older in (DEMO / "shell.xml", tmp_path / "edited.xml"):
        if older.parent == tmp_path:
            text = (DEMO / "donor.xml").read_text(encoding="utf-8")
            older.write_text(text.replace("Linnet library van", "Linnet van", 1), encoding="utf-8")
        refused = ringout(str(older), "--results", str(tmp_path / "f.csv"), "-o", str(tmp_path / "out"))
        taken = ringout(str(older), "--results", str(tmp_path / "f.csv"), "--accept-older")

        assert refused.returncode == 2 and b"--accept-older" in refused.stderr and b"Traceback" not in refused.stderr
        assert not (tmp_path / "out").exists() and not refused.stdout
        assert taken.returncode == 0 and b"made from other files" in taken.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["nowhere.xml"], b"nowhere.xml"),
        (["demo/swap.toml", "--results", "nowhere.csv"], b"nowhere.csv"),
        (["demo/swap.toml", "--results", "demo/donor.xml"], b"expected"),
        (["bad.toml"], b"the netlist of the donor"),
        (["demo/donor.xml", "-o", "demo/donor.xml"], b"an input of this command"),
    ],
)
def test_bad_input_is_one_clear_message(words: list[str], said: bytes, tmp_path: Path) -> None:
    shutil.copytree(DEMO, tmp_path / "demo")
    (tmp_path / "bad.toml").write_text('[parts]\nhorn = "none"\n', encoding="utf-8")
    done = ringout(*words, cwd=tmp_path)

    assert done.returncode == 2
    assert said in done.stderr and b"Traceback" not in done.stderr and not done.stdout


# -- the example's filled-in sheet


def test_the_example_s_filled_sheet_is_what_a_meter_would_show() -> None:
    """The sheet ships with the example; after a change of the example it is written anew."""
    assert FILLED.read_text(encoding="utf-8") == demo_sheet(), HOW


def test_from_the_filled_sheet_to_the_crossed_pair() -> None:
    """The two contacts that changed places are named first, at their plug, and a next reading is proposed."""
    done = ringout(str(DEMO / "swap.toml"), "--results", str(FILLED), "--json", "-")
    document = json.loads(done.stdout)
    (group,) = document["explanations"]
    first = group["explanations"][0]
    pins = [row for row in document["measurements"] if row["number"] in group["lines"]]

    assert done.returncode == 0, done.stderr
    assert first["sort"] == "crossed" and group["exhaustive"]
    assert any(f"{PLUG}:" in one["faults"][0] for one in group["explanations"])
    assert all(row["verdict"] == "open" for row in pins)
    assert group["next"] and {len(one["faults"]) for one in group["explanations"]} == {1}
    assert len(CIRCUITS) == 2


def test_a_cut_that_was_not_mended_is_found_and_told(tmp_path: Path) -> None:
    """The sheet expects sound wires: the cut of [built.donor] reads open, and the swap sheet's words are repeated."""
    car = car_of(str(DEMO / "swap.toml"), Reading())
    (cut,) = (found.words for found in car.as_found if found.words.endswith(" cut"))
    plug, _, cavity = cut.split()[1].partition(":")
    joint: frozenset[Node] = frozenset((("face", plug, cavity), ("wire", plug, cavity)))
    table = filled_table(ring_out(Study(car.vehicle)), car.digest, Simulated(car.vehicle), ("open", joint))
    (tmp_path / "f.csv").write_text(grid_csv(table), encoding="utf-8")
    done = ringout(str(DEMO / "swap.toml"), "--results", str(tmp_path / "f.csv"))
    text = " ".join(done.stdout.decode().split())

    assert done.returncode == 0
    assert f"The swap sheet says of these places: {cut}. Look there first." in text
    assert "as found (1), the swap sheet says so: mend it first" in " ".join(
        ringout(str(DEMO / "swap.toml")).stdout.decode().split()
    )


def test_a_car_that_must_not_be_built_so_is_told_first(tmp_path: Path) -> None:
    """The donor's feed on the shell's ground: before what to unplug, before the power-up, and in the JSON."""
    little_car(tmp_path, "donor.xml", "L")
    little_car(tmp_path, "shell.xml", "L2")
    sheet = 'donor = "donor.xml"\nshell = "shell.xml"\n[harness]\nfront = "donor"\nrear = '
    for name, rear in (("bad", '"shell"'), ("good", '"donor"')):
        (tmp_path / f"{name}.toml").write_text(sheet + rear, encoding="utf-8")

    done = ringout("bad.toml", "--json", "report.json", "-o", "out", cwd=tmp_path)
    text = done.stdout.decode()
    report = json.loads((tmp_path / "report.json").read_text(encoding="utf-8"))
    with (tmp_path / "out" / "ringout-first-power-up.csv").open(encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(file))

    jsonschema.validate(report, report_schema())
    assert 0 < text.index("Do not build it so") < text.index("UNPLUG FIRST")
    assert lines[0]["step"] == "not yet" and "feed-to-ground" in lines[0]["do"]
    assert report["findings"][0]["kind"] == "feed-to-ground"
    assert b"Do not build it so" not in ringout("good.toml", cwd=tmp_path).stdout
