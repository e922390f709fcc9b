"""Names of files: safe on every system, a number where one thing gives several, none like another but for its case."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from hashlib import sha256

_RESERVED = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?", re.IGNORECASE)  # devices on Windows
_NOT_IN_NAMES = re.compile(r"[^\w.+-]+")
_LONGEST = 60  # characters; of four bytes each they leave room for an ending in the 255 of most file systems
_DIGITS = 8


def safe_file_name(text: str) -> str:
    """A file name for any text: no path, no sign or device name that some system reserves, no dot in front.

    What had to be changed is told apart by a digest of the text, so that two
    texts never share a name but for their case. A safe name stays as it is.
    """
    name = _NOT_IN_NAMES.sub("-", unicodedata.normalize("NFC", text)).strip("-.")
    if name and name == text and len(name) <= _LONGEST and not _RESERVED.fullmatch(name):
        return name
    digest = sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:_DIGITS]
    name = name[: _LONGEST - _DIGITS - 2].rstrip("-.")
    return f"{name}-{digest}" if name and not _RESERVED.fullmatch(name) else f"_{name}-{digest}"


def numbered(name: str, count: int) -> list[str]:
    """One name for one file; ``-2``, ``-3`` … behind it for further ones, so that the first keeps its name."""
    return [name if at == 0 else f"{name}-{at + 1}" for at in range(count)]


def apart(names: Iterable[str]) -> list[str]:
    """The same names in the same order, changed where one differs from an earlier one by case alone or not at all."""
    taken: set[str] = set()
    found = []
    for name in names:
        free, at = name, 2
        while free.casefold() in taken:
            free, at = f"{name}-{at}", at + 1
        taken.add(free.casefold())
        found.append(free)
    return found


def safe_file_names(texts: Iterable[str]) -> dict[str, str]:
    """File names by text, different also where a system does not tell upper from lower case."""
    every = sorted(set(texts))
    return dict(zip(every, apart(map(safe_file_name, every)), strict=True))
