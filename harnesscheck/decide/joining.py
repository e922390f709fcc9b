"""Plugs that do not come together: another housing, an adapter lead, or a plug with its tail from the leftover car."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from harnesscheck.assemble.fit import misfit
from harnesscheck.compare.context import Context
from harnesscheck.compare.findings import Finding, natural
from harnesscheck.decide.judge import Apart
from harnesscheck.decide.materials import forbidden, new_conductor
from harnesscheck.decide.sources import Source, Sources, fuse_rating_a
from harnesscheck.decide.work import Rates, Repair
from harnesscheck.model.edits import AddLead, AddTail, Conductor, Edit, Housing, Lay, PlugIn, SwapHousing
from harnesscheck.model.records import Connector
from harnesscheck.network.sides import NOTHING, Label, Side

LEAD_M = 0.3
_OTHER = {"pins": "sockets", "sockets": "pins"}


def joined(ctx: Context, sources: Sources, apart: Apart, finding: Finding, rates: Rates) -> Iterator[Repair]:
    """The work that brings a plug together; none where it must not be worked on, or nothing is known to do it."""
    spots = [(apart.half, cavity) for cavity in ctx.donor.index.cavities(apart.half)]
    if any(forbidden(ctx, spot, (apart.here or apart.there, spot[1])) for spot in spots):
        return
    if apart.here is None:
        yield from _tail(ctx, sources, apart, finding, rates)
        return
    here, there = (ctx.shell.vehicle.connectors[name] for name in (apart.here, apart.there))
    if here.cavities is None or there.cavities is None or set(here.cavities) == set(there.cavities):
        yield from _housing(ctx, here, there, finding, rates)
    else:
        yield from _lead(ctx, apart, finding, rates)


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


def place_of(ctx: Context, connector: str) -> str:
    """Where a connector of the car is, by itself, its mate or their part."""
    vehicle = ctx.shell.vehicle
    row = vehicle.connectors.get(connector)
    if row is None:
        return ""
    mate = vehicle.connectors.get(vehicle.mate_of.get(connector, ""))
    owners = [vehicle.components.get(one.component or "") for one in (row, mate) if one is not None]
    return row.at or next((one.at for one in (mate, *owners) if one is not None and one.at), "") or ""


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
        at=place_of(ctx, here.id),
        serves=(finding.id,),
    )


# -- an adapter lead


def lead_wires(ctx: Context, apart: Apart) -> list[tuple[str, str]]:
    """Which cavity of the car's half goes to which of the other: what a person said, else what the contacts did.

    ``here`` is the donor's half's place in the car, ``there`` its mate's.
    """
    assert apart.here is not None
    said = dict(_said(ctx, apart))
    found = list(said.items())
    taken = set(said.values())
    ours = ctx.shell if apart.here != apart.half else ctx.donor
    for cavity in sorted(ours.index.cavities(apart.here), key=natural):
        own = ctx.shell.side(apart.here, cavity)
        was = ctx.donor.side(apart.mate, cavity)
        if cavity in said or own.label in NOTHING or was.label in NOTHING:
            continue
        for other in sorted(ctx.shell.index.cavities(apart.there), key=natural):
            now = ctx.shell.side(apart.there, other)
            if other not in taken and now.label not in NOTHING and ctx.same_function(was, now)[0]:
                found.append((cavity, other))
                taken.add(other)
                break
    return sorted(found, key=lambda wire: natural(wire[0]))


def _said(ctx: Context, apart: Apart) -> Iterator[tuple[str, str]]:
    for here, there in ctx.pairs.cavities.items():
        half, _, cavity = here.partition(":")
        connector, _, other = there.partition(":")
        if half == apart.half and connector == apart.there:
            yield cavity, other


def _lead(ctx: Context, apart: Apart, finding: Finding, rates: Rates) -> Iterator[Repair]:
    """A short lead with a plug for each half; every contact in use must have its place."""
    assert apart.here is not None
    wires = lead_wires(ctx, apart)
    if not wires:
        return
    lays, assumed = [], []
    for cavity, other in wires:
        conductor, said = new_conductor(ctx, (apart.half, cavity), None)
        lays.append(Lay(cavity, other, replace(conductor, length=LEAD_M)))
        assumed += [text for text in said if text.startswith("size")]
    name = f"lead-{apart.here}"
    sheet = ", ".join(f"{cavity} to {other}" for cavity, other in wires)
    yield Repair(
        "lead",
        f"Make an adapter lead between {apart.here} and {apart.there}: {sheet}",
        (AddLead(name, apart.here, apart.there, tuple(lays), f"adapter lead {apart.here} to {apart.there}"),),
        rates.of("lead") + rates.of("lead-wire", len(lays)),
        apart.here,
        "",
        apart.there,
        length_m=LEAD_M,
        at=place_of(ctx, apart.here),
        serves=(finding.id,),
        assumed=tuple(dict.fromkeys(assumed)),
    )


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
    fuses = sorted({source.fuse for _, source, _ in laid if source and source.fuse}, key=natural)
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
        at=row.at or place_of(ctx, apart.there),
        serves=(finding.id,),
    )


def _laid(ctx: Context, sources: Sources, apart: Apart, harness: str) -> Iterator[tuple[str, Source | None, Conductor]]:
    """By cavity of the donor's plug: where its wire is to start, and what it is."""
    for cavity in sorted(ctx.donor.index.cavities(apart.half), key=natural):
        was: Side = ctx.donor.side(apart.half, cavity)
        if was.label in NOTHING or was.label is Label.NOT_KNOWN:
            continue
        source = sources.best(harness, was)
        fuse_a = fuse_rating_a(ctx.shell.vehicle, source.fuse) if source and source.fuse else None
        yield cavity, source, new_conductor(ctx, (apart.half, cavity), fuse_a)[0]


def tail_edits(
    apart: Apart, harness: str, row: Connector, ctx: Context, laid: Sequence[tuple[str, Source, Conductor]]
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
