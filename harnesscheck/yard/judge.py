"""Two cars held against each other, in a process of their own where there are many: what it comes to in numbers."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields, replace
from functools import lru_cache
from pathlib import Path

from harnesscheck.align.check import align_checked
from harnesscheck.align.pairs import Pairs
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.joined import compare_joined
from harnesscheck.network.graph.sides import Study
from harnesscheck.yard.cache import NO_CACHE, Cache
from harnesscheck.yard.cars import HowToRead
from harnesscheck.yard.exchange import exchanged

VERSION = 2  # of what is kept: raise it when the same cars may give another outcome


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a donor fits: findings by severity, the worst one's words, the best plan's hours where it was decided.

    Where looms alone are exchanged, ``hazards`` are those of which parts and looms are of two cars then, and
    ``unknown`` counts the contacts that could not be judged; with ``doubtful`` they are too many.
    """

    name: str
    injury: int
    damage: int
    dead: int
    rework: int
    worst: str
    worst_id: str
    hours: float | None = None
    proven: bool = False
    hazards: tuple[str, ...] = ()
    unknown: int = 0
    doubtful: bool = False

    @property
    def repairs(self) -> int:
        """Everything that wants work: all findings above note."""
        return self.injury + self.damage + self.dead + self.rework

    @property
    def order(self) -> tuple[float, int, int, int, int, int, str]:
        """Fewest hours first, where they are known; then fewest repairs; then the less bad."""
        hours = self.hours if self.hours is not None else float("inf")
        return (round(hours, 6), self.repairs, self.injury, self.damage, self.dead, self.rework, self.name)


@dataclass(frozen=True, slots=True)
class Task:
    """What one process needs to know: both files, how to read them, what to find out, where its outcome is kept."""

    donor: str
    shell: str
    how: HowToRead
    decided: bool = False
    exchange: bool = False  # the donor's looms in the shell's place, instead of everything that may be joined
    contents: tuple[str | None, str | None] = (None, None)  # their digests; None: not known
    key: str | None = None  # of its outcome in the cache; None: it is not kept
    cache: Cache = NO_CACHE


def with_key(task: Task) -> Task:
    """The task with the name of its outcome in the cache, from both cars' contents; None where one is not known."""
    from harnesscheck import __version__

    asked = ("outcome", str(VERSION), __version__, str(task.decided), str(task.exchange))
    return replace(task, key=task.how.key(*asked, *task.contents))


def judged(task: Task) -> Outcome | list[str]:
    """The outcome of one donor, from the cache or worked out; the faults of a file that cannot be read."""
    if (before := kept(task)) is not None:
        return before
    cars = [_study_of(*one, task.how) for one in zip((task.donor, task.shell), task.contents, strict=True)]
    faults = [fault for car in cars if isinstance(car, list) for fault in car]
    if faults:
        return faults
    donor, shell = (car for car in cars if isinstance(car, Study))
    outcome = _outcome(donor, shell, task)
    keep(task, outcome)
    return outcome


def kept(task: Task) -> Outcome | None:
    """The outcome that the cache has; None where it has none that is whole."""
    before = task.cache.get(task.key) if task.key is not None else None
    return _read(before, task) if before is not None else None


def keep(task: Task, outcome: Outcome) -> None:
    """Put an outcome into the cache."""
    if task.key is not None:
        task.cache.put(task.key, json.dumps(asdict(outcome)).encode())


def _read(data: bytes, task: Task) -> Outcome | None:
    try:
        said = json.loads(data)
        own = {"name": Path(task.donor).name, "hazards": tuple(said["hazards"])}
        return Outcome(**{**{one.name: said[one.name] for one in fields(Outcome)}, **own})
    except (ValueError, KeyError, TypeError):
        return None


def _study_of(path: str, contents: str | None, how: HowToRead) -> Study | list[str]:
    """A studied car; one process reads the shell once, and again where its contents are others, or not known."""
    return _study(path, contents, how) if contents is not None else _read_study(path, how)


@lru_cache(maxsize=4)
def _study(path: str, _contents: str, how: HowToRead) -> Study | list[str]:
    return _read_study(path, how)


def _read_study(path: str, how: HowToRead) -> Study | list[str]:
    car = how.read(path)
    return car if isinstance(car, list) else Study(car)


def _outcome(donor: Study, shell: Study, task: Task) -> Outcome:
    """Everything found in every joined car, and where it is asked for the best plan's hours."""
    if task.exchange:
        found = exchanged(donor, shell)
        outcome = _counted(task, found.findings)
        return replace(outcome, hazards=found.hazards, unknown=found.unknown, doubtful=found.doubtful)
    pairs = align_checked(donor, shell, None)
    hours, proven = _planned(donor, shell, pairs) if task.decided else (None, False)
    return replace(_counted(task, compare_joined(donor, shell, pairs).findings), hours=hours, proven=proven)


def _counted(task: Task, findings: Sequence[Finding]) -> Outcome:
    bad = [one for one in findings if one.severity < Severity.NOTE]
    injury, damage, dead, rework = (
        sum(one.severity is severity for one in bad)
        for severity in (Severity.INJURY, Severity.DAMAGE, Severity.DEAD, Severity.REWORK)
    )
    text, id = (bad[0].text, bad[0].id) if bad else ("", "")
    return Outcome(Path(task.donor).name, injury, damage, dead, rework, text, id)


def _planned(donor: Study, shell: Study, pairs: Pairs) -> tuple[float | None, bool]:
    """Mean hours of the best plan and whether it is proven; a car that names no harness leaves nothing to decide."""
    from harnesscheck.decide.decide import DecisionQuestion, decide

    if not all(any(row.harness for row in car.vehicle.netlist.connectors) for car in (donor, shell)):
        return None, False
    best = decide(DecisionQuestion(donor, shell, pairs)).best
    return round(best.mean_h, 2), best.proven
