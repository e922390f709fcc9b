"""Everything that can be taken out of a netlist so that less is known.

An attribute whose absence has a meaning of its own (``when``, ``fuse``, ``diode`` of
a joint inside a part: always, none, both ways) is no knowledge that can be erased:
the file would then say something else, not less.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from typing import Any

from harnesscheck.model.records import TABLE_OF, Netlist

_NAMES = frozenset({"id", "cavity", "from_", "common", "file", "line", "column"})  # what a row is, not what it says
_OWNERS = {"pins": ("connector", "component"), "connectors": ("component", "id"), "insides": ("component", "to")}
_MEANT = {"insides": ("when", "fuse", "diode", "load", "amps", "watts"), "connectors": ("complete",)}
UNKNOWN = "?"
_SLOTS = tuple(TABLE_OF.values())


@dataclass(frozen=True, slots=True)
class Erasure:
    """One thing to take away: an attribute, or with an empty ``field`` a whole row and what belongs to it.

    Without its row a cavity is empty by the rules of the format, which is a
    statement; with ``?`` for a field the connector then says that it is not
    complete, so that the cavity is not known.
    """

    slot: str
    number: int
    field: str
    what: str

    def __str__(self) -> str:
        return self.what


def erasures(car: Netlist) -> Iterator[Erasure]:
    """Every attribute of every row, every pin, every component."""
    for field in ("volts", "model_year", "vehicle"):
        yield Erasure("header", 0, field, f"netlist {field}")
    for slot in _SLOTS:
        for number, row in enumerate(getattr(car, slot)):
            name = _name(row)
            if slot in ("pins", "components"):
                yield Erasure(slot, number, "", f"{slot[:-1]} {name}")
            if slot == "pins" and row.connector is not None:
                yield Erasure(slot, number, UNKNOWN, f"what {name} holds")
            for field in fields(row):
                if field.name in _NAMES or field.name in (*_OWNERS.get(slot, ()), *_MEANT.get(slot, ())):
                    continue
                if slot == "wires" and field.name == "to":
                    continue
                if getattr(row, field.name) not in (None, ()):
                    yield Erasure(slot, number, field.name, f"{slot[:-1]} {name} {field.name}")


def _name(row: Any) -> str:
    if hasattr(row, "cavity"):
        return f"{row.connector or row.component}:{row.cavity or row.terminal}"
    return getattr(row, "id", None) or f"{row.from_}-{row.to}"


def erased(car: Netlist, one: Erasure) -> Netlist:
    """The netlist without it. A component takes its own connectors with it; what pointed to them points nowhere."""
    if one.slot == "header":
        return replace(car, header=replace(car.header, **{one.field: None}))
    rows = list(getattr(car, one.slot))
    row = rows[one.number]
    if one.field == UNKNOWN:
        car = replace(car, connectors=tuple(_incomplete(each, row.connector) for each in car.connectors))
    elif one.field:
        empty = () if isinstance(getattr(row, one.field), tuple) and one.field == "after" else None
        rows[one.number] = replace(row, **{one.field: empty})
        return replace(car, **{one.slot: tuple(rows)})
    del rows[one.number]
    left = replace(car, **{one.slot: tuple(rows)})
    return left if one.slot == "pins" else _without_component(left, row.id)


def _incomplete(row: Any, connector: str) -> Any:
    return replace(row, complete=False) if row.id == connector else row


def _without_component(car: Netlist, gone: str) -> Netlist:
    own = {row.id for row in car.connectors if row.component == gone}
    return replace(
        car,
        connectors=tuple(
            replace(row, mates=None) if row.mates in own else row for row in car.connectors if row.id not in own
        ),
        pins=tuple(row for row in car.pins if row.component != gone and row.connector not in own),
        insides=tuple(row for row in car.insides if row.component != gone),
    )
