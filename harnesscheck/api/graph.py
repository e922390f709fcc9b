"""The nodes and edges of one car, for ``Car.to_networkx``."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from typing import TYPE_CHECKING, Any, TypeAlias

from harnesscheck.network.graph.sides import Study
from harnesscheck.network.graph.wiring import JOIN, NOWHERE, TERMINAL, End, wiring_of

if TYPE_CHECKING:
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.network.graph.wiring import DrawnWire

Edge: TypeAlias = tuple[str, str, dict[str, Any]]


def nodes(car: Vehicle) -> Iterator[tuple[str, str]]:
    """Every node by name with its sort: cavity, splice, ground, terminal, join."""
    study = Study(car)
    yield from ((row.id, "splice") for row in car.netlist.splices)
    yield from ((row.id, "ground") for row in car.netlist.grounds)
    for row in car.netlist.connectors:
        yield from ((f"{row.id}:{cavity}", "cavity") for cavity in study.index.cavities(row.id))
    yield from ((_terminal(part, name), "terminal") for part, name in study.index.terminal)
    ends = dict.fromkeys(end for wire in wiring_of(study).conductors for end in (wire.a, wire.b))
    yield from ((_name(end), "join") for end in ends if end.sort == JOIN)


def edges(car: Vehicle) -> Iterator[Edge]:
    """Every edge: its two nodes and what is said of it."""
    study = Study(car)
    return chain(_wires(study), _mates(study), _crimps(study), _within(study))


def _wires(study: Study) -> Iterator[Edge]:
    for wire in wiring_of(study).conductors:
        if NOWHERE not in (wire.a.sort, wire.b.sort):
            yield _name(wire.a), _name(wire.b), {"sort": "wire", **_said(wire)}


def _said(wire: DrawnWire) -> dict[str, Any]:
    lengths = (getattr(row, "length", None) for row in wire.rows)
    return {
        "circuit": wire.circuit,
        "colour": wire.colour.text if wire.colour is not None else None,
        "size_mm2": wire.size.area_mm2 if wire.size is not None else None,
        "length_m": next((length for length in lengths if length is not None), None),
        "likely": wire.likely,
    }


def _mates(study: Study) -> Iterator[Edge]:
    for mate in study.index.mates:
        a, b = (f"{half}:{mate.cavity}" for half in mate.place)
        yield a, b, {"sort": "mates"}


def _crimps(study: Study) -> Iterator[Edge]:
    """Between a part's own cavity and the terminal behind it."""
    connectors = study.vehicle.connectors
    for pin in study.vehicle.netlist.pins:
        part = connectors[pin.connector].component if pin.connector is not None else None
        if part is not None and pin.terminal is not None:
            yield f"{pin.connector}:{pin.cavity}", _terminal(part, pin.terminal), {"sort": "crimp"}


def _within(study: Study) -> Iterator[Edge]:
    """Between two terminals of a part, by every way that it conducts."""
    for part, ways in study.index.conductions_of.items():
        for way in ways:
            a, b = (_terminal(part, name) for name in (way.a, way.b))
            yield a, b, {"sort": "inside", "component": part, "conducts": way.sort, "when": " ".join(way.words)}


def _name(end: End) -> str:
    if end.sort == TERMINAL:
        return _terminal(end.owner, end.name)
    return f"{end} {end.name}" if end.sort == JOIN else str(end)


def _terminal(part: str, name: str) -> str:
    return f"{part}.{name}"
