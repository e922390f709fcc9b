"""What further files say of a car: it fills what is not given; a contradiction is a fault that names both rows.

A row is the car's when its identifying fields are the same, as over a base. For
a pin that is the cavity; where that holds several wires, their ``to`` tells
them apart. A row that the car does not have is added, but a pin's connector
must be one of the car, or have its own row beside it: a misspelt one would
otherwise be a plug of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from harnesscheck.fields import row_sort
from harnesscheck.read.base import by_key, check_far_ends, colour_code_of, in_code, single_pins
from harnesscheck.read.build import IF_THERE, Row, implied_half
from harnesscheck.read.faults import Faults
from harnesscheck.read.names import close_to
from harnesscheck.read.pool import ADDED_UP, WIRE_SLOTS, both_remarks, same_value
from harnesscheck.read.shown import field_name, shown

_BY_ENDS = ("inside", "wire")  # rows without a name

Contact = tuple[Any, Any]  # connector and cavity


def fill(car: Sequence[Row], added: Sequence[Row], faults: Faults) -> list[Row]:
    """The rows of a car with what another file adds to them, in the car's order and style of colours."""
    code = colour_code_of(car)
    car = list(single_pins(car, faults))
    added = [in_code(row, code) if code is not None else row for row in single_pins(added, faults)]
    added = [row for row in added if not _is_dropped(row, faults)]
    _check_connectors(car, added, faults)
    _ask_about_components(car, added, faults)
    _check_empty(car, added, faults)
    _check_empty(added, car, faults)
    car = [row for row in car if not _is_empty(row)]
    check_far_ends(car, added, car, faults)
    there, new = by_key(car), []
    joints = [row for row in car if row.sort in _BY_ENDS]
    for key, rows in by_key(row for row in added if not _is_empty(row)).items():
        same = there.get(key, [])
        if not same and rows[0].sort in _BY_ENDS:
            same = [row for row in joints if _may_be(rows[0], row)]
        new += _put_in(rows, same, faults)
    return [*car, *new]


def _may_be(row: Row, old: Row) -> bool:
    """Whether a joint, or a wire between two points, is the car's: what it leaves out of its key is open."""
    if row.sort != old.sort or _ends(row) != _ends(old):
        return False
    rest = [name for name in row_sort(row.sort).key if name not in ("from", "to")]
    return all(row.values.get(name) in (None, (), old.values.get(name)) for name in rest)


def _ends(row: Row) -> tuple[Any, ...]:
    """From and to; of a wire without a direction."""
    ends = (row.values.get("from_"), row.values.get("to"))
    return tuple(sorted(map(str, ends))) if row.sort == "wire" else ends


def _is_dropped(row: Row, faults: Faults) -> bool:
    if not row.values.get("drop") or _is_empty(row):
        return False
    faults.add(row.origin.place("drop"), "drop", "drop: none, in a file that only fills a car's")
    return True


def _ask_about_components(car: Sequence[Row], added: Sequence[Row], faults: Faults) -> None:
    """A part that the car does not have, called nearly as one that it has, may be that one."""
    known = {row.values["id"] for row in car if row.sort == "component" and row.values.get("id")}
    for row in added:
        name = row.values.get("id")
        if row.sort == "component" and name not in known and (near := close_to(str(name), known)):
            faults.remarks.add(row.origin.place("id"), str(name), f"a part that the car does not have{near}")


def _is_empty(row: Row) -> bool:
    """Whether a row says no more than that a cavity is empty."""
    return row.sort == "pin" and row.values.get("drop") == IF_THERE


def _check_connectors(car: Sequence[Row], added: Sequence[Row], faults: Faults) -> None:
    """Every pin that is added is in a connector of the car, or in one that has a row of its own."""
    known = {row.values.get("id") for row in (*car, *added) if row.sort == "connector"}
    known |= {row.values.get("connector") for row in car if row.sort == "pin"}
    known |= {implied_half(row.values) for row in (*car, *added) if row.sort == "connector" and row.values.get("id")}
    told: set[str] = set()
    for row in added:
        name = row.values.get("connector")
        if row.sort == "pin" and name is not None and name not in known and name not in told:
            told.add(name)
            near = close_to(name, [one for one in known if one is not None])
            faults.add(row.origin.place("connector"), name, f"connector: the id of a connector of the car{near}")


def _check_empty(marks: Iterable[Row], rows: Iterable[Row], faults: Faults) -> None:
    """A cavity that one file says is empty has no wire in the other."""
    empty: dict[Contact, Row] = {_contact(row): row for row in marks if _is_empty(row)}
    for row in rows if empty else ():
        mark = empty.get(_contact(row)) if row.sort == "pin" and not _is_empty(row) else None
        if mark is not None:
            name = f"{row.values['connector']}:{row.values['cavity']}"
            expected = f"nothing in {name}, which another row marks as empty"
            faults.add(row.origin.place("cavity"), str(row.values["cavity"]), expected, mark.origin.place("cavity"))


def _contact(row: Row) -> Contact:
    return row.values.get("connector"), row.values.get("cavity")


def _put_in(rows: Sequence[Row], there: Sequence[Row], faults: Faults) -> list[Row]:
    """Put rows of one key into the car's rows of that key; answers with those that are new."""
    if not there:
        return list(rows)
    if rows[0].sort in _BY_ENDS and len(there) > 1:
        for row in rows:
            expected = f"which of the {len(there)} rows that the car has between these: its when, load or id as well"
            faults.add(row.origin.place(), " to ".join(map(str, _ends(row))), expected, there[0].origin.place())
        return []
    left, waiting = list(there), []
    for row in rows:  # first those that are certain: of several wires in a contact, the one that goes to that place
        same = [old for old in left if row.sort != "pin" or old.values.get("to") == row.values.get("to")]
        if same and (row.sort != "pin" or len(there) == 1 or row.values.get("to") is not None):
            _merge(same[0], row, faults)
            left.remove(same[0])
        else:
            waiting.append(row)
    new = []
    for row in waiting:
        if row.sort == "pin" and row.values.get("to") is None and len(there) > 1:
            _merge_contact(there, row, faults)
        elif left:
            _merge(left.pop(0), row, faults)
        elif row.sort == "pin" and row.values.get("to") is None:
            _merge(there[0], row, faults)
        else:
            new.append(row)  # one more wire in the contact, whose others are listed too
    return new


def _merge(old: Row, row: Row, faults: Faults) -> None:
    """Fill one row of the car with what the other says; where both say something else, a fault."""
    for slot, value in row.values.items():
        known = old.values.get(slot)
        if old.sort == "wire" and slot in ("from_", "to"):
            continue  # its ends are these, whichever is written first
        if value in (None, ()) or (known not in (None, ()) and same_value(known, value)):
            continue
        if known in (None, ()):
            old.values[slot] = value
        elif slot in ADDED_UP:
            old.values[slot] = both_remarks(str(known), str(value))
        else:
            name = field_name(slot)
            expected = f"{name}: the same as elsewhere ({shown(known)})"
            faults.add(row.origin.place(name), shown(value), expected, old.origin.place(name))


def _merge_contact(there: Sequence[Row], row: Row, faults: Faults) -> None:
    """What a row without ``to`` says of a contact with several wires: of the contact, for which wire is not said."""
    of_wire = [slot for slot in WIRE_SLOTS if row.values.get(slot) is not None]
    if of_wire:
        name = field_name(of_wire[0])
        ends = ", ".join(str(old.values.get("to") or "none") for old in there)
        expected = f"to: that of one of the car's wires in this cavity ({ends})"
        faults.add(row.origin.place("to"), f"{name} without to", expected, there[0].origin.place(name))
        return
    for old in there:
        _merge(old, row, faults)
