"""Less knowledge never proves a plan: what was bad stays, or what nobody knows any more is named.

Random erasures on small pairs of cars, any labelling. A plan that was not proven is
proven without a row or an attribute only where the sentences it rests on say in new
words of the part or plug at fault that it is not judged.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import product

import pytest
from builders.erase import Erasure, erased, erasures
from builders.lampcars import pair
from builders.rows import named
from compare.test_knowledge import is_sound

from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Certainty
from harnesscheck.decide.decide import DecisionQuestion, _Work
from harnesscheck.decide.judge import judge
from harnesscheck.decide.search import Labelling
from harnesscheck.decide.touched import may_not_fit, not_known_at
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure

WHOLE_CAR = ("what works:", "not judged: what works:")


@dataclass(frozen=True)
class Proof:
    """What stands against a plan, and what it rests on."""

    bad: tuple[Finding, ...]
    unknown: tuple[str, ...]
    rests_on: frozenset[str]

    @property
    def holds(self) -> bool:
        """Whether nothing stands against it."""
        return not self.bad and not self.unknown


def work(donor: Study, shell: Study) -> _Work:
    """A decision under way, pairs by name."""
    return _Work(DecisionQuestion(donor, shell, named(donor, shell)))


def unmended(under_way: _Work, labelling: Labelling) -> Proof:
    """A labelling put together with no work done on it."""
    put = under_way.assembled(labelling)
    made, built = put.made, put.built
    judged = judge(under_way.question.donor, Study(made.vehicle), made.from_donor, built, electrical=True)
    rests_on = {*(one.text for one in judged.unjudged), *may_not_fit(made)}
    return Proof(judged.bad, not_known_at(judged, (), made), frozenset(rests_on))


def planned(under_way: _Work, labelling: Labelling) -> Proof:
    """A labelling with all its work done."""
    plan = under_way.plan(labelling)
    assert plan.proven == (not plan.left and not plan.not_known_at)
    return Proof(plan.left, plan.not_known_at, frozenset(plan.rests_on))


def less(seed: int, count: int) -> Iterator[tuple[str, Erasure, Study, Study]]:
    """A pair of cars, each time without one thing in one of them."""
    donor, shell, _ = pair(seed, 1 + seed % 2)
    draw = random.Random(seed)
    for _ in range(count):
        side = draw.choice(("donor", "shell"))
        car = donor if side == "donor" else shell
        one = draw.choice(list(erasures(car.vehicle.netlist)))
        file = erased(car.vehicle.netlist, one)
        if is_sound(file):
            now = Study(configure(file))
            yield side, one, *((now, shell) if side == "donor" else (donor, now))


def is_named(before: Proof, after: Proof) -> bool:
    """Whether what the proof newly rests on names everything that stood against it."""
    new = [text for text in after.rests_on if text not in before.rests_on]
    if any(text.startswith(WHOLE_CAR) for text in new):
        return True
    names = [{one.donor_component, one.shell_component, one.donor.connector, *_plugs(one)} for one in before.bad]
    if not before.bad:  # what is not known behind a fault goes with the fault
        names = [{place, place.partition(":")[0]} for place in before.unknown]
    return all(any(name and name in text for name in each for text in new) for each in names)


def _plugs(one: Finding) -> Iterable[str]:
    return filter(None, one.evidence.apart or ())


@pytest.mark.parametrize("seed", [0, 1, 2, 4, 6, 9, 14, 15, 38, 91, 133, 174])
def test_less_knowledge_proves_no_car(seed: int) -> None:
    """Put together and not mended: nearly half of these labellings have something bad."""
    donor, shell, _ = pair(seed, 1 + seed % 2)
    whole = work(donor, shell)
    before = {one: unmended(whole, one) for one in product(*[group.options for group in whole.groups])}
    faulty = {labelling: proof for labelling, proof in before.items() if not proof.holds}
    faults = []
    for side, one, ours, theirs in less(seed, 24):
        under_way = work(ours, theirs)
        if [group.id for group in under_way.groups] == [group.id for group in whole.groups]:
            proofs = {labelling: unmended(under_way, labelling) for labelling in faulty}
            faults += [
                f"{labelling} is proven: {side} without {one}"
                for labelling, proof in proofs.items()
                if proof.holds and not is_named(faulty[labelling], proof)
            ]

    assert faulty
    assert faults == []


@pytest.mark.parametrize("seed", [6, 10, 12, 43, 57])
def test_less_knowledge_proves_no_plan(seed: int) -> None:
    """With all work done: plans that were not proven."""
    donor, shell, _ = pair(seed, 1 + seed % 2)
    whole = work(donor, shell)
    before = {one: planned(whole, one) for one in product(*[group.options for group in whole.groups])}
    faulty = {labelling: proof for labelling, proof in before.items() if not proof.holds}
    faults = []
    for side, one, ours, theirs in less(seed, 16):
        under_way = work(ours, theirs)
        if [group.id for group in under_way.groups] == [group.id for group in whole.groups]:
            proofs = {labelling: planned(under_way, labelling) for labelling in faulty}
            faults += [
                f"{labelling} is proven: {side} without {one}"
                for labelling, proof in proofs.items()
                if proof.holds and not is_named(faulty[labelling], proof)
            ]

    assert faulty
    assert faults == []


@pytest.mark.parametrize("certainty", list(Certainty))
def test_a_bad_finding_counts_however_sure_it_is(certainty: Certainty) -> None:
    """Known, likely or not known: what is dead or worse stands against the proof."""
    donor, shell, _ = pair(6, 1)
    under_way, labelling = work(donor, shell), ("shell", "shell")
    plan = under_way.plan(labelling)
    left = tuple(replace(one, certainty=certainty) for one in unmended(under_way, labelling).bad)

    assert left
    assert not replace(plan, findings=left, not_known_at=()).proven
    assert replace(plan, findings=(), not_known_at=()).proven
