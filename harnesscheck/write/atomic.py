"""Files written whole or not at all: to a name beside the target first, then moved over it."""

from __future__ import annotations

import errno
import os
import secrets
import shutil
from collections.abc import Collection, Mapping
from pathlib import Path


def write_text(path: Path, text: str) -> None:
    """Write a text as UTF-8 with the line ends it has. Raises OSError; the old file then stands."""
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, data: bytes) -> None:
    """Write a file. Raises OSError, FileExistsError where something else than a file has its name."""
    target = path.resolve()  # through a link to the file it stands for
    if target.exists() and not target.is_file():
        raise FileExistsError(errno.EEXIST, "something that is not a file has this name", str(path))
    temporary = _beside(target)
    try:
        _write_new(temporary, data)
        temporary.replace(target)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise


def write_folder(path: Path, texts: Mapping[str, str], may_replace: Collection[str]) -> None:
    """Write a folder of texts by file name, as a whole.

    A folder that is there already is replaced only when it is empty or holds
    nothing but files named in ``may_replace``. Raises OSError, FileExistsError
    for any other; what was there then stands.
    """
    target = path.resolve()
    if target.exists() and (others := _others(target, may_replace)):
        raise FileExistsError(errno.EEXIST, f"a folder that holds something else ({others[0]})", str(path))
    temporary = _beside(target)
    try:
        temporary.mkdir()
        for name, text in texts.items():
            _write_new(temporary / name, text.encode("utf-8"))
        _exchange(temporary, target)
    finally:
        shutil.rmtree(temporary, ignore_errors=True)


def _others(folder: Path, may_replace: Collection[str]) -> list[str]:
    """What in a place would be lost if it were replaced."""
    if not folder.is_dir():
        return [folder.name]
    return sorted(item.name for item in folder.iterdir() if item.name not in may_replace or not item.is_file())


def _exchange(new: Path, target: Path) -> None:
    """Put a folder in the place of another; the other is put back when that fails."""
    if not target.exists():
        new.rename(target)
        return
    old = _beside(target)
    target.rename(old)
    try:
        new.rename(target)
    except BaseException:
        old.rename(target)
        raise
    shutil.rmtree(old)


def _write_new(path: Path, data: bytes) -> None:
    """Write a file that is not there yet, down to the disk."""
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _beside(target: Path) -> Path:
    return target.with_name(f".{target.name[:100]}.{secrets.token_hex(6)}.part")
