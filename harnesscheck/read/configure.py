"""One version of a car out of a netlist: the only place that drops rows.

A row is there when the vehicle has all of its ``option`` and none of its
``without``, and when its build dates share a month with the vehicle's. One that
covers only a part of the vehicle's dates is kept as ``partial``.

What belongs to a dropped row goes with it: a component's connectors, a
connector's pins, a harness's connectors, splices and wires. What only points
there stays: a ``to`` becomes a far end nobody wrote, and a mate is not known.
Two that have lost an end go: a ``<wire>``, since a row of its own has nowhere
else to be, and a wire that shares its contact with another that is still there.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from harnesscheck.model.records import TABLE_OF, Common, Netlist, Option, Pin
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.read.conditions import Months, covers, is_there, overlap
from harnesscheck.read.families import families_of, with_families
from harnesscheck.read.pool import WIRE_SLOTS, filled, pool_pins, side_by_side

Tables = dict[str, list[Any]]  # the slots of ``Netlist`` that hold rows

_CONTACT_SLOTS = ("contact", "sealed", "seal", "part_number")  # what a pin says of its cavity rather than of its wire
_NOT_AT_THE_OTHER_END = ("length", "ohms")  # a wire has these once, not at each end


def configure(netlist: Netlist, options: Iterable[str] | None = None, months: Months | None = None) -> Vehicle:
    """The vehicle with these options, built in these months; by default what the netlist's own rows say.

    Months are ``2013-08``, first and last; None leaves that side open.
    """
    header = netlist.header
    own = (header.common.built_from, header.common.built_to)
    chosen = options_of(netlist) if options is None else frozenset(options)
    has = with_families(chosen, netlist.options)
    tables = {slot: _kept(getattr(netlist, slot), has, months or own) for slot in TABLE_OF.values()}
    tables["options"] = [row for row in tables["options"] if row.id in chosen]
    _drop_owned(tables)
    tables["pins"] = pool_pins(tables["pins"], _both_stay, settled=True)
    _clear_pointers(netlist, tables)
    tables["pins"] = join_ends(tables["pins"])
    if options is not None:
        written = {row.id: row for row in netlist.options}
        tables["options"] = [_fitted(written.get(name, Option(id=name))) for name in sorted(chosen)]
    if months is not None:
        header = replace(header, common=replace(header.common, built_from=months[0], built_to=months[1]))
    kept = {slot: tuple(rows) for slot, rows in tables.items()}
    return Vehicle(Netlist(header=header, digest=netlist.digest, **kept))


def options_of(netlist: Netlist, more: Iterable[str] = (), without: Iterable[str] = ()) -> frozenset[str]:
    """The options that a netlist says its vehicle has, with more of them instead of their siblings, and without some.

    What is without a family is without all its options.
    """
    families, more = families_of(netlist.options), frozenset(more)
    own = frozenset(row.id for row in netlist.options if row.fitted is not False)
    for members in families.values():
        own = own if members.isdisjoint(more) else own - members
    return (own | more).difference(*(families.get(name, (name,)) for name in without))


def _fitted(row: Option) -> Option:
    return row if row.fitted is not False else replace(row, fitted=None)


def _both_stay(later: Pin, earlier: Pin, slot: str) -> None:
    """Rows that disagree were a fault when the netlist was read; a netlist made otherwise keeps both."""


def _kept(rows: Iterable[Any], chosen: frozenset[str], months: Months) -> list[Any]:
    """The rows that are there, those that cover a part of the months marked."""
    partial: dict[Common, Common] = {}
    kept = []
    for row in rows:
        common = row.common
        if not is_there(common, chosen):
            continue
        span = (common.built_from, common.built_to)
        if not overlap(span, months):
            continue
        if not covers(span, months):
            row = replace(row, common=partial.setdefault(common, replace(common, partial=True)))
        kept.append(row)
    return kept


def _drop_owned(tables: Tables) -> None:
    """Drop what belongs to something that is not there."""
    harnesses, components = _ids(tables["harnesses"]), _ids(tables["components"])
    for slot in ("connectors", "splices", "wires"):
        tables[slot] = [row for row in tables[slot] if row.harness is None or row.harness in harnesses]
    for slot in ("connectors", "pins", "insides"):
        tables[slot] = [row for row in tables[slot] if row.component is None or row.component in components]
    connectors = _ids(tables["connectors"])
    tables["pins"] = [row for row in tables["pins"] if row.connector is None or row.connector in connectors]
    points = _ids(tables["splices"]) | _ids(tables["grounds"])
    tables["wires"] = [row for row in tables["wires"] if row.from_ in points and row.to in points]


def _ids(rows: Iterable[Any]) -> frozenset[str]:
    return frozenset(row.id for row in rows)


def _clear_pointers(netlist: Netlist, tables: Tables) -> None:
    """Take away what points to something that was dropped."""
    sorts = ("harnesses", "components", "connectors", "splices", "grounds")
    gone = frozenset().union(*(_ids(getattr(netlist, slot)) - _ids(tables[slot]) for slot in sorts))
    if not gone:
        return
    tables["pins"] = _without_ends(tables["pins"], gone)
    tables["connectors"] = [replace(row, mates=None) if row.mates in gone else row for row in tables["connectors"]]
    tables["components"] = [replace(row, with_=None) if row.with_ in gone else row for row in tables["components"]]
    for slot in ("harnesses", "components"):
        tables[slot] = [_without(row, gone) for row in tables[slot]]


def _without(row: Any, gone: frozenset[str]) -> Any:
    left = tuple(name for name in row.after if name not in gone)
    return row if len(left) == len(row.after) else replace(row, after=left)


def _without_ends(pins: list[Pin], gone: frozenset[str]) -> list[Pin]:
    """The pins without ends in something dropped; a contact that holds another wire needs no row for a lost one."""
    lost = [row.to is not None and row.to.partition(":")[0] in gone for row in pins]
    kept = {_spot(row) for row, is_lost in zip(pins, lost, strict=True) if not is_lost}
    return [
        replace(row, to=None) if is_lost else row
        for row, is_lost in zip(pins, lost, strict=True)
        if not is_lost or _spot(row) not in kept
    ]


def _spot(pin: Pin) -> tuple[str | None, str | None, str | None]:
    """Where a pin is: a cavity of a connector, or a terminal of a component."""
    if pin.connector is not None:
        return (pin.connector, None, pin.cavity)
    return (None, pin.component, pin.terminal)


def join_ends(pins: list[Pin]) -> list[Pin]:
    """A wire written at both ends, once: the first row keeps its ``to``, and both know what either said.

    A contact that holds another wire as well needs no row for the second end.
    """
    ends = {
        (pin.connector, pin.cavity, pin.to): number
        for number, pin in enumerate(pins)
        if pin.connector is not None and pin.to is not None and ":" in pin.to
    }
    both = []
    for (connector, cavity, to), number in ends.items():
        owner, _, name = (to or "").partition(":")
        other = ends.get((owner, name, f"{connector}:{cavity}"))
        if other is not None and number < other and not side_by_side(pins[number], pins[other]):
            both.append((number, other))
    return _joined(pins, both) if both else pins


def _joined(pins: list[Pin], both: list[tuple[int, int]]) -> list[Pin]:
    rows_at: dict[tuple[str | None, str | None, str | None], list[int]] = defaultdict(list)
    for number, pin in enumerate(pins):
        rows_at[_spot(pin)].append(number)
    joined: list[Pin | None] = list(pins)
    for number, other in both:
        beside = [one for one in rows_at[_spot(pins[other])] if one != other and joined[one] is not None]
        joined[number] = filled(joined[number] or pins[number], pins[other], WIRE_SLOTS)
        joined[other] = None if beside else _far_end(pins[other], pins[number])
        for sibling in beside[:1]:
            joined[sibling] = filled(joined[sibling] or pins[sibling], pins[other], _CONTACT_SLOTS)
    return [pin for pin in joined if pin is not None]


def _far_end(there: Pin, here: Pin) -> Pin:
    """The row of a cavity in which a wire ends that another row has."""
    shared = [slot for slot in WIRE_SLOTS if slot not in _NOT_AT_THE_OTHER_END]
    return filled(replace(there, to=None, length=None, ohms=None), here, shared)
