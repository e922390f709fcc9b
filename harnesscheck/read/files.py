"""Opens input files safely: regular files only, never waiting on one, never larger than the limit."""

from __future__ import annotations

import io
import os
import stat
import sys
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import BinaryIO

from harnesscheck.model.paths import real_path
from harnesscheck.model.places import Place
from harnesscheck.read.faults import Faults
from harnesscheck.read.limits import Limits

STDIN = "-"


def is_folder(path: Path) -> bool:
    """Whether the path is a folder; one that cannot be looked at is found out when it is opened."""
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False


def open_regular(path: Path, faults: Faults, limits: Limits) -> BinaryIO:
    """Open a regular file for reading; stops reading with a fault for anything else.

    The file is opened without blocking and looked at through its descriptor, so
    that a pipe or a device put in its place meanwhile is noticed too. ``-`` is standard input.
    """
    place = Place(str(path))
    if str(path) == STDIN and not limits.within:
        return _piped(place, faults, limits)
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    opened = path
    if limits.within:
        opened, flags = _inside(path, limits.within, faults), flags | getattr(os, "O_NOFOLLOW", 0)
    try:
        descriptor = os.open(opened, flags | getattr(os, "O_CLOEXEC", 0))
    except (OSError, ValueError) as error:
        faults.stop(place, _reason(error), "a file that can be read")
    try:
        _judge(os.fstat(descriptor), place, faults, limits)  # first, for a folder cannot even be made a file object
        return os.fdopen(descriptor, "rb")
    except BaseException:
        os.close(descriptor)
        raise


def _piped(place: Place, faults: Faults, limits: Limits) -> BinaryIO:
    """All of standard input, which is read once and may be looked at twice."""
    data = _standard_input(limits.max_bytes + 1)
    if len(data) > limits.max_bytes:
        faults.stop(place, "more bytes", f"at most {limits.max_bytes} bytes (a limit, can be raised)")
    return io.BytesIO(data)


@cache
def _standard_input(most: int) -> bytes:
    """What comes in, kept: a pipe gives it once only."""
    stream = getattr(sys.stdin, "buffer", None)
    return stream.read(most) if stream is not None else b""


def _inside(path: Path, folders: Iterable[Path], faults: Faults) -> Path:
    """Where a path really leads, by links and all; a fault where that is outside the folders that may be read."""
    place = Place(str(path))
    try:
        real = real_path(path)
        inside = any(real.is_relative_to(real_path(folder)) for folder in folders)
    except (OSError, ValueError) as error:
        faults.stop(place, str(error), "a file that can be read")
    if not inside:
        faults.stop(place, "a file outside the folder that may be read", "a file in that folder")
    return real


def _judge(status: os.stat_result, place: Place, faults: Faults, limits: Limits) -> None:
    if not stat.S_ISREG(status.st_mode):
        faults.stop(place, _sort_of_file(status.st_mode), "a regular file")
    if not status.st_size:
        faults.stop(place, "an empty file", "a netlist")
    if status.st_size > limits.max_bytes:
        most = f"at most {limits.max_bytes} bytes (a limit, can be raised)"
        faults.stop(place, f"{status.st_size} bytes", most)


def _reason(error: OSError | ValueError) -> str:
    return (error.strerror or type(error).__name__) if isinstance(error, OSError) else str(error)


def _sort_of_file(mode: int) -> str:
    sorts = ((stat.S_ISDIR, "a folder"), (stat.S_ISFIFO, "a pipe"), (stat.S_ISSOCK, "a socket"))
    return next((name for is_sort, name in sorts if is_sort(mode)), "a device")
