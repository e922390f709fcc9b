"""A folder of donors ranked for one shell: fingerprints shortlist, and the shortlisted are judged in full."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from harnesscheck.model.progress import Told, silent
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.yard.cache import NO_CACHE, Cache, contents_key
from harnesscheck.yard.cars import PLAINLY, HowToRead
from harnesscheck.yard.fingerprint import Fingerprint
from harnesscheck.yard.judge import Outcome, Task, with_key
from harnesscheck.yard.prints import Unread, print_of, prints_of
from harnesscheck.yard.running import Judge, run
from harnesscheck.yard.shortlist import Library, likest


@dataclass(frozen=True, slots=True)
class RankQuestion:
    """The shell and the donors by file, how many are judged in full, and how."""

    shell: str
    donors: tuple[str, ...]
    best: int = 20
    decided: bool = False
    how: HowToRead = PLAINLY
    cache: Cache = NO_CACHE
    processes: int = 1


@dataclass(frozen=True, slots=True)
class Ranking:
    """Outcomes, best first; how like the shell each donor is, by name; what was not judged in full, and not read."""

    outcomes: tuple[Outcome, ...]
    likeness: dict[str, float]
    not_judged: tuple[str, ...]
    unread: tuple[Unread, ...]


def rank(question: RankQuestion, shell: Vehicle, told: Told = silent, judge: Judge | None = None) -> Ranking:
    """Rank the donors for a shell, as read. Bad files are listed and stop nothing.

    ``judge`` runs the tasks elsewhere, in any order.
    """
    yard = prints_of(question.donors, question.how, question.cache, told)
    paths, contents, unread = list(yard.read), yard.contents, list(yard.unread)
    of_shell = contents_key(Path(question.shell))
    wanted = print_of(of_shell, question.how, question.cache, lambda: shell)
    assert isinstance(wanted, Fingerprint)
    likeness = Library(list(yard.read.values())).likeness(wanted)
    chosen = likest(likeness, question.best)
    tasks = [_task(question, paths[at], contents[paths[at]], of_shell) for at in chosen]
    outcomes = []
    for at, outcome in run(tasks, question.processes, told, judge):
        if isinstance(outcome, Outcome):
            outcomes.append(outcome)
        else:
            unread.append(Unread(Path(tasks[at].donor).name, tuple(outcome)))
    likenesses = {Path(path).name: round(float(value), 4) for path, value in zip(paths, likeness, strict=True)}
    rest = sorted(set(range(len(paths))) - set(chosen), key=lambda at: (-likeness[at], paths[at]))
    left = tuple(Path(paths[at]).name for at in rest)
    return Ranking(
        tuple(sorted(outcomes, key=lambda one: one.order)),
        likenesses,
        left,
        tuple(sorted(unread, key=lambda one: one.path)),
    )


def _task(question: RankQuestion, path: str, contents: str | None, of_shell: str | None) -> Task:
    both = (contents, of_shell)
    return with_key(Task(path, question.shell, question.how, question.decided, contents=both, cache=question.cache))
