"""The process that reads pages: takes one ``Task`` from standard input, says how far it is, then what it read."""

from __future__ import annotations

import os
import pickle
import sys
from contextlib import suppress
from typing import IO

from harnesscheck.read.pages.apart import FAILED, NO_MEMORY, RESULT, TOLD, Apart, Task, message
from harnesscheck.read.pages.pagelimits import PageLimits
from harnesscheck.read.pages.pictures import Picture, picture_of
from harnesscheck.read.pages.read import PagesRead, read_pages


def main() -> None:
    """Read one task. What libraries print goes nowhere, for standard output carries the answer."""
    task: Task = pickle.load(sys.stdin.buffer)
    out = os.fdopen(os.dup(1), "wb")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    _limit(task.page_limits)
    try:
        _say(out, RESULT, pickle.dumps(_answer(task, out)))
    except MemoryError:
        _say(out, NO_MEMORY)
    except Exception as error:
        # The libraries' own errors are not documented; which of them it was helps nobody who has such a file.
        _say(out, NO_MEMORY if _is_memory(error) else FAILED)


def _is_memory(error: Exception) -> bool:
    words = str(error).casefold()
    return any(one in words for one in ("bad_alloc", "insufficient memory", "failed to allocate"))


def _answer(task: Task, out: IO[bytes]) -> Apart:
    read = read_pages(
        task.given,
        task.names,
        task.columns,
        task.colour_code,
        task.limits,
        lambda text: _say(out, TOLD, text.encode("utf-8", "replace")),
        task.page_limits,
    )
    return Apart(read, _pictures(read, task) if task.pictures else {})


def _pictures(read: PagesRead, task: Task) -> dict[tuple[str, int], Picture]:
    """Every page that has a table, as it looks."""
    contents = {one.name: one.data for one in task.given}
    found = {}
    for table in read.tables:
        grid = table.layout.grid
        key = (grid.file, grid.page)
        if key not in found and (picture := picture_of(contents[grid.file], *key, grid.scanned)) is not None:
            found[key] = picture
    return found


def _say(out: IO[bytes], what: bytes, said: bytes = b"") -> None:
    out.write(message(what, said))
    out.flush()


def _limit(limits: PageLimits) -> None:
    """No more memory than is allowed, and an end even if nobody is left to stop it; not on systems without limits."""
    try:
        import resource
    except ImportError:
        return
    cpu_s = int(limits.all_s * (os.cpu_count() or 1)) + 1
    for what, most in ((resource.RLIMIT_AS, limits.max_memory_bytes), (resource.RLIMIT_CPU, cpu_s)):
        _, hard = resource.getrlimit(what)
        with suppress(ValueError, OSError):
            resource.setrlimit(what, (most if hard == resource.RLIM_INFINITY else min(most, hard), hard))
