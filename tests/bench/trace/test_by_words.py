"""A trace and a drawing by what a wire is for: one search, one answer, several listed; loose ends name their likes."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.commands import run
from builders.rows import POWER, bare, inline, lamp

from harnesscheck.bench.trace.targets import targets
from harnesscheck.lists.wiresearch import called
from harnesscheck.model.order import natural_key
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study
from harnesscheck.write.xml import write_xml

CIRCUITS = (
    '<circuit id="BL" function="left brake lamp"/><circuit id="BR" function="right brake lamp"/>'
    '<circuit id="HO" function="horn"/>'
)
WIRES = {"1": 'BL>P colour="VT/RD"', "2": 'BR>P colour="BU"', "3": 'HO>Q colour="VT/RD"'}


def car(rear: dict[str, str] | None = None) -> Study:
    """Three circuits through one plug to three lamps."""
    far = rear if rear is not None else {"1": "BL>S1", "2": "BR>S2", "3": "HO>S3"}
    loads = "".join(lamp(f"L{n}", f"S{n}") for n in (1, 2, 3) if f"S{n}" in " ".join(far.values()))
    return bare(POWER + CIRCUITS + loads + inline(WIRES, far))


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ("left brake lamp", ["BL"]),
        ("brake lamp", ["BL", "BR"]),
        ("violet/red", ["BL", "HO"]),
        ("horn", ["HO"]),
        ("left horn of a unicorn", []),
    ],
)
def test_words_mean_the_circuits_that_answer_to_all_of_them(words: str, names: list[str]) -> None:
    study = car()
    behaviour = Behaviour(study)

    assert sorted(called(study, words), key=natural_key) == names
    assert sorted({one.name for one in targets(study, behaviour.circuit, words)}, key=natural_key) == names


def test_a_name_goes_before_words() -> None:
    """What is called so is meant, whatever else speaks of it."""
    study = car()

    assert [one.name for one in targets(study, Behaviour(study).circuit, "BL")] == ["BL"]


def test_commands_take_the_words(tmp_path: Path) -> None:
    """One answer is traced and drawn; of several both commands name each."""
    file = tmp_path / "car.xml"
    write_xml(car().vehicle.netlist, file)
    traced = run("trace", str(file), "left brake lamp").stdout
    run("draw", str(file), "left brake lamp", "-o", str(tmp_path / "out"))
    several = [
        run(*words, status=2).output
        for words in (("trace", str(file), "brake lamp"), ("draw", str(file), "brake lamp"))
    ]

    assert "trace of: BL" in traced
    assert [one.name for one in (tmp_path / "out").iterdir()] == ["circuit-BL.svg"]
    assert all("BL" in text and "BR" in text for text in several)


def test_a_loose_end_names_what_is_called_or_coloured_as_it_is(tmp_path: Path) -> None:
    """The horn's wire ends in the plug; the brake lamp's has its colour, and is not joined to it."""
    file = tmp_path / "car.xml"
    write_xml(car({"1": "BL>S1", "2": "BR>S2"}).vehicle.netlist, file)
    text = " ".join(run("trace", str(file), "C1:3").stdout.split())

    assert "Called or coloured alike elsewhere: VT/RD, size ?, C1:1 to P, circuit BL." in text
