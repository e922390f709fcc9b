"""Cars wired without sense, drawn at random: nothing breaks, a car against itself is silent, paper has 80 columns."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.odd_cars import odd_car
from builders.rows import named

from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.kinds import KIND
from harnesscheck.compare.works.function import functions
from harnesscheck.network.behaviour.odd import odd, shaken
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.blocks.terminal import terminal_text
from harnesscheck.report.states import Opened, TickSheet, states_report


def drawn(seed: int, folder: Path) -> Study:
    """One car."""
    return Study(odd_car(seed, folder).vehicle)


@pytest.mark.parametrize("seed", range(30))
def test_an_odd_car_against_itself_works_alike(seed: int, tmp_path: Path):
    """Relays that hunt, loads in series, feeds joined: whatever it does, it does it in both."""
    car = drawn(seed, tmp_path)

    assert functions(Context(car, car, named(car, car)), []).changes == ()


@pytest.mark.parametrize("seed", range(30))
def test_odd_cars_against_each_other(seed: int, tmp_path: Path):
    """Every change is of a kind's severities and has a state, a part and, where something flows, a way."""
    donor, shell = drawn(seed, tmp_path), drawn(seed + 1000, tmp_path)

    for one in functions(Context(donor, shell, named(donor, shell)), []).changes:
        assert one.severity in KIND[one.kind].severities
        assert one.evidence.shown["state"].startswith("key ")
        assert one.donor_component or one.shell_component
        if one.kind == "sneak-path":
            assert one.evidence.shown["path"]


@pytest.mark.parametrize("seed", range(30))
def test_the_sheets_of_odd_cars_fit_on_paper(seed: int, tmp_path: Path):
    """80 columns, with a ground out as well."""
    sound = Behaviour(drawn(seed, tmp_path))
    rusty = Behaviour(sound.study, ("G1",))
    opened = Opened(("G1",), odd(sound, rusty), shaken(sound, rusty))

    for sheet in (TickSheet(sound), TickSheet(sound, "vehicle", opened)):
        lines = terminal_text(states_report(sheet, {})).splitlines()
        assert max(len(line) for line in lines if str(tmp_path) not in line) <= 80  # a path is not broken


@pytest.mark.parametrize("seed", range(10))
def test_nothing_taken_out_is_nothing_odd(seed: int, tmp_path: Path):
    """The sound car beside itself."""
    sound = Behaviour(drawn(seed, tmp_path))

    assert odd(sound, Behaviour(sound.study)) == ()
    assert shaken(sound, Behaviour(sound.study)) == ()
