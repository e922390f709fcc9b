"""Plugs that are bolted to a ground point: ring terminals, whose wires then end at that point."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from harnesscheck.model.records import Wire
from harnesscheck.read.build import Builder, Values
from harnesscheck.read.pool import WIRE_SLOTS
from harnesscheck.read.values import Origin

_OF_PIN = ("function", *WIRE_SLOTS)
_OF_WIRE = tuple(slot for slot in _OF_PIN if slot in Wire.__dataclass_fields__)
"""What a pin says of its wire, and what a wire between two points can say."""


def bolt(builder: Builder) -> None:
    """Let the wires of each connector whose ``on`` is a ground point end there; the connector itself goes."""
    grounds = {row.id for row in builder.records["ground"]}
    bolted = {
        name: str(short.row.values["on"])
        for name, short in builder.short_connectors.items()
        if short.row.values.get("on") in grounds
    }
    if not bolted:
        return
    for name, ground in bolted.items():
        short = builder.short_connectors.pop(name)
        if short.row.values.get("kind") is not None:
            expected = f"kind: none, for {ground} is a ground point"
            builder.faults.add(short.row.origin.place("kind"), str(short.row.values["kind"]), expected)
        for row in short.pins:
            _turn(builder, row.values, row.origin, ground, bolted, short.row.values.get("harness"))
    for short in builder.short_connectors.values():
        for row in short.pins:
            row.values["to"] = _at_ground(row.values.get("to"), bolted)
            if row.values["to"] is None:
                del row.values["to"]
    builder.records["pin"] = [
        row if (end := _at_ground(row.to, bolted)) == row.to else replace(row, to=end) for row in builder.records["pin"]
    ]


def _at_ground(to: str | None, bolted: Mapping[str, str]) -> str | None:
    return bolted.get((to or "").partition(":")[0], to)


def _turn(
    builder: Builder, values: Values, origin: Origin, ground: str, bolted: Mapping[str, str], harness: Any
) -> None:
    """A wire that was written at the ring terminal is written at its other end."""
    to = _at_ground(values.get("to"), bolted)
    if to is None or to == ground:
        return  # the far end of a wire that another row has
    owner, colon, cavity = to.partition(":")
    slots = (*(_OF_PIN if colon else _OF_WIRE), "option", "without")
    wire = {slot: values[slot] for slot in slots if values.get(slot) not in (None, ())}
    if colon:
        builder.add("pin", {"connector": owner, "cavity": cavity, "to": ground, **wire}, origin)
    else:
        builder.add("wire", {"harness": harness, "from_": to, "to": ground, **wire}, origin)
