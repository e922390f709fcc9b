"""Linear assignment against scipy's, and against every possible pairing."""

from __future__ import annotations

import random
from itertools import permutations

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from harnesscheck.align.assign import LARGEST, assigned, least_cost


@pytest.mark.parametrize("seed", range(60))
def test_least_cost_is_that_of_scipy(seed: int):
    """Outside check: scipy.optimize.linear_sum_assignment. Half of the tables have many ties."""
    rng = random.Random(seed)
    rows = rng.randrange(1, 14)
    width = rows + rng.randrange(0, 6)
    cost = [[rng.randrange(9) + rng.random() * (seed % 2) for _ in range(width)] for _ in range(rows)]

    columns = least_cost(cost)

    table = np.array(cost)
    best = table[linear_sum_assignment(table)].sum()
    assert len(set(columns)) == rows
    assert sum(cost[row][column] for row, column in enumerate(columns)) == pytest.approx(best, abs=1e-9)


@pytest.mark.parametrize("seed", range(60))
def test_sparse_assignment_gains_most_of_all_pairings(seed: int):
    """Every way of giving four rows one of five columns, or none, is tried."""
    rng = random.Random(seed)
    entries = [(r, c, rng.uniform(-2, 5)) for r in range(4) for c in range(5) if rng.random() < 0.6]
    gain = {(r, c): g for r, c, g in entries}

    chosen = assigned(entries)

    best = max(
        sum(max(0.0, gain.get((row, column), 0.0)) for row, column in enumerate(columns))
        for columns in permutations(range(9), 4)  # columns 5 to 8 stand for none
    )
    assert sum(entries[n][2] for n in chosen) == pytest.approx(best)
    assert len({entries[n][0] for n in chosen}) == len({entries[n][1] for n in chosen}) == len(chosen)


def test_groups_beyond_the_limit_are_still_one_to_one():
    size = LARGEST + 15
    rng = random.Random(4)
    entries = [(r, c, rng.random()) for r in range(size) for c in range(size)]

    chosen = assigned(entries)

    assert len({entries[n][0] for n in chosen}) == len({entries[n][1] for n in chosen}) == size


def test_no_gain_is_no_pair():
    assert assigned([(0, 0, 0.0), (1, 1, -3.0)]) == []
