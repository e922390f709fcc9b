"""Mend a car that is put together, judge it again, and go on until nothing bad is left or nothing helps.

In-line plugs where the two cars meet come first: most of what is wrong behind
them is wrong because of them. Every round is judged anew; of all rounds the car
with the least harm left, then with the least work, is kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.apply import EditError, apply
from harnesscheck.compare.finding.findings import Finding, Hybrid
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.decide.hours import Estimate, total
from harnesscheck.decide.judge import NOTHING_KNOWN, JudgedCar, KnownJudgements, judge
from harnesscheck.decide.repair import repairs
from harnesscheck.decide.work import Rates, Repair
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study

IDLE_ROUNDS = 2  # rounds of work in a row that make nothing better; one may prepare what the next completes
PENALTY_H = {Severity.INJURY: 4000.0, Severity.DAMAGE: 2000.0, Severity.DEAD: 1000.0}
"""What a fault that is left counts for, in hours: more than any honest work."""


@dataclass(frozen=True)
class Mended:
    """A car after work on it, the work, and how it is judged."""

    car: Vehicle
    work: tuple[Repair, ...]
    judged: JudgedCar

    @property
    def hours(self) -> Estimate:
        """All work together."""
        return total(one.hours for one in self.work)

    @property
    def cost_h(self) -> float:
        """Mean hours, and what is left at its penalty."""
        return self.hours.mean_h + penalty_h(self.judged.bad)


def penalty_h(findings: Iterable[Finding]) -> float:
    """What faults that are left count for."""
    return sum(PENALTY_H[one.severity] for one in findings)


def mended(
    donor: Study,
    car: Vehicle,
    pairs: Pairs,
    built: Mapping[str, tuple[Hybrid, ...]],
    rates: Rates,
    known: KnownJudgements = NOTHING_KNOWN,
    judged: JudgedCar | None = None,
) -> Mended:
    """The car after the work that serves it best; ``judged`` is what is known of it before any."""
    best = now = Mended(car, (), judged or judge(donor, Study(car), pairs, built, (), known))
    idle = 0
    while now.judged.bad and idle < IDLE_ROUNDS:
        proposed = repairs(now.judged, _first(donor.vehicle, now.judged), rates)
        new, done = _done(now.judged.ctx.shell, proposed)
        if not done:
            proposed = repairs(now.judged, now.judged.bad, rates)
            new, done = _done(now.judged.ctx.shell, proposed)
        if not done:
            break
        now = Mended(new, (*now.work, *done), judge(donor, Study(new), pairs, built, (), known))
        idle = 0 if now.cost_h < best.cost_h else idle + 1
        best = min(best, now, key=lambda one: one.cost_h)
    return best


def _first(donor: Vehicle, judged: JudgedCar) -> Sequence[Finding]:
    """The findings at in-line plugs and those of no plug, where there are any.

    A contact whose circuit is in another cavity goes there with the rest of its plug.
    """
    inline = [one for one in judged.bad if not _at_part(donor, one.donor.connector)]
    plugs = {one.donor.connector for one in inline}
    moved = [one for one in judged.findings if one.kind == "moved-pin" and one.donor.connector in plugs]
    return [*inline, *moved] or judged.bad


def _at_part(donor: Vehicle, connector: str) -> bool:
    mate = donor.connectors.get(donor.mate_of.get(connector, ""))
    return mate is not None and mate.component is not None


def _done(car: Study, proposed: Sequence[Repair]) -> tuple[Vehicle, list[Repair]]:
    """The car after every piece of work that can be done, in the order proposed; ``car`` is it before any of them."""

    def after(now: Vehicle, some: Sequence[Repair]) -> tuple[Vehicle, list[Repair]]:
        """The car after as many of the repairs as can be done, and those."""
        if not some:
            return now, []
        try:  # nearly always all of it can be done
            return apply(now, [edit for one in some for edit in one.edits], before=car), list(some)
        except EditError:
            if len(some) == 1:
                return now, []
        middle = len(some) // 2
        halfway, first = after(now, some[:middle])
        end, second = after(halfway, some[middle:])
        return end, first + second

    return after(car.vehicle, proposed)
