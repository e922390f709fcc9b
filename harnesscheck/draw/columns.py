"""Blocks into columns and onto sheets: cut what is too long or too wide, pack, number, place.

A piece is what stands together on one sheet: a tree of segments no wider than
the sheet and no higher than its room. What is cut off becomes a piece of its
own, and both sides of the cut say where the other is.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.draw.blocks import STEP_MM, Block, BlockLabel, Refer, Segment
from harnesscheck.draw.joining import JoinedBranch, Placed, Stem, drawn_through, stretches
from harnesscheck.draw.tree import DrawnTree

_CUT_MM = 3 * STEP_MM + 1.4  # a heading and a reference of two lines


@dataclass(frozen=True, slots=True)
class Piece:
    """A tree of segments that fits a sheet. ``rail`` is the rail it hangs on, empty where it was cut off."""

    root: Segment
    rail: str = ""
    upward: bool = False


@dataclass(frozen=True, slots=True)
class ColumnSpot:
    """Where an anchor stands: sheet and column, counted from 1."""

    sheet: int
    column: int


@dataclass(frozen=True, slots=True)
class ColumnDrop:
    """A column that hangs on a rail."""

    column: int
    rail: str
    strong: bool


@dataclass(frozen=True, slots=True)
class ColumnSheet:
    """One sheet's blocks: its first column's number, and the columns that hang on rails."""

    first: int
    blocks: tuple[Placed, ...]
    branches: tuple[JoinedBranch, ...]
    rails: tuple[ColumnDrop, ...]
    stems: tuple[Stem, ...] = ()


def sheets_of(
    segments: Sequence[tuple[Segment, DrawnTree]], across: int, room_mm: float
) -> tuple[list[ColumnSheet], dict[Hashable, ColumnSpot]]:
    """All blocks placed on sheets of so many columns and so much room, and where every anchor is.

    A sheet needs room for three columns and for a block between two cuts.
    """
    cutter = _Cutter(across, room_mm)
    pieces = [piece for segment, tree in segments for piece in cutter.cut(Piece(segment, tree.rail, tree.upward))]
    sheets: list[ColumnSheet] = []
    where: dict[Hashable, ColumnSpot] = {}
    column = 1
    for group in _packed(pieces, across):
        placer = _placed(group, column, room_mm)
        sheets.append(placer.sheet())
        for placed in placer.blocks:
            for anchor in placed.block.anchors:
                where.setdefault(anchor, ColumnSpot(len(sheets), placed.column))
        column = placer.next
    return sheets, where


def width(segment: Segment) -> int:
    """How many columns a segment and its branches take: one for each end."""
    ends, stack = 0, [segment]
    while stack:
        children = stack.pop().children
        ends += not children
        stack += children
    return ends


def _packed(pieces: Sequence[Piece], across: int) -> Iterator[list[Piece]]:
    """Pieces in order, as many on a sheet as fit."""
    group: list[Piece] = []
    used = 0
    for piece in pieces:
        needed = width(piece.root)
        if group and used + needed > across:
            yield group
            group, used = [], 0
        group.append(piece)
        used += needed
    if group:
        yield group


def _cuts(root: Segment) -> Iterator[Hashable]:
    """The cuts in a piece, in the order in which its columns are read."""
    stack = [root]
    while stack:
        segment = stack.pop()
        if segment.blocks:
            yield from segment.blocks[-1].anchors
        stack += reversed(segment.children)


class _Cutter:
    def __init__(self, across: int, room_mm: float) -> None:
        self.across = across
        self.room = room_mm
        self.cuts = 0
        self.off: dict[Hashable, Segment] = {}  # what was cut off, by the cut that says where it is

    def cut(self, piece: Piece) -> list[Piece]:
        """The piece and what had to be cut off it, each after the one it was cut from, in reading order."""
        queue, done = [piece], []
        while queue:
            current = queue.pop(0)
            self._by_width(current.root)
            self._by_height(current.root)
            done.append(current)
            off = [self.off.pop(cut) for cut in _cuts(current.root) if cut in self.off]
            queue[:0] = [Piece(segment, upward=piece.upward) for segment in off]
        return done

    def _cut_off(self, blocks: list[Block], children: list[Segment], *, join: bool = False) -> Block:
        """Make blocks and branches a piece of its own; the block that stands in their place."""
        self.cuts += 1
        here, there = ("cut", self.cuts), ("from", self.cuts)
        first = next((block for segment in (Segment(blocks), *children) for block in segment.blocks), None)
        strong = first is None or first.strong
        words = BlockLabel("continued from", True), BlockLabel("continued on", True)
        comes = Block("arrow", (words[0], Refer("", here)), _CUT_MM, strong, anchors=(there,), join=join, root=True)
        self.off[here] = Segment([comes, *blocks], children)
        return Block("arrow", (words[1], Refer("", there)), _CUT_MM, strong, anchors=(here,))

    def _by_height(self, root: Segment) -> None:
        """Cut every way down that is longer than the room; a cut leaves room to say so."""
        stack = [(root, 0.0)]
        while stack:
            segment, start = stack.pop()
            first = 2 if segment is root else 0  # a piece keeps its head and one block
            for at, block in enumerate(segment.blocks):
                more = at + 1 < len(segment.blocks) or segment.children
                needed = start + block.height_mm + (_CUT_MM if more else 0.0)
                if needed > self.room and at >= first:
                    goes = self._cut_off(segment.blocks[at:], segment.children)
                    segment.blocks = [*segment.blocks[:at], goes]
                    segment.children = []
                    break
                start += block.height_mm
            stack += [(child, start) for child in reversed(segment.children)]

    def _by_width(self, root: Segment) -> None:
        """Cut branches until no segment is wider than the sheet, from the ends of the tree to its root."""
        order = [root]
        for segment in order:
            order += segment.children
        columns: dict[int, int] = {}  # by identity: ``order`` keeps every segment alive
        for segment in reversed(order):
            if sum(columns[id(child)] for child in segment.children) > self.across:
                segment.children = self._narrowed(segment.children, columns)
            columns[id(segment)] = max(1, sum(columns.get(id(child), 1) for child in segment.children))

    def _narrowed(self, children: list[Segment], columns: Mapping[int, int]) -> list[Segment]:
        """The branches that fit; a wide one moves to a piece alone, the rest move together."""
        kept: list[Segment] = []
        used = 0
        for at, child in enumerate(children):
            spare = 1 if at + 1 < len(children) else 0  # a column for what may have to be moved
            needed = columns[id(child)]
            if used + needed + spare <= self.across:
                kept.append(child)
                used += needed
            elif needed > 1 and used + 1 + spare <= self.across:
                kept.append(Segment([self._cut_off(child.blocks, child.children)]))
                used += 1
            else:
                kept.append(Segment([self._cut_off([], list(children[at:]), join=True)]))
                break
        return kept


def _placed(group: Sequence[Piece], first: int, room_mm: float) -> _Placer:
    """The pieces of a sheet placed, dots moved away from their root so that others can be joined to them."""
    placer = _Placer(first, room_mm, {})
    for piece in group:
        placer.piece(piece)
    stretch = stretches(placer.blocks)
    if stretch:
        longer = _Placer(first, room_mm, stretch)
        for piece in group:
            longer.piece(piece)
        if all(placed.start + placed.height <= room_mm + 0.01 for placed in longer.blocks):
            return longer
    return placer


class _Placer:
    def __init__(self, first: int, room_mm: float, stretch: Mapping[Hashable, float]) -> None:
        self.first = self.next = first
        self.room = room_mm
        self.stretch = stretch
        self.blocks: list[Placed] = []
        self.branches: list[JoinedBranch] = []
        self.rails: list[ColumnDrop] = []

    def piece(self, piece: Piece) -> None:
        """Place a piece to the right of what is placed already."""
        if piece.rail:
            self.rails.append(ColumnDrop(self.next, piece.rail, piece.root.blocks[0].strong))
        stack = [(piece.root, self.next, 0.0)]
        while stack:
            segment, column, start = stack.pop()
            start = self._run(segment, column, start, piece.upward)
            right = column
            for at, child in enumerate(segment.children):
                stack.append((child, right, start))
                if at + 1 < len(segment.children):
                    right += width(child)
            if len(segment.children) > 1:
                strong = segment.blocks[-1].strong if segment.blocks else True
                self.branches.append(JoinedBranch(column, right, start, piece.upward, strong))
        self.next += width(piece.root)

    def _run(self, segment: Segment, column: int, start: float, upward: bool) -> float:
        """Place blocks under one another; a way to ground is stretched so that it ends on the ground's line."""
        heights = [
            block.height_mm + (sum(self.stretch.get(anchor, 0.0) for anchor in block.anchors) if block.join else 0.0)
            for block in segment.blocks
        ]
        last = segment.blocks[-1] if segment.blocks else None
        if last is not None and last.grounds and not upward and len(heights) > 1:
            heights[-2] += max(0.0, self.room - start - sum(heights))
        for block, height in zip(segment.blocks, heights, strict=True):
            self.blocks.append(Placed(block, column, start, height, upward))
            start += height
        return start

    def sheet(self) -> ColumnSheet:
        """What was placed, references drawn through where the way is free."""
        blocks, lines, stems = drawn_through(self.blocks)
        branches = (*self.branches, *lines)
        return ColumnSheet(self.first, tuple(blocks), branches, tuple(self.rails), tuple(stems))
