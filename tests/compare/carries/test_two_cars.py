"""Two cars: only what the other car's wiring does worse to the donor's parts, and which fuse is which."""

from __future__ import annotations

import pytest
from builders.demo import demo_study
from builders.oneload import circuit
from builders.rows import bare, lamp, named

from harnesscheck.align import align
from harnesscheck.compare.carries.fusemap import fuse_map
from harnesscheck.compare.carries.worse import carried
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.guards import feeds_of
from harnesscheck.report.fuses import map_table


def worse(donor: Study, shell: Study) -> list[str]:
    found = carried(Behaviour(donor), Behaviour(shell), named(donor, shell)).findings
    return sorted(one.kind for one in found)


def pump(amps: str, size: str, rating: str) -> Study:
    return circuit(f'size="{size}" length="3"', f'kind="motor" amps="{amps}"', fuse=f'rating="{rating}" type="C"')


def test_the_donor_s_bigger_pump_in_the_shell_s_wiring():
    """The shell was made for 7.5 A: its fuse, its wire and the wire's drop are judged with the donor's 16 A."""
    donor, shell = pump("16", "4", "25"), pump("7.5", "1", "15")

    assert worse(donor, shell) == ["fuse-too-small", "volt-drop", "wire-overloaded"]
    assert worse(shell, donor) == []


def test_what_the_donor_has_as_badly_is_no_finding():
    """A wire as thin and a fuse as big as in the donor is nothing that moving parts makes worse."""
    assert worse(pump("5", "0.75", "30"), pump("5", "0.75", "30")) == []
    assert worse(pump("5", "1", "30"), pump("5", "1", "30")) == []
    assert "fuse-too-big" in worse(pump("5", "4", "30"), pump("5", "1", "30"))


@pytest.mark.parametrize("name", ["donor", "shell"])
def test_a_car_against_itself_is_silent(name: str):
    """Whatever is wrong with it is wrong with it in both."""
    car = demo_study(name)

    assert carried(Behaviour(car), Behaviour(car), align(car, car)).findings == ()


def test_what_is_not_known_of_one_car_is_not_worse():
    """A size or a rating that only one file gives is no difference."""
    known, unsized = pump("9", "4", "10"), circuit('length="3"', 'kind="motor" amps="9"')
    unrated = circuit('size="4" length="3"', 'kind="motor" amps="9"', fuse="")

    assert worse(unrated, known) == []
    assert worse(known, unrated) == []
    assert "wire-overloaded" not in worse(known, unsized)


def test_a_finding_names_both_places_and_how_the_donor_stands():
    """The shell's place and its partner, the shell's numbers, the donor's share of the limit."""
    donor, shell = pump("9", "4", "15"), pump("9", "1.5", "7.5")
    small = next(
        one for one in carried(Behaviour(donor), Behaviour(shell), named(donor, shell)).findings if "small" in one.kind
    )

    assert (small.donor_component, small.shell_component) == ("F1", "F1")
    assert small.text.startswith("In the shell's wiring: F1 7.5 A carries")
    assert 0.5 < small.evidence.donor_share < 0.8 < small.evidence.shown["share"]


def boxed(*slots: tuple[str, str, str]) -> Study:
    """A fuse box with slots (slot, rating, what it feeds)."""
    rows = ['<ground id="G1"/><splice id="B"/>']
    rows.append(
        '<component id="battery" kind="battery"><pin terminal="+" to="B"/><pin terminal="-" to="G1"/></component>'
    )
    pins, insides = ['<pin terminal="30" to="B"/>'], []
    for slot, rating, load in slots:
        rows.append(f'<splice id="S-{load}"/>' + lamp(load, f"S-{load}", more='watts="5"'))
        pins.append(f'<pin terminal="{slot}" to="S-{load}"/>')
        insides.append(f'<inside from="30" to="{slot}" fuse="{rating}" id="{slot}" type="C"/>')
    return bare(*rows, f'<component id="box" kind="other">{"".join(pins)}{"".join(insides)}</component>')


def moves(donor: Study, shell: Study):
    ours, theirs = Behaviour(donor), Behaviour(shell)
    return fuse_map((ours, feeds_of(ours.circuit)), (theirs, feeds_of(theirs.circuit)), named(donor, shell))


def test_renumbered_slots_are_found_by_what_they_feed():
    """F1 and F2 changed places, F3 is gone, and F2's new rating is another."""
    donor = boxed(("F1", "5", "step"), ("F2", "10", "dome"), ("F3", "15", "roof"))
    shell = boxed(("F2", "5", "step"), ("F1", "7.5", "dome"))
    found = {
        slot: (new_slot, new_rating, same)
        for slot, _, new_slot, new_rating, same, *_ in map_table(moves(donor, shell)).rows
    }

    assert found == {"F1": ("F2", "5", "yes"), "F2": ("F1", "7.5", "no"), "F3": ("", "", "no")}


def test_the_map_of_the_example():
    """The radio's fuse is another in the earlier year; the reading lamps have none."""
    cars = [demo_study(name) for name in ("donor", "shell")]
    ours, theirs = map(Behaviour, cars)
    found = fuse_map((ours, feeds_of(ours.circuit)), (theirs, feeds_of(theirs.circuit)), align(*cars))
    by_slot = {one.donor.slot: [slot.slot for slot in one.shell] for one in found}

    assert by_slot["F2"] == ["F10"]
    assert by_slot["F8"] == []
    assert by_slot["F31"] == ["F31"]


def test_when_a_fuse_is_live():
    """Always, with the key, or when something is switched on; colour by form and rating."""
    car = Behaviour(demo_study("donor"))
    from harnesscheck.compare.carries.fusecard import fuse_card

    card = {one.slot: one for one in fuse_card(car, feeds_of(car.circuit))}

    assert [card[slot].live for slot in ("F1", "F9", "F12", "F17", "F36")] == [
        "always", "accessory run", "run start", "run", "when switched on",
    ]  # fmt: skip
    assert card["F31"].colour == "blue"
    assert "fuse F31" in card["FL3"].feeds
    assert "relay cut-out-relay" in card["FL2"].feeds
