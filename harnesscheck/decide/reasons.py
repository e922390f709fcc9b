"""The answer in one sentence, and the reasons for it that weigh most."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from harnesscheck.assemble.choice import DONOR, SHELL
from harnesscheck.decide.flips import flips
from harnesscheck.decide.plan import Decision, Plan

MOST = 5


def answer(plan: Plan) -> str:
    """Which harness comes from which car."""
    taken = [name for group in plan.groups if plan.labels[group.id] == DONOR for name in group.donor]
    kept = [name for group in plan.groups if plan.labels[group.id] == SHELL for name in group.shell]
    if not kept:
        return f"Take all of the donor's harnesses: {listed(taken)}."
    if not taken:
        return f"Keep all of the shell's harnesses: {listed(kept)}."
    return f"Take the donor's {listed(taken)}; keep the shell's {listed(kept)}."


def listed(names: Sequence[str]) -> str:
    """``a, b and c``."""
    names = [name or "unnamed" for name in names]
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + f" and {names[-1]}"


def proof(plan: Plan) -> str:
    """Whether it is proven, in one sentence."""
    if plan.proven:
        return "Proven on paper, wiring only: with this work done, nothing is left that burns or stays dead."
    if plan.left:
        return f"Not proven: {len(plan.left)} faults are left that no work of ours removes."
    return f"Not proven: {len(plan.not_known_at)} contacts nobody documented are on plugs that are worked on."


def reasons(decision: Decision) -> tuple[str, ...]:
    """Five at most, the weightiest first."""
    return tuple(_all(decision))[:MOST]


def _all(decision: Decision) -> Iterator[str]:
    best = decision.best
    for plan, name in ((decision.all_donor, "all of the donor's"), (decision.all_shell, "all of the shell's own")):
        if plan is not None and plan.labels != best.labels:
            yield _against(best, plan, name)
    yield _work(best)
    for group in best.groups:
        if group.why:
            yield f"{group.id}: {listed(group.why)}."
    close = flips(decision)
    if close:
        one = close[0]
        yield (
            f"The closest call: {one.what} at {one.from_h:g} h instead of {one.now_h:g} h would make another answer "
            f"as good ({answer(one.other).rstrip('.')})."
        )
    other = next((plan for plan in decision.plans if plan.labels != best.labels), None)
    if other is not None:
        yield f"The next best answer: {answer(other)} {_hours(other)}, {other.mean_h - best.mean_h:+.1f} h."


def _against(best: Plan, plan: Plan, name: str) -> str:
    """Why one of the two plain answers is not the best."""
    if plan.left and not best.left:
        kinds = Counter(one.kind for one in plan.left)
        worst = plan.left[0]
        told = listed([f"{count} {kind}" for kind, count in kinds.most_common(3)])
        return f"With {name}, {len(plan.left)} faults are left ({told}); the worst: {worst.donor}: {worst.text}"
    return f"With {name} it takes {_hours(plan)}, {plan.mean_h - best.mean_h:+.1f} h."


def _work(plan: Plan) -> str:
    if not plan.repairs:
        return "Nothing has to be mended where the two cars meet."
    kinds = Counter(step.mends.kind for step in plan.repairs if step.mends is not None)
    hours = sum(step.counted.mean_h for step in plan.repairs)
    return (
        f"What the two cars disagree on is mended in {hours:.1f} h: {listed([_times(k, n) for k, n in kinds.items()])}."
    )


_WORDS = {
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


def _times(kind: str, count: int) -> str:
    one, many = _WORDS.get(kind, (kind, kind))
    return f"{count} {one if count == 1 else many}"


def _hours(plan: Plan) -> str:
    return f"{plan.spread.p50_h:g} h (9 in 10 jobs under {plan.spread.p90_h:g} h)"
