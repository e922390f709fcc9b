"""A decision written into a swap sheet: [harness] and [parts] say what was chosen, the rest stands as it was.

The text is kept line by line, so that remarks stay where a person put them.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

from harnesscheck.model.swapsheet import TABLE_HEADER

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_CAR = re.compile(r"(donor|shell)\s*=.*")
CHOSEN = "# chosen by decide"


def sheet_with_choice(
    text: str, files: Mapping[str, str], tables: Mapping[str, Mapping[str, str]], said: Mapping[str, Mapping[str, str]]
) -> str:
    """A sheet's text with what was chosen in ``tables`` (harness, parts).

    ``files`` are the names of donor and shell as seen from where it will lie; ``said``
    is what the sheet itself says in those tables, which stands.
    """
    lines = _with_cars(text.splitlines(), files)
    for table, chosen in tables.items():
        new = [
            f"{_key(name)} = {toml_text(value)}" for name, value in chosen.items() if name not in said.get(table, {})
        ]
        if new:
            lines = _with_entries(lines, table, new)
    return "\n".join(lines).rstrip() + "\n"


def _with_cars(lines: list[str], files: Mapping[str, str]) -> list[str]:
    """The lines with the two cars' files at the top, where the first table has not begun."""
    top = next((at for at, line in enumerate(lines) if TABLE_HEADER.fullmatch(line)), len(lines))
    left = dict(files)
    head = []
    for line in lines[:top]:
        car = _CAR.fullmatch(line.strip())
        head.append(f"{car[1]} = {toml_text(left.pop(car[1]))}" if car and car[1] in left else line)
    return [*(f"{car} = {toml_text(name)}" for car, name in left.items()), *head, *lines[top:]]


def _with_entries(lines: list[str], table: str, new: list[str]) -> list[str]:
    """The lines with entries at the head of a table, which is made where there is none."""
    for at, line in enumerate(lines):
        header = TABLE_HEADER.fullmatch(line)
        if header and header[1].strip("\"' ") == table:
            return [*lines[: at + 1], CHOSEN, *new, *lines[at + 1 :]]
    return [*lines, *([""] if lines and lines[-1].strip() else []), f"[{table}]", CHOSEN, *new]


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else toml_text(name)


def toml_text(text: str) -> str:
    """A TOML basic string; JSON's escapes are TOML's, and DEL is escaped besides."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
