"""The ladder never goes down: what one plug alone says, the same plug with more written beside it says too, or worse.

The rungs are one plug of each car typed further and further; a place is a cavity of that
plug, either half. Plain compare and the car that a swap sheet puts together are asked.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from xml.sax.saxutils import quoteattr

import pytest
from builders.commands import run
from builders.demo import demo_study
from builders.rows import bare

from harnesscheck.align.check import align_checked
from harnesscheck.assemble.assemble import assembly
from harnesscheck.assemble.choice import Choice
from harnesscheck.compare.built import compare_built
from harnesscheck.compare.compare import compare
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.compare.joined import compare_joined
from harnesscheck.lists.rungs import next_sentence, rungs
from harnesscheck.model.swapsheet import SwapSheet
from harnesscheck.network.graph.sides import Study

WORDS = [
    "permanent feed", "ignition feed", "accessory feed", "ground", "horn", "fuel gauge", "wiper", "CAN high",
    "left headlamp", "brake lamp", "", "radio feed",
]  # fmt: skip
LOOMS = '<harness id="front"/><harness id="rear"/>'
SEEDS = range(8)


def pins(words: Sequence[str]) -> str:
    """A row for each cavity in which somebody found a wire."""
    return "".join(f'<pin cavity="{at}" function="{text}"/>' for at, text in enumerate(words, 1) if text)


def alone(words: Sequence[str]) -> Study:
    """One plug, and not a word of what it goes into."""
    return bare(f'<connector id="C1" harness="front" cavities="6">{pins(words)}</connector>')


def half_typed(words: Sequence[str]) -> Study:
    """The same with the other half named, of which nothing is typed."""
    front = f'<connector id="C1" harness="front" cavities="6" mates="C1R">{pins(words)}</connector>'
    return bare(f'{LOOMS}{front}<connector id="C1R" harness="rear"/>')


def both_typed(words: Sequence[str], more: str = "") -> Study:
    """The same with both halves typed."""
    front = f'<connector id="C1" harness="front" cavities="6" mates="C1R">{pins(words)}</connector>'
    return bare(f'{LOOMS}{front}<connector id="C1R" harness="rear" cavities="6">{pins(words)}</connector>{more}')


def with_neighbour(words: Sequence[str]) -> Study:
    """The same with another plug between the looms and a part on it."""
    other = (
        '<connector id="C2" harness="front" cavities="1" mates="C2R"><pin cavity="1" function="clock"/></connector>'
        '<connector id="C2R" harness="rear" cavities="1"><pin cavity="1" function="clock"/></connector>'
        '<component id="clock" kind="module"><connector id="CK" cavities="1"><pin cavity="1" terminal="+"/></connector>'
        '</component><connector id="CKH" harness="rear" cavities="1" mates="CK"><pin cavity="1" function="clock"/>'
        "</connector>"
    )
    return both_typed(words, other)


RUNGS = (alone, half_typed, both_typed, with_neighbour)


def two_cars(seed: int) -> tuple[list[str], list[str]]:
    """A plug of one car, and the same with some of it changed: wires exchanged, lost, of another job."""
    rng = random.Random(seed)
    ours = rng.sample(WORDS, 6)
    theirs = list(ours)
    a, b = rng.sample(range(6), 2)
    theirs[a], theirs[b] = theirs[b], theirs[a]
    theirs[rng.randrange(6)] = rng.choice(WORDS)
    return ours, theirs


def worst_at(findings: Sequence[Finding]) -> dict[str, Severity]:
    """The worst that is said at each cavity of the plug; what is only not known counts as nothing."""
    found: dict[str, Severity] = {}
    for one in findings:
        if one.donor.connector in ("C1", "C1R") and one.donor.cavity and one.certainty is not Certainty.NOT_KNOWN:
            found[one.donor.cavity] = min(found.get(one.donor.cavity, Severity.NOTE), one.severity)
    return found


def plain(donor: Study, shell: Study) -> dict[str, Severity]:
    """What compare says of two cars."""
    return worst_at(compare_joined(donor, shell, align_checked(donor, shell, None)).findings)


def lower(below: dict[str, Severity], above: dict[str, Severity]) -> list[str]:
    """The cavities of which a rung says less than the one below it, of what is work or worse."""
    serious = {at: severity for at, severity in below.items() if severity < Severity.NOTE}
    return [at for at, severity in serious.items() if above.get(at, Severity.NOTE) > severity]


@pytest.mark.parametrize("seed", SEEDS)
def test_no_rung_says_less_than_the_one_below(seed: int) -> None:
    ours, theirs = two_cars(seed)
    said = [plain(rung(ours), rung(theirs)) for rung in RUNGS]

    assert [lower(below, above) for below, above in itertools.pairwise(said)] == [[]] * (len(RUNGS) - 1)
    assert any(severity <= Severity.DEAD for severity in said[0].values()) or ours == theirs or "" in ours + theirs


def as_one_plug(car: Study, plug: str) -> Study:
    """A plug of a whole car as a person would type it alone: what each wire is for."""
    vehicle = car.vehicle
    told: dict[str, str] = {}
    for half in (plug, vehicle.mate_of[plug]):
        for pin in vehicle.pins_of.get(half, ()):
            circuit = vehicle.circuits.get(pin.circuit or "")
            said = pin.function or (circuit.function if circuit is not None else None) or pin.circuit
            if said:
                told.setdefault(pin.cavity or "", said)
    rows = "".join(f"<pin cavity={quoteattr(at)} function={quoteattr(text)}/>" for at, text in told.items())
    count = len(vehicle.connectors[plug].cavities or told)
    return bare(f'<connector id="C1" harness="front" cavities="{count}">{rows}</connector>')


def test_the_whole_vans_say_at_a_plug_what_that_plug_alone_says() -> None:
    """Every plug between two harnesses of the example that both vans have."""
    donor, shell = demo_study("donor"), demo_study("shell")
    pairs = align_checked(donor, shell, None)
    whole = compare(donor, shell, pairs, electrical=False).findings
    asked = 0
    for plug in ("C12", "C13", "C14", "C15", "C17"):
        alone_said = plain(as_one_plug(donor, plug), as_one_plug(shell, pairs.connector[plug].shell))
        halves = {plug, donor.vehicle.mate_of[plug]}
        here = [
            replace(one, donor=replace(one.donor, connector="C1")) for one in whole if one.donor.connector in halves
        ]
        asked += sum(severity <= Severity.DEAD for severity in alone_said.values())

        assert lower(alone_said, worst_at(here)) == [], plug
    assert asked >= 5


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("front", ["donor", "shell"])
def test_a_car_put_together_of_half_typed_plugs_says_what_plain_compare_says_at_dead_or_worse(
    seed: int, front: str
) -> None:
    """Of both hybrids together: each is one way round."""
    ours, theirs = two_cars(seed)
    for rung in (half_typed, both_typed):
        donor, shell = rung(ours), rung(theirs)
        pairs = align_checked(donor, shell, None)
        rear = "shell" if front == "donor" else "donor"
        made = assembly(donor.vehicle, shell.vehicle, pairs, Choice({"front": front, "rear": rear}))
        built = compare_built(donor, shell, pairs, made, SwapSheet("swap.toml"))
        hurts = {at: one for at, one in plain(donor, shell).items() if one <= Severity.DAMAGE}

        assert lower(hurts, worst_at(built.findings)) == []


def test_an_untyped_half_is_not_called_documented() -> None:
    """Six cavities are typed, and the six they meet are not."""
    car = half_typed(["horn"] * 6)
    result = compare_joined(car, car, align_checked(car, car, None))

    assert (result.coverage.donor.documented, result.coverage.donor.cavities) == (6, 12)


def test_every_rung_names_the_next_one() -> None:
    """Until nothing is left that a file can hold."""
    words = ["horn", "ground", "wiper", "clock", "radio feed", "brake lamp"]
    named = [next(one.name for one in rungs({"donor": rung(words)})) for rung in RUNGS]

    assert named == ["mates", "halves", "components", "components"]
    assert "what works" in next_sentence({"donor": both_typed(words)})


def test_the_reports_end_with_it(tmp_path: Path) -> None:
    one = tmp_path / "one.csv"
    one.write_text("cavity,function\n1,horn\n", encoding="utf-8")
    for words in (["compare", str(one), str(one)], ["validate", str(one)]):
        text = " ".join(run(*words).stdout.split())

        assert text.index("WHAT WOULD TELL MORE") > text.index("WHAT THIS RESTS ON")
        assert "Next that would pay: which plug goes into which" in text


# -- a car against one plug


def test_one_plug_of_the_other_car_is_judged_and_nothing_else_called_missing(tmp_path: Path) -> None:
    """What the shell's file does not hold is not known, and no part lacks a partner for that."""
    car, plug = with_neighbour(["horn", "wiper", "", "", "", ""]), alone(["wiper", "horn", "", "", "", ""])
    result = compare_joined(car, plug, align_checked(car, plug, None))

    assert {one.kind for one in result.findings} <= {"crossed", "moved-pin"}
    assert any("every other plug" in one.text for one in result.coverage.unjudged)
    assert worst_at(result.findings)["1"] is Severity.DEAD


def test_a_plug_by_another_name_is_not_called_without_partner_for_certain() -> None:
    """Nobody said which of the car's plugs it is."""
    plug = bare('<connector id="loose" harness="front" cavities="2"><pin cavity="1" function="lift"/></connector>')
    car = with_neighbour(["horn", "wiper", "", "", "", ""])
    for donor, shell in ((plug, car), (car, plug)):
        result = compare_joined(donor, shell, align_checked(donor, shell, None))

        assert all(one.certainty is Certainty.NOT_KNOWN for one in result.findings if one.kind == "no-mate")


# -- two people, one plug


def test_two_people_who_typed_one_plug_are_told_where_they_disagree(tmp_path: Path) -> None:
    """Three cavities read differently are three things to look at again, and no more."""
    first = ["permanent feed", "ground", "horn", "wiper", "fuel gauge", "brake lamp"]
    second = ["permanent feed", "ignition feed", "horn", "washer", "fuel gauge", "reversing lamp"]
    cars = [alone(first), alone(second)]
    told = plain(*cars)

    assert sorted(told) == ["2", "4", "6"]
    assert all(severity <= Severity.DEAD for severity in told.values())


def test_a_plug_without_partner_says_what_it_carries() -> None:
    """A person who looks for it knows it by its wires' jobs."""
    car = with_neighbour(["horn", "wiper", "", "", "", ""])
    more = '<connector id="C9" harness="front" cavities="9"><pin cavity="7" function="tail lift"/></connector>'
    other = both_typed(["horn", "wiper", "", "", "", ""], more)
    told = compare_joined(car, other, align_checked(car, other, None)).findings
    found = [one for one in told if one.kind == "no-mate"]

    assert {one.donor.connector: "it carries clock (1)" in one.text for one in found} == {"C2": True, "CKH": True}


def test_where_no_plug_is_known_to_be_the_other_it_is_asked_which_is_which(tmp_path: Path) -> None:
    """A file of two plugs, and one plug that goes by another name and carries something else."""
    two, one = tmp_path / "two.csv", tmp_path / "B7.csv"
    two.write_text("connector,cavity,function\nA1,1,horn\nA1,2,clock\nA2,1,wiper\n", encoding="utf-8")
    one.write_text("cavity,function\n1,tail lift\n2,ramp\n3,crane\n4,winch\n5,pump\n", encoding="utf-8")
    words = " ".join(run("compare", str(two), str(one)).stdout.split())

    assert "Nothing could be compared" in words
    assert 'connector = { "A1" = "B7" }' in words


def test_two_tables_of_one_plug_in_one_folder_name_both_places_of_each_disagreement(tmp_path: Path) -> None:
    """A colour, a job and another colour read differently: three faults at once, each with both lines."""
    head = "connector,cavity,colour,function\n"
    (tmp_path / "pins-first.csv").write_text(f"{head}C1,1,RD,feed\nC1,2,BN,ground\nC1,3,GN,horn\nC1,4,BU,wiper\n")
    (tmp_path / "pins-second.csv").write_text(f"{head}C1,1,RD/WH,feed\nC1,2,BN,ground\nC1,3,GN,lift\nC1,4,BK,wiper\n")
    told = run("validate", str(tmp_path), status=2).output.splitlines()

    assert len(told) == 3
    assert all("pins-second.csv:" in line and "pins-first.csv:" in line for line in told)
