"""What one browser tab has put down: files it dropped, work it asked for. In a private folder, gone with the server."""

from __future__ import annotations

import re
import secrets
import shutil
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from harnesscheck.serve.work import Work

MOST_DESKS = 64
MOST_BYTES = 256 * 1024 * 1024  # that one tab may drop
MOST_FILES = 2000  # of one car
MOST_DEPTH = 6  # folders inside folders
SIDES = ("donor", "shell")
_NAME = re.compile(r"[^\x00-\x1f\x7f/\\:*?\"<>|]{1,120}")
_RESERVED = re.compile(r"(?i)(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?")


class RefusedError(ValueError):
    """Something that a browser asked is not done; the message says why and what would be."""


def safe_parts(name: str) -> tuple[str, ...]:
    """A dropped file's relative name as its parts. Raises RefusedError for any that would lead elsewhere."""
    parts = tuple(name.split("/"))
    if not 1 <= len(parts) <= MOST_DEPTH or not all(map(_is_safe, parts)):
        raise RefusedError(f"the name {name[:80]!r}; expected a plain name of a file, or of folders with / and a file")
    return parts


def _is_safe(part: str) -> bool:
    return (
        bool(_NAME.fullmatch(part))
        and not part.startswith(".")
        and part.strip(" .") == part
        and not _RESERVED.fullmatch(part)
    )


@dataclass(slots=True)
class Desk:
    """One tab's own folder: a car a side, and the results of its work by number."""

    folder: Path
    dropped_bytes: int = 0
    works: dict[str, Work] = field(default_factory=dict)
    named: dict[str, Path] = field(default_factory=dict)  # cars that lie in the folder the page was opened in

    def clear(self, side: str) -> None:
        """Forget the car of a side."""
        shutil.rmtree(self.folder / side, ignore_errors=True)
        self.named.pop(side, None)

    def drop(self, side: str, name: str, data: bytes) -> None:
        """Keep a dropped file. Raises RefusedError beyond a limit or for a name that leads elsewhere."""
        target = self.folder.joinpath(side, *safe_parts(name))
        self.dropped_bytes += len(data)
        if self.dropped_bytes > MOST_BYTES:
            raise RefusedError(f"more than {MOST_BYTES} bytes dropped; expected less: name the files at the start")
        if sum(1 for _ in (self.folder / side).rglob("*")) >= MOST_FILES:
            raise RefusedError(f"more than {MOST_FILES} files; expected the files of one car")
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
        self.named.pop(side, None)

    def car(self, side: str) -> Path:
        """The file or folder that the car of a side is. Raises RefusedError where there is none."""
        if side in self.named:
            return self.named[side]
        folder = self.folder / side
        inside = sorted(folder.iterdir()) if folder.is_dir() else []
        if not inside:
            raise RefusedError(f"no {side} yet; expected a file or a folder dropped on it")
        return inside[0] if len(inside) == 1 else folder

    def close(self) -> None:
        """Stop its work and forget its files."""
        for work in self.works.values():
            work.stop()
        shutil.rmtree(self.folder, ignore_errors=True)


class Desks:
    """The desks of all tabs, below one private folder; the one asked last is kept longest."""

    def __init__(self, folder: Path, named: Sequence[tuple[str, Path]] = ()) -> None:
        self._folder, self._named = folder, dict(named)
        self._open: dict[str, Desk] = {}

    def new(self) -> str:
        """A new desk's name."""
        while len(self._open) >= MOST_DESKS:
            self._open.pop(next(iter(self._open))).close()
        name = secrets.token_hex(8)
        folder = self._folder / name
        folder.mkdir(mode=0o700)
        self._open[name] = Desk(folder, named=dict(self._named))
        return name

    def get(self, name: str) -> Desk:
        """A desk by name. Raises RefusedError for one that is not, or no longer, there."""
        if name not in self._open:
            raise RefusedError("a page that is not open any more; expected it to be loaded again")
        self._open[name] = desk = self._open.pop(name)
        return desk

    def close(self) -> None:
        """Close every desk."""
        while self._open:
            self._open.popitem()[1].close()
