"""Files written whole or not at all: to a name beside the target first, then moved over it.

Of several, all are written or none: what cannot be put in place takes back what was. A folder of results is of one
run: it is exchanged as a whole, and keeps a list of what the run wrote (``.compare.sha256``, as ``sha256sum`` writes
it), so that the next run of the same command takes away what it does not make again. Files that are nobody's
results, and results that somebody changed, stay.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import shutil
from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

from harnesscheck.model.paths import real_path
from harnesscheck.write.exchange import beside, exchange, tidy

_LISTED = re.compile(r"([0-9a-f]{64}) [ *](.+)")
_MOST_KEPT = 2000  # files of others that are taken along into a new folder; with more it is written file by file


@dataclass(frozen=True, slots=True)
class Results:
    """What a run writes into a folder: files by name, and what the run is called in its list of them.

    Without a name no list is kept and nothing of an earlier run goes: each file stands by itself.
    """

    folder: Path
    contents: Mapping[str, bytes]
    run: str = ""


def write_text(path: Path, text: str) -> None:
    """Write a text as UTF-8 with the line ends it has. Raises OSError; the old file then stands."""
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, data: bytes) -> None:
    """Write a file. Raises OSError, FileExistsError where something else than a file has its name."""
    write_all({path: data})


def write_all(files: Mapping[Path, bytes], results: Results | None = None) -> None:
    """Write files, and a folder of results, all or none of them.

    Raises OSError; everything is then as it was. Killed in the middle, each file and the folder is old or new, whole.
    """
    staged: list[_Staged] = []
    done: list[_Staged] = []
    try:
        if results is not None:
            staged += _of_results(results)
        for path, data in files.items():
            staged.append(_new_file(path, data))
        for one in staged:
            one.commit(alone=len(staged) == 1)
            done.append(one)
    except BaseException:
        for one in reversed(done):
            one.undo()
        raise
    finally:
        for one in staged:
            one.clear()


def write_folder(path: Path, texts: Mapping[str, str], may_replace: Collection[str]) -> None:
    """Write a folder of texts by file name, as a whole.

    A folder that is there already is replaced only when it is empty or holds
    nothing but files named in ``may_replace``. Raises OSError, FileExistsError
    for any other; what was there then stands.
    """
    target = real_path(path)
    tidy(target)
    if target.exists() and (others := _others(target, may_replace)):
        raise FileExistsError(errno.EEXIST, f"a folder that holds something else ({others[0]})", str(path))
    new = _NewFolder(target)
    try:
        for name, text in texts.items():
            _write_new(new.temporary / name, text.encode("utf-8"))
        new.commit(alone=True)
    finally:
        new.clear()


def _others(folder: Path, may_replace: Collection[str]) -> list[str]:
    """What in a place would be lost if it were replaced."""
    if not folder.is_dir():
        return [folder.name]
    return sorted(item.name for item in folder.iterdir() if item.name not in may_replace or not item.is_file())


# -- what is ready to be put in place


class _Staged(Protocol):
    """Something new that stands ready beside its place."""

    def commit(self, *, alone: bool) -> None:
        """Put it in place; ``alone`` where nothing can make it be taken back."""

    def undo(self) -> None:
        """Put back what was there."""

    def clear(self) -> None:
        """Take away what is left beside."""


@dataclass(slots=True)
class _NewFile:
    """A file under another name, and once it is in place the old one."""

    target: Path
    temporary: Path
    old: Path | None = None

    def commit(self, *, alone: bool) -> None:
        """Move it over the target."""
        if not alone and self.target.exists():
            self.old = beside(self.target)
            _same(self.target, self.old)
        self.temporary.replace(self.target)

    def undo(self) -> None:
        """The old file, or none."""
        if self.old is not None:
            self.old.replace(self.target)
        else:
            self.target.unlink(missing_ok=True)

    def clear(self) -> None:
        """Neither the new nor the old name is left."""
        self.temporary.unlink(missing_ok=True)
        if self.old is not None:
            self.old.unlink(missing_ok=True)


@dataclass(slots=True)
class _OldFile:
    """A file of an earlier run that goes."""

    target: Path
    away: Path | None = None

    def commit(self, *, alone: bool) -> None:
        """Move it aside."""
        away = beside(self.target)
        self.target.replace(away)
        self.away = away

    def undo(self) -> None:
        """It is there again."""
        if self.away is not None:
            self.away.replace(self.target)

    def clear(self) -> None:
        """It is gone."""
        if self.away is not None:
            self.away.unlink(missing_ok=True)


@dataclass(slots=True)
class _NewFolder:
    """A folder under another name; ``known`` are the names that the old one had when it was made."""

    target: Path
    known: frozenset[str] = frozenset()
    temporary: Path = field(init=False)
    was_there: bool = field(init=False, default=False)
    made: tuple[Path, ...] = ()  # folders above that are new, the innermost first

    def __post_init__(self) -> None:
        self.temporary = beside(self.target)
        self.temporary.mkdir()
        if self.target.is_dir():
            shutil.copymode(self.target, self.temporary)

    def commit(self, *, alone: bool) -> None:
        """Exchange it with the target, and bring along what somebody put there meanwhile."""
        self.was_there = _placed(self.temporary, self.target)
        self.made = ()
        if self.was_there and self.known:
            for item in self.temporary.iterdir():
                if item.name not in self.known and not (self.target / item.name).exists():
                    item.rename(self.target / item.name)

    def undo(self) -> None:
        """The old folder, or none."""
        if self.was_there:
            _placed(self.temporary, self.target)
        else:
            self.target.rename(self.temporary)

    def clear(self) -> None:
        """What stands beside goes; so do folders that were made for nothing."""
        shutil.rmtree(self.temporary, ignore_errors=True)
        for folder in self.made:
            with suppress(OSError):
                folder.rmdir()


def _missing(folder: Path) -> tuple[Path, ...]:
    """The folders above that are not there yet, the innermost first."""
    return tuple(one for one in (folder, *folder.parents) if not one.exists())


def _placed(new: Path, target: Path) -> bool:
    """Put a folder in the place of another, which then has the new one's name; False where there was none."""
    try:
        new.rename(target)  # over nothing, or over an empty folder
        return False
    except OSError as error:
        if error.errno not in (errno.ENOTEMPTY, errno.EEXIST, errno.EACCES):
            raise
    if exchange(new, target):
        return True
    old = beside(target, "old")
    target.rename(old)
    try:
        new.rename(target)
    except BaseException:
        old.rename(target)
        raise
    old.rename(new)
    return True


def _new_file(path: Path, data: bytes) -> _NewFile:
    """A file's contents beside its place. Raises OSError, FileExistsError where no file has its name."""
    target = real_path(path)  # through a link to the file it stands for
    if target.is_symlink():  # it leads to itself
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP), str(path))
    if target.exists() and not target.is_file():
        raise FileExistsError(errno.EEXIST, "something that is not a file has this name", str(path))
    tidy(target)
    ready = _NewFile(target, beside(target))
    try:
        _write_new(ready.temporary, data)
    except BaseException:
        ready.clear()
        raise
    return ready


# -- a folder of results


def _of_results(results: Results) -> Sequence[_Staged]:
    """The folder made anew beside its place; where it must stay the folder it is, file by file."""
    target = real_path(results.folder)
    tidy(target)
    if target.exists() and not target.is_dir():
        raise FileExistsError(errno.EEXIST, "something that is not a folder has this name", str(results.folder))
    contents = {**results.contents, **({_list_name(results.run): _list_of(results.contents)} if results.run else {})}
    gone = _of_earlier_run(target, results.run) - contents.keys()
    kept = sorted({item.name for item in target.iterdir()} - gone - contents.keys()) if target.is_dir() else []
    if not _may_be_exchanged(target, kept, contents):
        return _file_by_file(target, contents, gone)
    above = _missing(target.parent)
    target.parent.mkdir(parents=True, exist_ok=True)
    new = _NewFolder(target, frozenset({*kept, *gone, *contents}), above)
    try:
        for name, data in contents.items():
            _write_new(new.temporary / name, data)
        for name in kept:
            _same(target / name, new.temporary / name)
    except BaseException:
        new.clear()
        raise
    return [new]


def _file_by_file(target: Path, contents: Mapping[str, bytes], gone: Collection[str]) -> list[_Staged]:
    """Everything ready inside the folder, the list last; then what goes."""
    staged: list[_Staged] = []
    try:
        for name, data in contents.items():
            staged.append(_new_file(target / name, data))
    except BaseException:
        for one in staged:
            one.clear()
        raise
    return [*staged, *(_OldFile(target / name) for name in sorted(gone))]


def _may_be_exchanged(target: Path, kept: Sequence[str], contents: Collection[str]) -> bool:
    """Whether nobody would miss this very folder: no one works in it, and it holds plain files of ours and a few more.

    The working folder stays, or a person's shell stands in one that is gone.
    """
    if not target.exists():
        return True
    here = real_path(os.curdir)
    if target == here or target in here.parents or target.is_mount() or len(kept) > _MOST_KEPT:
        return False
    items = (target / name for name in (*kept, *contents))
    return os.access(target.parent, os.W_OK) and all(
        not item.is_symlink() and (item.is_file() or not item.exists()) for item in items
    )


def _list_name(run: str) -> str:
    return f".{run}.sha256"


def _list_of(contents: Mapping[str, bytes]) -> bytes:
    """The files of a run with their digests, as ``sha256sum`` writes and checks them."""
    lines = (f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in sorted(contents.items()))
    return "".join(lines).encode("utf-8")


def _of_earlier_run(folder: Path, run: str) -> set[str]:
    """The files that an earlier run of the same command wrote, as it wrote them."""
    if not run:
        return set()
    try:
        lines = (folder / _list_name(run)).read_text(encoding="utf-8").splitlines()
    except (OSError, ValueError):
        return set()
    found = (_LISTED.fullmatch(line) for line in lines)
    listed = {one[2]: one[1] for one in found if one is not None and Path(one[2]).name == one[2]}
    return {name for name, digest in listed.items() if _digest(folder / name) == digest}


def _digest(file: Path) -> str:
    """A file's digest; nothing of what is no plain file."""
    try:
        return "" if file.is_symlink() else hashlib.sha256(file.read_bytes()).hexdigest()
    except OSError:
        return ""


# -- bytes on the disk


def _write_new(path: Path, data: bytes) -> None:
    """Write a file that is not there yet, down to the disk."""
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _same(old: Path, new: Path) -> None:
    """The same file under another name; a copy where a disk has no second names."""
    try:
        os.link(old, new)
    except OSError:
        shutil.copy2(old, new)
