"""A car that is put together, judged against the donor: what its plugs would do as they will really be mated.

A harness half that faces a half of the same car meets what it always met, unless
it carries a retained part: there the part's own plug tells whether the harness
brings what the part had in the donor.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.assemble import Assembly
from harnesscheck.assemble.pairing import TAKEN_OVER
from harnesscheck.assemble.standin import StoodIn
from harnesscheck.compare.built import Apart, apart, built_hybrids, dead_plug, split_sets, taken_over
from harnesscheck.compare.compare import compare
from harnesscheck.compare.context import Context
from harnesscheck.compare.coverage import Unjudged
from harnesscheck.compare.finding.findings import Finding, Hybrid, in_order
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.plugs.wholeset import mixed_sets
from harnesscheck.network.graph.sides import Study

__all__ = ["BAD", "Apart", "JudgedCar", "built_hybrids", "judge", "known_of", "taken_over"]

BAD = Severity.DEAD  # this bad or worse, a plan must not leave


@dataclass(frozen=True)
class JudgedCar:
    """A car and what was found on it; ``bad`` are the findings a plan must not leave.

    ``apart`` are plugs that were together in the donor and are not in the car: a part
    without its plug, or halves that do not fit. Each is among the findings, as dead.
    """

    ctx: Context
    findings: tuple[Finding, ...]
    apart: tuple[Apart, ...] = ()
    unplugged: frozenset[str] = frozenset()  # connectors of the car known to be plugged into nothing
    unjudged: tuple[Unjudged, ...] = ()
    electrical: bool = False  # whether what works was tried

    @property
    def bad(self) -> tuple[Finding, ...]:
        """Injury, damage and dead."""
        return tuple(one for one in self.findings if one.severity <= BAD)

    @property
    def car(self) -> Study:
        """The car that was judged."""
        return self.ctx.shell


@dataclass(frozen=True)
class KnownJudgements:
    """What is known of a car from how it was put together.

    ``unplugged`` are connectors with nothing on them, for their own mates were left
    out; ``coded`` are findings about coded sets of which the car has some parts and
    lacks others. None: the comparison's own reading of them stands.
    """

    unplugged: frozenset[str] = frozenset()
    coded: tuple[Finding, ...] | None = None
    mixed: tuple[Finding, ...] = ()  # sets of restraint or high-voltage parts that are of two cars


NOTHING_KNOWN = KnownJudgements()


def known_of(assembly: Assembly, donor: Study, shell: Study) -> KnownJudgements:
    """What an assembly tells; work on the car changes neither."""
    car = assembly.vehicle
    kept = {pair.donor: pair.shell for pair in assembly.from_shell.connectors if pair.why == TAKEN_OVER}
    mates = shell.vehicle.mate_of
    loose = frozenset(here for id, here in kept.items() if id in mates and here not in car.mate_of)
    coded = tuple(split_sets(donor.vehicle, shell.vehicle, assembly))
    return KnownJudgements(loose, coded, tuple(mixed_sets(donor, shell, assembly)))


def judge(
    donor: Study,
    car: Study,
    pairs: Pairs,
    built: Mapping[str, tuple[Hybrid, ...]],
    dead_before: Collection[str] = (),
    known: KnownJudgements = NOTHING_KNOWN,
    *,
    electrical: bool = False,
) -> JudgedCar:
    """Judge a car against the donor by the hybrids that are built; ``electrical`` tries what works as well."""
    found = compare(donor.kept(StoodIn).study, car, pairs, None, built, dead_before, electrical=electrical)
    ctx = Context(found.donor, found.shell, pairs, built)
    plugs = tuple(apart(ctx))
    told: list[Finding] = [one for one in found.findings if known.coded is None or one.kind != "coded-part"]
    findings = tuple(in_order((*told, *(known.coded or ()), *known.mixed, *(dead_plug(ctx, one) for one in plugs))))
    return JudgedCar(ctx, findings, plugs, known.unplugged, found.coverage.unjudged, electrical)
