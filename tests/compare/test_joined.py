"""Cars that join two: every two harnesses that meet, both ways round, and nothing milder than a car that is chosen."""

from __future__ import annotations

from itertools import combinations

import pytest
from builders.carpairs import made
from builders.rows import FRONT, bare, half, inline, named, socket
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.align import align
from harnesscheck.assemble.assemble import assembly
from harnesscheck.assemble.choice import DONOR, SHELL, ChoiceError
from harnesscheck.assemble.groups import HarnessGroup, harness_groups
from harnesscheck.assemble.owners import Owners
from harnesscheck.compare import joined
from harnesscheck.compare.built import judged_car, taken_over
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.joined import compare_joined, gathered_choices, joined_choices
from harnesscheck.network.graph.sides import Study

LOOMS = tuple(HarnessGroup((f"loom{number}",), (f"loom{number}",)) for number in range(7))
EDGES = st.sets(st.sampled_from([frozenset(pair) for pair in combinations(range(len(LOOMS)), 2)]))


@settings(max_examples=40, deadline=None)
@given(EDGES)
def test_every_two_harnesses_that_meet_are_once_of_either_car_both_ways_round(meeting: set[frozenset[int]]):
    """In few cars: of two colours two cars are enough, of three three (Sperner 1928, from memory)."""
    cars = [one.choice.harness for one in gathered_choices(LOOMS, meeting) if not one.by_parts]

    for pair in meeting:
        for ours, theirs in (sorted(pair), sorted(pair)[::-1]):
            wanted = {f"loom{ours}": DONOR, f"loom{theirs}": SHELL}
            assert any(all(car[name] == said for name, said in wanted.items()) for car in cars)
    assert len(cars) <= 5  # seven colours need five cars: six subsets of two of four are too few


def car(clock: str) -> Study:
    """A clock behind an in-line plug, on the contact of another load or on one of its own."""
    tail = socket(
        "clock", "lamp", {"1": "+", "2": "-"}, {"1": f"30>C1R:{clock}", "2": "31>G1"}, 'watts="5"', harness="rear"
    )
    tail += socket("radio", "lamp", {"1": "+", "2": "-"}, {"1": "30>C1R:1", "2": "31>G1"}, 'watts="10"', harness="rear")
    ours = {"1": "30>P"} | ({"2": "30>P"} if clock == "2" else {})
    rear = half("C1R", dict.fromkeys(ours, "30"), "rear")
    return bare(FRONT, half("C1", ours, "front", "C1R"), rear, tail)


def test_what_a_harness_alone_would_leave_dark_is_told():
    """The other car's rear has the clock on a contact that this car's front leaves empty."""
    donor, shell = car("1"), car("2")

    plain = compare_joined(donor, shell, named(donor, shell)).findings
    dead = [one for one in plain if one.severity is Severity.DEAD]

    assert dead and all("clock" in (one.donor_component, one.shell_component) for one in dead)
    assert any("rear" in one.evidence.joined or "front" in one.evidence.joined for one in dead)


def worst(found: tuple[Finding, ...], place: tuple[str, str]) -> Severity:
    """The worst that is told at a contact of the donor."""
    return min(
        (one.severity for one in found if (one.donor.connector, one.donor.cavity) == place), default=Severity.NOTE
    )


@pytest.mark.parametrize("seed", [3, 5, 11])
def test_nothing_is_milder_than_in_a_car_that_joins_the_place(seed: int):
    """Small cars edited at random: every car with one group of the other's, put together and judged by itself."""
    ours, theirs, pairs = made(seed, 24, renamed=False)
    donor, shell = Study(ours), Study(theirs)
    plain = compare_joined(donor, shell, pairs).findings

    for one in joined_choices(harness_groups(Owners(ours), Owners(theirs), pairs)):
        try:
            chosen = assembly(ours, theirs, pairs, one.choice, any_housing=True)
        except ChoiceError:
            continue
        taken = taken_over(chosen, ours)
        for finding in judged_car(donor, shell, chosen).findings:
            place = finding.donor.connector, finding.donor.cavity
            meets = (place[0] in taken) != (ours.mate_of.get(place[0]) in taken)
            if place[1] and meets and finding.kind in joined.FACING_KINDS and not one.by_parts:
                at_part = ours.connectors[ours.mate_of.get(place[0], place[0])].component is not None
                assert at_part or worst(plain, place) <= finding.severity, (one.words, finding)


def test_large_cars_are_joined_several_harnesses_at_once(monkeypatch: pytest.MonkeyPatch):
    """What is told where the cars differ is the same as with each harness alone; that it is not tried is said."""
    donor, shell = (
        bare(FRONT, inline({"1": "30>P", "2": "31>G1"}, {"1": f"{one}>S1", "2": f"{two}>S2"}), load)
        for one, two, load in (
            ("30", "31", socket("lamp", "lamp", {"1": "+", "2": "-"}, {"1": "30>S1", "2": "31>S2"}, harness="rear")),
            ("31", "30", socket("lamp", "lamp", {"1": "+", "2": "-"}, {"1": "30>S2", "2": "31>S1"}, harness="rear")),
        )
    )
    alone = compare_joined(donor, shell, align(donor, shell))
    monkeypatch.setattr(joined, "MOST_ROWS", 0)
    together = compare_joined(donor, shell, align(donor, shell))

    places = {(one.donor.connector, one.donor.cavity) for one in alone.findings if one.donor.cavity}
    assert {place: worst(together.findings, place) for place in places} == {
        place: worst(alone.findings, place) for place in places
    }
    assert joined.SEVERAL not in {one.text for one in alone.coverage.unjudged}
    assert joined.SEVERAL in {one.text for one in together.coverage.unjudged}


def test_a_file_of_one_plug_says_nothing_of_the_rest_of_a_car():
    """Plugs and parts that nobody wrote down are no difference; the plug itself is compared."""
    whole = car("1")
    lone = bare('<harness id="front"/>' + half("C1", {"1": "30"}, "front"))

    for donor, shell in ((whole, lone), (lone, whole)):
        found = compare_joined(donor, shell, named(donor, shell))
        assert [str(one) for one in found.findings if one.severity < Severity.NOTE] == []
        assert {one.donor.connector or one.shell.connector for one in found.findings} <= {"C1"}
        assert any("is of one plug" in one.text for one in found.coverage.unjudged)


def fuses(first: str, second: str) -> Study:
    """Two fuses of one rating that feed a lamp each; ``first`` is the number of the one for lamp a."""
    rows = "".join(
        socket(number, "fuse", {"1": "1", "2": "2"}, {"1": f"30{name}>P", "2": f"58{name}>{name}-H:1"}, 'rating="10"')
        + socket(name, "lamp", {"1": "+", "2": "-"}, {"1": f"58{name}>{number}-H:2", "2": "31>G1"}, 'watts="5"')
        for number, name in ((first, "a"), (second, "b"))
    )
    return bare(FRONT, rows)


def test_fuses_of_other_numbers_are_no_difference():
    """The same circuits behind fuses that were renumbered; nothing is dead, fed otherwise or to be done."""
    donor, shell = fuses("F2", "F3"), fuses("F7", "F2")
    pairs = align(donor, shell)

    assert {"F2": "F7", "F3": "F2"}.items() <= {pair.donor: pair.shell for pair in pairs.components}.items()
    assert [one.kind for one in compare_joined(donor, shell, pairs).findings if one.severity < Severity.NOTE] == []


def pump(when: str) -> Study:
    """A fuel pump on a key switch of its own that is closed in some positions."""
    inside = f'<inside when="{when}" from="in" to="out"/>'
    switch = socket("lock", "switch", {"1": "in", "2": "out"}, {"1": "30>P", "2": "15>pump-H:1"}, 'key="yes"', inside)
    return bare(
        FRONT,
        switch,
        socket("pump", "motor", {"1": "+", "2": "-"}, {"1": "15", "2": "31>G1"}, 'amps="5" name="Fuel pump"'),
    )


def test_a_pump_that_runs_while_cranking_too_harms_nobody():
    """One that stands still then is dead there, which hurts nobody either; one that runs with the key off may."""

    def told(donor: str, shell: str) -> Severity:
        a, b = pump(donor), pump(shell)
        return min(one.severity for one in compare_joined(a, b, named(a, b)).findings if one.donor_component == "pump")

    assert told("run", "run start") is Severity.NOTE
    assert told("run start", "run") is Severity.DEAD
    assert told("run", "run off") is Severity.INJURY


def test_what_two_looms_cross_between_them_is_not_told_again_at_every_part():
    """The shell's looms cross two circuits in their plug: told there and of the lamps, not at every plug behind it."""
    pins, inside = {"1": "1", "2": "2"}, '<inside when="on" from="1" to="2"/>'

    def car(one: str, two: str) -> Study:
        hands = "".join(
            socket(f"hand{n}", "switch", pins, {"1": "30P>P", "2": f"{name}>C1:{n}"}, inside=inside)
            for n, name in ((1, "a"), (2, "b"))
        )
        lamps = "".join(
            socket(f"lamp{n}", "lamp", {"1": "+", "2": "-"}, {"1": f"{name}>C1R:{at}", "2": "31>G1"}, harness="rear")
            for n, name, at in ((1, "a", one), (2, "b", two))
        )
        rear = {one: "a", two: "b"}
        return bare(FRONT, hands, half("C1", {"1": "a", "2": "b"}, "front", "C1R"), half("C1R", rear, "rear"), lamps)

    donor, shell = car("1", "2"), car("2", "1")
    grave = [one for one in compare_joined(donor, shell, named(donor, shell)).findings if one.severity < Severity.NOTE]

    assert {str(one.donor) for one in grave if one.donor.cavity} == {"C1:1", "C1:2"}
    assert len(grave) == 3
