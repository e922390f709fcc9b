"""Pairs from pairs: plugs at the other ends of wires whose near ends are paired already.

Votes are counted along pieces, mates and owners; mutual best partners with a
clear margin are paired, and the rest waits for the next round [1]_.

References
----------
.. [1] L. Yartseva, M. Grossglauser, "On the performance of percolation graph
   matching", COSN 2013.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from harnesscheck.align.both import Both

ROUNDS = 30
MARGINS = (3.0, 2.0, 1.0)  # votes a partner must be ahead, tried in this order


@dataclass
class Paired:
    """Row pairs by donor row, with confidence and reason, kept one-to-one."""

    of: dict[int, tuple[int, float, str]] = field(default_factory=dict)
    taken: set[int] = field(default_factory=set)

    def add(self, donor: int, shell: int, confidence: float, why: str) -> bool:
        """Pair two rows unless either is paired; says whether it did."""
        if donor in self.of or shell in self.taken:
            return False
        self.of[donor] = (shell, confidence, why)
        self.taken.add(shell)
        return True


class _Wiring:
    """The arrays of both cars as look-ups."""

    def __init__(self, both: Both) -> None:
        self.both = both
        self.holes_of: dict[int, dict[int, int]] = defaultdict(dict)
        self.ends_of: dict[int, list[tuple[int, int]]] = defaultdict(list)
        rows = (both.hole_connector.tolist(), both.hole_cavity.tolist(), both.hole_piece.tolist())
        for connector, cavity, piece in zip(*rows, strict=True):
            self.holes_of[connector][cavity] = piece
            self.ends_of[piece].append((connector, cavity))
        self.owner, self.mate = both.owner.tolist(), both.mate.tolist()
        self.plugs_of: dict[int, list[int]] = defaultdict(list)
        for connector, owner in enumerate(self.owner):
            self.plugs_of[owner].append(connector)
        kind, count = both.part_facts["kind"].tolist(), both.facts["count"].tolist()
        half = both.facts["half"].tolist()
        self.sort = [(owner >= 0, kind[owner] if owner >= 0 else -1) for owner in self.owner]
        self.shape = list(zip(count, half, both.facts["at"].tolist(), strict=True))


def _votes(wiring: _Wiring, paired: Paired) -> dict[tuple[int, int], float]:
    pieces: dict[tuple[int, int], float] = defaultdict(float)
    votes: dict[tuple[int, int], float] = defaultdict(float)
    for a, (b, _, _) in paired.of.items():
        for cavity, piece in wiring.holes_of[a].items():
            other = wiring.holes_of[b].get(cavity)
            if other is not None:
                pieces[piece, other] += 1.0
        if wiring.mate[a] >= 0 and wiring.mate[b] >= 0:
            votes[wiring.mate[a], wiring.mate[b]] += 6.0
        if wiring.owner[a] >= 0 and wiring.owner[b] >= 0:
            for mine in wiring.plugs_of[wiring.owner[a]]:
                for yours in wiring.plugs_of[wiring.owner[b]]:
                    votes[mine, yours] += 2.0
    for (p, q), strength in sorted(pieces.items()):
        near, far = wiring.ends_of[p], wiring.ends_of[q]
        worth = min(strength, 3.0) / max(1.0, (len(near) + len(far)) / 4)
        for a, at in near:
            if a in paired.of:
                continue
            for b, cavity in far:
                if b not in paired.taken:
                    votes[a, b] += worth * (1.5 if at == cavity else 0.5)
    return votes


def _may_pair(wiring: _Wiring, a: int, b: int) -> bool:
    (owned, kind), (their_owned, their_kind) = wiring.sort[a], wiring.sort[b]
    return owned == their_owned and (kind == their_kind or -1 in (kind, their_kind))


def spread(both: Both, paired: Paired) -> None:
    """Add pairs to those given until a round adds none."""
    wiring = _Wiring(both)
    margins = list(MARGINS)
    for _ in range(ROUNDS):
        added = _round(wiring, paired, margins[0])
        if not added and len(margins) > 1:
            margins.pop(0)
        elif not added:
            return


def _round(wiring: _Wiring, paired: Paired, margin: float) -> bool:
    rows: dict[int, list[tuple[float, int]]] = defaultdict(list)
    columns: dict[int, list[tuple[float, int]]] = defaultdict(list)
    for (a, b), votes in sorted(_votes(wiring, paired).items()):
        if a in paired.of or b in paired.taken or not _may_pair(wiring, a, b):
            continue
        alike = sum(x == y for x, y in zip(wiring.shape[a], wiring.shape[b], strict=True))
        rows[a].append((votes + 0.5 * alike, b))
        columns[b].append((votes + 0.5 * alike, a))
    added = False
    for a, scores in sorted(rows.items()):
        (best, b), *others = sorted(scores, key=lambda item: (-item[0], item[1]))
        back, *rivals = sorted(columns[b], key=lambda item: (-item[0], item[1]))
        second = max([score for score, _ in (*others[:1], *rivals[:1])], default=0.0)
        if back[1] == a and best - second >= margin:
            added |= paired.add(a, b, min(0.99, 1 - 1 / (2 + best - second)), "its wires")
    return added


def leftovers(both: Both, paired: Paired) -> None:
    """Rows left over that are alone of their look in both cars, coarser looks with lower confidence."""
    wiring = _Wiring(both)
    facts = {name: column.tolist() for name, column in both.facts.items()}
    looks = (
        (("count", "half", "keyway", "housing_colour", "at"), 0.9, "shape, housing and place"),
        (("count", "at"), 0.7, "size and place"),
        (("count",), 0.5, "size"),
        ((), 0.4, "the only one left"),
    )
    for names, confidence, why in looks:
        groups: dict[tuple[object, ...], tuple[list[int], list[int]]] = defaultdict(lambda: ([], []))
        for row in range(both.connectors.count):
            shell = row >= both.connectors.donors
            if row not in (paired.taken if shell else paired.of):
                look = (*wiring.sort[row], *(facts[name][row] for name in names))
                groups[look][shell].append(row)
        for ours, theirs in groups.values():
            if len(ours) == 1 and len(theirs) == 1:
                paired.add(ours[0], theirs[0], confidence, why)
