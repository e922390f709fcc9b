"""What was worked out once, kept on disk by what it was worked out from; anything wrong with an entry makes it anew.

An entry's name is a digest of its inputs and of the version of the code that made it, its contents end with a digest of
themselves. Files are written whole beside their name and moved over it, so interrupted and concurrent runs leave
whole entries or none.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from harnesscheck.write.atomic import write_bytes

_ROOT = re.compile(rb"<netlist\b[^>]*>")
_BASE = re.compile(rb"""\sbase\s*=\s*(["'])(.*?)\1""", re.DOTALL)
SEAL = 32  # bytes of the digest at the end of an entry


@dataclass(frozen=True)
class Cache:
    """A folder of entries, or none where ``folder`` is None: then nothing is kept."""

    folder: Path | None

    def get(self, key: str) -> bytes | None:
        """What is kept under a key; None where there is nothing whole."""
        if self.folder is None:
            return None
        try:
            sealed = self._path(key).read_bytes()
        except OSError:
            return None
        data, seal = sealed[:-SEAL], sealed[-SEAL:]
        return data if sha256(key.encode() + data).digest() == seal else None

    def put(self, key: str, data: bytes) -> None:
        """Keep something; where the disk does not take it the work is only not kept."""
        if self.folder is None:
            return
        path = self._path(key)
        with suppress(OSError):
            path.parent.mkdir(parents=True, exist_ok=True)
            write_bytes(path, data + sha256(key.encode() + data).digest())

    def _path(self, key: str) -> Path:
        assert self.folder is not None
        return self.folder / key[:2] / key[2:]


NO_CACHE = Cache(None)


def key_of(*parts: str) -> str:
    """The name of an entry."""
    return sha256("\x1f".join(parts).encode()).hexdigest()


def contents_key(path: Path, depth: int = 8) -> str | None:
    """A digest of the bytes of an XML netlist with its bases, or of a folder of tables; None where others may belong.

    A workbook hides whether it names a base, tables that do name it in a cell: both are read each time.
    """
    digest = sha256()
    for file in _files(path):
        try:
            data = file.read_bytes()
        except OSError:
            return None
        digest.update(f"{file.name}\x1f{len(data)}\x1f".encode() + data)
        based = _based(file, data, depth)
        if based is None:
            return None
        digest.update(based.encode())
    return digest.hexdigest()


def _based(file: Path, data: bytes, depth: int) -> str | None:
    """The digest of what a file names as its base, nothing where it names none; None where that is not certain."""
    kind = file.suffix.lower()
    if kind == ".csv":
        return None if b"base" in data else ""
    if kind != ".xml" or depth == 0:
        return None
    root = _ROOT.search(data)
    if root is None:
        return None
    named = _BASE.search(root.group())
    return "" if named is None else contents_key(file.parent / named.group(2).decode(errors="replace"), depth - 1)


def _files(path: Path) -> Iterable[Path]:
    return sorted(one for one in path.iterdir() if one.is_file()) if path.is_dir() else [path]


def usual_folder() -> Path:
    """Where a person's caches lie: ``HARNESSCHECK_CACHE``, or what the system has for it."""
    if named := os.environ.get("HARNESSCHECK_CACHE"):
        return Path(named)
    from platformdirs import user_cache_path

    return user_cache_path("harnesscheck", appauthor=False)
