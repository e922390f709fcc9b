"""Turns typed rows into records, in whatever form they were written.

``Builder`` takes rows one at a time (a connector before its pins) and keeps
only records, so that a large file is never held twice. Rows whose shorthand
must wait until everything is known are kept aside for ``expand``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from harnesscheck.fields import COMMON, INSIDES, ROW_NAMES, fields_of
from harnesscheck.model.records import NO_COMMON, RECORD_OF, TABLE_OF, Common, Header, Netlist
from harnesscheck.read.conditions import OR
from harnesscheck.read.faults import Faults
from harnesscheck.read.limits import Limits
from harnesscheck.read.make import maker
from harnesscheck.read.values import Origin, cavity_names, range_ends, range_length

Values = dict[str, Any]
Take = Callable[[str, Values, Origin], None]  # takes one typed row
Begin = Callable[[Values, Origin], Take]  # takes the header, and answers with what takes the rest

IF_THERE = "if-there"  # of drop: a cavity that is said to be empty, whether or not the base has a wire in it
CONNECTOR_SHORTHAND = frozenset(("on", "kind", "mirror", "like", "part", *INSIDES))
_COMMON_SLOTS = frozenset(name.replace("-", "_") for name in COMMON)
_REQUIRED = {sort: tuple(field for field in fields_of(sort) if sort in field.required_on) for sort in ROW_NAMES}


@dataclass(slots=True)
class Row:
    """One typed row and where it stands."""

    sort: str
    values: Values
    origin: Origin


def implied_half(plug: Mapping[str, Any]) -> str | None:
    """What the half is called that a plug with ``on`` implies."""
    if plug.get("on") is None:
        return None
    mate: str | None = plug.get("mates")
    return mate or f"{plug['on']}.{plug['id']}"


@dataclass(slots=True)
class Short:
    """A connector written with shorthand: its own row and its own pins, waiting for the rest of the file."""

    row: Row
    pins: list[Row] = field(default_factory=list)


class Builder:
    """Gathers the records of one netlist."""

    def __init__(self, faults: Faults, limits: Limits) -> None:
        self.faults = faults
        self.records: dict[str, list[Any]] = {sort: [] for sort in ROW_NAMES}
        self.short_connectors: dict[str, Short] = {}
        self.short_components: dict[str, Row] = {}
        self._limits = limits
        self._left = limits.max_rows
        self._listed: dict[str, tuple[str, ...]] = {}  # the cavities of each connector that lists them
        self._makers = {sort: maker(record) for sort, record in RECORD_OF.items()}
        self._commons: dict[Common, Common] = {}

    def add(self, sort: str, values: Values, origin: Origin) -> None:
        """Take one row; connectors must come before their pins."""
        self._left -= 1
        if self._left < 0:
            most = f"at most {self._limits.max_rows} rows (a limit, can be raised)"
            self.faults.stop(origin.place(), "one more row", most)
        if "drop" in values:
            del values["drop"]
            self.faults.add(origin.place("drop"), "drop", "drop: only in a netlist that names its base")
        if sort == "pin":
            self._add_pin(values, origin)
        elif self._has_required(sort, values, origin):
            if sort == "connector":
                self._add_connector(values, origin)
            elif sort == "component" and "part" in values:
                self.short_components[values["id"]] = Row(sort, values, origin)
            else:
                self.append(sort, values, origin)

    def append(self, sort: str, values: Values, origin: Origin) -> None:
        """Make the record of a row in which nothing is shorthand any more."""
        if not _COMMON_SLOTS.isdisjoint(values):
            values["common"] = self._common(values, origin)
        values["file"] = origin.file
        values["line"] = origin.line
        values["column"] = origin.column
        self.records[sort].append(self._makers[sort](**values))

    def netlist(self) -> Netlist:
        """Everything gathered; the checks have their own module."""
        tables: dict[str, Any] = {slot: tuple(self.records[sort]) for sort, slot in TABLE_OF.items()}
        header: list[Header] = self.records["netlist"]
        return Netlist(header=header[0] if header else Header(), **tables)

    def _add_pin(self, values: Values, origin: Origin) -> None:
        connector = values.get("connector")
        if connector is None:
            self._add_loose_pin(values, origin)
        elif values.get("component") is not None:
            expected = "the connector it is in, or else the component it is on, not both"
            self.faults.add(origin.place("component"), values["component"], expected)
        elif values.get("cavity") is None:
            self._missing("cavity", values, origin)
        elif "-" in values["cavity"] and len(names := self._cavity_names(connector, values["cavity"])) > 1:
            for name, to in zip(names, self._ends(values.get("to"), len(names), origin), strict=True):
                self._add_pin(values | {"cavity": name} | ({"to": to} if "to" in values else {}), origin)
        elif connector in self.short_connectors:
            self.short_connectors[connector].pins.append(Row("pin", values, origin))
        else:
            self.append("pin", values, origin)

    def _cavity_names(self, connector: str, cavity: str) -> tuple[str, ...]:
        if range_length(cavity) > self._limits.max_cavities:
            return (cavity,)
        return cavity_names(cavity, self._listed.get(connector, ()))

    def _ends(self, to: str | None, count: int, origin: Origin) -> list[str | None]:
        """Where each wire of a range goes: all to one point, or one by one to a range as long (``C7:5-8``)."""
        ends = range_ends(to, count, self._listed.get((to or "").partition(":")[0], ()))
        if ends is None:
            self.faults.add(origin.place("to"), str(to), f"to: as many cavities as there are in this row ({count})")
        return ends or [None] * count

    def _add_loose_pin(self, values: Values, origin: Origin) -> None:
        """A terminal that is wired or grounded without a plug."""
        if values.get("component") is None:
            self._missing("connector", values, origin)
        elif values.get("terminal") is None:
            self._missing("terminal", values, origin)
        elif "cavity" in values:
            expected = "cavity: none, for the terminal is in no connector"
            self.faults.add(origin.place("cavity"), str(values["cavity"]), expected)
        else:
            self.append("pin", values, origin)

    def _missing(self, slot: str, values: Values, origin: Origin) -> None:
        """Report a name the row needs; one that is there but could not be read is a fault already."""
        if slot not in values:
            self.faults.add(origin.place(), f"a pin without {slot}", f"its {slot}")

    def _has_required(self, sort: str, values: Values, origin: Origin) -> bool:
        for one in _REQUIRED[sort]:
            if one.slot not in values:
                self.faults.add(origin.place(), f"a {sort} row without {one.name}", f"{one.name}: {one.help}")
        return all(values.get(one.slot) is not None for one in _REQUIRED[sort])

    def _add_connector(self, values: Values, origin: Origin) -> None:
        """A connector belongs to a component or to a harness; ``harness="?"`` says that nobody knows."""
        if values.keys().isdisjoint(("component", "harness", "like")):
            expected = "a connector inside its component, or with harness= (? where it is not known)"
            self.faults.add(origin.place(), f"{values['id']} with neither component nor harness", expected)
        elif values.get("component") is not None and values.get("harness") is not None:
            expected = "a connector of a component or of a harness, not of both"
            read = f"{values['id']} of component {values['component']} and of harness {values['harness']}"
            self.faults.add(origin.place("harness"), read, expected)
            del values["harness"]
        if values.get("cavities"):
            self._listed.setdefault(values["id"], values["cavities"])
        of_part = values.get("component") in self.short_components
        if CONNECTOR_SHORTHAND.isdisjoint(values) and not of_part:
            self.append("connector", values, origin)
        elif values["id"] not in self.short_connectors:
            self.short_connectors[values["id"]] = Short(Row("connector", values, origin))
        else:
            first = self.short_connectors[values["id"]].row.origin
            expected = "id: one that no other connector, component, splice or ground has"
            self.faults.add(origin.place("id"), values["id"], expected, first.place("id"))

    def _common(self, values: Values, origin: Origin) -> Common:
        """What every row may hold, taken out of the row's own slots; equal ones are one object."""
        common = Common(**{slot: values.pop(slot) for slot in sorted(_COMMON_SLOTS & values.keys())})
        if common.option or common.without:
            self._check_options(common, origin)
        if common.built_from and common.built_to and common.built_from > common.built_to:
            expected = f"built-to: a month not before built-from ({common.built_from})"
            self.faults.add(origin.place("built-to"), common.built_to, expected)
        return self._commons.setdefault(common, common) if common != NO_COMMON else NO_COMMON

    def _check_options(self, common: Common, origin: Origin) -> None:
        names = [name for term in common.option for name in term.split(OR)]
        if both := sorted({*names} & {*common.without}):
            expected = "without: options that are not in option= as well"
            self.faults.add(origin.place("without"), " ".join(both), expected)
        if "" in names:
            self.faults.add(origin.place("option"), " ".join(common.option), f"option: a name on both sides of {OR}")
        if any(OR in name for name in common.without):
            expected = "without: names with white space between, none of which the vehicle has"
            self.faults.add(origin.place("without"), " ".join(common.without), expected)
