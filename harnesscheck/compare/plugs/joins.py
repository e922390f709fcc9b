"""Shorts inside the shell: nets of the donor that are one net there.

The partition of the retained terminals is compared. A net of the donor counts for
what of it is in the shell's net: as a feed only where a terminal through which the
current comes in is there, as ground only where the shell's net is grounded, else
as the consumers, outputs and signals whose terminals are there. What the facing of
plugs has already explained is left out by the caller. A feed that a part of the
shell ties to the body is no joint of wires; it is found by reach.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.kinds import KindName, Trait, kinds_of
from harnesscheck.compare.plugs.facing import RANK, joined_kind
from harnesscheck.model.order import natural_key
from harnesscheck.network.graph.feeders import feeders
from harnesscheck.network.graph.index import UnionFind
from harnesscheck.network.graph.sides import (
    FEEDS,
    NOTHING,
    STEADY_FEEDS,
    Label,
    Side,
    SideTerminal,
    Study,
    label_of_terminals,
)

SHORTING = kinds_of(Trait.SHORTING)
_TELLING = FEEDS | {Label.GROUND, Label.SWITCHED_GROUND, Label.OUTPUT, Label.LOW_SIDE, Label.RESTRAINT}


@dataclass(frozen=True, slots=True)
class Join:
    """Two of the donor's nets that are one in the shell. The net numbers are the donor's, then the shell's."""

    kind: KindName
    first: int
    second: int
    shell: int
    sides: tuple[Side, Side]
    sure: bool


def joins(ctx: Context) -> Iterator[Join]:
    """The joins of the donor's nets in each net of the shell; of each kind enough to hold its nets together."""
    for shell_net, nets in sorted(_merged(ctx).items()):
        if len(nets) < 2:
            continue
        found = [_judged(ctx, a, b, nets[a], nets[b], shell_net) for a, b in combinations(_by_name(nets), 2)]
        by_kind: dict[str, list[Join]] = defaultdict(list)
        for join in found:
            if join is not None:
                by_kind[join.kind].append(join)
        for kind in sorted(by_kind, key=RANK.index):
            yield from _tree(by_kind[kind])
    yield from _through_parts(ctx)


def _through_parts(ctx: Context) -> Iterator[Join]:
    """Nets of the shell that a part ties to the body while a feed is on them, where the donor's is not shorted."""
    back = {pair.shell: pair.donor for pair in ctx.pairs.components}
    body = _body(ctx.donor)
    told: set[int] = set()
    for piece, bit in _shorted(ctx.shell):
        net = ctx.shell.index.net_of[piece]
        ours = _donor_net(ctx, net, back)
        if net in told or ours is None or body is None or _is_shorted(ctx.donor, ours, bit):
            continue
        told.add(net)
        now, was = ctx.shell.net_side(net), ctx.donor.net_side(ours)
        fed = was if was.label in FEEDS else replace(was, label=Label.FEED, supplies=now.supplies)
        sure = not (was.open or was.likely or now.likely)
        yield Join("feed-to-ground", body, ours, net, (ctx.donor.net_side(body), fed), sure)


def _shorted(study: Study) -> Iterator[tuple[int, int]]:
    """Pieces, with a key position, that are fed for sure and tied to the body by the very next part, for sure."""
    reach = study.reach
    body = reach.grounded.ways
    for bit, (feeds, grounds) in enumerate(zip(reach.feed_sure, reach.ground_sure, strict=True)):
        for piece in sorted(feeds.ways.keys() & grounds.ways.keys() - body.keys()):
            step = grounds.ways[piece][0].step
            if step is None or step[1] < 0 or step[0] not in body:
                continue
            if reach.elements[step[1]].sort != "diode":  # one across a coil turned round is told with its part
                yield piece, bit


def _is_shorted(study: Study, net: int, bit: int) -> bool:
    """Whether a net is fed and grounded in one key position as built."""
    reach = study.reach
    pieces = study.index.pieces_of[net]
    return any(p in reach.feed_sure[bit].ways and p in reach.ground_sure[bit].ways for p in pieces)


def _body(study: Study) -> int | None:
    """The net of a car's first ground point by name."""
    first = min(study.vehicle.grounds, key=natural_key, default=None)
    return None if first is None else study.index.net_of[study.index.piece_of[study.index.point[first]]]


def _donor_net(ctx: Context, net: int, back: Mapping[str, str]) -> int | None:
    """The donor's net of the first terminal of a shell's net that the donor has too."""
    index = ctx.shell.index
    ends = [(back[c], name) for piece in index.pieces_of[net] for c, name in index.terminals_of[piece] if c in back]
    nodes = ctx.donor.index.terminal
    known = [end for end in ends if end in nodes]
    if not known:
        return None
    first = min(known, key=lambda end: (natural_key(end[0]), natural_key(end[1])))
    return ctx.donor.index.net_of[ctx.donor.index.piece_of[nodes[first]]]


def _merged(ctx: Context) -> dict[int, dict[int, list[SideTerminal]]]:
    """By net of the shell: the donor's nets that have retained terminals there, and which."""
    merged: dict[int, dict[int, list[SideTerminal]]] = defaultdict(lambda: defaultdict(list))
    ours, theirs = ctx.donor.index, ctx.shell.index
    for (component, terminal), node in ours.terminal.items():
        partner = ctx.component_map.get(component)
        end = ctx.turned.get((component, terminal), terminal)
        other = theirs.terminal.get((partner, end)) if partner is not None else None
        if other is not None:
            there = merged[theirs.net_of[theirs.piece_of[other]]]
            there[ours.net_of[ours.piece_of[node]]].append(ctx.donor.terminal(component, terminal))
    return merged


def _by_name(nets: Mapping[int, Sequence[SideTerminal]]) -> list[int]:
    """The nets by the first of their terminals: numbers follow the order of a file's rows."""
    return sorted(nets, key=lambda net: min((natural_key(one.component), natural_key(one.name)) for one in nets[net]))


def _tree(found: Sequence[Join]) -> Iterator[Join]:
    """Enough of the joins to hold their nets together, the sure ones first: each tells of one net more."""
    nets = sorted({net for join in found for net in (join.first, join.second)})
    numbers = {net: number for number, net in enumerate(nets)}
    sets = UnionFind(len(numbers))
    for join in sorted(found, key=lambda join: not join.sure):
        a, b = numbers[join.first], numbers[join.second]
        if sets.find(a) != sets.find(b):
            sets.union(a, b)
            yield join


def _judged(
    ctx: Context, first: int, second: int, ours: Sequence[SideTerminal], theirs: Sequence[SideTerminal], shell_net: int
) -> Join | None:
    a, b, now = ctx.donor.net_side(first), ctx.donor.net_side(second), ctx.shell.net_side(shell_net)
    if a.label is b.label is Label.GROUND or _dangles(a) or _dangles(b):
        return None
    if a.label == b.label and a.label in STEADY_FEEDS and len(now.supplies) <= 1:
        return None  # one fuse now feeds what two fed: nothing is joined that was kept apart by need
    if _blank(a) or _blank(b):
        return None
    kind = joined_kind(_there(ctx, first, ours, now), _there(ctx, second, theirs, now))
    if kind == "feed-on-signal" and a.label in FEEDS and b.label in FEEDS:
        kind = "crossed"  # the input stands battery volts: it is worked by them
    apart = not (a.open and b.open)  # else they may have been one net all along
    sure = apart and not (a.likely or b.likely or now.likely)
    return Join(kind, first, second, shell_net, (a, b), sure) if kind and kind != "not-documented" else None


def _dangles(side: Side) -> bool:
    """Whether a net has one end only: joining it to another completes a circuit, it shorts nothing."""
    return len(side.terminals) < 2 and side.label not in (*FEEDS, Label.GROUND)


def _blank(side: Side) -> bool:
    """Whether a net's extent is open and nothing says what it is: it may have been one net all along."""
    return side.open and side.label not in _TELLING


def _there(ctx: Context, net: int, present: Sequence[SideTerminal], now: Side) -> Side:
    """A donor's net as what of it is in the shell's net."""
    side = ctx.donor.net_side(net)
    if side.label is Label.RESTRAINT:
        return side
    if side.label is Label.GROUND:
        here = now.reached is not None and now.reached.grounded
    elif side.label in FEEDS:
        known = feeders(ctx.donor, net)
        here = not known or any(
            (one.component, one.name) in known and _still_brings(ctx, one.component, one.name) for one in present
        )
    else:
        here = False
    if here:
        return side
    label = label_of_terminals(ctx.donor, present)
    return replace(side, label=Label.OPEN if label in NOTHING else label, reached=None, supplies=())


def _still_brings(ctx: Context, component: str, terminal: str) -> bool:
    """Whether a part of the shell has a feed to pass on at a terminal: by another of its terminals, or nobody knows.

    A source brings its own.
    """
    index, other = ctx.shell.index, ctx.component_map[component]
    here = index.terminal.get((other, terminal))
    if here is None or index.piece_of[here] in ctx.shell.reach.sources:
        return True
    own, ends = index.net_of[index.piece_of[here]], index.conductions_of.get(other, ())
    beyond = {index.terminal.get((other, end)) for way in ends for end in (way.a, way.b) if terminal in (way.a, way.b)}
    nets = {index.net_of[index.piece_of[node]] for node in beyond if node is not None} - {own}
    sides = [ctx.shell.net_side(net) for net in nets]
    return not sides or any(side.open or (side.reached and side.reached.feed_maybe) for side in sides)


def home(ctx: Context, net: int) -> tuple[str, str] | None:
    """The first harness cavity of a donor's net whose plug the shell has, in natural order."""
    index, vehicle = ctx.donor.index, ctx.donor.vehicle
    spots = [
        spot
        for piece in index.pieces_of[net]
        for spot in index.cavities_of[piece]
        if vehicle.connectors[spot[0]].component is None and spot[0] in ctx.pairs.connector
    ]
    return min(spots, key=lambda spot: (natural_key(spot[0]), natural_key(spot[1])), default=None)
