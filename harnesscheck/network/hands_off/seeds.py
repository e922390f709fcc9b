"""What a car's rows say by themselves of restraint and high voltage, before any wire is followed.

The file's class or system, the words of a name or a function, a yellow housing at a
usual place, a thick orange cable.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from harnesscheck.model.records import Circuit, Component, Connector, Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.hands_off.marks import HAZARDS, NO_MARKS, Mark, Marks, together
from harnesscheck.trade.hazards import THICK_MM2, is_yellow, restraint_place
from harnesscheck.trade.lexicon import HIGH_VOLTAGE, RESTRAINT, hazards_in

_ORDINARY_KINDS = FUSES | {"lamp", "motor", "heater", "sounder", "relay", "battery", "alternator", "diode"}
_MOST_SHOWN = 60  # letters of a long text


class Seeds:
    """What the rows say by themselves, before any wire is followed."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        self.circuits = {row.id: marks for row in vehicle.netlist.circuits if (marks := _of_circuit(row))}
        self.parts = {row.id: marks for row in vehicle.netlist.components if (marks := _of_part(row))}
        self.rows = list(self._marked_rows())
        self.plugs = dict(self._marked_plugs())

    @property
    def any(self) -> bool:
        """Whether anything is marked at all."""
        return bool(self.circuits or self.parts or self.rows or self.plugs)

    def _marked_rows(self) -> Iterator[tuple[Pin | Wire, Marks]]:
        named: dict[str, Marks] = {}
        rows: tuple[Pin | Wire, ...] = (*self.vehicle.netlist.pins, *self.vehicle.netlist.wires)
        for row in rows:
            circuit = row.circuit or ""
            if circuit and circuit not in named:
                named[circuit] = self.circuits.get(circuit) or _by_words(circuit, "its circuit is called", known=False)
            words = _by_words(row.function or "", "its wire is called")
            if isinstance(row, Pin) and row.terminal:
                words = (*words, *_by_words(row.terminal, "its terminal is called"))
            marks = together((*named.get(circuit, ()), *words, *self._thick_orange(row)))
            if marks:
                yield row, marks

    def _thick_orange(self, row: Pin | Wire) -> Marks:
        colour, size = row.colour, row.size
        if colour is None or not colour.names or colour.names[0] != "orange" or size is None:
            return NO_MARKS
        ends = (row.to, row.from_ if isinstance(row, Wire) else None)
        if any(end in self.vehicle.grounds for end in ends):
            return NO_MARKS  # high voltage is kept apart from the body: UN Regulation No. 100, from memory
        circuit = self.vehicle.circuits.get(row.circuit or "")
        if size.area_mm2 < THICK_MM2 or (circuit is not None and circuit.class_ is not None):
            return NO_MARKS
        return (Mark(HIGH_VOLTAGE, False, f"an orange cable of {size.area_mm2:g} mm²"),)

    def _marked_plugs(self) -> Iterator[tuple[str, Marks]]:
        for row in self.vehicle.netlist.connectors:
            marks = _by_words(row.name or "", "its plug is called")
            marks = marks or _by_words(row.id, "its plug is called", known=False)
            harness = self.vehicle.harnesses.get(row.harness or "")
            if not marks and harness is not None:
                marks = _by_words(harness.name or harness.id, "its loom is called", known=False)
            marks = marks or self._yellow(row.id)
            if marks:
                yield row.id, marks

    def _yellow(self, connector: str) -> Marks:
        """A yellow housing where restraint parts usually sit, or with twisted wires, unless it is shown otherwise."""
        vehicle = self.vehicle
        row = vehicle.connectors[connector]
        if not row.housing_colour or not is_yellow(row.housing_colour):
            return NO_MARKS
        halves = [half for half in (row, vehicle.connectors.get(vehicle.mate_of.get(connector, ""))) if half]
        parts = [part for half in halves if (part := vehicle.components.get(half.component or "")) is not None]
        pins = [pin for half in halves for pin in vehicle.pins_of.get(half.id, ())]
        if any(part.kind in _ORDINARY_KINDS or part.system for part in parts) or self._told_ordinary(pins):
            return NO_MARKS
        places: tuple[Component | Connector, ...] = (*halves, *parts)
        texts = [text for one in places for text in (one.at, one.name) if text]
        place = next((found for text in texts if (found := restraint_place(text))), "")
        if place:
            return (Mark(RESTRAINT, False, f"a yellow plug at a usual place of restraint parts ({place})"),)
        if any(pin.pair for pin in pins):
            return (Mark(RESTRAINT, False, "a yellow plug with twisted wires"),)
        return NO_MARKS

    def _told_ordinary(self, pins: Iterable[Pin]) -> bool:
        """Whether the file gives every circuit in a plug a class or a system that is neither of ours."""
        names = {pin.circuit for pin in pins if pin.connector is not None and pin.terminal is None}
        rows = [self.vehicle.circuits.get(name or "") for name in names]
        return bool(rows) and all(row is not None and bool(row.class_ or row.system) for row in rows)


def _of_circuit(row: Circuit) -> Marks:
    found = (
        [Mark(row.class_, True, f"the file gives circuit {row.id} the class {row.class_}")]
        if row.class_ in HAZARDS
        else []
    )
    if row.system in HAZARDS:
        found.append(Mark(row.system, True, f"the file gives circuit {row.id} the system {row.system}"))
    return together((*found, *_by_words(row.function or "", "its circuit is called")))


def _of_part(row: Component) -> Marks:
    found = [Mark(row.system, True, f"the file gives it the system {row.system}")] if row.system in HAZARDS else []
    words = _by_words(row.name or "", "it is called")
    return together((*found, *words, *(() if words or row.name else _by_words(row.id, "it is called"))))


def _by_words(text: str, how: str, known: bool = True) -> Marks:
    if not text:
        return NO_MARKS
    shown = text if len(text) <= _MOST_SHOWN else text[: _MOST_SHOWN - 3] + "..."
    return tuple(Mark(hazard, known, f'{how} "{shown}"') for hazard, _ in hazards_in(text))
