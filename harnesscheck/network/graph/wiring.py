"""The wires of one car, each once, with both ends in words: what drawings and searches follow.

A wire may be written at either end or at both; pins of one circuit in one
harness whose far end nobody wrote are joined, *likely*: two of them are one
wire, more meet somewhere in the loom (a *join*). An end is ``C7:3``, a splice, a
ground point, ``component terminal`` without a plug, a join, or not known.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TypeVar

from harnesscheck.model.records import Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.index import Index
from harnesscheck.network.graph.sides import Study
from harnesscheck.trade.colours import Colour
from harnesscheck.trade.sizes import Size

T = TypeVar("T")

CAVITY, POINT, TERMINAL, JOIN, NOWHERE = "cavity", "point", "terminal", "join", "nowhere"


@dataclass(frozen=True, slots=True, order=True)
class End:
    """One end of a wire; ``sort`` is one of the words above, ``owner`` and ``name`` tell which it is.

    Cavity: connector and cavity; point: splice or ground, no name; terminal:
    component and terminal; join: harness and circuit; nowhere: where it starts.
    """

    sort: str
    owner: str
    name: str = ""

    def __str__(self) -> str:
        """As it is written in a netlist, or in words where it is not written."""
        if self.sort == CAVITY:
            return f"{self.owner}:{self.name}"
        if self.sort == TERMINAL:
            return f"{self.owner} {self.name}"
        if self.sort == JOIN:
            return f"joined in {self.owner}"
        return "not written" if self.sort == NOWHERE else self.owner


@dataclass(frozen=True, slots=True, eq=False)
class DrawnWire:
    """One wire: its ends and the rows that tell of it, the first row's word before the second's.

    A wire equals itself only: two may lie side by side between the same ends.
    """

    a: End
    b: End
    rows: tuple[Pin | Wire, ...]
    likely: bool = False

    @property
    def circuit(self) -> str | None:
        """The circuit it carries."""
        return _first(row.circuit for row in self.rows)

    @property
    def function(self) -> str | None:
        """What it is for, where the row says so."""
        return _first(row.function for row in self.rows)

    @property
    def colour(self) -> Colour | None:
        """Its colour."""
        return _first(row.colour for row in self.rows)

    @property
    def size(self) -> Size | None:
        """Its size."""
        return _first(row.size for row in self.rows)

    def other(self, end: End) -> End:
        """The far end, seen from one of the two."""
        return self.b if end == self.a else self.a

    @property
    def words(self) -> str:
        """``1.25 BK/BU``; what is not known is said to be so."""
        size, colour = self.size, self.colour
        if size is not None and colour is not None:
            return f"{size.text} {colour.text}"
        if size is None and colour is None:
            return "size and colour ?" if TERMINAL not in (self.a.sort, self.b.sort) else "without a plug"
        return f"{size.text}, colour ?" if size is not None else f"{colour.text if colour else ''}, size ?"


def _first(values: Iterable[T | None]) -> T | None:
    return next((value for value in values if value is not None), None)


class Wiring:
    """Every wire of a car by its ends."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        self.conductors: tuple[DrawnWire, ...] = tuple(_conductors(vehicle))

    @cached_property
    def at(self) -> dict[End, tuple[DrawnWire, ...]]:
        """The wires that end in each place."""
        found: dict[End, list[DrawnWire]] = defaultdict(list)
        for wire in self.conductors:
            found[wire.a].append(wire)
            found[wire.b].append(wire)
        return {end: tuple(wires) for end, wires in found.items()}

    @cached_property
    def of_circuit(self) -> dict[str, tuple[DrawnWire, ...]]:
        """The wires of each circuit."""
        found: dict[str, list[DrawnWire]] = defaultdict(list)
        for wire in self.conductors:
            if wire.circuit is not None:
                found[wire.circuit].append(wire)
        return {circuit: tuple(wires) for circuit, wires in found.items()}


@lru_cache(maxsize=4)
def wiring_of(study: Study) -> Wiring:
    """The wires of a studied car, worked out once."""
    return Wiring(study.vehicle)


def node_of(index: Index, end: End) -> int | None:
    """The index's number of an end; a join or an end nobody wrote has none."""
    if end.sort == CAVITY:
        return index.cavity.get((end.owner, end.name))
    if end.sort == TERMINAL:
        return index.terminal.get((end.owner, end.name))
    return index.point.get(end.owner) if end.sort == POINT else None


def end_of(text: str) -> End:
    """The end that a netlist's ``to`` names."""
    owner, colon, cavity = text.partition(":")
    return End(CAVITY, owner, cavity) if colon else End(POINT, text)


def _pin_end(pin: Pin) -> End:
    if pin.connector is not None:
        return End(CAVITY, pin.connector, pin.cavity or "")
    return End(TERMINAL, pin.component or "", pin.terminal or "")


def _conductors(vehicle: Vehicle) -> Iterator[DrawnWire]:
    written: dict[tuple[End, End], list[Pin]] = defaultdict(list)
    plain: dict[End, Pin] = {}
    arriving: dict[End, int] = defaultdict(int)
    for pin in vehicle.netlist.pins:
        if pin.to is not None:
            written[_pin_end(pin), end_of(pin.to)].append(pin)
            arriving[end_of(pin.to)] += 1
        elif pin.connector is not None and vehicle.connectors[pin.connector].component is None:
            plain.setdefault(_pin_end(pin), pin)
    for (a, b), pins in written.items():
        back = written.get((b, a), [])
        if back and b < a:
            continue  # told from the other end as well, and drawn from there
        if not back and b in plain and arriving[b] == 1:
            back = [plain[b]]  # the far end's own row has colour and circuit, only not where it goes
        for at in range(max(len(pins), len(back))):
            rows = tuple(pins[at : at + 1] + back[at : at + 1])
            yield DrawnWire(a, b, rows, any(row.common.partial for row in rows))
    yield from _unwritten(vehicle, arriving.keys())
    for wire in vehicle.netlist.wires:
        yield DrawnWire(end_of(wire.from_), end_of(wire.to), (wire,), wire.common.partial)


def _unwritten(vehicle: Vehicle, far_ends: Container[End]) -> Iterator[DrawnWire]:
    """Wires whose rows name no far end; a component's terminals are no wires."""
    groups: dict[tuple[str, str], list[Pin]] = defaultdict(list)
    for pin in vehicle.netlist.pins:
        if pin.to is not None or pin.connector is None or _pin_end(pin) in far_ends:
            continue
        row = vehicle.connectors[pin.connector]
        if row.harness is not None and pin.circuit is not None:
            groups[row.harness, pin.circuit].append(pin)
        elif row.component is None:
            yield DrawnWire(_pin_end(pin), End(NOWHERE, str(_pin_end(pin))), (pin,))
    for (harness, circuit), pins in groups.items():
        if len(pins) == 2:
            yield DrawnWire(_pin_end(pins[0]), _pin_end(pins[1]), tuple(pins), likely=True)
        for pin in pins if len(pins) != 2 else ():
            alone = len(pins) == 1
            far = End(NOWHERE, str(_pin_end(pin))) if alone else End(JOIN, harness, circuit)
            yield DrawnWire(_pin_end(pin), far, (pin,), likely=not alone or pin.common.partial)
