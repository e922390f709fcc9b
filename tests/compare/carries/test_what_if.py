"""Can this circuit take it: what gets worse, and the smallest change that would do."""

from __future__ import annotations

import pytest
from builders.demo import DEMO, vehicle_at
from builders.oneload import circuit, judged
from builders.rows import bare, lamp

from harnesscheck.compare.carries.loads import loads_of
from harnesscheck.compare.carries.upgrade import upgrade
from harnesscheck.compare.carries.whatif import changed, read_change, replaced
from harnesscheck.model.places import InputFault
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study

VAN = DEMO / "donor.xml"


@pytest.fixture(scope="module")
def van() -> Vehicle:
    return vehicle_at(VAN)


def with_(vehicle: Vehicle, *texts: str) -> Vehicle:
    for text in texts:
        change = read_change(text)
        assert not isinstance(change, InputFault), change
        result = changed(vehicle, change)
        assert isinstance(result, Vehicle), result
        vehicle = result
    return vehicle


@pytest.mark.parametrize(
    ("text", "row"),
    [
        ("fuel-pump.amps=16", lambda v: v.components["fuel-pump"].amps == 16),
        (
            "fuel-pump.watts=100",
            lambda v: (v.components["fuel-pump"].amps, v.components["fuel-pump"].watts) == (None, 100),
        ),
        ("F31.rating=20", lambda v: v.components["F31"].rating == 20),
        ("F7.rating=20", lambda v: next(row.fuse for row in v.netlist.insides if row.id == "F7") == 20),
        ("wiper-motor/fast.amps=9", lambda v: [r.amps for r in v.insides_of["wiper-motor"] if r.load == "fast"] == [9]),
        ("C12:4.size=2.5", lambda v: next(r for r in v.pins_of["C12"] if r.cavity == "4").size.area_mm2 == 2.5),
        ("S26 to G4.size=6", lambda v: next(r for r in v.netlist.wires if r.from_ == "S26").size.area_mm2 == 6),
    ],
)
def test_a_change_sets_one_field(van, text, row):
    """A component, a fuse of its own or in a box, a load inside a component, a wire by its end or ends."""
    assert row(with_(van, text))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("fuel-pump", "a row, a field and its value"),
        ("no-such.amps=1", "a component, a load inside one"),
        ("fuel-pump.colour=RD", "one of amps, watts"),
        ("fuel-pump.amps=many", "a number above 0"),
        ("wiper-motor.amps=9", "wiper-motor/slow, wiper-motor/fast"),
        ("C12:4.rating=9", "one of size"),
        ("wiper-motor/backwards.amps=9", "a load that the component has inside"),
    ],
)
def test_a_change_that_cannot_be_made_says_what_was_expected(van, text, said):
    """One message: what was read and what was expected."""
    change = read_change(text)
    fault = change if isinstance(change, InputFault) else changed(van, change)

    assert isinstance(fault, InputFault)
    assert said in str(fault)


def test_the_bigger_pump_in_the_demonstration_van(van):
    """15 A are too much for F31 and for the pump's 1.5 mm²; with the steps nothing is worse than before."""
    before, now = (loads_of(Behaviour(Study(car))) for car in (van, with_(van, "fuel-pump.amps=15")))
    found = upgrade(before, now)

    kinds = {one.finding.kind for one in found.worse}
    assert {"fuse-too-small", "wire-overloaded", "volt-drop"} <= kinds
    assert "fuse F31: 15 A -> 20 A" in map(str, found.steps)
    assert any("FP-AH" in step.what and step.was == "1.5 mm²" for step in found.steps)
    assert not found.open
    again = loads_of(Behaviour(Study(with_(van, "fuel-pump.amps=15", *(str(step.change) for step in found.steps)))))
    assert upgrade(before, again).worse == ()


def test_no_step_can_be_left_out(van):
    """Each step of the smallest change is needed: without it something is worse than before."""
    before = judged(circuit('size="1" length="8"', 'kind="motor" amps="4"', fuse='rating="7.5" type="C"'))
    vehicle = with_(before.behaviour.study.vehicle, "load.amps=9")
    found = upgrade(before, judged(Study(vehicle)))

    assert len(found.steps) == 2
    for left_out in found.steps:
        rest = [str(step.change) for step in found.steps if step is not left_out]
        assert upgrade(before, judged(Study(with_(vehicle, *rest)))).worse


def test_wires_without_a_plug_and_with_no_far_end_written_can_be_thicker():
    """A terminal's own lead, and pins of one circuit that only their circuit joins, are stepped up like any wire."""
    lead = bare(
        '<ground id="G1"/><splice id="B"/><splice id="P"/>',
        '<component id="battery" kind="battery"><pin terminal="+" to="B"/><pin terminal="-" to="G1"/></component>',
        '<component id="F1" kind="fuse" rating="10" type="C"><pin terminal="1" to="B"/><pin terminal="2" to="P"/>',
        '</component><component id="load" kind="motor" amps="3"><pin terminal="+" to="P" size="0.75" length="6"/>',
        '<pin terminal="-" to="G1"/></component>',
    )
    harness = '<harness id="h"/><connector id="C" harness="h" cavities="1"><pin cavity="1" circuit="a" size="0.75" '
    harness += 'length="6"/></connector><connector id="D" harness="h" cavities="1"><pin cavity="1" circuit="a" '
    harness += 'size="0.75" length="6"/></connector>'
    joined = bare(
        '<ground id="G1"/><splice id="B"/>' + harness,
        '<component id="battery" kind="battery"><pin terminal="+" to="B"/><pin terminal="-" to="G1"/></component>',
        '<component id="F1" kind="fuse" rating="10" type="C"><pin terminal="1" to="B"/>',
        '<connector id="FA" cavities="1" mates="C"><pin cavity="1" terminal="2"/></connector></component>',
        '<component id="load" kind="motor" amps="3"><pin terminal="-" to="G1"/>',
        '<connector id="LA" cavities="1" mates="D"><pin cavity="1" terminal="+" role="supply"/></connector>',
        "</component>",
    )
    for car in (lead, joined):
        before = judged(car)
        found = upgrade(before, judged(Study(with_(car.vehicle, "load.amps=7"))))

        assert [one.finding.kind for one in found.worse] == ["volt-drop"]
        assert any(step.change.field == "size" for step in found.steps)
        assert not found.open


def test_a_small_bulb_is_no_question(van):
    """Less current is never worse."""
    before, now = (loads_of(Behaviour(Study(car))) for car in (van, with_(van, "fuel-pump.amps=5")))

    assert upgrade(before, now).worse == ()


def test_six_hundred_watts(van):
    """A public fuse-rating page: 50 A ask for 62.5 A. Of ISO 8820-3 type E the next is 70 A, not the page's 80 A."""
    before = judged(circuit('size="35" length="0.1"', 'kind="heater" amps="30"', fuse='rating="50" type="E"'))
    now = judged(Study(with_(before.behaviour.study.vehicle, "load.watts=601")))
    found = upgrade(before, now)

    assert [str(step) for step in found.steps] == ["fuse F1: 50 A -> 70 A"]


def test_a_part_from_another_file(van):
    """Its data come from the file, its plugs and its place stay; a terminal the car's part has not is a fault."""
    other = bare('<ground id="G1"/>', lamp("bigger", kind="motor", more='amps="16" stall="40"')).vehicle.netlist
    result = replaced(van, "fuel-pump", "bigger.xml", other)

    assert isinstance(result, Vehicle)
    assert (result.components["fuel-pump"].amps, result.components["fuel-pump"].at) == (16, "tank top")
    strange = bare(
        '<component id="x" kind="motor"><pin terminal="53" to="S"/><pin terminal="31" to="S"/>'
        '<inside from="53" to="31" load="run" amps="9"/></component><splice id="S"/>'
    ).vehicle.netlist
    assert "a terminal that fuel-pump has" in str(replaced(van, "fuel-pump", "x.xml", strange))
    assert "a component of the file" in str(replaced(van, "no-such", "x.xml", other))
