"""Judging on the workers of a dask scheduler. Imported only where one is asked for.

Every worker needs this version of the program, and the files under the same paths.
What a worker has judged is kept here, beside what was judged here; a worker that is
lost loses nothing: the scheduler gives what it had to another.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Any

from harnesscheck.yard.cache import NO_CACHE
from harnesscheck.yard.judge import Outcome, Task, judged, keep, kept
from harnesscheck.yard.running import Judge

WAIT_S = 30  # for the scheduler to answer, and for the first worker
RETRIES = 3  # of a task whose worker is lost while it works on it


class NoClusterError(Exception):
    """Why no cluster can be used: what was read, what was expected."""

    def __init__(self, read: str, expected: str) -> None:
        super().__init__(read, expected)
        self.read, self.expected = read, expected


@contextmanager
def cluster(address: str) -> Iterator[Judge]:
    """A judge that sends every task to a scheduler's workers. Raises NoClusterError where nobody answers."""
    try:
        distributed: Any = import_module("distributed")
    except ImportError:
        raise NoClusterError("dask.distributed is not installed", "pip install 'harnesscheck[cluster]'") from None
    try:
        client = distributed.Client(address, timeout=WAIT_S, set_as_default=False)
    except (OSError, ValueError, TypeError):  # TypeError: a scheme that it does not know
        raise NoClusterError(f"no scheduler at {address}", "the address that dask scheduler prints") from None
    with client:
        try:
            client.wait_for_workers(1, timeout=WAIT_S)
        except TimeoutError:
            raise NoClusterError(f"no worker at {address}", f"dask worker {address}, once or oftener") from None
        yield _Cluster(distributed, client)


class _Cluster:
    """Sends tasks to a client's workers."""

    def __init__(self, distributed: Any, client: Any) -> None:
        self._distributed, self._client = distributed, client

    def __call__(self, tasks: Sequence[Task]) -> Iterator[tuple[int, Outcome | list[str]]]:
        """The outcomes as they come; those that are kept at once."""
        from harnesscheck import __version__

        waiting: dict[Any, int] = {}
        for at, task in enumerate(tasks):
            if (outcome := kept(task)) is not None:
                yield at, outcome
            else:
                waiting[self._client.submit(_judged, _as_sent(task), __version__, pure=False, retries=RETRIES)] = at
        for future in self._distributed.as_completed(list(waiting), loop=self._client.loop):
            at = waiting.pop(future)
            found = self._found(future, tasks[at])
            if isinstance(found, Outcome):
                keep(tasks[at], found)
            yield at, found

    def _found(self, future: Any, task: Task) -> Outcome | list[str]:
        """What a worker found; why nobody found anything, where every worker was lost over it."""
        try:
            found: Outcome | list[str] = future.result()
        except self._distributed.KilledWorker:
            return [f"{task.donor}: every worker that judged it was lost; more memory a worker may help"]
        return found


def _as_sent(task: Task) -> Task:
    """A task as a worker gets it: whole paths, and nothing is kept there."""
    donor, shell = (str(Path(path).resolve()) for path in (task.donor, task.shell))
    return replace(task, donor=donor, shell=shell, key=None, cache=NO_CACHE)


def _judged(task: Task, version: str) -> Outcome | list[str]:
    """What a worker does."""
    from harnesscheck import __version__

    if __version__ != version:
        return [f"{task.donor}: a worker has version {__version__} of the program; expected {version}"]
    return judged(task)
