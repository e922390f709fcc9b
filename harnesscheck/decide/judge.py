"""A car that is put together, judged against the donor: what its plugs would do as they will really be mated.

A harness half that faces a half of the same car meets what it always met, unless
it carries a retained part: there the part's own plug tells whether the harness
brings what the part had in the donor.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.assemble import Assembly
from harnesscheck.assemble.fit import misfit
from harnesscheck.assemble.pairing import TAKEN_OVER
from harnesscheck.compare.compare import compare
from harnesscheck.compare.context import DONOR_HALF, SHELL_HALF, Context
from harnesscheck.compare.findings import Finding, Spot, in_order, natural
from harnesscheck.compare.kinds import Certainty, Severity
from harnesscheck.compare.meetings import reporting_half
from harnesscheck.compare.sentences import SENTENCES
from harnesscheck.compare.words import named
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.sides import Study

BAD = Severity.DEAD  # this bad or worse, a plan must not leave


@dataclass(frozen=True, slots=True)
class Apart:
    """A plug of the donor (half and mate) and its halves in the car; ``here`` is None where the car has none."""

    half: str
    mate: str
    here: str | None
    there: str


@dataclass(frozen=True)
class Judged:
    """A car and what was found on it; ``bad`` are the findings a plan must not leave.

    ``apart`` are plugs that were together in the donor and are not in the car: a part
    without its plug, or halves that do not fit. Each is among the findings, as dead.
    """

    ctx: Context
    findings: tuple[Finding, ...]
    apart: tuple[Apart, ...] = ()

    @property
    def bad(self) -> tuple[Finding, ...]:
        """Injury, damage and dead."""
        return tuple(one for one in self.findings if one.severity <= BAD)

    @property
    def car(self) -> Study:
        """The car that was judged."""
        return self.ctx.shell


def taken_over(assembly: Assembly, donor: Vehicle) -> frozenset[str]:
    """The donor's connectors that are in the assembled car."""
    return frozenset(pair.donor for pair in assembly.from_donor.connectors if pair.why == TAKEN_OVER) & frozenset(
        donor.connectors
    )


def built_hybrids(donor: Vehicle, ours: frozenset[str]) -> Mapping[str, tuple[str, ...]]:
    """By donor half, the hybrid that is built; ``ours`` are the donor's connectors that are taken."""
    built: dict[str, tuple[str, ...]] = {}
    for half in donor.connectors:
        if reporting_half(donor, half) != half:
            continue
        mate = donor.mate_of.get(half)
        mine, theirs = half in ours, mate in ours
        at_part = mate is not None and donor.connectors[mate].component is not None
        if mine and not theirs and mate is not None:
            built[half] = (DONOR_HALF,)
        elif at_part or (theirs and not mine):
            built[half] = (SHELL_HALF,)
    return built


def judge(
    donor: Study,
    car: Vehicle,
    pairs: Pairs,
    built: Mapping[str, tuple[str, ...]],
    dead_before: Collection[str] = (),
    *,
    electrical: bool = False,
) -> Judged:
    """Judge a car against the donor by the hybrids that are built; ``electrical`` tries what works as well."""
    found = compare(donor, Study(car), pairs, None, built, dead_before, electrical=electrical)
    ctx = Context(found.donor, found.shell, pairs, built)
    apart = tuple(_apart(ctx))
    return Judged(ctx, tuple(in_order((*found.findings, *(_dead(ctx, one) for one in apart)))), apart)


def _apart(ctx: Context) -> Iterator[Apart]:
    """Mated halves of the donor whose counterparts in the car are not."""
    donor, car = ctx.donor.vehicle, ctx.shell.vehicle
    for half, mate in sorted(donor.mate_of.items(), key=lambda one: natural(one[0])):
        if reporting_half(donor, half) != half:
            continue
        here, there = (_in_car(ctx, name) for name in (half, mate))
        if here is not None and there is not None:
            if car.mate_of.get(here) is None and car.mate_of.get(there) is None:
                yield Apart(half, mate, here, there)
        elif there is not None and donor.connectors[mate].component is not None and car.mate_of.get(there) is None:
            yield Apart(half, mate, None, there)


def _in_car(ctx: Context, connector: str) -> str | None:
    pair = ctx.pairs.connector.get(connector)
    return pair.shell if pair is not None and pair.shell in ctx.shell.vehicle.connectors else None


def _dead(ctx: Context, one: Apart) -> Finding:
    """What it means that a plug is apart: everything on it is dead."""
    car = ctx.shell.vehicle
    part = ctx.donor.vehicle.connectors[one.mate].component or ""
    if one.here is None:
        text = f"no harness of the car has a plug for it: {named(ctx.donor, part)} is not connected"
    else:
        why = misfit(car.connectors[one.here], car.connectors[one.there])
        text = f"{one.here} and {one.there} cannot be plugged together" + (f": {why}" if why else "")
    return Finding(
        "missing-circuit",
        Severity.DEAD,
        Certainty.KNOWN,
        Spot(one.half),
        Spot(one.here or ""),
        part,
        ctx.component_map.get(part, ""),
        text[:1].upper() + text[1:] + ".",
        SENTENCES["no-mate"].do,
        {"apart": [one.here, one.there]},
    )
