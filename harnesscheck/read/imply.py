"""Rows that others imply, so that the first useful netlist is one table of pins.

A connector that only pins name exists. Harnesses and components exist by being
named only where the netlist lists none at all: where it lists some, a name that
is not among them is taken for a slip of the pen.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from harnesscheck.read.build import Builder
from harnesscheck.read.values import Origin

_NAMED_BY = {
    "harness": (("connector", "harness"), ("splice", "harness"), ("wire", "harness"), ("component", "with_")),
    "component": (("connector", "component"), ("pin", "component"), ("inside", "component")),
    "connector": (("pin", "connector"),),
}


def imply(builder: Builder) -> None:
    """Add the records of rows nobody had to write."""
    if not builder.records["component"] and not builder.short_components:
        _add_named(builder, "component", ())
    if not builder.records["harness"]:
        _add_named(builder, "harness", ())
    known = [row.id for row in builder.records["connector"]]
    _add_named(builder, "connector", (*known, *builder.short_connectors))


def tell_harnesses(builder: Builder) -> None:
    """A wire that leaves its harness out is in that of the splice at one of its ends."""
    harness_of = {row.id: row.harness for row in builder.records["splice"]}
    builder.records["wire"] = [
        replace(row, harness=harness_of.get(row.from_) or harness_of.get(row.to)) if row.harness is None else row
        for row in builder.records["wire"]
    ]


def _add_named(builder: Builder, sort: str, known: Iterable[str]) -> None:
    named: dict[str, Origin] = {}
    for by, slot in _NAMED_BY[sort]:
        for row in builder.records[by]:
            name = getattr(row, slot)
            if name is not None and name not in named:
                named[name] = Origin(row.file, row.line, row.column)
    if sort != "connector":
        for short in builder.short_connectors.values():
            name = short.row.values.get(sort)
            if name is not None:
                named.setdefault(name, short.row.origin)
    for name in dict.fromkeys(known):
        named.pop(name, None)
    for name, origin in named.items():
        builder.append(sort, {"id": name}, origin)
