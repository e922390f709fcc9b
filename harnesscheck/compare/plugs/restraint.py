"""Restraint and high voltage: whatever differs on a part or its circuits, in anything, is told once a part.

Nothing here says what to move where: the list tells what differs and where, so
that nobody takes the parts of two cars for one set. What only one car's file
says is not known to differ; it is told all the same, as not known.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from itertools import permutations
from typing import Any

from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.findings import NO_SPOT, Finding, Spot
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.compare.plugs.meetings import Meeting
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.graph.sides import Study
from harnesscheck.read.pool import WIRE_SLOTS, filled

OF_PART = (
    "system", "kind", "volts", "amps", "watts", "ohms", "rating", "type", "polar", "curve", "pulses", "with_", "coded",
    "safety", "part_number",
)  # fmt: skip
OF_PLUG = ("half", "keyway", "housing_colour", "contact", "sealed", "part_number")
OF_WIRE = (
    "colour", "size", "length", "ohms", "contact", "sealed", "insulation", "cable", "pair", "shield", "part_number",
)  # fmt: skip

OF_CONTACT = ("contact", "sealed", "part_number")  # of these the cavity's own row tells

_RAIL_ROLES = ("supply", "ground", "source")

_FEW = 4  # wires in one contact; more are not paired anew

Key = tuple[str, str]  # the part: donor id, shell id; or "" and a circuit


@dataclass(frozen=True, slots=True)
class Altered:
    """One thing that differs on a restraint or high-voltage part, and where."""

    text: str
    certainty: Certainty
    donor: Spot = NO_SPOT
    shell: Spot = NO_SPOT


def told(finding: Finding) -> Altered:
    """A finding on a restraint circuit as a few words."""
    spot = finding.donor if finding.donor.connector else finding.shell
    return Altered(f"{spot} {finding.kind}", finding.certainty, finding.donor, finding.shell)


def is_special(study: Study, component: str | None) -> bool:
    """Whether a component is restraint or high voltage."""
    return bool(study.hands_off.part(component))


def plug_is_special(study: Study, connector: str | None) -> bool:
    """Whether a plug holds nothing but restraint or high-voltage wiring, or belongs to such a part."""
    return bool(study.hands_off.whole(connector))


def touched(ctx: Context, donor: tuple[str, str], shell: tuple[str, str]) -> bool:
    """Whether a cavity is on a restraint or high-voltage circuit in either car."""
    return ctx.restrained(ctx.donor, *donor) or (bool(shell[0]) and ctx.restrained(ctx.shell, *shell))


def part_of(ctx: Context, finding: Finding) -> Key:
    """The part a finding belongs to, by itself, else by what its wires lead to, else its circuit's name."""
    for study, component in ((ctx.donor, finding.donor_component), (ctx.shell, finding.shell_component)):
        if is_special(study, component):
            return _both(ctx, study, component)
    return part_at(ctx, finding.donor, finding.shell)


def part_at(ctx: Context, donor: Spot, shell: Spot) -> Key:
    """The restraint or high-voltage part whose wires are in a cavity, or its circuit's name."""
    cars = ((ctx.donor, donor), (ctx.shell, shell))
    for study, spot in cars:
        row = study.vehicle.connectors.get(study.vehicle.mate_of.get(spot.connector, spot.connector))
        if row is not None and is_special(study, row.component):
            return _both(ctx, study, row.component or "")
    for study, spot in cars:
        net = study.index.net(spot.connector, spot.cavity)
        ends = study.net_side(net).terminals if net is not None else ()
        special = [t.component for t in ends if is_special(study, t.component)]
        if special:
            return _both(ctx, study, min(special, key=natural_key))
    return "", donor.circuit or shell.circuit


def burnt_along_a_line(ctx: Context, finding: Finding) -> Iterator[tuple[Key, Altered]]:
    """The restraint and high-voltage parts on a line shared with ordinary ones that a finding burns.

    The line itself is ordinary wiring, so that the finding stands as it is; such a part is on it all the same.
    """
    if finding.severity > Severity.DAMAGE:
        return
    for study, spot in ((ctx.donor, finding.donor), (ctx.shell, finding.shell)):
        net = study.index.net(spot.connector, spot.cavity)
        for end in study.net_side(net).terminals if net is not None else ():
            if end.role not in _RAIL_ROLES and is_special(study, end.component):
                text = f"its {end.name} at {spot.connector}:{spot.cavity}: {finding.text.rstrip('.')}"
                yield _both(ctx, study, end.component), Altered(text, finding.certainty, finding.donor, finding.shell)


def _both(ctx: Context, study: Study, component: str) -> Key:
    if study is ctx.donor:
        return component, ctx.component_map.get(component, "")
    back = {shell: donor for donor, shell in ctx.component_map.items()}
    return back.get(component, ""), component


def altered_parts(ctx: Context) -> dict[Key, list[Altered]]:
    """Restraint and high-voltage parts that only one car has, or whose own data or plugs differ."""
    found: dict[Key, list[Altered]] = defaultdict(list)
    for row in ctx.donor.vehicle.netlist.components:
        if is_special(ctx.donor, row.id) and row.id not in ctx.component_map:
            found[row.id, ""].append(Altered(f"the {ctx.word}'s file has no such part", Certainty.LIKELY))
    for row in ctx.shell.vehicle.netlist.components:
        if is_special(ctx.shell, row.id) and row.id not in ctx.retained:
            found["", row.id].append(Altered("the donor's file has no such part", Certainty.LIKELY))
    for pair in ctx.pairs.components:
        a, b = ctx.donor.vehicle.components[pair.donor], ctx.shell.vehicle.components[pair.shell]
        if is_special(ctx.donor, a.id) or is_special(ctx.shell, b.id):
            found[a.id, b.id] += _differing(a, b, OF_PART, "", other=ctx.word)
    for joined in ctx.pairs.connectors:
        own, other = ctx.donor.vehicle.connectors[joined.donor], ctx.shell.vehicle.connectors[joined.shell]
        if plug_is_special(ctx.donor, own.id) or plug_is_special(ctx.shell, other.id):
            spots = Spot(own.id), Spot(other.id)
            found[part_at(ctx, *spots)] += _differing(own, other, OF_PLUG, f"{own.id} ", *spots, other=ctx.word)
    return {key: items for key, items in found.items() if items}


def altered_wires(
    ctx: Context, meeting: Meeting, donor: tuple[str, str], shell: tuple[str, str]
) -> Iterator[tuple[Key, Altered]]:
    """What differs between the wires in two cavities of a restraint or high-voltage circuit."""
    spots = Spot(*donor, ctx.circuit(ctx.donor, *donor)), Spot(*shell, ctx.circuit(ctx.shell, *shell))
    ours, theirs = ends_of(ctx.wires(ctx.donor, *donor), donor), ends_of(ctx.wires(ctx.shell, *shell), shell)
    if not ours or not theirs:
        return
    key = part_at(ctx, *spots)
    if len(ours) != len(theirs):
        text = f"{spots[0]} {len(ours)} wires here, {len(theirs)} there"
        lacking = ctx.donor.index.may_lack_wires(donor[0]) or ctx.shell.index.may_lack_wires(shell[0])
        yield key, Altered(text, Certainty.KNOWN if meeting.sure and not lacking else Certainty.LIKELY, *spots)
        return
    for one in _fewest(ours, theirs, spots, ctx.word):
        yield key, one


def ends_of(rows: Sequence[Pin | Wire], at: tuple[str, str]) -> list[Pin]:
    """One row for every wire in a cavity, as it is there, whichever end it is written at.

    A row without a far end beside a wire that comes from elsewhere says what that wire
    and its contact are like; it is no wire of its own.
    """
    pins = [row for row in rows if isinstance(row, Pin)]
    own = [row for row in pins if (row.connector, row.cavity) == at]
    wires = [row for row in pins if row.to is not None] or own
    beside = next((row for row in own if row.to is None), None) if len(wires) == 1 else None
    contact = reduce(lambda one, other: filled(one, other, OF_CONTACT), own, Pin())
    return [
        replace(
            row if beside is None or beside is row else filled(row, beside, WIRE_SLOTS),
            contact=contact.contact,
            sealed=contact.sealed,
            part_number=contact.part_number,
        )
        for row in wires
    ]


def _fewest(ours: Sequence[Pin], theirs: Sequence[Pin], spots: tuple[Spot, Spot], other: str) -> list[Altered]:
    """What differs between as many wires here as there, paired so that least does; ``other`` is the second car."""
    where = f"{spots[0]} "
    orders = permutations(theirs) if len(theirs) <= _FEW else [tuple(theirs)]
    found = [
        [one for a, b in zip(ours, order, strict=True) for one in _differing(a, b, OF_WIRE, where, *spots, other=other)]
        for order in orders
    ]
    return min(found, key=lambda items: (sum(one.certainty is Certainty.KNOWN for one in items), len(items)))


def _differing(
    a: Any, b: Any, slots: Sequence[str], where: str, donor: Spot = NO_SPOT, shell: Spot = NO_SPOT, *, other: str
) -> list[Altered]:
    found = []
    for slot in slots:
        ours, theirs = _value(a, slot), _value(b, slot)
        if ours == theirs:
            continue
        name = f"{where}{slot.strip('_').replace('_', ' ')}"
        if ours is None or theirs is None:
            car = "donor" if ours is None else other
            found.append(Altered(f"{name} not documented in the {car}", Certainty.NOT_KNOWN, donor, shell))
        else:
            text = f"{name} {_shown(ours)} here, {_shown(theirs)} there"
            found.append(Altered(text, Certainty.KNOWN, donor, shell))
    return found


def _value(row: Any, slot: str) -> Any:
    """What is compared: a colour by its names where it has any, a size by its area."""
    value = getattr(row, slot, None)
    if slot == "colour" and value is not None:
        return value.names or value.text
    return value.area_mm2 if slot == "size" and value is not None else value


def _shown(value: Any) -> str:
    if isinstance(value, tuple):
        return "/".join(map(str, value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def gathered(items: Mapping[Key, Sequence[Altered]]) -> Iterator[tuple[Key, list[Altered], Certainty]]:
    """The parts, each with what differs on it, once each, and how well that is founded: as well as its best item."""
    for key, found in items.items():
        unique = list(dict.fromkeys(found))
        yield key, unique, min(one.certainty for one in unique)
