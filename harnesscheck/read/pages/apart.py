"""Reads pages in a process of its own, with an end to its time and memory, for what a stranger's file may do to it.

Neither a PDF's nor a picture's libraries can be stopped from inside: one that goes on for
ever, fills the memory or crashes takes only this process with it. It is started anew (no
fork), so that it is the same on every system; the limit on memory is kept where the system
has one (not on Windows). What comes back is rebuilt from the records of this package alone.
"""

from __future__ import annotations

import io
import os
import pickle
import re
import subprocess
import sys
import threading
import time
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import IO, Any, Self

from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.progress import Told, silent
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits
from harnesscheck.read.pages.cells import source_words
from harnesscheck.read.pages.pagelimits import PAGE_LIMITS, PageLimits
from harnesscheck.read.pages.pictures import Picture
from harnesscheck.read.pages.read import Given, PagesRead

TOLD, RESULT, NO_MEMORY, FAILED = b"t", b"r", b"m", b"f"
_HEAD = 9  # bytes before what is said: one for what it is, eight for how long
_ONE_THREAD = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "2", "MALLOC_ARENA_MAX": "4"}  # else memory by cores
_START = "import sys; sys.path[:] = {path!r}; from harnesscheck.read.pages.worker import main; main()"


@dataclass(frozen=True, slots=True)
class Task:
    """What is to be read and how, as it is handed to the process; as for ``read_pages``."""

    given: tuple[Given, ...]
    names: tuple[str, ...] = ()
    columns: Mapping[int, str] | None = None
    colour_code: str | None = None
    limits: Limits = DEFAULT_LIMITS
    pictures: bool = False
    page_limits: PageLimits = PAGE_LIMITS


@dataclass(frozen=True, slots=True)
class Apart:
    """What was read, and each page as it looks where that was asked for, by file and number."""

    read: PagesRead
    pictures: Mapping[tuple[str, int], Picture] = field(default_factory=dict)


class Reader:
    """A process that reads one task. It starts at once, so that whoever asks can do other things until ``wait``."""

    def __init__(self, task: Task) -> None:
        script = _START.format(path=[one or str(Path.cwd()) for one in sys.path])
        self._task = task
        self._said: SimpleQueue[tuple[bytes, bytes]] = SimpleQueue()
        self._process = subprocess.Popen(
            [sys.executable, "-c", script],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, **_ONE_THREAD},
        )
        assert self._process.stdin is not None and self._process.stdout is not None
        for work, pipe in ((_hand_over, self._process.stdin), (_listen, self._process.stdout)):
            threading.Thread(target=work, args=(pipe, task, self._said), daemon=True).start()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._process.kill()
        self._process.wait()

    def wait(self, told: Told = silent) -> Apart:
        """What it read, as ``read_pages`` answers. Nothing is raised for bad input: it is in ``faults``."""
        return _wait(self._said, self._task, told)


def read_apart(task: Task, told: Told = silent) -> Apart:
    """Read one task in a process of its own and wait for it."""
    with Reader(task) as reader:
        return reader.wait(told)


def _hand_over(pipe: IO[bytes], task: Task, _: SimpleQueue[tuple[bytes, bytes]]) -> None:
    try:
        with pipe:
            pickle.dump(task, pipe)
    except OSError:
        pass  # it has ended, which the other thread tells


def _listen(pipe: IO[bytes], _: Task, said: SimpleQueue[tuple[bytes, bytes]]) -> None:
    with pipe:
        while len(head := pipe.read(_HEAD)) == _HEAD:
            said.put((head[:1], pipe.read(int.from_bytes(head[1:], "big"))))
    said.put((b"", b""))


def message(what: bytes, said: bytes) -> bytes:
    """One thing that the process says, as it goes through the pipe."""
    return what + len(said).to_bytes(_HEAD - 1, "big") + said


def _wait(said: SimpleQueue[tuple[bytes, bytes]], task: Task, told: Told) -> Apart:
    """What the process says until it has read, or has had its time."""
    limits = task.page_limits
    end = time.monotonic() + limits.all_s
    where = ", ".join(one.name for one in task.given)
    while True:
        try:
            what, text = said.get(timeout=max(0.0, min(limits.step_s, end - time.monotonic())))
        except Empty:
            expected = f"a page that is read in {limits.step_s:.0f} s, all in {limits.all_s:.0f} s (--max-seconds)"
            return _refused(where, "more work than there is time for", expected)
        if what == RESULT:
            with suppress(pickle.UnpicklingError, EOFError, ValueError, TypeError):
                found: Apart = _Rebuilt(io.BytesIO(text)).load()
                return found
            what = FAILED
        if what == TOLD:
            told(text.decode("utf-8", "replace"))
            where = _place(text.decode("utf-8", "replace"), task)
        else:
            read = "more than there is memory for" if what == NO_MEMORY else "a file on which its reader failed"
            most = limits.max_memory_bytes // 1024**2
            return _refused(where, read, f"a file that is not damaged, and read in {most} MiB")


def _refused(where: str, read: str, expected: str) -> Apart:
    return Apart(PagesRead(faults=(InputFault(Place(where), read, expected),)))


def _place(text: str, task: Task) -> str:
    """The file and page that it was at, of what it told last."""
    for one in task.given:
        short = source_words(one.name, 0)
        if match := re.match(re.escape(short) + "(?: p[.] [0-9]+)?", text):
            return one.name + match.group().removeprefix(short)
    return text


class _Rebuilt(pickle.Unpickler):
    """Makes nothing but records of pages and places: whoever got hold of the process gets no further."""

    def find_class(self, module: str, name: str) -> Any:
        """A class of ours, or an error."""
        if not (module.startswith("harnesscheck.read.pages.") or module == "harnesscheck.model.places"):
            raise pickle.UnpicklingError(f"{module}.{name}")
        found = getattr(sys.modules.get(module), name, None)
        if not isinstance(found, type) or not hasattr(found, "__dataclass_fields__"):
            raise pickle.UnpicklingError(f"{module}.{name}")
        return found
