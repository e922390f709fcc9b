"""What a person should know of how a file was read: what was taken for what, and what is asked.

A remark is no fault: the file was read. Its question is put where somebody looks
(``validate``, ``convert``), not in everybody's way.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from harnesscheck.model.places import Place, ascii_safe


@dataclass(frozen=True, slots=True)
class Remark:
    """A text, how often it was read (first at ``place``), and a sentence: what was made of it, what to find out."""

    place: Place
    read: str
    said: str
    count: int = 1
    aloud: bool = False  # every command says it, not only those that are asked how a file was read

    def __str__(self) -> str:
        """One line, the place first."""
        times = f" ({self.count} times)" if self.count > 1 else ""
        return f"{self.place}: read {ascii_safe(self.read)}{times}: {self.said}"


@dataclass(frozen=True, slots=True)
class TakenColumn:
    """A column of a table: its heading (or none), its number from 1, and the field it was taken for (or none)."""

    place: Place
    number: int
    heading: str
    field: str


@dataclass(frozen=True, slots=True)
class HowRead:
    """All columns whose heading is not plainly a field's name, and all remarks, in file order."""

    columns: tuple[TakenColumn, ...] = ()
    remarks: tuple[Remark, ...] = ()


class Remarks:
    """Gathers remarks; equal ones in one column are one, with a count."""

    def __init__(self) -> None:
        self._columns: list[TakenColumn] = []
        self._first: dict[tuple[str, str, str, str, str], Place] = {}
        self._count: dict[tuple[str, str, str, str, str], int] = {}
        self._aloud: set[tuple[str, str, str, str, str]] = set()

    def add(self, place: Place, read: str, said: str, *, aloud: bool = False) -> None:
        """Note a remark; one ``aloud`` is printed by every command."""
        key = (place.path, place.sheet, place.field, read, said)
        self._first.setdefault(key, place)
        self._count[key] = self._count.get(key, 0) + 1
        if aloud:
            self._aloud.add(key)

    def column(self, place: Place, number: int, heading: str, field: str) -> None:
        """Note what a column was taken for."""
        self._columns.append(TakenColumn(place, number, heading, field))

    def gathered(self) -> HowRead:
        """Everything noted."""
        return HowRead(tuple(self._columns), tuple(sorted(self._made(), key=lambda remark: remark.place)))

    def _made(self) -> Iterator[Remark]:
        for key, place in self._first.items():
            yield Remark(place, key[-2], key[-1], self._count[key], key in self._aloud)
