"""What would make another answer win: which single rate or harness time, changed by how much, and what is ruled out.

Plans that were checked are compared at other hours: a plan's mean hours are a sum
of rates and of harness times, so the share of each in the difference between two
plans tells where they break even.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from harnesscheck.decide.plan import Decision, Plan

MOST_FACTOR = 4.0  # a figure wrong by more than this is not a close call


@dataclass(frozen=True, slots=True)
class Flip:
    """One figure that decides: what it is, what it is now, from where on the other plan wins, and that plan."""

    what: str
    now_h: float
    from_h: float
    other: Plan

    @property
    def factor(self) -> float:
        """How wrong the figure would have to be."""
        return self.from_h / self.now_h if self.now_h else float("inf")


def flips(decision: Decision) -> tuple[Flip, ...]:
    """The close calls, closest first; one for each figure, with the plan that needs the least change of it."""
    best: dict[str, Flip] = {}
    for other in decision.plans[1:]:
        if other.left and not decision.best.left:
            continue
        for flip in _between(decision.best, other):
            known = best.get(flip.what)
            if known is None or _far(flip) < _far(known):
                best[flip.what] = flip
    return tuple(sorted(best.values(), key=lambda flip: (_far(flip), flip.what)))


def _far(flip: Flip) -> float:
    return max(flip.factor, 1 / flip.factor if flip.factor else float("inf"))


def _between(best: Plan, other: Plan) -> Iterator[Flip]:
    """Where one figure alone brings another plan level with the best."""
    gap = other.mean_h - best.mean_h
    ours, theirs = figures(best), figures(other)
    for what in sorted(ours.keys() | theirs.keys()):
        more = ours.get(what, 0.0) - theirs.get(what, 0.0)
        now = max(ours.get(what, 0.0), theirs.get(what, 0.0))
        if abs(more) < 1e-9 or now <= 0:
            continue
        factor = 1 + gap / more  # all work of this sort takes that many times as long
        if 1 / MOST_FACTOR <= factor <= MOST_FACTOR:
            yield Flip(what, round(now, 2), round(now * factor, 2), other)


def figures(plan: Plan) -> Mapping[str, float]:
    """The plan's mean hours by what they come from: each harness's own figure, each sort of work."""
    hours: dict[str, float] = defaultdict(float)
    for step in plan.steps:
        what = f"{step.mends.kind} work" if step.mends is not None else f"step {step.id}"
        hours[what] += step.counted.mean_h
    return hours


def dominant(plan: Plan, most: int = 3) -> tuple[tuple[str, float], ...]:
    """What dominates the spread: the steps with the largest share of the variance, as shares of 1."""
    variance = {step.id: step.counted.variance_h2 for step in plan.steps}
    whole = sum(variance.values())
    if whole <= 0:
        return ()
    ranked = sorted(variance.items(), key=lambda one: (-one[1], one[0]))
    return tuple((name, round(value / whole, 3)) for name, value in ranked[:most] if value > 0)
