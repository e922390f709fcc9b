"""Rows that others imply, so that the first useful netlist is one table of pins.

A connector that only pins name exists. Harnesses and components exist by being
named only where the netlist lists none at all: where it lists some, a name that
is not among them is taken for a slip of the pen.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from harnesscheck.model.records import LidFuse
from harnesscheck.read.build import Builder, implied_half
from harnesscheck.read.shown import shown
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
    halves = [implied_half(short.row.values) for short in builder.short_connectors.values()]
    _add_named(builder, "connector", (*known, *builder.short_connectors, *filter(None, halves)))


def tell_harnesses(builder: Builder) -> None:
    """A wire that leaves its harness out is in that of the splice at one of its ends."""
    harness_of = {row.id: row.harness for row in builder.records["splice"]}
    builder.records["wire"] = [
        replace(row, harness=harness_of.get(row.from_) or harness_of.get(row.to)) if row.harness is None else row
        for row in builder.records["wire"]
    ]


def tell_fuses(builder: Builder) -> None:
    """What the lid says of a fuse that is in the car as a part, or inside one, is that fuse's rating and form."""
    lid = {row.id: row for row in builder.records["fuse"]}
    if not lid:
        return
    for sort, names, kinds in (
        ("component", {"rating": "rating", "type": "type"}, ("fuse", "fusible-link", "breaker", None)),
        ("inside", {"rating": "fuse", "type": "type"}, ()),
    ):
        for at, row in enumerate(builder.records[sort]):
            if row.id in lid and (sort == "inside" or row.kind in kinds):
                builder.records[sort][at] = _told_by_lid(row, lid[row.id], names, builder)


def _told_by_lid(row: Any, said: LidFuse, names: Mapping[str, str], builder: Builder) -> Any:
    given: dict[str, Any] = {}
    for told, slot in names.items():
        text, known = getattr(said, told), getattr(row, slot)
        if text is not None and known is None:
            given[slot] = text
        elif told == "rating" and text not in (None, known):
            expected = f"rating: what is said of {said.id} elsewhere ({shown(known)})"
            builder.faults.add(said.place, shown(text), expected, row.place)
    return replace(row, **given) if given else row


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
