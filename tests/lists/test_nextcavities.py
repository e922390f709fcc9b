"""Which cavities to write down next: the greedy choice, its bound, and what it says of small cars."""

from __future__ import annotations

import json
import math
import random
from itertools import combinations
from pathlib import Path

import pytest
from builders.commands import run
from builders.rows import POWER, bare

from harnesscheck.lists.nextcavities import Question, Spot, greedy_cover, next_cavities

HALF = (
    '<connector id="C1" harness="front" cavities="4" mates="C1R"><pin cavity="1" circuit="P" to="P"/>'
    '<pin cavity="2" function="ground"/><pin cavity="3" function="horn"/></connector>'
    '<connector id="C1R" harness="rear" cavities="4"/>'
)


def covered(chosen: list[frozenset[Question]], weights: dict[Question, int]) -> int:
    return sum(weights[one] for one in frozenset().union(*chosen)) if chosen else 0


@pytest.mark.parametrize("seed", range(12))
def test_the_greedy_choice_settles_what_the_theorem_promises(seed: int) -> None:
    """At least 1 - 1/e of the best choice of as many (Nemhauser, Wolsey, Fisher 1978), found by trying all."""
    rng = random.Random(seed)
    weights: dict[Question, int] = {(f"q{n}",): rng.randint(1, 9) for n in range(12)}
    sets: dict[Spot, frozenset[Question]] = {
        ("vehicle", "C", str(n)): frozenset(rng.sample(sorted(weights), rng.randint(0, 5))) for n in range(8)
    }
    for most in (1, 2, 3):
        best = max(covered(list(some), weights) for some in combinations(sets.values(), most))
        chosen = greedy_cover(sets, weights, most)

        assert sum(gain for _, _, gain in chosen) == covered([sets[spot] for spot, _, _ in chosen], weights)
        assert sum(gain for _, _, gain in chosen) >= (1 - 1 / math.e) * best
        assert [gain for _, _, gain in chosen] == sorted((gain for _, _, gain in chosen), reverse=True)


def test_nothing_is_asked_for_that_settles_nothing() -> None:
    settled: dict[Spot, frozenset[Question]] = {
        ("vehicle", "C", "1"): frozenset({("q",)}),
        ("vehicle", "C", "2"): frozenset(),
    }

    assert [spot for spot, _, _ in greedy_cover(settled, {("q",): 1}, 5)] == [("vehicle", "C", "1")]


def test_what_may_burn_is_asked_for_first() -> None:
    """Of a half nobody typed: the cavity that a fed contact meets, then the ground, then the rest."""
    chosen = next_cavities({"vehicle": bare(POWER + HALF)})

    assert [one.place for one in chosen] == ["C1R:1", "C1R:2", "C1R:3", "C1R:4"]
    assert "may burn" in chosen[0].sentence
    assert "horn" in chosen[2].sentence


def test_a_car_written_in_full_asks_for_nothing() -> None:
    full = HALF.replace('<connector id="C1R" harness="rear" cavities="4"/>', "").replace(' mates="C1R"', "")

    assert next_cavities({"vehicle": bare(POWER + full)}) == ()


def test_nobody_is_sent_to_restraint_wiring() -> None:
    squib = HALF.replace('function="horn"', 'function="airbag squib"')

    assert next_cavities({"vehicle": bare(POWER + squib)}) == ()


def test_beside_a_second_car_what_the_compare_left_open_counts(tmp_path: Path) -> None:
    for name, text in (("donor", "ground"), ("shell", "ignition feed")):
        folder = tmp_path / name
        folder.mkdir()
        (folder / "connectors.csv").write_text("id,harness,mates\nC1,front,C1R\nC1R,rear,\n", encoding="utf-8")
        (folder / "pins.csv").write_text(f"connector,cavity,function\nC1,1,horn\nC1,2,{text}\n", encoding="utf-8")
    donor, shell = str(tmp_path / "donor"), str(tmp_path / "shell")
    alone = json.loads(run("validate", donor, "--next", "--json", "-").stdout)["next"]
    both = json.loads(run("validate", donor, "--beside", shell, "--json", "-").stdout)["next"]
    text = " ".join(run("validate", donor, "--beside", shell).stdout.split())

    assert [one["place"] for one in alone] == ["C1R:2", "C1R:1"]
    assert both[0]["place"] == "C1R:2"
    assert both[0]["gain"] > alone[0]["gain"]
    assert "whether C1:2 is feed-to-ground (injury) for certain" in text
    assert "next" not in json.loads(run("validate", donor, "--json", "-").stdout)
