"""Differences that only echo another one further along the same wire.

A fault at an in-line plug changes what every plug behind it leads to. The plug
with the fault is told; a contact that still carries its own circuit there and
differs only by what the circuit leads to elsewhere is an echo, and left out
where the net has a fault of its own. Injury and damage are never left out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from harnesscheck.compare.cavities import Difference
from harnesscheck.compare.context import Context
from harnesscheck.network.sides import NOTHING

ECHOING = frozenset(
    {"crossed", "wrong-feed", "missing-circuit", "ground-lost", "bus-altered", "orphaned", "extra-circuit", "reversed"}
)
SERIOUS = frozenset(
    {
        "feed-to-ground", "feed-on-signal", "outputs-joined", "feeds-joined", "reversed", "signal-grounded",
        "wrong-feed", "bus-altered", "crossed", "missing-circuit", "ground-lost",
    }
)  # fmt: skip


def remote(ctx: Context, found: Sequence[Difference]) -> list[Difference]:
    """The differences that are echoes of a local one on the same net of the donor."""
    by_net: dict[int, list[Difference]] = defaultdict(list)
    for one in found:
        net = ctx.donor.index.net(one.meeting.half, one.cavity)
        if net is None and one.meeting.mate is not None:
            net = ctx.donor.index.net(one.meeting.mate, one.cavity)
        if net is not None:
            by_net[net].append(one)
    return [
        one
        for group in by_net.values()
        if any(_local(ctx, other) for other in group)
        for one in group
        if one.kind in ECHOING and not one.hybrid.startswith("damage") and not _local(ctx, one)
    ]


def _local(ctx: Context, one: Difference) -> bool:
    """Whether the difference is in this plug: an empty cavity, or another circuit by its own row."""
    if one.kind not in ECHOING and one.kind in SERIOUS:
        return True
    ours = ctx.donor.side(one.meeting.half, one.cavity)
    theirs = ctx.shell.side(*one.shell) if one.shell[0] else None
    if theirs is None or (theirs.label in NOTHING) != (ours.label in NOTHING):
        return one.kind in SERIOUS
    return one.kind in SERIOUS and _own_circuits_differ(ctx, one)


def _own_circuits_differ(ctx: Context, one: Difference) -> bool:
    """Whether some half of the plug carries another circuit in the shell by the row of its own wire."""
    halves = [((one.meeting.half, one.cavity), one.shell)]
    if one.meeting.mate is not None and one.meeting.shell_mate is not None:
        halves.append(((one.meeting.mate, one.cavity), (one.meeting.shell_mate, one.shell[1])))
    for ours, theirs in halves:
        a = {row.circuit for row in ctx.wires(ctx.donor, *ours) if row.circuit}
        b = {row.circuit for row in ctx.wires(ctx.shell, *theirs) if row.circuit} if theirs[0] else set()
        mapped = {ctx.circuit_map[name] for name in a if name in ctx.circuit_map}
        if mapped and b and not mapped & b:
            return True
    return False
