"""What follows once connectors are paired: components, harnesses, circuits, ground points.

Each sort takes its pairs from votes of what is paired already; a pair a person
gave, or one of equal ids, stands unless every vote speaks against it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence

from harnesscheck.align.assign import assigned
from harnesscheck.align.both import natural_key
from harnesscheck.align.byname import SAME_NAME
from harnesscheck.align.names import MANY
from harnesscheck.align.pairs import Pair
from harnesscheck.network.sides import Study

Votes = Mapping[tuple[str, str], float]

AGAINST = 2.0  # votes that all speak for another partner before an equal id is overruled


def elected(votes: Votes, known: Sequence[Pair], why: str) -> tuple[Pair, ...]:
    """Known pairs, then mutual best by votes; the confidence is the share of both rows' votes."""
    ours: dict[str, float] = defaultdict(float)
    theirs: dict[str, float] = defaultdict(float)
    for (a, b), strength in votes.items():
        ours[a] += strength
        theirs[b] += strength
    pairs = _trusted(known, votes, ours, theirs)
    taken, given = {pair.shell for pair in pairs}, {pair.donor for pair in pairs}
    for a, b in _best(votes, given, taken):
        share = votes[a, b] / max(ours[a], theirs[b])
        sure = 1 - 0.5 / (1 + votes[a, b])
        pairs.append(Pair(a, b, min(0.999, round(share * sure, 3)), why))
    return tuple(pairs)


def _best(votes: Votes, given: Collection[str], taken: Collection[str]) -> list[tuple[str, str]]:
    """The pairs of rows not yet paired that gather most votes together."""
    keys = sorted(key for key in votes if key[0] not in given and key[1] not in taken)
    donors = {id: n for n, id in enumerate(sorted({a for a, _ in keys}, key=natural_key))}
    shells = {id: n for n, id in enumerate(sorted({b for _, b in keys}, key=natural_key))}
    keys.sort(key=lambda key: (donors[key[0]], shells[key[1]]))
    chosen = assigned([(donors[a], shells[b], votes[a, b]) for a, b in keys])
    return [keys[number] for number in chosen]


def _trusted(
    known: Sequence[Pair],
    votes: Votes,
    ours: Mapping[str, float],
    theirs: Mapping[str, float],
) -> list[Pair]:
    """The known pairs that stand: an equal id falls where every vote about it goes elsewhere.

    One vote is not enough for that, unless the votes contradict so many equal ids
    that ids of this sort are worth nothing.
    """

    def against(pair: Pair) -> float:
        if pair.why != SAME_NAME or votes.get((pair.donor, pair.shell), 0.0) > 0:
            return 0.0
        return ours.get(pair.donor, 0.0)

    same = [pair for pair in known if pair.why == SAME_NAME and pair.donor in ours]
    contradicted = sum(against(pair) > 0 for pair in same)
    if contradicted > MANY * len(same):
        return [pair for pair in known if against(pair) == 0 and (pair.why != SAME_NAME or pair.donor in ours)]
    return [pair for pair in known if against(pair) < AGAINST or theirs.get(pair.shell, 0.0) < AGAINST]


def component_votes(donor: Study, shell: Study, connectors: Iterable[Pair]) -> Votes:
    """One vote a cavity of each pair of sockets."""
    votes: Counter[tuple[str, str]] = Counter()
    for pair in connectors:
        a, b = donor.vehicle.connectors[pair.donor], shell.vehicle.connectors[pair.shell]
        if a.component is not None and b.component is not None:
            votes[a.component, b.component] += max(1, min(len(a.cavities or ()), len(b.cavities or ())))
    return {key: float(count) for key, count in votes.items()}


def harness_votes(donor: Study, shell: Study, connectors: Iterable[Pair]) -> Votes:
    """One vote a pair of plugs."""
    votes: Counter[tuple[str, str]] = Counter()
    for pair in connectors:
        a, b = donor.vehicle.connectors[pair.donor], shell.vehicle.connectors[pair.shell]
        if a.harness is not None and b.harness is not None:
            votes[a.harness, b.harness] += 1
    return {key: float(count) for key, count in votes.items()}


def circuit_votes(donor: Study, shell: Study, connectors: Iterable[Pair]) -> Votes:
    """One vote a cavity: the circuits named on the wires in both."""
    votes: Counter[tuple[str, str]] = Counter()
    here, there = _circuits_at(donor), _circuits_at(shell)
    cavities_of = _cavities_of(here)
    for pair in connectors:
        for cavity in cavities_of.get(pair.donor, ()):
            for a in here[pair.donor, cavity]:
                for b in there.get((pair.shell, cavity), ()):
                    votes[a, b] += 1
    return {key: float(count) for key, count in votes.items()}


def _cavities_of(at: Iterable[tuple[str, str]]) -> Mapping[str, list[str]]:
    cavities: dict[str, list[str]] = defaultdict(list)
    for connector, cavity in at:
        cavities[connector].append(cavity)
    return cavities


def _circuits_at(study: Study) -> Mapping[tuple[str, str], list[str]]:
    found: dict[tuple[str, str], dict[str, None]] = defaultdict(dict)
    for pin in study.vehicle.netlist.pins:
        if pin.circuit is None:
            continue
        if pin.connector is not None:
            found[pin.connector, pin.cavity or ""][pin.circuit] = None
        if pin.to is not None and ":" in pin.to:
            connector, _, cavity = pin.to.partition(":")
            found[connector, cavity][pin.circuit] = None
    return {key: list(circuits) for key, circuits in found.items()}


def ground_votes(donor: Study, shell: Study, connectors: Iterable[Pair]) -> Votes:
    """A stud is what is on it; the same place counts for three of its wires."""
    votes: Counter[tuple[str, str]] = Counter()
    here, there = donor.index.ground_pieces, shell.index.ground_pieces
    for pair in connectors:
        for cavity in donor.index.cavities(pair.donor):
            p, q = donor.index.piece(pair.donor, cavity), shell.index.piece(pair.shell, cavity)
            if p is not None and q is not None and p in here and q in there:
                votes[here[p], there[q]] += 1
    found = {key: float(count) for key, count in votes.items()}
    by_place: dict[str, list[str]] = defaultdict(list)
    for row in shell.vehicle.netlist.grounds:
        if row.at is not None:
            by_place[row.at].append(row.id)
    for row in donor.vehicle.netlist.grounds:
        for other in by_place.get(row.at or "", ()):
            found[row.id, other] = found.get((row.id, other), 0.0) + 3.0
    return found
