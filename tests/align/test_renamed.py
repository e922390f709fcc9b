"""Cars with every name changed, and cars of which only some names changed."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from cars import Car, Mix, make_car, mutate, vehicle_of

from harnesscheck.align import Crosswalk, Pairs, align
from harnesscheck.network.graph.sides import Study

LOST = frozenset({"colour", "size", "housing", "at"})


def study(car: Car) -> Study:
    return Study(vehicle_of(car))


def connectors(pairs: Pairs) -> dict[str, str]:
    return {pair.donor: pair.shell for pair in pairs.connectors}


@pytest.mark.parametrize("seed", range(5))
def test_a_car_against_itself_is_itself(seed: int):
    car = study(make_car(seed, 60))

    pairs = align(car, car)

    assert all(pair.donor == pair.shell and pair.sure for pair in pairs.connectors)
    assert len(pairs.connectors) == len(car.vehicle.connectors)
    assert len(pairs.components) == len(car.vehicle.components)
    assert pairs.ambiguous == ()


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("misleading", [0.0, 0.5, 1.0])
def test_a_renamed_car_pairs_fully(seed: int, misleading: float):
    donor, shell, truth = mutate(make_car(seed, 120), seed, Mix(misleading=misleading))

    pairs = align(study(donor), study(shell))

    assert connectors(pairs) == truth.plugs
    assert {pair.donor: pair.shell for pair in pairs.components} == truth.parts
    assert {pair.donor: pair.shell for pair in pairs.harnesses} == truth.harnesses
    assert {pair.donor: pair.shell for pair in pairs.grounds} == truth.grounds


@pytest.mark.parametrize("seed", range(5))
def test_what_only_symmetry_confuses_is_said_to_be_interchangeable(seed: int):
    """Without colours, sizes and places a few rows are truly alike; each wrong pair lies in a set that says so."""
    donor, shell, truth = mutate(make_car(seed, 350), seed, Mix(erase=LOST))

    pairs = align(study(donor), study(shell))

    found = connectors(pairs)
    assert len(found) == len(truth.plugs)
    sets = [(set(row.donor), set(row.shell)) for row in pairs.ambiguous if row.sort == "connector"]
    for ours, theirs in found.items():
        if truth.plugs[ours] != theirs:
            assert any(ours in a and theirs in b and truth.plugs[ours] in b for a, b in sets)


def test_rows_in_another_order_give_the_same_pairs():
    donor, shell, _ = mutate(make_car(3, 120), 3, Mix(edits=0.2, permuted=0.1, erase=LOST))
    net = vehicle_of(shell).netlist
    shuffled = {}
    for slot in ("connectors", "components", "pins", "wires", "circuits", "harnesses", "grounds", "insides"):
        rows = list(getattr(net, slot))
        random.Random(9).shuffle(rows)
        shuffled[slot] = tuple(rows)
    other = Study(replace(vehicle_of(shell), netlist=replace(net, **shuffled)))

    assert align(study(donor), other) == align(study(donor), study(shell))


def test_a_plug_renumbered_in_both_halves_is_found_in_a_car_that_kept_its_names():
    car = make_car(1, 120)
    inline = next(plug for plug in car.plugs.values() if plug.mates and plug.part is None)
    renamed = car.copy()
    for old, new in ((inline.id, "Z1"), (inline.mates, "Z2")):
        plug = renamed.plugs.pop(old)
        plug.id = new
        renamed.plugs[new] = plug
        for wire in renamed.wires:
            wire.a, wire.b = (end.replace(f"{old}:", f"{new}:") for end in (f"{wire.a}", f"{wire.b}"))
    renamed.plugs["Z1"].mates = "Z2"

    pairs = align(study(car), study(renamed))

    assert pairs.connector[inline.id].shell == "Z1"
    assert pairs.connector[inline.mates].shell == "Z2"
    assert len(pairs.connectors) == len(car.plugs)


def test_a_crosswalk_wins_over_everything():
    donor, shell, truth = mutate(make_car(2, 60), 2, Mix())
    ours = sorted(truth.plugs)[:2]
    wrong = {ours[0]: truth.plugs[ours[1]], ours[1]: truth.plugs[ours[0]]}

    pairs = align(study(donor), study(shell), Crosswalk(connector=wrong))

    assert {key: pairs.connector[key].shell for key in wrong} == wrong
    assert all(pairs.connector[key].why == "crosswalk" for key in wrong)


@pytest.mark.parametrize("edits", [0.1, 0.5])
def test_pairs_are_one_to_one_and_never_part_against_loom(edits: float):
    donor, shell, _ = mutate(make_car(4, 200), 4, Mix(edits=edits, permuted=0.2))
    a, b = study(donor), study(shell)

    pairs = align(a, b).connectors

    assert len({pair.donor for pair in pairs}) == len({pair.shell for pair in pairs}) == len(pairs)
    for pair in pairs:
        ours, theirs = a.vehicle.connectors[pair.donor], b.vehicle.connectors[pair.shell]
        assert (ours.component is None) == (theirs.component is None)


def test_names_that_mean_something_else_are_overruled():
    """Two look-alikes that exchanged their ids between the years pair by their wires."""
    car = make_car(5, 120)
    one, other = [p.id for p in car.plugs.values() if p.harness and len(p.cavities) > 5 and p.mates][:2]
    exchanged = car.copy()
    exchange = {one: other, other: one}
    exchanged.plugs = {exchange.get(id, id): plug for id, plug in exchanged.plugs.items()}
    for id, plug in exchanged.plugs.items():
        plug.id = id
    for wire in exchanged.wires:
        ends = [end.partition(":") for end in (wire.a, wire.b)]
        wire.a, wire.b = (exchange.get(owner, owner) + colon + cavity for owner, colon, cavity in ends)

    pairs = align(study(car), study(exchanged))

    assert pairs.connector[one].shell == other
    assert pairs.connector[other].shell == one


def test_a_crosswalk_of_what_was_found_changes_nothing():
    """Written out, read back and given as certain knowledge, the pairs stay what they are."""
    donor, shell, _ = mutate(make_car(6, 120), 6, Mix(edits=0.2))
    a, b = study(donor), study(shell)
    found = align(a, b)
    said = Crosswalk(
        {**connectors(found), **found.cavities},
        {pair.donor: pair.shell for pair in found.components},
        {pair.donor: pair.shell for pair in found.circuits},
    )

    again = align(a, b, said)

    for sort in ("connectors", "components", "circuits", "harnesses", "grounds"):
        assert {p.donor: p.shell for p in getattr(again, sort)} == {p.donor: p.shell for p in getattr(found, sort)}
    assert again.cavities == found.cavities
