"""What the rows of one car are called in the result.

One rule: an id of the donor that the shell's rows in the result need as well
becomes ``donor.ID``, and ``was`` says what it was. A stud and a circuit that are
the shell's go by the shell's name.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.circuits import one_circuit
from harnesscheck.assemble.share import Tables, carried_circuits
from harnesscheck.model.records import TABLE_OF
from harnesscheck.read.values import MAX_NAME

_WIRED = ("connectors", "components", "splices", "grounds")  # their ids are one space
_IDS_OF_THEIR_OWN = ("harnesses", "options", "insides")
_ROOM = 8  # for a number behind a name
NO_STUD = "the body has no such stud: fit one, bare metal under the eyelet"


@dataclass(frozen=True, slots=True)
class NewNames:
    """New names by old ones; what is not in the result has no entry.

    ``wired`` holds connectors, components, splices and ground points; a ground
    point of the donor may go by the name of the stud it is paired with.
    """

    wired: Mapping[str, str]
    circuits: Mapping[str, str]
    harnesses: Mapping[str, str]
    options: Mapping[str, str]
    insides: Mapping[str, str]
    lid: Mapping[str, str]
    after: Mapping[str, str] = field(default_factory=dict)  # harnesses and components, those of the other car too

    def end(self, end: str | None) -> str | None:
        """An end of a wire under its new name; None where it is not in the result."""
        owner, colon, cavity = (end or "").partition(":")
        new = self.wired.get(owner)
        return None if new is None else f"{new}{colon}{cavity}"


def own_names(tables: Tables) -> NewNames:
    """The names of a car whose rows keep them."""
    ids = {table: _same(_ids(tables[table])) for table in _IDS_OF_THEIR_OWN}
    wired = {id: id for table in _WIRED for id in _ids(tables[table])}
    circuits, lid = _same(_circuits(tables)), _same(_ids(tables["lid"]))
    return NewNames(wired, circuits, ids["harnesses"], ids["options"], ids["insides"], lid, wired | ids["harnesses"])


def clear_names(tables: Tables, other: Tables, pairs: Pairs) -> tuple[NewNames, Tables]:
    """The names of the donor's rows beside the shell's (``other``), and the rows that are still needed.

    A ground point with a partner among the shell's studs, and a circuit or option
    that is the same in both, is one row in the result: the shell's.
    """
    landed = _landed(set(_ids(other["grounds"])), pairs)
    kept = dict(tables)
    kept["grounds"] = [_without_stud(row) for row in tables["grounds"] if row.id not in landed]
    taken = [id for table in _WIRED for id in _ids(other[table])]
    wired = _clear([id for table in _WIRED for id in _ids(kept[table])], taken)
    circuits = _circuit_names(tables, other, pairs)
    there = {row.id for row in other["circuits"]}
    kept["circuits"] = [row for row in tables["circuits"] if circuits[row.id] not in there]
    kept["options"] = [row for row in tables["options"] if row.id not in set(_ids(other["options"]))]
    ids = {table: _clear(_ids(kept[table]), _ids(other[table])) for table in _IDS_OF_THEIR_OWN}
    lid = _lid_names(kept, other, wired | ids["insides"])
    after = wired | ids["harnesses"]
    names = NewNames(wired | landed, circuits, ids["harnesses"], ids["options"], ids["insides"], lid, after)
    return names, kept


def _landed(studs: Collection[str], pairs: Pairs) -> dict[str, str]:
    """The shell's stud for each of the donor's ground points that has one: the surest, where two would share it."""
    landed: dict[str, str] = {}
    for pair in sorted(pairs.grounds, key=lambda pair: (-pair.confidence, pair.donor)):
        if pair.shell in studs and pair.shell not in landed.values():
            landed[pair.donor] = pair.shell
    return landed


def _circuit_names(tables: Tables, other: Tables, pairs: Pairs) -> dict[str, str]:
    """A circuit that is one with the shell's goes by its name, any other by one that is free."""
    ours, theirs = _circuits(tables), _circuits(other)
    rows, rows_there = ({row.id: row for row in one["circuits"]} for one in (tables, other))
    shared = one_circuit(set(ours), set(theirs), rows, rows_there, pairs)
    return shared | _clear([id for id in ours if id not in shared], theirs)


def _lid_names(tables: Tables, other: Tables, fuses: Mapping[str, str]) -> dict[str, str]:
    """A line of the lid is called after its fuse; one without, after no fuse of the other car."""
    taken = [id for table in ("lid", "insides", "components") for id in _ids(other[table])]
    lone = _clear([id for id in _ids(tables["lid"]) if id not in fuses], [*taken, *fuses.values()])
    return {id: fuses[id] if id in fuses else lone[id] for id in _ids(tables["lid"])}


def with_partners(names: NewNames, other: NewNames, partners: Mapping[str, str]) -> NewNames:
    """NewNames that also know what has to come first where that is the other car's; ``partners`` by old name."""
    there = {id: other.after[partner] for id, partner in partners.items() if partner in other.after}
    return replace(names, after=there | dict(names.after))


def _ids(rows: Iterable[Any]) -> list[str]:
    return [row.id for row in rows if row.id is not None]


def _same(ids: Iterable[str]) -> dict[str, str]:
    return {id: id for id in ids}


def _circuits(tables: Tables) -> list[str]:
    return list(dict.fromkeys([*_ids(tables["circuits"]), *sorted(carried_circuits(tables))]))


def _clear(ids: Collection[str], taken: Iterable[str]) -> dict[str, str]:
    """Every id, with ``donor.`` before it where another row has it already."""
    theirs, used, names = set(taken), {*taken, *ids}, {}
    for id in ids:
        name, count = id, 0
        while name in theirs or (name != id and name in used):
            count += 1
            name = _prefixed(id, count)
        names[id] = name
        used.add(name)
    return names


def _prefixed(id: str, count: int) -> str:
    """``donor.C12``, and where that is taken too or too long for a name, with a number."""
    name = f"donor.{id}" if count == 1 else f"donor.{count}.{id}"
    return name if len(name) <= MAX_NAME else f"{name[: MAX_NAME - _ROOM]}.{count}"


def _without_stud(row: Any) -> Any:
    note = f"{row.common.note}; {NO_STUD}" if row.common.note else NO_STUD
    return replace(row, common=replace(row.common, note=note))


def renamed(tables: Tables, names: NewNames) -> Tables:
    """The rows under their new names; a row remembers the old one in ``was``."""
    new: Tables = {table: [] for table in TABLE_OF.values()}
    for table, rows in tables.items():
        new[table] = [row for row in (_renamed(table, row, names) for row in rows) if row is not None]
    return new


def _renamed(table: str, row: Any, names: NewNames) -> Any | None:
    """One row; None for a wire that has lost an end, since it has nowhere else to be."""
    match table:
        case "wires":
            ends = names.end(row.from_), names.end(row.to)
            if None in ends:
                return None
            row = _in_circuit(row, names)
            return changed(row, from_=ends[0], to=ends[1], harness=names.harnesses.get(row.harness))
        case "pins":
            return _renamed_pin(row, names)
        case "connectors":
            row = changed(row, component=names.wired.get(row.component), harness=names.harnesses.get(row.harness))
        case "splices":
            row = changed(row, harness=names.harnesses.get(row.harness))
        case "components":
            row = changed(row, with_=names.harnesses.get(row.with_), after=_after(row.after, names))
        case "harnesses":
            row = changed(row, after=_after(row.after, names))
        case "insides":
            row = changed(row, component=names.wired.get(row.component))
        case "lid":
            row = changed(row, feeds=tuple(names.circuits.get(name, name) for name in row.feeds))
        case "runs":
            return row
    return _called(row, (names.wired if table in _WIRED else getattr(names, table)).get(row.id, row.id))


def _renamed_pin(row: Any, names: NewNames) -> Any:
    """A pin; one whose wire ends at something left out says so, and its far end is not known."""
    to = names.end(row.to)
    if row.to is not None and to is None:
        left = f"its wire led to {row.to}, which is not in this car"
        note = f"{row.common.note}; {left}" if row.common.note else left
        row = replace(row, common=replace(row.common, note=note))
    row = _in_circuit(row, names)
    return changed(row, to=to, connector=names.wired.get(row.connector), component=names.wired.get(row.component))


def _in_circuit(row: Any, names: NewNames) -> Any:
    """A wire remembers what its circuit is called in the documents of its own car."""
    circuit = names.circuits.get(row.circuit)
    if circuit == row.circuit:
        return row
    return replace(row, circuit=circuit, common=replace(row.common, was=f"donor:{row.circuit}"))


def _after(names_before: tuple[str, ...], names: NewNames) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names.after[name] for name in names_before if name in names.after))


def _called(row: Any, id: str | None) -> Any:
    if id == row.id:
        return row
    return replace(row, id=id, common=replace(row.common, was=f"donor:{row.id}"))


def changed(row: Any, **values: Any) -> Any:
    """The row with these values; the row itself where it has them, so that unchanged cars share their records."""
    if all(getattr(row, name) == value for name, value in values.items()):
        return row
    return replace(row, **values)
