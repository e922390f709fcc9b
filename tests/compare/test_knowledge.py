"""Knowledge is monotone: taking something out of a file never makes anything surer, nor a danger silent.

A small rich car with planted injuries and damages is compared with everything
taken out of it, one thing at a time from either file, then several in a row.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterable, Iterator
from functools import cache

import pytest
from builders.demo import RICH
from builders.erase import UNKNOWN, Erasure, erased, erasures
from builders.rows import named
from builders.thorough import part_of

from harnesscheck.align import align
from harnesscheck.align.pairs import Pairs
from harnesscheck.compare.compare import compare
from harnesscheck.compare.finding.findings import Finding, Hybrid, Spot
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.model.records import TABLE_OF, Netlist
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure, read_netlist
from harnesscheck.read.check import check
from harnesscheck.read.faults import Faults

SORTS = [slot for slot in ("header", *TABLE_OF.values()) if slot not in ("options", "lid", "runs")]


@cache
def rich(name: str) -> Netlist:
    """The rich donor or shell."""
    result = read_netlist(RICH / f"rich-{name}.xml")
    assert isinstance(result, Netlist), result
    return result


@cache
def whole(name: str) -> Study:
    """The same, studied."""
    return Study(configure(rich(name)))


def is_sound(car: Netlist) -> bool:
    """Whether no rule of the format is broken: a reader would take the file."""
    faults = Faults()
    check(car, faults)
    return not faults


def pairs(donor: Study, shell: Study, *, aligned: bool) -> Pairs:
    """Pairs by name, or from the alignment."""
    return align(donor, shell) if aligned else named(donor, shell)


def found(donor: Study, shell: Study, *, aligned: bool = False) -> tuple[Finding, ...]:
    """The findings of two studied cars."""
    return compare(donor, shell, pairs(donor, shell, aligned=aligned), electrical=False).findings


def places(one: Finding) -> Iterator[tuple[str, Spot, str]]:
    """The two places of a finding, each with the part it concerns."""
    yield "donor", one.donor, one.donor_component
    yield "shell", one.shell, one.shell_component


def stays(danger: Finding, after: Iterable[Finding]) -> bool:
    """Whether its cavity, or where it has none its plug or its part, still has a finding of any kind.

    An unfused feed is told where the wire ends, nets joined inside the shell at one of their plugs; any place along
    that wire will do.
    """
    in_shell = danger.kind == "unfused-feed" or danger.evidence.hybrid is Hybrid.AS_BUILT
    along = wire_of(danger.shell) if in_shell else frozenset()
    for one in after:
        told = [shell for _, shell in one.evidence.places or ()]  # of a restraint part
        cavities = {(place.connector, place.cavity) for place in told} | {(one.shell.connector, one.shell.cavity)}
        if cavities & along:
            return True
        for (_, spot, part), (_, other, its) in zip(places(danger), places(one), strict=True):
            same_plug = spot.connector != "" and spot.connector == other.connector
            if same_plug and (spot.cavity == other.cavity or not spot.cavity or not other.cavity):
                return True
            if part and part == its and not spot.cavity:
                return True
    return False


def wire_of(spot: Spot) -> frozenset[tuple[str, str]]:
    """Every cavity of the rich shell's net at a place."""
    index = whole("shell").index
    net = index.net(spot.connector, spot.cavity)
    pieces = index.pieces_of[net] if net is not None else ()
    return frozenset(each for piece in pieces for each in index.cavities_of[piece])


def broken(before: Iterable[Finding], after: tuple[Finding, ...]) -> Iterator[str]:
    """What a loss of knowledge must not do."""
    known = {key(one) for one in after if one.certainty is Certainty.KNOWN}
    for one in before:
        if one.severity <= Severity.DAMAGE and not stays(one, after):
            yield f"{one.kind} at {one.donor} / {one.shell} is silent"
        if one.certainty is not Certainty.KNOWN and key(one) in known:
            yield f"{one.kind} at {one.donor} / {one.shell} became known"


def key(one: Finding) -> tuple[str, str, str, str]:
    """What makes two findings the same."""
    return one.kind, str(one.donor), str(one.shell), one.donor_component


def of_sort(side: str, sort: str) -> list[Erasure]:
    """What can be taken out of one table of a car: of the long ones every third."""
    found = [one for one in erasures(rich(side)) if one.slot == sort]
    return part_of(found, 3) if len(found) > 60 else found


@pytest.mark.parametrize("sort", SORTS)
@pytest.mark.parametrize("side", ["donor", "shell"])
def test_less_knowledge_hides_no_danger_and_makes_nothing_surer(side: str, sort: str):
    """Attributes, pins, mates and components, one at a time."""
    base = found(whole("donor"), whole("shell"))
    faults = []
    for one in of_sort(side, sort):
        less = Study(configure(erased(rich(side), one)))
        donor, shell = (less, whole("shell")) if side == "donor" else (whole("donor"), less)
        after = found(donor, shell)
        faults += [f"without {one}: {fault}" for fault in broken(base, after)]

    assert faults == []


@pytest.mark.parametrize("side", ["donor", "shell"])
def test_less_knowledge_through_the_alignment(side: str):
    """The same, every fourteenth of them, with pairs from the alignment."""
    base = found(whole("donor"), whole("shell"), aligned=True)
    faults = []
    for one in list(erasures(rich(side)))[::14]:
        less = Study(configure(erased(rich(side), one)))
        donor, shell = (less, whole("shell")) if side == "donor" else (whole("donor"), less)
        after = found(donor, shell, aligned=True)
        faults += [f"without {one}: {fault}" for fault in broken(base, after)]

    assert faults == []


def states_something(one: Erasure, car: Netlist) -> bool:
    """Whether the file says something else afterwards, not less.

    A cavity without a row is empty by the rules of the format; a row without ``to``
    in a cavity that another wire ends in is that wire's other end.
    """
    if one.slot != "pins":
        return False
    row = car.pins[one.number]
    return not one.field or (one.field == "to" and f"{row.connector}:{row.cavity}" in {pin.to for pin in car.pins})


@pytest.mark.parametrize("sort", SORTS)
def test_a_car_that_says_less_is_not_known_to_differ(sort: str):
    """The same car with one thing taken out gives nothing known above note: not known is not different."""
    faults = []
    for one in of_sort("donor", sort):
        if states_something(one, rich("donor")):
            continue
        after = found(whole("donor"), Study(configure(erased(rich("donor"), one))))
        faults += [
            f"without {one}: {each.kind} at {each.donor} / {each.shell}"
            for each in after
            if each.certainty is Certainty.KNOWN and each.severity < Severity.NOTE
        ]

    assert faults == []


MAINS = re.compile(r"(?<![\w-])(?:battery|link|box|key|BT-A|LK-A|FB-A|KY-A|BT-AH|LK-AH|S1|FB-AH:1|KY-AH:1)(?![\w-])")


def darkens(one: Erasure) -> bool:
    """Whether it is on the way from the battery to the fuses: without it the whole car is dark in the file."""
    return MAINS.search(str(one)) is not None


@pytest.mark.parametrize("seed", part_of(range(25), 2))
def test_losing_one_thing_after_the_other(seed: int):
    """Eight in a row from either file, each step against the one before.

    The mains stay: of a car of which nobody knows what is live, two faults that
    share a wire cannot be told apart any more.
    """
    draw = random.Random(seed)
    cars = {"donor": rich("donor"), "shell": rich("shell")}
    before = found(whole("donor"), whole("shell"))
    for _ in range(8):
        side = draw.choice(["donor", "shell"])
        left = [one for one in erasures(cars[side]) if not (states_something(one, cars[side]) or darkens(one))]
        one = draw.choice(left)
        less = erased(cars[side], one)
        if not is_sound(less):
            continue
        cars[side] = less
        donor, shell = (Study(configure(cars[name])) for name in ("donor", "shell"))
        after = found(donor, shell)

        assert list(broken(before, after)) == [], f"seed {seed}, without {one}"
        before = after


def test_the_rich_cars_are_sound_and_have_dangers():
    """What the laws above stand on: planted injuries and damages, each told once, and attributes of every sort."""
    assert is_sound(rich("donor"))
    assert is_sound(rich("shell"))
    dangers = [f"{one.kind} {one.donor}" for one in found(whole("donor"), whole("shell")) if one.severity <= 1]

    assert dangers == [
        "restraint-altered AB-AH",
        "feed-to-ground C1:1",
        "feed-to-ground DX-AH:2",
        "restraint-altered SQ-AH",
        "unfused-feed WA-AH:1",
        "feeds-joined BM-AH:1",
        "feed-on-signal BM-AH:3",
        "outputs-joined BM-AH:5",
        "signal-grounded BM-AH:6",
        "strap-missing GH",
        "reversed RA-AH:1",
        "reversed RA-AH:2",
    ]
    assert {one.field for one in erasures(rich("donor"))} >= {"", UNKNOWN, "to", "circuit", "role", "mates", "kind"}
