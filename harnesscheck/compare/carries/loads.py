"""What a car's wires, fuses and circuits carry, held against what they may: numbers, no words yet.

Each wire's worst current against what it may carry; each fuse against the wires it
guards, against its continuous load, and against a short circuit at the far end of
each wire; the drop of every load's feed and ground. A in A, V in V, s in s.

A fuse melts when its I²t is used up; without loss of heat that is a constant, and
with it slower melting needs more. So what a fuse lets through at a current is no
more than what the last published gate below that current lets through.

``loads_of`` judges one car. ``compare.carries.loadfindings`` makes findings of it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property

from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Component, Inside, Pin, Wire
from harnesscheck.network.behaviour.currents import Currents, currents_of
from harnesscheck.network.behaviour.drops import Drop, drops_of
from harnesscheck.network.behaviour.states import Behaviour, Condition, State
from harnesscheck.network.volts.circuit import Branch
from harnesscheck.network.volts.guards import Feeds, Guard, feeds_of
from harnesscheck.network.volts.ratings import Rating, rating_of
from harnesscheck.trade.fuses import CONTINUOUS_USE, fuse_form, gates, standard_ratings_a
from harnesscheck.trade.short_circuit import MAX_SECONDS, withstand_a2s

HOLDS = 1.1  # of its rating: what a fuse holds for 100 h and more (ISO 8820-3, from memory)
_ROUNDING = 1e-9
_gates = cache(gates)


@dataclass(frozen=True, slots=True)
class WireLoad:
    """One wire (a branch number) and what it carries; ``steady_at`` and ``worst_at`` number the states."""

    wire: int
    rating: Rating
    steady_a: float
    steady_at: int
    worst_a: float
    worst_at: int

    @property
    def share(self) -> float | None:
        """What it carries over what it may, the worse of for hours and for a moment; None where not judged."""
        allowed, moment = self.rating.amps, self.rating.for_a_moment_a
        if allowed is None or moment is None:
            return None
        if allowed <= 0:
            return float("inf") if self.worst_a > 0 else 0.0
        return max(self.steady_a / allowed, self.worst_a / moment)

    @property
    def for_a_moment(self) -> bool:
        """Whether the worse of the two is the current of a load of short duty."""
        allowed, moment = self.rating.amps, self.rating.for_a_moment_a
        return bool(allowed and moment and self.worst_a / moment > self.steady_a / allowed)


@dataclass(frozen=True, slots=True)
class ShortAtEnd:
    """A short circuit to the body at the far end of a guarded wire.

    ``melts_s`` is the latest the fuse melts, None where it may never; ``lets_a2s`` what
    it lets through until then, ``stands_a2s`` what the wire stands. Beyond 5 s the
    wire's steady current counts. ``safe`` is None where it cannot be said, for the reason in ``why_not``.
    """

    guard: Guard
    amps: float
    melts_s: float | None
    lets_a2s: float | None
    stands_a2s: float | None
    safe: bool | None
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class FuseLoad:
    """One fuse (a branch number), what it carries and what it guards.

    ``form`` is assumed where ``form_assumed``; None: no melting times are published.
    ``thinnest`` is the guarded wire that may carry least of those a short circuit can
    overload, as a position in ``Loads.wires``, with what it (and what lies parallel to
    it) may carry: its circuit alone is at fault then, so its bundle does not count.
    """

    fuse: int
    name: str
    component: str
    rating_a: float | None
    form: str | None
    form_assumed: bool
    nominal_a: float
    nominal_at: int
    steady_a: float
    steady_at: int
    worst_a: float
    worst_at: int
    thinnest: tuple[int, float] | None
    shorts: tuple[ShortAtEnd, ...]

    @property
    def use(self) -> float | None:
        """The share of its rating it carries for hours, at the loads' rated volts."""
        return None if not self.rating_a else self.nominal_a / self.rating_a

    @property
    def too_small(self) -> bool:
        """Whether it carries too much for hours, or may blow when a load of short duty works."""
        if not self.rating_a:
            return False
        lasting = self.nominal_a > CONTINUOUS_USE * self.rating_a * (1 + 1e-4) or self.steady_a > self.rating_a
        return lasting or self.worst_a > HOLDS * self.rating_a

    @property
    def too_big(self) -> bool:
        """Whether it is rated above what a wire behind it may carry."""
        return bool(self.rating_a and self.thinnest is not None and self.rating_a > self.thinnest[1] * (1 + _ROUNDING))

    @property
    def slowest(self) -> ShortAtEnd | None:
        """The short circuit that does most harm before the fuse melts; None where all are safe or not judged."""
        unsafe = [short for short in self.shorts if short.safe is False]
        return max(unsafe, key=_harm, default=None)  # of equal ones the first: they come in natural order


@dataclass(frozen=True)
class Loads:
    """All judgements of one car."""

    behaviour: Behaviour
    currents: Currents
    feeds: Feeds
    wires: tuple[WireLoad, ...]
    fuses: tuple[FuseLoad, ...]
    drops: tuple[Drop, ...]

    def state(self, number: int) -> State:
        """A state by its number."""
        return self.currents.states[number]

    def branch(self, number: int) -> Branch:
        """A branch by its number."""
        return self.behaviour.circuit.branches[number]

    @cached_property
    def wire_at(self) -> Mapping[int, WireLoad]:
        """The wires by branch number."""
        return {wire.wire: wire for wire in self.wires}


def loads_of(behaviour: Behaviour, conditions: Sequence[Condition] | None = None) -> Loads:
    """Judge one car in every state, or in some. Raises TooLargeError for a car that does not fit in memory."""
    currents = currents_of(behaviour, conditions)
    feeds = feeds_of(behaviour.circuit)
    wires = _wires(behaviour, currents)
    fuses = _fuses(behaviour, currents, feeds, wires)
    return Loads(behaviour, currents, feeds, wires, fuses, drops_of(behaviour, currents))


def _wires(behaviour: Behaviour, currents: Currents) -> tuple[WireLoad, ...]:
    """Every wire of the loom in natural order of its ends; a terminal grounded through its case has none."""
    branches = sorted(enumerate(behaviour.circuit.branches), key=lambda one: natural_key(one[1].name))
    steady, worst = currents.steady, currents.worst
    return tuple(
        WireLoad(
            number,
            rating_of(behaviour.study, branch.row),
            float(steady.amps[number]),
            int(steady.at[number]),
            float(worst.amps[number]),
            int(worst.at[number]),
        )
        for number, branch in branches
        if branch.sort == "wire" and isinstance(branch.row, Pin | Wire) and not _through_the_case(branch.row)
    )


def _through_the_case(row: Pin | Wire) -> bool:
    return isinstance(row, Pin) and row.connector is None and row.size is None and row.length is None


def _fuses(behaviour: Behaviour, currents: Currents, feeds: Feeds, wires: Sequence[WireLoad]) -> tuple[FuseLoad, ...]:
    place = {wire.wire: number for number, wire in enumerate(wires)}
    beside = _parallel(behaviour.circuit.branches, wires)
    guards: dict[int, list[Guard]] = defaultdict(list)
    for guard in feeds.guards:
        if guard.wire in place:
            guards[guard.fuse].append(guard)
    return tuple(
        _fuse(number, branch, currents, guards[number], (wires, place, beside))
        for number, branch in enumerate(behaviour.circuit.branches)
        if branch.sort == "fuse"
    )


_Wires = tuple[Sequence[WireLoad], Mapping[int, int], Mapping[int, tuple[int, ...]]]


def _fuse(number: int, branch: Branch, currents: Currents, guards: Sequence[Guard], wires: _Wires) -> FuseLoad:
    form, assumed = _form(branch)
    guards = sorted((guard for guard in guards if not guard.driven), key=lambda guard: wires[1][guard.wire])
    judged = [  # of wires that stand alike, the one whose far-end short is the smallest: not by name
        (wires[1][guard.wire], amps, guard.short_a or float("inf"))
        for guard, amps in ((guard, _allowed(guard, wires)) for guard in guards)
        if amps is not None and (guard.short_a is None or guard.short_a > amps)
    ]
    return FuseLoad(
        fuse=number,
        name=branch.name,
        component=branch.component,
        rating_a=branch.rating_a,
        form=form,
        form_assumed=assumed,
        nominal_a=float(currents.nominal.amps[number]),
        nominal_at=int(currents.nominal.at[number]),
        steady_a=float(currents.steady.amps[number]),
        steady_at=int(currents.steady.at[number]),
        worst_a=float(currents.worst.amps[number]),
        worst_at=int(currents.worst.at[number]),
        thinnest=min(judged, key=lambda one: (one[1], one[2], one[0]))[:2] if judged else None,
        shorts=tuple(_short(guard, branch.rating_a, form, wires) for guard in guards),
    )


def _form(branch: Branch) -> tuple[str | None, bool]:
    """The form of a fuse; where it is not written, the one that is made in its rating, and that it was assumed."""
    row = branch.row
    written = row.type if isinstance(row, Component | Inside) else None
    if written:
        return fuse_form(written), False
    if isinstance(row, Component) and row.kind != "fuse":
        return None, False
    form = next((one for one in ("C", "E") if branch.rating_a in standard_ratings_a(one)), None)
    return form, form is not None


def _parallel(branches: Sequence[Branch], wires: Sequence[WireLoad]) -> dict[int, tuple[int, ...]]:
    """By branch number the places of all wires between the same two nodes."""
    groups: dict[frozenset[int], list[int]] = defaultdict(list)
    for place, wire in enumerate(wires):
        groups[frozenset((branches[wire.wire].a, branches[wire.wire].b))].append(place)
    return {wires[place].wire: tuple(group) for group in groups.values() for place in group}


def _allowed(guard: Guard, wires: _Wires) -> float | None:
    """What a guarded wire and those parallel to it may carry together; None where one is not judged."""
    amps = [wires[0][place].rating.alone_a for place in wires[2][guard.wire]]
    return None if None in amps else sum(filter(None, amps))


def _short(guard: Guard, rating_a: float | None, form: str | None, wires: _Wires) -> ShortAtEnd:
    """Whether the fuse melts before the wire is lost."""
    amps = guard.short_a
    own = [wires[0][place].rating for place in wires[2][guard.wire]]
    if amps is None:
        return ShortAtEnd(guard, 0.0, None, None, None, None, "no way back from the body to the battery is known")
    if rating_a is None:
        return ShortAtEnd(guard, amps, None, None, None, None, "fuse rating not written")
    if form is None:
        return ShortAtEnd(guard, amps, None, None, None, None, "no melting times are published for this sort of fuse")
    allowed = _allowed(guard, wires)
    if allowed is None:
        return ShortAtEnd(guard, amps, None, None, None, None, next((one.why_not for one in own if one.why_not), ""))
    lets = let_through_a2s(form, rating_a, amps)
    melts_s = None if lets is None else lets / amps**2
    if lets is None or melts_s is None or melts_s > MAX_SECONDS:
        return ShortAtEnd(guard, amps, melts_s, lets, None, amps <= allowed * (1 + _ROUNDING))
    stands = _stands_a2s(own)
    if stands is None:
        return ShortAtEnd(
            guard, amps, melts_s, lets, None, None, f"no end temperature is published for {own[0].insulation}"
        )
    return ShortAtEnd(guard, amps, melts_s, lets, stands, lets <= stands)


def _stands_a2s(ratings: Sequence[Rating]) -> float | None:
    """I²t that wires side by side stand together: as one of all their copper, with the smallest k."""
    factors = [rating.k for rating in ratings]
    areas = [rating.area_mm2 for rating in ratings]
    if None in factors or None in areas:
        return None
    return withstand_a2s(sum(filter(None, areas)), min(filter(None, factors)))


def let_through_a2s(form: str, rating_a: float, amps: float) -> float | None:
    """The most I²t a fuse lets through at a current; None where no gate says that it melts at all."""
    at = [(gate.percent / 100 * rating_a, gate.max_s) for gate in _gates(form, rating_a) if gate.max_s is not None]
    return min((gate_a**2 * max_s for gate_a, max_s in at if gate_a <= amps * (1 + _ROUNDING)), default=None)


def _harm(short: ShortAtEnd) -> float:
    """How far beyond safe: let through over stood, or for slow ones simply the current."""
    if short.lets_a2s is not None and short.stands_a2s:
        return short.lets_a2s / short.stands_a2s
    return 1e6 + short.amps
