"""The swap sheet (TOML): what the person doing the swap knows, has decided and has found.

Every section is optional, so that a file with only ``[crosswalk]`` is one too.
What a section may hold is checked here; whether the rows it names exist is for
whoever has both cars.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.swapsheet import BuiltSection, Crew, CrosswalkSection, FoundTap, Hours, SwapSheet, line_of
from harnesscheck.read.benchfile import MOST_HOURS
from harnesscheck.read.faults import Faults, StopReading
from harnesscheck.read.files import open_regular
from harnesscheck.read.limits import Limits
from harnesscheck.read.names import close_to
from harnesscheck.read.values import Wrong, read_name, read_text

MAX_BYTES = 4 * 1024 * 1024
SECTIONS = (
    "donor", "shell", "parts", "harness", "crosswalk", "built", "before", "accepted", "rates", "crew", "done",
)  # fmt: skip
_HOURS_OF_A_DAY = 24
_TOML_PLACE = re.compile(r" \(at line (\d+), column (\d+)\)$")
_TOML_END = re.compile(r" \(at end of document\)$")

T = TypeVar("T")


def read_swap(path: str | Path) -> SwapSheet | list[InputFault]:
    """Read a swap sheet; returns every fault instead where there is any. Raises nothing for bad input."""
    faults = Faults()
    try:
        text = _text(Path(path), faults)
        sheet = _SheetReader(str(path), text, faults).sheet(_toml(str(path), text, faults))
    except StopReading:
        return faults.in_order()
    return faults.in_order() if faults else sheet


def _text(path: Path, faults: Faults) -> str:
    with open_regular(path, faults, Limits(max_bytes=MAX_BYTES)) as file:
        data = file.read()
    faults.contents.update(data)
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        place = Place(str(path), data.count(b"\n", 0, error.start) + 1)
        faults.stop(place, f"byte {data[error.start]:#04x}", "UTF-8 text")


def _toml(path: str, text: str, faults: Faults) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        place = Place(path, text.count("\n") + 1)
        if match := _TOML_PLACE.search(message):
            place = Place(path, int(match[1]), int(match[2]))
        read = _TOML_END.sub("", _TOML_PLACE.sub("", message))
        faults.stop(place, read, "a swap sheet in TOML")
    except ValueError:  # beside what is no TOML: an integer of more digits than Python reads
        faults.stop(Place(path), "a number of thousands of digits", "a swap sheet in TOML")
    except RecursionError:
        faults.stop(Place(path), "brackets inside brackets without end", "a swap sheet in TOML")


class _SheetReader:
    """Checks one sheet section by section."""

    def __init__(self, path: str, text: str, faults: Faults) -> None:
        self._path = path
        self._lines = tuple(text.split("\n"))
        self._faults = faults

    def sheet(self, data: dict[str, Any]) -> SwapSheet:
        """The whole sheet."""
        self._only(data, SECTIONS, ())
        built = self._table(data, "built", (), ("donor", "shell"))
        crosswalk = self._table(data, "crosswalk", (), ("connector", "component", "circuit"))
        crew = self._table(data, "crew", (), ("people", "hours-per-day"))
        return SwapSheet(
            path=self._path,
            donor=self._one(data, "donor", (), _text_value),
            shell=self._one(data, "shell", (), _text_value),
            parts=self._each(data, "parts", (), _pattern, _choice("donor", "shell", "none")),
            harness=self._each(data, "harness", (), _name, _choice("donor", "shell")),
            crosswalk=CrosswalkSection(
                connector=self._places(crosswalk),
                component=self._each(crosswalk, "component", ("crosswalk",), _name, _name),
                circuit=self._each(crosswalk, "circuit", ("crosswalk",), _name, _name),
            ),
            built_donor=self._built(built, "donor"),
            built_shell=self._built(built, "shell"),
            dead_before=self._list(self._table(data, "before", (), ("dead",)), "dead", ("before",), _name),
            accepted=self._each(data, "accepted", (), _text_value, _text_value),
            rates_h=self._each(data, "rates", (), _text_value, _hours),
            crew=Crew(
                people=self._one(crew, "people", ("crew",), _people),
                hours_per_day=self._one(crew, "hours-per-day", ("crew",), _hours_per_day),
            ),
            done_h=self._each(data, "done", (), _text_value, _number),
            digest=self._faults.digest,
            lines=self._lines,
        )

    def _built(self, built: dict[str, Any], car: str) -> BuiltSection:
        where = ("built", car)
        table = self._table(built, car, ("built",), ("cut", "tap", "bridge", "seen", "condition"))
        return BuiltSection(
            cut=self._list(table, "cut", where, _cavity),
            tap=self._list(table, "tap", where, _tap),
            bridge=self._list(table, "bridge", where, _bridge),
            seen=self._each(table, "seen", where, _cavity, _text_value),
            condition=self._each(table, "condition", where, _name, _text_value),
        )

    def _places(self, crosswalk: dict[str, Any]) -> dict[str, str]:
        """Connectors to connectors, cavities to cavities."""
        pairs = self._each(crosswalk, "connector", ("crosswalk",), _connector_or_cavity, _connector_or_cavity)
        for donor, shell in pairs.items():
            if (":" in donor) is not (":" in shell):
                expected = "a connector = a connector, or a cavity (C12:4) = a cavity"
                self._fault(("crosswalk", "connector", donor), f"{donor} = {shell}", expected)
        return pairs

    # -- shapes

    def _table(self, data: dict[str, Any], name: str, where: tuple[str, ...], known: tuple[str, ...]) -> dict[str, Any]:
        """A table in which only some keys make sense."""
        table = data.get(name, {})
        if not isinstance(table, dict):
            self._fault((*where, name), _shown(table), f"a table [{'.'.join((*where, name))}]")
            return {}
        self._only(table, known, (*where, name))
        return table

    def _only(self, table: dict[str, Any], known: tuple[str, ...], where: tuple[str, ...]) -> None:
        for key in table:
            if key not in known:
                expected = f"one of {', '.join(known)}{close_to(key, known)}"
                self._fault((*where, key), key, expected + (f" in [{'.'.join(where)}]" if where else ""))

    def _one(
        self, table: dict[str, Any], name: str, where: tuple[str, ...], read: Callable[[Any], T | Wrong]
    ) -> T | None:
        if name not in table:
            return None
        return self._value(table[name], (*where, name), (*where, name), read)

    def _list(
        self, table: dict[str, Any], name: str, where: tuple[str, ...], read: Callable[[Any], T | Wrong]
    ) -> tuple[T, ...]:
        items = table.get(name, [])
        if not isinstance(items, list):
            self._fault((*where, name), _shown(items), f"{name}: a list in square brackets")
            return ()
        values = [self._value(item, (*where, name, _shown(item)), (*where, name), read) for item in items]
        return tuple(value for value in values if value is not None)

    def _each(
        self,
        table: dict[str, Any],
        name: str,
        where: tuple[str, ...],
        read_key: Callable[[Any], str | Wrong],
        read: Callable[[Any], T | Wrong],
    ) -> dict[str, T]:
        """A table with keys of one's own."""
        entries = table.get(name, {})
        if not isinstance(entries, dict):
            self._fault((*where, name), _shown(entries), f"a table [{'.'.join((*where, name))}]")
            return {}
        found: dict[str, T] = {}
        for key, item in entries.items():
            path = (*where, name, key)
            known = self._value(key, path, (*where, name), read_key)
            value = self._value(item, path, (*where, name), read)
            if known is not None and value is not None:
                found[known] = value
        return found

    def _value(
        self, item: Any, path: tuple[str, ...], named: tuple[str, ...], read: Callable[[Any], T | Wrong]
    ) -> T | None:
        """One value; ``named`` is as much of its path as is ours, without keys of the sheet's own."""
        value = read(item)
        if isinstance(value, Wrong):
            self._fault(path, _shown(item), f"{'.'.join(named)}: {value.expected}")
            return None
        return value

    def _fault(self, path: tuple[str, ...], read: str, expected: str) -> None:
        self._faults.add(Place(self._path, line_of(self._lines, path)), read, expected)


def _shown(item: Any) -> str:
    """A value as the sheet would have it."""
    if isinstance(item, str):
        return item
    try:
        return json.dumps(item, ensure_ascii=False, default=str)
    except ValueError:
        return "a number of thousands of digits"


# -- values


def _text_value(item: Any) -> str | Wrong:
    if not isinstance(item, str) or not item.strip():
        return Wrong("text in quotes")
    return read_text(item.strip())


def _name(item: Any) -> str | Wrong:
    return read_name(item) if isinstance(item, str) and item else Wrong("a name in quotes")


_pattern = _name  # a glob is written with the same signs


def _cavity(item: Any) -> str | Wrong:
    wrong = Wrong("a cavity (C12:4)")
    if not isinstance(item, str) or item.count(":") != 1:
        return wrong
    return wrong if any(not part or isinstance(read_name(part), Wrong) for part in item.split(":")) else item


def _connector_or_cavity(item: Any) -> str | Wrong:
    wrong = Wrong("a connector, or a cavity (C12:4)")
    found = _cavity(item) if isinstance(item, str) and ":" in item else _name(item)
    return wrong if isinstance(found, Wrong) else found


def _choice(*choices: str) -> Callable[[Any], str | Wrong]:
    wrong = Wrong("one of " + ", ".join(choices))
    return lambda item: item if isinstance(item, str) and item in choices else wrong


def _tap(item: Any) -> FoundTap | Wrong:
    wrong = Wrong('a table of at and what ({ at = "C12:7", what = "alarm siren feed" })')
    if not isinstance(item, dict) or set(item) != {"at", "what"}:
        return wrong
    at, what = _cavity(item["at"]), _text_value(item["what"])
    return wrong if isinstance(at, Wrong) or isinstance(what, Wrong) else FoundTap(at, what)


def _bridge(item: Any) -> tuple[str, str] | Wrong:
    wrong = Wrong('two different cavities (["C3:1", "C3:2"])')
    if not isinstance(item, list) or len(item) != 2 or item[0] == item[1]:
        return wrong
    one, other = map(_cavity, item)
    return wrong if isinstance(one, Wrong) or isinstance(other, Wrong) else (one, other)


def _is_number(item: Any) -> bool:
    return isinstance(item, int | float) and not isinstance(item, bool) and 0 <= item <= MOST_HOURS


def _number(item: Any) -> float | Wrong:
    return float(item) if _is_number(item) else Wrong(f"hours, 0 to {MOST_HOURS}")


def _hours(item: Any) -> Hours | Wrong:
    numbers = item if isinstance(item, list) else [item]
    if len(numbers) not in (1, 3) or not all(map(_is_number, numbers)) or sorted(numbers) != numbers:
        return Wrong("hours: one number, or [best, likely, worst]")
    return tuple(float(number) for number in numbers)


def _people(item: Any) -> int | Wrong:
    if not isinstance(item, int) or isinstance(item, bool) or not 1 <= item <= 1000:
        return Wrong("how many people, 1 to 1000")
    return item


def _hours_per_day(item: Any) -> float | Wrong:
    if not _is_number(item) or not 0 < item <= _HOURS_OF_A_DAY:
        return Wrong(f"hours of work a day, above 0 and at most {_HOURS_OF_A_DAY}")
    return float(item)
