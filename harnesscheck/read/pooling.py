"""Rows of all tables put together: what several files say of one thing is one row where they agree."""

from __future__ import annotations

from typing import Any

from harnesscheck.fields import ROW_NAMES, row_sort
from harnesscheck.read.build import Row
from harnesscheck.read.faults import Faults
from harnesscheck.read.pool import ADDED_UP, both_remarks, same_value
from harnesscheck.read.shown import field_name, shown


class Pool:
    """Typed rows by sort. Pins are pooled later, once their cavities are known."""

    def __init__(self, faults: Faults) -> None:
        self.rows: dict[str, list[Row]] = {sort: [] for sort in ROW_NAMES}
        self._faults = faults
        self._first: dict[tuple[Any, ...], Row] = {}

    def add(self, row: Row) -> None:
        """Take one row in, or put it into the one that is there already."""
        if row.sort == "pin":
            self.rows["pin"].append(row)
            return
        first = self._first.setdefault(_key(row), row)
        if first is row:
            self.rows[row.sort].append(row)
        elif row_sort(row.sort).key in ((), ("id",)):
            self._put_together(first, row)
        elif first.origin.file == row.origin.file:
            self.rows[row.sort].append(row)  # twice in one table: two wires side by side

    def _put_together(self, first: Row, second: Row) -> None:
        for slot, value in second.values.items():
            known = first.values.get(slot)
            if known in (None, ()):
                first.values[slot] = value
            elif value in (None, ()) or same_value(known, value):
                continue
            elif slot in ADDED_UP:
                first.values[slot] = both_remarks(known, value)
            else:
                name = field_name(slot)
                place, other = second.origin.place(name), first.origin.place(name)
                self._faults.add(place, shown(value), f"{name}: the same as elsewhere ({shown(known)})", other)


def _key(row: Row) -> tuple[Any, ...]:
    """What tells a row from others: its id, or all that it says."""
    if row.sort == "netlist":
        return (row.sort,)
    if row_sort(row.sort).key == ("id",):
        return (row.sort, row.values.get("id") or id(row))
    return (row.sort, *sorted(row.values.items(), key=lambda item: item[0]))
