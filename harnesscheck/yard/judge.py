"""One donor held against one shell, in a process of its own where there are many: what it comes to in numbers."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, fields
from functools import lru_cache
from pathlib import Path

from harnesscheck.align.check import align_checked
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.joined import compare_joined
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure, read_with_remarks
from harnesscheck.read.limits import Limits
from harnesscheck.yard.cache import Cache, contents_key, key_of

VERSION = 1  # of what is kept: raise it when the same cars may give another outcome


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a donor fits: findings by severity, the worst one's words, the best plan's hours where it was decided."""

    name: str
    injury: int
    damage: int
    dead: int
    rework: int
    worst: str
    worst_id: str
    hours: float | None = None
    proven: bool = False

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
    """What one process needs to know: both files, how to read them, whether to decide, where outcomes are kept."""

    donor: str
    shell: str
    limits: Limits
    colour_code: str | None = None
    decided: bool = False
    cache: str | None = None

    @property
    def key(self) -> str | None:
        """The name of its outcome in the cache; None where it is not kept."""
        from harnesscheck import __version__

        contents = [contents_key(Path(path)) for path in (self.donor, self.shell)]
        if None in contents:
            return None
        options = repr((asdict(self.limits), self.colour_code, self.decided))
        return key_of("outcome", str(VERSION), __version__, *map(str, contents), options)


def judged(task: Task) -> Outcome | list[str]:
    """The outcome of one donor, from the cache or worked out; the faults of a file that cannot be read."""
    cache, key = Cache(Path(task.cache) if task.cache else None), task.key
    if key is not None and (kept := cache.get(key)) is not None and (outcome := _read(kept, task)) is not None:
        return outcome
    cars = [_study(path, task.limits, task.colour_code) for path in (task.donor, task.shell)]
    faults = [fault for car in cars if isinstance(car, list) for fault in car]
    if faults:
        return faults
    donor, shell = (car for car in cars if isinstance(car, Study))
    outcome = _decided(donor, shell, task.donor) if task.decided else _compared(donor, shell, task.donor)
    if key is not None:
        cache.put(key, json.dumps(asdict(outcome)).encode())
    return outcome


def _read(kept: bytes, task: Task) -> Outcome | None:
    try:
        said = json.loads(kept)
        return Outcome(**{**{one.name: said[one.name] for one in fields(Outcome)}, "name": _name(task.donor)})
    except (ValueError, KeyError, TypeError):
        return None


@lru_cache(maxsize=2)
def _study(path: str, limits: Limits, colour_code: str | None) -> Study | list[str]:
    """A studied car; one process reads the shell once."""
    netlist, _ = read_with_remarks(path, limits, colour_code, ())
    return [str(fault) for fault in netlist] if isinstance(netlist, list) else Study(configure(netlist))


def _name(path: str) -> str:
    return Path(path).name


def _compared(donor: Study, shell: Study, path: str, hours: float | None = None, proven: bool = False) -> Outcome:
    found = compare_joined(donor, shell, align_checked(donor, shell, None)).findings
    bad = [one for one in found if one.severity < Severity.NOTE]
    worst = bad[0] if bad else None
    injury, damage, dead, rework = (
        sum(one.severity is severity for one in bad)
        for severity in (Severity.INJURY, Severity.DAMAGE, Severity.DEAD, Severity.REWORK)
    )
    text, id = (worst.text, worst.id) if worst is not None else ("", "")
    return Outcome(_name(path), injury, damage, dead, rework, text, id, hours, proven)


def _decided(donor: Study, shell: Study, path: str) -> Outcome:
    """The same with the hours of the best plan; a car that names no harness leaves nothing to decide."""
    from harnesscheck.decide.decide import DecisionQuestion, decide

    if not all(any(row.harness for row in car.vehicle.netlist.connectors) for car in (donor, shell)):
        return _compared(donor, shell, path)
    best = decide(DecisionQuestion(donor, shell, align_checked(donor, shell, None))).best
    return _compared(donor, shell, path, round(best.mean_h, 2), best.proven)
