"""Plugs that do not come together: another housing, an adapter lead, or a plug with its tail from the leftover car."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from harnesscheck.assemble.fit import misfit
from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.decide.judge import Apart
from harnesscheck.decide.materials import forbidden, new_conductor
from harnesscheck.decide.sources import Sources, WireSource, fuse_rating_a
from harnesscheck.decide.work import Rates, Repair
from harnesscheck.model.edits import AddLead, AddTail, Conductor, Edit, Housing, Lay, PlugIn, SwapHousing
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Connector
from harnesscheck.network.graph.sides import NOTHING, Label, Side

LEAD_M = 0.3
_OTHER = {"pins": "sockets", "sockets": "pins"}


def joined(ctx: Context, sources: Sources, group: Sequence[tuple[Apart, Finding]], rates: Rates) -> Iterator[Repair]:
    """The work that brings plugs together which share one half; none where it must not be worked on."""
    plugs = [apart for apart, _ in group]
    apart, finding = group[0]
    if any(_forbidden(ctx, one) for one in plugs):
        return
    if apart.here is None:
        yield from _tail(ctx, sources, apart, finding, rates)
        return
    here, there = (ctx.shell.vehicle.connectors[name] for name in (apart.here, apart.there))
    same = here.cavities is None or there.cavities is None or set(here.cavities) == set(there.cavities)
    if same and len(plugs) == 1:
        yield from _housing(ctx, here, there, finding, rates)
    else:
        yield from lead(ctx, plugs, [one for _, one in group], rates)


def _forbidden(ctx: Context, apart: Apart) -> bool:
    cavities = ctx.donor.index.cavities(apart.half)
    return any(forbidden(ctx, (apart.half, cavity), (apart.here or apart.there, cavity)) for cavity in cavities)


def same_housing(row: Connector, cavities: Sequence[str]) -> Housing:
    """The housing a connector is in."""
    return Housing(
        cavities=tuple(cavities),
        half=row.half,
        keyway=row.keyway,
        housing_colour=row.housing_colour,
        part_number=row.part_number,
        contact=row.contact,
        sealed=row.sealed,
    )


# -- another housing


def _housing(ctx: Context, here: Connector, there: Connector, finding: Finding, rates: Rates) -> Iterator[Repair]:
    """The contacts of the harness half go into a housing that fits the other half, cavity by cavity."""
    if here.component is not None or (here.half and here.half == there.half):
        return
    index = ctx.shell.index
    cavities = there.cavities or here.cavities or index.cavities(here.id)
    housing = replace(same_housing(here, cavities), keyway=there.keyway, part_number=None, housing_colour=None)
    used = sum(1 for cavity in index.cavities(here.id) if index.piece(here.id, cavity) is not None)
    edits: tuple[Edit, ...] = ()
    if misfit(here, there):
        edits = (SwapHousing(here.id, housing),)
    keyway = f" of keyway {there.keyway}" if there.keyway else ""
    yield Repair(
        "housing",
        f"Put the {used} contacts of {here.id} into a housing{keyway} that fits {there.id}, and plug it in",
        (*edits, PlugIn(here.id, there.id)),
        rates.of("housing") + rates.of("insulate", used),
        here.id,
        "",
        there.id,
        at=ctx.shell.vehicle.place_of(here.id),
        serves=(finding.id,),
    )


# -- an adapter lead


@dataclass(frozen=True, slots=True)
class LeadWire:
    """One wire of an adapter lead: from a cavity of one of the car's halves to one of the half they all go to."""

    half: str
    cavity: str
    to: str


def lead_wires(ctx: Context, plugs: Sequence[Apart]) -> list[LeadWire]:
    """The wires of a lead from some halves to the one they share: what a person said, else what the contacts did.

    A contact that nothing on the other side matches gets no wire.
    """
    said = {(apart.half, cavity): other for apart in plugs for cavity, other in _said(ctx, apart)}
    taken = set(said.values())
    found: list[LeadWire] = []
    for apart in plugs:
        here = apart.here or apart.half
        for cavity in sorted(ctx.donor.index.cavities(apart.half), key=natural_key):
            to = said.get((apart.half, cavity)) or _match(ctx, apart, cavity, taken)
            if to is not None:
                taken.add(to)
                found.append(LeadWire(here, cavity, to))
    return found


def _match(ctx: Context, apart: Apart, cavity: str, taken: set[str]) -> str | None:
    """The other half's free cavity that does what a contact met in the donor; surely before likely."""
    was = ctx.donor.side(apart.mate, cavity)
    if was.label in NOTHING or ctx.donor.side(apart.half, cavity).label in NOTHING:
        return None
    found = []
    for other in sorted(ctx.shell.index.cavities(apart.there), key=natural_key):
        now = ctx.shell.side(apart.there, other)
        same, certain = ctx.same_function(was, now) if now.label not in NOTHING else (False, True)
        if same and other not in taken:
            found.append((not certain, other))
    return min(found, key=lambda one: one[0])[1] if found else None


def _said(ctx: Context, apart: Apart) -> Iterator[tuple[str, str]]:
    """What the crosswalk says of single cavities, by either half of the donor's plug and of the car's."""
    places = {apart.there, ctx.shell.vehicle.mate_of.get(apart.there)}
    for here, there in ctx.pairs.cavities.items():
        half, _, cavity = here.partition(":")
        connector, _, other = there.partition(":")
        if half in (apart.half, apart.mate) and connector in places:
            yield cavity, other


def lead(ctx: Context, plugs: Sequence[Apart], findings: Sequence[Finding], rates: Rates) -> Iterator[Repair]:
    """A short lead with a plug for every half; one plug a half, all wires to the half they share."""
    wires = lead_wires(ctx, plugs)
    first = plugs[0]
    if not wires or any(apart.here is None for apart in plugs) or wires[0].half != first.here:
        return
    edits, assumed = _lead_edits(ctx, plugs, wires)
    halves = [apart.here or "" for apart in plugs]
    sheet = ", ".join(f"{wire.half}:{wire.cavity} to {first.there}:{wire.to}" for wire in wires)
    yield Repair(
        "lead",
        f"Make an adapter lead from {' and '.join(halves)} to {first.there}: {sheet}",
        edits,
        rates.of("lead", len(plugs)) + rates.of("lead-wire", len(wires)),
        halves[0],
        "",
        first.there,
        length_m=LEAD_M,
        at=ctx.shell.vehicle.place_of(halves[0]),
        serves=tuple(one.id for one in findings),
        assumed=assumed,
    )


def _lead_edits(
    ctx: Context, plugs: Sequence[Apart], wires: Sequence[LeadWire]
) -> tuple[tuple[Edit, ...], tuple[str, ...]]:
    """The lead between the first half and the shared one, then a plug on it for every further half."""
    name = f"lead-{plugs[0].here}"
    lays: dict[str, list[Lay]] = {apart.here or "": [] for apart in plugs}
    assumed: list[str] = []
    for apart in plugs:
        for wire in (one for one in wires if one.half == apart.here):
            new = new_conductor(ctx, (apart.half, wire.cavity), None)
            lays[wire.half].append(Lay(wire.cavity, wire.to, replace(new.conductor, length=LEAD_M)))
            assumed += new.assumed_size
    first = plugs[0].here or ""
    title = f"adapter lead {' and '.join(lays)} to {plugs[0].there}"
    edits: list[Edit] = [AddLead(name, first, plugs[0].there, tuple(lays[first]), title)]
    for half in list(lays)[1:]:
        row = ctx.shell.vehicle.connectors[half]
        housing = replace(
            same_housing(row, row.cavities or ctx.shell.index.cavities(half)), half=_OTHER.get(row.half or "")
        )
        shared = f"{name}.{plugs[0].there}"
        ends = tuple(replace(lay, to=f"{shared}:{lay.to}") for lay in lays[half])
        if ends:
            edits.append(AddTail(f"{name}.{half}", name, housing, ends, half, row.at))
    return tuple(edits), tuple(dict.fromkeys(assumed))


# -- a plug with its tail


def _tail(ctx: Context, sources: Sources, apart: Apart, finding: Finding, rates: Rates) -> Iterator[Repair]:
    """The donor's plug with its tail, joined to the harness nearest by: every contact from the right source."""
    donor = ctx.donor.vehicle
    row = donor.connectors[apart.half]
    pair = ctx.pairs.harness.get(row.harness or "")
    harness = pair.shell if pair is not None else None
    if harness is None or harness not in ctx.shell.vehicle.harnesses:
        return
    laid = list(_laid(ctx, sources, apart, harness))
    if not laid or any(source is None for _, source, _ in laid):
        return
    edits = tail_edits(apart, harness, row, ctx, [(cavity, source, wire) for cavity, source, wire in laid if source])
    if edits is None:
        return
    sheet = ", ".join(f"{cavity} to {source.end}" for cavity, source, _ in laid if source)
    fuses = sorted({source.fuse for _, source, _ in laid if source and source.fuse}, key=natural_key)
    metres = sum((wire.length or 0.0) * (len(source.through) + 1) for _, source, wire in laid if source)
    yield Repair(
        "tail",
        f"Cut {apart.half} off the donor's harness with its tail and join it to the {harness} harness: {sheet}",
        edits,
        rates.of("tail", len(laid)) + rates.of("new-wire-per-metre", metres),
        f"tail-{apart.half}",
        "",
        ", ".join(source.end for _, source, _ in laid if source),
        length_m=round(metres, 2),
        fuse=", ".join(fuses),
        at=row.at or ctx.shell.vehicle.place_of(apart.there),
        serves=(finding.id,),
        plug=apart.half,
    )


def _laid(
    ctx: Context, sources: Sources, apart: Apart, harness: str
) -> Iterator[tuple[str, WireSource | None, Conductor]]:
    """By cavity of the donor's plug: where its wire is to start, and what it is."""
    for cavity in sorted(ctx.donor.index.cavities(apart.half), key=natural_key):
        was: Side = ctx.donor.side(apart.half, cavity)
        if was.label in NOTHING or was.label is Label.NOT_KNOWN:
            continue
        source = sources.best(harness, was)
        fuse_a = fuse_rating_a(ctx.shell.vehicle, source.fuse) if source and source.fuse else None
        yield cavity, source, new_conductor(ctx, (apart.half, cavity), fuse_a).conductor


def tail_edits(
    apart: Apart, harness: str, row: Connector, ctx: Context, laid: Sequence[tuple[str, WireSource, Conductor]]
) -> tuple[Edit, ...] | None:
    """The plug first, with the wires that end at a stud or splice; then those tapped onto contacts in use."""
    straight = [one for one in laid if ":" not in one[1].end and not one[1].through]
    others = [one for one in laid if one not in straight]
    if not straight:
        return None
    name = f"tail-{apart.half}"
    housing = replace(
        same_housing(row, row.cavities or ctx.donor.index.cavities(row.id)),
        half=row.half or _OTHER.get(ctx.shell.vehicle.connectors[apart.there].half or ""),
    )
    lays = tuple(Lay(cavity, source.end, wire) for cavity, source, wire in straight)
    edits: list[Edit] = [AddTail(name, harness, housing, lays, apart.there, row.at)]
    for cavity, source, wire in others:
        edits += source.edits(f"{name}:{cavity}", wire)
    return tuple(edits)
