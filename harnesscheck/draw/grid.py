"""Cavity names laid out in rows: the order of their names, since no file gives a housing's shape."""

from __future__ import annotations

import re
from collections.abc import Sequence

_LETTERED = re.compile(r"([^\W\d_]+)\d+")
_ONE_ROW, _TWO_ROWS = 8, 40  # up to so many cavities
_MOST_ACROSS = 20
_MOST_LETTERS = 8  # rows named by letter; more is no housing with lettered rows

_Rows = list[tuple[str, ...]]


def rows_of(names: Sequence[str], most: int) -> _Rows:
    """The names in rows of at most ``most``, in their order; lettered names (A1, B1) get a row a letter.

    Raises ValueError for room for no cavity at all.
    """
    if most < 1:
        raise ValueError(f"a row holds at least one cavity, not {most}")
    rows = _lettered(names) or _plain(names, most)
    return [part for row in rows for part in _evenly(row, most)]


def rows_alike(one: Sequence[str], other: Sequence[str], most: int) -> tuple[_Rows, _Rows]:
    """The rows of two plugs that are to be compared: as many across in both, unless letters make the rows."""
    longer = max(one, other, key=len)
    if _lettered(one) or _lettered(other) or not longer:
        return rows_of(one, most), rows_of(other, most)
    across = len(rows_of(longer, most)[0])
    return _chunks(one, across), _chunks(other, across)


def _chunks(names: Sequence[str], across: int) -> _Rows:
    return [tuple(names[at : at + across]) for at in range(0, len(names), across)]


def _evenly(row: Sequence[str], most: int) -> _Rows:
    """A row broken into parts of nearly the same length."""
    return _chunks(row, -(-len(row) // -(-len(row) // most)))


def _lettered(names: Sequence[str]) -> _Rows:
    """One row a letter where every name has one, names of a letter stand together, and rows are no columns."""
    rows: dict[str, list[str]] = {}
    last = None
    for name in names:
        match = _LETTERED.fullmatch(name)
        if match is None or (match[1] != last and match[1] in rows):
            return []
        last = match[1]
        rows.setdefault(last, []).append(name)
    shaped = 1 < len(rows) <= _MOST_LETTERS and len(names) >= 2 * len(rows)
    return [tuple(row) for row in rows.values()] if shaped else []


def _plain(names: Sequence[str], most: int) -> _Rows:
    count = len(names)
    if not count:
        return []
    rows = 1 if count <= _ONE_ROW else 2 if count <= _TWO_ROWS else -(-count // min(most, _MOST_ACROSS))
    return _chunks(names, -(-count // rows))
