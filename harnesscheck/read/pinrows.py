"""The habits of a manual's pin table: headings between the rows, and cavities marked as empty."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache

from harnesscheck.read.build import IF_THERE, Row, Values
from harnesscheck.read.faults import Faults
from harnesscheck.read.grids import DELIMITERS
from harnesscheck.read.spoilt import spoilt
from harnesscheck.read.values import Origin, cavity_names
from harnesscheck.trade.colours import read_colour
from harnesscheck.trade.lexicon import is_unused

_WAY = re.compile(r"([0-9]{1,4})[\s-]*(?:way|pin|pole|position|cavity|cavities)s?", re.I)
_DASHES = re.compile(r"[-–—]+")
_GUARDED = tuple("=+-@\t\r'")
MARKED = ("circuit", "function", "colour")  # where a manual says that a cavity is empty
_WIRE = ("size", "to", "length", "terminal", "role", "signal", "level", "bus")  # a row that gives one has a wire


def heading(cells: Sequence[str], spread: bool = True) -> dict[str, str] | None:
    """The connector that a heading row starts, such as ``C12, 16-way, left kick panel``.

    It stands in the first cell alone, or (where ``spread`` allows that) over
    cells, with the number of ways in the second. Such a connector needs no owner: it may be all that
    is known of the car.
    """
    filled = [cell.strip() for cell in cells if cell.strip()]
    alone = len(filled) == 1 and "," in filled[0]
    parts = [part.strip() for part in filled[0].split(",")] if alone else filled if spread else []
    if not cells or not cells[0].strip() or len(parts) < 2 or not parts[0] or re.search(r"\s", parts[0]):
        return None
    way = _WAY.fullmatch(parts[1])
    if way is None and not alone:
        return None
    rest = parts[2 if way else 1 :]
    housing = rest[-1] if way and rest and is_colour(rest[-1]) else ""
    at = ", ".join(rest[:-1] if housing else rest)
    return {"id": parts[0], "harness": "?", "cavities": way[1] if way else "", "at": at, "housing-colour": housing}


def is_colour(text: str) -> bool:
    """Whether words said of a plug are the colour of its housing and no place; two letters may be anything."""
    read = read_colour(text, None)
    return len(text) > 2 and not isinstance(read, str) and read.names is not None


def is_marked_empty(texts: Mapping[str, str]) -> bool:
    """Whether the row says that nothing is in the cavity, and nothing else that would be a wire."""
    marks = [texts[name] for name in MARKED if texts.get(name)]
    return bool(marks) and not any(texts.get(name) for name in _WIRE) and all(map(is_mark, marks))


def without_marks(texts: Mapping[str, str]) -> dict[str, str]:
    """The texts of a row that has a wire: a mark in one of its cells says that this is not written."""
    kept = dict(texts)
    for name in MARKED:
        text = kept.get(name, "")
        if _DASHES.fullmatch(text) or (name != "function" and is_mark(text)):
            del kept[name]
    return kept


@lru_cache(maxsize=1 << 14)
def is_mark(text: str) -> bool:
    """Whether a manual would write this where nothing is; what stands behind an apostrophe is meant as a text."""
    return _DASHES.fullmatch(text) is not None or (text[:1] != "'" and is_unused(text))


def without_guard(text: str) -> str:
    """The text without the apostrophe that keeps it from being taken for a formula, or for a mark."""
    if text[:1] != "'":
        return text
    kept = text[1:]
    guards = kept[:1] in _GUARDED or is_mark(kept) or spoilt(kept) or any(sign in kept for sign in DELIMITERS[1:])
    return kept if guards else text


class EmptyCavities:
    """Cavities that tables mark as empty."""

    def __init__(self) -> None:
        self._at: dict[tuple[str, str], Origin] = {}
        self._connectors: dict[str, Origin] = {}

    def add(self, values: Values, origin: Origin) -> None:
        """Note a row that is marked as empty; without connector or cavity it says nothing."""
        connector, cavity = values.get("connector"), values.get("cavity")
        if connector is not None and cavity is not None:
            self._connectors.setdefault(connector, origin)
            for name in cavity_names(cavity, ()):
                self._at.setdefault((connector, name), origin)

    def rows(self) -> list[Row]:
        """Each of them as a row that takes a wire of the base away, where the base has one there."""
        return [
            Row("pin", {"connector": connector, "cavity": cavity, "drop": IF_THERE}, origin)
            for (connector, cavity), origin in self._at.items()
        ]

    def settle(self, pins: Sequence[Row], connectors: list[Row], faults: Faults, *, over_base: bool) -> None:
        """Find the cavities that another row fills; a connector with nothing but empty ones is documented.

        Whose it is nobody says, and over a base that stays as it was.
        """
        filled = set()
        for row in pins:
            connector, cavity = row.values.get("connector"), row.values.get("cavity")
            filled.add(connector)
            for name in cavity_names(cavity, ()) if cavity is not None else ():
                if (empty := self._at.get((str(connector), name))) is not None:
                    expected = f"nothing in {connector}:{name}, which another row marks as empty"
                    faults.add(row.origin.place("cavity"), name, expected, empty.place("cavity"))
        known = {row.values.get("id"): row for row in connectors}
        for connector, origin in self._connectors.items():
            if connector not in filled:
                if connector not in known:
                    own: Values = {"id": connector} | ({} if over_base else {"harness": None})
                    connectors.append(Row("connector", own, origin))
                    known[connector] = connectors[-1]
                known[connector].values.setdefault("complete", True)
