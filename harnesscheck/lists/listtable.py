"""A list as data: rows of text under fixed columns, in the order a person walks the car."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

UNPLACED = "place not written"
Row = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class ListTable:
    """One list: its file name, a sentence or title, its columns, its rows; an empty cell is to be filled in."""

    name: str
    says: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
