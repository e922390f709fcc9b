"""Shipped generic parts: relays, lamps, motors and the sockets that standards fix.

A part gives connectors, terminals, roles and what is joined inside. It gives no
rating, no colour and no wire: those are the car's.

A terminal is called by its DIN 72552 number where just one contact has that
number, a data line by its name, the others by their cavity: the separate
returns of a trailer socket must stay separate. Relays follow plug-in practice (ISO 7588), 30 common, 87 make, 87a
break. Contacts that may be wired either way round (a plain coil, a filament)
have no role.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from harnesscheck.trade.tables import number, rows


@dataclass(frozen=True, slots=True)
class PartPin:
    """One contact of a part; the role is None where either way round is right."""

    cavity: str
    terminal: str
    role: str | None
    function: str


@dataclass(frozen=True, slots=True)
class PartConnector:
    """One plug half of a part; ``suffix`` tells it from the part's others (``A``, ``B``)."""

    suffix: str
    cavities: tuple[str, ...]
    pins: tuple[PartPin, ...]


@dataclass(frozen=True, slots=True)
class PartInside:
    """What is joined inside a part between two terminals; a ``load`` is a consumer, not a joint."""

    from_: str
    to: str
    when: tuple[str, ...]
    diode: bool
    ohms: float | None
    load: str | None


@dataclass(frozen=True, slots=True)
class Part:
    """A generic part: its kind of component, its connectors, its insides, and where they are published."""

    name: str
    kind: str
    connectors: tuple[PartConnector, ...]
    insides: tuple[PartInside, ...]
    source: str


def part(name: str) -> Part | None:
    """The part of that name; None where none is shipped."""
    return _parts().get(name)


def part_names() -> tuple[str, ...]:
    """The names of all shipped parts."""
    return tuple(_parts())


@cache
def _parts() -> Mapping[str, Part]:
    return {
        row["part"]: Part(
            name=row["part"],
            kind=row["kind"],
            connectors=tuple(_connectors(row["part"])),
            insides=tuple(_insides(row["part"])),
            source=row["source"],
        )
        for row in rows("parts")
    }


def _connectors(name: str) -> Iterator[PartConnector]:
    pins: dict[str, list[PartPin]] = {}
    for row in rows("part_pins"):
        if row["part"] == name:
            pin = PartPin(row["cavity"], row["terminal"], row["role"] or None, row["function"])
            pins.setdefault(row["connector"], []).append(pin)
    for suffix, contacts in pins.items():
        yield PartConnector(suffix, tuple(pin.cavity for pin in contacts), tuple(contacts))


def _insides(name: str) -> Iterator[PartInside]:
    for row in rows("part_insides"):
        if row["part"] == name:
            yield PartInside(
                from_=row["from"],
                to=row["to"],
                when=tuple(row["when"].split()),
                diode=row["diode"] == "yes",
                ohms=number(row["ohms"]),
                load=row["load"] or None,
            )
