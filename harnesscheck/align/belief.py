"""How likely each candidate is, by passing beliefs along wires until they settle.

A candidate is judged by what it is (families of features) and by where its wires
go: a wire speaks for it as far as the wire's other ends are believed to be
partners. What a candidate itself says about a wire is left out when the wire
speaks for the candidate, so that no error confirms itself. Beliefs of one row
compete with each other and with having no partner.

With x the belief, from its other ends, that two wires are one, k how much is
known of either, w the share of wires that stay where they are and b how rare it
is for a wrong partner to have that wire, a wire's likelihood ratio is

    1 - k + b w x + (1 - w) (k - x)

References
----------
.. [1] M. Bayati, D. F. Gleich, A. Saberi, Y. Wang, "Message-passing algorithms
   for sparse network alignment", ACM TKDD 7, 2013.
.. [2] S. Melnik, H. Garcia-Molina, E. Rahm, "Similarity flooding", ICDE 2002.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log
from typing import TYPE_CHECKING

from harnesscheck.align.both import Both
from harnesscheck.align.evidence import (
    NAMES,
    RELIABILITY,
    RINGS,
    Family,
    HoleFamily,
    families,
    hole_families,
)
from harnesscheck.align.joints import Candidates, Joints, candidates
from harnesscheck.align.propose import along_wires, by_features
from harnesscheck.network.graph.index import UnionFind

if TYPE_CHECKING:
    from harnesscheck.align.both import Flags, Floats, Ints

HEATS = (0.25, 0.35, 0.5, 0.7, 0.85, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0)  # how much of the evidence counts
PROPOSE_AT = frozenset({3, 5, 7, 9})  # rounds after which wires propose more candidates
NAMES_FROM = 4  # the round from which names are heard, once there is something to judge them by
NO_PARTNER = 0.05  # share of rows without one, before anything is learnt
WIRES_STAY = 0.8
LOOMS_STAY = 0.95
UNSURE = 0.4  # other ends' belief that counts as half known
CROSSED_HOLES = 400  # pairs of cavities of two plugs up to which crossed wires are looked for
MOVED_WITHIN = 0.1  # of the wires that change, the share that is only moved within a plug
SETTLED = 0.97
MAX_SCORE = 600.0  # nats; more would not fit a float when raised to a power
LEARN_FROM = 2  # the round from which reliabilities are learnt
TIE_TURNS = 8
FAVOUR = 4.0  # nats given to a favourite
DECIDED = 0.9


@dataclass(frozen=True)
class BeliefLinks:
    """What candidates share by lying on two wires (or looms, or components), one entry a pair of holes.

    ``kind`` 0 wire, 1 component, 2 loom; ``a`` and ``b`` number the things of both
    sides, ``thing`` the different pairs of them; ``boost`` is the rarity b.
    """

    candidate: Ints
    entry: Ints  # the pair of holes, for wires; wires come first
    kind: Ints
    here: Ints  # the donor's hole or connector, apart for each kind
    there: Ints
    thing: Ints
    thing_a: Ints
    thing_b: Ints
    a: Ints
    b: Ints
    boost: Floats
    head: Floats  # by thing: belief known beforehand (ground points of one place)
    things: int
    sides: int
    spots: int


def links_of(found: Candidates, place_votes: bool = True) -> BeliefLinks:
    """Every pair of wires, components and looms that candidates set side by side."""
    import numpy as np

    both = found.both
    candidate, ours, theirs = found.hole_pairs
    ends = np.bincount(both.hole_piece, minlength=both.pieces)
    leads = (ends > 1) | (both.ground >= 0)
    keep = leads[both.hole_piece[ours]] & leads[both.hole_piece[theirs]]
    entry = np.flatnonzero(keep)
    candidate, ours, theirs = candidate[keep], ours[keep], theirs[keep]
    rows, one, other = found.connector_pairs
    owned = (both.owner[one] >= 0) & (both.owner[other] >= 0)
    loomed = (both.loom[one] >= 0) & (both.loom[other] >= 0)
    shift = both.pieces, both.pieces + both.components.count
    holes = len(both.hole_piece)
    spot = holes, holes + both.connectors.count
    a = np.concatenate([both.hole_piece[ours], both.owner[one[owned]] + shift[0], both.loom[one[loomed]] + shift[1]])
    b = np.concatenate(
        [both.hole_piece[theirs], both.owner[other[owned]] + shift[0], both.loom[other[loomed]] + shift[1]]
    )
    kind = np.repeat([0, 1, 2], [len(candidate), int(owned.sum()), int(loomed.sum())])
    sides = shift[1] + both.harnesses.count
    key, thing = np.unique(a * sides + b, return_inverse=True)
    head = np.zeros(len(key))
    ground = np.concatenate([both.ground, np.full(sides - both.pieces, -1)])
    thing_a, thing_b = key // sides, key % sides
    if place_votes:
        counts = np.bincount(ground[ground >= 0], minlength=1)
        alone = (ground[thing_a] >= 0) & (ground[thing_a] == ground[thing_b]) & (counts[ground[thing_a]] == 2)
        head[alone] = 2.0
    return BeliefLinks(
        np.concatenate([candidate, rows[owned], rows[loomed]]),
        entry,
        kind,
        np.concatenate([ours, one[owned] + spot[0], one[loomed] + spot[1]]),
        np.concatenate([theirs, other[owned] + spot[0], other[loomed] + spot[1]]),
        thing,
        thing_a,
        thing_b,
        a,
        b,
        _boost(both, a, b, kind),
        head,
        len(key),
        sides,
        spot[1] + both.connectors.count,
    )


def _boost(both: Both, a: Ints, b: Ints, kind: Ints) -> Floats:
    """How much rarer than certain it is that a wrong partner lies on the same thing."""
    import numpy as np

    ends = np.bincount(both.hole_piece, minlength=both.pieces)
    grounded = both.ground >= 0
    plugs = np.bincount(both.owner[both.owner >= 0], minlength=both.components.count)
    looms = np.bincount(both.loom[both.loom >= 0], minlength=both.harnesses.count)
    loom_halves = int(looms.sum())
    on_ground = max(1, int(ends[grounded].sum()))
    others = max(1, int(ends[~grounded].sum()))
    room = np.concatenate(
        [
            np.where(grounded, on_ground, others) / np.maximum(ends, 1) * 0.5,
            max(1, int(plugs.sum())) / np.maximum(plugs, 1) * 0.5,
            max(1, loom_halves) / np.maximum(looms, 1),
        ]
    )
    boost: Floats = np.clip(np.minimum(room[a], room[b]), 1.5, 400.0)
    return boost


@dataclass(frozen=True)
class Crossed:
    """Wires of a donor plug that a candidate may hold in another cavity, one entry a pair of holes."""

    candidate: Ints
    here: Ints
    thing: Ints
    a: Ints
    boost: Floats


def crossed_of(found: Candidates, links: BeliefLinks, undecided: Flags) -> Crossed:
    """The crossed pairs of holes of undecided candidates, as far as anything is said about their wires."""
    import numpy as np

    both = found.both
    candidate, ours, theirs = found.connector_pairs
    start, count = both.hole_range
    keep = undecided[candidate] & (both.owner[ours] < 0) & (count[ours] * count[theirs] <= CROSSED_HOLES)
    candidate, ours, theirs = candidate[keep], ours[keep], theirs[keep]
    much = count[ours] * count[theirs]
    entry = np.repeat(np.arange(len(ours)), much)
    within = np.arange(int(much.sum())) - np.repeat(np.cumsum(much) - much, much)
    here = start[ours[entry]] + within // count[theirs[entry]]
    there = start[theirs[entry]] + within % count[theirs[entry]]
    a, b = both.hole_piece[here], both.hole_piece[there]
    keys = links.thing_a * links.sides + links.thing_b
    wanted = a * links.sides + b
    thing = np.minimum(np.searchsorted(keys, wanted), max(0, len(keys) - 1))
    linked = keys[thing] == wanted if len(keys) else np.zeros(len(wanted), dtype=bool)
    said = (both.hole_cavity[here] != both.hole_cavity[there]) & linked
    kind = np.zeros(int(said.sum()), dtype=np.int64)
    a, b = a[said], b[said]
    return Crossed(candidate[entry[said]], here[said], thing[said], a, _boost(both, a, b, kind))


@dataclass
class BeliefState:
    """What is believed: per candidate, and what has been learnt."""

    found: Candidates
    families: tuple[Family, ...]
    hole_families: tuple[HoleFamily, ...]
    links: BeliefLinks
    belief: Floats
    reliability: dict[str, float]
    stay: list[float]
    score: Floats
    crossed: Crossed | None = None


def _link_terms(state: BeliefState) -> tuple[Floats, Floats]:
    """(x, k) of the module's text, for every link."""
    import numpy as np

    links = state.links
    weight = state.belief[links.candidate]
    votes = np.bincount(links.thing, weights=weight, minlength=links.things) + links.head
    total_a = np.bincount(links.thing_a, weights=votes, minlength=links.sides)
    total_b = np.bincount(links.thing_b, weights=votes, minlength=links.sides)
    here = np.bincount(links.here, weights=weight, minlength=links.spots)
    there = np.bincount(links.there, weights=weight, minlength=links.spots)
    for_it = np.maximum(votes[links.thing] - weight, 0.0)
    known = np.maximum(np.maximum(total_a[links.a] - here[links.here], total_b[links.b] - there[links.there]), for_it)
    return for_it / (known + UNSURE), known / (known + UNSURE)


def _score(state: BeliefState, turn: int) -> Floats:
    """The log-likelihood ratio of every candidate.

    What is seen in one cavity (colour, size, where the wire goes) stands or falls
    together: a wire may have been replaced whole. So a cavity never counts for less
    than the share of wires that change.
    """
    import numpy as np

    found, links = state.found, state.links
    share, known = _link_terms(state)
    stay = np.array(state.stay)[links.kind]
    ratio = 1 - known + links.boost * stay * share + (1 - stay) * np.maximum(known - share, 0.0)
    link = np.log(np.maximum(ratio, 1e-3))
    wires = len(links.entry)
    hole = np.zeros(len(found.hole_pairs[0]))
    hole[links.entry] = link[:wires]
    for family in state.hole_families:
        hole[family.entry] += _heard(family.name, turn) * family.score(state.reliability[family.name])
    change = min(max(1 - state.stay[0], 0.03), 0.5)
    hole = np.logaddexp(np.log1p(-change) + hole, log(change))
    total = found.total(found.hole_pairs[0], hole) + found.total(links.candidate[wires:], link[wires:])
    if state.crossed is not None:
        total += _crossed_score(state, state.crossed, MOVED_WITHIN * change)
    for of_joint in state.families:
        total += _heard(of_joint.name, turn) * of_joint.score(state.reliability[of_joint.name])
    return total


def _crossed_score(state: BeliefState, crossed: Crossed, moved: float) -> Floats:
    """What wires speak for a candidate that are in it, but in another cavity; it never speaks against."""
    import numpy as np

    links = state.links
    weight = state.belief[links.candidate]
    votes = np.bincount(links.thing, weights=weight, minlength=links.things) + links.head
    total_a = np.bincount(links.thing_a, weights=votes, minlength=links.sides)
    here = np.bincount(links.here, weights=weight, minlength=links.spots)
    known = np.maximum(total_a[crossed.a] - here[crossed.here], votes[crossed.thing])
    share = votes[crossed.thing] / (known + UNSURE)
    return state.found.total(crossed.candidate, np.log1p(moved * crossed.boost * share))


def _heard(family: str, turn: int) -> float:
    """How much a family counts in a round: names come late, rings make way for the wires themselves."""
    if family in NAMES:
        return 1.0 if turn >= NAMES_FROM else 0.0
    return max(0.0, 1 - turn / 5) if family in RINGS else 1.0


def _compete(found: Candidates, score: Floats) -> Floats:
    """Beliefs from log-odds: rivals in the row and in the column, and having no partner, share one."""
    import numpy as np

    weight = np.exp(np.clip(score, -MAX_SCORE, MAX_SCORE))
    size = found.joints.count
    free_row, free_column = np.ones(found.count), np.ones(found.count)
    belief: Floats = weight
    for _ in range(4):
        row, column = weight * free_row, weight * free_column
        in_row = row / (1 + np.bincount(found.donor, weights=row, minlength=size)[found.donor])
        in_column = column / (1 + np.bincount(found.shell, weights=column, minlength=size)[found.shell])
        belief = np.minimum(in_row, in_column)
        claimed_row = np.bincount(found.donor, weights=belief, minlength=size)[found.donor] - belief
        claimed_column = np.bincount(found.shell, weights=belief, minlength=size)[found.shell] - belief
        free_row = np.clip(1 - claimed_column, 1e-6, 1.0)  # a rival's partner is hardly free for this row
        free_column = np.clip(1 - claimed_row, 1e-6, 1.0)
    return belief


def _learn(state: BeliefState) -> None:
    """Set the reliabilities, and how many wires stay, from what is believed now."""
    import numpy as np

    weights = np.where(state.belief > 0.5, state.belief, 0.0)
    for family in state.families:
        state.reliability[family.name] = family.learnt(weights, RELIABILITY[family.name])
    for in_hole in state.hole_families:
        by_entry = weights[state.found.hole_pairs[0]]
        state.reliability[in_hole.name] = in_hole.learnt(by_entry, RELIABILITY[in_hole.name])
    share, known = _link_terms(state)
    weight = np.where(known > 0.5, weights[state.links.candidate], 0.0)
    stays = share / known.clip(1e-9)
    for kind, before in enumerate((WIRES_STAY, LOOMS_STAY, LOOMS_STAY)):
        of_kind = np.where(state.links.kind == kind, weight, 0.0)
        stayed = float((of_kind * stays).sum())
        stay = (stayed + 10 * before) / (float(of_kind.sum()) + 10)
        state.stay[kind] = min(max(stay, 0.3), 0.97)


def _started(found: Candidates, before: BeliefState | None) -> BeliefState:
    import numpy as np

    belief = np.zeros(found.count)
    reliability, stay = dict(RELIABILITY), [WIRES_STAY, LOOMS_STAY, LOOMS_STAY]
    if before is not None:
        old = before.found
        size = found.joints.count
        key = (found.donor * size + found.shell) * 2 + found.way
        old_key = (old.donor * size + old.shell) * 2 + old.way
        at = np.minimum(np.searchsorted(old_key, key), max(0, len(old_key) - 1))
        belief = np.where(old_key[at] == key, before.belief[at], 0.0)
        reliability, stay = before.reliability, before.stay
    return BeliefState(found, families(found), hole_families(found), links_of(found), belief, reliability, stay, belief)


def _more(state: BeliefState, fixed: Flags) -> BeliefState:
    """The state with candidates that believed wires lead to, and without those that lost."""
    import numpy as np

    found, links = state.found, state.links
    votes = np.bincount(links.thing, weights=state.belief[links.candidate], minlength=links.things)
    wire = (links.thing_a < found.both.pieces) & (votes > 0.5)
    settled = np.zeros(found.joints.count, dtype=bool)
    good = state.belief > SETTLED
    settled[found.donor[good]] = True
    settled[found.shell[good]] = True
    donor, shell, way = along_wires(
        found.both, found.joints, links.thing_a[wire], links.thing_b[wire], ~settled & ~fixed
    )
    keep = (state.belief > 1e-4) | (~settled[found.donor] & ~settled[found.shell])
    more = candidates(
        found.both,
        found.joints,
        np.concatenate([found.donor[keep], donor]),
        np.concatenate([found.shell[keep], shell]),
        np.concatenate([found.way[keep], way]),
    )
    return _started(more, state)


def believed(both: Both, joints: Joints, seeds: Candidates) -> BeliefState:
    """Beliefs in every candidate. ``seeds`` are certain; their joints take no part otherwise."""
    import numpy as np

    fixed = np.zeros(joints.count, dtype=bool)
    fixed[seeds.donor] = True
    fixed[seeds.shell] = True
    by = by_features(both, joints, ~fixed)
    state = _started(_with_seeds(by, seeds), None)
    for turn, heat in enumerate(HEATS):
        _round(state, fixed, turn, heat)
        if turn in PROPOSE_AT:
            state = _more(state, fixed)
        if turn == max(PROPOSE_AT):
            state.crossed = crossed_of(state.found, state.links, _undecided(state))
    return state


def _round(state: BeliefState, fixed: Flags, turn: int, heat: float, bias: Floats | None = None) -> None:
    import numpy as np

    joints = state.found.joints
    prior = log((1 - NO_PARTNER) / NO_PARTNER) - log(max(2, joints.count - joints.donors))
    score = heat * (_score(state, turn) + prior)
    if bias is not None:
        score = score + bias
    state.score = np.where(_certain(state.found, fixed), MAX_SCORE, score)
    state.belief = _compete(state.found, state.score)
    if turn >= LEARN_FROM and bias is None:
        _learn(state)


def decided(state: BeliefState, seeds: Candidates) -> BeliefState:
    """The state once rows that nothing tells apart have been told apart at will, each set in one way.

    In every group of rivals that share their belief, one candidate is favoured,
    and the wires carry the choice on to what hangs on it. The favourite is the
    first in natural order among equals.
    """
    import numpy as np

    fixed = np.zeros(state.found.joints.count, dtype=bool)
    fixed[seeds.donor] = True
    bias = np.zeros(state.found.count)
    state = replace(state)
    for _ in range(TIE_TURNS):
        favourites = _favourites(state)
        if not favourites:
            break
        bias[favourites] += FAVOUR
        for _ in range(2):
            _round(state, fixed, len(HEATS), 1.0, bias)
    return state


def _favourites(state: BeliefState) -> list[int]:
    """The best candidate of each group of rows that are undecided."""
    import numpy as np

    found, belief = state.found, state.belief
    best = np.zeros(found.joints.count)
    np.maximum.at(best, found.donor, belief)
    np.maximum.at(best, found.shell, belief)
    open_ = (belief > 0.05) & (best[found.donor] < DECIDED) & (best[found.shell] < DECIDED)
    rows = np.flatnonzero(open_).tolist()
    first: dict[int, int] = {}
    sets = UnionFind(len(rows))
    for at, row in enumerate(rows):
        for joint in (int(found.donor[row]), int(found.shell[row])):
            sets.union(at, first.setdefault(joint, at))
    chosen: dict[int, int] = {}
    for at, row in enumerate(rows):
        group = sets.find(at)
        if group not in chosen or belief[row] > belief[chosen[group]] + 1e-3:
            chosen[group] = row
    return sorted(chosen.values())


def _undecided(state: BeliefState) -> Flags:
    """Candidates neither of whose joints has found its partner."""
    import numpy as np

    found = state.found
    settled = np.zeros(found.joints.count, dtype=bool)
    good = state.belief > SETTLED
    settled[found.donor[good]] = True
    settled[found.shell[good]] = True
    return ~settled[found.donor] & ~settled[found.shell]


def _certain(found: Candidates, fixed: Flags) -> Flags:
    certain: Flags = fixed[found.donor]
    return certain


def _with_seeds(by: Candidates, seeds: Candidates) -> Candidates:
    import numpy as np

    return candidates(
        by.both,
        by.joints,
        np.concatenate([by.donor, seeds.donor]),
        np.concatenate([by.shell, seeds.shell]),
        np.concatenate([by.way, seeds.way]),
    )
