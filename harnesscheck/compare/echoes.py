"""Differences that only echo another one further along the same wires.

A fault changes what every plug behind it leads to. The plug with the fault is
told, or the short inside a harness; a contact that still carries its own circuit
and differs only by what that circuit leads to elsewhere is an echo. It is left
out only where what explains it is told at least as severely.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from harnesscheck.compare.cavities import Difference
from harnesscheck.compare.context import Context
from harnesscheck.compare.joins import Join
from harnesscheck.compare.kinds import KIND, Severity
from harnesscheck.network.sides import Label, Study

SERIOUS = frozenset(
    {
        "feed-to-ground", "feed-on-signal", "outputs-joined", "feeds-joined", "reversed", "signal-grounded",
        "wrong-feed", "bus-altered", "crossed", "missing-circuit", "ground-lost",
    }
)  # fmt: skip
_LOST = frozenset({"missing-circuit", "ground-lost", "crossed", "wrong-feed", "bus-altered"})
_MILD = frozenset({"orphaned", "extra-circuit"})


def severity_of(one: Difference | Join) -> Severity:
    """How bad a difference is, for weighing it against what may explain it."""
    if isinstance(one, Difference) and one.kind == "reversed" and one.hybrid.startswith("damage"):
        return Severity.DAMAGE
    return KIND[one.kind].severity


def settled(ctx: Context, found: Sequence[Difference], joins: Sequence[Join]) -> tuple[list[Difference], list[Join]]:
    """The differences without their echoes, and the shorts that no plug explains."""
    local = [one for one in found if one.kind in SERIOUS and _local(ctx, one)]
    causes: dict[int, Severity] = {}
    for one in local:
        _note(ctx, causes, _nets(ctx, one), severity_of(one))
    shorts = [join for join in joins if not (join.first in causes or join.second in causes)]
    for join in shorts:
        _note(ctx, causes, (join.first, join.second), severity_of(join))
    left_over = {net for one in found if one.kind in _MILD and _local(ctx, one) for net in _nets(ctx, one)}
    kept = [
        one
        for one in found
        if one in local
        or (one.kind in _MILD and (_local(ctx, one) or not left_over.intersection(_nets(ctx, one))))
        or (one.kind not in _MILD and not _is_echo(ctx, one, causes, shorts))
    ]
    dead = {net for one in kept if one.kind in _LOST for net in _nets(ctx, one)}
    return [one for one in kept if one in local or not _behind(ctx, one, dead)], shorts


def _note(ctx: Context, causes: dict[int, Severity], nets: Iterable[int], severity: Severity) -> None:
    """Remember the worst told of every net; the body is everybody's net and explains nothing."""
    for net in nets:
        if ctx.donor.net_side(net).label is not Label.GROUND:
            causes[net] = min(severity, causes.get(net, severity))


def _nets(ctx: Context, one: Difference) -> list[int]:
    """The donor's nets on the two halves of a cavity; one net where both are mated."""
    halves = [one.meeting.half, one.meeting.mate]
    found = [ctx.donor.index.net(half, one.cavity) for half in halves if half is not None]
    return list(dict.fromkeys(net for net in found if net is not None))


def _is_echo(ctx: Context, one: Difference, causes: dict[int, Severity], shorts: Sequence[Join]) -> bool:
    if one.kind not in SERIOUS:
        return False
    severity = severity_of(one)
    nets = _nets(ctx, one)
    if any(causes.get(net, Severity.NOTE) <= severity for net in nets):
        return True
    if one.kind in _LOST and any(causes.get(net, Severity.NOTE) <= Severity.DEAD for net in _upstream(ctx.donor, nets)):
        return True
    return any(severity_of(join) <= severity and _through(ctx, one, join) for join in shorts)


def _through(ctx: Context, one: Difference, join: Join) -> bool:
    """Whether what the shell brings here comes through a short: in by an element of one of the nets it joins."""
    index, reach = ctx.shell.index, ctx.shell.reach
    piece = index.piece(*one.shell) if one.shell[0] else None
    if piece is None:
        return False
    ours = {t.component for side in join.sides if side.label is not Label.GROUND for t in side.terminals}
    theirs = {ctx.component_map[name] for name in ours if name in ctx.component_map}
    for other, edge in _ways(ctx.shell, piece):
        if edge >= 0 and index.net_of[other] == join.shell and reach.elements[edge].component in theirs:
            return True
    return False


def _behind(ctx: Context, one: Difference, dead: set[int]) -> bool:
    """Whether something is dead only because what feeds or grounds it, already told, is dead."""
    nets = _nets(ctx, one)
    return one.kind in _LOST and any(net in dead and net not in nets for net in _upstream(ctx.donor, nets))


def _upstream(study: Study, nets: Sequence[int]) -> Iterable[int]:
    """The nets on the way from some nets to battery + and to ground, through fuses and contacts."""
    for net in nets:
        for other, _ in _ways(study, study.index.pieces_of[net][0]):
            yield study.index.net_of[other]


def _ways(study: Study, piece: int) -> Iterable[tuple[int, int]]:
    """The steps (piece reached, edge taken) from a piece to battery + and to ground."""
    yield from study.reach.way_to_feed(piece)
    for tree in study.reach.ground_maybe:
        if piece in tree.towards:
            yield from tree.path(piece)


def _local(ctx: Context, one: Difference) -> bool:
    """Whether the difference is in this plug: an empty cavity, or another circuit by its own wire's row."""
    halves = [((one.meeting.half, one.cavity), one.shell)]
    if one.meeting.mate is not None and one.meeting.shell_mate is not None:
        halves.append(((one.meeting.mate, one.cavity), (one.meeting.shell_mate, one.shell[1])))
    return any(_empties(ctx, ours, theirs) or _circuits_differ(ctx, ours, theirs) for ours, theirs in halves)


def _empties(ctx: Context, ours: tuple[str, str], theirs: tuple[str, str]) -> bool:
    if not theirs[0]:
        return False
    before, after = ctx.donor.side(*ours).label, ctx.shell.side(*theirs).label
    return (before is Label.EMPTY) != (after is Label.EMPTY)


def _circuits_differ(ctx: Context, ours: tuple[str, str], theirs: tuple[str, str]) -> bool:
    a = {row.circuit for row in ctx.wires(ctx.donor, *ours) if row.circuit}
    b = {row.circuit for row in ctx.wires(ctx.shell, *theirs) if row.circuit} if theirs[0] else set()
    mapped = {ctx.circuit_map[name] for name in a if name in ctx.circuit_map}
    return bool(mapped and b and not mapped & b)


def by_half(found: Iterable[Difference]) -> dict[str, list[Difference]]:
    """Differences by the half that reports them."""
    groups: dict[str, list[Difference]] = defaultdict(list)
    for one in found:
        groups[one.meeting.half].append(one)
    return groups
