"""Which table a name means, and which field a column's header means.

Headers are forgiving: case, spaces, dashes and underscores do not matter, a unit
in brackets may follow, and the commonest other words are known. What is not
known is a fault, for a column nobody reads is knowledge lost.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from harnesscheck.fields import ROW_NAMES, ROWS, Field, fields_of
from harnesscheck.model.places import Place, Source
from harnesscheck.read.faults import Faults
from harnesscheck.read.names import close_to

OTHER_WORDS: Mapping[str, str] = {
    "color": "colour", "wire-colour": "colour", "wire-color": "colour", "insulation-colour": "colour",
    "insulation-color": "colour", "colour-of-wire": "colour", "housing-color": "housing-colour",
    "connector-colour": "housing-colour", "connector-color": "housing-colour", "color-code": "colour-code",
    "pin": "cavity", "pin-no": "cavity", "pin-number": "cavity", "cavity-no": "cavity",
    "cavity-number": "cavity", "position": "cavity", "way": "cavity",
    "circuit-no": "circuit", "circuit-number": "circuit", "circuit-name": "circuit", "circuit-id": "circuit",
    "gauge": "size", "wire-size": "size", "wire-gauge": "size", "cross-section": "size", "csa": "size",
    "wire-length": "length",
    "connector-no": "connector", "connector-number": "connector", "connector-id": "connector",
    "plug": "connector", "component-id": "component", "harness-id": "harness",
    "location": "at", "description": "function", "notes": "note", "remark": "note", "remarks": "note",
    "comment": "note", "comments": "note", "part-no": "part-number", "goes-to": "to", "year": "model-year",
    "no-of-cavities": "cavities", "ways": "cavities", "keying": "keyway",
}  # fmt: skip
_UNITS = {"mm2": "mm²", "sq mm": "mm²", "ohm": "Ω", "ohms": "Ω", "amps": "A", "volts": "V", "hours": "h"}
_BRACKETS = re.compile(r"(.+?)\s*[(\[]\s*([^()\[\]]+?)\s*[)\]]")
_SEPARATORS = re.compile(r"[\s_\-./]+")
_TABLES = {name: row.name for row in ROWS for name in (row.name, row.table)} | {"insides": "inside"}
_TABLE_NAME = re.compile(rf"({'|'.join(sorted(_TABLES, key=len, reverse=True))})(?:[\s_.\-(]+(.*)|[0-9]*)", re.I)


def table_sort(name: str) -> str | None:
    """The sort of row that a file or sheet of that name holds: ``pins``, ``pins-engine``, ``Pins_C12``."""
    match = _TABLE_NAME.fullmatch(name.strip())
    return _TABLES[match[1].lower()] if match else None


def table_suffix(name: str) -> str:
    """What follows the table's name: ``C12`` of ``pins-C12``; nothing where nothing does."""
    match = _TABLE_NAME.fullmatch(name.strip())
    return (match[2] or "").strip(" )") if match else ""


def field_named(header: str, sort: str) -> str | None:
    """The name of the field a header means in a table of that sort, or None."""
    header = header.strip()
    bracket = _BRACKETS.fullmatch(header)
    if bracket:
        name = field_named(bracket[1], sort)
        unit = _UNITS.get(bracket[2].lower(), bracket[2])
        return name if name is not None and _fields(sort)[name].unit == unit else None
    plain = _SEPARATORS.sub("-", header.lower()).strip("-")
    fields = _fields(sort)
    for name in (plain, OTHER_WORDS.get(plain, "")):
        if name in fields:
            return name
    return "id" if plain == sort and "id" in fields else None


def known_headers(cells: Sequence[str]) -> int:
    """How many cells are the header of some table's column; of the table that knows most of them."""
    return max(sum(field_named(cell, sort) is not None for cell in cells) for sort in ROW_NAMES)


class Columns:
    """The columns of one table: which field each holds, and how its header spells it."""

    def __init__(self, sort: str, line: int, cells: Sequence[str], source: Source, faults: Faults) -> None:
        self.fields: list[str | None] = []
        self.headers: dict[str, str] = {}
        self._given = [bool(cell.strip()) for cell in cells]
        self.cells = tuple(cell.strip().lower() for cell in cells)
        for number, cell in enumerate(cells):
            name = field_named(cell, sort) if cell.strip() else None
            self.fields.append(name if name not in self.headers else None)
            if name is not None and name in self.headers:
                place = Place(source.path, line, number + 1, source.sheet, cell.strip())
                faults.add(place, cell.strip(), f"one column for {name} (it is also in '{self.headers[name]}')")
            elif name is not None:
                self.headers[name] = cell.strip()
            elif cell.strip():
                place = Place(source.path, line, number + 1, source.sheet, cell.strip())
                names = [field.name for field in fields_of(sort)]
                expected = f"a column of the table {sort}: {', '.join(names)}{close_to(cell.lower(), names)}"
                faults.add(place, cell.strip(), expected)

    def is_reported(self, number: int) -> bool:
        """Whether a column without field has a header, which was a fault already."""
        return number < len(self._given) and self._given[number]


def _fields(sort: str) -> dict[str, Field]:
    return {field.name: field for field in fields_of(sort)}
