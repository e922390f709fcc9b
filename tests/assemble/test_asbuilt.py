"""Cars as they were found: the built sections of a swap sheet, and what is said of entries that cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.carpairs import assemble, car, content, demo, read_back, serious

from assemble.test_edits import CAR, joined
from harnesscheck.align.byname import pairs_by_name
from harnesscheck.assemble.asbuilt import as_built, both_as_built
from harnesscheck.assemble.choice import Choice, ChoiceError
from harnesscheck.model.places import InputFault
from harnesscheck.model.swapsheet import BuiltSection, FoundTap, SwapSheet
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.read.swap import read_swap


def sheet(folder: Path, text: str) -> SwapSheet:
    """A swap sheet of that text."""
    path = folder / "swap.toml"
    path.write_text(text, encoding="utf-8")
    result = read_swap(path)
    assert isinstance(result, SwapSheet), result
    return result


def built(section: BuiltSection, vehicle: Vehicle = CAR) -> Vehicle:
    """The car as found; a fault fails the test with its text."""
    result = as_built(vehicle, section, SwapSheet("swap.toml"), "donor")
    assert isinstance(result, Vehicle), "\n".join(map(str, result))
    assert content(read_back(result)) == content(result)
    return result


def test_what_is_found_is_done_to_the_rows() -> None:
    found = built(
        BuiltSection(
            cut=("C1:2",),
            tap=(FoundTap("C1:1", "alarm siren feed"),),
            bridge=(("C3:1", "C1K:3"),),
            seen={"P-H:2": "BN"},
        )
    )
    assert not joined(found, "C1:2", "S1")
    assert joined(found, "P-H:1", "C1.1.tap:1")
    assert joined(found, "C3:1", "C1K:3")
    colour = found.pins_of["P-H"][1].colour
    assert colour is not None
    assert colour.names == ("brown",)


def test_nothing_found_leaves_the_car_as_it_is() -> None:
    assert built(BuiltSection()).netlist == CAR.netlist
    assert built(BuiltSection(condition={"h": "flooded"})).netlist == CAR.netlist


def test_a_contact_may_be_named_by_the_parts_half() -> None:
    assert not joined(built(BuiltSection(cut=("P-A:1",))), "P-H:1", "C1:1")
    assert built(BuiltSection(seen={"P-A:2": "BK"})).netlist == built(BuiltSection(seen={"P-H:2": "BK"})).netlist


def test_a_tap_on_a_contact_that_was_cut_off_is_on_its_stub() -> None:
    found = built(BuiltSection(cut=("C1:2",), tap=(FoundTap("C1:2", "siren"),)))
    assert joined(found, "C1:2", "C1.2.tap:1")
    assert not joined(found, "C1.2.tap:1", "S1")


def test_restraint_wiring_somebody_cut_is_shown_cut_and_found() -> None:
    donor, _, _ = demo()
    found = built(BuiltSection(cut=("PTL-AH:1",)), donor)
    told = serious(found, donor, pairs_by_name(found, donor))
    assert {one.split()[0] for one in told} == {"restraint-altered"}


def test_a_fuel_pump_feed_somebody_cut_is_found() -> None:
    donor, _, _ = demo()
    found = built(BuiltSection(cut=("FP-A:1",)), donor)
    told = serious(donor, found, pairs_by_name(donor, found))
    assert told == ["missing-circuit IN-AH:2 IN-AH:2"], "the pump has no feed from the inertia switch"


def test_a_cut_of_the_donor_shows_in_the_assembled_car() -> None:
    found = built(BuiltSection(cut=("P-H:1",)))
    mixed = assemble(found, CAR, pairs_by_name(found, CAR), Choice({"h": "donor", "k": "shell"}))
    assert not joined(mixed, "P-H:1", "C1:1")
    assert content(read_back(mixed)) == content(mixed)


def shown(faults: list[InputFault], folder: Path) -> list[str]:
    """The faults as lines, without the folder of the sheet."""
    return [str(one).replace(f"{folder}/", "") for one in faults]


SHEET = """
[built.donor]
cut = [
  "C1:2",
  "C9:1",
]
tap = [{ at = "C1:4", what = "siren" }]
bridge = [["C1:1", "C1:7"]]
[built.donor.seen]
"C1:1" = "XQ"
"P-H:2" = "BK"
[built.shell]
cut = ["C1:3"]
"""


def test_entries_that_name_nothing_are_faults_with_their_places(tmp_path: Path) -> None:
    said = sheet(tmp_path, SHEET)
    result = both_as_built(CAR, CAR, said)
    assert isinstance(result, list)
    assert shown(result, tmp_path) == [
        "swap.toml:5: read 'C9:1'; expected built.donor.cut: what can be so in the donor; there is no connector C9",
        "swap.toml:7: read 'C1:4'; expected built.donor.tap: what can be so in the donor; there is no contact in C1:4",
        "swap.toml:8: read 'C1:1'; expected built.donor.bridge: what can be so in the donor; C1 has no cavity 7",
        "swap.toml:10: read 'XQ'; expected seen: a colour of the iec60757 code, base/stripe",
        "swap.toml:13: read 'C1:3'; expected built.shell.cut: what can be so in the shell; there is no contact in C1:3",
    ]


def test_both_cars_of_a_sheet(tmp_path: Path) -> None:
    said = sheet(tmp_path, '[built.donor]\ncut = ["C1:2"]\n[built.shell]\nseen = { "C1:1" = "GN" }\n')
    result = both_as_built(CAR, CAR, said)
    assert isinstance(result, tuple)
    assert not joined(result[0], "C1:2", "S1")
    assert result[1].pins_of["C1"][0].colour != CAR.pins_of["C1"][0].colour


def test_a_colour_is_read_in_the_cars_own_code() -> None:
    vehicle = car(
        '<harness id="h"/><connector id="C1" harness="h"><pin cavity="1" colour="rt"/></connector>', 'colour-code="din"'
    )
    found = built(BuiltSection(seen={"C1:1": "swge"}), vehicle)
    colour = found.pins_of["C1"][0].colour
    assert colour is not None
    assert colour.names == ("black", "yellow")


def test_faults_of_a_choice_have_their_places_in_the_sheet(tmp_path: Path) -> None:
    said = sheet(tmp_path, '[harness]\nh = "donor"\nrood = "donor"\n[parts]\npmup = "none"\n"lamp-*" = "none"\n')
    with pytest.raises(ChoiceError) as caught:
        assemble(CAR, CAR, pairs_by_name(CAR, CAR), Choice(said.harness, said.parts))
    none = "a choice that can be; neither car has one of that name to choose"
    assert shown(caught.value.in_sheet(said), tmp_path) == [
        f"swap.toml:3: read 'rood'; expected [harness]: {none}",
        f"swap.toml:5: read 'pmup'; expected [parts]: {none}",
    ]
