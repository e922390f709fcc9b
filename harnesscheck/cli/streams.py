"""Standard output and standard error that may be full, closed, or read by nobody any more.

A reader that went away (``| head``) is no fault: the run goes on to its end and leaves with its status. Output that
cannot be written is told on standard error, with status 2. What standard error cannot take is lost.
"""

from __future__ import annotations

import errno
import io
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TextIO

COULD_NOT_RUN = 2
_NOBODY_READS = (errno.EPIPE, errno.EINVAL if os.name == "nt" else errno.EPIPE)  # Windows says EINVAL of a closed pipe


class _Guard(io.RawIOBase):
    """What a stream writes to: the first error is kept, and from then on everything is taken and lost."""

    def __init__(self, raw: io.RawIOBase | None) -> None:
        super().__init__()
        self._raw = raw
        self.error: OSError | None = None

    def writable(self) -> bool:
        """Always: what cannot be written is lost."""
        return True

    def isatty(self) -> bool:
        """Whether it is a screen."""
        return self._raw is not None and self._raw.isatty()

    def fileno(self) -> int:
        """The descriptor. Raises UnsupportedOperation where there is none."""
        if self._raw is None:
            raise io.UnsupportedOperation("no descriptor")
        return self._raw.fileno()

    def write(self, data: object) -> int:
        """How many bytes were taken: all of them once something failed."""
        size = memoryview(data).nbytes  # type: ignore[arg-type]
        if self.error is not None:
            return size
        try:
            if self._raw is None:
                raise OSError(errno.EBADF, os.strerror(errno.EBADF))
            return self._raw.write(data) or 0  # type: ignore[arg-type]
        except OSError as error:
            self.error = error
            return size


def _guarded(stream: TextIO | None) -> tuple[TextIO, _Guard]:
    """A stream over the same descriptor that never fails, and what keeps its error."""
    buffer = getattr(stream, "buffer", None)
    guard = _Guard(getattr(buffer, "raw", buffer))
    made = io.TextIOWrapper(
        io.BufferedWriter(guard),
        encoding=getattr(stream, "encoding", None) or "utf-8",
        errors=getattr(stream, "errors", None) or "strict",
        newline="\n" if os.name == "posix" else None,
        line_buffering=bool(getattr(stream, "line_buffering", False)),
    )
    return made, guard


def guarded(run: Callable[[], object]) -> int:
    """Run something that prints and leaves; the status to leave with."""
    sys.stdout, out = _guarded(sys.stdout)
    sys.stderr, _ = _guarded(sys.stderr)
    status = COULD_NOT_RUN if _is_nowhere() else _status(run)
    sys.stdout.flush()
    if out.error is not None and out.error.errno not in _NOBODY_READS:
        sys.stderr.write(f"standard output: read '{out.error.strerror}'; expected a place that takes what is printed\n")
        status = COULD_NOT_RUN
    sys.stderr.flush()
    return status


def _is_nowhere() -> bool:
    """Whether the folder we work in is no more; said."""
    try:
        Path.cwd()
    except OSError as error:
        sys.stderr.write(f".: read '{error.strerror}'; expected a working folder that is there\n")
        return True
    return False


def _status(run: Callable[[], object]) -> int:
    """The status that a run leaves with."""
    try:
        run()
    except SystemExit as left:
        if left.code is None or isinstance(left.code, int):
            return left.code or 0
        sys.stderr.write(f"{left.code}\n")
        return 1
    return 0
