"""Circuit sheets of a state: volts, amperes, and what is live, dead or on a sneak path without colour."""

from __future__ import annotations

import pytest
from builders.demo import DEMO, study_at
from builders.readable import outside, overlapping_labels, too_small
from builders.rows import lamp, study

from harnesscheck.draw.blocks import DEAD, LIVE, SNEAK
from harnesscheck.draw.current import state_of
from harnesscheck.draw.scene import Line, flat, texts
from harnesscheck.draw.targets import DrawingAsked, draw_target
from harnesscheck.network.behaviour.states import Behaviour, Condition

VAN = DEMO / "donor.xml"
PUMP_ON = (("engine-computer.FPR", "on"), ("engine-computer.MR", "on"), ("inertia-switch", "set"))


@pytest.fixture(scope="module")
def van() -> Behaviour:
    return Behaviour(study_at(VAN))


def sheets(behaviour: Behaviour, target: str, condition: Condition):
    drawn = draw_target(behaviour.study, target, asked=DrawingAsked(state=state_of(behaviour, condition)))
    assert isinstance(drawn, list), drawn
    return [one.scene for one in drawn]


def words(scenes) -> list[str]:
    return [text.text for scene in scenes for text in texts(scene)]


def test_the_pump_s_circuit_while_it_runs(van: Behaviour):
    """Every wire says that it is live and what it carries, every plug its volts."""
    scenes = sheets(van, "FP", Condition("run", PUMP_ON))
    found = words(scenes)

    assert "live 6.87 A" in found
    assert "live 0 A" in found  # the test plug hangs on it: volts, no current
    assert any(word.startswith("11.") and word.endswith(" V") for word in found)
    assert not any(word.startswith("dead") for word in found if word != "dead thin")


def test_the_same_with_the_key_off(van: Behaviour):
    """Behind the relay all is dead, before it there are volts."""
    found = words(sheets(van, "FP", Condition("off")))

    assert "dead 0 A" in found
    assert "live 0 A" in found


@pytest.mark.parametrize("condition", [Condition("off"), Condition("run", PUMP_ON)])
@pytest.mark.parametrize("target", ["FP", "headlamp-left", "S3", "G1"])
def test_sheets_stay_readable(van: Behaviour, condition: Condition, target: str):
    """No labels over one another, nothing off the page, nothing too small, with volts and amperes on it."""
    for scene in sheets(van, target, condition):
        assert overlapping_labels(scene) == []
        assert outside(scene) == []
        assert too_small(scene) == []


def shared() -> Behaviour:
    """Two lamps share a ground that is lost: with one switched on, the other is in series with a third."""
    rows = '<splice id="X"/><splice id="Y"/><splice id="J"/>'
    rows += '<wire from="P" to="X" size="1" length="1"/><wire from="J" to="Y" size="1" length="1"/>'
    return Behaviour(study(rows, lamp("one", "X", "J", more='watts="5"'), lamp("two", "Y", "G1", more='watts="5"')))


def test_a_sneak_path_is_dashed_and_said():
    """Current through two lamps in a row; the wires on its way are heavy dashes with the word."""
    behaviour = shared()
    state = state_of(behaviour, Condition("off"))
    scenes = sheets(behaviour, "one", Condition("off"))

    assert set(state.looks.values()) >= {SNEAK}
    assert any(word.startswith("sneak 0.2") for word in words(scenes))
    dashed = [item for scene in scenes for item in flat(scene.items) if isinstance(item, Line) and item.pen.dash_mm]
    assert any(item.pen.width_mm > 1 for item in dashed)


def test_thick_thin_and_dashed_are_told_apart_without_colour(van: Behaviour):
    """A live wire's ink is over a millimetre wide, a dead one's a hair."""
    state = state_of(van, Condition("off"))

    assert {LIVE, DEAD} <= set(state.looks.values())
    lines = [item for scene in sheets(van, "FP", Condition("off")) for item in flat(scene.items)]
    widths = {item.pen.width_mm for item in lines if isinstance(item, Line)}
    assert 0.2 in widths and max(widths) > 1.0


def test_volts_are_the_solution_s(van: Behaviour):
    """By cavity, terminal and splice; the body is at 0 V, the battery's plus highest."""
    state = state_of(van, Condition("run", PUMP_ON))
    by_name = {str(end): volts for end, volts in state.volts_v.items()}

    assert by_name["G7"] == 0
    assert 11.9 < by_name["battery +"] == max(by_name.values()) < 12
    assert by_name["FP-AH:1"] == pytest.approx(11.19, abs=0.01)  # the whole solution is held against ngspice elsewhere
