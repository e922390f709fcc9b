"""Rows that shorthand is still filling: plugs with their pins, and components.

A row's slots are a plain mapping here. A slot that is there and holds None was
written ``?`` and is not filled by anything.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from harnesscheck.model.records import Common, Component, Connector, Pin
from harnesscheck.read.build import CONNECTOR_SHORTHAND, Builder, Row, Short, Values
from harnesscheck.read.pool import own_slots
from harnesscheck.read.values import Origin

CONDITIONS = ("option", "without", "built_from", "built_to")
_COMMON_SLOTS = tuple(slot for slot in Common.__dataclass_fields__ if slot != "partial")


@dataclass(slots=True)
class Plug:
    """A connector and its pins by cavity; ``names_terminals``: a terminal nobody named is called by its cavity."""

    values: Values
    origin: Origin
    pins: dict[str, list[Row]] = field(default_factory=dict)
    names_terminals: bool = False

    @property
    def id(self) -> str:
        """The connector's id."""
        return str(self.values["id"])

    def give(self, given: Values) -> None:
        """Fill in what the connector's own row does not say."""
        self.values = given | self.values

    def give_pin(self, cavity: str, given: Values, conditions: Values | None = None) -> None:
        """Fill in what the rows of a cavity do not say, or add the row where there is none."""
        rows = self.pins.get(cavity)
        if rows is None:
            own: Values = {"connector": self.id, "cavity": cavity}
            self.pins[cavity] = [Row("pin", own | given | (conditions or {}), self.origin)]
            return
        for row in rows:
            row.values = given | row.values


class Sketch:
    """The plugs and components shorthand touches, beside the records it only looks at."""

    def __init__(self, builder: Builder) -> None:
        self.faults = builder.faults
        self.plugs = {name: _plug(short) for name, short in builder.short_connectors.items()}
        self.connectors: dict[str, Connector] = {row.id: row for row in builder.records["connector"]}
        self._components = dict(builder.short_components)
        self._builder = builder
        self._pins_of: dict[str, list[Pin]] | None = None
        self._ends: dict[str, list[Values]] | None = None  # of wires, by the connector whose row does not have them

    def component(self, name: str) -> Row | None:
        """A component's row, open for filling; None where there is none of that id."""
        if name not in self._components:
            records: list[Component] = self._builder.records["component"]
            for number, record in enumerate(records):
                if record.id == name:
                    del records[number]
                    origin = Origin(record.file, record.line, record.column)
                    self._components[name] = Row("component", values_of(record), origin)
                    break
        return self._components.get(name)

    def add_component(self, values: Values, origin: Origin) -> None:
        """A component nobody wrote a row for."""
        self._components[values["id"]] = Row("component", values, origin)

    def components(self) -> list[Row]:
        """The components opened so far."""
        return list(self._components.values())

    def add_plug(self, values: Values, origin: Origin) -> Plug:
        """A connector nobody wrote a row for; one whose id is taken comes to light when ids are checked."""
        plug = self.plugs[values["id"]] = Plug(values, origin)
        return plug

    def owner(self, connector: str) -> str | None:
        """The component a connector belongs to."""
        if connector in self.plugs:
            return self.plugs[connector].values.get("component")
        return self.connectors[connector].component

    def is_connector(self, name: str) -> bool:
        """Whether there is a connector of that id."""
        return name in self.plugs or name in self.connectors

    def values(self, connector: str) -> Values:
        """What is known of a connector."""
        if connector in self.plugs:
            return self.plugs[connector].values
        return values_of(self.connectors[connector])

    def cavities(self, connector: str) -> dict[str, Values]:
        """What is known of each cavity in use; of two wires in one contact, the first comes first."""
        if connector in self.plugs:
            found = [row.values for rows in self.plugs[connector].pins.values() for row in rows]
        else:
            found = [values_of(pin) for pin in self._written_pins().get(connector, ())]
        cavities: dict[str, Values] = {}
        for values in found:
            cavities[values["cavity"]] = values | cavities.get(values["cavity"], {})
        return cavities

    def arrivals(self, connector: str) -> dict[str, Values]:
        """What is known of each cavity that has no row of its own, from the row at the other end of its wire."""
        if self._ends is None:
            self._ends = defaultdict(list)
            written = [values_of(pin) for pins in self._written_pins().values() for pin in pins]
            sketched = [row.values for plug in self.plugs.values() for rows in plug.pins.values() for row in rows]
            for values in (*written, *sketched):
                name, colon, cavity = str(values.get("to") or "").partition(":")
                if colon:
                    self._ends[name].append(values | {"cavity": cavity})
        found: dict[str, Values] = {}
        for values in self._ends.get(connector, ()):
            found.setdefault(values["cavity"], values)
        own = self.cavities(connector)
        return {cavity: values for cavity, values in found.items() if cavity not in own}

    def mate(self, connector: str) -> str | None:
        """The other half of a connector, whichever of the two names it."""
        named = self.values(connector).get("mates")
        if named is not None:
            return str(named)
        for other, plug in self.plugs.items():
            if plug.values.get("mates") == connector:
                return other
        return next((row.id for row in self.connectors.values() if row.mates == connector), None)

    def add_inside(self, values: Values, origin: Origin) -> None:
        """A joint inside a component, unless the component's own rows join the same terminals."""
        ends = (values["component"], values["from_"], values["to"])
        if all((row.component, row.from_, row.to) != ends for row in self._builder.records["inside"]):
            self._builder.append("inside", values, origin)

    def write(self) -> None:
        """Hand every row over to the builder, without the slots of shorthand."""
        for row in self._components.values():
            self._append(row, frozenset(("part",)))
        shared = self._shared_cavities()
        for plug in self.plugs.values():
            self._append(Row("connector", plug.values, plug.origin), CONNECTOR_SHORTHAND)
            for row in (row for rows in plug.pins.values() for row in rows):
                if plug.names_terminals:
                    cavity = row.values["cavity"]
                    alone = (plug.values.get("component"), cavity) not in shared
                    row.values.setdefault("terminal", cavity if alone else f"{plug.id}.{cavity}")
                self._append(row, frozenset())

    def _shared_cavities(self) -> set[tuple[Any, str]]:
        """Part and cavity that two of its plugs have: those are two terminals, whatever they are called."""
        seen: set[tuple[Any, str]] = set()
        shared: set[tuple[Any, str]] = set()
        for plug in self.plugs.values():
            own = {(plug.values.get("component"), cavity) for cavity in plug.pins if plug.names_terminals}
            shared |= own & seen
            seen |= own
        return shared

    def _append(self, row: Row, dropped: frozenset[str]) -> None:
        values = {slot: value for slot, value in row.values.items() if slot not in dropped}
        self._builder.append(row.sort, values, row.origin)

    def _written_pins(self) -> Mapping[str, list[Pin]]:
        if self._pins_of is None:
            self._pins_of = defaultdict(list)
            for pin in self._builder.records["pin"]:
                if pin.connector is not None:
                    self._pins_of[pin.connector].append(pin)
        return self._pins_of


def only(values: Mapping[str, Any], slots: Iterable[str]) -> Values:
    """Those of the slots that say something."""
    return {slot: values[slot] for slot in slots if values.get(slot) not in (None, ())}


def values_of(record: Component | Connector | Pin) -> Values:
    """A record's slots that say something, as they were before it was made."""
    values = {slot: getattr(record, slot) for slot in own_slots(type(record))}
    values |= {slot: getattr(record.common, slot) for slot in _COMMON_SLOTS}
    return {slot: value for slot, value in values.items() if value not in (None, ())}


def _plug(short: Short) -> Plug:
    plug = Plug(dict(short.row.values), short.row.origin)
    for row in short.pins:
        plug.pins.setdefault(row.values["cavity"], []).append(row)
    return plug
