"""What one car gives to the result: its rows that are taken, still under their own names."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from harnesscheck.assemble.choice import Taken
from harnesscheck.assemble.owners import Owners
from harnesscheck.model.records import TABLE_OF, Connector, LidFuse, Pin
from harnesscheck.model.vehicle import Vehicle

Tables = dict[str, list[Any]]  # the slots of ``Netlist`` that hold rows


def share(car: Vehicle, took: Taken, *, body: bool) -> Tables:
    """The rows of a car that are taken; with its body come all its ground points and straps.

    A circuit comes with the rows that carry it, one that no row carries with any
    harness; a fuse of the lid with its fuse; options and lengths along the loom
    with anything at all.
    """
    owners, netlist = Owners(car), car.netlist
    tables: Tables = {table: list(getattr(netlist, table)) for table in TABLE_OF.values()}
    if not took and not body:
        return {table: [] for table in tables}
    tables["harnesses"] = [row for row in netlist.harnesses if row.id in took.harnesses]
    tables["components"] = [row for row in netlist.components if row.id in took.components]
    tables["insides"] = [row for row in netlist.insides if row.component in took.components]
    tables["connectors"] = [row for row in netlist.connectors if _comes(row, owners, took)]
    tables["splices"] = [row for row in netlist.splices if owners.of_splice[row.id] in took.harnesses]
    tables["pins"] = _pins(netlist.pins, tables, took)
    tables["wires"] = [
        row for row in netlist.wires if (body if owners.is_strap(row) else owners.of_wire(row) in took.harnesses)
    ]
    ends = set(ends_of(tables))
    tables["grounds"] = [row for row in netlist.grounds if body or row.id in ends]
    return _with_circuits(car, tables, bool(took.harnesses) or body)


def _with_circuits(car: Vehicle, tables: Tables, with_idle: bool) -> Tables:
    """The circuits and lines of the lid that belong to the other rows; ``with_idle``, those that belong to none."""
    netlist = car.netlist
    everywhere = _carried(netlist.pins, netlist.wires, ())
    carried = _carried(tables["pins"], tables["wires"], ())
    fuses = {row.id for row in netlist.components} | {row.id for row in netlist.insides}
    held = {one.id for one in (*tables["components"], *tables["insides"])}

    def lid_comes(row: LidFuse) -> bool:
        """With the fuse it names; where the file has no such fuse, with a circuit it feeds."""
        if row.id in fuses:
            return row.id in held
        return with_idle if everywhere.isdisjoint(row.feeds) else not carried.isdisjoint(row.feeds)

    lid = [row for row in netlist.lid if lid_comes(row)]
    carried |= {name for row in lid for name in row.feeds}
    idle = {row.id for row in netlist.circuits} - everywhere.union(*(row.feeds for row in netlist.lid))
    circuits = [row for row in netlist.circuits if row.id in carried or (with_idle and row.id in idle)]
    return {**tables, "lid": lid, "circuits": circuits}


def _pins(rows: Iterable[Pin], tables: Tables, took: Taken) -> list[Pin]:
    held = {row.id for row in tables["connectors"]}
    return [
        row
        for row in rows
        if (row.connector in held if row.connector is not None else row.component in took.components)
    ]


def _comes(row: Connector, owners: Owners, took: Taken) -> bool:
    if row.component is not None:
        return row.component in took.components
    return owners.of_connector[row.id] in took.harnesses


def ends_of(tables: Mapping[str, Iterable[Any]]) -> list[str]:
    """Every end that pins and wires name, as it is written."""
    ends = [row.to for row in tables["pins"] if row.to is not None]
    return ends + [end for row in tables["wires"] for end in (row.from_, row.to)]


def carried_circuits(tables: Mapping[str, Iterable[Any]]) -> set[str]:
    """Every circuit that pins, wires and the lid name."""
    return _carried(tables["pins"], tables["wires"], tables["lid"])


def _carried(pins: Iterable[Any], wires: Iterable[Any], lid: Iterable[LidFuse]) -> set[str]:
    named = {row.circuit for rows in (pins, wires) for row in rows if row.circuit is not None}
    return named.union(*(row.feeds for row in lid))
