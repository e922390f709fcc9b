"""Shorts inside the shell: nets of the donor that are one net there.

The partition of the retained terminals is compared. What the facing of plugs
has already explained is left out by the caller.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from harnesscheck.compare.context import Context
from harnesscheck.compare.facing import FACING, could_short
from harnesscheck.compare.findings import natural
from harnesscheck.network.sides import FEEDS, STEADY_FEEDS, Label, Side


@dataclass(frozen=True, slots=True)
class Join:
    """Two of the donor's nets that are one in the shell. The net numbers are the donor's, then the shell's."""

    kind: str
    first: int
    second: int
    shell: int
    sides: tuple[Side, Side]
    sure: bool


def joins(ctx: Context) -> Iterator[Join]:
    """Every pair of the donor's nets that one net of the shell joins.

    Loads that may be turned round do not count: they would make a short of an
    exchange that harms nobody.
    """
    merged: dict[int, dict[int, None]] = defaultdict(dict)
    shell_terminals = ctx.shell.index.terminal
    for (component, terminal), node in ctx.donor.index.terminal.items():
        partner = ctx.component_map.get(component)
        other = shell_terminals.get((partner, terminal)) if partner is not None else None
        if other is not None and (partner, terminal) not in ctx.turnable:
            net = ctx.donor.index.net_of[ctx.donor.index.piece_of[node]]
            merged[ctx.shell.index.net_of[ctx.shell.index.piece_of[other]]][net] = None
    for shell_net in sorted(merged):
        nets = sorted(merged[shell_net])
        for net in nets[1:]:
            join = _judged(ctx, nets[0], net, shell_net)
            if join is not None:
                yield join


def _judged(ctx: Context, first: int, second: int, shell_net: int) -> Join | None:
    a, b, now = ctx.donor.net_side(first), ctx.donor.net_side(second), ctx.shell.net_side(shell_net)
    if a.label is b.label is Label.GROUND or _dangles(a) or _dangles(b):
        return None
    same_feed = a.label == b.label and a.label in STEADY_FEEDS
    if same_feed and len(now.supplies) <= 1:
        return None  # one fuse now feeds what two fed: nothing is joined that was kept apart by need
    if a.open or b.open:
        return None if _blank(a) or _blank(b) else _join(ctx, first, second, shell_net, a, b, False)
    return _join(ctx, first, second, shell_net, a, b, not (a.likely or b.likely or now.likely))


def _dangles(side: Side) -> bool:
    """Whether a net has one end only: joining it to another completes a circuit, it shorts nothing."""
    return len(side.terminals) < 2 and side.label not in (*FEEDS, Label.GROUND)


def _blank(side: Side) -> bool:
    """Whether a net's extent is open and nothing says what it is: it may have been one net all along."""
    return side.open and side.label not in (*FEEDS, Label.GROUND, Label.OUTPUT, Label.LOW_SIDE)


def _join(ctx: Context, first: int, second: int, shell: int, a: Side, b: Side, sure: bool) -> Join | None:
    if {a.label, b.label} & {Label.RESTRAINT}:
        return Join("restraint-altered", first, second, shell, (a, b), sure)
    kind = "feed-to-ground" if could_short(a, b) or could_short(b, a) else FACING[a.label, b.label]
    if kind in ("missing-circuit", "ground-lost", "orphaned", "extra-circuit", "spare"):
        kind = "crossed"
    return Join(kind, first, second, shell, (a, b), sure) if kind and kind != "not-documented" else None


def home(ctx: Context, net: int) -> tuple[str, str] | None:
    """The first harness cavity of a donor's net whose plug the shell has, in natural order."""
    index, vehicle = ctx.donor.index, ctx.donor.vehicle
    spots = [
        spot
        for piece in index.pieces_of[net]
        for spot in index.cavities_of[piece]
        if vehicle.connectors[spot[0]].component is None and spot[0] in ctx.pairs.connector
    ]
    return min(spots, key=lambda spot: (natural(spot[0]), natural(spot[1])), default=None)
