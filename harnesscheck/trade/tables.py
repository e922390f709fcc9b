"""Reads the CSV tables shipped beside this package.

Every table has a ``source`` and a ``status`` column: ``verified`` was read in a
public text that quotes the source, ``from memory`` was recalled and not seen,
``derived`` was worked out from verified rows.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache


@cache
def rows(table: str) -> tuple[Mapping[str, str], ...]:
    """The rows of ``data/<table>.csv`` in file order, read once. Raises FileNotFoundError for others."""
    import csv
    from importlib.resources import files

    text = files("harnesscheck.trade").joinpath("data", f"{table}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def number(text: str) -> float | None:
    """A cell's number; None where the cell is empty, which means not known."""
    return float(text) if text else None
