"""The example: two vans made to differ in what is written down, and in nothing else above note."""

from __future__ import annotations

import tomllib
from collections import Counter

import pytest
from builders.demo import DEMO, demo_vehicle

from harnesscheck.align import Crosswalk, align
from harnesscheck.compare.carries.loadfindings import load_findings
from harnesscheck.compare.carries.loads import loads_of
from harnesscheck.compare.compare import Comparison, compare
from harnesscheck.compare.doubtful import doubts
from harnesscheck.compare.finding.findings import Spot
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.model.swapsheet import SwapSheet
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study
from harnesscheck.read.swap import read_swap


def van(name: str) -> Vehicle:
    """One van of the example."""
    return demo_vehicle(name)


@pytest.fixture(scope="module")
def compared() -> Comparison:
    """The example compared with what its swap sheet says for certain."""
    sheet = read_swap(DEMO / "swap.toml")
    assert isinstance(sheet, SwapSheet)
    said = Crosswalk(sheet.crosswalk.connector, sheet.crosswalk.component, sheet.crosswalk.circuit)
    donor, shell = Study(van("donor")), Study(van("shell"))
    return compare(donor, shell, align(donor, shell, said))


def place(spot: Spot) -> str:
    """A spot as the list writes it."""
    return f"{spot.connector}:{spot.cavity}" if spot.cavity else spot.connector


def test_the_expected_findings_are_there_and_no_others(compared: Comparison) -> None:
    """Equality both ways of everything above note: kind, severity, both places."""
    listed = tomllib.loads((DEMO / "expected.toml").read_text(encoding="utf-8"))["finding"]
    expected = Counter(
        (one["severity"], one["kind"], one.get("donor", ""), one.get("shell", ""), one.get("part", ""))
        for one in listed
    )
    named = {one.get("part") for one in listed} - {None}
    found = Counter(
        (
            one.severity.word,
            one.kind,
            place(one.donor),
            place(one.shell),
            next((part for part in (one.donor_component, one.shell_component) if part in named), "")
            if not (one.donor.connector or one.shell.connector)
            else "",
        )
        for one in compared.findings
        if one.severity is not Severity.NOTE
    )

    assert sorted((found - expected).elements()) == []
    assert sorted((expected - found).elements()) == []


def test_every_expected_finding_says_why() -> None:
    """A person who reads the list learns what differs between the vans."""
    for one in tomllib.loads((DEMO / "expected.toml").read_text(encoding="utf-8"))["finding"]:
        assert len(one["why"].split()) >= 3, one


@pytest.mark.parametrize("name", ["donor", "shell"])
def test_a_van_has_the_size_of_a_real_one(name: str) -> None:
    """At least 60 connectors, 450 cavities, 70 components, seven harnesses, from battery to bulb."""
    car = van(name)
    cavities = sum(len(row.cavities or ()) for row in car.netlist.connectors)

    assert len(car.connectors) >= 60
    assert cavities >= 450
    assert len(car.components) >= 70
    assert len(car.harnesses) >= 7
    assert {"battery", "alternator", "fuse", "relay", "switch", "lamp", "motor", "sensor", "module"} <= {
        row.kind for row in car.netlist.components
    }


def test_the_donor_alone_gives_no_doubt() -> None:
    """The donor is electrically sound: nothing doubtful above note."""
    assert [one for one in doubts(Study(van("donor"))) if one.severity is not Severity.NOTE] == []


def test_the_donor_s_wires_and_fuses_carry_what_they_must() -> None:
    """The donor is electrically sound: nothing carries too much, and no wire or fuse is left unjudged."""
    loads = loads_of(Behaviour(Study(van("donor"))))

    assert load_findings(loads) == ()
    assert [loads.branch(one.wire).name for one in loads.wires if one.share is None] == []
    assert [one.name for one in loads.fuses if not one.rating_a] == []
