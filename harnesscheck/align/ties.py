"""Rows that no surroundings tell apart: paired in natural order, and said to be interchangeable.

Tied rows that touch each other form *copies* (a left and a right lamp with its
plug). Copies in which every row is of another class are paired whole; where a
class repeats inside one, a single pair is made and the colours refined again.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING

from harnesscheck.align.both import Both
from harnesscheck.align.refine import Colours, classes, mark, refined
from harnesscheck.network.graph.index import UnionFind

if TYPE_CHECKING:
    from harnesscheck.align.both import Hashes, Ints

MAX_SPLITS = 40  # rounds of pairing and refining again; a car's symmetries are shallow

Pairing = list[tuple[int, int]]


def _tied(colours: Hashes, donors: int) -> Ints:
    """The class of every row that shares it with another row of its own car, in equal numbers; else -1."""
    import numpy as np

    found = classes(colours, donors)
    tied = (found.donors == found.shells) & (found.donors > 1)
    return np.where(tied[found.number], found.number, -1)


class _Copies:
    """The connected groups of tied connectors and components of both cars."""

    def __init__(self, both: Both, colours: Colours) -> None:
        self.both = both
        self.connectors = both.connectors.count
        self.class_of = [
            *_tied(colours.connector, both.connectors.donors).tolist(),
            *(
                -1 if kind < 0 else kind + self.connectors
                for kind in _tied(colours.component, both.components.donors).tolist()
            ),
        ]
        self.piece_tied = _tied(colours.piece, both.donor_pieces) >= 0
        self.sets = UnionFind(self.connectors + both.components.count)
        self._join()

    def _join(self) -> None:
        both, tied = self.both, self.class_of
        for row, (owner, mate) in enumerate(zip(both.owner.tolist(), both.mate.tolist(), strict=True)):
            for other in (owner + self.connectors if owner >= 0 else -1, mate):
                if tied[row] >= 0 and other >= 0 and tied[other] >= 0:
                    self.sets.union(row, other)
        first: dict[int, int] = {}
        for rows, pieces, shift in (
            (both.hole_connector, both.hole_piece, 0),
            (both.end_component, both.end_piece, self.connectors),
        ):
            keep = self.piece_tied[pieces]
            for row, piece in zip(rows[keep].tolist(), pieces[keep].tolist(), strict=True):
                if tied[row + shift] >= 0:
                    self.sets.union(first.setdefault(piece, row + shift), row + shift)

    def groups(self) -> dict[tuple[int, ...], tuple[list[list[int]], list[list[int]]]]:
        """Copies by their classes: the donor's and the shell's, each a list of rows sorted by class."""
        copies: dict[int, list[int]] = defaultdict(list)
        for row, kind in enumerate(self.class_of):
            if kind >= 0:
                copies[self.sets.find(row)].append(row)
        found: dict[tuple[int, ...], tuple[list[list[int]], list[list[int]]]] = defaultdict(lambda: ([], []))
        for rows in copies.values():
            rows.sort(key=lambda row: (self.class_of[row], row))
            key = tuple(self.class_of[row] for row in rows)
            found[key][self._of_shell(rows[0])].append(rows)
        return found

    def _of_shell(self, row: int) -> bool:
        if row < self.connectors:
            return row >= self.both.connectors.donors
        return row - self.connectors >= self.both.components.donors


def settled(both: Both, colours: Colours) -> Colours:
    """Pair tied rows until none are left; rows that are paired end up alone in their classes."""
    colours = replace(colours, connector=colours.connector.copy(), component=colours.component.copy())
    for turn in range(MAX_SPLITS):
        copies = _Copies(both, colours)
        chosen: Pairing = []
        for key, (ours, theirs) in sorted(copies.groups().items()):
            for mine, yours in zip(sorted(ours), sorted(theirs), strict=False):
                pairs = list(zip(mine, yours, strict=True))
                chosen += pairs if len(set(key)) == len(key) else pairs[:1]
        if not chosen:
            break
        n = copies.connectors
        mark(colours.connector, [pair for pair in chosen if pair[0] < n], turn)
        mark(colours.component, [(a - n, b - n) for a, b in chosen if a >= n], turn)
        colours = refined(both, colours)
    return colours
