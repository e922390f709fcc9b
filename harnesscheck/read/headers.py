"""Which table a name means, which field a column is, and what to do where no heading says so.

A heading is a field's name (case, spaces, dashes do not matter) or words of the
trade in any language (``trade.headings``). Some may be one field or another
(``Terminal`` is the cavity where no other column is): then the other columns
and the cells below decide. What is not known is a fault, for a column nobody
reads is knowledge lost; what is known and has no field here (``Fuse``) is said
to be left out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from harnesscheck.fields import ROW_NAMES, ROWS, Field, fields_of
from harnesscheck.model.places import Place, Source
from harnesscheck.read.faults import Faults
from harnesscheck.read.names import close_to
from harnesscheck.read.pinrows import MARKED, without_guard
from harnesscheck.read.spoilt import CAVITIES
from harnesscheck.read.values import Wrong, field_reader, read_end
from harnesscheck.trade.colours import Colour, read_colour
from harnesscheck.trade.headings import Heading, heading_words, read_heading
from harnesscheck.trade.sizes import read_size

LEFT_OUT = "-"  # a column that is known for what it is, and has no field
VEHICLE_FIELDS = ("vehicle", "model-year", "colour-code")  # may stand in a table of pins as well
SAMPLE = 50  # rows by which a column is judged
_FIT = 0.6  # share of the cells that must read as a field's
_UNITS = {"mm2": "mm²", "sq mm": "mm²", "ohm": "Ω", "ohms": "Ω", "amps": "A", "volts": "V", "hours": "h"}
_CONVERTED = {"size": ("mm²", "AWG"), "length": ("mm", "cm", "m", "ft", "in")}  # units that a heading may name
_BRACKETS = re.compile(r"(.+?)\s*[(\[]\s*([^()\[\]]+?)\s*[)\]]")
_SEPARATORS = re.compile(r"[\s_\-./]+")
_PLAIN_NUMBER = re.compile(r"\d+([.,]\d+)?")
_TABLES = {name: row.name for row in ROWS for name in (row.name, row.table)} | {"insides": "inside"}
_TABLE_NAME = re.compile(rf"({'|'.join(sorted(_TABLES, key=len, reverse=True))})(?:[\s_.\-(]+(.*)|[0-9]*)", re.I)
# What a heading may be, the likeliest first. ``?``: only where the cells say so.
_MAY_BE: Mapping[str, tuple[str, ...]] = {
    "idle": (LEFT_OUT,),
    "housing": ("housing-colour",),
    "colour": ("colour",),
    "size": ("size",),
    "gauge": ("size",),
    "length": ("length",),
    "note": ("note",),
    "function": ("function", "note", LEFT_OUT),
    "signal": ("?signal", "function", "note", LEFT_OUT),
    "circuit": ("?circuit", "function", "circuit", "id"),
    "to": ("?to", "function", "note", LEFT_OUT),
    "pin": ("cavity", "cavities"),
    "terminal": ("cavity", "terminal", LEFT_OUT),
    "connector": ("connector", "id"),
    "component": ("component", "id"),
    "harness": ("harness", "id"),
    "at": ("at", "note", LEFT_OUT),
    "wire": ("?colour", "?size", "?circuit"),
    "name": ("name", "function", LEFT_OUT),
    "number": ("cavity", "id", LEFT_OUT),
    "part-number": ("part-number",),
    "keyway": ("keyway",),
    "year": ("model-year",),
}
_RANK = ("terminal", "pin", "circuit", "wire", "function", "signal", "to", "name", "number")  # who chooses first


def table_sort(name: str) -> str | None:
    """The sort of row that a file or sheet of that name holds: ``pins``, ``pins-engine``, ``Pins_C12``."""
    match = _TABLE_NAME.fullmatch(name.strip())
    return _TABLES[match[1].lower()] if match else None


def table_suffix(name: str) -> str:
    """What follows the table's name: ``C12`` of ``pins-C12``; nothing where nothing does."""
    match = _TABLE_NAME.fullmatch(name.strip())
    return (match[2] or "").strip(" )") if match else ""


@lru_cache(maxsize=8192)
def may_be(heading: str, sort: str) -> tuple[str, ...]:
    """The fields a heading may mean in a table of that sort, the likeliest first; nothing for an unknown one."""
    heading = heading.strip()
    fields = _fields(sort)
    if exact := _exact(heading, sort):
        return exact
    said = read_heading(heading) if heading else None
    if said is None:
        return ()
    choices = tuple(
        one for one in _choices(said) if one == LEFT_OUT or one.lstrip("?") in fields or (one in _of_vehicle(sort))
    )
    return choices if not said.unit or _unit_fits(said, choices) else ()


def known_headers(cells: Sequence[str]) -> int:
    """How many cells are the heading of some table's column; of the table that knows most of them."""
    texts = [cell.strip() for cell in cells if cell.strip()]
    return max((sum(bool(may_be(text, sort)) for text in texts) for sort in ROW_NAMES), default=0)


def header_at(rows: Sequence[Sequence[str]], sort: str) -> int | None:
    """Which of the first rows of a table is its header line: one that names columns, as most of its cells do."""
    for number, cells in enumerate(rows):
        texts = [cell.strip() for cell in cells if cell.strip()]
        choices = [may_be(text, sort) for text in texts]
        known = sum(map(bool, choices))
        of_vehicle = known == 1 and any(one.lstrip("?") in _of_vehicle(sort) for one in choices[0])
        if known * 2 >= len(texts) and (known > 1 or len(texts) <= 2) and known and not of_vehicle:
            return number
    return None


@dataclass(frozen=True, slots=True)
class _ColumnHead:
    """One column: its number from 0, its heading, what it may be, and some cells below."""

    number: int
    text: str
    choices: tuple[str, ...]
    below: tuple[str, ...]

    @property
    def rank(self) -> tuple[int, int]:
        """The plainer heading of two for one field first."""
        said = read_heading(self.text)
        means = said.means if said else ""
        return (_RANK.index(means) if means in _RANK else -1, self.number)


class Columns:
    """The columns of one table: which field each holds, how its heading spells it, and the unit it names."""

    def __init__(
        self,
        sort: str,
        line: int,
        cells: Sequence[str],
        source: Source,
        faults: Faults,
        below: Sequence[Sequence[str]] = (),
        guessed: bool = False,
    ) -> None:
        self.headers: dict[str, str] = {}
        self.fields: list[str | None] = [None] * len(cells)
        self.units: dict[str, str] = {}
        self.cells = tuple(cell.strip().lower() for cell in cells)
        self.wrong = False  # a heading was a fault already
        self._sort, self._line, self._source, self._faults = sort, line, source, faults
        self._silent = {number for number, cell in enumerate(cells) if cell.strip()}
        self._guessed = guessed  # the cells are fields, and no line of the file
        self._take(list(self._headings(cells, below)))
        self.plain = frozenset(self.headers.keys() - {*self.units, *CAVITIES})  # whose cells are taken as they stand
        self.guarded = self.plain - set(MARKED if sort == "pin" else ())  # but for an apostrophe before them

    def is_reported(self, number: int) -> bool:
        """Whether a column without field has a heading, of which all has been said."""
        return number in self._silent

    def holds(self, field: str) -> bool:
        """Whether a column is of that field."""
        return field in self.headers

    def _headings(self, cells: Sequence[str], below: Sequence[Sequence[str]]) -> Iterator[_ColumnHead]:
        for number, cell in enumerate(cells):
            if text := cell.strip():
                column = (row[number].strip() for row in below[:SAMPLE] if number < len(row))
                yield _ColumnHead(
                    number, text, may_be(text, self._sort), tuple(map(without_guard, filter(None, column)))
                )

    def _take(self, headings: list[_ColumnHead]) -> None:
        """Give each column its field: first those that can be one thing only, then the others by rank."""
        for heading in headings:
            if len(heading.choices) == 1:
                self._set(heading, heading.choices[0])
        for heading in sorted(headings, key=lambda one: one.rank):
            if len(heading.choices) != 1:
                self._set(heading, self._chosen(heading))
        for heading in headings:
            self._say(heading)

    def _chosen(self, heading: _ColumnHead) -> str:
        choices = heading.choices
        if not heading.below and _plain(heading.text) in choices:
            return _plain(heading.text)
        if "terminal" in choices and "component" in self.headers:
            choices = ("terminal", *choices)
        free = [one for one in choices if one.lstrip("?") not in self.headers]
        fitting = [one for one in free if not one.startswith("?") or fits(one[1:], self._sort, heading.below)]
        return (fitting or [choices[-1]] if choices else [""])[0].lstrip("?")

    def _set(self, heading: _ColumnHead, field: str) -> None:
        place = self._place(heading)
        if not field:
            self.wrong = True
            self._faults.add(place, heading.text, _expected(heading.text, self._sort))
        elif field in self.headers:
            self._faults.add(place, heading.text, f"one column for {field} (it is also in '{self.headers[field]}')")
        elif field != LEFT_OUT:
            self.headers[field] = heading.text
            self.fields[heading.number] = field
            if unit := _unit_of(heading, field):
                self.units[field] = unit

    def _say(self, heading: _ColumnHead) -> None:
        field = self.fields[heading.number]
        if heading.choices and (self._guessed or field is None or _plain(heading.text) != field):
            text = "" if self._guessed else heading.text
            self._faults.remarks.column(self._place(heading), heading.number + 1, text, field or "")
        if field == "size" and self.units.get(field) == _EITHER:
            self._faults.remarks.add(
                self._place(heading), heading.text, "size not known: a gauge (AWG), or mm²? Write it in the heading"
            )

    def _place(self, heading: _ColumnHead) -> Place:
        return Place(self._source.path, self._line, heading.number + 1, self._source.sheet, heading.text)


_EITHER = "?"


def with_unit(text: str, unit: str) -> str:
    """A plain number in the unit that its heading names; a text with a unit of its own as it stands."""
    if not _PLAIN_NUMBER.fullmatch(text) or unit == "mm²":
        return text
    if unit == _EITHER:
        return "?"
    return f"AWG {text}" if unit == "AWG" else f"{text} {unit}"


def fits(field: str, sort: str, cells: Sequence[str]) -> bool:
    """Whether most of some cells read as that field's."""
    if not cells:
        return False
    if field == "to":
        good = [not isinstance(read_end(cell), Wrong) and any(map(str.isdigit, cell)) for cell in cells]
    elif field == "colour":
        good = [isinstance(read_colour(cell, None), Colour) for cell in cells]
    else:
        reader = field_reader((_fields(sort) | _fields("netlist"))[field])
        good = [not isinstance(reader(cell), Wrong) for cell in cells]
    return sum(good) >= _FIT * len(good)


def guessed_header(rows: Sequence[Sequence[str]]) -> list[str] | None:
    """The fields of the columns of a table of pins that has no header line; None where they are not plain.

    The cavities are short names, each once; one column of colours, one of sizes,
    one of words. Anything else, or two of a sort, is not plain.
    """
    if len(rows) < 2:
        return None
    width = max(map(len, rows))
    found: list[str] = []
    for number in range(width):
        cells = [row[number].strip() if number < len(row) else "" for row in rows]
        field = _guessed([cell for cell in cells if cell], all(cells), "cavity" not in found)
        if field == LEFT_OUT or (field and field in found):
            return None
        found.append(field)
    return found if "cavity" in found and {"colour", "function"} & set(found) else None


_CAVITY = re.compile(r"[A-Za-z]{0,2}[0-9]{1,3}[A-Za-z]?|[A-Za-z]{1,2}")


def _guessed(cells: Sequence[str], full: bool, may_be_cavity: bool) -> str:
    if not cells:
        return ""
    if may_be_cavity and full and len(set(cells)) == len(cells) and all(map(_CAVITY.fullmatch, cells)):
        return "cavity"
    if all(map(str.isdigit, cells)):
        return LEFT_OUT  # circuits, sizes, fuses: anything
    for field, reads in (("colour", _is_colour), ("size", _is_size)):
        if sum(map(reads, cells)) >= _FIT * len(cells):
            return field
    return "function"


def _is_colour(cell: str) -> bool:
    return isinstance(read_colour(cell, None), Colour)


def _is_size(cell: str) -> bool:
    return not isinstance(read_size(cell.replace(",", ".")), str)


def _exact(heading: str, sort: str) -> tuple[str, ...]:
    """A field by its own name, with its unit in brackets or without; names that are also other words are judged."""
    plain = _plain(heading)
    fields = _fields(sort)
    if plain in _of_vehicle(sort):
        return (f"?{plain}", "colour") if plain == "colour-code" else (plain,)
    if plain in fields and not (sort == "pin" and plain in ("signal", "contact", "terminal", "circuit")):
        return (plain,)
    if plain == "contact":
        return ("cavity", "contact")
    if plain in ("signal", "terminal", "circuit") and sort == "pin":
        choices = (one for one in (*_MAY_BE[plain], plain) if one == LEFT_OUT or one.lstrip("?") in fields)
        return tuple(dict.fromkeys(choices))
    if plain == sort and "id" in fields:
        return ("id",)
    bracket = _BRACKETS.fullmatch(heading)
    if bracket and (name := _plain(bracket[1])) in fields:
        unit = _UNITS.get(bracket[2].lower(), bracket[2])
        return (name,) if fields[name].unit == unit else ()
    return ()


def _choices(said: Heading) -> tuple[str, ...]:
    if said.means == "colour":
        if "connector" in said.words:
            return ("housing-colour",)
        return ("?colour-code", "colour") if "code" in said.words else ("colour",)
    if said.means in ("size", "gauge") and {"pin", "terminal"} & said.words:
        return ("contact",)
    if said.means in ("wire", "circuit") and {"number", "code"} & said.words:
        return ("circuit", "id")
    if said.means in ("pin", "terminal") and "name" in said.words:
        return ("cavity", "function", LEFT_OUT)
    if said.means == "housing" and "colour" not in said.words:
        return (LEFT_OUT,)
    return _MAY_BE.get(said.means, ())


def _unit_fits(said: Heading, choices: Sequence[str]) -> bool:
    return choices == (LEFT_OUT,) or any(said.unit in _CONVERTED.get(one.lstrip("?"), ()) for one in choices)


def _unit_of(heading: _ColumnHead, field: str) -> str:
    """The unit of a column's plain numbers, where it is not the field's own; of a gauge the numbers tell it."""
    said = read_heading(heading.text)
    if said is None or field not in _CONVERTED:
        return ""
    if said.unit or said.means != "gauge":
        return "" if said.unit == _fields("pin")[field].unit else said.unit
    numbers = [cell for cell in heading.below if _PLAIN_NUMBER.fullmatch(cell)]
    if not numbers or any(not number.isdigit() for number in numbers):
        return ""
    return "AWG" if any(int(number) >= 8 for number in numbers) else _EITHER


def _expected(text: str, sort: str) -> str:
    """What was probably meant, and then everything that may stand there."""
    names = [field.name for field in fields_of(sort)]
    if owners := [other for other in ROW_NAMES if _plain(text) in _fields(other)]:
        return f"that column in the table {' or '.join(owners)}; in the table {sort}: {', '.join(names)}"
    close = close_to(text.lower(), names) or close_to(text.lower(), [word.lower() for word in heading_words()])
    listed = f"a column of the table {sort}: {', '.join(names)}"
    return f"{close.strip(' ()')} Else {listed}" if close else listed


def _plain(heading: str) -> str:
    return _SEPARATORS.sub("-", heading.lower()).strip("-")


def _of_vehicle(sort: str) -> tuple[str, ...]:
    return VEHICLE_FIELDS if sort == "pin" else ()


@lru_cache(maxsize=32)
def _fields(sort: str) -> dict[str, Field]:
    return {field.name: field for field in fields_of(sort)}
