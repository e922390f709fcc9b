"""A part whose two contacts are exchanged: harmless, backwards, or a short through a diode.

A lamp, a heater, a fuse or a plain relay coil does not mind; a motor turns
backwards; across a suppression diode or on electronics something burns.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.kinds import Severity, Trait, kinds_of
from harnesscheck.compare.plugs.cavities import Difference
from harnesscheck.compare.plugs.meetings import Meeting
from harnesscheck.model.records import Component
from harnesscheck.network.graph.sides import FEEDS, Side, Study
from harnesscheck.network.graph.turning import COIL, diode_across, is_wired_both_ways, may_turn

POLAR = frozenset({"motor", "module", "sensor", "diode"})
HARMLESS = Severity.NOTE
ELECTRONICS = frozenset({"module", "sensor"})
_LoadEnds = tuple[Component, set[str | None]]
_EXCHANGE = kinds_of(Trait.EXCHANGE)


def settle_polarity(ctx: Context, meeting: Meeting, found: list[Difference]) -> Iterator[Difference]:
    """Replace the differences of two exchanged contacts of one load by what the exchange does."""
    dropped: set[int] = set()
    for a, b in combinations([one for one in found if one.kind in _EXCHANGE], 2):
        load = _load_of(ctx.donor, meeting, a, b) if _exchanged(ctx, a, b) else None
        verdict = _verdict(ctx.donor, load[0]) if load is not None and _one_load(ctx.donor, *load) else None
        if verdict is None:
            continue
        dropped |= {id(one) for one in found if one.cavity in (a.cavity, b.cavity)}
        if verdict is not HARMLESS:
            yield from (replace(one, kind="reversed", effect=verdict) for one in (a, b))
    yield from (one for one in found if id(one) not in dropped)


def _load_of(study: Study, meeting: Meeting, a: Difference, b: Difference) -> _LoadEnds | None:
    """The part whose two terminals are behind two contacts, and which; in line nothing else may be behind them."""
    row = study.vehicle.connectors.get(meeting.mate or "")
    component = study.vehicle.components.get(row.component or "") if row is not None else None
    if component is not None:
        return component, {_terminal(study, a), _terminal(study, b)}
    for one, other in ((a.own, b.own), (a.was, b.was)):
        ends = [*one.terminals, *other.terminals]
        if len(one.terminals) == len(other.terminals) == 1 and ends[0].component == ends[1].component:
            return study.vehicle.components[ends[0].component], {end.name for end in ends}
    return None


def _exchanged(ctx: Context, a: Difference, b: Difference) -> bool:
    """Whether each contact now faces what the other faced."""
    return _alike(ctx, a.was, b.now) and _alike(ctx, b.was, a.now)


def _alike(ctx: Context, was: Side, now: Side) -> bool:
    """Whether one is as good as the other for a part fed by it: the same function, or live in the same positions."""
    return (was.label is now.label and was.label in FEEDS) or bool(ctx.same_function(was, now)[0])


def _terminal(study: Study, one: Difference) -> str | None:
    mate = one.meeting.mate or ""
    for pin in study.vehicle.pins_of.get(mate, ()):
        if pin.cavity == one.cavity and pin.terminal is not None:
            return pin.terminal
    return None


def _one_load(study: Study, component: Component, ends: set[str | None]) -> bool:
    """Whether the two contacts are the two ends of one load: the part's only two, its supply and ground, a coil's."""
    if component.kind == "relay":
        return ends == COIL
    terminals = {name for owner, name in study.index.terminal if owner == component.id}
    if ends == terminals and len(ends) == 2:
        return True
    roles = {study.terminal(component.id, name).role for name in ends if name is not None}
    lone_ground = len(study.ground_contacts.get(component.id, ())) == 1  # a second one makes it a short
    return roles == {"supply", "ground"} and lone_ground and component.kind in POLAR


def _verdict(study: Study, component: Component) -> Severity | None:
    """What exchanged contacts come to: harmless, dead or damage; None where the rule does not apply."""
    if component.kind == "relay":
        return Severity.DAMAGE if diode_across(study, component) else HARMLESS
    if may_turn(component) and not is_wired_both_ways(study, component):
        return HARMLESS
    if component.polar or component.kind in POLAR:
        return Severity.DAMAGE if component.kind in ELECTRONICS else Severity.DEAD
    return None
