"""The way from two cars to their pairs: names where they can be trusted, then what the wiring says.

A car whose names all hold costs next to nothing: numpy is imported, and both
cars numbered, only when a row is left over or a name is contradicted.
"""

from __future__ import annotations

from dataclasses import replace

from harnesscheck.align.both import Both
from harnesscheck.align.byname import Crosswalk, pairs_by_name
from harnesscheck.align.circuitnames import BY_CAVITY, distrusted
from harnesscheck.align.follow import (
    ONE_CAVITY,
    circuit_votes,
    component_sureness,
    component_votes,
    elected,
    ground_pairs,
    harness_votes,
)
from harnesscheck.align.names import doubts
from harnesscheck.align.number import both
from harnesscheck.align.pairs import Ambiguous, Pair, Pairs
from harnesscheck.align.pins import moved_cavities
from harnesscheck.align.refine import Colours, classes, first_colours, refined
from harnesscheck.align.resolve import Match, by_belief, settles
from harnesscheck.align.ties import settled
from harnesscheck.network.graph.sides import Study

WHOLE = 0.9  # share of connectors that must be alike for likeness alone to be trusted
ONLY_ITS_NAME = 0.9
EXACT = 0.999  # every surrounding the same in both cars


def align(donor: Study, shell: Study, crosswalk: Crosswalk | None = None) -> Pairs:
    """Pair the rows of two cars. A person's crosswalk always wins."""
    named = pairs_by_name(donor.vehicle, shell.vehicle, crosswalk)
    doubted = doubts(donor, shell, named)
    held = tuple(pair for pair in named.connectors if pair.donor not in doubted.connectors)
    connectors: tuple[Pair, ...] = held
    ambiguous: tuple[Ambiguous, ...] = ()
    if not held and len(donor.vehicle.connectors) == len(shell.vehicle.connectors) == 1:
        connectors = _sole(donor, shell)
    elif _is_left(donor, shell, held):
        connectors, ambiguous = _by_wiring(donor, shell, replace(named, connectors=held))
        connectors += () if doubted.worthless else _restored(connectors, named)
    return _followed(donor, shell, named, connectors, ambiguous)


def _is_left(donor: Study, shell: Study, held: tuple[Pair, ...]) -> bool:
    """Whether both cars have a connector without a partner."""
    mine = len(donor.vehicle.connectors) - len({pair.donor for pair in held})
    yours = len(shell.vehicle.connectors) - len({pair.shell for pair in held})
    return mine > 0 and yours > 0


def _sole(donor: Study, shell: Study) -> tuple[Pair, ...]:
    """Two files of one plug each are about that plug, unless one is a loom's half and the other a part's."""
    (a,), (b,) = donor.vehicle.connectors.values(), shell.vehicle.connectors.values()
    if (a.component and b.harness) or (a.harness and b.component):
        return ()
    return (Pair(a.id, b.id, 1.0, "the only connector in both files"),)


def _restored(connectors: tuple[Pair, ...], named: Pairs) -> tuple[Pair, ...]:
    """Equal ids for which the wiring found no better partner stand after all, but not for certain."""
    given, taken = {pair.donor for pair in connectors}, {pair.shell for pair in connectors}
    return tuple(
        replace(pair, confidence=ONLY_ITS_NAME, why="same id, though nothing else speaks for it")
        for pair in named.connectors
        if pair.donor not in given and pair.shell not in taken
    )


def _by_wiring(donor: Study, shell: Study, named: Pairs) -> tuple[tuple[Pair, ...], tuple[Ambiguous, ...]]:
    cars = both(donor, shell)
    n = cars.connectors.donors
    row = {(False, id): at for at, id in enumerate(cars.connectors.ids[:n])}
    row |= {(True, id): at for at, id in enumerate(cars.connectors.ids[n:], start=n)}
    known = [Match(row[False, p.donor], row[True, p.shell], p.confidence, p.why) for p in named.connectors]
    alike, ambiguous = _alike(cars, known)
    known += alike
    if len({match.donor for match in known}) < n and len({match.shell for match in known}) < len(row) - n:
        matches, doubtful = by_belief(cars, known)
        known += matches
        ambiguous += doubtful
    ids = cars.connectors.ids
    return tuple(Pair(ids[m.donor], ids[m.shell], m.confidence, m.why) for m in known), tuple(ambiguous)


def _alike(cars: Both, known: list[Match]) -> tuple[list[Match], list[Ambiguous]]:
    """Pairs of one colour, where that pairs nearly all of both cars: nothing but names was changed."""
    n = cars.connectors.donors
    seeds = [(match.donor, match.shell) for match in known]
    colours = refined(cars, first_colours(cars, seeds))
    if classes(colours.connector, n).matched < WHOLE * cars.connectors.count:
        return [], []
    paired = {row for seed in seeds for row in seed}
    ambiguous = _ambiguous(cars, colours)
    found = classes(settled(cars, colours).connector, n).pairs(n).tolist()
    return [
        Match(a, b, EXACT, "the same surroundings in both cars")
        for a, b in found
        if a not in paired and b not in paired
    ], ambiguous


def _ambiguous(cars: Both, colours: Colours) -> list[Ambiguous]:
    """The classes no surrounding splits: exchanging two members changes nothing that is compared."""
    reason = "the same surroundings: exchanging two of them changes nothing that is compared"
    found = []
    for sort, rows, column in (
        ("connector", cars.connectors, colours.connector),
        ("component", cars.components, colours.component),
    ):
        for ours, theirs in classes(column, rows.donors).ties(rows.donors):
            sides = [tuple(rows.ids[row] for row in side) for side in (ours, theirs)]
            settle = settles(cars, [*ours, *theirs]) if sort == "connector" else "settle the plugs on them"
            found.append(Ambiguous(sort, sides[0], sides[1], reason, settle))
    return found


def _followed(
    donor: Study, shell: Study, named: Pairs, connectors: tuple[Pair, ...], ambiguous: tuple[Ambiguous, ...]
) -> Pairs:
    cavities, merged = moved_cavities(donor, shell, connectors, named.cavities)
    connectors += merged
    votes = circuit_votes(donor, shell, connectors, cavities)
    circuits = elected(votes, named.circuits, BY_CAVITY, enough=ONE_CAVITY)
    return Pairs(
        connectors=connectors,
        components=elected(
            component_votes(donor, shell, connectors),
            named.components,
            "its plugs",
            component_sureness(donor, shell, connectors),
        ),
        circuits=circuits,
        harnesses=elected(harness_votes(donor, shell, connectors), named.harnesses, "its plugs"),
        grounds=ground_pairs(donor, shell, connectors, named.grounds),
        cavities=cavities,
        ambiguous=ambiguous,
        distrusted=tuple(distrusted(donor, shell, circuits)),
    )
