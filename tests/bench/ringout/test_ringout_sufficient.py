"""Sufficiency by simulation: every single fault that changes what is joined shows, and is told as far as it can be."""

from __future__ import annotations

import math
import random
from itertools import product

import pytest
from builders.loomnodes import fault_of, node_of, rows_of
from builders.simulated import Fault, Row, Simulated
from cars.car import vehicle_of
from cars.generate import make_car

from harnesscheck.bench.readings.explanations import explain
from harnesscheck.bench.readings.filled import MeterReading, judge
from harnesscheck.bench.readings.loomfaults import Bench
from harnesscheck.bench.ringout.measurements import GROUPS, PAIRS, REST, Ringout, ring_out
from harnesscheck.bench.ringout.unplugging import NOT_MEASURED, not_proven
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.lumping import circuit_of

CARS = 1000
SIZES = (6, 8, 12, 20)  # halves; such a car has about 40 to 60 cavities


def small_car(seed: int) -> tuple[Study, Simulated]:
    vehicle = vehicle_of(make_car(seed, SIZES[seed % len(SIZES)]))
    return Study(vehicle), Simulated(vehicle)


def bare_rows_by_net(simulated: Simulated, rows: list[Row]) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = {}
    for row in rows:
        if len(row.a) == len(row.b) == 1:
            for net in {simulated.net_of[row.a[0]], simulated.net_of[row.b[0]]}:
                found.setdefault(net, []).append(row)
    return found


def is_shown(simulated: Simulated, fault: Fault, single: dict[int, list[Row]], tied: list[Row]) -> bool:
    """Whether some measurement reads otherwise than expected; only those that a fault can touch are looked at."""
    near = {id(row): row for net in simulated.touched(fault) for row in single.get(net, ())}
    rows = [*near.values(), *tied]
    return any(seen != row.joined for seen, row in zip(simulated.shows(rows, fault), rows, strict=True))


def undetected(simulated: Simulated, ringout: Ringout) -> list[Fault]:
    rows = rows_of(ringout)
    single = bare_rows_by_net(simulated, rows)
    tied = [row for row in rows if len(row.a) > 1 or len(row.b) > 1]
    sides = [{simulated.net_of[n]: side for side, nodes in enumerate((r.a, r.b)) for n in nodes} for r in tied]
    missed = []
    for fault in simulated.single_faults():
        if fault[0] == "shorted":
            one, other = sorted(fault[1])  # type: ignore[type-var]
            if any(one in side and other in side and side[one] != side[other] for side in sides):  # type: ignore[comparison-overlap, index]
                continue
        if simulated.changes_partition(fault) and not is_shown(simulated, fault, single, tied):
            missed.append(fault)
    return missed


@pytest.mark.parametrize("part", range(4))
def test_with_tie_leads_every_single_fault_shows(part: int) -> None:
    """1,000 random cars: no open joint, exchange of contacts or short between nets goes unseen."""
    for seed in range(part, CARS, 4):
        study, simulated = small_car(seed)

        assert undetected(simulated, ring_out(study, GROUPS)) == [], seed


@pytest.mark.parametrize("plan", [PAIRS, REST])
def test_by_other_plans_what_is_not_seen_is_said(plan: str) -> None:
    """Each against the rest shows everything; pairs miss shorts between pairs without a line, which are told."""
    for seed in range(80):
        study, simulated = small_car(seed)
        ringout = ring_out(study, plan)
        missed = undetected(simulated, ringout)
        pairs = {frozenset(simulated.net_of[row.a[0]] for row in (one, turned(one))) for one in rows_of(ringout)}

        assert all(sort == "shorted" and what not in pairs for sort, what in missed), seed
        assert not (plan == REST and missed), seed
        if plan == PAIRS:
            assert len(missed) == ringout.pairs_in_all - ringout.pairs_proven, seed
            open_ = {one.what for one in not_proven(ringout) if one.sort == NOT_MEASURED}
            named = {
                simulated.net_of[node_of(ringout.looms, ties[0])]: ringout.looms.names[ties[0]] for ties in ringout.ties
            }
            assert all({named[net] for net in what} <= open_ for _, what in missed), seed  # type: ignore[index]


def turned(row: Row) -> Row:
    return Row(row.b, row.a, row.joined)


def test_no_reading_of_a_joint_can_be_left_out() -> None:
    """k - 1 is the least: without any one of them some open joint goes unseen."""
    for seed in range(40):
        study, simulated = small_car(seed)
        rows = [row for row in rows_of(ring_out(study, GROUPS)) if row.joined]
        opens = [fault for fault in simulated.single_faults() if fault[0] == "open"]
        shown = [simulated.shows(rows, fault) for fault in opens]
        for at in range(len(rows)):
            alone = [seen for seen in shown if not seen[at] and all(seen[:at] + seen[at + 1 :])]
            assert alone or some_two_opens_differ(simulated, rows, opens, at), seed


def some_two_opens_differ(simulated: Simulated, rows: list[Row], opens: list[Fault], at: int) -> bool:
    """Whether a reading tells two open joints apart that are the same on all others."""
    others: dict[tuple[bool, ...], set[bool]] = {}
    for fault in opens:
        seen = simulated.shows(rows, fault)
        others.setdefault(seen[:at] + seen[at + 1 :], set()).add(seen[at])
    return any(len(some) == 2 for some in others.values())


@pytest.mark.parametrize("seed", range(40))
def test_counts_are_the_stated_formulas(seed: int) -> None:
    """k - 1 readings a net of k ends; ceil(log2 n) tests of two groups, or n, for n nets (Kautz 1974, from memory)."""
    study, simulated = small_car(seed)
    ends: dict[int, int] = {}
    for end in simulated.ends:
        ends[simulated.net_of[end]] = ends.get(simulated.net_of[end], 0) + 1
    groups, rest = ring_out(study, GROUPS), ring_out(study, REST)
    nets = len(ends)

    assert len(groups.continuity) == sum(count - 1 for count in ends.values())
    assert len(groups.tested) == nets
    assert len(groups.isolation) == math.ceil(math.log2(nets))
    assert len(rest.isolation) == nets


@pytest.mark.parametrize("seed", range(24))
@pytest.mark.parametrize("plan", [PAIRS, GROUPS])
def test_a_fault_is_told_down_to_what_no_reading_separates(seed: int, plan: str) -> None:
    """The explanations are exactly the single faults with the same readings, for any one of them."""
    study, simulated = small_car(seed)
    circuit = circuit_of(study)
    ringout = ring_out(study, plan, circuit)
    rows = rows_of(ringout)
    classes: dict[tuple[bool, ...], set[Fault]] = {}
    for fault in simulated.single_faults():
        classes.setdefault(simulated.shows(rows, fault), set()).add(fault)
    classes.pop(tuple(row.joined for row in rows), None)
    picked = random.Random(seed).sample(sorted(classes), min(12, len(classes)))
    for readings in picked:
        ohms = [MeterReading(0.2) if joined else MeterReading(math.inf) for joined in readings]
        judged = [judge(one, ohm) for one, ohm in zip(ringout.measurements, ohms, strict=True)]
        (group,) = explain(Bench(ringout, circuit, judged))
        found = {fault_of(simulated, ringout.looms, one.faults[0]) for one in group.explanations}

        assert {len(one.faults) for one in group.explanations} == {1}
        assert found - {None} == classes[readings]
        assert group.exhaustive


@pytest.mark.parametrize("plan", [PAIRS, GROUPS])
def test_two_faults_are_never_told_as_more_and_never_as_what_cannot_be(plan: str) -> None:
    """By simulation: no more faults than there are, all explanations show the same, the truth is among them."""
    rng = random.Random(8)
    for seed in range(30):
        study, simulated = small_car(seed)
        circuit = circuit_of(study)
        ringout = ring_out(study, plan, circuit)
        rows = rows_of(ringout)
        faults = [fault for fault in simulated.single_faults() if simulated.changes_partition(fault)]
        for _ in range(6):
            pair = rng.sample(faults, 2)
            if not are_simulated(simulated, *pair):
                continue
            seen = simulated.shows(rows, *pair)
            ohms = [MeterReading(0.2) if joined else MeterReading(math.inf) for joined in seen]
            judged = [judge(one, ohm) for one, ohm in zip(ringout.measurements, ohms, strict=True)]
            groups = explain(Bench(ringout, circuit, judged))
            sizes = [len(group.explanations[0].faults) for group in groups]

            assert sum(sizes) <= 2, (seed, pair)
            told = [
                [fault_of(simulated, ringout.looms, f) for f in one.faults] for g in groups for one in g.explanations
            ]
            for mixture in product(*(group.explanations for group in groups)):
                mixed = [fault_of(simulated, ringout.looms, fault) for one in mixture for fault in one.faults]
                if None not in mixed and (len(mixed) < 2 or are_simulated(simulated, *mixed)):  # type: ignore[arg-type]
                    assert simulated.shows(rows, *mixed) == seen, (seed, pair, mixed)  # type: ignore[arg-type]
            ring = pair[0][0] == pair[1][0] == "crossed" and pair[0][1] & pair[1][1]  # may be said as other pairs
            if sum(sizes) == 2 and not ring:
                assert all(any(fault in one for one in told) for fault in pair), (seed, pair)


def are_simulated(simulated: Simulated, one: Fault, other: Fault) -> bool:
    """Not a broken contact that is also exchanged, and not a short of a net that another fault splits: where is it?"""
    if "shorted" in (one[0], other[0]):
        return not simulated.touched(one) & simulated.touched(other)
    return not (one[0] != other[0] and one[1] & other[1])  # type: ignore[operator]
