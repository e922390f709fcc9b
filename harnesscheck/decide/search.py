"""The cheapest labelling of all groups: tables summed over all of them, then checked best first.

A few labellings are judged that between them show every pair of groups in every
combination. What each circuit costs there (the work proposed for it, or the
penalty where none is) goes into a table over the choices of the groups the
circuit passes. The tables are summed over all labellings. The one with the least
sum is put together, mended and judged for real, which makes sure of its entries:
what is still wrong costs its penalty, what is not costs no more than its work.
A labelling's lower bound counts what is sure in full and of the rest only the
least work there is; checking ends when no bound is below the best cost found.

That is exact as far as a circuit's cost depends on nothing but the groups it
passes; tests hold it against judging every labelling. Beyond ``ALL_OF`` groups
labellings are improved one group at a time and nothing is shown to be the best.

References
----------
.. [1] G. Katona, "Two applications (for search theory and truth functions) of Sperner type
   theorems", Periodica Mathematica Hungarica 3 (1973): the smallest covering arrays of
   strength two over two symbols. From memory.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations, islice, product
from math import comb
from typing import TYPE_CHECKING

from harnesscheck.assemble.choice import DONOR, SHELL
from harnesscheck.decide.groups import Group

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Bits = NDArray[np.int64]

ALL_OF = 16
KEPT = 5
CHECKED_AT_MOST = 200
LEAST_WORK_H = 0.05  # no piece of work that mends a circuit takes less

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
    """Cost by what it belongs to and by the labels of the groups it touches; ``sure`` holds what was checked."""

    touches: dict[Key, tuple[int, ...]] = field(default_factory=dict)
    hours: dict[Key, dict[Labelling, float]] = field(default_factory=lambda: defaultdict(dict))
    sure: set[tuple[Key, Labelling]] = field(default_factory=set)

    def learn(self, labelling: Labelling, costs: Iterable[Cost]) -> None:
        """Take in what a labelling would cost by the work proposed for it."""
        for cost in costs:
            at = self._at(cost, labelling)
            if (cost.key, at) not in self.sure:
                table = self.hours[cost.key]
                table[at] = max(table.get(at, 0.0), cost.hours)

    def make_sure(self, labelling: Labelling, left: Iterable[Cost]) -> None:
        """Take in what is left of a labelling that was mended; whatever else was feared of it costs least work."""
        said = {cost.key: cost for cost in left}
        for cost in said.values():
            self._at(cost, labelling)
        for key, touches in self.touches.items():
            at = tuple(labelling[number] for number in touches)
            if key in said:
                self.hours[key][at] = said[key].hours
            elif at in self.hours[key]:
                self.hours[key][at] = min(self.hours[key][at], LEAST_WORK_H)
            else:
                continue
            self.sure.add((key, at))

    def _at(self, cost: Cost, labelling: Labelling) -> Labelling:
        touches = self.touches.setdefault(cost.key, cost.touches)
        return tuple(labelling[number] for number in touches)

    def sums(self, labels: Bits) -> tuple[Floats, Floats]:
        """For rows of labels (1 is the donor's): the summed tables, and the lower bound of them."""
        import numpy as np

        estimate, bound = np.zeros(len(labels)), np.zeros(len(labels))
        for key, table in self.hours.items():
            touches = self.touches[key]
            code = labels[:, list(touches)] @ (1 << np.arange(len(touches), dtype=np.int64))
            whole, least = np.zeros(1 << len(touches)), np.zeros(1 << len(touches))
            for at, hours in table.items():
                number = sum(1 << place for place, label in enumerate(at) if label == DONOR)
                whole[number] = hours
                least[number] = hours if (key, at) in self.sure else min(hours, LEAST_WORK_H)
            estimate += whole[code]
            bound += least[code]
        return estimate, bound


def probes(groups: Sequence[Group]) -> Iterator[Labelling]:
    """As few labellings as show every allowed pair of choices of two groups [1]_."""
    columns = covering_columns(len(groups))
    for row in zip(*columns, strict=True):
        yield tuple(
            label if (label := (SHELL, DONOR)[bit]) in group.options else group.options[0]
            for bit, group in zip(row, groups, strict=True)
        )


def covering_columns(count: int) -> list[tuple[int, ...]]:
    """Columns of 0 and 1, any two of which show 00, 01, 10 and 11 in some row; of the fewest rows there are [1]_.

    >>> len(covering_columns(12)[0])
    7
    """
    rows = 4
    while comb(rows - 1, (rows + 1) // 2) < count:
        rows += 1
    chosen = list(islice(combinations(range(1, rows), (rows + 1) // 2), count))
    return [tuple(int(row in ones) for row in range(rows)) for ones in chosen]


@dataclass(frozen=True, slots=True)
class Checked:
    """A labelling that was judged for real, and its cost in hours."""

    labelling: Labelling
    cost_h: float


@dataclass(frozen=True, slots=True)
class SearchResult:
    """The labellings that were checked, cheapest first; how many there are; whether the first is shown to be best."""

    checked: tuple[Checked, ...]
    of: int
    shown_best: bool


def cheapest(
    groups: Sequence[Group],
    base_h: Callable[[Labelling], float],
    tables: Tables,
    judged: Callable[[Labelling], tuple[float, Iterable[Cost]]],
    pure: Sequence[Labelling] = (),
    kept: int = KEPT,
    clean_h: float = float("inf"),
) -> SearchResult:
    """Check labellings best first. ``judged`` gives a labelling's cost and what is left of it.

    ``pure`` ones are always checked. Checking goes on, cheapest estimate first, until
    ``kept`` cost less than ``clean_h``, or as many more were checked in vain.
    """
    import numpy as np

    exhaustive = len(groups) <= ALL_OF
    candidates = sorted(_all(groups) if exhaustive else _improved(groups, base_h, tables))
    labels = _bits(candidates)
    base = np.array([base_h(one) for one in candidates])
    number = {one: at for at, one in enumerate(candidates)}
    costs: dict[Labelling, float] = {}
    waiting = np.ones(len(candidates), dtype=bool)

    def check(labelling: Labelling) -> None:
        """Judge a labelling and make the tables sure of what it left."""
        costs[labelling], left = judged(labelling)
        tables.make_sure(labelling, left)
        if labelling in number:
            waiting[number[labelling]] = False

    for labelling in dict.fromkeys(pure):
        check(labelling)
    shown, vain = exhaustive, 0
    while waiting.any():
        estimate, bound = tables.sums(labels)
        hopeful = waiting & (base + bound < min(costs.values(), default=float("inf")))
        if not hopeful.any():
            if vain >= kept or sum(cost < clean_h for cost in costs.values()) >= kept:
                break
            vain += 1
            hopeful = waiting
        if len(costs) >= CHECKED_AT_MOST:
            shown = False
            break
        check(candidates[int(np.where(hopeful, base + estimate, np.inf).argmin())])
    ranked = sorted((Checked(*one) for one in costs.items()), key=lambda one: (round(one.cost_h, 6), one.labelling))
    return SearchResult(tuple(ranked), 2 ** len(groups) if not exhaustive else len(candidates), shown)


def _bits(labellings: Sequence[Labelling]) -> Bits:
    import numpy as np

    return np.array([[label == DONOR for label in one] for one in labellings], dtype=np.int64)


def _all(groups: Sequence[Group]) -> Iterator[Labelling]:
    return product(*(group.options for group in groups))


def _improved(groups: Sequence[Group], base_h: Callable[[Labelling], float], tables: Tables) -> Iterable[Labelling]:
    """Local improvement by estimate from every probe; all labellings met on the way."""
    met: dict[Labelling, float] = {}

    def meet(labellings: Sequence[Labelling]) -> None:
        """Estimate labellings that were not met yet."""
        new = [one for one in labellings if one not in met]
        if new:
            estimates = tables.sums(_bits(new))[0].tolist()
            met.update({one: base_h(one) + hours for one, hours in zip(new, estimates, strict=True)})

    for start in probes(groups):
        here = start
        while True:
            near = [(*here[:at], label, *here[at + 1 :]) for at, group in enumerate(groups) for label in group.options]
            meet([here, *near])
            best = min((here, *near), key=lambda one: (met[one], one))
            if met[best] >= met[here]:
                break
            here = best
    return met


def labels_of(groups: Sequence[Group], labelling: Labelling) -> dict[str, str]:
    """The labels by group id."""
    return {group.id: label for group, label in zip(groups, labelling, strict=True)}
