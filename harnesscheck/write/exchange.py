"""Two names exchanged in one step where the system can, and leftovers of runs that were killed put right.

What is written stands under a name of its own until it is whole: ``.target.HOST.PROCESS.RANDOM.part``, and where a
folder cannot be exchanged in one step the old one for a moment as ``….old``.
"""

from __future__ import annotations

import ctypes
import errno
import hashlib
import os
import re
import secrets
import shutil
import socket
import sys
from functools import cache
from pathlib import Path

_AT_FDCWD = -100  # Linux, fcntl.h
_EXCHANGE = 2  # RENAME_EXCHANGE of renameat2(2) on Linux, RENAME_SWAP of renamex_np(2) on macOS
_NO_EXCHANGE = (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EXDEV)


def exchange(one: Path, other: Path) -> bool:
    """Give each of two that are there the other's name, in one step. False where this system or disk cannot.

    Raises OSError for anything else, nothing having changed.
    """
    call = _call()
    if call is None:
        return False
    failed = call(os.fsencode(one), os.fsencode(other))
    if not failed:
        return True
    number = ctypes.get_errno()
    if number in _NO_EXCHANGE:
        return False
    raise OSError(number, os.strerror(number), str(other))


@cache
def _call():  # type: ignore[no-untyped-def]  # a function of the C library, or None
    """The system's call that exchanges two names."""
    if os.name != "posix":
        return None
    library = ctypes.CDLL(None, use_errno=True)
    if sys.platform == "darwin" and hasattr(library, "renamex_np"):
        return lambda one, other: library.renamex_np(one, other, _EXCHANGE)
    if hasattr(library, "renameat2"):
        return lambda one, other: library.renameat2(_AT_FDCWD, one, _AT_FDCWD, other, _EXCHANGE)
    return None


def beside(target: Path, ending: str = "part") -> Path:
    """A name beside a target that says which process of which machine made it."""
    return target.with_name(f".{target.name[:100]}.{_host()}.{os.getpid()}.{secrets.token_hex(4)}.{ending}")


def tidy(target: Path) -> None:
    """Put right what processes of this machine left beside a target when they were killed.

    Half of something new goes; an old folder whose name nobody took gets it back.
    """
    made = re.compile(rf"\.{re.escape(target.name[:100])}\.{_host()}\.([0-9]+)\.[0-9a-f]{{8}}\.(part|old)")
    try:
        names = [item.name for item in target.parent.iterdir()]
    except OSError:
        return
    for name in sorted(names):
        found = made.fullmatch(name)
        if found is None or _is_alive(int(found[1])):
            continue
        left = target.with_name(name)
        if found[2] == "old" and not target.exists():
            left.rename(target)
        elif left.is_dir():
            shutil.rmtree(left, ignore_errors=True)
        else:
            left.unlink(missing_ok=True)


@cache
def _host() -> str:
    """This machine in a few letters: on a shared disk another one's processes cannot be asked for."""
    return hashlib.sha256(socket.gethostname().encode("utf-8", "replace")).hexdigest()[:6]


def _is_alive(process: int) -> bool:
    """Whether a process of this machine runs; one that cannot be asked is left alone."""
    if os.name != "posix":
        return process == os.getpid() or not _is_gone_on_windows(process)
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def _is_gone_on_windows(process: int) -> bool:
    """OpenProcess with SYNCHRONIZE gives nothing for a process that is gone."""
    kernel = ctypes.windll.kernel32  # type: ignore[attr-defined]
    handle = kernel.OpenProcess(0x00100000, False, process)
    if handle:
        kernel.CloseHandle(handle)
    return not handle
