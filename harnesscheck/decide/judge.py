"""A car that is put together, judged against the donor: what its plugs would do as they will really be mated.

A harness half that faces a half of the same car meets what it always met, unless
it carries a retained part: there the part's own plug tells whether the harness
brings what the part had in the donor.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.assemble import Assembly
from harnesscheck.assemble.pairing import TAKEN_OVER
from harnesscheck.compare.compare import compare
from harnesscheck.compare.context import DONOR_HALF, SHELL_HALF, Context
from harnesscheck.compare.findings import Finding
from harnesscheck.compare.kinds import Severity
from harnesscheck.compare.meetings import reporting_half
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.sides import Study

BAD = Severity.DEAD  # this bad or worse, a plan must not leave


@dataclass(frozen=True)
class Judged:
    """A car and what was found on it; ``bad`` are the findings a plan must not leave."""

    ctx: Context
    findings: tuple[Finding, ...]

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


def judge(donor: Study, car: Vehicle, pairs: Pairs, built: Mapping[str, tuple[str, ...]]) -> Judged:
    """Judge a car against the donor by the hybrids that are built."""
    found = compare(donor, Study(car), pairs, built=built)
    return Judged(Context(found.donor, found.shell, pairs, built), found.findings)
