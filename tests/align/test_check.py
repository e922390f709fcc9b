"""A crosswalk is checked for contradiction, and wins all the same."""

from __future__ import annotations

import pytest
from cars import Mix, make_car, mutate, vehicle_of

from harnesscheck.align import Crosswalk, align
from harnesscheck.align.check import contradictions
from harnesscheck.network.graph.sides import Study


@pytest.fixture(scope="module")
def pair():
    donor, shell, truth = mutate(make_car(3, 80), 3, Mix(misleading=0.0))
    return Study(vehicle_of(donor)), Study(vehicle_of(shell)), truth


def said(*found):
    return [(one.sort, one.donor, one.why) for one in contradictions(*found)]


def test_the_truth_is_not_contradicted(pair):
    donor, shell, truth = pair

    assert contradictions(donor, shell, Crosswalk(truth.plugs, truth.parts, truth.circuits)) == ()


def test_rows_that_are_not_there(pair):
    donor, shell, truth = pair
    some = sorted(truth.plugs)[0]

    found = said(donor, shell, Crosswalk(connector={"nowhere": truth.plugs[some], some: "nowhere"}))

    assert found == [
        ("connector", "nowhere", "the donor has no connector nowhere"),
        ("connector", some, "the shell has no connector nowhere"),
    ]


def test_a_part_against_a_loom_and_a_lamp_against_a_motor(pair):
    donor, shell, _ = pair
    loom = next(p.id for p in donor.vehicle.connectors.values() if p.harness)
    socket = next(p.id for p in shell.vehicle.connectors.values() if p.component)
    lamp = next(p.id for p in donor.vehicle.components.values() if p.kind == "lamp")
    motor = next(p.id for p in shell.vehicle.components.values() if p.kind == "motor")

    found = said(donor, shell, Crosswalk({loom: socket}, {lamp: motor}))

    assert ("connector", loom, "one is a component's half, the other a harness's") in found
    assert ("component", lamp, "one is a lamp, the other a motor") in found


def test_what_the_wiring_surely_says_otherwise(pair):
    donor, shell, truth = pair
    one, other = [p.id for p in donor.vehicle.connectors.values() if p.harness and p.id in truth.plugs][:2]
    wrong = Crosswalk({one: truth.plugs[other]})

    (found,) = contradictions(donor, shell, wrong)

    assert found.why.startswith(f"its wiring says {truth.plugs[one]} (")
    assert align(donor, shell, wrong).connector[one].shell == truth.plugs[other]


def test_two_circuits_cannot_be_one(pair):
    donor, shell, truth = pair
    one, other = sorted(truth.circuits)[:2]

    found = said(donor, shell, Crosswalk(circuit={one: truth.circuits[one], other: truth.circuits[one]}))

    assert found == [("circuit", other, f"{one} is said to be {truth.circuits[one]} as well")]
