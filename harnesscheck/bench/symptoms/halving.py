"""Which test next when every test parts the suspects in two, in any way: exact where few, half-split where many.

Unlike on a chain (``bench.symptoms.probe``) nothing is known here that is both quick and
optimal for weights and walks. Up to ``EXACT`` suspects all orders are tried, each
set of suspects once for every place one may stand at; beyond, the test that halves
their weight best for its effort comes first, and it is said that no better order
was looked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from harnesscheck.bench.symptoms.probe import WALK_MIN, Effort

EXACT = 9


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
            inside = self._weight(left & self.tests[test])
            return min(inside, whole - inside) / self._effort(test, place)

        telling = self._telling(left)
        return max(telling, key=lambda test: (round(gain(test), 9), -test)) if telling else -1
