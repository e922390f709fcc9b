"""A car with something else in it: ``fuel-pump.amps=16``, ``F31.rating=20``, ``C12:4.size=2.5``.

A change names a row and a field of it: a component (``fuel-pump``), a load inside
one (``wiper-motor/fast``), a fuse inside a box by its id, or a wire by one of its
ends or both (``C12:4``, ``S3 to S4``). What comes out is an ordinary vehicle.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from harnesscheck.fields import FIELDS, Field
from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.records import Component, Inside, Netlist, Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.conduction import is_load
from harnesscheck.read.values import Wrong, field_reader

WHERE = "--what-if"
EXPECTED = "a row, a field and its value, as fuel-pump.amps=16, F31.rating=20 or C12:4.size=2.5"
PART_FIELDS = (
    "amps", "watts", "ohms", "volts", "rating", "type", "duty", "stall", "inrush", "min-volts", "polar",
)  # fmt: skip
WIRE_FIELDS = ("size", "length", "ohms", "insulation", "ambient", "bundle")
_DRAWN = ("amps", "watts", "ohms")  # one of them says what a load draws

R = TypeVar("R", Component, Inside, Pin, Wire)


@dataclass(frozen=True, slots=True)
class Change:
    """One field of one row set to another value, as text."""

    target: str
    field: str
    value: str

    def __str__(self) -> str:
        """As it is written on the command line."""
        return f"{self.target}.{self.field}={self.value}"


def read_change(text: str) -> Change | InputFault:
    """A change as it is written."""
    left, equals, value = text.partition("=")
    target, dot, field = left.strip().rpartition(".")
    if not (equals and dot and target and field and value.strip()):
        return InputFault(Place(WHERE), text, EXPECTED)
    return Change(target.strip(), field.strip(), value.strip())


def changed(vehicle: Vehicle, change: Change) -> Vehicle | InputFault:
    """The car with one change; a fault where it names no row, or a value that the field cannot take."""
    netlist = vehicle.netlist
    component, _, load = change.target.partition("/")
    if load:
        rows: Sequence[Any] = [
            row
            for row in vehicle.insides_of.get(component, ())
            if is_load(vehicle.components[component], row) and (row.load or "") == load
        ]
        return _with(netlist, "insides", "inside", rows, change, PART_FIELDS)
    part = vehicle.components.get(change.target)
    if part is not None:
        loads = [row for row in vehicle.insides_of.get(part.id, ()) if is_load(part, row)]
        if loads and change.field in _DRAWN:
            names = ", ".join(f"{part.id}/{row.load}" for row in loads if row.load)
            return InputFault(Place(WHERE), str(change), f"one of the loads inside it: {names}")
        return _with(netlist, "components", "component", [part], change, PART_FIELDS)
    inside = [row for row in netlist.insides if row.id == change.target]
    if inside:
        if change.field == "rating" and inside[0].fuse is not None:
            return _with(netlist, "insides", "inside", inside, replace_field(change, "fuse"), ("fuse",))
        return _with(netlist, "insides", "inside", inside, change, PART_FIELDS)
    pins = [row for row in netlist.pins if _is_wire(vehicle, row, change.target)]
    if pins:
        return _with(netlist, "pins", "pin", pins, change, WIRE_FIELDS)
    wires = [row for row in netlist.wires if change.target in _names(row.from_, row.to)]
    if wires:
        return _with(netlist, "wires", "wire", wires, change, WIRE_FIELDS)
    expected = "a component, a load inside one (wiper-motor/fast), a fuse, or a wire's end (C12:4) of the file"
    return InputFault(Place(WHERE), change.target, expected)


def replace_field(change: Change, field: str) -> Change:
    """The same change of another field."""
    return Change(change.target, field, change.value)


def _names(a: str, b: str) -> tuple[str, str]:
    return f"{a} to {b}", f"{b} to {a}"


def _is_wire(vehicle: Vehicle, row: Pin, target: str) -> bool:
    """Whether a pin row writes the wire a change names: by its own end, by its far end, or by both.

    A pin whose far end nobody wrote is meant by its own end.
    """
    if row.connector is not None and vehicle.connectors[row.connector].component is not None:
        return False
    here = f"{row.connector}:{row.cavity}" if row.connector is not None else f"{row.component}.{row.terminal}"
    ends = set(target.split(" to "))
    if len(ends) == 1:
        return ":" in target and target in (here, row.to)
    return ends == {here, row.to} or (row.to is None and here in ends)


def _with(
    netlist: Netlist, slot: str, sort: str, rows: Sequence[R], change: Change, fields: Iterable[str]
) -> Vehicle | InputFault:
    """The car with a field of some rows set."""
    if not rows:
        return InputFault(Place(WHERE), str(change), "a load that the component has inside")
    if change.field not in fields:
        return InputFault(Place(WHERE), str(change), "one of " + ", ".join(fields))
    value = _read(change, sort)
    if isinstance(value, InputFault):
        return value
    name = _field(change.field, sort).slot
    cleared = {one: None for one in _DRAWN if change.field in _DRAWN and one != change.field and sort != "pin"}
    wanted = {id(row) for row in rows}

    def set_(row: R) -> R:
        """The row with the new value where it is one of those wanted."""
        return replace(row, **{name: value}, **_known(row, cleared)) if id(row) in wanted else row

    slots: dict[str, Any] = {slot: tuple(map(set_, getattr(netlist, slot)))}
    return Vehicle(replace(netlist, **slots))


def _known(row: object, values: dict[str, None]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if hasattr(row, name)}


def _read(change: Change, sort: str) -> Any:
    reader: Callable[[str], Any] = field_reader(_field(change.field, sort))
    value = reader(change.value)
    return InputFault(Place(WHERE), str(change), value.expected) if isinstance(value, Wrong) else value


def _field(name: str, sort: str) -> Field:
    return next(field for field in FIELDS if field.name == name and sort in field.on)


def replaced(vehicle: Vehicle, part: str, path: str, other: Netlist) -> Vehicle | InputFault:
    """The car with a component's electrical data taken from another file, which holds it alone or by the same id.

    Plugs stay as they are; what is inside the new one replaces what was inside.
    """
    own = vehicle.components.get(part)
    if own is None:
        return InputFault(Place("--replace"), part, "a component of the file")
    rows = {row.id: row for row in other.components}
    new = rows.get(part) or (next(iter(rows.values())) if len(rows) == 1 else None)
    if new is None:
        return InputFault(Place(path), f"{len(rows)} components", f"{part}, or one component alone")
    insides = tuple(replace(row, component=part) for row in other.insides if row.component == new.id)
    known = {terminal for component, terminal in _terminals(vehicle) if component == part}
    strange = [end for row in insides for end in (row.from_, row.to) if end not in known]
    if strange:
        return InputFault(Place(path), strange[0], f"a terminal that {part} has in the car: {', '.join(sorted(known))}")
    kept = replace(
        new, id=part, name=new.name or own.name, at=own.at, system=own.system, with_=own.with_, coded=own.coded,
        kind=new.kind or own.kind, safety=own.safety, critical=own.critical,
    )  # fmt: skip
    netlist = vehicle.netlist
    return Vehicle(
        replace(
            netlist,
            components=tuple(kept if row.id == part else row for row in netlist.components),
            insides=(*(row for row in netlist.insides if row.component != part), *insides),
        )
    )


def _terminals(vehicle: Vehicle) -> Iterable[tuple[str, str]]:
    for row in vehicle.netlist.connectors:
        for pin in vehicle.pins_of.get(row.id, ()) if row.component is not None else ():
            if pin.terminal is not None:
                yield row.component or "", pin.terminal
    for component, pins in vehicle.loose_pins_of.items():
        for pin in pins:
            yield component, pin.terminal or ""
    for inside in vehicle.netlist.insides:
        yield inside.component, inside.from_
        yield inside.component, inside.to
