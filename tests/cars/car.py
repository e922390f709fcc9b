"""A car that can be edited freely, and how it is written as records."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass, field
from functools import cache

from harnesscheck.model.records import (
    Circuit,
    Component,
    Connector,
    Ground,
    Harness,
    Header,
    Inside,
    Netlist,
    Pin,
    Splice,
    Wire,
)
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.trade.colours import Colour, read_colour
from harnesscheck.trade.sizes import Size, read_size

BASES_OF_FAULTS = ("RD", "BU", "WH")


@dataclass(slots=True)
class Strand:
    """One wire; an end is ``plug:cavity``, a splice or a ground point."""

    a: str
    b: str
    harness: str
    circuit: str | None
    colour: str | None
    size: str | None
    length: float | None = None


@dataclass(slots=True)
class Plug:
    """One connector half; ``terminals`` is cavity to (terminal, role), for halves of components."""

    id: str
    part: str | None
    harness: str | None
    cavities: tuple[str, ...]
    half: str | None
    keyway: str | None
    housing: str | None
    at: str | None
    mates: str | None = None
    terminals: dict[str, tuple[str, str | None]] = field(default_factory=dict)


@dataclass(slots=True)
class Part:
    """One component; ``insides`` are (from, to, when, load, fuse), ``loose`` are (terminal, role, to)."""

    id: str
    kind: str
    name: str | None
    at: str | None
    amps: float | None = None
    rating: float | None = None
    key: bool | None = None
    insides: list[tuple[str, str, tuple[str, ...], str | None, float | None]] = field(default_factory=list)
    loose: list[tuple[str, str, str]] = field(default_factory=list)


@dataclass(slots=True)
class Car:
    """Everything by id; splices hold their harness, grounds their place, circuits their function."""

    harnesses: dict[str, str | None] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    plugs: dict[str, Plug] = field(default_factory=dict)
    splices: dict[str, str] = field(default_factory=dict)
    grounds: dict[str, str | None] = field(default_factory=dict)
    circuits: dict[str, str | None] = field(default_factory=dict)
    wires: list[Strand] = field(default_factory=list)

    def copy(self) -> Car:
        """A car of its own."""
        return deepcopy(self)

    @property
    def cavity_count(self) -> int:
        """Cavities of all halves, used or not."""
        return sum(len(plug.cavities) for plug in self.plugs.values())


@cache
def colour_of(text: str) -> Colour:
    """A colour by its IEC 60757 code."""
    colour = read_colour(text, "iec60757")
    assert isinstance(colour, Colour), colour
    return colour


@cache
def size_of(text: str) -> Size:
    """A size in mm²."""
    size = read_size(text)
    assert isinstance(size, Size), size
    return size


def _wire_row(wire: Strand) -> Pin | Wire:
    """A pin row at whichever end is a cavity, a wire row where neither is."""
    shared = {
        "circuit": wire.circuit,
        "colour": colour_of(wire.colour) if wire.colour else None,
        "size": size_of(wire.size) if wire.size else None,
        "length": wire.length,
    }
    here, there = (wire.a, wire.b) if ":" in wire.a else (wire.b, wire.a)
    connector, colon, cavity = here.partition(":")
    if colon:
        return Pin(connector=connector, cavity=cavity, to=there, **shared)  # type: ignore[arg-type]  # one dict
    return Wire(harness=wire.harness, from_=here, to=there, **shared)  # type: ignore[arg-type]  # one dict


def _terminal_rows(car: Car) -> list[Pin]:
    rows = [
        Pin(connector=plug.id, cavity=cavity, terminal=terminal, role=role)
        for plug in car.plugs.values()
        for cavity, (terminal, role) in plug.terminals.items()
    ]
    rows += [
        Pin(component=part.id, terminal=terminal, role=role, to=to)
        for part in car.parts.values()
        for terminal, role, to in part.loose
    ]
    return rows


def netlist_of(car: Car, name: str = "made-up car") -> Netlist:
    """The car's records, in the car's order."""
    wires = [_wire_row(wire) for wire in car.wires]
    return Netlist(
        header=Header(vehicle=name, colour_code="iec60757", volts=12.0),
        circuits=tuple(Circuit(id=id, function=function) for id, function in car.circuits.items()),
        harnesses=tuple(Harness(id=id, name=name) for id, name in car.harnesses.items()),
        splices=tuple(Splice(id=id, harness=harness) for id, harness in car.splices.items()),
        grounds=tuple(Ground(id=id, at=at) for id, at in car.grounds.items()),
        components=tuple(
            Component(id=p.id, kind=p.kind, name=p.name, at=p.at, amps=p.amps, rating=p.rating, key=p.key)
            for p in car.parts.values()
        ),
        connectors=tuple(
            Connector(
                id=p.id,
                component=p.part,
                harness=p.harness,
                cavities=p.cavities,
                half=p.half,
                keyway=p.keyway,
                housing_colour=p.housing,
                at=p.at,
                mates=p.mates,
            )
            for p in car.plugs.values()
        ),
        pins=(*(row for row in wires if isinstance(row, Pin)), *_terminal_rows(car)),
        insides=tuple(
            Inside(component=part.id, from_=a, to=b, when=when, load=load, fuse=fuse)
            for part in car.parts.values()
            for a, b, when, load, fuse in part.insides
        ),
        wires=tuple(row for row in wires if isinstance(row, Wire)),
    )


def vehicle_of(car: Car, name: str = "made-up car") -> Vehicle:
    """The car as a vehicle."""
    return Vehicle(netlist_of(car, name))
