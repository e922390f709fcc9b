"""Hours and schedules against published examples and closed forms."""

from __future__ import annotations

import math
import random
import statistics

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from harnesscheck.decide.hours import Estimate, estimate, simulated_h, spread, total
from harnesscheck.decide.schedule import CircleError, Task, critical_path, schedule, tails

# F. S. Hillier, G. J. Lieberman, "Introduction to Operations Research", the Reliable Construction Co.
# example of project management with PERT/CPM: optimistic, most likely, pessimistic weeks, and predecessors.
# Values from memory; the book gives means 2 4 10 6 4 5 7 9 7 8 4 5 2 6, a critical path of 44 weeks
# along A B C E F J L N, and a variance of 9 on it.
BUILDING = {
    "A": ((1, 2, 3), ""), "B": ((2, 3.5, 8), "A"), "C": ((6, 9, 18), "B"), "D": ((4, 5.5, 10), "C"),
    "E": ((1, 4.5, 5), "C"), "F": ((4, 4, 10), "E"), "G": ((5, 6.5, 11), "D"), "H": ((5, 8, 17), "EG"),
    "I": ((3, 7.5, 9), "C"), "J": ((3, 9, 9), "FI"), "K": ((4, 4, 4), "J"), "L": ((1, 5.5, 7), "J"),
    "M": ((1, 2, 3), "H"), "N": ((5, 5.5, 9), "KL"),
}  # fmt: skip
MEANS = dict(zip(BUILDING, (2, 4, 10, 6, 4, 5, 7, 9, 7, 8, 4, 5, 2, 6), strict=True))


def building() -> list[Task]:
    """The example's tasks with their mean durations."""
    return [Task(name, estimate(hours).mean_h, tuple(after)) for name, (hours, after) in BUILDING.items()]


def test_means_and_critical_path_of_a_textbook_project() -> None:
    """The published means, path, length and variance."""
    length, path = critical_path(building())

    assert {name: pytest.approx(estimate(hours).mean_h) for name, (hours, _) in BUILDING.items()} == MEANS
    assert path == tuple("ABCEFJLN")
    assert length == pytest.approx(44)
    spread = [estimate(BUILDING[name][0]) for name in path]
    assert sum(((one.worst_h - one.best_h) / 6) ** 2 for one in spread) == pytest.approx(9)


def test_simulation_of_a_chain_meets_the_closed_form() -> None:
    """Mean and variance of a sum of independent pieces are the sums; within four standard errors."""
    chain = [estimate(hours) for hours, _ in BUILDING.values()]
    draws = simulated_h(chain, 20_000, seed=7)
    mean, variance = sum(one.mean_h for one in chain), sum(one.variance_h2 for one in chain)

    assert statistics.fmean(draws) == pytest.approx(mean, abs=4 * math.sqrt(variance / 20_000))
    assert statistics.pvariance(draws) == pytest.approx(variance, rel=0.05)


def test_a_certain_job_has_no_spread() -> None:
    """One number a piece: both points are the sum."""
    assert spread([estimate((2,)), estimate((0.5,))]) == spread([estimate((2.5,))])
    assert spread([estimate((2.5,))]).p90_h == 2.5


@given(st.lists(st.tuples(*[st.floats(0, 50)] * 3).map(sorted), min_size=1, max_size=6))
def test_points_lie_between_best_and_worst(hours: list[list[float]]) -> None:
    """P50 <= P90, both inside the sums of best and worst."""
    pieces = [Estimate(*one) for one in hours]
    found, both = spread(pieces, 200), total(pieces)

    assert both.best_h - 0.06 <= found.p50_h <= found.p90_h <= both.worst_h + 0.06


def random_tasks(rng: random.Random) -> list[Task]:
    """Tasks that wait for some of those before them, at a few places."""
    count = rng.randrange(1, 15)
    return [
        Task(f"T{n}", rng.choice((0.5, 1, 2, 3)), tuple({f"T{rng.randrange(n)}" for _ in range(rng.randrange(3)) if n}),
             rng.choice(("", "dash", "boot")))
        for n in range(count)
    ]  # fmt: skip


@pytest.mark.parametrize("seed", range(60))
def test_a_schedule_keeps_every_rule(seed: int) -> None:
    """All tasks once, none before what it waits for, a person and a place do one thing at a time, above the bound."""
    rng = random.Random(seed)
    tasks, people = random_tasks(rng), rng.randrange(1, 4)
    found = schedule(tasks, people)
    slot = {one.task: one for one in found.slots}
    rows = {task.id: task for task in tasks}

    assert sorted(slot) == sorted(rows)
    for task in tasks:
        assert slot[task.id].end_h - slot[task.id].start_h == pytest.approx(task.hours)
        assert all(slot[name].end_h <= slot[task.id].start_h for name in task.after)
    for a in found.slots:
        for b in found.slots:
            same = a.person == b.person or rows[a.task].at == rows[b.task].at != ""
            assert a is b or not same or a.end_h <= b.start_h or b.end_h <= a.start_h
    assert found.length_h >= found.least_h - 1e-9
    assert found.length_h == max(one.end_h for one in found.slots)
    if people == 1:
        assert found.length_h == pytest.approx(found.least_h)


@pytest.mark.parametrize("seed", range(30))
def test_the_critical_path_is_the_longest(seed: int) -> None:
    """Against networkx: the longest path of the graph with hours on the tasks."""
    tasks = random_tasks(random.Random(seed))
    graph = nx.DiGraph()
    for task in tasks:
        graph.add_edge((task.id, "in"), (task.id, "out"), weight=task.hours)
        graph.add_edges_from(((name, "out"), (task.id, "in"), {"weight": 0}) for name in task.after)

    assert critical_path(tasks)[0] == pytest.approx(nx.dag_longest_path_length(graph))


def test_tasks_in_a_circle_are_named() -> None:
    """Two tasks that wait for each other."""
    with pytest.raises(CircleError) as caught:
        tails([Task("a", 1, ("b",)), Task("b", 1, ("a",)), Task("c", 1)])

    assert caught.value.tasks == ("a", "b")
