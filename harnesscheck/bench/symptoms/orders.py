"""The order of measurements with the least expected effort for one fault: on a chain, and where any test may part.

A chain has ``n`` suspects in a row and ``n - 1`` spots between them. A measurement
at spot ``k`` (1 … n-1) says whether the fault lies before it (suspects 0 … k-1) or
after. The best order is a binary search tree whose leaves are the suspects, weighted
by how likely each is: the optimal alphabetic tree of Hu and Tucker [2]_, found here
by Knuth's dynamic programming over intervals [1]_. A measurement costs its own
effort and, where the person stands somewhere else, the walk; so an interval is
solved for each place the last measurement can have been made at, which is one of
its two ends. With such costs Knuth's bound on the roots does not hold: all roots
are tried, O(n³).

Optimal for exactly one fault that does not come and go. Nothing better is known
of faults that are several.

Where a test parts the suspects in two in any way, nothing is known that is both
quick and optimal for weights and walks. Up to ``EXACT`` suspects all orders are
tried, each set of suspects once for every place one may stand at; beyond, the test
that halves their weight best for its effort comes first, and it is said that no
better order was looked for.

References
----------
.. [1] D. E. Knuth, "Optimum binary search trees", Acta Informatica 1, 1971, 14-25.
.. [2] T. C. Hu, A. C. Tucker, "Optimal computer search trees and variable-length
       alphabetical codes", SIAM J. Applied Mathematics 21, 1971, 514-532.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

WALK_MIN = 2.0  # to another place of the car and back to work there, minutes; common practice, no source
EXACT = 9  # suspects of which all orders are tried
START = 0  # the spot a person begins at, before the first measurement


@dataclass(frozen=True, slots=True)
class Effort:
    """What a measurement at a spot costs: minutes once there, and the place it is at. Unknown places are all apart."""

    minutes: float
    place: str | None


@dataclass(frozen=True, slots=True)
class FaultFound:
    """A leaf: the suspect the fault is."""

    suspect: int


@dataclass(frozen=True, slots=True)
class Split:
    """A measurement at ``spot``: where to go on when the fault lies before it, and after it."""

    spot: int
    before: Order
    after: Order


Order = FaultFound | Split


@dataclass(frozen=True, slots=True)
class BestOrder:
    """The tree and what it costs: expected minutes and measurements over the weights, most measurements."""

    root: Order
    minutes: float
    measurements: float
    most: int


def best_order(weights: Sequence[float], efforts: Sequence[Effort], start: str | None = None) -> BestOrder:
    """The best order for ``n`` suspects of some weights, above 0, and ``n - 1`` spots; ``start`` is where one stands.

    Ties go to the spot nearest the head of the chain. Raises ValueError for counts that do not fit.
    """
    if not weights or len(efforts) != len(weights) - 1 or min(weights) <= 0:
        raise ValueError(f"{len(weights)} suspects and {len(efforts)} spots")
    root, cost = _Solver(weights, efforts, start).solved()
    total = sum(weights)
    depth = [0] * len(weights)
    for suspect, measured in depths(root):
        depth[suspect] = measured
    expected = sum(weight * deep for weight, deep in zip(weights, depth, strict=True)) / total
    return BestOrder(root, cost / total, expected, max(depth))


def depths(root: Order) -> list[tuple[int, int]]:
    """How many measurements lead to each suspect."""
    found = []
    stack = [(root, 0)]
    while stack:
        node, deep = stack.pop()
        if isinstance(node, FaultFound):
            found.append((node.suspect, deep))
        else:
            stack += [(node.before, deep + 1), (node.after, deep + 1)]
    return sorted(found)


class _Solver:
    """Intervals of suspects ``[i, j)``, smallest first, each for both ends as the last spot measured."""

    def __init__(self, weights: Sequence[float], efforts: Sequence[Effort], start: str | None) -> None:
        self.count = len(weights)
        self.places = [start, *(one.place for one in efforts)]  # by spot; START is the person's
        self.minutes = [0.0, *(one.minutes for one in efforts)]
        self.sums = [0.0]
        for weight in weights:
            self.sums.append(self.sums[-1] + weight)
        self.best: dict[tuple[int, int, int], tuple[float, int]] = {}

    def solved(self) -> tuple[Order, float]:
        """The tree over the whole chain and its weighted cost."""
        for width in range(2, self.count):
            for i in range(self.count - width + 1):
                for last in (i, i + width):
                    if START < last < self.count:
                        self.best[i, i + width, last] = self._cheapest(i, i + width, last)
        if self.count > 1:
            self.best[0, self.count, START] = self._cheapest(0, self.count, START)
        return self._tree(0, self.count, START), self._cost(0, self.count, START)

    def _step(self, last: int, spot: int) -> float:
        here, there = self.places[last], self.places[spot]
        return self.minutes[spot] + (0.0 if here is not None and here == there else WALK_MIN)

    def _cost(self, i: int, j: int, last: int) -> float:
        return self.best[i, j, last][0] if j - i > 1 else 0.0

    def _cheapest(self, i: int, j: int, last: int) -> tuple[float, int]:
        weight = self.sums[j] - self.sums[i]
        best = (float("inf"), 0)
        for spot in range(i + 1, j):
            cost = weight * self._step(last, spot) + self._cost(i, spot, spot) + self._cost(spot, j, spot)
            if cost < best[0] - 1e-12 * (1 + abs(cost)):
                best = (cost, spot)
        return best

    def _tree(self, i: int, j: int, last: int) -> Order:
        if j - i == 1:
            return FaultFound(i)
        spot = self.best[i, j, last][1]
        return Split(spot, self._tree(i, spot, spot), self._tree(spot, j, spot))


# -- tests that part the suspects in any way


@dataclass(frozen=True, slots=True)
class Leaf:
    """Suspects that no test tells apart."""

    suspects: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Fork:
    """A test, and what is left when the fault is among what it parts off, and when it is not."""

    test: int
    inside: Halving
    outside: Halving


Halving = Leaf | Fork


def halved(
    weights: Sequence[float], tests: Sequence[frozenset[int]], efforts: Sequence[Effort], start: str | None
) -> tuple[Halving, bool]:
    """The tree, and whether no other has a lower expected effort. ``tests`` are sets of suspects."""
    exact = len(weights) <= EXACT
    solver = _Halver(weights, tests, efforts, exact)
    return solver.tree(frozenset(range(len(weights))), start), exact


class _Halver:
    def __init__(
        self, weights: Sequence[float], tests: Sequence[frozenset[int]], efforts: Sequence[Effort], exact: bool
    ) -> None:
        self.weights = weights
        self.tests = tests
        self.efforts = efforts
        self.exact = exact
        self.known: dict[tuple[frozenset[int], str | None], tuple[float, int]] = {}

    def tree(self, left: frozenset[int], place: str | None) -> Halving:
        """The tree over the suspects that are left, for somebody who stands at a place."""
        test = self._best(left, place)[1] if self.exact else self._half(left, place)
        if test < 0:
            return Leaf(tuple(sorted(left)))
        there = self.efforts[test].place
        inside = left & self.tests[test]
        return Fork(test, self.tree(inside, there), self.tree(left - inside, there))

    def _telling(self, left: frozenset[int]) -> list[int]:
        return [number for number, test in enumerate(self.tests) if 0 < len(left & test) < len(left)]

    def _effort(self, test: int, place: str | None) -> float:
        effort = self.efforts[test]
        return effort.minutes + (0.0 if place is not None and effort.place == place else WALK_MIN)

    def _weight(self, suspects: frozenset[int]) -> float:
        return sum(self.weights[one] for one in sorted(suspects))

    def _best(self, left: frozenset[int], place: str | None) -> tuple[float, int]:
        """The least expected effort and the test it begins with, -1 where none tells anything."""
        key = (left, place)
        if key not in self.known:
            best = (float("inf"), -1)
            for test in self._telling(left):
                inside, there = left & self.tests[test], self.efforts[test].place
                cost = self._weight(left) * self._effort(test, place)
                cost += self._best(inside, there)[0] + self._best(left - inside, there)[0]
                if cost < best[0] - 1e-9:
                    best = (cost, test)
            self.known[key] = best if best[1] >= 0 else (0.0, -1)
        return self.known[key]

    def _half(self, left: frozenset[int], place: str | None) -> int:
        """The test with the best share of weight parted off for its effort."""
        whole = self._weight(left)

        def gain(test: int) -> float:
            """What a measurement tells apart for the time it takes."""
            inside = self._weight(left & self.tests[test])
            return min(inside, whole - inside) / self._effort(test, place)

        telling = self._telling(left)
        return max(telling, key=lambda test: (round(gain(test), 9), -test)) if telling else -1
