"""Lists of a plan: a stripped wire is one that nothing works by; what is measured first; build sheets of leads."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders.lampcars import pair
from builders.rows import named, socket, study
from cars.car import colour_of

from harnesscheck.assemble.apply import apply
from harnesscheck.compare.compare import compare
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.decide.decide import DecisionQuestion, decide
from harnesscheck.decide.groups import Wishes
from harnesscheck.decide.leads import build_sheets
from harnesscheck.decide.lists import lists
from harnesscheck.decide.plan import Plan, WorkStep
from harnesscheck.decide.work import Repair
from harnesscheck.lists.deadwires import dead_wires, left_apart
from harnesscheck.lists.firstreadings import SAME, TAKEN_OUT, first_readings
from harnesscheck.lists.listtable import ListTable
from harnesscheck.model.edits import (
    AddLead,
    AddWire,
    Conductor,
    Cut,
    Edit,
    Housing,
    Insulate,
    Lay,
    MovePin,
    SwapHousing,
)
from harnesscheck.model.records import Circuit
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study
from harnesscheck.trade.sizes import Size


def plans(seed: int) -> tuple[Study, Study, tuple[Plan, ...]]:
    donor, shell, pairs = pair(seed)
    return donor, shell, decide(DecisionQuestion(donor, shell, pairs, kept=3, electrical=False)).plans


def worse_for(car: Vehicle, cut: Vehicle) -> list[str]:
    """What is dead or worse on a car after wires were cut, as against before."""
    before, after = Study(car), Study(cut)
    found = compare(before, after, named(before, after)).findings
    return [f"{one.kind} {one.donor}" for one in found if one.severity <= Severity.DEAD]


# -- strip


@pytest.mark.parametrize("block", range(6))
def test_cutting_a_wire_of_the_strip_list_makes_nothing_worse(block: int) -> None:
    """Random finished cars: with all listed wires cut, every part works as before and nothing is harmed."""
    tried = 0
    for seed in range(800 + 5 * block, 805 + 5 * block):
        donor, shell, found = plans(seed)
        for plan in found:
            dead = dead_wires(Study(plan.car), left_apart(plan.assembly, donor.vehicle, shell.vehicle, plan.car))
            tried += len(dead)
            if dead:
                assert worse_for(plan.car, apply(plan.car, [Cut(one.start, one.end) for one in dead])) == [], seed

    assert tried


def test_cutting_any_other_wire_makes_something_worse() -> None:
    """The list is complete on these cars: each wire that is not on it feeds or grounds a lamp."""
    tried = 0
    for seed in range(830, 833):
        donor, shell, found = plans(seed)
        plan = found[0]
        dead = dead_wires(Study(plan.car), left_apart(plan.assembly, donor.vehicle, shell.vehicle, plan.car))
        listed = {(one.start, one.end) for one in dead}
        for pin in plan.car.netlist.pins:
            wire = (f"{pin.connector}:{pin.cavity}", pin.to or "")
            if pin.connector is not None and pin.to is not None and wire not in listed:
                tried += 1
                assert worse_for(plan.car, apply(plan.car, [Cut(*wire)])), (seed, wire)

    assert tried > 10


def listed_in(*rows: str, apart: tuple[str, ...] = ()) -> list[tuple[str, str]]:
    """The wires that serve nothing in a car written here."""
    return [(one.start, one.end) for one in dead_wires(study(*rows), apart)]


LAMP = socket("lamp", "lamp", {"1": "+ supply", "2": "- ground"}, {"1": ">S1", "2": ">G1"})
FED = '<splice id="S1" harness="front"/><wire harness="front" from="P" to="S1"/>'


def test_a_working_wire_is_never_listed() -> None:
    """From the fuse over a splice to a lamp and from it to ground: all of use."""
    assert listed_in(FED, LAMP) == []


def test_a_dead_branch_is_listed_and_its_trunk_is_not() -> None:
    """Two wires on from the splice that end in a loose splice serve nothing; the lamp's do."""
    branch = (
        '<splice id="S2" harness="front"/><splice id="S3" harness="front"/>'
        '<wire harness="front" from="S1" to="S2"/><wire harness="front" from="S2" to="S3"/>'
    )

    assert listed_in(FED, LAMP, branch) == [("S1", "S2"), ("S2", "S3")]


def test_a_wire_written_at_both_its_ends_is_one_wire() -> None:
    """The second row does not make a ring of it."""
    both = (
        '<connector id="C1" harness="front" cavities="2" mates="C2"><pin cavity="1" to="S1"/></connector>'
        '<connector id="C2" harness="rear" cavities="2"><pin cavity="1" to="C3:1"/></connector>'
        '<connector id="C3" harness="rear" cavities="2" mates="C4"><pin cavity="1" to="C2:1"/></connector>'
        '<connector id="C4" harness="front" cavities="2"><pin cavity="2" to="G1"/></connector>'
    )

    assert set(listed_in(FED, LAMP, both)) == {("C1:1", "S1"), ("C2:1", "C3:1"), ("C4:2", "G1")}


def test_a_part_taped_into_the_loom_keeps_its_wire() -> None:
    """A diode without a plug between a splice and ground is an end of use."""
    diode = '<component id="D1" kind="diode"><pin terminal="K" to="S2"/><pin terminal="A" to="G1"/></component>'
    loom = '<splice id="S2" harness="front"/><wire harness="front" from="S1" to="S2"/>'

    assert listed_in(FED, LAMP, loom, diode) == []
    assert listed_in(FED, LAMP, loom) == [("S1", "S2")]


def test_what_is_not_known_is_never_called_useless() -> None:
    """A plug whose other half is not in the file may lead on; known to be left apart, it does not."""
    plug = '<connector id="C1" harness="front" cavities="1"><pin cavity="1" to="S1"/></connector>'
    loose = '<connector id="C1" harness="front" cavities="1"><pin cavity="1" circuit="X"/></connector>'

    assert listed_in(FED, LAMP, plug) == [] == listed_in(FED, LAMP, loose)
    assert listed_in(FED, LAMP, plug, apart=("C1",)) == [("C1:1", "S1")]


def test_the_stub_that_a_new_wire_is_joined_to_is_not_listed() -> None:
    """A wire cut at its contact: the far piece serves nothing, the bit in the contact stays."""
    plug = socket("lamp2", "lamp", {"1": "+ supply", "2": "- ground"}, {"1": ">S1", "2": ">G1"})
    cut = apply(study(FED, LAMP, plug).vehicle, [Cut("lamp2-H:2")])

    assert [(one.start, one.end) for one in dead_wires(Study(cut))] == [("lamp2-H.2.cut", "G1")]


def test_restraint_wiring_is_never_listed() -> None:
    """A dead end of a restraint circuit stays as it is."""
    branch = (
        '<splice id="S2" harness="front"/><splice id="S3" harness="front"/>'
        '<wire harness="front" from="S2" to="S3" circuit="AB"/>'
    )

    assert listed_in(branch) == [("S2", "S3")]
    assert listed_in('<circuit id="AB" class="restraint"/>', branch) == []


# -- measured first


def with_step(plan: Plan, *edits: Edit) -> Plan:
    """A plan with these edits as its only work, done on its car."""
    repair = Repair("re-pin", "work", edits, connector="x")
    steps = tuple(step for step in plan.steps if step.mends is None)
    return replace(
        plan, car=apply(plan.car, edits), steps=(*steps, WorkStep("work", "work", repair.hours, "", (), repair))
    )


def one_lamp() -> tuple[Plan, str, str]:
    """A finished car, one of its lamps' plugs, and an in-line plug towards the lamps."""
    _, _, found = plans(5)
    plan = found[0]
    plug = next(row.id for row in plan.car.netlist.connectors if row.id.startswith("L-") and not row.component)
    return plan, plug, "C-m0B"


def readings(plan: Plan) -> dict[str, tuple[str, str]]:
    work = [(step.id, edit) for step, edit in plan.edits]
    return {one.contact: (one.to, one.expect) for one in first_readings(Study(plan.car), work)}


def test_a_contact_that_is_tied_back_is_looked_for() -> None:
    """Its cavity is empty afterwards, and that is what to look for."""
    plan, plug, _ = one_lamp()

    assert readings(with_step(plan, Insulate(plug, "1"))) == {
        f"{plug}:1": ("nothing: the cavity is empty now", TAKEN_OUT)
    }


def test_a_moved_contact_is_measured_where_it_went() -> None:
    """From its new cavity to the other end of its wire."""
    plan, _, plug = one_lamp()
    pin = next(row for row in plan.car.pins_of[plug] if row.to)
    free = next(name for name in plan.car.connectors[plug].cavities or () if not any(
        row.cavity == name for row in plan.car.pins_of[plug]))  # fmt: skip
    found = readings(with_step(plan, MovePin(plug, pin.cavity or "", plug, free)))

    assert list(found) == [f"{plug}:{free}"]
    assert pin.to in found[f"{plug}:{free}"][0].split(" and ") and found[f"{plug}:{free}"][1] == SAME


def test_a_new_wire_is_measured_from_end_to_end() -> None:
    """Both its contacts are on the list, each with the other."""
    plan, plug, _ = one_lamp()
    cleared = with_step(plan, Insulate(plug, "1"))
    found = readings(with_step(cleared, AddWire("G1", f"{plug}:1")))

    assert found == {f"{plug}:1": (found[f"{plug}:1"][0], SAME)}
    assert "G1" in found[f"{plug}:1"][0]


def test_restraint_contacts_are_never_measured() -> None:
    """A contact of a restraint circuit is left out even when an edit names it."""
    plan, plug, _ = one_lamp()
    plan = with_step(plan, Insulate(plug, "1"))
    marked = with_step(plan, AddWire("G1", f"{plug}:1", Conductor(circuit="AB")))
    rows = (*marked.car.netlist.circuits, _restraint())
    car = Vehicle(replace(marked.car.netlist, circuits=rows))

    assert f"{plug}:1" not in readings(replace(marked, car=car))
    assert f"{plug}:1" in readings(marked)


def _restraint() -> Circuit:
    return study('<circuit id="AB" class="restraint"/>').vehicle.circuits["AB"]


# -- supplies


def supplied(plan: Plan, donor: Study, shell: Study, name: str) -> list[tuple[str, ...]]:
    return [tuple(row.values()) for row in table(name, plan, donor, shell).rows]


def kept_shell(edits: tuple[Edit, ...], kind: str) -> tuple[Plan, Study, Study]:
    """The plan that keeps every harness of the shell, with one piece of work on it."""
    donor, shell, pairs = pair(5)
    wishes = Wishes(harness=dict.fromkeys(donor.vehicle.harnesses, "shell"))
    plan = decide(DecisionQuestion(donor, shell, pairs, wishes=wishes, kept=1, electrical=False)).best
    repair = Repair(kind, "work", edits, connector="C-m0")
    return replace(plan, steps=(WorkStep("work", "work", repair.hours, "here", (), repair),)), donor, shell


def test_a_housing_is_saved_from_a_plug_that_is_left_over() -> None:
    """The donor's plug of that half, cavities and keyway; of another keyway there is none to save, only to buy."""
    donor = pair(5)[0]
    plug = donor.vehicle.connectors["C-m0"]
    for keyway, found in ((plug.keyway, "donor's plug C-m0"), ("no such", "")):
        housing = Housing(cavities=plug.cavities or (), half=plug.half, keyway=keyway)
        plan, ours, theirs = kept_shell((SwapHousing("C-m0", housing),), "housing")
        saved = [row[2] for row in supplied(plan, ours, theirs, "pull") if row[3] == "work"]
        bought = [row[:3] for row in supplied(plan, ours, theirs, "shopping")]

        assert saved == ([found] if found else [])
        assert bought == [("6-way housing", f"keyway {keyway}", "")]


def test_wire_is_bought_by_the_metre_and_saved_where_it_is_long_enough() -> None:
    """The wires of a lead are added up by size and colour; left over is 2 m of its sort, and no 3 m."""
    donor = pair(5)[0]
    colour = colour_of("RD")
    old = next(row for row in donor.vehicle.netlist.pins if row.connector == "C-m0B" and row.length == 2)
    painted = replace(old, colour=colour)
    rows = tuple(painted if row is old else row for row in donor.vehicle.netlist.pins)
    ours = Study(Vehicle(replace(donor.vehicle.netlist, pins=rows)))
    for length, found in ((2.0, [f"donor's m0 harness, C-m0B:{old.cavity} to {old.to}"] * 2), (3.0, [])):
        made = Conductor(size=old.size, colour=colour, length=length)
        plan, _, theirs = kept_shell(
            (AddLead("lead-one", "C-m0", "C-m0B", (Lay("1", "1", made), Lay("2", "2", made))),), "lead"
        )
        bought = [row[:5] for row in supplied(plan, ours, theirs, "shopping") if row[0] == "wire"]

        assert [row[2] for row in supplied(plan, ours, theirs, "pull") if row[3] == "work"] == found
        assert bought == [("wire", "1 mm²", "RD", f"{2 * length:.1f}", "m")]


# -- flags and leads


def table(name: str, plan: Plan, donor: Study, shell: Study) -> ListTable:
    return next(one for one in lists(plan, donor, shell) if one.name == name)


def test_a_flag_for_every_plug_of_a_harness_that_comes_out() -> None:
    """Taken from the donor: both cars' harness of that name, each mated pair once; kept: none."""
    donor, shell, found = plans(12)
    for plan in found:
        rows = table("unplug-and-label", plan, donor, shell).rows
        moved = {name for group in plan.groups if plan.labels[group.id] == "donor" for name in group.donor}
        for car, one in (("donor", donor), ("shell", shell)):
            vehicle = one.vehicle
            wanted = {
                frozenset((half, mate))
                for half, mate in vehicle.mate_of.items()
                if {vehicle.connectors[half].harness, vehicle.connectors[mate].harness} & moved
            }
            flagged = [frozenset((row["plug"], row["mate"])) for row in rows if row["car"] == car]
            assert set(flagged) == wanted and len(flagged) == len(wanted)
        assert all(row["flag"].startswith("LEAVE") or row["flag"][:2] in ("D ", "S ") for row in rows)


def test_a_build_sheet_names_cavities_wire_and_plugs() -> None:
    """Every wire of a lead with both cavities, circuit, size and length, and what its own plugs are."""
    plan, _, _ = one_lamp()
    half = "C-m0"
    mate = plan.car.mate_of[half]
    wires = (Lay("1", "2", Conductor(circuit="X", size=Size("1.5", 1.5), length=0.3)), Lay("2", "1"))
    (sheet,) = build_sheets(with_step(plan, AddLead("lead-one", half, mate, wires)))

    assert [(one.from_cavity, one.to_cavity, one.circuit, one.size, one.length_m) for one in sheet.wires] == [
        ("1", "2", "X", "1.5", 0.3), ("2", "1", "", "", None),
    ]  # fmt: skip
    assert sheet.first_plug.startswith("6-way, pins") and sheet.second_plug.startswith("6-way, sockets")
