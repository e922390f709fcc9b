"""The answer in one sentence, and the reasons for it that weigh most."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from harnesscheck.assemble.choice import DONOR, SHELL
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.decide.flips import flips
from harnesscheck.decide.groups import Group, Labels
from harnesscheck.decide.plan import Decision, Plan
from harnesscheck.decide.work import RepairKind

MOST = 5
CODED = "coded-part"


def answer(plan: Plan) -> str:
    """Which harness comes from which car."""
    return answer_of(plan.groups, plan.labels)


def answer_of(groups: Sequence[Group], labels: Labels) -> str:
    """Which harness comes from which car, of a labelling."""
    taken = [name for group in groups if labels[group.id] == DONOR for name in group.donor]
    kept = [name for group in groups if labels[group.id] == SHELL for name in group.shell]
    if not kept:
        return f"Take all of the donor's harnesses: {listed(taken)}."
    if not taken:
        return f"Keep all of the shell's own harnesses: {listed(kept)}."
    return f"Take the donor's {_harnesses(taken)}; keep the shell's own {_harnesses(kept)}."


def _harnesses(names: Sequence[str]) -> str:
    return f"{listed(names)} {'harness' if len(names) == 1 else 'harnesses'}"


def listed(names: Sequence[str]) -> str:
    """``a, b and c``."""
    names = [name or "unnamed" for name in names]
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + f" and {names[-1]}"


def headline(best: Plan) -> str:
    """The answer of the best plan; where even that leaves something wrong, so it says first."""
    if not best.left:
        return answer(best)
    lacks = "is safe to build" if best.left[0].severity < Severity.DEAD else "makes everything work"
    return f"No choice that is allowed {lacks}. The least bad: {answer(best)[:1].lower()}{answer(best)[1:]}"


def proof(plan: Plan) -> str:
    """Whether it is proven, in one sentence."""
    if plan.proven:
        return "Proven on paper, wiring only: with this work done, nothing is left that burns or stays dead."
    if plan.left:
        return _not_proven(plan)
    if plan.untried:
        return f"Not proven: nothing bad is left in the wiring, but nothing could be tried. {plan.untried}"
    unknown = _counted(len(plan.not_known_at), "place")
    return f"Not proven: nothing bad is left, but nobody wrote down what is in {unknown} of what the plan touches."


def _not_proven(plan: Plan) -> str:
    """What is left, the worst of it first."""
    harmful = sum(one.severity < Severity.DEAD for one in plan.left)
    dead = len(plan.left) - harmful
    told = []
    if harmful:
        told.append(f"{_counted(harmful, 'thing')} would burn, hurt somebody or be destroyed")
    if any(one.kind == CODED for one in plan.left):
        told.append("the engine will not run, for parts coded to each other are not all of one car")
    if dead:
        told.append(f"{_counted(dead, 'fault')} would leave something dead")
    stop = "Do not build it this way: it is not proven" if harmful else "Not proven"
    return f"{stop}. With all work that helps, {listed(told)}."


def reasons(decision: Decision) -> tuple[str, ...]:
    """Five at most, the weightiest first."""
    return tuple(_all(decision))[:MOST]


def _all(decision: Decision) -> Iterator[str]:
    best = decision.best
    said = [why for group in best.groups for why in group.why]
    if said:
        yield f"Said beforehand: {listed(said)}."
    for plan, name in (
        (decision.all_donor, "all of the donor's harnesses"),
        (decision.all_shell, "all of the shell's own harnesses"),
    ):
        if plan is not None and plan.labels != best.labels:
            yield _against(best, plan, name)
    yield _work(best)
    other = next((plan for plan in decision.plans if plan.labels != best.labels), None)
    if other is not None:
        yield f"The next best answer takes {_more(best, other)}: {_hours(other)}. {answer(other)}"
    close = flips(decision)
    if close:
        one = close[0]
        yield (
            f"The closest call: {one.what} at {one.from_h:g} h instead of {one.now_h:g} h would make another answer "
            f"as good. {answer(one.other)}"
        )
    yield _harness_work(best)


def _against(best: Plan, plan: Plan, name: str) -> str:
    """Why one of the two plain answers is not the best."""
    if len(plan.left) > len(best.left):
        kinds = Counter(one.kind.replace("-", " ") for one in plan.left)
        worst = plan.left[0]
        told = listed([f"{count} times {kind}" if count > 1 else kind for kind, count in kinds.most_common(3)])
        place = worst.donor if worst.donor.connector else worst.shell
        faults = f"{_counted(len(plan.left), 'fault')} would be left ({told})"
        return f"With {name}, {faults}. The worst, at {place}: {worst.text}"
    return f"With {name} it takes {_more(best, plan)}: {_hours(plan)}."


def _more(best: Plan, plan: Plan) -> str:
    more = plan.mean_h - best.mean_h
    return f"{abs(more):.1f} hours {'more' if more >= 0 else 'less'}"


def _counted(number: int, what: str) -> str:
    return f"one {what}" if number == 1 else f"{number} {what}s"


def _work(plan: Plan) -> str:
    if not plan.work and plan.left:
        return "No work at the plugs was found that makes this choice good."
    if not plan.work:
        return _nothing_to_mend(plan)
    kinds = Counter(repair.kind for _, repair in plan.work)
    hours = sum(step.counted.mean_h for step, _ in plan.work)
    told = listed([_times(kind, number) for kind, number in kinds.items()])
    return f"Where the two cars do not fit, {hours:.1f} hours of work mend it: {told}."


def _nothing_to_mend(plan: Plan) -> str:
    """That nothing has to be mended is said of what was judged, and of nothing else."""
    if plan.untried:
        return "What the wires are called asks for no work where the two cars meet; what works was not judged."
    if plan.not_known_at:
        unknown = _counted(len(plan.not_known_at), "place")
        return f"Of what was judged where the two cars meet nothing has to be mended; {unknown} there could not be."
    return "Where the two cars meet, nothing has to be mended."


def _harness_work(plan: Plan) -> str:
    """How much of the work is moving harnesses and parts at all."""
    moving = sum(step.counted.mean_h for step in plan.steps if step.move is not None)
    if not moving:
        return "No harness has to come out of either car."
    return f"{moving:.1f} of the {plan.mean_h:.1f} hours are taking out and putting in."


_WORDS: dict[RepairKind, tuple[str, str]] = {
    "re-pin": ("plug re-pinned", "plugs re-pinned"),
    "insulate": ("contact tied back", "contacts tied back"),
    "new-wire": ("new wire", "new wires"),
    "housing": ("other housing", "other housings"),
    "lead": ("adapter lead", "adapter leads"),
    "tail": ("plug with its tail", "plugs with their tails"),
    "strap": ("ground strap", "ground straps"),
    "unplug": ("part left unplugged", "parts left unplugged"),
    "fuse": ("fuse changed", "fuses changed"),
}


def _times(kind: RepairKind, count: int) -> str:
    one, many = _WORDS[kind]
    return f"{count} {one if count == 1 else many}"


def _hours(plan: Plan) -> str:
    return f"{plan.spread.p50_h:g} h, and nine in ten such jobs under {plan.spread.p90_h:g} h"
