"""Rules that hold between rows: ids, references, mates, and wires written twice.

Everything here is an input fault. Sound netlists with doubtful wiring are not
this module's business; they give findings.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from harnesscheck.fields import KEY_POSITIONS
from harnesscheck.model.records import Connector, Netlist, Pin
from harnesscheck.read.conditions import can_meet
from harnesscheck.read.faults import Faults
from harnesscheck.read.names import close_to
from harnesscheck.read.pool import WIRE_SLOTS, first_difference, side_by_side
from harnesscheck.read.shown import field_name, shown

_FOR_OUTPUT = {"output-high": "supply", "output-low": "ground"}  # the rail a module's output joins


def check(netlist: Netlist, faults: Faults) -> None:
    """Add every broken rule of the netlist to ``faults``."""
    _check_ids(netlist, faults)
    _check_owners(netlist, faults)
    _check_mates(netlist, faults)
    _check_ends(netlist, faults)
    _check_wire_rows(netlist, faults)
    _check_twice_written(netlist, faults)
    _check_components(netlist, faults)


def _check_ids(netlist: Netlist, faults: Faults) -> None:
    wired: tuple[Any, ...] = (*netlist.connectors, *netlist.components, *netlist.splices, *netlist.grounds)
    insides = [row for row in netlist.insides if row.id is not None]
    spaces: Sequence[tuple[str, Sequence[Any]]] = (
        ("connector, component, splice or ground", wired),
        ("harness", netlist.harnesses),
        ("circuit", netlist.circuits),
        ("option", netlist.options),
        ("inside row", insides),
        ("fuse of the lid", netlist.lid),
    )
    for what, rows in spaces:
        first: dict[str, Any] = {}
        for row in rows:
            other = first.setdefault(row.id, row)
            if other is not row:
                faults.add(row.place, row.id, f"id: one that no other {what} has", other.place)


class _KnownIds:
    """The ids a reference may name."""

    def __init__(self, what: str, rows: Iterable[Any]) -> None:
        self.what = what
        self.ids = {row.id: row for row in rows}

    def expected(self, text: str) -> str:
        """What should have stood there, with what was probably meant."""
        return f"the id of a {self.what}{close_to(text, self.ids)}"


def _check_owners(netlist: Netlist, faults: Faults) -> None:
    harnesses = _KnownIds("harness", netlist.harnesses)
    components = _KnownIds("component", netlist.components)
    both = _KnownIds("harness or component", (*netlist.harnesses, *netlist.components))
    references: Sequence[tuple[Sequence[Any], str, str, _KnownIds]] = (
        (netlist.connectors, "harness", "harness", harnesses),
        (netlist.splices, "harness", "harness", harnesses),
        (netlist.wires, "harness", "harness", harnesses),
        (netlist.components, "with_", "with", harnesses),
        (netlist.connectors, "component", "component", components),
        (netlist.pins, "component", "component", components),
        (netlist.insides, "component", "component", components),
    )
    for rows, slot, name, known in references:
        for row in rows:
            text = getattr(row, slot)
            if text is not None and text not in known.ids:
                faults.add(row.place, text, f"{name}: {known.expected(text)}")
    holders: Sequence[Any] = (*netlist.harnesses, *netlist.components)
    for one in holders:
        for text in one.after:
            if text not in both.ids or text == one.id:
                faults.add(one.place, text, f"after: {both.expected(text)}, not itself")


def _check_mates(netlist: Netlist, faults: Faults) -> None:
    """A connector plugs into one other, whichever of the two says so."""
    known = _KnownIds("connector", netlist.connectors)
    taken: dict[str, list[tuple[Connector, str]]] = defaultdict(list)
    for row in netlist.connectors:
        if row.mates is None:
            continue
        if row.mates == row.id or row.mates not in known.ids:
            faults.add(row.place, row.mates, f"mates: {known.expected(row.mates)}, not itself")
            continue
        for one, other in ((row.id, row.mates), (row.mates, row.id)):
            for earlier, partner in taken[one]:
                if partner != other and can_meet(row.common, earlier.common):
                    text = f"{row.id} mates {row.mates}"
                    expected = f"mates: a connector that is free ({one} mates {partner})"
                    faults.add(row.place, text, expected, earlier.place)
            taken[one].append((row, other))


class _Cavities:
    """Which cavities each connector has, told fast."""

    def __init__(self, connectors: Sequence[Connector]) -> None:
        self.rows = {row.id: row for row in connectors}
        lists = {row.cavities: frozenset(row.cavities) for row in connectors if row.cavities is not None}
        self.names = {row.id: lists[row.cavities] if row.cavities is not None else None for row in connectors}

    def lacks(self, connector: str, cavity: str) -> bool:
        """Whether the connector is known not to have that cavity."""
        names = self.names[connector]
        return names is not None and cavity not in names

    def expected(self, connector: str) -> str:
        """The cavities there are, in words."""
        names = self.rows[connector].cavities or ()
        return f"one of the {len(names)} cavities of {connector} ({names[0]} to {names[-1]})"


def _check_ends(netlist: Netlist, faults: Faults) -> None:
    """Every pin sits in a cavity there is, and its wire ends somewhere in its own harness."""
    cavities = _Cavities(netlist.connectors)
    harness_of: dict[str, str | None] = {row.id: row.harness for row in netlist.connectors}
    points: dict[str, str | None] = {row.id: row.harness for row in netlist.splices}
    points |= {row.id: None for row in netlist.grounds}
    ends = _KnownIds("splice or ground point", (*netlist.splices, *netlist.grounds))
    connectors = _KnownIds("connector", netlist.connectors)
    for pin in netlist.pins:
        mine = None
        if pin.connector is not None and pin.connector not in harness_of:
            faults.add(pin.place, pin.connector, f"connector: {connectors.expected(pin.connector)}")
            continue
        if pin.connector is not None:
            mine = harness_of[pin.connector]
            if cavities.lacks(pin.connector, pin.cavity or ""):
                faults.add(pin.place, pin.cavity or "", f"cavity: {cavities.expected(pin.connector)}")
        if pin.to is None:
            continue
        owner, colon, cavity = pin.to.partition(":")
        if colon and owner not in harness_of:
            faults.add(pin.place, pin.to, f"to: {connectors.expected(owner)} before the colon")
            continue
        if not colon and owner not in points:
            faults.add(pin.place, pin.to, f"to: {ends.expected(owner)}, or a cavity as C7:3")
            continue
        theirs = harness_of[owner] if colon else points[owner]
        if colon and cavities.lacks(owner, cavity):
            faults.add(pin.place, pin.to, f"to: {cavities.expected(owner)}")
        elif colon and owner == pin.connector and cavity == pin.cavity:
            faults.add(pin.place, pin.to, "to: another place than the wire starts from")
        if mine is not None and theirs is not None and mine != theirs:
            faults.add(pin.place, pin.to, f"to: an end in the same harness {mine} ({owner} is in {theirs})")


def _check_wire_rows(netlist: Netlist, faults: Faults) -> None:
    """A wire row joins two splices or ground points of one harness."""
    points = _KnownIds("splice or ground point", (*netlist.splices, *netlist.grounds))
    harness_of = {row.id: row.harness for row in netlist.splices}
    for wire in netlist.wires:
        for name, end in (("from", wire.from_), ("to", wire.to)):
            if end not in points.ids:
                expected = f"{name}: {points.expected(end)}; a wire that ends in a cavity is written as its pin"
                faults.add(wire.place, end, expected)
            elif wire.harness is not None and harness_of.get(end) not in (None, wire.harness):
                expected = f"{name}: an end in the same harness {wire.harness} ({end} is in {harness_of[end]})"
                faults.add(wire.place, end, expected)
        if wire.from_ == wire.to:
            faults.add(wire.place, wire.to, "to: another place than the wire starts from")


def _check_twice_written(netlist: Netlist, faults: Faults) -> None:
    """What both ends of a wire say of it agrees."""
    coming: dict[str, dict[str, list[tuple[int, Pin]]]] = defaultdict(lambda: defaultdict(list))
    for number, pin in enumerate(netlist.pins):
        if pin.to is not None and pin.connector is not None:
            owner, colon, cavity = pin.to.partition(":")
            if colon:
                coming[owner][cavity].append((number, pin))
    for number, pin in enumerate(netlist.pins):
        at_connector = coming.get(pin.connector or "")
        wires = at_connector.get(pin.cavity or "") if at_connector is not None else None
        if wires is None:
            continue
        if pin.to is None:
            _compare_ends(pin, [one for _, one in wires], faults)
        elif ":" in pin.to:
            earlier = [one for at, one in wires if at < number and pin.to == f"{one.connector}:{one.cavity}"]
            _compare_ends(pin, [one for one in earlier if not side_by_side(one, pin)], faults)


def _compare_ends(pin: Pin, wires: Sequence[Pin], faults: Faults) -> None:
    """A row must agree with one of the wires that come to its cavity from elsewhere."""
    wires = [one for one in wires if one is not pin and can_meet(one.common, pin.common)]
    differences = [(one, first_difference(one, pin, WIRE_SLOTS)) for one in wires]
    if not differences or any(slot is None for _, slot in differences):
        return
    other, slot = differences[0]
    name = field_name(str(slot))
    faults.add(
        pin.place,
        f"{name}={shown(getattr(pin, str(slot)))}",
        f"{name}: what the wire's other end says ({shown(getattr(other, str(slot)))})",
        other.place,
    )


def _check_components(netlist: Netlist, faults: Faults) -> None:
    owner_of = {row.id: row.component for row in netlist.connectors}
    pins_of: dict[str, list[Pin]] = defaultdict(list)
    for pin in netlist.pins:
        owner = pin.component if pin.connector is None else owner_of.get(pin.connector)
        if owner is not None and (pin.terminal is not None or pin.role is not None):
            pins_of[owner].append(pin)
    for row in netlist.components:
        if row.key and row.kind != "switch":
            faults.add(row.place, f"kind={row.kind or ''}", "kind: switch, where key=yes marks the ignition switch")
        _check_via(pins_of.get(row.id, ()), faults)
    with_key = {row.id for row in netlist.components if row.key}
    for inside in netlist.insides:
        unknown = [word for word in inside.when if word not in KEY_POSITIONS]
        if unknown and inside.component in with_key:
            faults.add(inside.place, " ".join(unknown), "when: positions of the key: " + ", ".join(KEY_POSITIONS))


def _check_via(pins: Sequence[Pin], faults: Faults) -> None:
    """An output says which rail it switches where there are several."""
    terminals = {pin.terminal for pin in pins}
    rails: dict[str, list[str]] = {
        role: list(dict.fromkeys(pin.terminal or pin.cavity or "" for pin in pins if pin.role == role))
        for role in _FOR_OUTPUT.values()
    }
    for pin in pins:
        if pin.via is not None and pin.via not in terminals:
            names = ", ".join(sorted(name for name in terminals if name is not None))
            faults.add(pin.place, pin.via, f"via: a terminal of the same component ({names})")
        role = _FOR_OUTPUT.get(pin.role or "")
        if role is not None and pin.via is None and len(rails[role]) > 1:
            names = ", ".join(rails[role])
            faults.add(pin.place, f"role={pin.role}", f"via: which {role} it joins, for there are several ({names})")
