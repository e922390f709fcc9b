"""A folder of donors ranked for one shell: fingerprints shortlist, and the shortlisted are judged in full."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from harnesscheck.model.progress import Told, silent
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.yard.cache import NO_CACHE, Cache, contents_key
from harnesscheck.yard.cars import PLAINLY, HowToRead
from harnesscheck.yard.fingerprint import VERSION, Fingerprint, fingerprint, packed, unpacked
from harnesscheck.yard.judge import Outcome, Task, judged, outcome_key
from harnesscheck.yard.shortlist import Library, likest

Judge = Callable[[Sequence[Task]], Iterator[tuple[int, Outcome | list[str]]]]


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
class Unread:
    """A file that could not be read, and why."""

    path: str
    faults: tuple[str, ...]


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
    read: dict[str, Fingerprint] = {}
    contents: dict[str, str | None] = {}
    unread: list[Unread] = []
    for number, path in enumerate(question.donors, start=1):
        told(f"reading {number} of {len(question.donors)}")
        contents[path] = contents_key(Path(path))
        made = _print_of(contents[path], question, partial(question.how.read, path))
        if isinstance(made, Fingerprint):
            read[path] = made
        else:
            unread.append(Unread(Path(path).name, tuple(made)))
    paths = list(read)
    of_shell = contents_key(Path(question.shell))
    wanted = _print_of(of_shell, question, lambda: shell)
    assert isinstance(wanted, Fingerprint)
    likeness = Library(list(read.values())).likeness(wanted)
    chosen = likest(likeness, question.best)
    tasks = [_task(question, paths[at], contents[paths[at]], of_shell) for at in chosen]
    outcomes = []
    for at, outcome in _run(tasks, question.processes, told, judge):
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


def _print_of(
    contents: str | None, question: RankQuestion, car_of: Callable[[], Vehicle | list[str]]
) -> Fingerprint | list[str]:
    """The fingerprint of a file, from the cache or made of its car; its faults where it cannot be read."""
    key = question.how.key("fingerprint", str(VERSION), contents)
    if key is not None and (kept := question.cache.get(key)) is not None:
        return unpacked(kept)
    car = car_of()
    if isinstance(car, list):
        return car
    made = fingerprint(car)
    if key is not None:
        question.cache.put(key, packed(made))
    return made


def _task(question: RankQuestion, path: str, contents: str | None, of_shell: str | None) -> Task:
    key = outcome_key(question.how, contents, of_shell, decided=question.decided)
    return Task(path, question.shell, question.how, question.decided, key, question.cache)


def _run(
    tasks: Sequence[Task], processes: int, told: Told, judge: Judge | None
) -> Iterator[tuple[int, Outcome | list[str]]]:
    """The outcomes as they come, with the time that is left by those that are done."""
    started = time.monotonic()
    runs = judge or (in_processes(processes) if min(processes, len(tasks)) > 1 else in_this_process)
    told(f"judging {len(tasks)} of them")
    for done, one in enumerate(runs(tasks), start=1):
        left_s = (time.monotonic() - started) / done * (len(tasks) - done)
        told(f"judged {done} of {len(tasks)}, about {left_s:.0f} s left")
        yield one


def in_this_process(tasks: Sequence[Task]) -> Iterator[tuple[int, Outcome | list[str]]]:
    """One after the other."""
    for at, task in enumerate(tasks):
        yield at, judged(task)


def in_processes(count: int) -> Judge:
    """In some processes of this machine, started anew (spawned), so that it is the same on every system."""

    def run(tasks: Sequence[Task]) -> Iterator[tuple[int, Outcome | list[str]]]:
        """The outcomes as they come."""
        from concurrent.futures import ProcessPoolExecutor, as_completed
        from multiprocessing import get_context

        with ProcessPoolExecutor(min(count, len(tasks)), mp_context=get_context("spawn")) as pool:
            waiting = {pool.submit(judged, task): at for at, task in enumerate(tasks)}
            for future in as_completed(waiting):
                yield waiting[future], future.result()

    return run
