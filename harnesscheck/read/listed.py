"""A plug in one row: what its cavities hold, as lists in their order.

``cavities="3" colours="RD/BK, empty, BN" ends="S3, empty, G1"`` is three rows of
pins. Entries stand apart by commas, or by semicolons where one of them holds a
comma. What a manual writes for an empty cavity (``empty``, ``N/C``, ``-``) says
so; a blank is not known; `` + `` stands between two wires of one contact.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from harnesscheck.fields import LISTED
from harnesscheck.read.build import implied_half
from harnesscheck.read.faults import Faults
from harnesscheck.read.limits import Limits
from harnesscheck.read.pinrows import is_mark
from harnesscheck.read.values import Origin, Wrong, read_cavities
from harnesscheck.trade.parts import part

_FOR_ALL = ("sizes", "lengths")  # one entry may stand for every cavity
_OF_PART = ("terminals", "roles")  # of the part that a plug goes on
_WITH_DECIMALS = ("sizes", "lengths")
_TWO = " + "

Texts = dict[str, str]


@dataclass(frozen=True, slots=True)
class ListedPin:
    """A cavity's texts by field of a pin; ``empty``: no wire is in it; ``of_part``: of the contact it would meet."""

    texts: Texts
    empty: bool = False
    of_part: bool = False


def without_lists(texts: Mapping[str, str]) -> Texts:
    """The connector's own texts."""
    return {name: text for name, text in texts.items() if name not in LISTED}


def listed_pins(
    texts: Mapping[str, str], origin: Origin, faults: Faults, limits: Limits, decimal_comma: bool = False
) -> list[ListedPin]:
    """The pins that a connector's row lists; a list of another length than the plug is a fault."""
    lists = {
        name: entries_of(text, decimal_comma and name in _WITH_DECIMALS)
        for name, text in texts.items()
        if name in LISTED and text.strip(" ?")
    }
    for name, entries in lists.items():
        if len(texts[name]) > limits.max_text or len(entries) > limits.max_cavities:
            most = f"at most {limits.max_cavities} entries, {limits.max_text} characters"
            faults.add(origin.place(name), f"{len(entries)} entries", f"{name}: {most}")
            return []
    if not lists:
        return []
    names = _cavities(texts, max(map(len, lists.values())), limits)
    if names is None:
        return []  # a fault already, of the cavities
    sound = True
    for name, entries in lists.items():
        if len(entries) == 1 < len(names) and name in _FOR_ALL:
            lists[name] = entries * len(names)
        elif len(entries) != len(names):
            expected = (
                f"{name}: one for each of its {len(names)} cavities, commas between (empty: one with nothing in it)"
            )
            faults.add(origin.place(name), f"{len(entries)} in {texts[name]}", expected)
            sound = False
    if not sound:
        return []
    return [
        pin
        for number, cavity in enumerate(names)
        for pin in _pins(cavity, {name: entries[number] for name, entries in lists.items()}, origin, faults)
    ]


def connector_of(pin: ListedPin, connector: Mapping[str, Any]) -> str | None:
    """Which connector a listed pin is in: the plug whose row it is, or the half that it goes on."""
    own: str | None = connector.get("id")
    return (implied_half(connector) or own) if pin.of_part and own else own


def pin_origin(origin: Origin) -> Origin:
    """The place of a listed pin: that of its connector, with the lists' headings for its fields."""
    headers = origin.headers
    if headers is None:
        return origin
    return replace(origin, headers={field: headers.get(name, "") for name, field in LISTED.items()})


def entries_of(text: str, only_semicolons: bool = False) -> list[str]:
    """The entries of a list."""
    sign = ";" if ";" in text or only_semicolons else ","
    return [entry.strip() for entry in text.split(sign)]


def _cavities(texts: Mapping[str, str], longest: int, limits: Limits) -> tuple[str, ...] | None:
    """The cavities in their order: the row's own, else those of its part, else numbers; None where misread."""
    written = texts.get("cavities", "").strip()
    if written.strip("?"):
        read = read_cavities(written, limits.max_cavities)
        return None if isinstance(read, Wrong) else read
    shipped = part(texts.get("part", "").strip())
    if shipped is not None and len(shipped.connectors) == 1:
        return shipped.connectors[0].cavities
    return tuple(str(number) for number in range(1, longest + 1))


def _pins(cavity: str, entries: Mapping[str, str], origin: Origin, faults: Faults) -> list[ListedPin]:
    """A cavity's wires: one, or as many as its entries have between their plus signs."""
    of_wire = [name for name in entries if name not in (*_FOR_ALL, *_OF_PART)]
    if of_wire and all(says_empty(name, entries[name]) for name in of_wire):
        named = {LISTED[name]: entries[name] for name in _OF_PART if entries.get(name)}
        named = {field: text for field, text in named.items() if not says_empty(f"{field}s", text)}
        contact = [ListedPin({"cavity": cavity} | named, of_part=True)] if named else []
        return [ListedPin({"cavity": cavity}, empty=True), *contact]
    given = {name: entry for name, entry in entries.items() if entry and not says_empty(name, entry)}
    wires = {name: entry.split(_TWO) for name, entry in given.items()}
    count = max(map(len, wires.values()), default=1)
    for name, texts in wires.items():
        if len(texts) not in (1, count):
            expected = f"{name}: one for each of the {count} wires in cavity {cavity}, ' + ' between them"
            faults.add(origin.place(name), given[name], expected)
    return [
        ListedPin({"cavity": cavity} | {LISTED[name]: texts[n % len(texts)].strip() for name, texts in wires.items()})
        for n in range(count)
    ]


def says_empty(name: str, entry: str) -> bool:
    """Whether an entry says that nothing is there; the - of a battery or a motor is a terminal."""
    return is_mark(entry) and (name != "terminals" or entry.strip("-") != "")
