"""A netlist that only changes another: rows changed, added, and dropped.

A row is one of the base's when its identifying fields are the same. Its slots
then stand over the base's, and ``?`` takes away what the base knew. For a pin
the cavity identifies it; where a cavity holds several wires, their ``to`` does.

What belongs to a dropped row goes with it, and what pointed to it points
nowhere, as in ``configure``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import PurePosixPath
from typing import Any

from harnesscheck.fields import ROW_NAMES, row_sort
from harnesscheck.read.build import IF_THERE, Row
from harnesscheck.read.faults import Faults
from harnesscheck.read.values import cavity_names, range_ends
from harnesscheck.trade.colours import Colour, colour_text

Key = tuple[Any, ...]

_ORDER = {sort: number for number, sort in enumerate(ROW_NAMES)}
_OWNERS = ("component", "harness", "like")
_POINTERS = ("mates", "with_", "like", "on")


def is_beside(path: str) -> bool:
    """Whether a base is named as a file near its netlist: no address, no place of its own on a disk."""
    return not (PurePosixPath(path).is_absolute() or path.startswith("\\") or ":" in path)


def overlay(base: Sequence[Row], own: Sequence[Row], faults: Faults) -> list[Row]:
    """The rows of the base as the netlist's own rows change them, sort by sort."""
    code, own_code = colour_code_of(base), colour_code_of(own)
    if own_code is not None and own_code != code:
        base = [in_code(row, own_code) for row in base]
    listed = _listed((*base, *own))
    base = [one for row in base for one in _single(row, listed, faults)]
    own = [one for row in own for one in _single(row, listed, faults)]
    drops = [row for row in own if row.values.get("drop")]
    changes = [_without(row, ("drop",)) for row in own if not row.values.get("drop")]
    left = _left(base, drops, faults)
    left = _cleared(left, _names(base) - _names(left) - _names(changes))
    changes = _owned(changes, left)
    rows = sorted(_changed(left, changes, faults), key=lambda row: _ORDER[row.sort])
    check_far_ends(left, changes, rows, faults)
    return rows


def single_pins(rows: Sequence[Row], faults: Faults) -> Iterator[Row]:
    """The rows, with a pin for each cavity of a range."""
    listed = _listed(rows)
    return (one for row in rows for one in _single(row, listed, faults))


def _listed(rows: Iterable[Row]) -> dict[Any, tuple[str, ...]]:
    """The cavities of each connector that lists them."""
    connectors = [row.values for row in rows if row.sort == "connector"]
    return {values.get("id"): values["cavities"] for values in connectors if values.get("cavities")}


def colour_code_of(rows: Iterable[Row]) -> str | None:
    """The style of colours that a file's header says."""
    return next((row.values.get("colour_code") for row in rows if row.sort == "netlist"), None)


def in_code(row: Row, code: str) -> Row:
    """The row with its colour written in another code; one whose meaning is not known cannot be."""
    colour = row.values.get("colour")
    if not isinstance(colour, Colour):
        return row
    names = colour.names
    return _with(row, {"colour": Colour(colour_text(names, code), names) if names is not None else None})


def _single(row: Row, listed: dict[Any, tuple[str, ...]], faults: Faults) -> Iterator[Row]:
    """A pin for each cavity of a range."""
    cavity = row.values.get("cavity")
    if row.sort != "pin" or cavity is None:
        yield row
        return
    names = cavity_names(cavity, listed.get(row.values.get("connector"), ()))
    to = row.values.get("to")
    ends = range_ends(to, len(names), listed.get((to or "").partition(":")[0], ())) if len(names) > 1 else [to]
    if ends is None:
        faults.add(row.origin.place("to"), str(to), f"to: as many cavities as there are in this row ({len(names)})")
    for name, end in zip(names, ends or [to] * len(names), strict=True):
        yield _with(row, {"cavity": name} | ({"to": end} if "to" in row.values else {}))


def _with(row: Row, values: dict[str, Any]) -> Row:
    return Row(row.sort, row.values | values, row.origin)


def _without(row: Row, slots: Iterable[str]) -> Row:
    return replace(row, values={slot: value for slot, value in row.values.items() if slot not in slots})


def _key(row: Row) -> Key:
    if row.sort == "pin":
        slots: tuple[str, ...] = ("connector", "component", "cavity", "terminal")
        if row.values.get("connector") is not None:
            slots = ("connector", "cavity")
    else:
        slots = tuple("from_" if name == "from" else name for name in row_sort(row.sort).key)
    return (row.sort, *(row.values.get(slot) for slot in slots))


def by_key(rows: Iterable[Row]) -> dict[Key, list[Row]]:
    """Rows by what identifies them."""
    found: dict[Key, list[Row]] = defaultdict(list)
    for row in rows:
        found[_key(row)].append(row)
    return found


# -- what goes


def _left(base: Sequence[Row], drops: Sequence[Row], faults: Faults) -> list[Row]:
    """The base without what is dropped and what belongs to it."""
    there = by_key(base)
    gone: set[int] = set()
    for drop in drops:
        found = [row for row in there.get(_key(drop), ()) if _is_meant(drop, row)]
        if not found and not _is_empty(drop):
            name = " ".join(str(part) for part in _key(drop)[1:] if part is not None)
            faults.add(drop.origin.place("drop"), f"{drop.sort} {name}", "drop: a row that is in the base")
        gone |= {id(row) for row in found}
    for owned, owner in (
        ("connector", "component"), ("connector", "harness"), ("splice", "harness"), ("wire", "harness"),
        ("inside", "component"), ("pin", "component"), ("pin", "connector"),
    ):  # fmt: skip
        names = {row.values.get("id") for row in base if row.sort == owner and id(row) in gone}
        gone |= {id(row) for row in base if row.sort == owned and row.values.get(owner) in names}
    empty = {f"{row.values.get('connector')}:{row.values.get('cavity')}" for row in drops if _is_empty(row)}
    left = (row for row in base if id(row) not in gone)
    return [_without(row, ("to",)) if row.sort == "pin" and row.values.get("to") in empty else row for row in left]


def _is_empty(drop: Row) -> bool:
    """Whether a drop says no more than that a cavity is empty: the base may have nothing there."""
    return bool(drop.values["drop"] == IF_THERE)


def _is_meant(drop: Row, row: Row) -> bool:
    """Of several wires in a cavity a drop may name one by its ``to``."""
    return drop.sort != "pin" or "to" not in drop.values or drop.values["to"] == row.values.get("to")


def _names(rows: Iterable[Row]) -> set[str]:
    return {row.values["id"] for row in rows if row.values.get("id") is not None}


def _cleared(left: Sequence[Row], gone: set[str]) -> list[Row]:
    """The rows without what pointed to something dropped."""
    return [_clear(row, gone) for row in left] if gone else list(left)


def _clear(row: Row, gone: set[str]) -> Row:
    slots = [slot for slot in _POINTERS if row.values.get(slot) in gone]
    if row.sort == "pin" and str(row.values.get("to", "")).partition(":")[0] in gone:
        slots.append("to")
    after = row.values.get("after", ())
    if not gone.isdisjoint(after):
        row = _with(row, {"after": tuple(name for name in after if name not in gone)})
    return _without(row, slots) if slots else row


# -- what changes


def _owned(changes: Sequence[Row], base: Sequence[Row]) -> list[Row]:
    """A connector that the base has only by naming it in pins may have changed pins without saying whose it is."""
    written = {row.values.get("id") for row in base if row.sort == "connector"}
    named = {row.values.get("connector") for row in base if row.sort == "pin"} - written
    return [
        _with(row, {"harness": row.values.get("harness")})
        if row.sort == "connector" and row.values.get("id") in named and row.values.keys().isdisjoint(_OWNERS)
        else row
        for row in changes
    ]


def _changed(left: Sequence[Row], changes: Sequence[Row], faults: Faults) -> list[Row]:
    """The rows left of the base with the changes over them, and then the rows that are new."""
    there = by_key(left)
    over: dict[int, Row] = {}
    added: list[Row] = []
    for key, rows in by_key(changes).items():
        pairs, new = _paired(rows, there.get(key, []), faults)
        over |= {id(old): _put_over(old, row) for old, row in pairs}
        added += new
    return [*(over.get(id(row), row) for row in left), *added]


def check_far_ends(left: Sequence[Row], changes: Sequence[Row], rows: Sequence[Row], faults: Faults) -> None:
    """A wire that is written at its other end is not led elsewhere by a row at this end: both would be there.

    ``left`` are the rows before the ``changes``, ``rows`` those after.
    """
    kept = {id(row) for row in left}
    coming: dict[str, list[Row]] = defaultdict(list)  # rows of the base that still lead to a cavity
    for row in rows:
        if row.sort == "pin" and id(row) in kept and row.values.get("connector") is not None:
            coming[str(row.values.get("to"))].append(row)
    written = {_cavity(row) for row in left if row.sort == "pin" and row.values.get("to") is not None}
    own = [row for row in changes if row.sort == "pin" and row.values.get("to") is not None]
    own = [row for row in own if _cavity(row) not in written]  # there the base has a row to be changed
    listed = {(_cavity(row), row.values["to"]) for row in own}
    for row in own:
        for other in coming.get(_cavity(row), ()):
            if (_cavity(row), _cavity(other)) not in listed:
                expected = f"to: {_cavity(other)}, where the wire of this cavity is written, or a change of that row"
                faults.add(row.origin.place("to"), str(row.values["to"]), expected, other.origin.place("to"))


def _cavity(row: Row) -> str:
    return f"{row.values.get('connector')}:{row.values.get('cavity')}"


def _put_over(old: Row, new: Row) -> Row:
    return Row(new.sort, old.values | new.values, new.origin)


def _paired(rows: Sequence[Row], there: Sequence[Row], faults: Faults) -> tuple[list[tuple[Row, Row]], list[Row]]:
    """Which row of the base each change is for, and which rows are new; all of them have one key."""
    pairs: list[tuple[Row, Row]] = []
    left, new = list(there), []
    for row in rows:
        same = [old for old in left if row.sort != "pin" or old.values.get("to") == row.values.get("to")]
        if same:
            pairs.append((same[0], row))
            left.remove(same[0])
        else:
            new.append(row)
    if len(new) == len(left) == 1:
        return [*pairs, (left[0], new[0])], []
    if new and left:
        ends = ", ".join(str(old.values.get("to") or "none") for old in left)
        for row in new:
            expected = f"to: that of one of the base's wires in this cavity ({ends}), or a row for each of them"
            faults.add(row.origin.place("to"), str(row.values.get("to") or "no to"), expected)
        return pairs, []
    return pairs, new
