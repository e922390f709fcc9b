"""How far long work has come, on a terminal's standard error and nowhere else: one line, gone when the work is done."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from harnesscheck.cli.shared import is_quiet
from harnesscheck.model.progress import Told

WIDTH = 78


@contextmanager
def progress(what: str) -> Iterator[Told]:
    """Something to tell how far ``what`` is; it prints only where a person sits before standard error."""
    stream = sys.stderr
    shown = stream.isatty() and not is_quiet()

    def told(how_far: str) -> None:
        """Say how far it has come, over what was said before."""
        if shown:
            stream.write("\r" + f"{what}: {how_far}"[:WIDTH].ljust(WIDTH))
            stream.flush()

    try:
        yield told
    finally:
        if shown:
            stream.write("\r" + " " * WIDTH + "\r")
            stream.flush()
