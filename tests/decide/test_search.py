"""The search against trying everything, and its pairwise case against a minimum cut."""

from __future__ import annotations

import random
from collections.abc import Iterable
from itertools import product

import networkx as nx
import pytest

from harnesscheck.assemble.choice import DONOR, SHELL
from harnesscheck.decide.groups import Group
from harnesscheck.decide.search import Cost, Labelling, SearchResult, Tables, cheapest, probes

Hidden = list[tuple[tuple[int, ...], dict[Labelling, float]]]


def groups(count: int, rng: random.Random | None = None) -> list[Group]:
    """Groups called G0, G1 …; with ``rng`` some of them are fixed."""
    options = [
        (DONOR, SHELL) if rng is None or rng.random() < 0.85 else (rng.choice((DONOR, SHELL)),) for _ in range(count)
    ]
    return [Group(f"G{n}", (f"h{n}",), (f"h{n}",), options[n]) for n in range(count)]


def hidden(rng: random.Random, count: int, widest: int = 2) -> Hidden:
    """Circuits that cost something in some of the choices of one or a few groups."""
    found: Hidden = []
    for _ in range(rng.randrange(1, 3 * count)):
        touches = tuple(sorted(rng.sample(range(count), min(count, rng.randrange(1, widest + 1)))))
        table = {}
        for at in product((DONOR, SHELL), repeat=len(touches)):
            if rng.random() < 0.4:
                table[at] = rng.choice((0.5, 1.0, 2.5, 1000.0))
        found.append((touches, table))
    return found


def costs(circuits: Hidden, labelling: Labelling) -> Iterable[Cost]:
    """What each circuit costs in a labelling."""
    for number, (touches, table) in enumerate(circuits):
        at = tuple(labelling[one] for one in touches)
        if at in table:
            yield Cost((f"circuit {number}",), touches, table[at])


def searched(all_groups: list[Group], base: list[dict[str, float]], circuits: Hidden) -> SearchResult:
    """The search with what it is given in real use: proposals first, the truth for what is checked."""
    tables = Tables()
    for one in probes(all_groups):
        tables.learn(one, costs(circuits, one))

    def base_h(one: Labelling) -> float:
        return sum(hours[label] for hours, label in zip(base, one, strict=True))

    def judged(one: Labelling) -> tuple[float, list[Cost]]:
        found = list(costs(circuits, one))
        return base_h(one) + sum(cost.hours for cost in found), [cost for cost in found if cost.hours >= 1000]

    return cheapest(all_groups, base_h, tables, judged)


def base_of(rng: random.Random, count: int) -> list[dict[str, float]]:
    """Hours of each group's two choices."""
    return [{DONOR: rng.uniform(2, 20), SHELL: 0.0} for _ in range(count)]


@pytest.mark.parametrize("seed", range(150))
def test_the_search_finds_what_trying_everything_finds(seed: int) -> None:
    """Up to six groups, circuits of up to two of them: the same least cost, and shown to be so."""
    rng = random.Random(seed)
    all_groups = groups(rng.randrange(1, 7), rng)
    base, circuits = base_of(rng, len(all_groups)), hidden(rng, len(all_groups))
    found = searched(all_groups, base, circuits)
    every = product(*(group.options for group in all_groups))
    least = min(
        sum(hours[label] for hours, label in zip(base, one, strict=True)) + sum(c.hours for c in costs(circuits, one))
        for one in every
    )

    assert found.shown_best
    assert found.checked[0].cost_h == pytest.approx(least)


@pytest.mark.parametrize("seed", range(40))
def test_the_pairwise_case_is_a_minimum_cut(seed: int) -> None:
    """Costs for a choice, and costs for two neighbours that choose differently: networkx's minimum cut is the least."""
    rng = random.Random(seed)
    count = rng.randrange(2, 11)
    base = [{DONOR: rng.uniform(0, 9), SHELL: rng.uniform(0, 9)} for _ in range(count)]
    circuits: Hidden = []
    graph = nx.DiGraph()
    for number, hours in enumerate(base):
        graph.add_edge("donor", number, capacity=hours[SHELL])
        graph.add_edge(number, "shell", capacity=hours[DONOR])
    for a in range(count):
        for b in range(a + 1, count):
            if rng.random() < 0.5:
                hours = rng.uniform(0.1, 6)
                circuits.append(((a, b), {(DONOR, SHELL): hours, (SHELL, DONOR): hours}))
                graph.add_edge(a, b, capacity=hours)
                graph.add_edge(b, a, capacity=hours)
    found = searched(groups(count), base, circuits)

    assert found.checked[0].cost_h == pytest.approx(nx.minimum_cut_value(graph, "donor", "shell"))


def test_more_groups_than_can_all_be_tried_are_said_not_to_be_shown() -> None:
    """Twenty groups: an answer no worse than any probe, and no claim."""
    rng = random.Random(4)
    all_groups, base, circuits = groups(20), base_of(rng, 20), hidden(rng, 20)
    found = searched(all_groups, base, circuits)

    assert not found.shown_best
    for probe in probes(all_groups):
        cost = sum(hours[label] for hours, label in zip(base, probe, strict=True))
        assert found.checked[0].cost_h <= cost + sum(one.hours for one in costs(circuits, probe)) + 1e-9


def test_probes_show_every_pair_of_choices() -> None:
    """Two groups at a time, all four combinations."""
    shown = set()
    for probe in probes(groups(7)):
        shown |= {(a, b, probe[a], probe[b]) for a in range(7) for b in range(a + 1, 7)}

    assert len(shown) == 21 * 4
