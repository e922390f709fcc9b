"""What a manual's pages say against what a person typed of the same plugs: neither is taken for the other.

A cell that the two give differently is not known any more in what was read, with both
places; what was typed is never changed. What only one of them has is listed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from harnesscheck.model.records import Netlist, Pin
from harnesscheck.read.pages.pinlist import ReadCell, ReadRow, names_of
from harnesscheck.read.pages.read import PagesRead
from harnesscheck.read.pool import same_value
from harnesscheck.read.shown import field_name, shown

_COMPARED = ("circuit", "colour", "size", "function", "to", "length", "terminal", "contact")
Contact = tuple[str, str]
Pins = Mapping[Contact, Sequence[Pin]]


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A cell that was typed as one thing and read as another: where, which field, both texts, both places."""

    connector: str
    cavity: str
    field: str
    typed: str
    typed_at: str
    read: str
    read_at: str


@dataclass(frozen=True, slots=True)
class Against:
    """What was read held against what was typed.

    ``only_read`` and ``only_typed`` are contacts with where they stand; ``other_plugs`` are read and not typed at all.
    """

    disagreements: tuple[Disagreement, ...] = ()
    only_read: tuple[tuple[str, str], ...] = ()
    only_typed: tuple[tuple[str, str], ...] = ()
    other_plugs: tuple[str, ...] = ()


def held_against(read: PagesRead, rows: Netlist, typed: Netlist) -> tuple[PagesRead, Against]:
    """What was read without what contradicts the typed car, and how the two differ.

    ``rows`` is what was read as a netlist. A plug that the typed car has no row of is not held against it.
    """
    mine, theirs = _by_contact(rows), _by_contact(typed)
    plugs = {connector for connector, _ in theirs}
    made: list[ReadRow] = []
    told: list[Disagreement] = []
    only_read: list[tuple[str, str]] = []
    for row in read.rows:
        found: list[Disagreement] = []
        for name in names_of(row) if row.connector in plugs else ():
            contact = (row.connector, name)
            if theirs.get(contact):
                found += _differing(row, name, mine.get(contact, ()), theirs[contact])
            elif not row.empty:
                only_read.append((f"{row.connector}:{name}", _where(row)))
        made.append(_without(row, found))
        told += found
    listed = {(row.connector, name) for row in read.rows for name in names_of(row)}
    read_plugs = list(dict.fromkeys(row.connector for row in read.rows))
    only_typed = [
        (f"{plug}:{name}", str(pins[0].place))
        for (plug, name), pins in theirs.items()
        if plug in read_plugs and (plug, name) not in listed
    ]
    others = tuple(plug for plug in read_plugs if plug not in plugs)
    against = Against(tuple(told), tuple(dict.fromkeys(only_read)), tuple(only_typed), others)
    return replace(read, rows=tuple(made)), against


def _by_contact(netlist: Netlist) -> dict[Contact, list[Pin]]:
    found: dict[Contact, list[Pin]] = defaultdict(list)
    for pin in netlist.pins:
        if pin.connector is not None and pin.cavity is not None:
            found[pin.connector, pin.cavity].append(pin)
    return found


def _where(row: ReadRow) -> str:
    return f"{row.source}, row {row.line}"


def _differing(row: ReadRow, cavity: str, mine: Sequence[Pin], theirs: Sequence[Pin]) -> Iterator[Disagreement]:
    """What differs between a row and the typed wire of its cavity that is most like it."""
    place = str(theirs[0].place)
    if row.empty:
        wire = next((shown(value) for one in ("circuit", "colour") if (value := getattr(theirs[0], one))), "a wire")
        yield Disagreement(
            row.connector, cavity, "function", wire, place, row.text("function") or "not used", _where(row)
        )
        return
    own = [pin for pin in mine if _is_of(pin, row)] or list(mine)
    pairs = [(pin, other, _slots(pin, other)) for pin in own for other in theirs]
    if not pairs:
        return
    pin, other, slots = min(pairs, key=lambda one: len(one[2]))
    for slot in slots:
        texts = (shown(getattr(other, slot)), shown(getattr(pin, slot)))
        yield Disagreement(row.connector, cavity, field_name(slot), texts[0], str(other.place), texts[1], _where(row))


def _is_of(pin: Pin, row: ReadRow) -> bool:
    """Whether a pin of the rows' netlist was made of this row, of several for one cavity."""
    options = " ".join(pin.common.option), " ".join(pin.common.without)
    return options == (row.text("option"), row.text("without"))


def _slots(pin: Pin, other: Pin) -> list[str]:
    """The fields that both give, and give differently; of a function case and blanks do not count."""
    found = []
    for slot in _COMPARED:
        one, two = getattr(pin, slot), getattr(other, slot)
        if isinstance(one, str) and isinstance(two, str) and slot == "function":
            one, two = " ".join(one.split()).casefold(), " ".join(two.split()).casefold()
        if one is not None and two is not None and not same_value(one, two):
            found.append(slot)
    return found


def _without(row: ReadRow, found: Sequence[Disagreement]) -> ReadRow:
    """The row with each cell that contradicts what was typed as one that is not known."""
    if not found:
        return row
    cells = {name: cell for name, cell in row.cells.items() if not row.empty or name in ("cavity", "option", "without")}
    for one in found:
        cell = cells.get(one.field, ReadCell("", one.read))
        cells[one.field] = replace(
            cell, text="", written=cell.written or one.read, why=f"{one.typed_at} says {one.typed}"
        )
    return replace(row, cells=cells, empty=False)
