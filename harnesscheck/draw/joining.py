"""References that need no words: a column that ends at a dot of another column is joined to it by a line across.

That is done only where the line crosses nothing. Lengths are distances in mm
from where a piece begins, downwards, or upwards where it stands on ground.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from harnesscheck.draw.blocks import Block


@dataclass(frozen=True, slots=True)
class Placed:
    """A block in a column; ``start`` is its distance from where its piece begins."""

    block: Block
    column: int
    start: float
    height: float
    upward: bool

    @property
    def end(self) -> float:
        """Where the next block begins."""
        return self.start + self.height


@dataclass(frozen=True, slots=True)
class JoinedBranch:
    """A line across, from a dot to the columns that leave from it or end in it."""

    first: int
    last: int
    start: float
    upward: bool
    strong: bool


@dataclass(frozen=True, slots=True)
class Stem:
    """A line along a column, from its last block to a line across."""

    column: int
    start: float
    end: float
    upward: bool
    strong: bool


def _dots(blocks: Sequence[Placed]) -> dict[tuple[Hashable, bool], Placed]:
    """The dot of every anchor that has one, by direction."""
    return {(anchor, each.upward): each for each in blocks if each.block.join for anchor in each.block.anchors}


def _meeting(blocks: Sequence[Placed]) -> dict[Placed, list[Placed]]:
    """The references to every dot on the same sheet that stand to the right of it, nearest first."""
    dots = _dots(blocks)
    found: dict[Placed, list[Placed]] = defaultdict(list)
    for each in blocks:
        dot = dots.get((each.block.meets, each.upward)) if each.block.meets is not None else None
        if dot is not None and each.column > dot.column:
            found[dot].append(each)
    return {dot: sorted(ends, key=lambda end: end.column) for dot, ends in found.items()}


def stretches(blocks: Sequence[Placed]) -> dict[Hashable, float]:
    """How much further from its root each dot must stand so that every column that ends in it can reach it."""
    found: dict[Hashable, float] = {}
    for dot, ends in _meeting(blocks).items():
        missing = max(end.start for end in ends) - dot.end
        if missing > 0:
            found[dot.block.anchors[0]] = missing
    return found


def drawn_through(blocks: Sequence[Placed]) -> tuple[list[Placed], list[JoinedBranch], list[Stem]]:
    """The blocks without the references that became lines, and those lines."""
    gone: set[int] = set()
    branches: list[JoinedBranch] = []
    stems: list[Stem] = []
    for dot, ends in _meeting(blocks).items():
        joined = [end for end in ends if end.start <= dot.end + 0.01]
        while joined and not _is_free(blocks, dot, joined):
            joined.pop()
        if joined:
            gone |= {id(end) for end in joined}
            strong = any(end.block.strong for end in joined)
            branches.append(JoinedBranch(dot.column, joined[-1].column, dot.end, dot.upward, strong))
            stems += [Stem(end.column, end.start, dot.end, dot.upward, end.block.strong) for end in joined]
    return [each for each in blocks if id(each) not in gone], branches, stems


def _is_free(blocks: Sequence[Placed], dot: Placed, joined: Sequence[Placed]) -> bool:
    """Whether a line across from a dot to the last of some columns runs through no other block."""
    last, own = joined[-1].column, {id(each) for each in joined}
    between = [each for each in blocks if dot.column < each.column <= last and id(each) not in own]
    if any(each.upward != dot.upward for each in between):
        return False
    return not any(each.start - 0.01 < dot.end < each.end + 1.0 for each in between)
