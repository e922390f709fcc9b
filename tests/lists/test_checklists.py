"""The lists to tick: every plug, ground and fuse of the car is on them, restraint is left alone."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from builders.demo import DEMO
from builders.rows import bare, half
from builders.tracing import demo
from click.testing import CliRunner

from harnesscheck.cli.main import cli
from harnesscheck.lists.checklists import before_closing_up, checklists, unplug_and_label
from harnesscheck.report.checklists import checklist_files


def by_name(name: str = "donor") -> dict[str, list[dict[str, str]]]:
    return {one.name: [dict(row) for row in one.rows] for one in checklists(demo(name).study)}


def test_every_mated_plug_is_labelled_once() -> None:
    """One row a pair, whichever half it is written on; each says where, what into, and a flag of its own."""
    vehicle = demo().study.vehicle
    rows = by_name()["unplug-and-label"][1:]
    pairs = {frozenset(pair) for pair in vehicle.mate_of.items()}

    assert {frozenset({row["plug"], row["into"]}) for row in rows} == pairs
    assert len(rows) == len(pairs)
    flags = [row["flag"] for row in rows if not row["flag"].startswith("LEAVE")]
    assert len(set(flags)) == len(flags)
    assert all(
        row["plug"] in row["flag"] and row["into"] in row["flag"] for row in rows if not row["flag"].startswith("LEAVE")
    )


def test_restraint_plugs_are_left_alone() -> None:
    """By the part's system or by a wire's circuit; the instruments by their lamp's wire, the fuse box by its fuse's."""
    rows = {row["plug"]: row["flag"] for row in by_name()["unplug-and-label"][1:]}
    left = {plug for plug, flag in rows.items() if flag.startswith("LEAVE")}
    vehicle = demo().study.vehicle
    systems = {row.id: row.system for row in vehicle.netlist.circuits}
    carrying = {
        name for name, pins in vehicle.pins_of.items() for pin in pins if systems.get(pin.circuit or "") == "restraint"
    }

    carrying |= {
        row.id
        for row in vehicle.netlist.connectors
        if row.component is not None and vehicle.components[row.component].system == "restraint"
    }

    carrying |= {"FB-CH", "IC-AH"}

    assert left == {plug for plug in rows if plug in carrying or vehicle.mate_of[plug] in carrying}
    assert "C19" in left


def test_every_ground_and_fuse_is_looked_at_before_closing_up() -> None:
    """By name, with bare metal and with the rating that belongs there."""
    rows = by_name()["before-closing-up"]
    vehicle = demo().study.vehicle
    grounds = {row["name"]: row["look for"] for row in rows if row["what"] == "ground"}
    fuses = {row["name"]: row["look for"] for row in rows if row["what"] == "fuse"}

    assert set(grounds) == set(vehicle.grounds)
    assert all("bare metal" in words for words in grounds.values())
    assert fuses["F8"].startswith("10 A") and fuses["F31"].startswith("15 A")
    assert {row.id for row in vehicle.netlist.insides if row.fuse is not None} <= set(fuses)


def test_the_shell_s_loose_ends_are_named() -> None:
    """Feeds that end in an empty cavity are insulated before the trim goes on."""
    named = {row["name"] for row in by_name("shell")["before-closing-up"] if row["what"] == "loose end"}

    assert named == {"C11:20", "C14:22", "C17:16", "C17:20"}


def test_what_works_is_ticked_before_and_after() -> None:
    """Every load of the car is on the evening's list, restraint is not."""
    whats = [row["what"] for row in by_name()["evening-one"] if row["part"] == "works before"]

    assert any("Reading lamp 1" in what for what in whats)
    assert not any("irbag" in what for what in whats)
    assert any(row["when"] == "first evening" for row in by_name()["weeks-after"])


def test_files_are_csv_and_text_of_80_columns() -> None:
    """Four of each; the CSV reads back with its columns."""
    files = checklist_files(demo().study)
    names = ("evening-one", "unplug-and-label", "before-closing-up", "weeks-after")

    assert list(files) == [f"checklist-{name}.{form}" for name in names for form in ("csv", "txt")]
    for name, data in files.items():
        text = data.decode("utf-8")
        if name.endswith(".txt"):
            assert max(map(len, text.splitlines())) <= 80
            assert text.count("[ ]") > 8
        else:
            rows = list(csv.DictReader(io.StringIO(text)))
            assert len(rows) > 8 and None not in rows[0]


@pytest.mark.parametrize("text", ["=1+1", "+A", "@x"])
def test_a_cell_is_never_a_formula(text: str) -> None:
    """What a spreadsheet would work out is neutralised."""
    study = bare(
        half("C1", {"1": "A"}, "front", "C2", more=f'at="{text}"'),
        half("C2", {"1": "A"}, "front"),
        '<harness id="front"/>',
    )
    data = checklist_files(study)["checklist-unplug-and-label.csv"].decode("utf-8")

    assert unplug_and_label(study).rows[1]["place"] == text
    assert all(not cell.startswith(text[0]) for row in csv.reader(io.StringIO(data)) for cell in row)


def test_ringout_writes_them_beside_its_sheets(tmp_path: Path) -> None:
    """The lists of the car that is rung out, in the same folder."""
    result = CliRunner().invoke(cli, ["ringout", str(DEMO / "shell.xml"), "-o", str(tmp_path)])

    assert result.exit_code == 0, result.output
    for name, data in checklist_files(demo("shell").study).items():
        assert (tmp_path / name).read_bytes() == data


def test_a_loose_end_in_a_shared_plug_is_left_to_the_licensed_person() -> None:
    """The horn's wire beside the airbag's is not insulated by whoever holds the list; alone it is."""
    pins = {"1": "A", "2": ' function="driver airbag"'}
    rows = [bare(half("C1", found, "front"), '<harness id="front"/>') for found in (pins, {"1": "A"})]
    shared, alone = ({row["name"]: row["look for"] for row in before_closing_up(car).rows} for car in rows)

    assert "licensed person" in shared["C1:1"] and "insulated" not in shared["C1:1"]
    assert "insulated" in alone["C1:1"]
