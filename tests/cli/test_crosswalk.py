"""``crosswalk`` proposes, a person corrects, ``--crosswalk`` takes it back."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from builders.demo import DEMO, RICH, study_at

from harnesscheck.align import Crosswalk, align
from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.model.records import Header, Netlist
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.report.crosswalk import crosswalk_text


def names(pairs: tuple[Pair, ...]) -> set[tuple[str, str]]:
    return {(pair.donor, pair.shell) for pair in pairs}


def test_reading_it_back_gives_the_same_pairs() -> None:
    """The proposal, handed back, changes nothing but certainty."""
    donor, shell = study_at(DEMO / "donor.xml"), study_at(DEMO / "shell.xml")
    pairs = align(donor, shell)
    tables = tomllib.loads(crosswalk_text(donor.vehicle, shell.vehicle, pairs))["crosswalk"]
    again = align(donor, shell, Crosswalk(**tables))

    assert names(again.connectors) == names(pairs.connectors)
    assert names(again.components) == names(pairs.components)
    assert tables["connector"]["C21"] == "C31"


@pytest.mark.parametrize("name", ['quo"te', "back\\slash", "ümläut", "[x]", "a=b # c", "del\x7f", "line\nbreak"])
def test_any_name_is_sound_toml(name: str) -> None:
    """Names and reasons cannot break out of their line."""
    car = Vehicle(Netlist(header=Header(vehicle=f"van\n[accepted]\n{name}")))
    pairs = Pairs(connectors=(Pair(name, "C2", 0.5, f"its wires\n{name}"),))
    read = tomllib.loads(crosswalk_text(car, car, pairs))

    assert read == {"crosswalk": {"connector": {name: "C2"}, "component": {}, "circuit": {}}}


def test_the_command_writes_a_file_that_compare_takes(tmp_path: Path) -> None:
    """From one command to the next without a hand on the file."""
    base = [sys.executable, "-m", "harnesscheck"]
    cars = [str(RICH / f"rich-{car}.xml") for car in ("donor", "shell")]
    target = tmp_path / "swap.toml"
    subprocess.run([*base, "crosswalk", *cars, "-o", str(target)], check=True, capture_output=True)
    plain = subprocess.run([*base, "compare", *cars, "--json", "-"], check=True, capture_output=True).stdout
    said = subprocess.run(
        [*base, "compare", *cars, "--crosswalk", str(target), "--json", "-"], check=True, capture_output=True
    ).stdout

    assert plain.count(b'"kind"') == said.count(b'"kind"')
