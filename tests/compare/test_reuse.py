"""What is kept and shared while cars are compared changes no answer: with reuse as without."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from builders.carpairs import made
from cars import Mix, make_car, mutate, vehicle_of

from harnesscheck.compare.joined import compare_joined
from harnesscheck.compare.works.causes import Places
from harnesscheck.compare.works.onoff import OnOff
from harnesscheck.network.graph.index import Index
from harnesscheck.network.graph.reach import Contact, Reach, ReachTree
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.solve import Network


@contextmanager
def nothing_kept() -> Iterator[None]:
    """Every search, solution and way worked out each time it is asked for."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ReachTree, "would_be", lambda *_: False)
        patch.setattr(Reach, "_is_cut", lambda *_: False)
        patch.setattr(Network, "settle", lambda self, closed, start=frozenset(): self._settle(closed, start))
        patch.setattr(Places, "of", lambda self, state, load, alone=False: self._of(state, load, alone))
        patch.setattr(OnOff, "may_gain", lambda *_: True)
        yield


def contacts(index: Index) -> list[Contact]:
    """Every contact of a car by itself, and every plug whole."""
    found: list[Contact] = [(mate.place, mate.cavity) for mate in index.mates]
    return list(dict.fromkeys([*found, *((place, None) for place, _ in found)]))


@pytest.mark.parametrize("seed", [2, 7])
def test_reach_is_the_same_with_its_searches_kept(seed: int):
    """Every piece beside a contact with that contact open: key positions, what is asked for, the way to battery +."""
    car = vehicle_of(mutate(make_car(seed, 90), seed, Mix(edits=0.3, renamed=False))[1])
    study = Study(car)
    with nothing_kept():
        anew = Study(car).reach
        asked = [
            (piece, apart)
            for apart in contacts(study.index)
            for mate in study.index.mates
            if mate.place == apart[0] and apart[1] in (None, mate.cavity)
            for piece in (mate.a, mate.b)
        ]
        wanted = []
        for piece, apart in asked:
            for tree in (anew.grounded, *anew.feed_sure, *anew.feed_maybe, *anew.ground_sure, *anew.ground_maybe):
                tree.lost.clear()
            wanted.append((anew.reached(piece, apart), anew.way_to_feed(piece, apart)))

    found = [(study.reach.reached(piece, apart), study.reach.way_to_feed(piece, apart)) for piece, apart in asked]

    assert len(asked) > 100 and found == wanted


@pytest.mark.parametrize("seed", [3, 9])
def test_joined_cars_say_the_same_with_what_is_shared(seed: int):
    """Small cars edited at random: every finding, its evidence and its words, as without any reuse."""
    ours, theirs, pairs = made(seed, 24, renamed=False)

    shared = compare_joined(Study(ours), Study(theirs), pairs)
    with nothing_kept():
        alone = compare_joined(Study(ours), Study(theirs), pairs)

    assert shared.findings and shared.findings == alone.findings
    assert shared.coverage == alone.coverage
