"""Decisions on small cars: the least cost against judging every labelling, and proof by writing and reading back."""

from __future__ import annotations

import random
from itertools import product
from pathlib import Path

import pytest
from builders.lampcars import pair
from builders.thorough import part_of
from cars.car import vehicle_of
from cars.generate import make_car
from cars.mutate import Mix, mutate

from harnesscheck.align import align
from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.apply import apply
from harnesscheck.assemble.assemble import assembly
from harnesscheck.assemble.choice import Choice
from harnesscheck.compare.compare import compare
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.decide.decide import DecisionQuestion, decide
from harnesscheck.decide.groups import ImpossibleError, Wishes, groups
from harnesscheck.decide.judge import built_hybrids, judge, taken_over
from harnesscheck.decide.mend import mended
from harnesscheck.decide.plan import Decision, Plan
from harnesscheck.decide.work import Rates
from harnesscheck.model.edits import MovePin, SwapHousing
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure, read_netlist
from harnesscheck.write.xml import write_xml

PENALTY = {Severity.INJURY: 4000, Severity.DAMAGE: 2000, Severity.DEAD: 1000}


def by_hand(donor: Study, shell: Study, pairs: Pairs) -> float:
    """The least cost of all labellings: every one assembled, mended, and its hours added up here."""
    looms = list(donor.vehicle.harnesses)
    least = float("inf")
    for labels in product(("donor", "shell"), repeat=len(looms)):
        made = assembly(donor.vehicle, shell.vehicle, pairs, Choice(dict(zip(looms, labels, strict=True)), {}))
        built = built_hybrids(donor.vehicle, taken_over(made, donor.vehicle))
        done = mended(donor, made.vehicle, made.from_donor, built, Rates())
        cost = 0.0
        for loom, label in zip(looms, labels, strict=True):
            if label == "donor":
                ours, theirs = donor.vehicle.harnesses[loom], shell.vehicle.harnesses[loom]
                cost += sum((ours.out_hours or ()) + (ours.in_hours or ()) + (theirs.out_hours or ()))
        for one in done.work:
            cost += (one.hours.best_h + 4 * one.hours.likely_h + one.hours.worst_h) / 6
        cost += sum(PENALTY[one.severity] for one in done.judged.findings if one.severity <= Severity.DEAD)
        least = min(least, cost)
    return least


def decided(seed: int, looms: int | None = None, *, electrical: bool = False) -> tuple[Study, Study, Pairs, Decision]:
    """A pair of small cars and what is decided of them."""
    donor, shell, pairs = pair(seed, looms)
    return donor, shell, pairs, decide(DecisionQuestion(donor, shell, pairs, kept=3, electrical=electrical))


@pytest.mark.parametrize("block", part_of(range(50), 3))
def test_the_least_cost_is_that_of_judging_every_labelling(block: int) -> None:
    """Ten random pairs of cars a block: no labelling is cheaper, and the answer is no dearer than either pure one."""
    for seed in range(10 * block, 10 * block + 10):
        donor, shell, pairs, found = decided(seed, 1 + (seed % 10 == 0))

        assert found.shown_best
        assert found.best.cost_h == pytest.approx(by_hand(donor, shell, pairs)), seed
        for pure in (found.all_donor, found.all_shell):
            assert pure is None or found.best.cost_h <= pure.cost_h + 1e-9


@pytest.mark.parametrize("seed", range(500, 530))
def test_what_is_called_proven_is_sound_when_read_back(seed: int, tmp_path: Path) -> None:
    """The finished car is written, read and judged anew: nothing bad, at plugs and in what works."""
    donor, _, _, found = decided(seed, electrical=True)
    for plan in found.plans:
        write_xml(plan.car.netlist, tmp_path / "finished.xml")
        read = read_netlist(tmp_path / "finished.xml")
        assert not isinstance(read, list), read
        built = built_hybrids(donor.vehicle, taken_over(plan.assembly, donor.vehicle))
        again = compare(donor, Study(configure(read)), plan.assembly.from_donor, None, built)

        assert [one.kind for one in again.findings if one.severity <= Severity.DEAD] == [] or not plan.proven


def wrong_steps(plan: Plan) -> list[MovePin]:
    """For every re-pin of a plan, a step that puts one of its contacts somewhere else."""
    found = []
    for step, _ in plan.work:
        for edit in step.mends.edits if step.mends else ():
            row = plan.car.connectors.get(getattr(edit, "connector", ""))
            if isinstance(edit, MovePin | SwapHousing) and row is not None:
                halves = (row.id, plan.car.mate_of.get(row.id, ""))
                used = {pin.cavity for half in halves for pin in plan.car.pins_of.get(half, ())}
                free = [name for name in row.cavities or () if name not in used]
                seats = [edit.to_cavity] if isinstance(edit, MovePin) else [to for _, to in edit.moves]
                found += [MovePin(row.id, seats[0], row.id, free[0])] if free and seats else []
    return found


def test_a_wrong_step_is_caught() -> None:
    """A contact that the plan moves to the right cavity, moved on to a wrong one, is a fault again."""
    tried = 0
    for seed in part_of(range(600, 640), 2):
        donor, _, _, found = decided(seed, 3)
        for plan in found.plans:
            if not plan.proven:
                continue
            for edit in wrong_steps(plan):
                car = apply(plan.car, [edit])
                built = built_hybrids(donor.vehicle, taken_over(plan.assembly, donor.vehicle))
                tried += 1
                assert judge(donor, Study(car), plan.assembly.from_donor, built).bad, (seed, edit)

    assert tried >= 5


def test_a_fixed_choice_is_kept_and_costs_no_less() -> None:
    """Every harness fixed the other way round: the plan follows, and is no cheaper."""
    rng = random.Random(1)
    for seed in range(700, 712):
        donor, shell, pairs, found = decided(seed, 2)
        loom = rng.choice(list(donor.vehicle.harnesses))
        other = "shell" if found.best.labels[loom] == "donor" else "donor"
        wish = Wishes(harness={loom: other})
        fixed = decide(DecisionQuestion(donor, shell, pairs, wishes=wish, kept=1, electrical=False))

        assert fixed.best.labels[loom] == other
        assert fixed.best.cost_h >= found.best.cost_h - 1e-9


def test_a_flooded_harness_is_not_used() -> None:
    """Its condition vetoes it; flooded in both cars, the wish is impossible and says what makes it so."""
    donor, shell, pairs = pair(3)
    flooded = Wishes(donor_condition={"front": "flooded to the sill"})
    both = Wishes(donor_condition={"front": "flooded"}, shell_condition={"front": "burnt at the fuse box"})

    assert decide(DecisionQuestion(donor, shell, pairs, wishes=flooded)).best.labels["front"] == "shell"
    with pytest.raises(ImpossibleError) as caught:
        groups(donor.vehicle, shell.vehicle, pairs, both)
    assert "the donor's front is flooded" in str(caught.value)
    assert "the shell's front is burnt at the fuse box" in str(caught.value)


def test_hours_that_are_done_count_as_they_were() -> None:
    """A step that took 20 hours instead of two is in the sum, and leaves no spread of its own."""
    donor, shell, pairs, found = decided(5)
    step = found.best.steps[1]
    done = decide(DecisionQuestion(donor, shell, pairs, done_h={step.id: 20.0})).best

    assert done.labels == found.best.labels
    assert done.mean_h == pytest.approx(found.best.mean_h - step.hours.mean_h + 20.0)


def test_rates_decide() -> None:
    """Where re-pinning takes a week, harnesses are swapped instead, wherever that was the cheaper way by a little."""
    changed = 0
    rates = Rates({"re-pin": (30.0,), "insulate": (30.0,)})
    for seed in range(720, 740):
        donor, shell, pairs, found = decided(seed, 1)
        dear = decide(DecisionQuestion(donor, shell, pairs, rates=rates, kept=1, electrical=False))
        changed += dear.best.labels != found.best.labels
        assert dear.best.cost_h >= found.best.cost_h - 1e-9

    assert changed


@pytest.mark.parametrize("seed", range(12))
def test_plans_of_made_up_cars_are_sound_when_read_back(seed: int, tmp_path: Path) -> None:
    """Cars of 60 plug halves, a twentieth of the wires and plugs edited: what is called proven has nothing bad."""
    ours, theirs, _ = mutate(make_car(seed, 60), seed, Mix(edits=0.05, renamed=False))
    donor, shell = Study(vehicle_of(ours)), Study(vehicle_of(theirs))
    for plan in decide(DecisionQuestion(donor, shell, align(donor, shell), kept=2)).plans:
        write_xml(plan.car.netlist, tmp_path / "finished.xml")
        read = read_netlist(tmp_path / "finished.xml")
        assert not isinstance(read, list), read
        built = built_hybrids(donor.vehicle, taken_over(plan.assembly, donor.vehicle))
        again = judge(donor, Study(configure(read)), plan.assembly.from_donor, built, electrical=True)

        assert bool(again.bad) == bool(plan.left)


def test_what_rules_a_better_answer_out_is_named() -> None:
    """A harness fixed the dearer way, and a flooded one: the answer that would win otherwise, and why it does not."""
    named = 0
    for seed in range(700, 712):
        donor, shell, pairs, found = decided(seed, 2)
        loom, best = next(iter(found.best.labels.items()))
        other = "shell" if best == "donor" else "donor"
        fixed = decide(DecisionQuestion(donor, shell, pairs, wishes=Wishes({loom: other}), kept=1, electrical=False))
        near = [one for one in fixed.near if one.what == f"Were it not that {loom} is to come from the {other}"]
        named += len(near)
        assert all(one.labels[loom] == best for one in near)

    assert named >= 6
