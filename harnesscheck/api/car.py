"""One car to work with in a program: read, configured or put together; shown, as rows, as a graph."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import fields
from os import fspath
from typing import Any

from harnesscheck.api.cars import READING, AnyCar, FilePath
from harnesscheck.api.faults import stop_for
from harnesscheck.api.reading import Reading, netlists
from harnesscheck.api.result import frame, needed
from harnesscheck.model.records import TABLE_OF, Common, Netlist, Record
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.read.conditions import Months
from harnesscheck.read.shown import field_name

_OF_THE_FILE = ("common", "file", "line", "column")


class Car(Vehicle):
    """One version of a car. It equals every other vehicle with the same rows once it is read by a command."""

    def to_frame(self, table: str = "pins") -> Any:
        """The rows of one of ``tables`` as a pandas DataFrame, one column a field that any of them gives.

        Columns are called as in files; sizes are in mm², lengths in m, everything else as
        ``harnesscheck columns`` tells. Raises InputError for a table that there is none of, ImportError without pandas.
        """
        if table not in self.tables:
            stop_for("to_frame", table, f"one of {', '.join(self.tables)}")
        return frame([dict(_cells(row)) for row in getattr(self.netlist, table)])

    @property
    def tables(self) -> tuple[str, ...]:
        """The names that ``to_frame`` takes."""
        return tuple(TABLE_OF.values())

    def to_networkx(self) -> Any:
        """The car as a networkx.MultiGraph. Raises ImportError without networkx.

        Nodes are cavities (``C12:4``), splices and ground points by id, terminals (``fuel-pump.+``), and a ``join``
        where a circuit's wires in one harness meet in a place nobody wrote; ``sort`` says which. Edges by ``sort``:
        ``wire`` with circuit, colour (text), size_mm2, length_m and ``likely``; ``mates`` of two facing contacts;
        ``crimp`` of a part's cavity and its terminal; ``inside`` of two terminals of a part, ``conducts`` saying how
        (joint, fuse, switch, load ...) and ``when`` in which positions. What nobody wrote down is no edge: an end
        without one is not known, not open.
        """
        from harnesscheck.api.graph import edges, nodes

        graph = needed("networkx", "to_networkx").MultiGraph(name=self.name)
        graph.add_nodes_from((name, {"sort": sort}) for name, sort in nodes(self))
        graph.add_edges_from(edges(self))
        return graph

    def __repr__(self) -> str:
        return f"<Car: {self.name}, {len(self.netlist.connectors)} connectors, {len(self.netlist.pins)} pins>"

    def _repr_html_(self) -> str:
        return self.netlist._repr_html_()


def read(path: FilePath, *, reading: Reading = READING) -> Netlist:
    """Read the netlist in a file or folder: all that it says, whatever options and build dates.

    Raises InputError with every fault and its place.

    >>> netlist = read("harness_demo/donor.xml")
    >>> netlist.header.model_year
    2016
    """
    return netlists([fspath(path)], reading)[0]


def configure(
    car: AnyCar,
    *,
    options: Collection[str] | None = None,
    built: Months | None = None,
    reading: Reading = READING,
) -> Car:
    """One version of a car: with these options and no other, built in these months; None is what its file says.

    ``built`` is the first and the last month it may be from, as ``("2013-08", None)``. Raises InputError with every
    fault.

    >>> car = configure("harness_demo/donor.xml")
    >>> car
    <Car: Linnet library van 2016, 308 connectors, 958 pins>
    >>> graph = car.to_networkx()
    >>> graph.nodes["C12:4"]["sort"]
    'cavity'
    """
    from harnesscheck.read import configure as configured

    if isinstance(car, Vehicle):
        car = car.netlist
    netlist = car if isinstance(car, Netlist) else read(car, reading=reading)
    return Car(configured(netlist, options, built).netlist)


def assemble(swap: FilePath, *, as_found: bool = True, reading: Reading = READING) -> Car:
    """The car that a swap sheet puts together, out of both as the sheet says they were found, or as their makers built.

    Raises InputError with every fault of sheet and cars, and for choices that cannot all be met.

    >>> assemble("harness_demo/swap.toml").name.startswith("Linnet")
    True
    """
    from harnesscheck.api.swapped import swap_at

    both = swap_at(fspath(swap), reading)
    return Car((both.made if as_found else both.mended).vehicle.netlist)


def _cells(row: Record) -> Iterator[tuple[str, Any]]:
    """What a row says, by the names of files."""
    for slot in fields(row):
        value = getattr(row, slot.name)
        if slot.name not in _OF_THE_FILE and value is not None and value != ():
            yield field_name(slot.name), _plain(value)
    for slot in fields(Common):
        value = getattr(row.common, slot.name)
        if value not in (None, (), False):
            yield field_name(slot.name), _plain(value)


def _plain(value: Any) -> Any:
    """A value without a class of ours: mm² of a size, the text of a colour, words with spaces between."""
    if isinstance(value, tuple):
        return " ".join(map(str, value))
    return getattr(value, "area_mm2", getattr(value, "text", value))
