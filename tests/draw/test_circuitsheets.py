"""Circuit sheets: every wire once, nothing runs into anything, the small van as it should stand."""

from __future__ import annotations

from collections import Counter

from builders.scenes import as_text, broken_laws, circuits, small_van, titles, wire_title, words_on
from hypothesis import given, settings
from hypothesis import strategies as st

from draw import golden
from harnesscheck.align import Pairs, align
from harnesscheck.draw.blocks import BlockState, Naming
from harnesscheck.draw.circuitsheets import DrawnCircuit, circuit_pair_sheets, circuit_sheets, differing
from harnesscheck.draw.links import links_of
from harnesscheck.draw.page import SheetHeading
from harnesscheck.draw.pick import pick_component, pick_wires
from harnesscheck.draw.targets import DrawingAsked, draw_target
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.graph.wiring import CAVITY, End, wiring_of

HEAD = SheetHeading("Circuit X", "as drawn", "van", "0123abcd")


def circuit_of(study: Study, circuit: str, pairs: Pairs | None = None) -> DrawnCircuit:
    car = links_of(study)
    return DrawnCircuit(
        car, pick_wires(car, car.wiring.of_circuit.get(circuit, ())), Naming(pairs), f"Circuit {circuit}"
    )


def sheets(study: Study, target: str, **asked: object) -> list:
    found = draw_target(study, target, asked=DrawingAsked(digest="0123abcd", **asked))
    assert isinstance(found, list)
    return [sheet.scene for sheet in found]


@settings(max_examples=60, deadline=None)
@given(circuits())
def test_any_circuit_stands_on_its_sheets_with_every_wire_once(study: Study) -> None:
    """Up to 60 wires between any ends: no label overlaps, nothing leaves the page, every wire is drawn once."""
    wires = wiring_of(study).of_circuit.get("X", ())

    scenes = circuit_sheets(circuit_of(study, "X"), HEAD)

    assert [broken_laws(scene) for scene in scenes] == [{} for _ in scenes]
    found = titles(scenes)
    expected = Counter(map(wire_title, wires))
    assert {title: found[title] for title in expected} == dict(expected)


@settings(max_examples=25, deadline=None)
@given(circuits(most=30), st.data())
def test_any_component_stands_on_its_sheets(study: Study, data: st.DataObject) -> None:
    """The laws hold for a component's sheets too, and no wire is drawn twice."""
    component = data.draw(st.sampled_from(sorted(study.vehicle.components)))
    car = links_of(study)

    scenes = circuit_sheets(DrawnCircuit(car, pick_component(car, component), Naming(), component), HEAD)

    assert [broken_laws(scene) for scene in scenes] == [{} for _ in scenes]
    possible = Counter(map(wire_title, car.wiring.conductors))
    assert all(count <= possible[title] for title, count in titles(scenes).items() if title in possible)


@settings(max_examples=20, deadline=None)
@given(circuits(most=40), circuits(most=40))
def test_two_cars_stand_above_one_another(donor: Study, shell: Study) -> None:
    """Whatever two cars have, both halves keep the laws and all their wires."""
    scenes = circuit_pair_sheets(circuit_of(donor, "X"), circuit_of(shell, "X"), HEAD)

    assert [broken_laws(scene) for scene in scenes] == [{} for _ in scenes]
    expected = Counter(
        wire_title(wire) for study in (donor, shell) for wire in wiring_of(study).of_circuit.get("X", ())
    )
    found = titles(scenes)
    assert {title: found[title] for title in expected} == dict(expected)


def test_the_pump_runs_from_rail_to_ground() -> None:
    """The circuit FP: fuse, relay contact, plug, pump and ground on one way, the coil on another column."""
    found = words_on(sheets(small_van(), "FP"))

    for words in ("F1 15 A", "Pump relay", "C1:2", "C1R:2", "left rear pillar", "Fuel pump", "7.5 A", "G1", "coil"):
        assert words in found
    assert "1.25 BK/BU" in found and "30 → 87" in found
    assert "coil: column 2" in found
    assert found[found.index("contact:") + 1] == "column 1"


def test_sheet_of_the_pump_is_as_it_was() -> None:
    """Golden scene: the circuit FP of the small van."""
    [scene] = sheets(small_van(), "FP")

    golden.same("circuit-FP", as_text(scene))


def test_lamps_that_share_a_splice_are_joined_by_lines() -> None:
    """Two lamps between one feed splice and one ground splice: lines instead of words on both sides."""
    [scene] = sheets(small_van(), "LMP")

    found = words_on([scene])
    assert "S1" in found and "S2" in found
    assert not any(words.startswith("to S") for words in found)
    assert found.count("5 W") == 2


def test_a_ground_circuit_stands_on_the_ground_line() -> None:
    """Circuit 31 has no feed of its own: what feeds its parts is named, the ground points are at the bottom."""
    scenes = sheets(small_van(), "31")

    found = words_on(scenes)
    assert any(words.startswith("fed by") for words in found)
    assert "G1" in found and "G2" in found


def test_equal_cars_differ_in_nothing_and_are_grey() -> None:
    """Drawn beside itself, a circuit has no heavy label but the column numbers, the captions and the title."""
    one, other = circuit_of(small_van(), "FP"), circuit_of(small_van(), "FP")

    scenes = circuit_pair_sheets(one, other, HEAD)

    assert differing(one, other) == 0
    assert not [t for t in titles(scenes) if "differs" in t]
    assert {"F1 15 A", "Fuel pump"} <= set(words_on(scenes))


def test_what_differs_between_two_cars_is_inked_strongly() -> None:
    """The pump's feed crosses in another cavity: both of its wires and the crossing are black, the pump is grey."""
    donor, shell = small_van(), small_van(feed_to="C1:3")
    pairs = align(donor, shell)

    sheets_ = draw_target(donor, "FP", shell, pairs, DrawingAsked(digest="0123abcd"))

    assert isinstance(sheets_, list)
    golden.same("circuit-pair-FP", "".join(as_text(sheet.scene) for sheet in sheets_))
    assert differing(circuit_of(donor, "FP", pairs), circuit_of(shell, "FP")) == 3


def test_a_long_way_is_continued_and_both_ends_say_where() -> None:
    """A circuit too deep and too wide for a sheet: every cut names sheet and column, and the column names it back."""
    study = _star(90)

    scenes = sheets(study, "X")

    assert len(scenes) > 1
    found = words_on(scenes)
    assert found.count("continued on") == found.count("continued from") > 0
    assert not any("another sheet" in words for words in found)
    assert [broken_laws(scene) for scene in scenes] == [{} for _ in scenes]


def _star(count: int) -> Study:
    from builders.scenes import car, colour, size

    from harnesscheck.model.records import Ground, Harness, Splice, Wire

    splices = [Splice(id=f"S{number}", harness="body") for number in range(count)]
    wires = [
        Wire(
            harness="body",
            from_=f"S{(number - 1) // 3}",
            to=f"S{number}",
            circuit="X",
            colour=colour("BN"),
            size=size("1"),
        )
        for number in range(1, count)
    ]
    return car(harnesses=[Harness(id="body")], splices=splices, wires=wires, grounds=[Ground(id="G1")])


def test_a_loom_longer_than_the_stack_is_drawn() -> None:
    """Two thousand wires, each leaving from the end of the one before beside a stub: all there, laws kept."""
    study = _ladder(1000)

    scenes = sheets(study, "X")

    found, expected = titles(scenes), Counter(map(wire_title, wiring_of(study).of_circuit["X"]))
    assert {title: found[title] for title in expected} == dict(expected)
    assert len(expected) == 1999
    assert broken_laws(scenes[0]) == broken_laws(scenes[-1]) == {}


def _ladder(count: int) -> Study:
    from builders.scenes import car

    from harnesscheck.model.records import Harness, Splice, Wire

    splices = [Splice(id=f"{letter}{number}", harness="b") for number in range(count) for letter in "ST"]
    wires = [Wire(harness="b", from_=f"S{n}", to=f"T{n}", circuit="X") for n in range(count)]
    wires += [Wire(harness="b", from_=f"S{n}", to=f"S{n + 1}", circuit="X") for n in range(count - 1)]
    return car(harnesses=[Harness(id="b")], splices=splices, wires=wires)


def test_volts_and_amperes_of_a_state_stand_beside_contacts_and_wires() -> None:
    """The seam for a solved state: by end and by wire."""
    study = small_van()
    wires = wiring_of(study).of_circuit["FP"]
    state = BlockState("run", {End(CAVITY, "R-A", "2"): 11.87}, {wires[0]: 7.4})

    found = words_on(sheets(study, "FP", state=state))

    assert "11.87 V" in found and "7.4 A" in found


def test_a_circuit_without_wires_says_so() -> None:
    """A circuit that is declared and that no wire carries is a page with a sentence."""
    from builders.scenes import car

    from harnesscheck.model.records import Circuit

    [scene] = sheets(car(circuits=[Circuit(id="X")]), "X")

    assert "No wire of it is in the file." in words_on([scene])
