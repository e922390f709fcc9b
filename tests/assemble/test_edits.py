"""Each edit by itself: what it leaves behind, and every reason for which it cannot be done."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders.carpairs import car, content, demo, read_back
from cars.car import colour_of

from harnesscheck.assemble.apply import EditError, apply, inverse
from harnesscheck.model.edits import (
    AddLead,
    AddTail,
    AddWire,
    Conductor,
    Cut,
    Edit,
    Housing,
    Insulate,
    Lay,
    MovePin,
    PlugIn,
    Recolour,
    Restore,
    RowChange,
    SwapFuse,
    SwapHousing,
    Tap,
    Unplug,
)
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.index import EMPTY, UNKNOWN, build_index

ROWS = """
<harness id="h"/> <harness id="k"/> <ground id="G1"/> <ground id="G2"/> <splice id="S1" harness="h"/>
<splice id="T1" harness="k"/>
<component id="pump" kind="motor"><connector id="P-A" cavities="2"><pin cavity="1" terminal="+" role="supply"/>
  <pin cavity="2" terminal="-" role="ground"/></connector></component>
<component id="box"><inside id="F1" from="30" to="1" fuse="10"/></component> <fuse id="F1" rating="10"/>
<component id="F2" kind="fuse" rating="20"/>
<connector id="P-H" harness="h" cavities="2" mates="P-A">
  <pin cavity="1" circuit="FP" to="C1:1" length="2" colour="RD"/><pin cavity="2" circuit="GND" to="G1"/></connector>
<connector id="C1" harness="h" cavities="4" half="pins" keyway="A" contact="2.8" mates="C1K">
  <pin cavity="1" colour="RD" size="1"/><pin cavity="2" circuit="X" to="S1" length="1"/></connector>
<connector id="C1K" harness="k" cavities="4" half="sockets" keyway="A" contact="2.8">
  <pin cavity="1" circuit="FP" to="T1"/><pin cavity="3" circuit="lone" length="3"/></connector>
<connector id="C2" harness="h" cavities="2" half="pins" contact="1.5"/>
<connector id="C3" harness="h" cavities="4" half="pins" keyway="A">
  <pin cavity="1" circuit="SIL" length="1" colour="BU"/></connector>
<connector id="C4" harness="h" cavities="4" half="sockets" keyway="A"><pin cavity="1" circuit="SIL"/></connector>
<connector id="C5" harness="h" cavities="4" half="pins" contact="2.8"><pin cavity="1" to="S1"/></connector>
<wire harness="h" from="S1" to="G1"/>
"""
CAR = car(ROWS)
PLAIN = Housing(cavities=("1", "2", "3", "4"), half="pins")


def after(*edits: Edit, vehicle: Vehicle = CAR) -> Vehicle:
    """The car after edits; it reads back as written, and the edits can be taken back."""
    result = apply(vehicle, edits)
    assert content(read_back(result)) == content(result)
    assert apply(result, [inverse(edits, vehicle)]).netlist == vehicle.netlist
    return result


def refused(*edits: Edit, vehicle: Vehicle = CAR) -> list[str]:
    """Why they cannot be done."""
    with pytest.raises(EditError) as caught:
        apply(vehicle, edits)
    assert str(caught.value) == "\n".join(map(str, caught.value.faults))
    with pytest.raises(EditError):
        inverse(edits, vehicle)
    return [one.why for one in caught.value.faults]


def rows(vehicle: Vehicle, connector: str) -> list[tuple[str | None, str | None, float | None]]:
    """Cavity, far end and length of a plug's rows."""
    return [(pin.cavity, pin.to, pin.length) for pin in vehicle.pins_of.get(connector, ())]


def joined(vehicle: Vehicle, *ends: str) -> bool:
    """Whether these cavities are one net."""
    index = build_index(vehicle)
    nets = {
        index.net(*end.split(":")) if ":" in end else index.net_of[index.piece_of[index.point[end]]] for end in ends
    }
    return len(nets) == 1 and None not in nets


# -- what they leave behind


def test_a_moved_contact_takes_its_wires_along() -> None:
    moved = after(MovePin("C1", "1", "C1", "4"))
    assert rows(moved, "P-H")[0] == ("1", "C1:4", 2.0)
    assert build_index(moved).state("C1", "1") == EMPTY
    assert not joined(moved, "P-H:1", "C1K:1")


def test_the_first_contact_in_a_plug_nothing_was_known_of_leaves_the_rest_not_known() -> None:
    vehicle = car(ROWS.replace('contact="1.5"', ""))
    index = build_index(after(MovePin("C5", "1", "C2", "1"), vehicle=vehicle))
    assert index.state("C2", "2") == UNKNOWN


def test_a_cut_leaves_a_stub_and_a_cut_end_of_lengths_nobody_knows() -> None:
    cut = after(Cut("P-H:1"))
    assert rows(cut, "P-H")[0] == ("1", "P-H.1.stub", None)
    assert rows(cut, "C1")[-1] == ("1", "P-H.1.cut", None)
    assert cut.splices["P-H.1.cut"].harness == "h"
    assert not joined(cut, "P-H:1", "C1:1")
    wire = cut.pins_of["C1"][-1]
    assert wire.size is not None, "what the other end's row said of the wire is not lost"
    assert (wire.size.area_mm2, wire.colour and wire.colour.text) == (1.0, "RD")


def test_a_cut_from_the_end_that_is_only_described_is_the_same_cut() -> None:
    cut = after(Cut("C1:1"))
    assert rows(cut, "P-H")[0] == ("1", "C1.1.cut", None)
    assert ("1", "C1.1.stub", None) in rows(cut, "C1")
    assert not joined(cut, "P-H:1", "C1:1")


def test_one_wire_of_a_double_crimp_can_be_cut() -> None:
    vehicle = car(ROWS.replace('to="S1" length="1"/>', 'to="S1" length="1"/><pin cavity="2" circuit="X" to="G2"/>'))
    cut = after(Cut("C1:2", "G2"), vehicle=vehicle)
    assert joined(cut, "C1:2", "S1")
    assert not joined(cut, "C1:2", "G2")
    assert [(wire.from_, wire.to) for wire in cut.netlist.wires] == [("S1", "G1"), ("C1.2.cut", "G2")]


def test_a_wire_between_joints_can_be_cut() -> None:
    cut = after(Cut("S1", "G1"))
    assert not joined(cut, "S1", "G1")
    assert {"S1.cut", "G1.cut"} <= cut.splices.keys()


def test_a_wire_of_which_nobody_wrote_the_far_end_can_be_cut() -> None:
    assert joined(CAR, "C3:1", "C4:1")
    assert not joined(after(Cut("C3:1")), "C3:1", "C4:1")


def test_a_contact_tied_back_leaves_an_empty_cavity() -> None:
    tied = after(Insulate("C1", "2"))
    assert build_index(tied).state("C1", "2") == EMPTY
    assert rows(tied, "C1") == [("1", None, None)]
    assert [(wire.from_, wire.to, wire.length) for wire in tied.netlist.wires][-1] == ("C1.2.tied-back", "S1", 1.0)


def test_a_wire_of_which_nobody_wrote_the_far_end_stays_what_it_was_when_tied_back() -> None:
    tied = after(Insulate("C3", "1"))
    assert joined(tied, "C3.1.tied-back:1", "C4:1")
    assert tied.connectors["C3.1.tied-back"].cavities == ("1",)


def test_a_new_wire_says_what_it_is_made_of() -> None:
    wired = after(AddWire("G2", "C1:3", Conductor(circuit="N", length=0.5, colour=colour_of("GN"))))
    pin = wired.pins_of["C1"][-1]
    assert (pin.cavity, pin.to, pin.circuit, pin.length) == ("3", "G2", "N", 0.5)
    assert pin.place.path == "lay a wire from G2 to C1:3"
    strap = after(AddWire("G1", "G2"))
    assert strap.netlist.wires[-1].harness is None


def test_a_tap_leads_to_a_plug_that_says_what_for() -> None:
    tapped = after(Tap("C1:2", what="alarm siren feed"))
    assert joined(tapped, "C1:2", "S1", "C1.2.tap:1")
    assert tapped.connectors["C1.2.tap"].name == "alarm siren feed"
    assert tapped.pins_of["C1"][-1].function == "alarm siren feed"
    assert build_index(tapped).state("C1", "3") == EMPTY


def test_a_tap_keeps_what_a_circuit_joined() -> None:
    tapped = after(Tap("C3:1", what="radio"))
    assert joined(tapped, "C3:1", "C4:1", "C3.1.tap:1")
    lengths = [pin.length for pin in tapped.netlist.pins if pin.circuit == "SIL"]
    assert sorted(length for length in lengths if length is not None) == [1.0], "the wire has its length once"


def test_a_bridge_to_a_wire_whose_row_moves_up_meets_that_wire() -> None:
    """The tapped contact's own row goes; the rows behind it are not where they were when they were looked up."""
    rows = ROWS.replace('contact="2.8"><pin cavity="1" to="S1"/>', 'contact="2.8"><pin cavity="1" to="C3:2"/>')
    assert rows != ROWS
    assert joined(after(Tap("C1:1", to="C3:2"), vehicle=car(rows)), "P-H:1", "C3:2", "C5:1")


def test_a_bridge_within_a_harness_and_between_two() -> None:
    assert joined(after(Tap("C1:1", to="C1:2")), "P-H:1", "S1")
    bridged = after(Tap("C1:2", to="C1K:3"))
    assert joined(bridged, "C1:2", "C1K:3")
    assert not joined(CAR, "C1:2", "C1K:3")
    assert {row.harness for id, row in bridged.connectors.items() if ".link" in id} == {"h", "k"}


def test_a_lead_is_a_harness_of_its_own_between_the_halves() -> None:
    led = after(AddLead("L", "C1", "C1K", (Lay("1", "2", Conductor(size=None, length=0.2)), Lay("2", "3"))))
    assert {led.mate_of["C1"], led.mate_of["C1K"]} == {"L.C1", "L.C1K"}
    assert joined(led, "C1:2", "C1K:3")
    assert not joined(led, "C1:1", "C1K:1")
    plug = led.connectors["L.C1"]
    assert (plug.half, plug.keyway, plug.cavities) == ("sockets", "A", ("1", "2", "3", "4"))
    assert build_index(led).state("L.C1K", "1") == EMPTY


def test_a_tail_is_joined_to_the_harness_and_plugged_in() -> None:
    vehicle = apply(CAR, [Unplug("C1")])
    housing = replace(PLAIN, keyway="A")
    tailed = after(AddTail("T", "h", housing, (Lay("1", "S1"), Lay("2", "C1:3")), "C1K"), vehicle=vehicle)
    assert tailed.mate_of["C1K"] == "T"
    assert joined(tailed, "T:1", "S1", "C1K:1")


def test_another_housing_keeps_the_wires_in_their_new_places() -> None:
    housing = Housing(cavities=("A", "B", "C"), half="pins", keyway="Q")
    other = after(SwapHousing("C1", housing, (("1", "C"), ("2", "A"))))
    assert rows(other, "P-H")[0][1] == "C1:C"
    assert joined(other, "C1:A", "S1")
    assert "C1" not in other.mate_of
    exchanged = after(SwapHousing("C1", replace(PLAIN, keyway="A"), (("1", "2"), ("2", "1"))))
    assert exchanged.mate_of["C1"] == "C1K"
    assert joined(exchanged, "C1:1", "S1")


def test_a_fuse_is_swapped_in_the_box_and_on_the_lid() -> None:
    swapped = after(SwapFuse("F1", 15), SwapFuse("F2", 25))
    assert swapped.netlist.insides[0].fuse == 15
    assert swapped.netlist.lid[0].rating == 15
    assert swapped.components["F2"].rating == 25


def test_another_colour_is_that_of_both_ends() -> None:
    for end in ("P-H", "C1"):
        coloured = after(Recolour(end, "1", colour_of("BK/WH")))
        assert [coloured.pins_of[plug][0].colour for plug in ("P-H", "C1")] == [colour_of("BK/WH")] * 2


def test_names_that_are_taken_get_a_number() -> None:
    twice = after(Cut("C1:2"), Cut("C1:2"))
    assert {"C1.2.cut", "C1.2.stub", "C1.2.cut-2", "C1.2.stub-2"} <= twice.splices.keys()


def test_halves_are_taken_apart_and_plugged_together() -> None:
    apart = after(Unplug("C1K"))
    assert "C1" not in apart.mate_of
    assert after(PlugIn("C1K", "C1"), vehicle=apart).mate_of["C1"] == "C1K"


def test_an_edit_says_itself_in_words() -> None:
    edits = (Cut("C1:2"), Tap("C1:2", what="siren"), MovePin("C1", "1", "C1", "4"), Restore(()))
    assert [str(edit) for edit in edits] == [
        "cut the wire at C1:2",
        "tap the wire at C1:2 for siren",
        "move the contact C1:1 to C1:4",
        "put 0 rows back as they were",
    ]


# -- what cannot be done

NO_NAME = """'{}' is not a name without white space, control characters, or any of : < > " ' & \\"""

NEGATIVE: list[tuple[Edit, str]] = [
    (MovePin("C9", "1", "C1", "4"), "there is no connector C9"),
    (MovePin("C1", "9", "C1", "4"), "C1 has no cavity 9"),
    (MovePin("C1", "3", "C1", "4"), "there is no contact in C1:3"),
    (MovePin("C1", "1", "C1", "2"), "C1:2 is in use"),
    (MovePin("C4", "1", "C1K", "2"), "C4 is of h, C1K of k; between the two a new wire is needed"),
    (MovePin("C1", "1", "C2", "1"), "a contact cannot go into a smaller cavity (2.8 mm into 1.5 mm)"),
    (MovePin("P-A", "1", "C1", "3"), "P-A is of pump, C1 of h; between the two a new wire is needed"),
    (MovePin("C3", "1", "C4", "2"), "C3 holds pins, C4 others"),
    (Cut("C1:3"), "there is no contact in C1:3"),
    (Cut("C1:1", "S1"), "no wire leads from C1:1 to S1"),
    (Cut("P-A:1"), "P-A belongs to pump: its terminals have no wires"),
    (Cut("S1"), "several wires may end at S1: name the other end of the one that is meant"),
    (Cut("S1", "G2"), "no wire leads from S1 to G2"),
    (Cut("S1", "S9"), "there is no splice or ground point S9"),
    (Insulate("C1", "4"), "there is no contact in C1:4"),
    (Insulate("P-A", "1"), "P-A belongs to pump: its terminals have no wires"),
    (Recolour("C1", "4", colour_of("RD")), "there is no contact in C1:4"),
    (AddWire("C1:1", "S1"), "C1:1 is in use"),
    (AddWire("C1:3", "C1:3"), "both ends are the same"),
    (AddWire("C1:3", "T1"), "its ends are in different harnesses (h and k): lead it through their plug"),
    (AddWire("C1:3", "S9"), "there is no splice or ground point S9"),
    (AddWire("S1", "G1"), "a wire leads from S1 to G1 already"),
    (AddWire("P-A:1", "G1"), "P-A belongs to pump: no wire ends there"),
    (AddWire("C1:3", "G1", harness="x"), "there is no harness x"),
    (
        Tap("S1", to="G2"),
        "a tap is made on the wire of a contact; a splice or ground point takes another wire as it is",
    ),
    (Tap("C1:3"), "there is no contact in C1:3"),
    (Tap("C1:2", to="C1:2"), "both ends are the same"),
    (Tap("C1:2", to="S1"), "a wire leads from C1:2 to S1 already"),
    (AddLead("L", "C1", "C1", (Lay("1", "1"),)), "both halves are the same"),
    (AddLead("L", "C1", "C3", (Lay("1", "1"),)), "C1 is plugged into C1K"),
    (AddLead("h", "C1", "C1K", (Lay("1", "1"),)), "there is a harness h already"),
    (AddLead("L", "C1", "C1K", ()), "a lead has at least one wire"),
    (AddLead("L", "C1", "C1K", (Lay("1", "7"),)), "L.C1K has no cavity 7"),
    (AddLead("L", "C1", "C1K", (Lay("1", "2"), Lay("1", "2"))), "a wire leads from L.C1:1 to L.C1K:2 already"),
    (AddTail("C1", "h", PLAIN, (Lay("1", "S1"),)), "something is called C1 already"),
    (AddTail("T", "x", PLAIN, (Lay("1", "G1"),)), "there is no harness x"),
    (AddTail("T", "h", PLAIN, ()), "a tail has at least one wire"),
    (AddTail("T", "h", PLAIN, (Lay("1", "C1:1"),)), "C1:1 is in use"),
    (AddTail("T", "h", PLAIN, (Lay("1", "S1"),), "C1K"), "C1K is plugged into C1"),
    (AddTail("T", "h", PLAIN, (Lay("1", "S1"),), "C3"), "they do not fit: both hold pins"),
    (SwapHousing("C1", replace(PLAIN, half="sockets")), "its contacts are pins, the housing holds sockets"),
    (SwapHousing("C1", PLAIN, (("3", "4"),)), "there is no contact in C1:3"),
    (SwapHousing("C1", PLAIN, (("1", "2"),)), "two contacts would go into cavity 2"),
    (SwapHousing("C1", replace(PLAIN, cavities=("1",))), "the housing has no cavity 2"),
    (
        SwapHousing("C1", replace(PLAIN, contact="1.5")),
        "a contact cannot go into a smaller cavity (2.8 mm into 1.5 mm)",
    ),
    (SwapHousing("C1", replace(PLAIN, contact="4.8")), "a contact of 2.8 mm finds no hold in a cavity for 4.8 mm"),
    (AddLead("a b", "C1", "C1K", (Lay("1", "1"),)), NO_NAME.format("a b")),
    (AddTail("a:b", "h", PLAIN, (Lay("1", "S1"),)), NO_NAME.format("a:b")),
    (SwapHousing("C2", replace(PLAIN, cavities=("1", "1"))), "a housing has cavities, each with a name of its own"),
    (SwapHousing("C2", replace(PLAIN, cavities=("<",))), NO_NAME.format("<")),
    (AddWire("C1:", "G1"), "C1 has no cavity"),
    (SwapFuse("F1", float("inf")), "a rating is above 0 A"),
    (SwapFuse("F9", 10), "there is no fuse F9"),
    (SwapFuse("pump", 10), "there is no fuse pump"),
    (SwapFuse("F1", 0), "a rating is above 0 A"),
    (PlugIn("C3", "C3"), "both halves are the same"),
    (PlugIn("C3", "C1"), "C1 is plugged into C1K"),
    (PlugIn("C3", "C5"), "they do not fit: both hold pins"),
    (Unplug("C3"), "C3 is plugged into nothing that is known"),
    (
        Restore((RowChange("pins", 0, CAR.netlist.pins[1], None),)),
        "row 1 of the pins is another than it was",
    ),
]


@pytest.mark.parametrize(("edit", "why"), NEGATIVE, ids=lambda one: one if isinstance(one, str) else type(one).__name__)
def test_what_cannot_be_done_is_said(edit: Edit, why: str) -> None:
    assert refused(edit) == [why]


def test_a_name_that_is_nearly_right_is_offered() -> None:
    assert refused(Unplug("P-X")) == ["there is no connector P-X (P-H?)"]


def test_all_faults_of_all_edits_come_at_once_and_nothing_is_done() -> None:
    before = content(CAR)
    edits = [
        Cut("C1:2"),
        MovePin("C1", "1", "C1K", "1"),
        Insulate("C1", "4"),
        SwapHousing("C1", Housing(cavities=("9",))),
    ]
    with pytest.raises(EditError) as caught:
        apply(CAR, edits)
    assert [(one.number, one.why) for one in caught.value.faults] == [
        (1, "C1K:1 is in use"),
        (1, "C1 is of h, C1K of k; between the two a new wire is needed"),
        (1, "C1 holds pins, C1K others"),
        (2, "there is no contact in C1:4"),
        (3, "the housing has no cavity 1"),
        (3, "the housing has no cavity 2"),
    ]
    assert content(CAR) == before


def test_several_wires_in_a_contact_have_no_one_colour() -> None:
    vehicle = car(ROWS.replace('to="S1" length="1"/>', 'to="S1" length="1"/><pin cavity="2" circuit="X" to="G2"/>'))
    (why,) = refused(Recolour("C1", "2", colour_of("RD")), vehicle=vehicle)
    assert why.startswith("2 wires end in C1:2")


# -- what is never done as work

RESTRAINT = """
<harness id="h"/> <ground id="G1"/> <splice id="SR" harness="h"/> <splice id="S1" harness="h"/>
<circuit id="AB" class="restraint"/>
<component id="airbag" kind="module" system="restraint"><connector id="A-A" cavities="3">
  <pin cavity="1" terminal="1"/><pin cavity="2" terminal="2"/></connector></component>
<component id="lamp" kind="lamp"><connector id="L-A" cavities="2"><pin cavity="1" terminal="+"/></connector></component>
<connector id="A-H" harness="h" cavities="3" mates="A-A"><pin cavity="1" circuit="AB" to="C1:1"/>
  <pin cavity="2" to="SR"/></connector>
<connector id="L-H" harness="h" cavities="2" mates="L-A"><pin cavity="1" circuit="L" to="C1:2"/></connector>
<connector id="C1" harness="h" cavities="4"/>
<connector id="C2" harness="h" cavities="4"/>
<wire harness="h" from="SR" to="S1" circuit="AB"/>
"""


@pytest.mark.parametrize(
    "edit",
    [
        MovePin("A-H", "2", "A-H", "3"),
        MovePin("C1", "1", "C1", "4"),
        Cut("A-H:1"),
        Cut("C1:1"),
        Cut("SR", "S1"),
        Insulate("A-H", "2"),
        AddWire("C1:3", "SR"),
        AddWire("A-H:3", "G1"),
        Tap("C1:1"),
        Tap("C1:2", to="C1:1"),
        AddLead("L", "C1", "C2", (Lay("2", "2"),)),
        AddLead("L", "A-H", "A-A", (Lay("1", "2"),)),
        AddTail("T", "h", PLAIN, (Lay("1", "S1"),)),
        SwapHousing("C1", PLAIN),
    ],
    ids=str,
)
def test_restraint_wiring_is_not_worked_on(edit: Edit) -> None:
    vehicle = car(RESTRAINT)
    assert all("licensed practice" in why for why in refused(edit, vehicle=vehicle))
    assert apply(vehicle, [edit], found=True).netlist != vehicle.netlist, "but what was done before is shown"


def test_wiring_beside_the_restraints_can_be_worked_on() -> None:
    vehicle = car(RESTRAINT)
    after(MovePin("L-H", "1", "L-H", "2"), AddWire("C2:1", "G1"), Cut("C1:2"), vehicle=vehicle)


LOCK = """
<harness id="h"/> <ground id="G1"/> <splice id="S1" harness="h"/> <splice id="S2" harness="h"/>
<component id="inertia-switch" kind="switch" safety="yes"><inside from="1" to="2" when="closed"/>
  <connector id="I-A" cavities="2"><pin cavity="1" terminal="1"/><pin cavity="2" terminal="2"/></connector></component>
<connector id="I-H" harness="h" cavities="2" mates="I-A"><pin cavity="1" to="S1"/><pin cavity="2" to="S2"/></connector>
<connector id="C1" harness="h" cavities="4"/>
"""


@pytest.mark.parametrize(
    "edits",
    [
        [AddWire("S1", "S2")],
        [Tap("I-H:1", to="I-H:2")],
        [AddWire("C1:1", "S1"), Tap("C1:1", to="S2")],
        [Insulate("I-H", "2"), AddWire("S1", "I-H:2")],
    ],
    ids=str,
)
def test_an_interlock_is_never_bridged(edits: list[Edit]) -> None:
    vehicle = car(LOCK)
    assert refused(*edits, vehicle=vehicle) == [
        "it would join 1 and 2 of inertia-switch, an interlock, which is never bridged"
    ]
    assert joined(apply(vehicle, edits, found=True), "I-H:1", "I-H:2")


def test_work_beside_an_interlock_is_done() -> None:
    after(AddWire("C1:1", "S1"), AddWire("C1:2", "S2"), vehicle=car(LOCK))


def test_the_demonstrations_airbags_are_left_alone() -> None:
    donor, _, _ = demo()
    (why,) = refused(Cut("PTL-AH:1"), vehicle=donor)
    assert why == "PTL-AH:1 is restraint or high-voltage wiring: left to the maker's procedure and licensed practice"
    after(Cut("FP-AH:1"), vehicle=donor)
