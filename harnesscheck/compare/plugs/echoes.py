"""Differences that only echo another one further along the same wires.

A fault changes what every plug behind it leads to. The plug with the fault is
told, or the short inside a harness; a contact that still carries its own circuit
and differs only by what that circuit leads to elsewhere is an echo. It is left
out only where what explains it is told at least as severely.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.kinds import KIND, SERIOUS, KindName, Severity, Trait, kinds_of
from harnesscheck.compare.plugs.cavities import Difference
from harnesscheck.compare.plugs.joins import SHORTING, Join, home
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin
from harnesscheck.network.graph.feeders import feeders
from harnesscheck.network.graph.sides import FEEDS, Label, Side, Study

_SERIOUS = kinds_of(SERIOUS)
_LOSS = kinds_of(Trait.LOSS)
_GAIN = kinds_of(Trait.GAIN)
_FED_OTHERWISE = kinds_of(Trait.OTHER_FEED)
_LEFT_OVER = kinds_of(Trait.LEFT_OVER)


def severity_of(ctx: Context, one: Difference | Join) -> Severity:
    """How bad a difference or a join is: what it does to what is there, not its kind alone."""
    if isinstance(one, Difference):
        return one.effect if one.effect is not None else _severity(ctx, one.kind, one.own, one.now)
    net = next((side for side in one.sides if side.level_v is not None), one.sides[0])  # an input is on it
    other = one.sides[0] if net is one.sides[1] else one.sides[1]
    return _severity(ctx, one.kind, replace(net, label=Label.INPUT) if net.level_v is not None else net, other)


def _severity(ctx: Context, kind: KindName, own: Side, now: Side) -> Severity:
    if kind == "feed-on-signal":
        expecting = own if own.label is Label.INPUT else now
        volts = ctx.donor.vehicle.netlist.header.volts or 12.0
        if expecting.label is Label.INPUT and expecting.level_v is not None and expecting.level_v >= volts:
            return Severity.DEAD
    if kind == "signal-grounded" and Label.OUTPUT in (own.label, now.label):
        return Severity.DAMAGE
    return KIND[kind].severity


def settled(ctx: Context, found: Sequence[Difference], joins: Sequence[Join]) -> tuple[list[Difference], list[Join]]:
    """The differences without their echoes, and the joins inside the shell that no plug explains."""
    local = [one for one in found if _local(ctx, one)]
    serious = [one for one in local if one.kind in _SERIOUS]
    causes = _causes(ctx, serious)
    shorts = [join for join in joins if join.kind in SHORTING and not any(_explains(ctx, one, join) for one in serious)]
    for join in joins:
        told = [causes.gain[net] for net in (join.first, join.second) if net in causes.gain]
        if join in shorts or told:
            causes.gained(ctx, (join.first, join.second), severity_of(ctx, join) if join in shorts else min(told))
    left_over = {net for one in local if one.kind in _LEFT_OVER for net in _nets(ctx, one)}
    kept = [one for one in found if one in local or not _is_echo(ctx, one, causes, shorts, left_over, serious)]
    dead = {piece for one in kept if one.kind in _LOSS for piece in _pieces(ctx, one)}
    kept = [one for one in kept if one in local or not _behind(ctx, one, dead)]
    told_of = {net for one in kept if one.kind in _SERIOUS for net in _nets(ctx, one)}
    kept = [one for one in kept if not (_is_unneeded(ctx, one) and _is_told_on(ctx, one, kept))]
    return kept, shorts + [one for one in joins if one.kind not in SHORTING and not told_of & {one.first, one.second}]


def _is_unneeded(ctx: Context, one: Difference) -> bool:
    """Whether a part's own supply has no wire, and all that hung on it is fed by something else in the shell."""
    if one.kind != "missing-circuit" or not one.own.from_part:
        return False
    bringing = {end for net in _nets(ctx, one) for end in feeders(ctx.donor, net)}
    if not any((end.component, end.name) in bringing for end in one.own.terminals):
        return False
    return bool(one.was.terminals) and all(_is_fed_there(ctx, end.component, end.name) for end in one.was.terminals)


def _is_fed_there(ctx: Context, component: str, terminal: str) -> bool:
    """Whether the shell feeds a terminal of the donor's."""
    index = ctx.shell.index
    node = index.terminal.get((ctx.component_map.get(component, ""), terminal))
    reached = ctx.shell.net_side(index.net_of[index.piece_of[node]]).reached if node is not None else None
    return reached is not None and bool(reached.feed_sure)


def _is_told_on(ctx: Context, one: Difference, found: Iterable[Difference]) -> bool:
    """Whether another difference, as bad, is told on the same net."""
    nets, severity = set(_nets(ctx, one)), severity_of(ctx, one)
    return any(
        other is not one and severity_of(ctx, other) <= severity and not nets.isdisjoint(_nets(ctx, other))
        for other in found
    )


def _same_meeting(ctx: Context, one: Difference, join: Join) -> bool:
    """Whether what is kept at a contact is of one net of a join, and what it would face of the other."""
    nets = _nets(ctx, one)
    both = ((join.first, join.sides[1]), (join.second, join.sides[0]))
    return one.kind != "reversed" and any(mine in nets and _holds(ctx, one.now, other) for mine, other in both)


def _explains(ctx: Context, one: Difference, join: Join) -> bool:
    """Whether a difference told at a plug is where the two nets of a join meet, and as bad."""
    return severity_of(ctx, one) <= severity_of(ctx, join) and _same_meeting(ctx, one, join)


def where(ctx: Context, join: Join, found: Sequence[Difference]) -> tuple[str, str] | None:
    """The cavity to name for a join: the last plug where its two nets meet, else the first one of them passes.

    Where the contact itself says the same comes first, then where what one net brings arrives at the other, then
    where only its consumers do.
    """
    met = [
        (
            one.kind == join.kind,
            one.now.label is other.label,
            natural_key(one.meeting.half),
            natural_key(one.cavity),
            (one.meeting.half, one.cavity),
        )
        for mine, other in ((join.first, join.sides[1]), (join.second, join.sides[0]))
        for one in found
        if one.kind in _SERIOUS and mine in _nets(ctx, one) and _holds(ctx, one.now, other)
    ]
    return max(met)[-1] if met else home(ctx, join.second) or home(ctx, join.first)


def _holds(ctx: Context, now: Side, other: Side) -> bool:
    """Whether what a contact would face in the shell is of one of the donor's nets."""
    if other.label is Label.GROUND:
        return now.label is Label.GROUND
    if other.label in FEEDS and set(ctx.shell_names(other.supplies)) & set(now.supplies):
        return True
    return bool(ctx.donor_key(other) & ctx.shell_key(now))


@dataclass(frozen=True, slots=True)
class _Causes:
    """Where faults are told.

    ``gain`` and ``shell`` hold the worst that joins what was apart, by the donor's
    and the shell's net; the sets hold the donor's nets and pieces with any fault,
    and the pieces with a gained one.
    """

    gain: dict[int, Severity]
    shell: dict[int, Severity]
    any_nets: set[int]
    any_pieces: set[int]
    gain_pieces: set[int]

    def gained(self, ctx: Context, nets: Iterable[int], severity: Severity) -> None:
        """Remember a fault that joins what was apart. The body is everybody's net and explains nothing."""
        for net in nets:
            if ctx.donor.net_side(net).label is not Label.GROUND:
                self.gain[net] = min(severity, self.gain.get(net, severity))
                self.any_nets.add(net)


def _causes(ctx: Context, local: Iterable[Difference]) -> _Causes:
    causes = _Causes({}, {}, set(), set(), set())
    for one in local:
        nets = [net for net in _nets(ctx, one) if ctx.donor.net_side(net).label is not Label.GROUND]
        pieces = [piece for piece in _pieces(ctx, one) if piece not in ctx.donor.index.ground_pieces]
        causes.any_nets.update(nets)
        causes.any_pieces.update(pieces)
        if one.kind in _GAIN:
            causes.gain_pieces.update(pieces)
            causes.gained(ctx, nets, severity_of(ctx, one))
            net = _shell_net(ctx, one)
            if net is not None:
                causes.shell[net] = min(severity_of(ctx, one), causes.shell.get(net, Severity.NOTE))
    return causes


def _shell_net(ctx: Context, one: Difference) -> int | None:
    """The shell's net at a cavity; the body's is nobody's."""
    net = ctx.shell.index.net(*one.shell) if one.shell[0] else None
    return net if net is not None and ctx.shell.net_side(net).label is not Label.GROUND else None


def _pieces(ctx: Context, one: Difference) -> list[int]:
    """The donor's pieces on the two halves of a cavity."""
    halves = [one.meeting.half, one.meeting.mate]
    found = [ctx.donor.index.piece(half, one.cavity) for half in halves if half is not None]
    return [piece for piece in found if piece is not None]


def _nets(ctx: Context, one: Difference) -> list[int]:
    """The donor's nets on the two halves of a cavity; one net where both are mated."""
    return list(dict.fromkeys(ctx.donor.index.net_of[piece] for piece in _pieces(ctx, one)))


def _is_other_end(ctx: Context, one: Difference, other: Difference) -> bool:
    """Whether two contacts of one plug tell of the same meeting: each would face what is kept at the other."""
    same_plug = other.meeting.half == one.meeting.half and other.hybrid is one.hybrid and other.kind == one.kind
    if not same_plug or one.kind == "reversed":  # both contacts are to be exchanged
        return False
    there, here = ctx.donor_key(other.own) & ctx.shell_key(one.now), ctx.donor_key(one.own) & ctx.shell_key(other.now)
    return bool(there and here)


def _grounded_further_on(ctx: Context, one: Difference, serious: Iterable[Difference]) -> bool:
    """Whether what the shell brings comes to ground over another contact, told as badly: the feed meets it there."""
    if one.now.label is Label.GROUND:
        return False
    index, severity = ctx.shell.index, severity_of(ctx, one)
    told = {other.shell for other in serious if other is not one and severity_of(ctx, other) <= severity}
    for tree in ctx.shell.reach.ground_maybe:
        for piece in one.now.pieces:
            mates = [index.mates[-1 - edge] for _, edge in (tree.path(piece) if piece in tree.ways else ()) if edge < 0]
            crossed = {(half, mate.cavity) for mate in mates for half in mate.place}
            if crossed & told and one.shell not in crossed:
                return True
    return False


def _is_echo(
    ctx: Context,
    one: Difference,
    causes: _Causes,
    shorts: Sequence[Join],
    left_over: set[int],
    serious: Sequence[Difference],
) -> bool:
    nets = _nets(ctx, one)
    if one.kind in _LEFT_OVER:
        return not left_over.isdisjoint(nets)
    if one.kind in _LOSS:
        return not causes.any_nets.isdisjoint(nets) or not causes.any_pieces.isdisjoint(_upstream(ctx, one))
    if one.kind not in _GAIN:
        return False
    severity = severity_of(ctx, one)
    if severity <= Severity.DAMAGE:  # told elsewhere only where the very same meeting of nets is
        told = any(severity_of(ctx, join) <= severity and _same_meeting(ctx, one, join) for join in shorts)
        told = told or any(severity_of(ctx, other) <= severity and _is_other_end(ctx, one, other) for other in serious)
        return told or (one.kind == "feed-to-ground" and _grounded_further_on(ctx, one, serious))
    if any(causes.gain.get(net, Severity.NOTE) <= severity for net in nets):
        return True
    if (net := _shell_net(ctx, one)) is not None and causes.shell.get(net, Severity.NOTE) <= severity:
        return True
    if one.kind in _FED_OTHERWISE and not causes.gain_pieces.isdisjoint(_upstream(ctx, one)):
        return True
    return any(severity_of(ctx, join) <= severity and _through(ctx, one, join) for join in shorts)


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
    own = set(_pieces(ctx, one))
    return one.kind in _LOSS and not (dead - own).isdisjoint(_upstream(ctx, one))


def _upstream(ctx: Context, one: Difference) -> set[int]:
    """The donor's pieces on the way from a cavity to battery + and to ground, its own left out."""
    own = _pieces(ctx, one)
    return {other for piece in own for other, _ in _ways(ctx.donor, piece)} - set(own)


def _ways(study: Study, piece: int) -> Iterable[tuple[int, int]]:
    """The steps (piece reached, edge taken) from a piece to battery + and to ground."""
    yield from study.reach.way_to_feed(piece)
    for tree in study.reach.ground_maybe:
        if piece in tree.ways:
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
    """By the names on the wires' own rows; where there are none, by where the wires go."""
    a = {row.circuit for row in ctx.wires(ctx.donor, *ours) if row.circuit}
    b = {row.circuit for row in ctx.wires(ctx.shell, *theirs) if row.circuit} if theirs[0] else set()
    mapped = {ctx.circuit_map[name] for name in a if name in ctx.circuit_map}
    if a and b:
        return not mapped & b if mapped else bool(b & ctx.partnered)
    return not (a or b) and theirs[0] != "" and _far_ends(ctx, ctx.donor, ours) != _far_ends(ctx, ctx.shell, theirs)


def _far_ends(ctx: Context, study: Study, spot: tuple[str, str]) -> frozenset[str]:
    """Where the wires in a cavity go, in the shell's words; splices are all alike, and so are ground points."""
    here = ":".join(spot)
    ends: set[str] = set()
    for row in ctx.wires(study, *spot):
        own = f"{row.connector}:{row.cavity}" if isinstance(row, Pin) else row.from_
        end = own if row.to == here else row.to
        if end is not None and end != here:
            ends.add(_in_shell(ctx, study, end))
    return frozenset(ends)


def _in_shell(ctx: Context, study: Study, end: str) -> str:
    if ":" not in end:
        return "ground" if end in study.vehicle.grounds else "splice"
    if study is ctx.donor:
        return ctx.pairs.cavity_of(end)
    return end


def by_half(found: Iterable[Difference]) -> dict[str, list[Difference]]:
    """Differences by the half that reports them."""
    groups: dict[str, list[Difference]] = defaultdict(list)
    for one in found:
        groups[one.meeting.half].append(one)
    return groups
