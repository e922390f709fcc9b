"""The mirror law: with donor and shell exchanged the same places are told, by the registry's written table.

Plain ``compare`` judges both hybrids of every plug, and the exchange of sides
gives the same two hybrids. So a danger stays where it is and what it is. Where it
is gone, the car that has become the donor has it as built: that is no change.
Everything else is not symmetric by nature, and the table says how: every load of
the donor's is kept, so that a wire only the donor has is missing in the shell, and
one only the shell has is extra; a wire that got thinner got thicker.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from functools import cache

import pytest
from builders.demo import RICH, demo_study, study_at
from builders.fixtures import FIXTURES
from builders.rows import named
from cars import Mix, make_car, mutate, vehicle_of

from harnesscheck.align import align
from harnesscheck.align.pairs import Pairs
from harnesscheck.compare.compare import compare
from harnesscheck.compare.finding.findings import Finding, Spot
from harnesscheck.compare.finding.kinds import KIND, KINDS, Certainty, Severity
from harnesscheck.compare.plugs.facing import FACING, could_short
from harnesscheck.network.graph.sides import Study

DANGERS = ("feed-to-ground", "feed-on-signal", "outputs-joined", "feeds-joined", "signal-grounded")
BY_STATES = frozenset(
    {
        "dead-accessory", "dim-accessory", "relay-hunts", "wrong-key-position", "always-on", "sneak-path",
        "wire-overloaded", "fuse-too-big", "fuse-too-slow", "fuse-too-small", "volt-drop",
    }
)  # fmt: skip
"""Told of a load or a wire in a state of the car, not of what meets at a cavity."""
OPPOSED = ("restraint-altered", "reversed", "signal-mismatch", "housing-differs", "moved-pin")
Pairing = Callable[[Study, Study], Pairs]
Place = tuple[str, str]


@cache
def place(study: Study, spot: Spot) -> Place:
    """A meeting place, whichever of its halves is named, and the cavity."""
    mate = study.vehicle.mate_of.get(spot.connector, spot.connector)
    return min(spot.connector, mate), spot.cavity


def as_built(study: Study, spot: Spot, kind: str) -> bool:
    """Whether a car has a danger of this kind at a place (or fed through it) without any other car."""
    net = study.index.net(spot.connector, spot.cavity)
    mate = study.vehicle.mate_of.get(spot.connector)
    if net is None or mate is None or kind not in DANGERS:
        return False
    whole, a, b = study.net_side(net), study.side(spot.connector, spot.cavity), study.side(mate, spot.cavity)
    if kind == "feeds-joined" and len(whole.supplies) > 1:
        return True
    if kind == "outputs-joined" and sum((one.role or "").startswith("output") for one in whole.terminals) > 1:
        return True
    if kind == "feed-to-ground" and (could_short(a, b) or could_short(b, a)):
        return True
    return kind in (FACING[a.label, b.label], FACING[b.label, a.label])


def at_cavities(donor: Study, shell: Study, pairing: Pairing) -> list[Finding]:
    """What is found of contacts, plugs, parts and metal."""
    return list(compare(donor, shell, pairing(donor, shell), electrical=False).findings)


Told = tuple[Study, Study, Finding, list[Finding]]


def mirrored(donor: Study, shell: Study, pairing: Pairing = named) -> Iterator[Told]:
    """Every finding of both ways round with its two cars, and what the other way round has at its places exchanged."""
    ways = (donor, shell, at_cavities(donor, shell, pairing)), (shell, donor, at_cavities(shell, donor, pairing))
    for (first, second, here), (_, _, there) in (ways, ways[::-1]):
        back: dict[tuple[Place, Place], list[Finding]] = defaultdict(list)
        for one in there:
            back[place(first, one.shell), place(second, one.donor)].append(one)
        for one in here:
            yield first, second, one, back[place(first, one.donor), place(second, one.shell)]


def broken(told: Iterator[Told]) -> list[str]:
    """What the written table does not allow."""
    return [
        f"{one.kind} {one.donor} {one.shell} became {sorted(each.kind for each in found)}: {one.text}"
        for donor, shell, one, found in told
        if not allowed(one, found) and not is_built_so(donor, shell, one, found)
    ]


def allowed(one: Finding, found: list[Finding]) -> bool:
    """By the table; where something serious is told at a cavity, what is milder is not told beside it."""
    rule = set(KIND[one.kind].mirror)
    serious = any(each.severity <= Severity.DEAD for each in found)
    return (
        bool(rule & {each.kind for each in found})
        or (serious and one.severity > Severity.DEAD)
        or ("" in rule and not serious)
        # One end is not written and the circuit's words alone call it a feed: the other way round says to ring it out.
        or (
            (one.kind, one.certainty) == ("feeds-joined", Certainty.LIKELY)
            and "not-documented" in {each.kind for each in found}
        )
    )


def is_built_so(donor: Study, shell: Study, one: Finding, found: list[Finding]) -> bool:
    """Whether one of the cars has the danger by itself: then it is no change from that car."""
    return (
        any(each.evidence.hybrid == "shell as built" for each in (one, *found))
        or as_built(shell, one.shell, one.kind)
        or any(as_built(donor, one.donor, each.kind) for each in found)
    )


def test_a_danger_mirrors_into_itself_alone():
    """The table leaves no way round for what burns; and what is one fact of two things stays what it is."""
    assert {name: KIND[name].mirror for name in (*DANGERS, *OPPOSED)} == {
        name: (name,) for name in (*DANGERS, *OPPOSED)
    }


def test_the_table_reads_the_same_from_both_sides():
    """Where a kind may become another, that other may become it."""
    lopsided = [
        (kind.name, other)
        for kind in KINDS
        for other in kind.mirror
        if other and not BY_STATES & {kind.name, other} and kind.name not in KIND[other].mirror
    ]

    assert lopsided == []


def test_the_demo_mirrors():
    """The two vans, aligned each time."""
    assert broken(mirrored(demo_study("donor"), demo_study("shell"), align)) == []


def test_the_rich_cars_mirror():
    """The two little cars with planted injuries and damages, aligned each time; the law is not empty for them."""
    told = list(mirrored(study_at(RICH / "rich-donor.xml"), study_at(RICH / "rich-shell.xml"), align))
    kept = {one.kind for _, _, one, back in told if one.kind in {each.kind for each in back}}

    assert broken(iter(told)) == []
    assert {"feed-to-ground", "restraint-altered", "reversed"} <= kept


@pytest.mark.parametrize("one", FIXTURES, ids=lambda one: one.kind)
def test_every_fixture_mirrors(one):
    """The pair that gives the kind, and the near miss."""
    assert broken(mirrored(one.donor, one.shell)) == []
    assert broken(mirrored(one.donor, one.near)) == []


@pytest.mark.parametrize("seed", range(40))
def test_random_cars_mirror(seed: int):
    """Two versions of a drawn car with a seventh of wires and plugs edited: broken cars, as found."""
    donor, shell = mutate(make_car(seed, 50), seed, Mix(edits=0.15, renamed=False))[:2]

    assert broken(mirrored(Study(vehicle_of(donor)), Study(vehicle_of(shell)))) == []
