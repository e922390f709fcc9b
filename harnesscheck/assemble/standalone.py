"""Rows that say themselves what their own file's header, options and table of places said for them.

A row that goes into another car leaves these behind. Its conditions have been
judged already, so they go; one that holds for a part of the build dates keeps
its dates, for that still makes it likely at most.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from harnesscheck.assemble.rename import changed
from harnesscheck.assemble.share import Tables
from harnesscheck.model.records import NO_COMMON, Common, Header, Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.volts.lengths import Lengths
from harnesscheck.trade.colours import Colour, colour_text


def unconditional(tables: Tables) -> Tables:
    """The rows without the conditions that were met in their own car."""
    return {table: [changed(row, common=_met(row.common)) for row in rows] for table, rows in tables.items()}


def _met(common: Common) -> Common:
    kept: Mapping[str, Any] = {} if common.partial else {"built_from": None, "built_to": None}
    met = replace(common, option=(), without=(), **kept)
    return NO_COMMON if met == NO_COMMON else met


def brought_along(tables: Tables, car: Vehicle, header: Header) -> Tables:
    """The rows of a car as they stand under another header: colours in its code, own volts, own wire lengths."""
    new = dict(tables)
    lengths = Lengths(car)
    for table in ("pins", "wires"):
        new[table] = [_measured(_recoloured(row, car, header), lengths) for row in tables[table]]
    new["components"] = [_rated(row, car, header) for row in tables["components"]]
    new["runs"] = []
    return new


def _recoloured(row: Pin | Wire, car: Vehicle, header: Header) -> Pin | Wire:
    """A colour whose meaning is not known does not cross from one code into another."""
    if row.colour is None or car.netlist.header.colour_code == header.colour_code:
        return row
    names = row.colour.names
    return replace(row, colour=None if names is None else Colour(colour_text(names, header.colour_code), names))


def _rated(row: Any, car: Vehicle, header: Header) -> Any:
    volts = car.netlist.header.volts
    return row if row.volts is not None or volts in (None, header.volts) else replace(row, volts=volts)


def _measured(row: Pin | Wire, lengths: Lengths) -> Pin | Wire:
    """A wire is as long as along its own loom, whatever the other car's places are apart."""
    start = row.from_ if isinstance(row, Wire) else f"{row.connector}:{row.cavity}"
    if row.length is not None or row.to is None or not lengths.vehicle.netlist.runs:
        return row
    length = lengths.of(row, start, row.to)
    return replace(row, length=length) if isinstance(length, float) else row
