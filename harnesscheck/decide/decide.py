"""Swap a harness or keep the shell's own: the plans, cheapest first, each applied and judged again.

The order of work: groups, tables from a few labellings, best-first checking with
repairs, and for the plans that are kept the proof with everything that works
tried in all states.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.assemble import Assembly, assembly
from harnesscheck.assemble.choice import DONOR, SHELL, Choice, taken
from harnesscheck.compare.coverage import NEVER_JUDGED
from harnesscheck.compare.finding.findings import Finding, Hybrid
from harnesscheck.compare.plugs.wholeset import sets_of
from harnesscheck.decide.groups import Group, ImpossibleError, Wishes, choice_of, chosen_parts, groups, parts_of_sets
from harnesscheck.decide.holds import holds
from harnesscheck.decide.judge import JudgedCar, KnownJudgements, built_hybrids, judge, known_of, taken_over
from harnesscheck.decide.mend import PENALTY_H, Mended, mended, penalty_h
from harnesscheck.decide.moves import Move, harness_moves, part_moves
from harnesscheck.decide.plan import Decision, NearMiss, Plan
from harnesscheck.decide.repair import repairs
from harnesscheck.decide.search import KEPT, Cost, Labelling, SearchResult, Tables, cheapest, labels_of, probes
from harnesscheck.decide.steps import all_steps
from harnesscheck.decide.touched import groups_of, may_not_fit, not_known_at
from harnesscheck.decide.work import Rates
from harnesscheck.model.progress import Told, silent
from harnesscheck.model.shortened import shortened
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study

MOST_NEAR = 3
MOST_LEFT = 2  # faults that a near miss may have left

MOST_UNSAID = 8  # plugs named


@dataclass(frozen=True)
class DecisionQuestion:
    """Two cars, their pairs, and what a person has said.

    ``donor`` as its maker built it is what the finished car must do; what is put
    together are the cars as found, where they are given.
    """

    donor: Study
    shell: Study
    pairs: Pairs
    found_donor: Vehicle | None = None
    found_shell: Vehicle | None = None
    wishes: Wishes = field(default_factory=Wishes)
    rates: Rates = field(default_factory=Rates)
    dead_before: Collection[str] = ()
    done_h: Mapping[str, float] = field(default_factory=dict)
    kept: int = KEPT
    electrical: bool = True  # try what works in all states; without it the proof is of the wiring alone


def decide(question: DecisionQuestion, told: Told = silent) -> Decision:
    """The plans. Raises ImpossibleError where a wish leaves nothing to choose. ``told`` hears how far it is."""
    work = _Work(question, told)
    all_groups = work.groups
    tables = Tables()
    for number, labelling in enumerate(probes(all_groups), start=1):
        told(f"looking at mixed car {number}")
        tables.learn(labelling, work.costs(labelling))
    pure = [one for car in (DONOR, SHELL) if (one := _pure(all_groups, car)) is not None]
    found = cheapest(all_groups, work.base_h, tables, work.judged, pure, question.kept, min(PENALTY_H.values()))
    kept = [one.labelling for one in found.checked[: question.kept]]
    plans = {labelling: work.plan(labelling) for labelling in dict.fromkeys((*kept, *pure))}
    ranked = sorted((plans[one] for one in kept), key=lambda plan: (round(plan.cost_h, 6), tuple(plan.labels.values())))
    donor, shell = (plans.get(_pure(all_groups, car) or ()) for car in (DONOR, SHELL))
    near = tuple(work.near_misses(found, kept[0]))
    made = Decision(tuple(ranked), donor, shell, found.of, len(found.checked), found.shown_best, near)
    return replace(made, whole=_whole(question, work)) if made.best.mixes else made


def _whole(question: DecisionQuestion, work: _Work) -> Plan | None:
    """The best plan that keeps every set of one car, whatever was wished of its members."""
    members = {name for sets in work.sets for one in sets for name in one.members}
    members |= {f"shell:{name}" for name in members}
    wishes = question.wishes
    kept_wishes = replace(
        wishes,
        harness={name: car for name, car in wishes.harness.items() if name not in members},
        parts={name: car for name, car in wishes.parts.items() if name not in members},
    )
    if kept_wishes == wishes:
        return None
    try:
        best = decide(replace(question, wishes=kept_wishes, kept=1)).best
    except ImpossibleError:
        return None
    return None if best.mixes else best


def _pure(all_groups: Sequence[Group], car: str) -> Labelling | None:
    """Everything from one car, where that is allowed."""
    return tuple(car for _ in all_groups) if all(car in group.options for group in all_groups) else None


@dataclass(frozen=True, slots=True)
class _Put:
    """A car that is put together: with its pairs, the hybrids at its plugs, and what else is known of it."""

    made: Assembly
    built: Mapping[str, tuple[Hybrid, ...]]
    known: KnownJudgements


class _Work:
    """One decision under way; everything is worked out once a labelling."""

    def __init__(self, question: DecisionQuestion, told: Told = silent) -> None:
        self.question = question
        self._told = told
        self.donor = question.found_donor or question.donor.vehicle
        self.shell = question.found_shell or question.shell.vehicle
        self.sets = (sets_of(question.donor), sets_of(question.shell))
        self.groups = self._grouped()
        self.parts = chosen_parts(self.donor, self.shell, question.pairs, question.wishes)
        self._donor_study = question.donor if question.found_donor is None else Study(question.found_donor)
        self._shell_study = question.shell if question.found_shell is None else Study(question.found_shell)
        self._put: dict[Labelling, _Put] = {}
        self._judged: dict[Labelling, JudgedCar] = {}  # before any work, until it is mended
        self._mended: dict[Labelling, Mended] = {}

    def _grouped(self) -> tuple[Group, ...]:
        """The groups, a restraint or high-voltage set tied to one car; not where a wish asks for a mixed one."""
        question = self.question
        nodes = [
            (car, name)
            for car, sets in zip((DONOR, SHELL), self.sets, strict=True)
            for one in sets
            for name in one.harnesses
        ]
        by_hazard = {one.mark.hazard for sets in self.sets for one in sets}
        tied = [
            [
                (car, name)
                for car, sets in zip((DONOR, SHELL), self.sets, strict=True)
                for one in sets
                if one.mark.hazard == hazard
                for name in one.harnesses
            ]
            for hazard in sorted(by_hazard)
        ]
        if nodes:
            try:
                return groups(self.donor, self.shell, question.pairs, question.wishes, tied)
            except ImpossibleError:
                pass  # what was wished for mixes the set: it is judged as such
        return groups(self.donor, self.shell, question.pairs, question.wishes)

    def choice(self, labelling: Labelling) -> Choice:
        """What a labelling takes of which car."""
        labels = labels_of(self.groups, labelling)
        parts = parts_of_sets(self.parts, self.sets, labels, self.groups, self.question.pairs)
        return choice_of(labels, self.groups, parts)

    def assembled(self, labelling: Labelling) -> _Put:
        """The car a labelling gives, put together once."""
        if labelling not in self._put:
            made = assembly(self.donor, self.shell, self.question.pairs, self.choice(labelling))
            built = built_hybrids(self.question.donor.vehicle, taken_over(made, self.donor))
            self._put[labelling] = _Put(made, built, known_of(made, self._donor_study, self._shell_study))
        return self._put[labelling]

    # -- what a labelling costs

    def moves(self, labelling: Labelling) -> list[Move]:
        """The work of moving what a labelling takes."""
        labels, question = labels_of(self.groups, labelling), self.question
        ours, _ = taken(self.donor, self.shell, question.pairs, self.choice(labelling))
        return [
            *harness_moves(self.donor, self.shell, self.groups, labels, question.rates),
            *part_moves(self.donor, self.shell, ours, question.pairs, self._donor_study.hands_off.parts),
        ]

    @cached_property
    def _group_h(self) -> list[dict[str, float]]:
        """By group and label, the mean hours of its harnesses."""
        found = []
        for group in self.groups:
            labels = {label: {group.id: label} for label in (DONOR, SHELL)}
            moves = {
                label: harness_moves(self.donor, self.shell, (group,), one, self.question.rates)
                for label, one in labels.items()
            }
            found.append({label: sum(move.hours.mean_h for move in all_) for label, all_ in moves.items()})
        return found

    def base_h(self, labelling: Labelling) -> float:
        """Mean hours of the harnesses that are moved."""
        return sum(hours[label] for hours, label in zip(self._group_h, labelling, strict=True))

    def costs(self, labelling: Labelling) -> Iterator[Cost]:
        """What was found in a labelling before any work: the work proposed for it, or the penalty."""
        put = self.assembled(labelling)
        car = Study(put.made.vehicle)
        judged = judge(self.question.donor, car, put.made.from_donor, put.built, (), put.known)
        self._judged[labelling] = judged
        served: dict[str, float] = defaultdict(float)
        for repair in repairs(judged, judged.bad, self.question.rates):
            for id in repair.serves:
                served[id] += repair.hours.mean_h / len(repair.serves)
        for finding in judged.bad:
            key, touches = groups_of(judged.ctx, finding, self.groups)
            yield Cost(key, touches, served.get(finding.id, PENALTY_H[finding.severity]))

    def work_of(self, labelling: Labelling) -> Mended:
        """What work makes of the car that is put together."""
        if labelling not in self._mended:
            self._told(f"car {len(self._mended) + 1} put together, mended and judged")
            put, question = self.assembled(labelling), self.question
            car, judged = put.made.vehicle, self._judged.pop(labelling, None)
            self._mended[labelling] = mended(
                question.donor, car, put.made.from_donor, put.built, question.rates, put.known, judged
            )
        return self._mended[labelling]

    def judged(self, labelling: Labelling) -> tuple[float, list[Cost]]:
        """Mean hours of harnesses and repairs with the penalty of what is left; and what is left."""
        done = self.work_of(labelling)
        left = [
            Cost(*groups_of(done.judged.ctx, finding, self.groups), PENALTY_H[finding.severity])
            for finding in done.judged.bad
        ]
        return self.base_h(labelling) + done.cost_h, left

    # -- what would win if one fact were another

    def near_misses(self, found: SearchResult, best: Labelling) -> Iterator[NearMiss]:
        """Better answers that a fault or a fixed choice rules out, those that save most first.

        Of a fixed choice the other answer counts with what it leaves wrong, so that a
        wish that asks for a harmful car is named even where the sound one takes longer.
        """
        mine, mine_whole = self._plain_h(best), self.judged(best)[0]
        rows = []
        for number, group in enumerate(self.groups):
            if len(group.options) == 1:
                other = SHELL if best[number] == DONOR else DONOR
                labelling = (*best[:number], other, *best[number + 1 :])
                whole = self.judged(labelling)[0]
                if whole < mine_whole:
                    what = f"Were it not that {' and '.join(group.why)}"
                    rows.append((mine_whole - whole, labelling, what, self.work_of(labelling).judged.bad))
        for one in found.checked:
            left = self.work_of(one.labelling).judged.bad
            saved = mine - self._plain_h(one.labelling)
            if saved > 0 and 0 < len(left) <= MOST_LEFT and one.labelling != best:
                rows.append((saved, one.labelling, _mended_words(left), left))
        told: dict[str, NearMiss] = {}
        for _, labelling, what, left in sorted(rows, key=lambda row: (-row[0], row[1])):
            saved = round(mine - self._plain_h(labelling), 2)
            told.setdefault(what, NearMiss(what, labels_of(self.groups, labelling), saved, left))
        yield from list(told.values())[:MOST_NEAR]

    def _plain_h(self, labelling: Labelling) -> float:
        """Mean hours without penalties."""
        return self.base_h(labelling) + self.work_of(labelling).hours.mean_h

    # -- a plan

    def plan(self, labelling: Labelling) -> Plan:
        """The plan of a labelling, with the finished car judged once more, and everything tried that works."""
        put, done, question = self.assembled(labelling), self.work_of(labelling), self.question
        self._told("trying what works in a finished car")
        judged = judge(
            question.donor,
            done.judged.car,
            put.made.from_donor,
            put.built,
            question.dead_before,
            put.known,
            electrical=question.electrical,
        )
        moves, car = self.moves(labelling), judged.car
        stops = holds(self._donor_study, self._shell_study, car, moves, done.work)
        steps = all_steps(moves, done.work, question.done_h, car, stops)
        return Plan(
            groups=self.groups,
            labels=labels_of(self.groups, labelling),
            choice=self.choice(labelling),
            assembly=put.made,
            car=done.car,
            steps=steps,
            findings=judged.findings,
            cost_h=self.base_h(labelling) + done.hours.mean_h + penalty_h(judged.bad),
            rests_on=tuple(self._rests_on(labelling, done, judged)),
            not_known_at=not_known_at(judged, done.work, put.made),
            untried=next((f"Not judged: {one.text}." for one in judged.unjudged if one.sort == "untried"), ""),
        )

    def _rests_on(self, labelling: Labelling, done: Mended, judged: JudgedCar) -> Iterator[str]:
        """What a proof rests on beside the files: assumptions, pairs that are not sure, what paper cannot tell."""
        yield from dict.fromkeys(move.assumed for move in self.moves(labelling) if move.assumed)
        yield from dict.fromkeys(text for repair in done.work for text in repair.assumed)
        doubtful = [pair for pair in self.question.pairs.connectors if not pair.sure]
        if doubtful:
            yield f"{len(doubtful)} plug pairs that are likely, not certain"
        likely = _counted(judged.findings)
        if likely:
            yield f"{likely} contacts nobody documented: ring them out before power is on"
        unsaid = may_not_fit(self.assembled(labelling).made)
        if unsaid:
            names = shortened(unsaid, MOST_UNSAID)
            yield f"{len(unsaid)} plugs where the cars meet fit as far as is written (half, keyway, cavities): {names}"
        if judged.electrical:
            said_elsewhere = ("assumed", "never")  # in other words, or of every proof
            yield from (f"not judged: {one.text}" for one in judged.unjudged if one.sort not in said_elsewhere)
        yield "wiring only: coding, software, bus timing and shielding are not judged"
        yield f"not judged: {NEVER_JUDGED[1]}; what a module's contacts stand, where the file does not say"


def _mended_words(left: Sequence[Finding]) -> str:
    """What would have to be mended some other way."""
    return (
        "If "
        + " and ".join(f"{one.donor} ({one.kind.replace('-', ' ')})" for one in left)
        + " could be mended some other way"
    )


def _counted(findings: Iterable[Finding]) -> int:
    return sum(1 for one in findings if one.kind == "not-documented")
