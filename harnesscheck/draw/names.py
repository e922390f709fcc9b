"""File names for drawings: by task and id, safe on every system, none differing from another by case alone."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256

_LONGEST = 60  # characters of an id that go into a file name
_ALLOWED = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.")


def stem(task: str, name: str = "") -> str:
    """``face-C12``. What a file system may refuse is replaced, and a short digest of the name tells it apart.

    The task in front keeps reserved names (CON, NUL) and leading dots out.
    """
    if not name:
        return task
    safe = "".join(ch if ch in _ALLOWED else "_" for ch in name)[:_LONGEST].rstrip(".")
    return f"{task}-{safe}" if safe == name else f"{task}-{safe}-{sha256(name.encode()).hexdigest()[:6]}"


def numbered(name: str, count: int) -> list[str]:
    """One name for one sheet; ``-2``, ``-3`` … behind it for further ones."""
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
