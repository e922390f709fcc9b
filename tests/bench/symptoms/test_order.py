"""The order of measurements against brute force, and against an algorithm that knows nothing of dynamic programming."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from math import log2

import pytest

from harnesscheck.bench.symptoms.orders import (
    EXACT,
    START,
    WALK_MIN,
    Effort,
    FaultFound,
    Fork,
    Halving,
    Order,
    Split,
    best_order,
    depths,
    halved,
)

PLACES = ("dash", "sill", "tank", None)


def trees(i: int, j: int) -> Iterator[Order]:
    """Every binary search tree over the suspects i … j-1."""
    if j - i == 1:
        yield FaultFound(i)
    for spot in range(i + 1, j):
        for before in trees(i, spot):
            for after in trees(spot, j):
                yield Split(spot, before, after)


def cost(
    root: Order, weights: Sequence[float], efforts: Sequence[Effort], start: str | None, walk: float = WALK_MIN
) -> float:
    """The expected minutes of a tree, by walking to every suspect and paying each measurement on the way."""
    total = 0.0
    for suspect, weight in enumerate(weights):
        node, place, spent = root, start, 0.0
        while isinstance(node, Split):
            effort = efforts[node.spot - 1]
            spent += effort.minutes + (0.0 if place is not None and place == effort.place else walk)
            place = effort.place
            node = node.before if suspect < node.spot else node.after
        total += weight * spent
    return total / sum(weights)


def chain(rng: random.Random, count: int) -> tuple[list[float], list[Effort], str | None]:
    weights = [rng.choice([0.001, 0.5, 1, 1, 2, 3, 6]) for _ in range(count)]
    efforts = [Effort(rng.choice([0.5, 1, 2, 4, 8]), rng.choice(PLACES)) for _ in range(count - 1)]
    return weights, efforts, rng.choice(PLACES)


@pytest.mark.parametrize("seed", range(60))
def test_no_order_is_better(seed: int) -> None:
    """Chains up to 8 suspects: of all search trees (429 for 8, the 7th Catalan number) none costs less.

    Source of the problem: D. E. Knuth, "Optimum binary search trees", Acta Informatica 1, 1971.
    """
    rng = random.Random(seed)
    count = 1 + seed % 8
    weights, efforts, start = chain(rng, count)
    every = list(trees(0, count))

    found = best_order(weights, efforts, start)

    assert len(every) == [1, 1, 2, 5, 14, 42, 132, 429][count - 1]
    assert found.minutes == pytest.approx(min(cost(one, weights, efforts, start) for one in every))
    assert cost(found.root, weights, efforts, start) == pytest.approx(found.minutes)


def alphabetic(weights: Sequence[float]) -> float:
    """The least weighted path length of a tree with these leaves in this order.

    A. M. Garsia, M. L. Wachs, "A new algorithm for minimum cost binary trees", SIAM J. Computing 6, 1977:
    join the first pair whose left neighbour's left is no lighter than its right, and move it left.
    """
    left, total = list(weights), 0.0
    while len(left) > 1:
        at = next(i for i in range(1, len(left)) if i + 1 == len(left) or left[i - 1] <= left[i + 1])
        joined = left[at - 1] + left[at]
        total += joined
        del left[at - 1 : at + 1]
        place = next((i + 1 for i in range(at - 2, -1, -1) if left[i] >= joined), 0)
        left.insert(place, joined)
    return total


@pytest.mark.parametrize("seed", range(30))
def test_equal_efforts_give_the_optimal_alphabetic_tree(seed: int) -> None:
    """All measurements alike: the tree of T. C. Hu and A. C. Tucker, 1971, here by Garsia's and Wachs' algorithm."""
    rng = random.Random(seed)
    weights = [float(rng.randint(1, 40)) for _ in range(rng.randint(2, 40))]

    found = best_order(weights, [Effort(1.0, "here")] * (len(weights) - 1), "here")

    assert found.minutes * sum(weights) == pytest.approx(alphabetic(weights))
    assert found.measurements == pytest.approx(found.minutes)


@pytest.mark.parametrize("power", range(1, 7))
def test_equal_suspects_are_halved(power: int) -> None:
    """2ᵏ equal suspects take k measurements each, the information-theoretic bound."""
    count = 2**power

    found = best_order([1.0] * count, [Effort(1.0, "here")] * (count - 1), "here")

    assert {measured for _, measured in depths(found.root)} == {power} == {int(log2(count))}
    assert found.most == power


def test_a_spot_at_hand_comes_before_one_far_away() -> None:
    """Walking costs: the fuse one stands at is measured first, although the middle would halve better."""
    efforts = [Effort(1.0, "dash"), Effort(1.0, "tank"), Effort(1.0, "tank")]

    here = best_order([1, 1, 1, 1], efforts, "dash").root
    there = best_order([1, 1, 1, 1], efforts, "tank").root

    assert isinstance(here, Split) and here.spot == 1
    assert isinstance(there, Split) and there.spot in (2, 3)


@pytest.mark.parametrize(("weights", "spots"), [([], 0), ([1.0], 1), ([1.0, 0.0], 1), ([1.0, 1.0], 0)])
def test_counts_that_do_not_fit_are_refused(weights: list[float], spots: int) -> None:
    """So are weights that are not above 0."""
    with pytest.raises(ValueError, match="suspects"):
        best_order(weights, [Effort(1.0, None)] * spots)


def halving_cost(root: Halving, weights: Sequence[float], tests: Sequence[frozenset[int]], start: str | None) -> float:
    total = 0.0
    for suspect, weight in enumerate(weights):
        node, place = root, start
        while isinstance(node, Fork):
            here = f"place {node.test % 3}"
            total += weight * (1.0 + node.test % 2 + (0.0 if place == here else WALK_MIN))
            place = here
            node = node.inside if suspect in tests[node.test] else node.outside
        assert suspect in node.suspects
    return total


def forks(left: frozenset[int], tests: Sequence[frozenset[int]]) -> Iterator[Halving]:
    """Every tree of tests that tells something."""
    telling = [number for number, test in enumerate(tests) if 0 < len(left & test) < len(left)]
    if not telling:
        from harnesscheck.bench.symptoms.orders import Leaf

        yield Leaf(tuple(sorted(left)))
    for number in telling:
        for inside in forks(left & tests[number], tests):
            for outside in forks(left - tests[number], tests):
                yield Fork(number, inside, outside)


@pytest.mark.parametrize("seed", range(25))
def test_halving_few_suspects_is_the_best_there_is(seed: int) -> None:
    """Any tests over up to 4 suspects: all trees tried by brute force, none costs less."""
    rng = random.Random(seed)
    count = rng.randint(2, 4)
    weights = [rng.choice([0.5, 1.0, 3.0]) for _ in range(count)]
    tests = [frozenset(rng.sample(range(count), rng.randint(1, count - 1))) for _ in range(3)]
    efforts = [Effort(1.0 + number % 2, f"place {number % 3}") for number in range(len(tests))]

    root, exact = halved(weights, tests, efforts, "place 0")
    least = min(halving_cost(one, weights, tests, "place 0") for one in forks(frozenset(range(count)), tests))

    assert exact
    assert halving_cost(root, weights, tests, "place 0") == pytest.approx(least)


def test_halving_many_suspects_says_it_is_not_exact() -> None:
    """Beyond the limit each test halves; on a chain of equals that is still the logarithm."""
    count = 2 ** (EXACT.bit_length())
    tests = [frozenset(range(number, count)) for number in range(1, count)]

    root, exact = halved([1.0] * count, tests, [Effort(1.0, "here")] * len(tests), "here")

    assert not exact
    assert deepest(root) == int(log2(count))


def deepest(root: Halving) -> int:
    return 1 + max(deepest(root.inside), deepest(root.outside)) if isinstance(root, Fork) else 0


def test_start_is_no_spot() -> None:
    """Spots count from 1."""
    assert START == 0
