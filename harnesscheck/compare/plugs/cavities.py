"""One meeting place, cavity by cavity: which hybrids differ, which circuits moved, what is left over.

Two hybrids are judged at every plug: the donor's harness half on the shell's
mate, and the shell's harness half on the donor's mate. Both are seen from the
donor's side that would be kept; the worse one names the finding. A plug whose
two halves always travel together is no hybrid.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from harnesscheck.assemble.fit import fit
from harnesscheck.compare.context import HYBRIDS, Context
from harnesscheck.compare.finding.findings import Hybrid
from harnesscheck.compare.finding.kinds import KindName, MaybeKind, Severity, Trait, kinds_of
from harnesscheck.compare.plugs.facing import CONSUMERS, FACING, GROUNDS, RANK, joined_kind, kind_between, kind_of
from harnesscheck.compare.plugs.meetings import Meeting, inseparable
from harnesscheck.model.order import natural_key
from harnesscheck.network.graph.sides import FEEDS, NOTHING, Label, Side, Study

_BRIDGING = kinds_of(Trait.BRIDGING)
_LOSS = kinds_of(Trait.LOSS)


@dataclass(frozen=True, slots=True)
class Difference:
    """One cavity of one meeting place where the cars differ, before words are found for it."""

    kind: KindName
    meeting: Meeting
    cavity: str
    shell: tuple[str, str]  # connector and cavity
    own: Side
    was: Side
    now: Side
    hybrid: Hybrid
    sure: bool
    to: tuple[str, str] | None = None  # a moved circuit's new connector and cavity
    effect: Severity | None = None  # what a part that is fed backwards comes to


class Sides:
    """The four sides at one cavity, each looked up when it is asked for; None where that half is not known."""

    def __init__(self, ctx: Context, meeting: Meeting, cavity: str) -> None:
        self._ctx, self._meeting, self._cavity = ctx, meeting, cavity
        self._shell_half, self._shell_cavity = partner(ctx, meeting, cavity)
        mate = ctx.shell.vehicle.mate_of.get(self._shell_half) if self._shell_half else None
        self._shell_mate = mate if mate is not None else meeting.shell_mate

    @cached_property
    def donor_half(self) -> Side:
        """The donor's half that reports."""
        return self._donor(self._meeting.half)

    @cached_property
    def donor_mate(self) -> Side | None:
        """What it is plugged into."""
        return self._donor(self._meeting.mate) if self._meeting.mate else None

    @cached_property
    def shell_half(self) -> Side | None:
        """The shell's half in the same place."""
        return self._shell(self._shell_half) if self._shell_half else None

    @cached_property
    def shell_mate(self) -> Side | None:
        """What that is plugged into."""
        return self._shell(self._shell_mate) if self._shell_mate else None

    @property
    def is_without_mate(self) -> bool:
        """Whether a file does not say what the plug goes into, in either car."""
        return self.donor_mate is None or self.shell_mate is None

    @property
    def is_half_known(self) -> bool:
        """Whether of some half nothing tells what it brings, in either car."""
        ours, theirs = (self._meeting.half, self._meeting.mate), (self._shell_half, self._shell_mate)
        return any(not half or self._ctx.donor.is_not_known(half, self._cavity) for half in ours) or any(
            not half or self._ctx.shell.is_not_known(half, self._shell_cavity) for half in theirs
        )

    def behind_now(self, hybrid: Hybrid) -> int | None:
        """What joins the contacts of the half that is new in a hybrid; None where nothing is there."""
        half = self._shell_mate if hybrid == Hybrid.DONOR_HALF else self._shell_half
        return self._ctx.shell.behind(half, self._shell_cavity) if half else None

    def _donor(self, half: str) -> Side:
        side = self._ctx.donor.side(half, self._cavity)
        return _maybe_open(self._ctx.donor, half, side, self._theirs) if self._ctx.donor.index.loose else side

    def _shell(self, half: str) -> Side:
        side = self._ctx.shell.side(half, self._shell_cavity)
        return _maybe_open(self._ctx.shell, half, side, self._ours) if self._ctx.shell.index.loose else side

    @cached_property
    def _ours(self) -> set[str]:
        """The shell's circuits for those of the donor's wires here."""
        ctx, halves = self._ctx, (self._meeting.half, self._meeting.mate)
        return {ctx.circuit_map.get(name, "") for name in _named(ctx, ctx.donor, halves, self._cavity)}

    @cached_property
    def _theirs(self) -> set[str]:
        """The donor's circuits for those of the shell's wires here."""
        ctx, halves = self._ctx, (self._shell_half, self._shell_mate)
        return {ctx.donor_circuit.get(name, "") for name in _named(ctx, ctx.shell, halves, self._shell_cavity)}


def differences(ctx: Context, meeting: Meeting) -> Iterator[Difference]:
    """Everything that differs at one meeting place, by cavity; restraint circuits are not told apart here."""
    names = _cavities(ctx, meeting)
    shared = _alternatives(ctx, meeting, names)
    found = {name: _facing(ctx, meeting, name, shared) for name in names}
    for name, bridge in _bridges(ctx, meeting, names).items():
        known = found[name]
        if known is None or RANK.index(bridge.kind) < RANK.index(known.kind):
            found[name] = bridge
    moves = _moves(ctx, meeting, names)
    arrived = {spot for name, spot in moves.items() if spot != partner(ctx, meeting, name)}
    for name in names:
        difference = found[name]
        if difference is not None and difference.kind == "extra-circuit" and difference.shell in arrived:
            continue  # not another circuit of the shell's, but one that moved here
        target = moves.get(name)
        if target is not None:
            base = difference or _unchanged(ctx, meeting, name)
            yield replace(base, kind="moved-pin", to=target, shell=target)
            if difference is not None and difference.now.label in NOTHING and not _stays_dead(ctx, difference):
                continue  # the circuit is there, only not here
        if difference is not None:
            yield difference


def _stays_dead(ctx: Context, one: Difference) -> bool:
    """Whether a part on a plug of a car that is put together gets nothing before the contact is moved."""
    return ctx.built is not None and one.own.from_part and one.own.label in CONSUMERS


def _bridges(ctx: Context, meeting: Meeting, names: list[str]) -> dict[str, Difference]:
    """Contacts of one half that the shell's other half joins with each other and the donor's does not.

    The later of two joined contacts is named. Consumers that share a wire are no
    fault; two supplies, or a supply and a ground, are.
    """
    bridges: dict[str, Difference] = {}
    if not pluggable(ctx, meeting) or _travel_together(ctx, meeting):
        return bridges
    sides = {name: Sides(ctx, meeting, name) for name in names}
    for hybrid in reversed(HYBRIDS):
        if hybrid not in ctx.hybrids(meeting.half):
            continue
        first_at: dict[int, str] = {}
        for name in names:
            behind = sides[name].behind_now(hybrid)
            first = name if behind is None else first_at.setdefault(behind, name)
            if first == name:
                continue
            own, was, now = _seen_from(sides[name], hybrid)
            if own is None or was is None or now is None:
                continue
            other, before, _ = _seen_from(sides[first], hybrid)
            if other is None or before is None or set(before.pieces) & set(was.pieces):
                continue
            kind = kind_of(own, was, other)
            if kind in _BRIDGING and Label.NOT_KNOWN not in (own.label, other.label):
                sure = meeting.sure and not (own.likely or other.likely or now.likely)
                place = partner(ctx, meeting, name)
                joined = replace(now, label=other.label, supplies=other.supplies)
                bridges.setdefault(name, Difference(kind, meeting, name, place, own, was, joined, hybrid, sure))
        for one in _through_the_kept(ctx, meeting, sides, hybrid):
            bridges.setdefault(one.cavity, one)
    return bridges


def _through_the_kept(ctx: Context, meeting: Meeting, sides: dict[str, Sides], hybrid: Hybrid) -> Iterator[Difference]:
    """Contacts that one wire of the kept half joins, where what they would face must not be joined, and before might.

    What the kept wire itself is fed with or tied to is judged contact by contact.
    """
    earlier: dict[int, list[tuple[Side, Side]]] = defaultdict(list)
    half = meeting.half if hybrid is Hybrid.DONOR_HALF else meeting.mate or ""
    behind = {name: ctx.donor.behind(half, name) if half else None for name in sides}
    several = {number for number, count in Counter(behind.values()).items() if count > 1}
    for name, each in sides.items():
        number = behind[name]
        if number is None or number not in several:
            continue
        own, was, now = _seen_from(each, hybrid)
        lone = ctx.donor.lone_side(half, name)
        if own is None or was is None or now is None or lone is None or lone.label in FEEDS | GROUNDS:
            continue
        for before, other in earlier[number]:
            kind = "" if set(other.pieces) & set(now.pieces) else joined_kind(other, now)
            if kind in _BRIDGING and (set(before.pieces) & set(was.pieces) or joined_kind(before, was) != kind):
                sure = meeting.sure and not (own.likely or other.likely or now.likely)
                brought = replace(lone, label=other.label, supplies=other.supplies, reached=other.reached)
                place = partner(ctx, meeting, name)
                yield Difference(kind, meeting, name, place, brought, was, now, hybrid, sure)
                break
        earlier[number].append((was, now))


def _seen_from(sides: Sides, hybrid: Hybrid) -> tuple[Side | None, Side | None, Side | None]:
    """What is kept, what it faced and what it would face, in one hybrid."""
    if hybrid == Hybrid.DONOR_HALF:
        return sides.donor_half, sides.donor_mate, sides.shell_mate
    return sides.donor_mate, sides.donor_half, sides.shell_half


def faced(ctx: Context, meeting: Meeting, cavity: str, hybrid: Hybrid) -> tuple[Side | None, Side | None, Side | None]:
    """At one cavity of one hybrid: what is kept, what it faced in the donor, and what it would face."""
    return _seen_from(Sides(ctx, meeting, cavity), hybrid)


def _cavities(ctx: Context, meeting: Meeting) -> list[str]:
    names: dict[str, None] = {}
    for connector in (meeting.half, meeting.mate):
        names.update(dict.fromkeys(ctx.donor.index.cavities(connector) if connector else ()))
    for connector in (meeting.shell_half, meeting.shell_mate):
        names.update(dict.fromkeys(ctx.shell.index.cavities(connector) if connector else ()))
    return sorted(names, key=natural_key)


def partner(ctx: Context, meeting: Meeting, cavity: str) -> tuple[str, str]:
    """The shell's connector and cavity that a donor's cavity physically meets: the one of its name.

    Only where the partner plug has no such cavity, the one that the alignment leads to.
    """
    if meeting.shell_half is not None and ctx.pairs.cavities and cavity not in _names_at(ctx, meeting):
        return counterpart(ctx, meeting, cavity)
    return meeting.shell_half or "", cavity


def _names_at(ctx: Context, meeting: Meeting) -> set[str]:
    """The cavities of the shell's plug at a meeting place, both halves."""
    halves = (meeting.shell_half, meeting.shell_mate)
    return {name for half in halves if half for name in ctx.shell.index.cavities(half)}


def counterpart(ctx: Context, meeting: Meeting, cavity: str) -> tuple[str, str]:
    """The shell's connector and cavity that is a donor's: by name, unless the alignment or a person says otherwise."""
    said = ctx.pairs.cavities.get(f"{meeting.half}:{cavity}")
    if said is not None:
        connector, _, name = said.partition(":")
        return connector, name
    return meeting.shell_half or "", cavity


def _named(ctx: Context, study: Study, halves: tuple[str | None, str | None], cavity: str) -> set[str]:
    """The circuits of the wires in one cavity of both halves, by their own rows."""
    rows = [row for half in halves if half for row in ctx.wires(study, half, cavity)]
    return {row.circuit for row in rows if row.circuit is not None}


def _maybe_open(study: Study, connector: str, side: Side, circuits: set[str]) -> Side:
    """A contact may be the far end of a wire nobody wrote an end of, of a circuit that the other car has there.

    An empty one may, and one that holds others of the wires the other car crimps into it.
    """
    if side.open or not study.index.loose or not (side.label is Label.EMPTY or circuits & set(side.circuits)):
        return side
    missing = circuits.difference(side.circuits)
    return replace(side, open=True) if any(study.index.may_be_loose(connector, name) for name in missing) else side


def _unchanged(ctx: Context, meeting: Meeting, cavity: str) -> Difference:
    """A contact that faces what it faced, only that its circuit is elsewhere in the shell."""
    sides = Sides(ctx, meeting, cavity)
    was = sides.donor_mate or sides.donor_half
    now = sides.shell_mate or sides.shell_half or was
    place = partner(ctx, meeting, cavity)
    return Difference("moved-pin", meeting, cavity, place, sides.donor_half, was, now, Hybrid.PLUG_ONLY, meeting.sure)


def _alternatives(ctx: Context, meeting: Meeting, names: list[str]) -> dict[tuple[Hybrid, int], list[Side]]:
    """By hybrid and kept piece: what its contacts of this plug faced. Contacts of one piece may trade places."""
    shared: dict[tuple[Hybrid, int], list[Side]] = defaultdict(list)
    if meeting.mate is None:
        return shared
    for name in names:
        sides = ctx.donor.side(meeting.half, name), ctx.donor.side(meeting.mate, name)
        for hybrid, was in ((Hybrid.DONOR_HALF, sides[1]), (Hybrid.SHELL_HALF, sides[0])):
            behind = ctx.donor.behind(meeting.half if hybrid is Hybrid.DONOR_HALF else meeting.mate, name)
            if behind is not None:
                shared[hybrid, behind].append(was)
    return shared


def _facing(
    ctx: Context, meeting: Meeting, cavity: str, shared: dict[tuple[Hybrid, int], list[Side]]
) -> Difference | None:
    """The worst that the two hybrids give at one cavity, or None."""
    sides = Sides(ctx, meeting, cavity)
    if not pluggable(ctx, meeting):
        return _left_over(ctx, meeting, cavity, sides)
    if _travel_together(ctx, meeting):
        return None
    found: list[Difference] = []
    for hybrid in ctx.hybrids(meeting.half):
        own, was, now = _seen_from(sides, hybrid)
        if own is not None and was is not None and now is not None:
            half = meeting.half if hybrid is Hybrid.DONOR_HALF else meeting.mate
            behind = ctx.donor.behind(half, cavity) if half is not None else None
            others = shared.get((hybrid, behind), []) if behind is not None else []
            found += _as_joined(ctx, sides, hybrid, _judged(ctx, meeting, cavity, own, was, now, hybrid, others))
    if sides.is_half_known:
        by_names = _by_names(ctx, meeting, cavity, sides)
        found += [one for one in by_names if one.kind != "not-documented" or sides.is_without_mate]
    worst = min(found, key=lambda one: (RANK.index(one.kind), not one.sure), default=None)
    if worst is not None and worst.kind == "extra-circuit" and _is_live_end(worst, sides):
        return replace(worst, kind="orphaned")
    return _live_end_in_donor(ctx, meeting, cavity, sides) if worst is None else worst


def _live_end_in_donor(ctx: Context, meeting: Meeting, cavity: str, sides: Sides) -> Difference | None:
    """A feed that ends in the plug in the donor, and is nowhere in the shell: a loose end there as here."""
    ours = [(sides.donor_half, sides.donor_mate), (sides.donor_mate, sides.donor_half)]
    for hybrid, (own, faced) in zip(HYBRIDS, ours, strict=True):
        if own is None or faced is None or hybrid not in ctx.hybrids(meeting.half):
            continue
        if own.label not in FEEDS or faced.label is not Label.EMPTY:
            continue  # before anything is asked of the shell, which costs a search
        half, mate = sides.shell_half, sides.shell_mate
        if half is not None and mate is not None and half.label is mate.label is Label.EMPTY:
            now, place = (mate if hybrid is Hybrid.DONOR_HALF else half), partner(ctx, meeting, cavity)
            sure = meeting.sure and not own.likely
            return Difference("orphaned", meeting, cavity, place, own, own, now, hybrid, sure)
    return None


def _is_live_end(one: Difference, sides: Sides) -> bool:
    """Whether a feed that only the shell has ends in the plug there: what faces it in the shell is empty too."""
    if one.now.label not in FEEDS or one.was.label not in NOTHING:
        return False
    halves = sides.shell_half, sides.shell_mate
    return any(half is not None and half.label is Label.EMPTY for half in halves)


def _as_joined(ctx: Context, sides: Sides, hybrid: Hybrid, found: list[Difference]) -> list[Difference]:
    """In a car that is put together, what burns by what the kept side brings there, not by what it brought before.

    It may have been fed or grounded through a contact that meets another one now.
    """
    if ctx.built is None or not found:
        return found
    here = sides.shell_half if hybrid is Hybrid.DONOR_HALF else sides.shell_mate
    if here is None or here.open or here.label in (Label.NOT_KNOWN, Label.RESTRAINT):
        return found
    told = []
    for one in found:
        kind = kind_of(here, one.was, one.now) if here.label is not one.own.label else one.kind
        if kind and kind != one.kind and {kind, one.kind} & _BRIDGING:
            one = replace(one, kind=kind, own=here, sure=one.sure and not here.likely)
        told.append(one)
    return told


def pluggable(ctx: Context, meeting: Meeting) -> bool:
    """Whether the donor's half goes into the shell's place at all, as far as cavity names tell."""
    if meeting.shell_half is None:
        return meeting.shell_mate is not None
    return not fit(
        ctx.donor.vehicle.connectors[meeting.half], ctx.shell.vehicle.connectors[meeting.shell_half]
    ).cavities


def _travel_together(ctx: Context, meeting: Meeting) -> bool:
    return (
        ctx.built is None
        and inseparable(ctx.donor.vehicle, meeting.half, meeting.mate)
        and inseparable(ctx.shell.vehicle, meeting.shell_half, meeting.shell_mate)
    )


def _judged(
    ctx: Context,
    meeting: Meeting,
    cavity: str,
    own: Side,
    was: Side,
    now: Side,
    hybrid: Hybrid,
    others: list[Side],
) -> list[Difference]:
    """One hybrid: the retained side, what it faced, what it would face, what its other contacts faced."""
    nothing_before = own.label in NOTHING and was.label in NOTHING
    if nothing_before and now.label in NOTHING:
        spare = own.label is was.label is Label.EMPTY and now.label is Label.OPEN
        place = partner(ctx, meeting, cavity)
        return [Difference("spare", meeting, cavity, place, own, was, now, hybrid, meeting.sure)] if spare else []
    sure = meeting.sure and not (own.likely or was.likely or now.likely)
    if now.label is Label.NOT_KNOWN or own.label is Label.NOT_KNOWN:
        unchanged = own.label is Label.NOT_KNOWN and ctx.same_function(was, now) == (True, True)
        kind, certain = "" if unchanged else _not_known(own, was, now), False
    else:
        same, certain = ctx.same_function(was, now)
        if same or (own.label in NOTHING and not nothing_before):
            return []
        if now.label not in NOTHING and any(ctx.same_function(other, now) == (True, True) for other in others):
            return []  # two contacts of one wire have traded places
        kind = _lessened(ctx, own, was, now, kind_of(own, was, now))
        if kind == "feed-on-signal" and (_takes_feed(ctx, own, ours=True) or _takes_feed(ctx, now, ours=False)):
            kind = "wrong-feed"  # the input is worked by battery volts
        if kind == "orphaned" and was.label is Label.NOT_KNOWN and not was.pieces:
            kind = "not-documented"  # the end may have been a loose one before
        if same is None and kind in ("crossed", "wrong-feed", "extra-circuit", "missing-circuit"):
            return []  # nothing says that it differs, and nothing burns if it does
    if not kind:
        return []
    place = partner(ctx, meeting, cavity)
    return [Difference(kind, meeting, cavity, place, own, was, now, hybrid, sure and certain)]


def _takes_feed(ctx: Context, side: Side, *, ours: bool) -> bool:
    """Whether a side is an input that a switch or fuse feeds in the donor, so that it stands battery volts."""
    if side.label is not Label.INPUT:
        return False
    back = {pair.shell: pair.donor for pair in ctx.pairs.components}
    index = ctx.donor.index
    found = []
    for end in side.terminals:
        name = end.component if ours else back.get(end.component, "")
        node = index.terminal.get((name, end.name))
        if end.role in ("input", "sense"):
            net = None if node is None else index.net_of[index.piece_of[node]]
            found.append(net is not None and ctx.donor.net_side(net).label in FEEDS)
    return bool(found) and all(found)


def _lessened(ctx: Context, own: Side, was: Side, now: Side, kind: MaybeKind) -> MaybeKind:
    """Where the shell's side has only lost something, or may have more than is documented, no more is claimed."""
    if kind in _LOSS and now.open and now.label is not Label.EMPTY:
        return "not-documented"
    after = ctx.shell_key(now)
    if kind == "crossed" and after and after <= ctx.donor_key(was) and now.label in CONSUMERS:
        supplying = own.label in FEEDS or own.label in (Label.GROUND, Label.OUTPUT, Label.LOW_SIDE)
        return "" if supplying else "missing-circuit"  # what has lost its supply tells it at its own plug
    return kind


def _not_known(own: Side, was: Side, now: Side) -> MaybeKind:
    """A contact in use that faces one nobody documented, where the donor's was documented."""
    if own.label in NOTHING or (own.label is Label.NOT_KNOWN and now.label in (*NOTHING, Label.NOT_KNOWN)):
        return ""
    if was.label is Label.NOT_KNOWN and now.label is Label.NOT_KNOWN and not now.used:
        return ""
    return "not-documented" if now.label not in NOTHING else ""


def _by_names(ctx: Context, meeting: Meeting, cavity: str, sides: Sides) -> Iterator[Difference]:
    """What differs by what the wires are called: of two cars at the plug, in one that is put together at its hybrid."""
    if ctx.built is None:
        yield from _plug_only(ctx, meeting, cavity, *_told_most(sides), Hybrid.PLUG_ONLY)
        return
    for hybrid in ctx.hybrids(meeting.half):
        own, was, now = _seen_from(sides, hybrid)
        by_words = own is not None and not own.terminals  # both halves of one plug carry one circuit
        before = was if _tells(was) or not by_words else own
        if before is not None and now is not None and _tells(before) and _tells(now):
            yield from _plug_only(ctx, meeting, cavity, before, now, hybrid)


def _tells(side: Side | None) -> bool:
    """Whether anybody wrote down what is there, were it nothing."""
    return side is not None and (bool(side.pieces) or side.label is not Label.NOT_KNOWN)


def _plug_only(
    ctx: Context, meeting: Meeting, cavity: str, was: Side, now: Side | None, hybrid: Hybrid
) -> list[Difference]:
    """Where only one half of each car is known, or only what its wires are called: likely at most."""
    if now is None or (was.label in NOTHING and now.label in NOTHING):
        return []
    place = partner(ctx, meeting, cavity)
    if Label.NOT_KNOWN in (was.label, now.label):
        tells_nothing = was.label in NOTHING or now.label in NOTHING
        told = ctx.same_by_names(was, now) if tells_nothing else ctx.same_function(was, now)[0]
        named = told if was.pieces and now.pieces else None
        if named:
            return []
        kind = "crossed" if named is False else _one_sided(was, now)
    else:
        kind = _kind_by_words(ctx, was, now)
    return [Difference(kind, meeting, cavity, place, was, was, now, hybrid, False)] if kind else []


def _told_most(sides: Sides) -> tuple[Side, Side | None]:
    """The same half of both cars, one of which both say something; else what there is of the half that reports."""
    halves = (sides.donor_half, sides.shell_half), (sides.donor_mate, sides.shell_mate)
    for was, now in halves:
        if was is not None and now is not None and was.pieces and _tells(now):
            return was, now
    return sides.donor_half, sides.shell_half or sides.shell_mate


def _kind_by_words(ctx: Context, was: Side, now: Side) -> MaybeKind:
    """Two contacts of which both cars say what they are."""
    same = ctx.same_function(was, now)[0]
    if same:
        return "crossed" if ctx.is_other_circuit(was, now) else ""
    told = kind_between(was, now)
    if same is None and told in ("crossed", "wrong-feed"):  # neither the labels nor the words tell them apart
        return "" if was.label is now.label is Label.GROUND else "not-documented"
    return told


def _one_sided(was: Side, now: Side) -> MaybeKind:
    """One plug says nothing about a contact: empty counts as known, the rest is to be rung out."""
    if was.label in NOTHING:
        return FACING[was.label, now.label] if now.label is not Label.NOT_KNOWN else _used_kind(now, "extra-circuit")
    if now.label is Label.EMPTY:
        return "missing-circuit" if was.circuits or was.functions else ""
    return "not-documented" if was.used or now.used else ""


def _used_kind(side: Side, kind: KindName) -> MaybeKind:
    return kind if side.used and (side.circuits or side.functions) else ""


def _left_over(ctx: Context, meeting: Meeting, cavity: str, sides: Sides) -> Difference | None:
    """The plugs do not fit each other: every circuit of the donor's is somewhere else, or nowhere."""
    own = sides.donor_half
    place = partner(ctx, meeting, cavity)
    if own.label in NOTHING or not (own.terminals or own.circuits or own.functions) or not place[0]:
        return None
    if same_circuit(ctx, (meeting.half, cavity), place) or _said(ctx, meeting, cavity) is not None:
        return None
    was = sides.donor_mate or own
    consumer = next((side for side in (own, was) if side.label in CONSUMERS), own)
    empty = Side(Label.EMPTY)
    kind = kind_of(consumer, was if consumer is own else own, empty)
    if consumer.label is Label.NOT_KNOWN:
        kind = "missing-circuit"
    elif not (own.terminals or was.terminals or own.open):
        kind = "spare"
    return Difference(kind, meeting, cavity, place, consumer, was, empty, Hybrid.PLUG_ONLY, False) if kind else None


def same_circuit(ctx: Context, donor: tuple[str, str], shell: tuple[str, str]) -> bool:
    """Whether a donor's cavity and a shell's cavity carry the same circuit, as each car is built."""
    a, b = ctx.donor.index.piece(*donor), ctx.shell.index.piece(*shell)
    if a is None or b is None:
        return False
    circuit, other = ctx.circuit(ctx.donor, *donor), ctx.circuit(ctx.shell, *shell)
    was, now = ctx.donor.piece_side(a, None), ctx.shell.piece_side(b, None)
    if circuit and other and circuit in ctx.circuit_map:
        if ctx.circuit_map[circuit] == other:
            return True
        if was.label is Label.GROUND and now.label is Label.GROUND:
            return False  # separate grounds are not each other's replacement
    if Label.GROUND in (was.label, now.label) and not (was.declared and now.declared):
        return was.label is now.label
    before, after = ctx.donor_key(was), ctx.shell_key(now)
    if before and after:
        return bool(before & after)
    return ctx.same_function(was, now)[0] is True and bool(was.circuits or was.functions)


def _moves(ctx: Context, meeting: Meeting, names: list[str]) -> dict[str, tuple[str, str]]:
    """Where the donor's circuits of this plug are in the shell, if not in the same cavity."""
    moves = {name: spot for name in names if (spot := _said(ctx, meeting, name)) is not None}
    stays = {name for name in names if same_circuit(ctx, (meeting.half, name), partner(ctx, meeting, name))}
    moving = [name for name in names if not (name in stays or name in moves)]
    moves = {name: spot for name, spot in moves.items() if spot != (meeting.shell_half, name)}
    taken = set(moves.values())
    for name in moving:
        if ctx.donor.index.piece(meeting.half, name) is None:
            continue
        for spot in _elsewhere(ctx, meeting, name):
            if spot not in taken and same_circuit(ctx, (meeting.half, name), spot):
                moves[name] = spot
                taken.add(spot)
                break
    return moves


def _said(ctx: Context, meeting: Meeting, name: str) -> tuple[str, str] | None:
    """The shell's cavity that a person called one with a donor's, unless it is proven to carry something else."""
    if f"{meeting.half}:{name}" not in ctx.pairs.cavities:
        return None
    spot = counterpart(ctx, meeting, name)
    a, b = ctx.donor.index.piece(meeting.half, name), ctx.shell.index.piece(*spot)
    if a is None or b is None:
        return None
    same = ctx.same_function(ctx.donor.piece_side(a, None), ctx.shell.piece_side(b, None))
    return None if same == (False, True) else spot


def _elsewhere(ctx: Context, meeting: Meeting, name: str) -> Iterator[tuple[str, str]]:
    """The shell's cavities a circuit may have moved to: the partner plug's first, then plugs of the same sort."""
    index = ctx.shell.index
    for half in _candidate_plugs(ctx, meeting):
        for cavity in sorted(index.cavities(half), key=natural_key):
            if index.piece(half, cavity) is None or (half, cavity) == partner(ctx, meeting, name):
                continue
            if not _carried_before(ctx, (half, cavity)):
                yield half, cavity


def _carried_before(ctx: Context, spot: tuple[str, str]) -> bool:
    """Whether the donor's partner of a shell's cavity carried the same circuit there already."""
    return any(same_circuit(ctx, (donor, spot[1]), spot) for donor in ctx.donor_connectors(spot[0]))


def _candidate_plugs(ctx: Context, meeting: Meeting) -> Iterator[str]:
    if meeting.shell_half is not None:
        yield meeting.shell_half
    vehicle, shell = ctx.donor.vehicle, ctx.shell.vehicle
    own = vehicle.connectors[meeting.half]
    mate = vehicle.connectors.get(meeting.mate or "")
    if mate is not None and mate.component is not None:
        owner = ctx.component_map.get(mate.component)
        sockets = shell.connectors_of.get(owner or "", ())
        yield from (half for row in sockets if (half := shell.mate_of.get(row.id)) and half != meeting.shell_half)
        return
    pair = ctx.pairs.harness.get(own.harness or "")
    harness = pair.shell if pair is not None else None
    for row in sorted(shell.netlist.connectors, key=lambda row: natural_key(row.id)):
        other = shell.connectors.get(shell.mate_of.get(row.id, ""))
        inline = row.component is None and (other is None or other.component is None)
        if inline and row.harness == harness and row.id != meeting.shell_half:
            yield row.id
