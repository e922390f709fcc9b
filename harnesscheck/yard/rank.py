"""A folder of donors ranked for one shell: fingerprints shortlist, and the shortlisted are judged in full."""

from __future__ import annotations

import io
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from harnesscheck.model.progress import Told, silent
from harnesscheck.read import configure, read_with_remarks
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits
from harnesscheck.yard.cache import Cache, contents_key, key_of
from harnesscheck.yard.fingerprint import VERSION, Fingerprint, fingerprint
from harnesscheck.yard.judge import Outcome, Task, judged
from harnesscheck.yard.shortlist import Library, likest

Judge = Callable[[Sequence[Task]], Iterator[tuple[int, Outcome | list[str]]]]


@dataclass(frozen=True, slots=True)
class RankQuestion:
    """The shell and the donors by file, how many are judged in full, and how."""

    shell: str
    donors: tuple[str, ...]
    best: int = 20
    decided: bool = False
    limits: Limits = DEFAULT_LIMITS
    colour_code: str | None = None
    cache: str | None = None
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


def rank(question: RankQuestion, told: Told = silent, judge: Judge | None = None) -> Ranking:
    """Rank the donors. Bad files are listed and stop nothing. ``judge`` runs the tasks elsewhere, in any order."""
    read: dict[str, Fingerprint] = {}
    unread: list[Unread] = []
    for number, path in enumerate(question.donors, start=1):
        told(f"reading {number} of {len(question.donors)}")
        made = print_of(path, question)
        if isinstance(made, Fingerprint):
            read[path] = made
        else:
            unread.append(Unread(Path(path).name, tuple(made)))
    shell = print_of(question.shell, question)
    assert isinstance(shell, Fingerprint), "the caller has read the shell"
    paths = list(read)
    likeness = Library(list(read.values())).likeness(shell)
    chosen = likest(likeness, question.best)
    tasks = [_task(question, paths[at]) for at in chosen]
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


def print_of(path: str, question: RankQuestion) -> Fingerprint | list[str]:
    """The fingerprint of a file, from the cache or made; its faults where it cannot be read."""
    import numpy as np

    cache, contents = Cache(Path(question.cache) if question.cache else None), contents_key(Path(path))
    options = repr((asdict(question.limits), question.colour_code))
    key = key_of("fingerprint", str(VERSION), contents, options) if contents is not None else None
    if key is not None and (kept := cache.get(key)) is not None:
        with np.load(io.BytesIO(kept), allow_pickle=False) as arrays:
            return Fingerprint(arrays["words"], arrays["counts"])
    netlist, _ = read_with_remarks(path, question.limits, question.colour_code, ())
    if isinstance(netlist, list):
        return [str(fault) for fault in netlist]
    made = fingerprint(configure(netlist))
    if key is not None:
        file = io.BytesIO()
        np.savez(file, words=made.words, counts=made.counts)
        cache.put(key, file.getvalue())
    return made


def _task(question: RankQuestion, path: str) -> Task:
    return Task(path, question.shell, question.limits, question.colour_code, question.decided, question.cache)


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
