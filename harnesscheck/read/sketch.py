"""Rows that shorthand is still filling: plugs with their pins, and components.

A row's slots are a plain mapping here. A slot that is there and holds None was
written ``?`` and is not filled by anything.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from harnesscheck.model.records import Common, Component, Connector, Pin
from harnesscheck.read.build import CONNECTOR_SHORTHAND, Builder, Row, Short, Values
from harnesscheck.read.pool import own_slots
from harnesscheck.read.values import Origin

CONDITIONS = ("option", "without", "built_from", "built_to")
_COMMON_SLOTS = tuple(slot for slot in Common.__dataclass_fields__ if slot not in ("partial", "apart"))


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
        """Fill in what the rows of a cavity do not say, or add the row where there is none.

        What is so under conditions only is a row of its own beside those that hold always.
        """
        when = conditions or {}
        rows = self.pins.setdefault(cavity, [])
        meant = [row for row in rows if not when or only(row.values, CONDITIONS) == when]
        for row in meant:
            row.values = given | row.values
        if not meant:
            said = {slot for row in rows if not only(row.values, CONDITIONS) for slot in row.values}
            left = {slot: value for slot, value in given.items() if slot not in said}
            rows.append(Row("pin", {"connector": self.id, "cavity": cavity} | left | when, self.origin))

    def terminals(self) -> dict[str, Any]:
        """The terminal behind each cavity that names one."""
        named = ((cavity, row.values.get("terminal")) for cavity, rows in self.pins.items() for row in rows)
        return {cavity: terminal for cavity, terminal in named if terminal is not None}

    def terminal(self, cavity: str) -> str:
        """The terminal behind a cavity; it is called as the cavity where no row is of it."""
        return str(self.terminals().get(cavity, cavity))

    def contact_names(self) -> set[Any]:
        """What its contacts are called; those nobody named, by their cavities where the plug names them so."""
        named = self.terminals()
        return {*named.values(), *(self.pins.keys() - named.keys() if self.names_terminals else ())}

    def name_terminals(self, taken: Container[Any]) -> None:
        """Call each terminal nobody named by its cavity, with the plug before it where that name is taken."""
        named = self.terminals()
        own = set(named.values())
        for cavity, rows in self.pins.items():
            plain = cavity if cavity not in own and cavity not in taken else f"{self.id}.{cavity}"
            for row in rows:
                row.values.setdefault("terminal", named.get(cavity, plain))


class Sketch:
    """The plugs and components shorthand touches, beside the records it only looks at."""

    def __init__(self, builder: Builder) -> None:
        self.faults = builder.faults
        self.plugs = {name: _plug(short) for name, short in builder.short_connectors.items()}
        self.connectors: dict[str, Connector] = {row.id: row for row in builder.records["connector"]}
        self._components = dict(builder.short_components)
        self._opened: set[str] = set()  # connectors that were records
        self._named_mates: dict[str, str] | None = None
        self.implied: set[str] = set()  # components nobody wrote a row for
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
        """A connector nobody wrote a row for, with the pins that were; one whose id is taken is told by the check."""
        plug = self.plugs[values["id"]] = Plug(values, origin)
        if plug.id not in self.connectors:
            self._take_pins(plug)
        return plug

    def _take_pins(self, plug: Plug) -> None:
        """Take the pins of a connector out of the records, open for filling."""
        self._opened.add(plug.id)
        for pin in self._written_pins().pop(plug.id, ()):
            row = Row("pin", values_of(pin), Origin(pin.file, pin.line, pin.column))
            plug.pins.setdefault(str(pin.cavity), []).append(row)

    def open_plug(self, name: str) -> Plug:
        """A connector that is there, open for filling."""
        if name not in self.plugs:
            record = self.connectors.pop(name)
            plug = Plug(values_of(record), Origin(record.file, record.line, record.column))
            self._take_pins(plug)
            self.plugs[name] = plug
        return self.plugs[name]

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

    def contents(self, connector: str) -> list[Values]:
        """What is known of each cavity in use: its own rows, else the row at the other end of its wire."""
        return [*self._own_rows(connector), *self.arrivals(connector)]

    def _own_rows(self, connector: str) -> list[Values]:
        if connector in self.plugs:
            return [row.values for rows in self.plugs[connector].pins.values() for row in rows]
        return [values_of(pin) for pin in self._written_pins().get(connector, ())]

    def arrivals(self, connector: str) -> list[Values]:
        """What is known of each cavity that has no row of its own, from the row at the other end of its wire."""
        own = {values["cavity"] for values in self._own_rows(connector)}
        return [_arriving(values) for values in self._coming(connector) if values["cavity"] not in own]

    def is_reached(self, connector: str, cavity: str) -> bool:
        """Whether a row elsewhere says that its wire ends in this cavity."""
        return any(values["cavity"] == cavity for values in self._coming(connector))

    def _coming(self, connector: str) -> Sequence[Values]:
        """The rows at the other ends of a connector's wires, each with the connector's own cavity."""
        if self._ends is None:
            self._ends = defaultdict(list)
            written = [values_of(pin) for pins in self._written_pins().values() for pin in pins]
            sketched = [row.values for plug in self.plugs.values() for rows in plug.pins.values() for row in rows]
            for values in (*written, *sketched):
                name, colon, cavity = str(values.get("to") or "").partition(":")
                if colon:
                    self._ends[name].append(values | {"cavity": cavity})
        return self._ends.get(connector, ())

    def mate(self, connector: str) -> str | None:
        """The other half of a connector, whichever of the two names it."""
        named = self.values(connector).get("mates")
        if named is not None:
            return str(named)
        if self._named_mates is None:  # told by the rows of the file; what is implied later names its mate itself
            written = ((row.mates, row.id) for row in reversed(self.connectors.values()))
            sketched = ((plug.values.get("mates"), name) for name, plug in reversed(self.plugs.items()))
            self._named_mates = {str(mate): name for mate, name in (*written, *sketched) if mate is not None}
        return self._named_mates.get(connector)

    def is_free_inside(self, name: str) -> bool:
        """Whether no row inside a component has that id yet."""
        return name not in self._inside_ids

    def add_inside(self, values: Values, origin: Origin) -> None:
        """A joint inside a component, unless the component's own rows join the same terminals."""
        ends = (values["component"], values["from_"], values["to"])
        if ends not in self._joints:
            self._joints.add(ends)
            self._inside_ids.add(values.get("id"))
            self._builder.append("inside", values, origin)

    @cached_property
    def _joints(self) -> set[Any]:
        return {(row.component, row.from_, row.to) for row in self._builder.records["inside"]}

    @cached_property
    def _inside_ids(self) -> set[Any]:
        return {row.id for row in self._builder.records["inside"]}

    def name_terminals(self) -> None:
        """Call every terminal that nobody named by its cavity."""
        used = self._names_in_use()
        for plug in self.plugs.values():
            if plug.names_terminals:
                plug.name_terminals(used[plug.values.get("component")] - Counter(plug.contact_names()))

    def terminals_of(self, component: str, role: str) -> list[str]:
        """The terminals of a component that have a role, once they are named."""
        plugs = [plug for plug in self.plugs.values() if plug.values.get("component") == component]
        rows = [row.values for plug in plugs for rows in plug.pins.values() for row in rows]
        sketched = [values.get("terminal") for values in rows if values.get("role") == role]
        owned = {row.id for row in self.connectors.values() if row.component == component}
        pins = [pin for pin in self._builder.records["pin"] if pin.component == component or pin.connector in owned]
        written = [pin.terminal for pin in pins if pin.role == role]
        return list(dict.fromkeys(str(name) for name in (*sketched, *written) if name is not None))

    def write(self) -> None:
        """Hand every row over to the builder, without the slots of shorthand."""
        for row in self._components.values():
            self._append(row, frozenset(("part",)))
        if self._opened:
            for sort, slot in (("connector", "id"), ("pin", "connector")):
                rows = self._builder.records[sort]
                self._builder.records[sort] = [row for row in rows if getattr(row, slot) not in self._opened]
        for plug in self.plugs.values():
            self._append(Row("connector", plug.values, plug.origin), CONNECTOR_SHORTHAND)
            for row in (row for rows in plug.pins.values() for row in rows):
                self._append(row, frozenset())

    def _names_in_use(self) -> dict[Any, Counter[Any]]:
        """What each part's contacts are called, by name or, where nobody named them, by cavity.

        Two contacts of two plugs are two terminals; only a name that somebody wrote twice makes them one.
        """
        used: dict[Any, Counter[Any]] = defaultdict(Counter)
        for plug in self.plugs.values():
            used[plug.values.get("component")].update(plug.contact_names())
        owners = {row.id: row.component for row in self.connectors.values()}
        for pin in self._builder.records["pin"]:
            if pin.terminal is not None:
                used[pin.component or owners.get(pin.connector)][pin.terminal] += 1
        return used

    def _append(self, row: Row, dropped: frozenset[str]) -> None:
        values = {slot: value for slot, value in row.values.items() if slot not in dropped}
        self._builder.append(row.sort, values, row.origin)

    def _written_pins(self) -> dict[str, list[Pin]]:
        if self._pins_of is None:
            self._pins_of = defaultdict(list)
            for pin in self._builder.records["pin"]:
                if pin.connector is not None:
                    self._pins_of[pin.connector].append(pin)
        return self._pins_of


_AT_THE_OTHER_END = ("connector", "to", "terminal", "role", "via", "contact", "sealed", "part_number", "length")


def _arriving(values: Values) -> Values:
    """What the row at one end of a wire says of its other end: of the wire, and of no contact."""
    return {slot: value for slot, value in values.items() if slot not in _AT_THE_OTHER_END}


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
