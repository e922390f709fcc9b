"""A plug of which one half was typed: the other carries the same, as far as anybody knows.

Two halves that mate carry one circuit a cavity. As long as both stay together the
typed half tells of both; in a car that is put together they may part, and the half that
nobody typed would come without a word. So it takes along what its own car's other
half says: circuit and function, never colour, size or where a wire goes. What rests on that is likely at most.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from harnesscheck.model.records import Common, Connector, Pin, Record
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study

NOT_TYPED = "not typed: as its other half"


def with_stand_ins(vehicle: Vehicle) -> Vehicle:
    """The car with what its typed halves say written at the halves nobody typed; the car itself where there is none."""
    untyped = untyped_halves(vehicle)
    stood_in = {row.id: [*_copied(vehicle, row)] for row in vehicle.netlist.connectors if row.id in untyped}
    found = {name: pins for name, pins in stood_in.items() if pins}
    if not found:
        return vehicle
    netlist = vehicle.netlist
    connectors = tuple(_as_complete(vehicle, row) if row.id in found else row for row in netlist.connectors)
    pins = (*netlist.pins, *(pin for rows in found.values() for pin in rows))
    return Vehicle(replace(netlist, connectors=connectors, pins=pins))


def _as_complete(vehicle: Vehicle, row: Connector) -> Connector:
    """A half whose other cavities are empty where its mate's are known to be."""
    return replace(row, complete=vehicle.connectors[vehicle.mate_of[row.id]].complete)


def untyped_halves(vehicle: Vehicle) -> frozenset[str]:
    """The halves of harnesses that have a mate, and of which no row names a contact."""
    netlist = vehicle.netlist
    ends = [*(pin.to for pin in netlist.pins), *(end for wire in netlist.wires for end in (wire.from_, wire.to))]
    named = {(end or "").partition(":")[0] for end in ends} | vehicle.pins_of.keys()
    return frozenset(
        row.id
        for row in netlist.connectors
        if row.component is None and row.id in vehicle.mate_of and row.id not in named
    )


def _copied(vehicle: Vehicle, row: Connector) -> Iterator[Pin]:
    """What the other half says, cavity by cavity, once each."""
    mate = vehicle.mate_of[row.id]
    common = Common(source=f"{NOT_TYPED} {mate}", partial=True)  # likely at most
    told: set[str | None] = set()
    for pin in vehicle.pins_of.get(mate, ()):
        if (pin.circuit or pin.function) and pin.cavity not in told:
            told.add(pin.cavity)
            yield Pin(
                connector=row.id,
                cavity=pin.cavity,
                circuit=pin.circuit,
                function=pin.function,
                common=common,
                file=pin.file,
                line=pin.line,
                column=pin.column,
            )


def stands_in(row: Record) -> bool:
    """Whether a row is no row of a file, but what the other half of its plug says."""
    return (row.common.source or "").startswith(NOT_TYPED)


class StoodIn:
    """A studied car with its untyped halves told by their mates; kept on the study.

    ``halves`` are those of which every row stands in, in a car that is so already.
    """

    def __init__(self, study: Study) -> None:
        vehicle = study.vehicle
        whole = with_stand_ins(vehicle)
        self.study = study if whole is vehicle else Study(whole)
        self.halves = frozenset(name for name, pins in vehicle.pins_of.items() if all(map(stands_in, pins)))
