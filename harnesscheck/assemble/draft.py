"""A car's tables while work is done on them, with a log of every row that changed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, NoReturn

from harnesscheck.model.edits import Edit, RowChange
from harnesscheck.model.places import Source
from harnesscheck.model.records import TABLE_OF, AnyRecord, Connector, Netlist, Pin, Splice
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.read.names import close_to
from harnesscheck.read.values import MAX_NAME, Wrong, read_name

_ROOM = 8  # for a number behind a name


@dataclass(frozen=True, slots=True)
class EditFault:
    """Why an edit cannot be done; ``number`` counts the edits from 0. ``edit`` is None where it is all of them."""

    number: int
    edit: Edit | None
    why: str

    def __str__(self) -> str:
        """One sentence."""
        return f"cannot {self.edit}: {self.why}" if self.edit is not None else f"cannot do this work: {self.why}"


class EditError(Exception):
    """Edits that cannot be done, with every fault found; never with none.

    An edit that another one needs may be among them only because that one failed.
    """

    def __init__(self, faults: Sequence[EditFault]) -> None:
        super().__init__(faults)
        self.faults = tuple(faults)

    def __str__(self) -> str:
        """Every fault on a line of its own."""
        return "\n".join(str(fault) for fault in self.faults)


class _Stop(Exception):
    """Raised inside an edit that cannot go on."""


@dataclass(frozen=True, slots=True)
class Contact:
    """What is in a cavity, as positions in the table of pins.

    ``own`` are the rows of the cavity itself, ``incoming`` those of other places
    whose wire ends there. Of its own rows some may only say what another row's
    wire is like.
    """

    connector: Connector
    cavity: str
    own: tuple[int, ...]
    incoming: tuple[int, ...]

    @property
    def end(self) -> str:
        """``C12:4``."""
        return f"{self.connector.id}:{self.cavity}"

    @property
    def used(self) -> bool:
        """Whether a contact is there."""
        return bool(self.own or self.incoming)


class Draft:
    """The tables of one car; every change goes through ``change``, ``add`` and ``take``, and is logged."""

    def __init__(self, vehicle: Vehicle) -> None:
        self._header = vehicle.netlist.header
        self._tables: dict[str, list[Any]] = {
            table: list(getattr(vehicle.netlist, table)) for table in TABLE_OF.values()
        }
        self._edit: Edit | None = None
        self._whys: list[str] = []
        self._written: frozenset[str | None] = frozenset()
        self.log: list[RowChange] = []

    def attempt(self, edit: Edit, work: Callable[[Draft, Any], None]) -> tuple[str, ...]:
        """Do an edit, or nothing of it where there is any reason against; returns the reasons."""
        self._edit, self._whys = edit, []
        self._written = frozenset(pin.connector for pin in self._tables["pins"])
        before = len(self.log)
        try:
            work(self, edit)
        except _Stop:
            assert self._whys, "a reason was given"
        if self._whys:
            for change in reversed(self.log[before:]):
                self._make(change.undone)
            del self.log[before:]
        return tuple(self._whys)

    def object(self, why: str) -> None:
        """Note a reason why the edit cannot be done, and go on looking for others."""
        self._whys.append(why)

    def fail(self, why: str) -> NoReturn:
        """Note a reason and stop: the edit cannot be done."""
        self.object(why)
        raise _Stop

    def vehicle(self) -> Vehicle:
        """The car as it is now."""
        tables: dict[str, Any] = {table: tuple(rows) for table, rows in self._tables.items()}
        return Vehicle(Netlist(header=self._header, **tables))

    # -- rows

    def rows(self, table: str) -> list[Any]:
        """The rows of a table; not to be changed in place."""
        return self._tables[table]

    def find(self, table: str, id: str) -> tuple[int, Any] | None:
        """Position and row of that id, or None."""
        return next(((at, row) for at, row in enumerate(self._tables[table]) if row.id == id), None)

    def change(self, table: str, at: int, after: AnyRecord) -> None:
        """Replace one row."""
        before = self._tables[table][at]
        if before != after:
            self._tables[table][at] = after
            self.log.append(RowChange(table, at, before, after))

    def add(self, table: str, row: AnyRecord) -> None:
        """A new row at the end of its table; what made it stands as the place it was read."""
        new = replace(row, file=Source(str(self._edit))) if not row.file.path else row
        self.log.append(RowChange(table, len(self._tables[table]), None, new))
        self._tables[table].append(new)

    def take(self, table: str, at: int) -> None:
        """Take one row out; those behind it move up."""
        self.log.append(RowChange(table, at, self._tables[table].pop(at), None))

    def replay(self, change: RowChange) -> None:
        """Make a logged change again, or undo it; fails where the car is not as it was then."""
        rows = self._tables[change.table]
        found = rows[change.at] if change.before is not None and change.at < len(rows) else None
        if found != change.before or change.at > len(rows):
            self.fail(f"row {change.at + 1} of the {change.table} is another than it was")
        self._make(change)
        self.log.append(change)

    def _make(self, change: RowChange) -> None:
        rows = self._tables[change.table]
        if change.before is None:
            rows.insert(change.at, change.after)
        elif change.after is None:
            rows.pop(change.at)
        else:
            rows[change.at] = change.after

    # -- names

    def wired_ids(self) -> Iterator[str]:
        """Every id of a connector, component, splice or ground point: they share one space."""
        for table in ("connectors", "components", "splices", "grounds"):
            yield from (row.id for row in self._tables[table])

    def judge_name(self, text: str) -> None:
        """Object to what no file could call a thing or a cavity."""
        name = read_name(text) if text else Wrong("a name")
        if isinstance(name, Wrong):
            self.object(f"'{text}' is not {name.expected}")

    def fresh(self, wish: str) -> str:
        """The wish, or the wish with a number behind it where something is already called so."""
        wish = wish[: MAX_NAME - _ROOM]
        taken, name, count = set(self.wired_ids()), wish, 1
        while name in taken:
            count += 1
            name = f"{wish}-{count}"
        return name

    # -- places

    def connector(self, id: str) -> Connector:
        """The connector of that id; fails where there is none."""
        found = self.find("connectors", id)
        if found is None:
            known = [row.id for row in self._tables["connectors"]]
            self.fail(f"there is no connector {id}{close_to(id, known)}")
        row: Connector = found[1]
        return row

    def contact(self, connector: str, cavity: str) -> Contact:
        """What is in a cavity; fails where there is no such cavity."""
        row = self.connector(connector)
        if not cavity or (row.cavities is not None and cavity not in row.cavities):
            self.fail(f"{connector} has no cavity {cavity}".rstrip())
        end = f"{connector}:{cavity}"
        pins = self._tables["pins"]
        own = tuple(at for at, pin in enumerate(pins) if pin.connector == connector and pin.cavity == cavity)
        return Contact(row, cavity, own, tuple(at for at, pin in enumerate(pins) if pin.to == end))

    def pin(self, at: int) -> Pin:
        """The pin row at a position."""
        row: Pin = self._tables["pins"][at]
        return row

    def point_harness(self, end: str) -> str | None:
        """The harness of a splice, None for a ground point; fails where there is neither."""
        found = self.find("splices", end)
        if found is not None:
            row: Splice = found[1]
            return row.harness
        if self.find("grounds", end) is None:
            self.fail(f"there is no splice or ground point {end}")
        return None

    def is_written(self, connector: str) -> bool:
        """Whether any row told what is in a connector before this edit: if so, its other cavities are empty."""
        return connector in self._written
