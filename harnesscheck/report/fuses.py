"""The fuse card of one car and the fuse map of two: lines of text, and rows for CSV files."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from harnesscheck.compare.carries.fusecard import FuseSlot
from harnesscheck.report.paragraphs import WIDTH

if TYPE_CHECKING:
    from harnesscheck.compare.carries.fusemap import FuseMove
    from harnesscheck.compare.compare import Comparison

CARD_COLUMNS = ("slot", "rating", "type", "colour", "live", "feeds", "component", "at")
MAP_COLUMNS = ("old-slot", "old-rating", "new-slot", "new-rating", "same", "feeds", "old-component", "new-component")
_SLOT, _RATING, _LIVE = 6, 7, 17


def card_lines(slots: Sequence[FuseSlot], used: Mapping[str, str]) -> Iterator[str]:
    """One fuse a line or more: slot, rating, how much of it is used, when live, what it feeds."""
    yield f"  {'slot':{_SLOT}} {'rating':>{_RATING}} {'used':>5}  {'live':{_LIVE}} feeds"
    for slot in slots:
        rating = f"{slot.rating_a:g} A" if slot.rating_a else "?"
        head = f"  {slot.slot:{_SLOT}} {rating:>{_RATING}} {used.get(slot.slot, '?'):>5}  {slot.live or '?':{_LIVE}} "
        yield from _hung(head, ", ".join(slot.feeds) or "nothing in the file")


def map_lines(moves: Sequence[FuseMove]) -> Iterator[str]:
    """One fuse of the donor a line or more: the fuse that does its work in the shell."""
    yield f"  {'donor':{_SLOT}} {'':>{_RATING}}  {'shell':18} feeds"
    for move in moves:
        rating = f"{move.donor.rating_a:g} A" if move.donor.rating_a else "?"
        there = ", ".join(_named(slot) for slot in move.shell) or "none"
        head = f"  {move.donor.slot:{_SLOT}} {rating:>{_RATING}}  {there:18} "
        yield from _hung(head, ", ".join(move.feeds or move.donor.feeds) or "nothing in the file")


def _named(slot: FuseSlot) -> str:
    return f"{slot.slot} {slot.rating_a:g} A" if slot.rating_a else slot.slot


def _hung(head: str, text: str) -> Iterator[str]:
    """A line with its last column wrapped under itself; under the others where those are too wide."""
    column = len(head) if len(head) <= WIDTH - 30 else 8
    lines = textwrap.wrap(text, WIDTH - column, break_long_words=False, break_on_hyphens=False)
    if column < len(head):
        yield head.rstrip()
    else:
        yield head + lines.pop(0)
    yield from (" " * column + line for line in lines)


def card_rows(slots: Sequence[FuseSlot]) -> list[dict[str, str]]:
    """The fuse card as texts by column."""
    return [
        {
            "slot": one.slot,
            "rating": f"{one.rating_a:g}" if one.rating_a else "?",
            "type": one.type,
            "colour": one.colour,
            "live": one.live,
            "feeds": ", ".join(one.feeds),
            "component": one.component,
            "at": one.at,
        }
        for one in slots
    ]


def map_rows(moves: Sequence[FuseMove]) -> list[dict[str, str]]:
    """The fuse map as texts by column."""
    return [
        {
            "old-slot": move.donor.slot,
            "old-rating": f"{move.donor.rating_a:g}" if move.donor.rating_a else "?",
            "new-slot": ", ".join(one.slot for one in move.shell),
            "new-rating": ", ".join(f"{one.rating_a:g}" if one.rating_a else "?" for one in move.shell),
            "same": "yes" if move.alike else "no",
            "feeds": ", ".join(move.feeds or move.donor.feeds),
            "old-component": move.donor.component,
            "new-component": ", ".join(dict.fromkeys(one.component for one in move.shell)),
        }
        for move in moves
    ]


def moves_of(result: Comparison) -> tuple[FuseMove, ...]:
    """The fuse map of two compared cars; nothing where one has no fuses."""
    from harnesscheck.compare.carries.fusemap import fuse_map
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.network.volts.guards import feeds_of

    donor, shell = Behaviour(result.donor), Behaviour(result.shell)
    return fuse_map((donor, feeds_of(donor.circuit)), (shell, feeds_of(shell.circuit)), result.pairs)
