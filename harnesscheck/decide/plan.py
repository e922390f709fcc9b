"""A plan: which harness comes from which car, every step of the work, and what is proven of the finished car."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from harnesscheck.assemble.assemble import Assembly
from harnesscheck.assemble.choice import DONOR, Choice
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.decide.groups import Group
from harnesscheck.decide.hours import Estimate, HoursSpread, spread
from harnesscheck.decide.judge import BAD
from harnesscheck.decide.moves import Move
from harnesscheck.decide.work import Repair, RepairKind
from harnesscheck.model.edits import Edit
from harnesscheck.model.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step for one person. ``mends`` is the work at the bench where the step is such; ``after`` names steps.

    ``move`` is what it takes out or puts in, where it does.
    """

    id: str
    do: str
    hours: Estimate
    at: str = ""
    after: tuple[str, ...] = ()
    mends: Repair | None = None
    done_h: float | None = None  # what it took, where it is done
    move: Move | None = None

    @property
    def is_at_donor(self) -> bool:
        """Whether it is work at the car that gives."""
        return self.move is not None and (self.move.way, self.move.car) == ("out", DONOR)

    @property
    def counted(self) -> Estimate:
        """Its hours: what it took where it is done, else the estimate."""
        return self.hours if self.done_h is None else Estimate(self.done_h, self.done_h, self.done_h)


@dataclass(frozen=True)
class Plan:
    """A labelling with its finished car, steps, and what is left wrong."""

    groups: tuple[Group, ...]
    labels: Mapping[str, str]
    choice: Choice
    assembly: Assembly
    car: Vehicle
    steps: tuple[WorkStep, ...]
    findings: tuple[Finding, ...]
    cost_h: float
    rests_on: tuple[str, ...] = ()
    not_known_at: tuple[str, ...] = field(default=())
    untried: str = ""  # why nothing could be tried of what works

    @property
    def left(self) -> tuple[Finding, ...]:
        """What is still dangerous, damaging or dead."""
        return tuple(one for one in self.findings if one.severity <= BAD)

    @property
    def proven(self) -> bool:
        """Proven on paper, wiring only: nothing bad left, nothing not known on what is touched, and it was tried."""
        return not (self.left or self.not_known_at or self.untried)

    @property
    def mixes(self) -> bool:
        """Whether restraint or high-voltage parts and looms of both cars are in it."""
        return any(one.evidence.mixed is not None for one in self.findings)

    @cached_property
    def spread(self) -> HoursSpread:
        """P50 and P90 of all hours."""
        return spread([step.counted for step in self.steps])

    @property
    def mean_h(self) -> float:
        """Mean hours of all steps."""
        return sum(step.counted.mean_h for step in self.steps)

    @property
    def work(self) -> tuple[tuple[WorkStep, Repair], ...]:
        """The steps at the bench, each with its work."""
        return tuple((step, step.mends) for step in self.steps if step.mends is not None)

    @property
    def edits(self) -> tuple[tuple[WorkStep, Edit], ...]:
        """What is done at the bench, edit by edit, each with its step."""
        return tuple((step, edit) for step, repair in self.work for edit in repair.edits)

    def count(self, kind: RepairKind) -> int:
        """How many pieces of work of a kind."""
        return sum(1 for _, repair in self.work if repair.kind == kind)

    @property
    def lost(self) -> tuple[Finding, ...]:
        """What will be dead or is not proven to work."""
        return tuple(
            one for one in self.findings if one.severity == Severity.DEAD and one.certainty is not Certainty.NOT_KNOWN
        )


@dataclass(frozen=True)
class NearMiss:
    """An answer that would win if one fact were another: what must be so, and how many hours less it would take.

    ``left`` are the faults that would have to be mended in a way not known here; with
    none, a wish or a harness's condition is what rules the answer out.
    """

    what: str
    labels: Mapping[str, str]
    saved_h: float
    left: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Decision:
    """The best plan, others beside it, and how sure it is that none is better."""

    plans: tuple[Plan, ...]  # cheapest first
    all_donor: Plan | None
    all_shell: Plan | None
    labellings: int
    checked: int
    shown_best: bool
    near: tuple[NearMiss, ...] = ()  # what saves most first
    whole: Plan | None = None  # where the best plan mixes a set that must be of one car: the best that does not

    @property
    def best(self) -> Plan:
        """The cheapest plan."""
        return self.plans[0]
