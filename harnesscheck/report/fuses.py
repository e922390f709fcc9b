"""The fuse card of one car and the fuse map of two, as tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from harnesscheck.compare.carries.fusecard import FuseSlot
from harnesscheck.report.blocks.vocabulary import Table, table

if TYPE_CHECKING:
    from harnesscheck.compare.carries.fusemap import FuseMove
    from harnesscheck.compare.compare import Comparison

CARD_COLUMNS = ("slot", "#rating", "type", "colour", "live", "feeds", "component", "at")
SHORT_COLUMNS = ("slot", "#rating", "#used", "live", "feeds")
MAP_COLUMNS = ("old-slot", "#old-rating", "new-slot", "#new-rating", "same", "feeds", "old-component", "new-component")


def short_card(slots: Sequence[FuseSlot], used: Mapping[str, str]) -> Table:
    """A fuse a row: its rating, how much of it is used, when it is live, what it feeds."""
    rows = (
        (
            one.slot,
            f"{one.rating_a:g} A" if one.rating_a else "?",
            used.get(one.slot, "?"),
            one.live or "?",
            ", ".join(one.feeds) or "nothing in the file",
        )
        for one in slots
    )
    return table("Fuses", SHORT_COLUMNS, rows)


def card_table(slots: Sequence[FuseSlot]) -> Table:
    """All that is known of each fuse."""
    rows = (
        (one.slot, _amps(one), one.type, one.colour, one.live, ", ".join(one.feeds), one.component, one.at)
        for one in slots
    )
    return table("Fuse card", CARD_COLUMNS, rows)


def map_table(moves: Sequence[FuseMove]) -> Table:
    """Each fuse of the donor, and the fuse that does its work in the shell."""
    rows = (
        (
            move.donor.slot,
            _amps(move.donor),
            ", ".join(one.slot for one in move.shell),
            ", ".join(map(_amps, move.shell)),
            "yes" if move.alike else "no",
            ", ".join(move.feeds or move.donor.feeds),
            move.donor.component,
            ", ".join(dict.fromkeys(one.component for one in move.shell)),
        )
        for move in moves
    )
    return table("Which fuse is which", MAP_COLUMNS, rows)


def _amps(slot: FuseSlot) -> str:
    return f"{slot.rating_a:g}" if slot.rating_a else "?"


def moves_of(result: Comparison) -> tuple[FuseMove, ...]:
    """The fuse map of two compared cars; nothing where one has no fuses."""
    from harnesscheck.compare.carries.fusemap import fuse_map
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.network.volts.guards import feeds_of

    donor, shell = Behaviour(result.donor), Behaviour(result.shell)
    return fuse_map((donor, feeds_of(donor.circuit)), (shell, feeds_of(shell.circuit)), result.pairs)
