"""The way from two cars to their pairs: names where they can be trusted, then what the wiring says.

A car whose names all hold costs next to nothing: numpy is imported, and both
cars numbered, only when a row is left over or a name is contradicted.
"""

from __future__ import annotations

from dataclasses import replace

from harnesscheck.align.belief import believed
from harnesscheck.align.both import Both, both
from harnesscheck.align.byname import CROSSWALK, Crosswalk, pairs_by_name
from harnesscheck.align.follow import (
    circuit_votes,
    component_votes,
    elected,
    ground_votes,
    harness_votes,
)
from harnesscheck.align.joints import candidates, joints_of
from harnesscheck.align.names import doubtful_names
from harnesscheck.align.pairs import Ambiguous, Pair, Pairs
from harnesscheck.align.refine import Colours, classes, first_colours, refined
from harnesscheck.align.spread import Paired, leftovers
from harnesscheck.align.ties import settled
from harnesscheck.network.sides import Study

WHOLE = 0.9  # share of connectors that must be alike for likeness alone to be trusted
EXACT = 0.999  # every surrounding the same in both cars


def align(donor: Study, shell: Study, crosswalk: Crosswalk | None = None) -> Pairs:
    """Pair the rows of two cars. A person's crosswalk always wins."""
    named = pairs_by_name(donor.vehicle, shell.vehicle, crosswalk)
    doubtful = doubtful_names(donor, shell, named)
    held = tuple(pair for pair in named.connectors if pair.donor not in doubtful)
    connectors: tuple[Pair, ...] = held
    ambiguous: tuple[Ambiguous, ...] = ()
    if not held and len(donor.vehicle.connectors) == len(shell.vehicle.connectors) == 1:
        connectors = _sole(donor, shell)
    elif _is_left(donor, shell, held):
        connectors, ambiguous = _by_wiring(donor, shell, replace(named, connectors=held))
        connectors += _restored(connectors, named, doubtful)
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


def _restored(connectors: tuple[Pair, ...], named: Pairs, doubtful: frozenset[str]) -> tuple[Pair, ...]:
    """Doubtful names for which the wiring found no better partner stand after all."""
    given, taken = {pair.donor for pair in connectors}, {pair.shell for pair in connectors}
    return tuple(
        pair
        for pair in named.connectors
        if pair.donor in doubtful and pair.donor not in given and pair.shell not in taken
    )


def _by_wiring(donor: Study, shell: Study, named: Pairs) -> tuple[tuple[Pair, ...], tuple[Ambiguous, ...]]:
    cars = both(donor, shell)
    n = cars.connectors.donors
    row = {(False, id): at for at, id in enumerate(cars.connectors.ids[:n])}
    row |= {(True, id): at for at, id in enumerate(cars.connectors.ids[n:], start=n)}
    paired = Paired()
    for pair in named.connectors:
        paired.add(row[False, pair.donor], row[True, pair.shell], pair.confidence, pair.why)
    seeds = [(a, b) for a, (b, _, _) in paired.of.items()]
    colours = refined(cars, first_colours(cars, seeds))
    exact = classes(colours.connector, n)
    ambiguous: tuple[Ambiguous, ...] = ()
    if exact.matched >= WHOLE * cars.connectors.count:
        ambiguous = _ambiguous(cars, colours)
        for a, b in classes(settled(cars, colours).connector, n).pairs(n).tolist():
            paired.add(a, b, EXACT, "the same surroundings in both cars")
    if len(paired.of) < min(n, cars.connectors.count - n):
        _by_belief(cars, paired)
        leftovers(cars, paired)
    ids = cars.connectors.ids
    crossed = [pair for pair in named.connectors if pair.why == CROSSWALK]
    told = {(pair.donor, pair.shell) for pair in crossed}
    found = [Pair(ids[a], ids[b], sure, why) for a, (b, sure, why) in sorted(paired.of.items())]
    return tuple(crossed) + tuple(p for p in found if (p.donor, p.shell) not in told), ambiguous


def _by_belief(cars: Both, paired: Paired) -> None:
    import numpy as np

    joints = joints_of(cars)
    donor = np.array(sorted(paired.of), dtype=np.int64)
    shell = np.array([paired.of[row][0] for row in donor.tolist()], dtype=np.int64)
    way = joints.slot_of[donor] ^ joints.slot_of[shell]
    seeds = candidates(cars, joints, joints.joint_of[donor], joints.joint_of[shell], way)
    state = believed(cars, joints, seeds)
    order = np.lexsort((state.found.shell, state.found.donor, -np.round(state.score, 6)))
    chosen = np.zeros(state.found.count, dtype=bool)
    taken: set[int] = set()
    for at in order.tolist():
        a, b = int(state.found.donor[at]), int(state.found.shell[at])
        if state.score[at] > -0.5 and a not in taken and b not in taken:
            chosen[at] = True
            taken |= {a, b}
    at, ours, theirs = state.found.connector_pairs
    for candidate, a, b in zip(at.tolist(), ours.tolist(), theirs.tolist(), strict=True):
        if chosen[candidate]:
            paired.add(a, b, round(float(state.belief[candidate]), 4), "its features and wires")


def _ambiguous(cars: Both, colours: Colours) -> tuple[Ambiguous, ...]:
    """The classes no surrounding splits: exchanging two members changes nothing that is compared."""
    reason = "the same surroundings: exchanging two of them changes nothing that is compared"
    found = []
    for sort, rows, column in (
        ("connector", cars.connectors, colours.connector),
        ("component", cars.components, colours.component),
    ):
        for ours, theirs in classes(column, rows.donors).ties(rows.donors):
            sides = [tuple(rows.ids[row] for row in side) for side in (ours, theirs)]
            found.append(Ambiguous(sort, sides[0], sides[1], reason))
    return tuple(found)


def _followed(
    donor: Study, shell: Study, named: Pairs, connectors: tuple[Pair, ...], ambiguous: tuple[Ambiguous, ...]
) -> Pairs:
    return Pairs(
        connectors=connectors,
        components=elected(component_votes(donor, shell, connectors), named.components, "its plugs"),
        circuits=elected(circuit_votes(donor, shell, connectors), named.circuits, "the cavities it is in"),
        harnesses=elected(harness_votes(donor, shell, connectors), named.harnesses, "its plugs"),
        grounds=elected(ground_votes(donor, shell, connectors), named.grounds, "place and wires"),
        cavities=named.cavities,
        ambiguous=ambiguous,
    )
