"""Puts together what several rows say of one thing.

The same cavity twice and agreeing is one row; two wires of one cavity differ
in their ``to``. ``pool_pins`` is used by the reader, where rows that disagree
are a fault, and by ``configure``, once options have decided which rows remain.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from harnesscheck.model.records import Common, Pin, Record
from harnesscheck.read.conditions import can_meet, same_conditions
from harnesscheck.trade.colours import Colour
from harnesscheck.trade.sizes import Size

R = TypeVar("R", bound=Record)
Clash = Callable[[Pin, Pin, str], None]  # the later row, the earlier, the slot they disagree in

ADDED_UP = ("note", "source", "photo", "was")  # two people's remarks are both kept
WIRE_SLOTS = (
    "circuit", "colour", "size", "length", "signal", "level", "bus", "ohms", "wire_number", "cable", "pair", "shield",
    "insulation", "ambient", "bundle",
)  # fmt: skip
"""What a pin says of the wire rather than of its cavity."""


def same_value(a: object, b: object) -> bool:
    """Whether two given values say the same: colours by name, sizes by area, all else as it stands."""
    if isinstance(a, Colour) and isinstance(b, Colour):
        return a.text == b.text or (a.names == b.names and a.names is not None)
    if isinstance(a, Size) and isinstance(b, Size):
        return a.area_mm2 == b.area_mm2
    return a == b


def first_difference(a: Record, b: Record, slots: Iterable[str]) -> str | None:
    """The first of these slots that both rows give, and give differently."""
    for slot in slots:
        one, other = getattr(a, slot), getattr(b, slot)
        if one is not None and other is not None and not same_value(one, other):
            return slot
    return None


def own_slots(record: type[Any]) -> tuple[str, ...]:
    """A record's slots without where it was read and what every row may hold."""
    return tuple(name for name in record.__dataclass_fields__ if name not in Record.__slots__)


PIN_SLOTS = own_slots(Pin)


def filled(first: R, second: R, slots: Sequence[str]) -> R:
    """The first row, with what only the second gives."""
    extra = {slot: getattr(second, slot) for slot in slots if getattr(first, slot) is None}
    given = {slot: value for slot, value in extra.items() if value is not None}
    common = _both_commons(first.common, second.common)
    if not given and common is first.common:
        return first
    return replace(first, common=common, **given)


def _both_commons(a: Common, b: Common) -> Common:
    changes: dict[str, Any] = {}
    for slot in ADDED_UP:
        one, other = getattr(a, slot), getattr(b, slot)
        if other is not None and other != one:
            changes[slot] = other if one is None else both_remarks(one, other)
    if b.partial and not a.partial:
        changes["partial"] = True
    return replace(a, **changes) if changes else a


def both_remarks(one: str, other: str) -> str:
    """Two remarks as one, whichever was read first."""
    return "; ".join(sorted({*one.split("; "), *other.split("; ")}))


def pool_pins(pins: Sequence[Pin], clash: Clash, settled: bool = False) -> list[Pin]:
    """One row for each wire end; where rows cannot be one, ``clash`` is told and the first is kept.

    Rows under different conditions stay apart until it is ``settled`` that both are there.
    """
    first_at: dict[tuple[str | None, ...], int] = {}
    again: dict[int, list[int]] = defaultdict(list)
    for number, pin in enumerate(pins):
        key = (pin.connector, pin.cavity) if pin.connector else (None, pin.component, pin.terminal)
        first = first_at.setdefault(key, number)
        if first != number:
            again[first].append(number)
    if not again:
        return list(pins)
    result: list[Pin | None] = list(pins)
    for first, others in again.items():
        numbers = [first, *others]
        for number in numbers:
            result[number] = None
        for number, pin in _pool_cavity([(number, pins[number]) for number in numbers], clash, settled):
            result[number] = pin
    return [pin for pin in result if pin is not None]


def _pool_cavity(rows: list[tuple[int, Pin]], clash: Clash, settled: bool) -> list[tuple[int, Pin]]:
    """The rows of one cavity, those that say where the wire goes before those that do not."""
    pooled: list[tuple[int, Pin]] = []
    for number, pin in sorted(rows, key=lambda row: (row[1].to is None, row[1].to or "", row[0])):
        for at, (kept_number, kept) in enumerate(pooled):
            if not _may_be_one(kept, pin):
                continue
            if slot := first_difference(kept, pin, PIN_SLOTS):
                clash(pin, kept, slot)
                break
            if settled or same_conditions(kept.common, pin.common):
                pooled[at] = (min(kept_number, number), filled(kept, pin, PIN_SLOTS))
                break
        else:
            pooled.append((number, pin))
    return pooled


def side_by_side(a: Pin, b: Pin) -> bool:
    """Whether two rows are two wires, though they go the same way: each has a number of its own."""
    return a.wire_number is not None and b.wire_number is not None and a.wire_number != b.wire_number


def _may_be_one(a: Pin, b: Pin) -> bool:
    if side_by_side(a, b):
        return False
    return (a.to == b.to or a.to is None or b.to is None) and can_meet(a.common, b.common)
