"""Colour refinement of two cars at once: rows that cannot be told apart share a colour.

Every connector, component, harness and piece gets a 64-bit colour from what is
known about it; each round mixes in the colours of what it touches, until no
class splits any more. Rows of equal colour have, as far as their surroundings
can tell, the same place in both cars. This is the partition refinement of
netlist comparison [1]_ and, where classes are not single, its individualisation
[2]_. A whole car with every name changed and nothing else comes out complete.

References
----------
.. [1] C. Ebeling, O. Zajicek, "Validating VLSI circuit layout by wirelist
   comparison", ICCAD 1983.
.. [2] B. D. McKay, A. Piperno, "Practical graph isomorphism, II", J. Symbolic
   Computation 60, 2014.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from harnesscheck.align.both import Both, scramble

if TYPE_CHECKING:
    from harnesscheck.align.both import Flags, Hashes, Ints

MAX_ROUNDS = 200  # more than the diameter of any car's wiring


@dataclass
class Colours:
    """The current colour of every row of both cars."""

    connector: Hashes
    component: Hashes
    harness: Hashes
    piece: Hashes

    def classes(self) -> int:
        """How many different colours there are, sort by sort."""
        import numpy as np

        return sum(int(np.unique(part).size) for part in (self.connector, self.component, self.harness, self.piece))


def hashed(*columns: Ints | Hashes | Flags) -> Hashes:
    """One hash of several columns, their order mattering."""
    import numpy as np

    total: Hashes = np.zeros(len(columns[0]), dtype=np.uint64)
    for column in columns:
        total = scramble(total * np.uint64(31) + column.astype(np.uint64))
    return total


def first_colours(
    both: Both, connectors: Sequence[tuple[int, int]] = (), components: Sequence[tuple[int, int]] = ()
) -> Colours:
    """Colours from what a row says of itself; rows already paired get a colour of their own."""
    import numpy as np

    connector = hashed(*both.facts.values(), (both.owner >= 0).astype(np.int64), (both.mate >= 0).astype(np.int64))
    component = hashed(*both.part_facts.values(), both.inside)
    colours = Colours(
        connector,
        component,
        np.ones(both.harnesses.count, dtype=np.uint64),
        scramble(both.ground.astype(np.uint64)),
    )
    mark(colours.connector, connectors)
    mark(colours.component, components)
    return colours


def mark(colours: Hashes, pairs: Sequence[tuple[int, int]], salt: int = 0) -> None:
    """Give both rows of each pair one new colour, so that they are alike and unlike all others."""
    import numpy as np

    if len(pairs):
        table = np.array(pairs, dtype=np.int64)
        new = hashed(table[:, 0], np.full(len(table), 77 + salt))
        colours[table[:, 0]] = new
        colours[table[:, 1]] = new


def _sum(rows: int, at: Ints, values: Hashes) -> Hashes:
    import numpy as np

    total = np.zeros(rows, dtype=np.uint64)
    known = at >= 0
    np.add.at(total, at[known], values[known])
    return total


def _of(colours: Hashes, at: Ints) -> Hashes:
    """The colour a column of row numbers points at, 0 for none."""
    import numpy as np

    if not colours.size:
        return np.zeros(len(at), dtype=np.uint64)
    return np.where(at >= 0, colours[at], np.uint64(0))


def one_round(both: Both, now: Colours) -> Colours:
    """Mix into every colour those of what the row touches."""
    hole = hashed(both.hole_cavity, both.hole_colour, both.hole_size)
    end = hashed(both.end_terminal, both.end_role)
    piece = _sum(both.pieces, both.hole_piece, hashed(hole, now.connector[both.hole_connector]))
    piece += _sum(both.pieces, both.end_piece, hashed(end, now.component[both.end_component]))
    connector = _sum(both.connectors.count, both.hole_connector, hashed(hole, now.piece[both.hole_piece]))
    component = _sum(both.components.count, both.end_component, hashed(end, now.piece[both.end_piece]))
    component += _sum(both.components.count, both.owner, scramble(now.connector))
    harness = _sum(both.harnesses.count, both.loom, scramble(now.connector))
    neighbours = [_of(now.component, both.owner), _of(now.harness, both.loom), _of(now.connector, both.mate)]
    return Colours(
        hashed(now.connector, connector, *neighbours),
        hashed(now.component, component),
        hashed(now.harness, harness),
        hashed(now.piece, piece),
    )


def refined(both: Both, colours: Colours) -> Colours:
    """Refine until no class splits. Linear in the rows, a round; as many rounds as the wiring is deep."""
    count = colours.classes()
    for _ in range(MAX_ROUNDS):
        colours = one_round(both, colours)
        before, count = count, colours.classes()
        if count == before:
            break
    return colours


@dataclass(frozen=True)
class Classes:
    """Rows of one sort by colour: ``number`` a row, and how many rows of each car a class holds."""

    number: Ints
    donors: Ints
    shells: Ints

    @property
    def matched(self) -> int:
        """How many rows, of both cars, are in classes of equally many rows in both."""
        even = self.donors == self.shells
        return int((self.donors + self.shells)[even].sum())

    def pairs(self, donors: int) -> Ints:
        """Row numbers (donor, shell) of all classes with one row in each car."""
        import numpy as np

        single = (self.donors == 1) & (self.shells == 1)
        rows = np.flatnonzero(single[self.number])
        order = rows[np.argsort(self.number[rows], kind="stable")]
        table = order.reshape(-1, 2)
        return table[np.argsort(table[:, 0], kind="stable")]

    def ties(self, donors: int) -> list[tuple[list[int], list[int]]]:
        """The classes of equally many rows, more than one, in both cars, by their first donor row."""
        import numpy as np

        tied = (self.donors == self.shells) & (self.donors > 1)
        members: dict[int, tuple[list[int], list[int]]] = {}
        for row in np.flatnonzero(tied[self.number]).tolist():
            sides = members.setdefault(int(self.number[row]), ([], []))
            sides[row >= donors].append(row)
        return list(members.values())


def classes(colours: Hashes, donors: int) -> Classes:
    """Group the rows of one sort by colour."""
    import numpy as np

    _, number = np.unique(colours, return_inverse=True)
    count = int(number.max(initial=-1)) + 1
    number = number.astype(np.int64)
    return Classes(
        number,
        np.bincount(number[:donors], minlength=count),
        np.bincount(number[donors:], minlength=count),
    )
