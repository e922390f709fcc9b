"""Which harness every row of a car travels with, and which parts cannot leave one.

A row that names no harness is told by its neighbours. What nothing tells, such as
the plugs of a lone pin table, travels as if it were one more harness, called
``UNOWNED``. A strap is a wire between two ground points: it belongs to the body, unless it names its harness.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from harnesscheck.model.records import Component, Wire
from harnesscheck.model.vehicle import Vehicle

UNOWNED = ""


@dataclass(frozen=True)
class Owners:
    """Answers for one car; worked out once, on first use."""

    vehicle: Vehicle

    @cached_property
    def of_connector(self) -> Mapping[str, str]:
        """The harness of every connector that no component owns."""
        rows = self.vehicle.netlist.connectors
        return {row.id: row.harness or UNOWNED for row in rows if row.component is None}

    @cached_property
    def of_splice(self) -> Mapping[str, str]:
        """The harness of every splice: its own word, else that of the wires that end there."""
        told = {row.id: row.harness for row in self.vehicle.netlist.splices}
        for row in self.vehicle.netlist.pins:
            if row.to in told and told[row.to] is None and row.connector is not None:
                told[row.to] = self.of_connector.get(row.connector) or None
        wires = [row for row in self.vehicle.netlist.wires if row.from_ in told or row.to in told]
        changed = True
        while changed:  # from splice to splice
            changed = False
            for wire in wires:
                harness = wire.harness or told.get(wire.from_) or told.get(wire.to)
                for end in (wire.from_, wire.to):
                    if harness and end in told and told[end] is None:
                        told[end] = harness
                        changed = True
        return {id: harness or UNOWNED for id, harness in told.items()}

    def is_strap(self, wire: Wire) -> bool:
        """Whether a wire joins two ground points and is of no loom."""
        grounds = self.vehicle.grounds
        return wire.harness is None and wire.from_ in grounds and wire.to in grounds

    def of_wire(self, wire: Wire) -> str:
        """The harness of a wire row that is no strap."""
        told = self.of_splice
        return wire.harness or told.get(wire.from_) or told.get(wire.to) or UNOWNED

    def holds(self, component: Component) -> str | None:
        """The harness a component cannot leave: named by ``with``, or by a terminal wired into it without a plug."""
        if component.with_ is not None:
            return component.with_
        for pin in self.vehicle.loose_pins_of.get(component.id, ()):
            owner, colon, _ = (pin.to or "").partition(":")
            harness = self.of_connector.get(owner) if colon else self.of_splice.get(owner)
            if harness is not None:
                return harness
        return None

    @cached_property
    def harnesses(self) -> tuple[str, ...]:
        """Every harness of the car in the file's order, and ``UNOWNED`` where some row has none."""
        named = [row.id for row in self.vehicle.netlist.harnesses]
        return (*named, *((UNOWNED,) if UNOWNED in self._named() else ()))

    def _named(self) -> Iterator[str]:
        yield from self.of_connector.values()
        yield from self.of_splice.values()
        yield from (self.of_wire(row) for row in self.vehicle.netlist.wires if not self.is_strap(row))
