"""Edited cars: what is found, what is left open, and that faults are not explained away."""

from __future__ import annotations

import random

import pytest
from builders.rows import bare, half, kinds
from cars import Mix, make_car, mutate, rename, vehicle_of
from cars.graphs import graph_of
from cars.score import FAULTS, differences, f1, orbits, pair_maps, right, with_fault

from harnesscheck.align import align
from harnesscheck.network.graph.sides import Study

LOST = frozenset({"colour", "size", "housing", "at"})


def cars(seed: int, mix: Mix, halves: int = 200):
    donor, shell, truth = mutate(make_car(seed, halves), seed, mix)
    return Study(vehicle_of(donor)), Study(vehicle_of(shell)), truth


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(("edits", "lost", "least"), [(0.1, False, 0.99), (0.3, False, 0.97), (0.3, True, 0.94)])
def test_edited_and_renamed_cars_pair(seed: int, edits: float, lost: bool, least: float):
    """A floor for every single car; the benchmark has the means over held-out seeds."""
    a, b, truth = cars(seed, Mix(edits=edits, erase=LOST if lost else frozenset()))

    pairs = align(a, b)

    assert f1(truth.plugs, {p.donor: p.shell for p in pairs.connectors}, orbits(a).connector) >= least


@pytest.mark.parametrize("seed", range(4))
def test_sure_pairs_are_right(seed: int):
    a, b, truth = cars(seed, Mix(edits=0.3, erase=LOST))
    marks = orbits(a).connector

    sure = {pair.donor: pair.shell for pair in align(a, b).connectors if pair.sure}

    assert len(sure) > 0.8 * len(truth.plugs)
    assert right(truth.plugs, sure, marks) == len(sure)


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("lost", [False, True])
@pytest.mark.parametrize("seed", range(3))
def test_one_fault_in_a_renamed_car_is_exactly_that_difference(fault: str, lost: bool, seed: int):
    """Two exchanged wires are never explained away as a re-numbering."""
    erase = LOST if lost else frozenset()
    donor, _, _ = mutate(make_car(seed, 150), seed, Mix(erase=erase, renamed=False))
    shell, truth = rename(with_fault(donor, fault, random.Random(seed)), seed)
    a, b = Study(vehicle_of(donor)), Study(vehicle_of(shell))

    ours, true = pair_maps(a, b, align(a, b), truth)

    marks = orbits(a)
    assert differences(a, b, ours, marks) == differences(a, b, true, marks)


@pytest.mark.parametrize("seed", range(6))
def test_small_renamed_cars_pair_as_an_isomorphism_does(seed: int):
    """Outside check: networkx vf2++ finds an isomorphism; ours is one too, so they differ by a symmetry at most."""
    import networkx as nx

    a, b, _ = cars(seed, Mix(erase=LOST), 24)
    one, other = graph_of(a), graph_of(b)

    pairs = align(a, b)

    mapping = nx.vf2pp_isomorphism(one, other, node_label="look")
    theirs = {x[1]: y[1] for x, y in mapping.items() if x[0] == "connector"}
    marks = orbits(a).connector
    back = {shell: marks[donor] for donor, shell in theirs.items()}
    assert len(pairs.connectors) == len(theirs)
    assert all(back[pair.shell] == marks[pair.donor] for pair in pairs.connectors)
    # and it is an isomorphism: wires and mates lead to the same cavities
    ours, _ = pair_maps(a, b, pairs, cars(seed, Mix(erase=LOST), 24)[2])
    assert differences(a, b, ours, orbits(a)) == {}


@pytest.mark.parametrize("seed", range(5))
def test_a_split_plug_keeps_its_cavities(seed: int):
    """An in-line plug that became two: the moved cavities are named one by one."""
    mix = Mix(edits=0.6, wire_edits=(("resize", 1),), plug_edits=(("split", 1),))
    a, b, truth = cars(seed, mix)

    pairs = align(a, b)

    assert truth.cavities
    used = {f"{connector}:{cavity}" for connector, cavity in a.index.cavity}
    proven = {old: new for old, new in pairs.cavities.items() if old in used}
    assert all(truth.cavities.get(old) == new for old, new in proven.items())
    assert len(proven) > 0.8 * len(truth.cavities.keys() & used)


@pytest.mark.parametrize("seed", range(3))
def test_a_plug_that_went_into_another_shares_its_partner(seed: int):
    mix = Mix(edits=0.3, wire_edits=(("resize", 1),), plug_edits=(("merge", 1),))
    a, b, truth = cars(seed, mix)

    pairs = align(a, b)

    found = {pair.donor: pair.shell for pair in pairs.connectors}
    assert f1(truth.plugs, found, orbits(a).connector) > 0.97


@pytest.mark.parametrize("misleading", [0.1, 0.5])
def test_names_that_mislead_are_found_out_from_the_data(misleading: float):
    """A tenth or half of the ids name another row; every pair is still right."""
    a, b, truth = cars(7, Mix(edits=0.1, misleading=misleading))

    assert f1(truth.plugs, {p.donor: p.shell for p in align(a, b).connectors}, orbits(a).connector) > 0.99


def test_a_file_that_leaves_mates_out_is_matched_half_by_half():
    donor, shell, truth = mutate(make_car(2, 150), 2, Mix())
    for plug in shell.plugs.values():
        plug.mates = None

    found = {p.donor: p.shell for p in align(Study(vehicle_of(donor)), Study(vehicle_of(shell))).connectors}

    assert f1(truth.plugs, found, {}) > 0.95


@pytest.mark.parametrize("colours", ["", ' colour="RD"'])
def test_the_two_halves_of_one_meeting_say_it_once(colours: str):
    """Two circuits that changed places in an in-line plug with both halves typed are not two others by their names.

    One plug alone says crossed; its other half beside it must not take that back.
    """

    def plug(first: str, second: str):
        pins = {"1": f"{first}{colours}", "2": f"{second}{colours.replace('RD', 'BU')}"}
        looms = '<harness id="front"/><harness id="rear"/>'
        return bare(looms, half("C", pins, "front", "D", "2"), half("D", pins, "rear", cavities="2"))

    donor, shell = plug("54", "FP"), plug("FP", "54")

    assert {(pair.donor, pair.shell) for pair in align(donor, shell).circuits} == {("54", "54"), ("FP", "FP")}
    assert "crossed C:1" in kinds(donor, shell)
