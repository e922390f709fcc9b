"""Where many cars are judged: one after the other, in processes of this machine, or wherever a judge sends them."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import islice

from harnesscheck.model.progress import Told
from harnesscheck.yard.judge import Outcome, Task, judged

MOST_FRUITLESS = 2  # times that a process is killed before anything is done; after that one task at a time
Judge = Callable[[Sequence[Task]], Iterator[tuple[int, Outcome | list[str]]]]


def run(
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
    """In some processes of this machine, started anew (spawned), so that it is the same on every system.

    Where one of them is killed, what it had is given to others; a task over which that happens again and again is
    left, and said.
    """

    def run_them(tasks: Sequence[Task]) -> Iterator[tuple[int, Outcome | list[str]]]:
        """The outcomes as they come."""
        left = dict(enumerate(tasks))
        fruitless = 0
        while left:
            alone = fruitless >= MOST_FRUITLESS
            done = 0
            for at, found in _until_broken(dict(islice(left.items(), 1 if alone else None)), count):
                del left[at]
                done += 1
                yield at, found
            fruitless += not done
            if alone and not done:
                at = next(iter(left))
                yield at, [f"{left.pop(at).donor}: the process that judged it was ended; more memory may help"]

    return run_them


def _until_broken(tasks: Mapping[int, Task], count: int) -> Iterator[tuple[int, Outcome | list[str]]]:
    """The outcomes as they come, until all are there or a process is killed."""
    from concurrent.futures import BrokenExecutor, ProcessPoolExecutor, as_completed
    from multiprocessing import get_context

    with ProcessPoolExecutor(min(count, len(tasks)), mp_context=get_context("spawn")) as pool:
        waiting = {pool.submit(judged, task): at for at, task in tasks.items()}
        for future in as_completed(waiting):
            try:
                found = future.result()
            except BrokenExecutor:
                continue
            yield waiting[future], found
