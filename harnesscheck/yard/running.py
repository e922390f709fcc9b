"""Where many cars are judged: one after the other, in processes of this machine, or wherever a judge sends them."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence

from harnesscheck.model.progress import Told
from harnesscheck.yard.judge import Outcome, Task, judged

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
    """In some processes of this machine, started anew (spawned), so that it is the same on every system."""

    def run_them(tasks: Sequence[Task]) -> Iterator[tuple[int, Outcome | list[str]]]:
        """The outcomes as they come."""
        from concurrent.futures import ProcessPoolExecutor, as_completed
        from multiprocessing import get_context

        with ProcessPoolExecutor(min(count, len(tasks)), mp_context=get_context("spawn")) as pool:
            waiting = {pool.submit(judged, task): at for at, task in enumerate(tasks)}
            for future in as_completed(waiting):
                yield waiting[future], future.result()

    return run_them
