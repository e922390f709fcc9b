"""What lets current pass inside components, as edges between pieces.

An element is closed for *sure* in some key positions and *maybe* (a control
could close it) in more; both are four-bit masks over ``KEY_POSITIONS``. Loads
are no elements: a feed that went through a lamp is no feed.

Relay terminals follow plug-in relay practice (ISO 7588): 30 common, 87 make,
87a break; see ``harnesscheck.trade.terminals`` for where DIN 72552 differs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from harnesscheck.fields import KEY_POSITIONS
from harnesscheck.model.records import Component, Inside
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.index import FUSES as FUSES
from harnesscheck.network.graph.index import Index

OFF, ACCESSORY, RUN, START = (1 << bit for bit in range(4))
ALWAYS = OFF | ACCESSORY | RUN | START
NEVER = 0
_BIT = dict(zip(KEY_POSITIONS, (OFF, ACCESSORY, RUN, START), strict=True))

LOADS = frozenset({"lamp", "motor", "heater", "solenoid", "sounder"})
MAKE = (("30", "87"), ("30", "87b"), ("88", "88a"))
BREAK = (("30", "87a"),)


@dataclass(frozen=True, slots=True)
class Element:
    """One passable joint inside a component, between two pieces.

    ``sort``: joint | fuse | contact | make | break | resistor | diode. A diode
    passes from ``a`` to ``b`` only. ``name`` is what a person calls it.
    """

    sort: str
    component: str
    name: str
    a: int
    b: int
    sure: int
    maybe: int
    rating_a: float | None = None


def key_mask(words: tuple[str, ...]) -> int:
    """The key positions among the words of a ``when``, as a mask."""
    mask = NEVER
    for word in words:
        mask |= _BIT.get(word, NEVER)
    return mask


def has_load(row: Inside) -> bool:
    """Whether a row inside a component is a load of its own."""
    return row.load is not None or row.amps is not None or row.watts is not None


def _inside_element(row: Inside, component: Component, a: int, b: int) -> Element | None:
    if has_load(row):
        return None
    sure = maybe = ALWAYS
    if row.when:
        sure = maybe = key_mask(row.when) if component.key else NEVER
        if not component.key:
            maybe = ALWAYS
    name = row.id or component.id
    if row.fuse is not None:  # one of many in a box: without a name of its own it is known by its two contacts
        name = row.id or f"{component.id}.{row.from_}-{row.to}"
        return Element("fuse", component.id, name, a, b, sure, maybe, row.fuse)
    if row.diode:
        return Element("diode", component.id, name, a, b, sure, maybe)
    if row.ohms is not None:
        return Element("resistor", component.id, name, a, b, NEVER, maybe)
    return Element("contact" if row.when else "joint", component.id, name, a, b, sure, maybe)


def _terminals(index: Index) -> dict[str, dict[str, int]]:
    found: dict[str, dict[str, int]] = {}
    for (component, terminal), node in index.terminal.items():
        found.setdefault(component, {})[terminal] = index.piece_of[node]
    return found


def _built_in(component: Component, at: dict[str, int]) -> Iterator[Element]:
    """Fuses, relays, diodes and resistors need no rows of their own."""
    kind = component.kind
    if kind in FUSES and len(at) == 2:
        a, b = at.values()
        yield Element("fuse", component.id, component.id, a, b, ALWAYS, ALWAYS, component.rating)
    elif kind == "diode" and "A" in at and "K" in at:
        yield Element("diode", component.id, component.id, at["A"], at["K"], ALWAYS, ALWAYS)
    elif kind == "resistor" and len(at) == 2:
        a, b = at.values()
        yield Element("resistor", component.id, component.id, a, b, NEVER, ALWAYS)
    elif kind == "relay":
        for sort, pairs in (("make", MAKE), ("break", BREAK)):
            for common, other in pairs:
                if common in at and other in at:
                    yield Element(sort, component.id, component.id, at[common], at[other], NEVER, ALWAYS)


def elements_of(vehicle: Vehicle, index: Index) -> tuple[Element, ...]:
    """Every element of the car, relay contacts still undecided."""
    found: list[Element] = []
    at = _terminals(index)
    for component in vehicle.netlist.components:
        pieces = at.get(component.id, {})
        rows = vehicle.insides_of.get(component.id, ())
        for row in rows:
            element = _inside_element(row, component, pieces[row.from_], pieces[row.to])
            if element is not None:
                found.append(element)
        if not (rows and component.kind in FUSES):
            found.extend(_built_in(component, pieces))
    return tuple(element for element in found if element.a != element.b)


@dataclass(frozen=True, slots=True)
class CoilElement:
    """The two ends of a relay's coil, as pieces."""

    component: str
    a: int
    b: int


def coils_of(vehicle: Vehicle, index: Index) -> tuple[CoilElement, ...]:
    """The coils of all relays with both coil terminals (85, 86) in the file."""
    coils = []
    for component in vehicle.netlist.components:
        if component.kind == "relay":
            a = index.terminal.get((component.id, "86"))
            b = index.terminal.get((component.id, "85"))
            if a is not None and b is not None:
                coils.append(CoilElement(component.id, index.piece_of[a], index.piece_of[b]))
    return tuple(coils)


def with_relays(elements: tuple[Element, ...], sure: dict[str, int], maybe: dict[str, int]) -> tuple[Element, ...]:
    """The elements with every relay contact set from when its coil is (sure, maybe) energised.

    A coil whose ends are not both documented may do anything.
    """

    def settled(element: Element) -> Element:
        on, could = sure.get(element.component, NEVER), maybe.get(element.component, ALWAYS)
        if element.sort == "make":
            return replace(element, sure=on, maybe=could)
        if element.sort == "break":
            return replace(element, sure=ALWAYS & ~could, maybe=ALWAYS & ~on)
        return element

    return tuple(settled(element) for element in elements)
