"""One car out of two: what is taken, what it is called, what is plugged into what."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders.carpairs import (
    ALL_DONOR,
    ALL_SHELL,
    DEMO,
    HEADER,
    World,
    assemble,
    car,
    content,
    demo,
    faults_of,
    found,
    made,
    mispaired,
    mixed,
    read_back,
    renamed,
    rich,
    serious,
    strangers,
)

from harnesscheck.align.byname import pairs_by_name
from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.assemble.apply import apply
from harnesscheck.assemble.assemble import assembly
from harnesscheck.assemble.choice import Choice, ChoiceError
from harnesscheck.assemble.pairing import turned_round
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.model.edits import Cut
from harnesscheck.model.swapsheet import SwapSheet
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.read.swap import read_swap
from harnesscheck.read.values import MAX_NAME

SEEDS = range(4)


def worlds() -> list[World]:
    """Cars of every sort."""
    return [
        demo(),
        rich(),
        *(made(seed, renamed=seed % 2 == 0) for seed in SEEDS),
        *(strangers(seed) for seed in SEEDS),
    ]


WORLDS = worlds()

# -- laws


@pytest.mark.parametrize("world", WORLDS)
def test_everything_of_one_car_is_that_car(world: World) -> None:
    donor, shell, pairs = world
    assert assemble(donor, shell, pairs, ALL_DONOR).netlist == donor.netlist
    assert assemble(donor, shell, pairs, ALL_SHELL).netlist == shell.netlist


@pytest.mark.parametrize("world", WORLDS[:3])
def test_all_of_the_donor_compares_as_the_donor_does_with_itself(world: World) -> None:
    donor, shell, pairs = world
    built = assembly(donor, shell, pairs, ALL_DONOR)
    itself = pairs_by_name(donor, donor)
    told = found(donor, built.vehicle, built.from_donor)
    assert [one.id for one in told] == [one.id for one in found(donor, donor, itself)]
    assert all(one.severity == Severity.NOTE for one in told)


@pytest.mark.parametrize("world", WORLDS)
@pytest.mark.parametrize("seed", range(4))
def test_a_mixed_car_reads_back_as_it_was_written(world: World, seed: int) -> None:
    donor, shell, pairs = world
    built = assembly(donor, shell, pairs, mixed(world, seed))
    assert faults_of(built.vehicle) == []
    assert content(read_back(built.vehicle)) == content(built.vehicle)


@pytest.mark.parametrize("world", WORLDS)
@pytest.mark.parametrize("seed", range(3))
def test_wrong_pairs_do_not_make_a_broken_car(world: World, seed: int) -> None:
    drawn = mispaired(world, seed)
    choice = Choice(mixed(drawn, seed).harness)
    built = assembly(*drawn, choice)
    assert faults_of(built.vehicle) == []
    assert content(read_back(built.vehicle)) == content(built.vehicle)
    assert assemble(*drawn, ALL_DONOR).netlist == world[0].netlist
    assert assemble(*drawn, ALL_SHELL).netlist == world[1].netlist


@pytest.mark.parametrize("world", WORLDS[:3])
def test_a_mixed_car_gives_the_same_findings_after_reading(world: World) -> None:
    donor, shell, pairs = world
    built = assembly(donor, shell, pairs, mixed(world, 0))
    again = read_back(built.vehicle)
    ids = [one.id for one in found(donor, built.vehicle, built.from_donor)]
    assert [one.id for one in found(donor, again, built.from_donor)] == ids


@pytest.mark.parametrize("world", WORLDS)
def test_pairs_lead_to_rows_that_are_there(world: World) -> None:
    donor, shell, pairs = world
    built = assembly(donor, shell, pairs, mixed(world, 3))
    cars = ((donor, built.from_donor), (shell, built.from_shell))
    for old, into in cars:
        for rows, before, after in (
            (into.connectors, old.connectors, built.vehicle.connectors),
            (into.components, old.components, built.vehicle.components),
            (into.harnesses, old.harnesses, built.vehicle.harnesses),
            (into.grounds, old.grounds, built.vehicle.grounds),
        ):
            assert {pair.donor for pair in rows} <= before.keys()
            assert {pair.shell for pair in rows} <= after.keys()
    reached = {pair.shell for into in (built.from_donor, built.from_shell) for pair in into.connectors}
    assert reached == built.vehicle.connectors.keys()


@pytest.mark.parametrize("world", WORLDS)
def test_every_row_of_the_donor_keeps_its_name_or_tells_it(world: World) -> None:
    donor, shell, pairs = world
    built = assembly(donor, shell, pairs, mixed(world, 4))
    taken = [pair for pair in built.from_donor.connectors if pair.why == "taken over from this car"]
    for pair in taken:
        was = built.vehicle.connectors[pair.shell].common.was
        assert was == (None if pair.shell == pair.donor else f"donor:{pair.donor}")
        assert pair.shell in (pair.donor, f"donor.{pair.donor}")


@pytest.mark.parametrize("seed", SEEDS)
def test_two_whole_cars_side_by_side_are_both_there_unchanged(seed: int) -> None:
    donor, shell, pairs = strangers(seed)
    built = assembly(donor, shell, pairs, Choice())
    assert serious(donor, built.vehicle, built.from_donor) == []
    assert serious(shell, built.vehicle, built.from_shell) == []
    assert len(built.vehicle.netlist.pins) == len(donor.netlist.pins) + len(shell.netlist.pins)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_harness_exchanged_between_equal_cars_changes_nothing(seed: int) -> None:
    car, _, _ = made(seed)
    same = pairs_by_name(car, car)
    built = assembly(car, car, same, Choice(mixed((car, car, same), seed).harness))
    assert serious(car, built.vehicle, built.from_donor) == []
    assert len(built.vehicle.connectors) == len(car.connectors)
    assert len(built.vehicle.mate_of) == len(car.mate_of)


@pytest.mark.parametrize(("plugs_only", "seed"), [(False, 0), (True, 1), (True, 2)])
def test_a_car_mixed_with_itself_under_other_names_is_sound(plugs_only: bool, seed: int) -> None:
    """A circuit that crosses from one car's harness into the other's is still one circuit, names alone or not."""
    world = renamed(plugs_only=plugs_only)
    built = assembly(*world, Choice(mixed(world, seed).harness))
    assert {row.id for row in built.vehicle.netlist.harnesses} & world[0].harnesses.keys()
    assert {row.id for row in built.vehicle.netlist.harnesses} & world[1].harnesses.keys()
    assert serious(world[0], built.vehicle, built.from_donor) == []
    assert serious(world[1], built.vehicle, built.from_shell) == []


# -- the demonstration


def test_the_demonstration_swap_sheet() -> None:
    donor, shell, pairs = demo()
    sheet = read_swap(DEMO / "swap.toml")
    assert isinstance(sheet, SwapSheet)
    choice = Choice({**sheet.harness, "floor": "shell"}, sheet.parts)
    built = assembly(donor, shell, pairs, choice)
    assert built.vehicle.harnesses.keys() == donor.harnesses.keys()
    assert content(read_back(built.vehicle)) == content(built.vehicle)
    assert built.vehicle.grounds.keys() == shell.grounds.keys()


# -- small cars

FRONT = """
<harness id="front"/> <harness id="rear"/> <ground id="G1"/> <ground id="G2"/>
<component id="pump" kind="motor"><connector id="P-A" cavities="2"><pin cavity="1" terminal="+" role="supply"/>
  <pin cavity="2" terminal="-" role="ground"/></connector></component>
<connector id="P-H" harness="rear" cavities="2" mates="P-A"><pin cavity="1" circuit="FP" to="C1R:1"/>
  <pin cavity="2" circuit="GND" to="G2"/></connector>
<connector id="C1R" harness="rear" cavities="2" half="pins" keyway="A" mates="C1"/>
<connector id="C1" harness="front" cavities="2" half="sockets" keyway="A">
  <pin cavity="1" circuit="FP" colour="RD" to="S1"/></connector>
<splice id="S1" harness="front"/>
<wire harness="front" from="S1" to="G1" circuit="FP"/>
<wire from="G1" to="G2" circuit="strap"/>
"""
REAR_DONOR = Choice({"front": "shell", "rear": "donor"})
FRONT_DONOR = Choice({"front": "donor", "rear": "shell"})


def both(donor: str, shell: str, choice: Choice, headers: tuple[str, str] = (HEADER, HEADER)) -> Vehicle:
    """The car of two of these rows, paired by name, and a choice; it reads back as it was written."""
    a, b = car(donor, headers[0]), car(shell, headers[1])
    built = assemble(a, b, pairs_by_name(a, b), choice)
    assert content(read_back(built)) == content(built)
    return built


def test_paired_halves_of_two_cars_are_plugged_together() -> None:
    built = both(FRONT, FRONT, REAR_DONOR)
    assert built.mate_of["C1R"] == "C1"
    assert built.mate_of["P-H"] == "P-A"
    assert {row.id for row in built.netlist.connectors} == {"P-A", "P-H", "C1R", "C1"}


@pytest.mark.parametrize("change", [('keyway="A"', 'keyway="B"'), ('cavities="2" half', 'cavities="3" half')])
def test_halves_that_do_not_fit_stay_apart(change: tuple[str, str]) -> None:
    other = FRONT.replace(*change)
    built = both(FRONT, other, REAR_DONOR)
    assert "C1R" not in built.mate_of
    assert "C1" not in built.mate_of


def test_halves_of_one_sort_stay_apart() -> None:
    other = FRONT.replace('"sockets"', '"x"').replace('"pins"', '"sockets"').replace('"x"', '"pins"')
    assert "C1" not in both(FRONT, other, REAR_DONOR).mate_of


def test_what_is_not_written_fits() -> None:
    assert both(FRONT, FRONT.replace(' keyway="A"', ""), REAR_DONOR).mate_of["C1"] == "C1R"


def test_halves_without_a_partner_stay_apart() -> None:
    a = car(FRONT)
    b = car(FRONT.replace("C1R", "X9R").replace('"C1"', '"X9"'))
    pairs = Pairs(harnesses=pairs_by_name(a, b).harnesses)
    built = assemble(a, b, pairs, REAR_DONOR)
    assert not {"C1R", "X9"} & built.mate_of.keys()


def test_the_body_has_the_studs_and_the_strap_once() -> None:
    built = both(FRONT, FRONT.replace("G2", "G7"), REAR_DONOR)
    assert [row.id for row in built.netlist.grounds] == ["G1", "G7", "G2"]
    assert [(row.from_, row.to) for row in built.netlist.wires if row.circuit == "strap"] == [("G1", "G7")]
    note = built.grounds["G2"].common.note
    assert note is not None
    assert "fit one" in note


@pytest.mark.parametrize(("choice", "there"), [(FRONT_DONOR, True), (REAR_DONOR, False)])
def test_a_strap_of_a_loom_goes_with_it(choice: Choice, there: bool) -> None:
    """The donor's front loom has an engine strap, the shell's has none."""
    strap = '<wire harness="front" from="G1" to="G2" circuit="earth" size="25"/>'
    built = both(FRONT + strap, FRONT, choice)
    found = [(row.from_, row.to) for row in built.netlist.wires if row.circuit == "earth"]
    assert found == ([("G1", "G2")] if there else [])


def test_a_paired_stud_is_the_shells() -> None:
    a, b = car(FRONT), car(FRONT.replace("G2", "G7"))
    named = pairs_by_name(a, b)
    pairs = Pairs(
        connectors=named.connectors,
        components=named.components,
        harnesses=named.harnesses,
        grounds=(*named.grounds, Pair("G2", "G7", 0.8, "by place")),
    )
    built = assembly(a, b, pairs, REAR_DONOR)
    assert built.vehicle.grounds.keys() == {"G1", "G7"}
    assert [pin.to for pin in built.vehicle.pins_of["P-H"]] == ["C1R:1", "G7"]
    assert built.from_donor.ground["G2"] == Pair("G2", "G7", 0.8, "by place")


def test_circuits_of_one_name_that_say_other_things_are_told_apart() -> None:
    donor = FRONT + '<circuit id="FP" function="fuel pump"/><circuit id="GND"/><circuit id="idle"/>'
    shell = FRONT + '<circuit id="FP" function="alarm siren"/><circuit id="GND"/>'
    built = both(donor, shell, REAR_DONOR)
    assert [(row.id, row.common.was) for row in built.netlist.circuits] == [
        ("FP", None), ("donor.FP", "donor:FP"), ("GND", None), ("idle", None),
    ]  # fmt: skip
    assert [pin.circuit for pin in built.pins_of["P-H"]] == ["donor.FP", "GND"]
    assert [pin.circuit for pin in built.pins_of["C1"]] == ["FP"]


def test_circuits_that_are_paired_are_one_under_the_shells_name() -> None:
    donor = FRONT + '<circuit id="FP" function="fuel pump" class="feed"/>'
    shell = FRONT.replace('"FP"', '"K7"') + '<circuit id="K7" function="pump, fuel" class="feed"/>'
    a, b = car(donor), car(shell)
    pairs = replace(pairs_by_name(a, b), circuits=(Pair("FP", "K7", 0.9, "the cavities it is in"),))
    built = assembly(a, b, pairs, REAR_DONOR)
    assert [(pin.circuit, pin.common.was) for pin in built.vehicle.pins_of["P-H"]] == [
        ("K7", "donor:FP"), ("GND", None),
    ]  # fmt: skip
    assert built.vehicle.circuits.keys() == {"K7"}
    assert built.from_donor.circuit["FP"] == Pair("FP", "K7", 0.9, "the cavities it is in")
    assert content(read_back(built.vehicle)) == content(built.vehicle)


@pytest.mark.parametrize("fact", ['class="restraint"', 'critical="yes"', 'system="restraint"', ""])
def test_paired_circuits_that_say_other_things_keep_their_own_names(fact: str) -> None:
    donor = FRONT + f'<circuit id="FP" {fact}/>'
    shell = FRONT.replace('"FP"', '"K7"') + '<circuit id="K7" class="feed"/>'
    a, b = car(donor), car(shell)
    pairs = replace(pairs_by_name(a, b), circuits=(Pair("FP", "K7", 0.9, "the cavities it is in"),))
    assert [pin.circuit for pin in assemble(a, b, pairs, REAR_DONOR).pins_of["P-H"]] == ["FP", "GND"]


def test_two_circuits_that_are_one_in_the_shell_are_not_made_one() -> None:
    """They may lie in one harness with their far ends not written: one name would join them."""
    a, b = car(FRONT), car(FRONT.replace('"FP"', '"K7"'))
    circuits = (Pair("FP", "K7", 0.9, "told"), Pair("GND", "K7", 0.9, "told"))
    pairs = replace(pairs_by_name(a, b), circuits=circuits)
    assert [pin.circuit for pin in assemble(a, b, pairs, REAR_DONOR).pins_of["P-H"]] == ["FP", "GND"]


def test_a_part_that_cannot_leave_its_harness_goes_with_it() -> None:
    box = (
        FRONT + '<component id="box" kind="connector-only" with="front"><connector id="B-A" cavities="1"/></component>'
    )
    built = both(box, box.replace('id="B-A" cavities="1"', 'id="B-A" cavities="2"'), REAR_DONOR)
    assert built.connectors["B-A"].cavities == ("1", "2")
    built = both(box, box.replace('id="B-A" cavities="1"', 'id="B-A" cavities="2"'), FRONT_DONOR)
    assert built.connectors["B-A"].cavities == ("1",)


def test_parts_by_name_by_glob_and_left_out() -> None:
    lamps = "".join(f'<component id="lamp-{n}" kind="lamp" amps="{{}}"/>' for n in (1, 2, 3))
    donor, shell = (FRONT + lamps.replace("{}", amps) for amps in ("1", "2"))
    choice = Choice({"front": "shell"}, {"lamp-*": "shell", "lamp-2": "none", "lamp-3": "donor"})
    built = both(donor, shell, choice)
    assert {id: row.amps for id, row in built.components.items()} == {"pump": None, "lamp-1": 2.0, "lamp-3": 1.0}


def test_conditions_that_were_met_do_not_stand_against_the_other_car() -> None:
    """A row for cars without a tail lift is in the shell, one for cars with it in the donor: both are kept."""
    donor = '<option id="lift"/>' + FRONT.replace('circuit="GND"', 'circuit="GND" option="lift"')
    shell = FRONT.replace('colour="RD"', 'colour="RD" without="lift" built-from="2014-01"')
    headers = ('built-from="2015-01" built-to="2015-12"', 'built-from="2014-03" built-to="2014-12"')
    built = both(donor, shell, REAR_DONOR, headers)
    assert [row.id for row in built.netlist.options] == ["lift"]
    assert len(built.pins_of["C1"]) == 1
    assert len(built.pins_of["P-H"]) == 2


def test_a_row_for_a_part_of_the_build_dates_stays_likely() -> None:
    shell = FRONT.replace('colour="RD"', 'colour="RD" built-from="2014-06"')
    headers = ('built-from="2015-01"', 'built-from="2014-03" built-to="2014-12"')
    built = both(FRONT, shell, REAR_DONOR, headers)
    assert built.pins_of["C1"][0].common.partial
    assert read_back(built).pins_of["C1"][0].common.partial


def test_colours_are_written_in_the_shells_code() -> None:
    donor = FRONT.replace('colour="RD"', 'colour="rtsw"')
    built = both(donor, FRONT, FRONT_DONOR, ('colour-code="din"', HEADER))
    colour = built.pins_of["C1"][0].colour
    assert colour is not None
    assert (colour.text, colour.names) == ("RD/BK", ("red", "black"))


def test_a_colour_nobody_can_be_sure_of_does_not_cross() -> None:
    """``GR`` is grey to some and green to others: without a code it is not known, and is not written in one."""
    donor = FRONT.replace('colour="RD"', 'colour="GR"')
    built = both(donor, FRONT, FRONT_DONOR, ("", HEADER))
    assert built.pins_of["C1"][0].colour is None


def test_wire_lengths_are_those_of_the_wires_own_car() -> None:
    rows = FRONT.replace('id="P-H"', 'id="P-H" at="tank"').replace('id="C1R"', 'id="C1R" at="pillar"')
    donor, shell = (rows + f'<place from="tank" to="pillar" length="{metres}"/>' for metres in ("1.5", "9"))
    built = both(donor, shell, REAR_DONOR)
    assert [pin.length for pin in built.pins_of["P-H"]] == [1.5, None]
    assert [row.length for row in built.netlist.runs] == [9.0]


def test_a_part_of_another_voltage_says_so() -> None:
    donor = FRONT.replace('kind="motor"', 'kind="motor" amps="5"')
    built = both(donor, FRONT, REAR_DONOR, ('volts="24" colour-code="iec60757"', HEADER))
    assert built.components["pump"].volts == 24.0


def test_a_coded_set_of_two_cars_is_two_sets() -> None:
    parts = '<component id="computer" coded="key"/><component id="reader" coded="key"/>'
    a, b = car(FRONT + parts), car(FRONT + parts)
    pairs = pairs_by_name(a, b)
    built = assembly(a, b, pairs, Choice({"front": "shell"}, {"computer": "shell"}))
    assert [built.vehicle.components[id].coded for id in ("computer", "reader")] == ["key", "donor.key"]
    assert "coded-part" in {one.kind for one in found(a, built.vehicle, built.from_donor)}
    whole = assembly(a, b, pairs, Choice({"front": "shell"}))
    assert [whole.vehicle.components[id].coded for id in ("computer", "reader")] == ["key", "key"]
    assert "coded-part" not in {one.kind for one in found(a, whole.vehicle, whole.from_donor)}


def test_the_lid_goes_with_the_fuses_and_keeps_their_names() -> None:
    box = '<component id="box"><inside id="F1" from="30" to="1" fuse="10"/></component>'
    donor = FRONT + box + '<fuse id="F1" live="run" feeds="FP"/><fuse id="F8" feeds="FP"/>'
    shell = FRONT + box.replace('"box"', '"case"') + '<component id="F8" kind="fuse"/>'
    built = both(donor, shell, Choice({"front": "shell"}, {}))
    assert [row.id for row in built.netlist.insides] == ["F1", "donor.F1"]
    assert [row.id for row in built.netlist.lid] == ["donor.F1", "donor.F8"]
    without = both(donor, shell, Choice({"*": "shell"}, {"box": "none"}))
    assert [row.id for row in without.netlist.lid] == []


def test_what_must_be_in_first_is_named_as_it_is_called_there() -> None:
    donor = FRONT.replace('<harness id="rear"/>', '<harness id="rear" after="front"/>')
    shell = donor.replace('"front"', '"nose"').replace('"rear"', '"tail"')
    a, b = car(donor), car(shell)
    named = pairs_by_name(a, b)
    looms = (Pair("front", "nose", 1.0, "told"), Pair("rear", "tail", 1.0, "told"))
    pairs = Pairs(connectors=named.connectors, components=named.components, harnesses=looms, grounds=named.grounds)
    assert assemble(a, b, pairs, REAR_DONOR).harnesses["rear"].after == ("nose",)
    assert assemble(a, b, pairs, FRONT_DONOR).harnesses["tail"].after == ("front",)


def test_pairs_turned_round_twice_are_the_same() -> None:
    _, _, pairs = made(1)
    once = turned_round(pairs)
    twice = turned_round(once)
    assert {(p.donor, p.shell) for p in twice.connectors} <= {(p.donor, p.shell) for p in pairs.connectors}
    assert {p.shell for p in twice.connectors} == {p.shell for p in pairs.connectors}


def test_names_that_are_taken_twice_or_too_long_are_still_names() -> None:
    long = "P" * MAX_NAME
    donor, shell = (FRONT + f'<component id="{long}" amps="{n}"/><component id="x" amps="{n}"/>' for n in (1, 2))
    shell += '<component id="donor.x"/>'
    a, b = car(donor), car(shell)
    pairs = replace(pairs_by_name(a, b), components=())
    built = assembly(a, b, pairs, REAR_DONOR)
    names = [pair.shell for pair in built.from_donor.components]
    assert names == ["donor.pump", f"donor.{'P' * (MAX_NAME - 14)}.1", "donor.2.x"]
    assert content(read_back(built.vehicle)) == content(built.vehicle)
    cut = apply(car(FRONT.replace("P-H", long)), [Cut(f"{long}:1")])
    assert content(read_back(cut)) == content(cut)


# -- choices that cannot be


def faults(choice: Choice, donor: str = FRONT, shell: str = FRONT) -> list[str]:
    a, b = car(donor), car(shell)
    with pytest.raises(ChoiceError) as caught:
        assemble(a, b, pairs_by_name(a, b), choice)
    return str(caught.value).split("\n")


def test_all_faults_of_a_choice_come_at_once() -> None:
    told = faults(Choice({"frnt": "donor", "rear": "neither"}, {"pmup": "shell", "pump": "both"}))
    assert told == [
        "harness frnt: neither car has one of that name to choose",
        "harness rear: read 'neither', expected one of donor, shell",
        "part pmup: neither car has one of that name to choose",
        "part pump: read 'both', expected one of donor, shell, none",
    ]


def test_a_part_cannot_be_chosen_apart_from_its_harness() -> None:
    box = FRONT + '<component id="box" with="front"/>'
    told = faults(Choice({"front": "shell"}, {"box": "donor"}), box, box)
    assert told
    assert all("cannot be separated from its harness front" in one for one in told)


def test_looms_that_are_one_in_the_shell_come_from_one_car() -> None:
    a, b = car(FRONT), car(FRONT.replace('<harness id="rear"/>', "").replace('"rear"', '"front"'))
    named = pairs_by_name(a, b)
    looms = (Pair("front", "front", 1.0, "told"), Pair("rear", "front", 1.0, "told"))
    pairs = Pairs(connectors=named.connectors, components=named.components, harnesses=looms)
    with pytest.raises(ChoiceError, match="all of them come from one car"):
        assemble(a, b, pairs, REAR_DONOR)
