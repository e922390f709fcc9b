"""The demo with every id, name and function of one car changed pairs as the demo itself does."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

import pytest
from builders.demo import DEMO, vehicle_at
from cars import scrambled

from harnesscheck.align import align
from harnesscheck.compare.compare import compare
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study


@pytest.fixture(scope="module")
def demo() -> tuple[Study, Study]:
    donor, shell = (vehicle_at(DEMO / name) for name in ("donor.xml", "shell.xml"))
    return Study(donor), Study(shell)


@pytest.mark.parametrize("seed", range(3))
def test_the_scrambled_demo_pairs_as_the_demo(demo: tuple[Study, Study], seed: int):
    """What differs lies in a set that is said to be ambiguous (two horns, two number-plate lamps)."""
    donor, shell = demo
    netlist, new = scrambled(shell.vehicle.netlist, seed)

    named, found = align(donor, shell), align(donor, Study(Vehicle(netlist)))

    sets = [(set(one.donor), set(one.shell)) for one in found.ambiguous]
    for sort in ("connectors", "components", "circuits", "harnesses", "grounds"):
        wanted = {pair.donor: new[sort][pair.shell] for pair in getattr(named, sort)}
        got = {pair.donor: pair.shell for pair in getattr(found, sort)}
        assert got.keys() == wanted.keys()
        wrong = {id for id in got if got[id] != wanted[id]}
        if sort == "components":
            plugs = donor.vehicle.connectors_of
            wrong = {plug.id for id in wrong for plug in plugs[id]}
        assert all(any(id in ours for ours, _ in sets) for id in wrong), (sort, wrong)


@pytest.mark.parametrize("seed", range(3))
def test_the_scrambled_demo_gives_the_same_findings(demo: tuple[Study, Study], seed: int):
    donor, shell = demo
    netlist, new = scrambled(shell.vehicle.netlist, seed)
    other = Study(Vehicle(netlist))
    old = {new_id: old_id for sort in ("connectors", "grounds") for old_id, new_id in new[sort].items()}

    named = compare(donor, shell, align(donor, shell)).findings
    found = compare(donor, other, align(donor, other)).findings

    more = _places(found, old) - _places(named, {})
    assert not _places(named, {}) - _places(found, old)
    assert all(kind == "not-documented" for kind, *_ in more)  # the functions, which are gone, called it a feed


def _places(findings, old: Mapping[str, str]) -> Counter[tuple[object, ...]]:
    return Counter(
        (
            one.kind, one.severity, one.certainty, one.donor.connector, one.donor.cavity,
            old.get(one.shell.connector, one.shell.connector), one.shell.cavity,
        )
        for one in findings
    )  # fmt: skip
