"""Knowledge is monotone with the electrical pass on: what works and what the wires carry.

How the law reads for kinds that are computed, not found at one place:

* Nothing uncertain becomes known, and no such finding is known that the fuller files do not know. A load is dead
  for certain only where the file closes its net: a cavity without a row is empty by the rules of the format, a
  splice says nothing of the wires it lacks. Known *before* is also what was computed and not told, because a
  finding at a plug told it first.
* No injury or damage becomes silence. It stays or becomes less sure; or anything else is told at its place, of its
  part, or of a load behind its fuse (that the load is dead in the file, say); or the coverage says in a sentence
  that was not there before that the part, the place or the whole car is not judged, or which limit rests on a size,
  a rating, a length or a draw that is not written.
* Not demanded: that a feed which is written is not all there is. Where a load has two feeds for the same key
  positions and the donor's file loses one, what the other car does more is told as it stands.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest
from builders import carrying
from builders.erase import Erasure, erased, erasures
from builders.fixtures import FIXTURES
from builders.rows import named

from compare.test_knowledge import is_sound, key, rich, states_something, stays
from harnesscheck.compare.carries.worse import carried
from harnesscheck.compare.compare import Comparison, compare
from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.compare.works.function import functions
from harnesscheck.model.records import Netlist
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.guards import feeds_of
from harnesscheck.read import configure

WORKS = {"dead-accessory", "dim-accessory", "always-on", "wrong-key-position", "reversed", "sneak-path", "relay-hunts"}
CARRIES = {"wire-overloaded", "thinner-wire", "fuse-too-big", "fuse-too-small", "fuse-too-slow", "volt-drop"}
Computed = tuple[str, str]  # kind and part
WHOLE_CAR = ("what works:", "what the wires carry:")
NOT_WRITTEN = ("have no size", "have no rating", "length not written")
FIXTURE = {f"{one.kind} {one.at}": one for one in FIXTURES if one.kind in WORKS | CARRIES}


@cache
def car(pair: str, side: str) -> Netlist:
    """The file of one side of a pair of cars: the rich one, a fixture of one kind, or the small one."""
    if pair == "rich":
        return rich(side)
    if pair in FIXTURE:
        return (FIXTURE[pair].donor if side == "donor" else FIXTURE[pair].shell).vehicle.netlist
    return carrying.donor() if side == "donor" else carrying.shell()


@cache
def whole(pair: str, side: str) -> Study:
    """The same, studied."""
    return Study(configure(car(pair, side)))


def compared(donor: Study, shell: Study) -> Comparison:
    """Everything a compare of two cars finds, pairs by name."""
    return compare(donor, shell, named(donor, shell))


def computed(found: Finding) -> Computed:
    """What makes two findings about function or loads the same."""
    return found.kind, found.shell_component or found.donor_component or str(found.shell)


@cache
def of_the_full_files(pair: str) -> Comparison:
    """What the full files give."""
    return compared(whole(pair, "donor"), whole(pair, "shell"))


@cache
def known_before(pair: str) -> frozenset[Computed]:
    """What the full files know of function and loads, told or not."""
    donor, shell = whole(pair, "donor"), whole(pair, "shell")
    ctx = Context(donor, shell, named(donor, shell))
    works = {(one.kind, one.shell_component or one.donor_component) for one in functions(ctx, []).changes if one.sure}
    loads = carried(ctx.donor_behaviour, ctx.shell_behaviour, ctx.pairs).findings
    told = of_the_full_files(pair).findings
    return frozenset(works | {computed(one) for one in (*loads, *told) if one.certainty is Certainty.KNOWN})


@cache
def behind(pair: str, fuse: str) -> frozenset[str]:
    """The shell's parts whose current a fuse carries."""
    circuit = whole(pair, "shell").kept(Behaviour).circuit
    fed = feeds_of(circuit).loads.items()
    return frozenset(
        circuit.loads[n].component for at, loads in fed if circuit.branches[at].component == fuse for n in loads
    )


def is_told(danger: Finding, pair: str, before: Comparison, after: Comparison) -> bool:
    """Whether a danger is still spoken of, or its not being judged is."""
    parts = {danger.donor_component, danger.shell_component, *behind(pair, danger.shell_component)} - {""}
    if stays(danger, after.findings) or any(
        parts & {one.donor_component, one.shell_component} for one in after.findings
    ):
        return True
    for one in set(after.coverage.unjudged) - set(before.coverage.unjudged):
        text = one.text
        names = set(text.replace(",", " ").split())
        if (
            names & parts
            or text.startswith(WHOLE_CAR)
            or (danger.kind in CARRIES and any(w in text for w in NOT_WRITTEN))
        ):
            return True
    return False


def broken(pair: str, side: str, one: Erasure) -> Iterator[str]:
    """What the loss of one thing from one side of a pair of cars must not do."""
    less = erased(car(pair, side), one)
    if not is_sound(less):
        return
    study = Study(configure(less))
    before = of_the_full_files(pair)
    after = compared(study, whole(pair, "shell")) if side == "donor" else compared(whole(pair, "donor"), study)
    known = {key(each) for each in after.findings if each.certainty is Certainty.KNOWN}
    for each in before.findings:
        if each.severity <= Severity.DAMAGE and not is_told(each, pair, before, after):
            yield f"{side} without {one}: {each.kind} of {each.donor_component or each.donor} is silent"
        if each.certainty is not Certainty.KNOWN and key(each) in known:
            yield f"{side} without {one}: {each.kind} of {each.donor_component or each.donor} became known"
    if states_something(one, car(pair, side)):
        return
    for each in after.findings:
        new = each.certainty is Certainty.KNOWN and computed(each) not in known_before(pair)
        if new and each.kind in WORKS | CARRIES:
            yield f"{side} without {one}: {each.kind} of {each.donor_component or each.shell} is known from nothing"


@pytest.mark.parametrize("side", ["donor", "shell"])
def test_less_knowledge_of_what_works_and_carries(side: str) -> None:
    """Every attribute, pin, mate and component of the small cars, one at a time."""
    faults = [fault for one in erasures(car("small", side)) for fault in broken("small", side, one)]

    assert faults == []


@pytest.mark.parametrize("side", ["donor", "shell"])
def test_less_knowledge_of_the_rich_cars(side: str) -> None:
    """Every ninth of theirs."""
    faults = [fault for one in list(erasures(car("rich", side)))[::9] for fault in broken("rich", side, one)]

    assert faults == []


@pytest.mark.parametrize("side", ["donor", "shell"])
@pytest.mark.parametrize("pair", list(FIXTURE))
def test_less_knowledge_of_one_fault(pair: str, side: str) -> None:
    """Every third, of a pair of cars for each kind."""
    faults = [fault for one in list(erasures(car(pair, side)))[::3] for fault in broken(pair, side, one)]

    assert faults == []


@pytest.mark.parametrize("fuller", ["donor", "shell"])
def test_a_car_with_faults_against_itself_saying_less(fuller: str) -> None:
    """What is wrong with a car is wrong with both: nothing of function or loads is known to differ."""
    faults = []
    for one in list(erasures(car("small", "shell")))[::2]:
        less = erased(car("small", "shell"), one)
        if states_something(one, car("small", "shell")) or not is_sound(less):
            continue
        cars = whole("small", "shell"), Study(configure(less))
        faults += [
            f"without {one}: {each.kind} of {each.donor_component or each.shell}"
            for each in compared(*(cars if fuller == "donor" else cars[::-1])).findings
            if each.certainty is Certainty.KNOWN and each.kind in WORKS | CARRIES
        ]

    assert faults == []


def test_the_small_cars_have_what_the_law_is_about() -> None:
    """Dangers of function and of loads, known and likely ones, and both cars sound."""
    found = compared(whole("small", "donor"), whole("small", "shell")).findings

    assert is_sound(car("small", "donor"))
    assert is_sound(car("small", "shell"))
    assert [
        f"{one.kind} {one.certainty.word} {one.shell_component}" for one in found if one.kind in WORKS | CARRIES
    ] == [
        "always-on known pump",
        "fuse-too-big known F5",
        "fuse-too-slow known F6",
        "reversed known unit",
        "wire-overloaded likely heater",
        "fuse-too-big likely F4",
        "relay-hunts known relay",
        "dead-accessory likely dome",
        "dead-accessory likely lit-by-unit",
    ]
