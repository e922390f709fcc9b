"""Reads a netlist from whatever holds it: an XML file, a table, a workbook, or a folder of them."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from harnesscheck.model.places import InputFault
from harnesscheck.model.records import Netlist, Pin
from harnesscheck.read.build import Builder
from harnesscheck.read.check import check, shown
from harnesscheck.read.expand import expand
from harnesscheck.read.faults import Faults, StopReading
from harnesscheck.read.imply import imply
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits
from harnesscheck.read.pool import pool_pins
from harnesscheck.read.xml import read_xml


def read_netlist(path: str | Path, limits: Limits = DEFAULT_LIMITS) -> Netlist | list[InputFault]:
    """Read one vehicle's netlist; returns every input fault instead where there is any.

    Nothing is raised for bad input. ``limits`` bounds time and memory.
    """
    faults = Faults()
    builder = Builder(faults, limits)
    with _no_collection():
        try:
            _read(Path(path), faults, limits, builder)
            imply(builder)
            expand(builder)
            netlist = _pooled(builder.netlist(), faults)
            check(netlist, faults)
        except StopReading:
            return faults.in_order()
    return faults.in_order() if faults else netlist


def _pooled(netlist: Netlist, faults: Faults) -> Netlist:
    """The netlist with one row for each wire end."""

    def clash(later: Pin, earlier: Pin, slot: str) -> None:
        name = slot.removesuffix("_").replace("_", "-")
        where = f"{later.connector or later.component}:{later.cavity or later.terminal}"
        faults.add(
            later.place,
            f"{name}={shown(getattr(later, slot))}",
            f"{name}: the same as in the other row of {where} ({shown(getattr(earlier, slot))})",
            earlier.place,
        )

    return replace(netlist, pins=tuple(pool_pins(netlist.pins, clash)))


@contextmanager
def _no_collection() -> Iterator[None]:
    """Keep the cycle collector from walking a million new records again and again; they hold no cycles."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _read(path: Path, faults: Faults, limits: Limits, builder: Builder) -> None:
    read_xml(path, faults, limits, builder.add)
