"""The cheapest labelling of all groups: tables summed, then checked best first.

A few labellings are judged that between them show every pair of groups in every
combination. What each circuit costs there (the work proposed for it, or the
penalty where none helps) goes into a table over the choices of the groups the
circuit passes. The tables are summed over all labellings, which orders them; then
they are assembled, mended and judged for real, cheapest estimate first, until the
next estimate, less the largest overestimate met so far, is no lower than the best
found. That is exact as far as a circuit's cost depends on nothing but the groups
it passes; tests hold it against judging every labelling.

Up to ``ALL_OF`` groups every labelling is estimated. Beyond, labellings are
improved one group at a time, and the answer is not shown to be the best.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product

from harnesscheck.assemble.choice import DONOR, SHELL
from harnesscheck.decide.groups import Group

ALL_OF = 16
KEPT = 5
CHECKED_AT_MOST = 64

Labelling = tuple[str, ...]  # donor | shell, one a group, in the groups' order
Key = tuple[str, ...]  # what a cost belongs to: a circuit, a part


@dataclass(frozen=True, slots=True)
class Cost:
    """What one circuit or part costs in one labelling, in hours, and the groups it depends on (by number)."""

    key: Key
    touches: tuple[int, ...]
    hours: float


@dataclass
class Tables:
    """Cost by what it belongs to and by the labels of the groups it touches."""

    touches: dict[Key, tuple[int, ...]] = field(default_factory=dict)
    hours: dict[Key, dict[Labelling, float]] = field(default_factory=lambda: defaultdict(dict))
    _seen: list[Labelling] = field(default_factory=list)

    def learn(self, labelling: Labelling, costs: Iterable[Cost]) -> None:
        """Take in what a labelling that was judged costs; what it does not name costs nothing in it."""
        for cost in costs:
            self.touches.setdefault(cost.key, cost.touches)
            table = self.hours[cost.key]
            at = tuple(labelling[number] for number in self.touches[cost.key])
            table[at] = max(table.get(at, 0.0), cost.hours)
        self._seen.append(labelling)

    def estimate(self, labelling: Labelling) -> float:
        """The summed tables; what was never seen together counts nothing."""
        return sum(
            table.get(tuple(labelling[number] for number in self.touches[key]), 0.0)
            for key, table in self.hours.items()
        )


def probes(groups: Sequence[Group]) -> Iterator[Labelling]:
    """Labellings that show every allowed pair of choices of two groups: each group alone from one car."""
    seen: set[Labelling] = set()
    for most, other in ((DONOR, SHELL), (SHELL, DONOR)):
        base = tuple(most if most in group.options else group.options[0] for group in groups)
        turned = [(*base[:at], other, *base[at + 1 :]) for at, group in enumerate(groups) if other in group.options]
        for labelling in (base, *turned):
            if labelling not in seen:
                seen.add(labelling)
                yield labelling


@dataclass(frozen=True, slots=True)
class Checked:
    """A labelling that was judged for real: its estimate and its true cost in hours."""

    labelling: Labelling
    estimate_h: float
    cost_h: float


@dataclass(frozen=True, slots=True)
class Found:
    """The labellings that were checked, cheapest first; how many there are; whether the first is shown to be best."""

    checked: tuple[Checked, ...]
    of: int
    shown_best: bool


def cheapest(
    groups: Sequence[Group],
    base_h: Callable[[Labelling], float],
    tables: Tables,
    true_h: Callable[[Labelling], float],
    pure: Sequence[Labelling] = (),
    kept: int = KEPT,
) -> Found:
    """Check labellings best first; ``pure`` ones are always checked. At least ``kept`` are where there are as many."""
    exhaustive = len(groups) <= ALL_OF
    candidates = _all(groups) if exhaustive else _improved(groups, base_h, tables)
    order = sorted((base_h(one) + tables.estimate(one), one) for one in candidates)
    checked: list[Checked] = []
    over_h = 0.0
    done: set[Labelling] = set()
    shown = exhaustive

    def check(labelling: Labelling, estimate_h: float) -> None:
        nonlocal over_h
        one = Checked(labelling, estimate_h, true_h(labelling))
        over_h = max(over_h, estimate_h - one.cost_h)
        checked.append(one)
        done.add(labelling)

    for labelling in dict.fromkeys(pure):
        check(labelling, base_h(labelling) + tables.estimate(labelling))
    for estimate_h, labelling in order:
        best_h = min((one.cost_h for one in checked), default=float("inf"))
        if estimate_h - over_h >= best_h and len(checked) >= min(kept, len(order)):
            break
        if len(checked) >= CHECKED_AT_MOST:
            shown = False
            break
        if labelling not in done:
            check(labelling, estimate_h)
    ranked = sorted(checked, key=lambda one: (round(one.cost_h, 6), one.labelling))
    return Found(tuple(ranked), len(order) if exhaustive else 2 ** len(groups), shown)


def _all(groups: Sequence[Group]) -> Iterator[Labelling]:
    return product(*(group.options for group in groups))


def _improved(groups: Sequence[Group], base_h: Callable[[Labelling], float], tables: Tables) -> Iterable[Labelling]:
    """Local improvement by estimate from every probe; all labellings met on the way."""
    met: dict[Labelling, float] = {}

    def cost(labelling: Labelling) -> float:
        return met.setdefault(labelling, base_h(labelling) + tables.estimate(labelling))

    for start in probes(groups):
        here = start
        while True:
            near = [(*here[:at], label, *here[at + 1 :]) for at, group in enumerate(groups) for label in group.options]
            best = min((here, *near), key=lambda one: (cost(one), one))
            if cost(best) >= cost(here):
                break
            here = best
    return met


def labels_of(groups: Sequence[Group], labelling: Labelling) -> Mapping[str, str]:
    """The labels by group id."""
    return {group.id: label for group, label in zip(groups, labelling, strict=True)}
