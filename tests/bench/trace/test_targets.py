"""What a text may mean: every kind of target, none guessed, close names offered."""

from __future__ import annotations

import pytest
from builders.rows import half, inline, lamp, socket, study
from builders.tracing import demo, only, places, traced

from harnesscheck.bench.trace.targets import close_names, targets
from harnesscheck.network.behaviour.states import Behaviour

CAR = Behaviour(
    study(
        inline({"1": "LP>P", "2": "LG>G1", "3": "LP>P"}, {"1": "LP>LAMP-H:1", "2": "LG>LAMP-H:2"}),
        socket("LAMP", "lamp", {"1": "+ supply", "2": "- ground"}, {}, 'watts="5"', harness="rear"),
        '<circuit id="LP" function="lamp feed"/>',
    )
)


@pytest.mark.parametrize(
    ("text", "sort", "name"),
    [
        ("C21H:4", "cavity", "C21H:4"),
        ("reading-lamp-1", "component", "reading-lamp-1"),
        ("reading-lamp-1.-", "terminal", "reading-lamp-1.-"),
        ("headlamp-left.56b", "terminal", "headlamp-left.56b"),
        ("RL", "circuit", "RL"),
        ("S45", "splice", "S45"),
        ("G7", "ground", "G7"),
        ("F8", "fuse", "F8"),
        ("fuel-pump-relay", "component", "fuel-pump-relay"),
        ("READING-LAMP-1", "component", "reading-lamp-1"),
        ("Reading lamp 1", "component", "reading-lamp-1"),
        ("circuit RL", "circuit", "RL"),
    ],
)
def test_every_kind_of_target(text: str, sort: str, name: str) -> None:
    """One thing, whatever upper and lower case; a printed name is as good as an id."""
    found = only(demo(), text)

    assert (found.sort, found.name) == (sort, name)


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("reading-lamp", ["reading-lamp-1", "reading-lamp-2", "reading-lamp-3", "reading-lamp-4"]),
        ("headlamp-left", ["headlamp-left.56a", "headlamp-left.56b"]),
        ("ignition-switch", ["ignition-switch.15", "ignition-switch.30"]),
        ("C21H", ["C21H:1", "C21H:2"]),
    ],
)
def test_several_are_listed_and_none_is_guessed(text: str, names: list[str]) -> None:
    """A part with several loads, a switch with several terminals, a plug, the beginning of a name."""
    found = [one.name for one in targets(demo().study, demo().circuit, text)]

    assert len(found) > 1
    assert found[: len(names)] == names
    for name in found:
        assert only(demo(), name).name == name


@pytest.mark.parametrize(
    ("text", "close"),
    [("reeding-lamp-1", "reading-lamp-1"), ("C21X:4", "C21:4"), ("C21H:99", "C21H:1"), ("fuel-pumpe", "fuel-pump")],
)
def test_close_names_are_offered(text: str, close: str) -> None:
    """For a misspelt name, a misspelt plug, a cavity that is not there."""
    assert targets(demo().study, demo().circuit, text) == ()
    assert close in close_names(demo().study, text)


@pytest.mark.parametrize(
    "text", ["", " ", ":", ".", "C21H:", ":4", "reading-lamp-1.", ".+", "no such thing", "x" * 500]
)
def test_nonsense_is_nothing(text: str) -> None:
    """Neither an error nor a guess."""
    assert targets(demo().study, demo().circuit, text) == ()


@pytest.mark.parametrize("text", ["LAMP", "LAMP.+", "LAMP.-", "C1:1", "C1R:2", "LP", "LAMP-H:1"])
def test_every_target_of_a_chain_gives_the_chain(text: str) -> None:
    """Lamp, terminals, cavities and circuit lie on one way, and each names the whole of it."""
    found = traced(CAR, text)

    assert found.complete
    assert [one for one in places(found) if one.startswith("C1")] == ["C1:1", "C1R:1", "C1R:2", "C1:2"]
    assert only(CAR, text).words


@pytest.mark.parametrize("text", ["S45", "C21:4", "RL", "F8", "reading-switch", "RE1-AH:2"])
def test_a_target_stands_on_its_chain(text: str) -> None:
    """The step a trace begins at is the target's own."""
    found = traced(demo(), text)
    names = {
        end
        for step in (found.steps[found.split], found.steps[found.split + 1])
        for end in (step.spot.place, step.spot.terminal)
    }

    assert found.complete
    assert names & set(only(demo(), text).ends)


@pytest.mark.parametrize("ground", ["G1", "G2", "G7", "G8", "G9", "G10"])
def test_a_ground_point_is_reached_over_a_load_of_its_own(ground: str) -> None:
    """All ground points are one node, but the trace goes through the stud that was asked for."""
    found = traced(demo(), ground)

    assert found.complete
    assert found.steps[found.split].spot.place == ground


def test_a_circuit_in_pieces_is_listed_piece_by_piece() -> None:
    """Two wires of one name that do not hang together."""
    car = Behaviour(study('<splice id="X"/>', half("C9", {"1": "ODD>P", "2": "ODD>X"}, "front"), lamp("bulb", "P")))
    found = targets(car.study, car.circuit, "ODD")

    assert [one.name for one in found] == ["C9:1", "C9:2"]
    assert all("one of 2 pieces" in one.words for one in found)
