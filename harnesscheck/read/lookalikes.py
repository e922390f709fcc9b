"""Connectors that two tables call by all but the same name: a slip of the keyboard makes two plugs of one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from harnesscheck.read.build import Row
from harnesscheck.read.faults import Faults

_ZEROS = re.compile(r"(?<![0-9])0+(?=[0-9])")
_DASHES = re.compile(r"[-_.\u2013]+")


def loosely(name: str) -> str:
    """A name without case, dashes and leading zeros: ``C-012`` and ``c12`` are one."""
    return _ZEROS.sub("", _DASHES.sub("", name.casefold()))


def ask_about_lookalikes(pins: Iterable[Row], connectors: Sequence[Row], faults: Faults) -> None:
    """A connector of the pins that the connectors do not know, but for case, zeros or dashes, is a fault.

    Where no table of connectors knows either, two such names of the pins are a question.
    """
    known = {str(row.values["id"]): row for row in connectors if row.values.get("id")}
    first: dict[str, Row] = {}
    for row in pins:
        name = row.values.get("connector")
        if name is not None and name not in first and name not in known:
            first[name] = row
    if not first:
        return
    alike = {loosely(name): name for name in known}
    asked: dict[str, str] = {}
    for name, row in first.items():
        meant = alike.get(loosely(name))
        place = row.origin.place("connector")
        if meant is not None:
            expected = f"connector: {meant}? Write it alike, or give {name} a row of its own among the connectors"
            faults.add(place, name, expected, known[meant].origin.place("id"))
        elif (other := asked.setdefault(loosely(name), name)) != name:
            faults.remarks.add(place, name, f"another connector than {other}? They are read as two")
