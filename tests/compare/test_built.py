"""A car that is put together against the donor: nothing where nothing changed, everything where a part was retained.

The laws need no figures of ours: a car of one car's parts is that car, and a part
retained in the other car meets what a plain compare says it would meet.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from builders.demo import DEMO, demo_study, study_at
from builders.rows import bare
from cars import Mix, make_car, mutate, vehicle_of

from harnesscheck.align import Crosswalk
from harnesscheck.align.check import align_checked
from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.asbuilt import as_built
from harnesscheck.assemble.assemble import assembly
from harnesscheck.assemble.choice import Choice
from harnesscheck.compare.built import (
    AS_FOUND,
    HALF_KNOWN,
    RELATIVE,
    BuiltComparison,
    built_hybrids,
    compare_built,
    taken_over,
)
from harnesscheck.compare.compare import compare
from harnesscheck.compare.finding.findings import Finding, Hybrid
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.compare.jobs import with_jobs
from harnesscheck.model.swapsheet import BuiltSection, SwapSheet
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure

ALL_DONOR = SwapSheet("swap.toml", harness={"*": "donor"}, parts={"*": "donor"})
ALL_SHELL = SwapSheet("swap.toml", harness={"*": "shell"}, parts={"*": "shell"})
LOOMS_OF_DONOR = SwapSheet("swap.toml", harness={"*": "donor"})


@cache
def demo() -> tuple[Study, Study, Pairs]:
    """The two vans and what is certain about them."""
    donor, shell = (demo_study(name) for name in ("donor", "shell"))
    return donor, shell, align_checked(donor, shell, Crosswalk({"C21": "C31", "C21H": "C31H"}))


@cache
def drawn(seed: int) -> tuple[Study, Study, Pairs]:
    """Two versions of a random car, a fifth of it edited."""
    donor, shell = (Study(vehicle_of(car)) for car in mutate(make_car(seed, 40), seed, Mix(edits=0.2))[:2])
    return donor, shell, align_checked(donor, shell, None)


def built(cars: tuple[Study, Study, Pairs], sheet: SwapSheet) -> BuiltComparison:
    """The donor against the car that a sheet's choices give."""
    donor, shell, pairs = cars
    made = assembly(donor.vehicle, shell.vehicle, pairs, Choice(sheet.harness, sheet.parts))
    return compare_built(donor, shell, pairs, made, sheet)


def serious(result: BuiltComparison) -> list[Finding]:
    """Everything above note."""
    return [one for one in result.findings if one.severity < Severity.NOTE]


def test_the_donor_rebuilt_is_the_donor() -> None:
    """Everything of the donor: not even a note, for no module of another car is on its buses."""
    assert built(demo(), ALL_DONOR).findings == ()


@pytest.mark.parametrize("seed", range(12))
def test_a_random_donor_rebuilt_is_the_donor(seed: int) -> None:
    """And so with random cars."""
    assert serious(built(drawn(seed), ALL_DONOR)) == []


def test_the_shell_rebuilt_is_told_only_what_is_so_by_itself() -> None:
    """Everything of the shell: no plug of it faces anything new, whatever a plain compare says of the two cars."""
    result = built(demo(), ALL_SHELL)

    kinds = {one.kind for one in serious(result)}
    assert {"unfused-feed", "wire-overloaded", "strap-missing"} <= kinds
    assert not kinds & RELATIVE
    assert set(result.harness.values()) == {"shell"}
    assert set(result.parts.values()) == {"shell", "none"}


@pytest.mark.parametrize("seed", range(12))
def test_a_random_shell_rebuilt_differs_in_nothing(seed: int) -> None:
    """No finding of a kind that compares what meets."""
    assert [one for one in serious(built(drawn(seed), ALL_SHELL)) if one.kind in RELATIVE] == []


def test_all_looms_of_the_donor_bring_all_that_it_had() -> None:
    """The hatch's strap too, which is of a loom. The coded set is whole: nothing is split."""
    assert serious(built(demo(), LOOMS_OF_DONOR)) == []


def told_of(findings: tuple[Finding, ...], part: str) -> list[Finding]:
    """Dead or worse at a part's own plugs, where the shell's harness is on the donor's part."""
    donor = demo()[0].vehicle
    plugs = {donor.mate_of.get(plug.id, plug.id) for plug in donor.connectors_of.get(part, ())}
    return [
        one
        for one in findings
        if one.severity <= Severity.DEAD and one.donor.connector in plugs and one.evidence.hybrid == Hybrid.SHELL_HALF
    ]


@cache
def plain() -> tuple[Finding, ...]:
    """What a compare of the two vans as they are finds."""
    return compare(*demo()).findings


def retained_parts() -> list[str]:
    """The donor's parts with something dead or worse at their own plugs, were they plugged into the shell's harness."""
    return [part for part in demo()[0].vehicle.components if told_of(plain(), part)]


@pytest.mark.parametrize("part", retained_parts())
def test_a_part_retained_in_the_shell_meets_what_a_compare_says(part: str) -> None:
    """One part of the donor in a car that is the shell's otherwise: nothing at its plug is passed over.

    It is told at the same contact, or as a fault of the part that is as bad, at another of the nets it joins.
    """
    result = built(demo(), SwapSheet("swap.toml", harness={"*": "shell"}, parts={part: "donor", "*": "shell"}))
    places = {(one.kind, str(one.donor)) for one in result.findings}
    worst = min(one.severity for one in result.findings if one.donor_component == part)

    assert result.parts[part] == "donor"
    for one in told_of(plain(), part):
        assert (one.kind, str(one.donor)) in places or worst <= one.severity, one


def test_a_coded_set_that_is_split_is_told_of_whichever_car_it_is() -> None:
    """The donor's set is cluster and engine computer, the shell's engine computer and reader."""
    donors = built(demo(), replace(LOOMS_OF_DONOR, parts={"cluster": "shell"}))
    shells = built(demo(), replace(ALL_SHELL, parts={"shell:immobiliser": "none", "*": "shell"}))

    assert "the donor's coded set" in next(one for one in donors.findings if one.kind == "coded-part").text
    assert "but not immobiliser" in next(one for one in shells.findings if one.kind == "coded-part").text


def test_a_part_that_is_left_out_is_no_fault_and_its_plug_is_loose() -> None:
    """Somebody leaves the radio out: nothing is dead, and its plug has no partner."""
    result = built(demo(), replace(LOOMS_OF_DONOR, parts={"radio": "none"}))
    found = {one.kind for one in result.findings if one.donor_component == "radio"}

    assert result.parts["radio"] == "none"
    assert found == {"no-mate"}


def test_a_part_with_no_plug_is_dead() -> None:
    """The reading lamps of the donor, on a rear harness that has no plugs for them."""
    result = built(demo(), SwapSheet("swap.toml", harness={"rear": "shell"}))
    dead = {one.donor_component for one in result.findings if "is not connected" in one.text}

    assert {"reading-lamp-1", "reading-lamp-4", "tail-lift-pump"} <= dead


def test_what_is_accepted_is_marked_and_never_an_injury() -> None:
    """A reason for everything that is found."""
    first = built(demo(), ALL_SHELL)
    reasons = {one.id: "known" for one in first.findings}
    result = built(demo(), replace(ALL_SHELL, accepted=reasons))

    assert [one.id for one in result.findings] == [one.id for one in first.findings]
    assert {one.severity for one in result.findings if not one.accepted} == {Severity.INJURY}


def test_a_wire_found_cut_is_missing() -> None:
    """The donor is held as its maker built it; what is put together is the car as found."""
    donor, shell, pairs = demo()
    found = as_built(donor.vehicle, BuiltSection(cut=("C21H:4",)), SwapSheet("swap.toml"), "donor")
    assert not isinstance(found, list)
    made, whole = (assembly(car, shell.vehicle, pairs, Choice()) for car in (found, donor.vehicle))
    result = compare_built(donor, shell, pairs, made, SwapSheet("swap.toml"), whole)
    as_found = {(one.kind, one.donor_component) for one in result.findings if one.evidence.as_found}

    assert ("missing-circuit", "reading-switch") in as_found
    assert [one.kind for one in serious(result) if not one.evidence.as_found] == []
    assert all((AS_FOUND in one.text) == bool(one.evidence.as_found) for one in result.findings)


@pytest.mark.parametrize("looms", ["donor", "shell"])
def test_a_plug_whose_other_half_nobody_wrote_is_told_of_both_ways(looms: str) -> None:
    """Two lone pin tables: nothing says what either will be plugged into, so nothing is passed over as fine."""
    donor, shell = (study_at(DEMO / f"plug-{name}.csv") for name in ("donor", "shell"))
    pairs = align_checked(donor, shell, None)
    result = built((donor, shell, pairs), SwapSheet("swap.toml", harness={"*": looms}))
    expected = [(one.kind, one.donor, one.severity) for one in with_jobs(compare(donor, shell, pairs).findings, pairs)]

    assert [(one.kind, one.donor, one.severity) for one in result.findings] == expected != []
    assert all(one.certainty is not Certainty.KNOWN and HALF_KNOWN in one.text for one in result.findings)


def test_in_a_mixed_car_a_plug_whose_other_half_nobody_wrote_is_told_of() -> None:
    """The in-line plug between a harness of each car, with the mate of the donor's half erased from the file."""
    donor, shell, pairs = demo()
    rows = donor.vehicle.netlist.connectors
    half = "C17"
    mate = donor.vehicle.mate_of[half]
    bare = replace(
        donor.vehicle.netlist, connectors=tuple(replace(r, mates=None) if r.id in (half, mate) else r for r in rows)
    )
    sheet = SwapSheet("swap.toml", harness={"rear": "shell"})
    result = built((Study(configure(bare)), shell, pairs), sheet)

    assert {one.donor.connector for one in result.findings if HALF_KNOWN in one.text} >= {half}
    assert all(one.certainty is not Certainty.KNOWN for one in result.findings if HALF_KNOWN in one.text)


@pytest.mark.parametrize("loom", ["engine", "body", "dash", "door-left", "rear", "floor"])
def test_a_hybrid_that_is_built_is_told_of_as_in_a_plain_compare(loom: str) -> None:
    """One harness of the shell among the donor's: whatever is dead or worse where the cars then meet is found.

    At the same contact, or as bad at the same plug or on the same part.
    """
    cars = demo()
    donor, shell, pairs = cars
    sheet = SwapSheet("swap.toml", harness={loom: "shell"})
    ours = taken_over(assembly(donor.vehicle, shell.vehicle, pairs, Choice(sheet.harness)), donor.vehicle)
    hybrids = built_hybrids(donor.vehicle, ours)
    found = built(cars, sheet).findings
    for one in plain():
        half, hybrid = one.donor.connector, one.evidence.hybrid
        if (
            one.severity > Severity.DEAD
            or hybrids.get(half) != (hybrid,)
            or (hybrid == Hybrid.SHELL_HALF and half in ours)
        ):
            continue
        near = [each for each in found if each.donor.connector == half or each.donor_component == one.donor_component]
        assert any(each.severity <= one.severity for each in near), one


# -- what was typed of one half only


def one_half(other: str, shell: bool = False) -> Study:
    """A plug between two looms of which one half is typed."""
    pins = {"1": "permanent feed", "2": other, "3": "horn"} | ({} if shell else {"4": "clock"})
    rows = "".join(f'<pin cavity="{at}" function="{text}"/>' for at, text in pins.items())
    return bare(
        f'<harness id="front"/><harness id="rear"/><connector id="C1" harness="front" cavities="4" mates="C1R">{rows}'
        '</connector><connector id="C1R" harness="rear" cavities="4"/>'
    )


@pytest.mark.parametrize("front", ["donor", "shell"])
def test_the_half_that_nobody_typed_is_told_by_the_other_one(front: str) -> None:
    """A front loom of one car on a rear loom of the other: both files tell of it by the front half only."""
    donor, shell = one_half("ground"), one_half("ignition feed", shell=True)
    pairs = align_checked(donor, shell, None)
    rear = "shell" if front == "donor" else "donor"
    result = built((donor, shell, pairs), SwapSheet("swap.toml", harness={"front": front, "rear": rear}))
    told = {one.donor.cavity: (one.kind, one.certainty) for one in result.findings if one.severity <= Severity.DEAD}

    assert told == {"2": ("feed-to-ground", Certainty.LIKELY), "4": ("missing-circuit", Certainty.LIKELY)}
    assert result.coverage.donor.documented == 4
    assert result.coverage.donor.cavities == 8


def test_a_mixed_car_of_words_alone_says_what_is_called_otherwise() -> None:
    """Both halves typed, no part in either file: what faces what is told as plain compare tells it."""
    rows = "<harness id='front'/><harness id='rear'/>"
    both = [
        bare(
            f'{rows}<connector id="C1" harness="front" cavities="2" mates="C1R"><pin cavity="1" function="{text}"/>'
            '</connector><connector id="C1R" harness="rear" cavities="2">'
            f'<pin cavity="1" function="{text}"/></connector>'
        )
        for text in ("horn", "wiper")
    ]
    pairs = align_checked(*both, None)
    result = built((*both, pairs), SwapSheet("swap.toml", harness={"front": "donor", "rear": "shell"}))

    assert [(one.kind, str(one.donor)) for one in result.findings] == [("crossed", "C1:1")]
