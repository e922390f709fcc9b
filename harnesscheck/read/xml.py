"""Reads the XML form: expat's events become typed rows, each with its exact line and column.

A fault in one element does not stop the reading of the rest; XML that is not
well-formed does.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from harnesscheck.fields import NAMESPACE, ROWS
from harnesscheck.model.places import Source
from harnesscheck.read.build import IF_THERE, Begin, Take, Values
from harnesscheck.read.expatreader import SEPARATOR, ExpatReader
from harnesscheck.read.faults import Faults
from harnesscheck.read.files import open_regular
from harnesscheck.read.limits import Limits
from harnesscheck.read.listed import ListedPin, connector_of, listed_pins, without_lists
from harnesscheck.read.values import Origin, Typer

_ELEMENTS = {f"{NAMESPACE}{SEPARATOR}{row.name}": row for row in ROWS}
_OWNERS = ("connector", "component")  # told by the parent, not by an attribute


def read_xml(path: Path, faults: Faults, limits: Limits, begin: Begin, empties: bool = False) -> None:
    """Hand the header of an XML netlist to ``begin``, and every other row to what that answers with.

    With ``empties`` a cavity that is said to be empty is a row too, as it is over
    a base. Raises ``StopReading`` when it cannot go on.
    """
    with open_regular(path, faults, limits) as file:
        _XmlReader(Source(str(path)), faults, limits, begin, empties).feed(file)


Open = tuple[str, str | None]  # sort and id of an element whose end has not come; no sort inside something unknown
_NOTHING: Open = ("", None)


class _XmlReader(ExpatReader):
    WHAT = "a netlist"

    def __init__(self, source: Source, faults: Faults, limits: Limits, begin: Begin, empties: bool) -> None:
        super().__init__(source, faults, limits)
        self._begin = begin
        self._take: Take
        self._typer = Typer(faults, limits, told=_OWNERS)
        self._open: list[Open] = []
        self._empties = empties
        self._text_told = False  # text since the last tag has been reported

    def _start(self, name: str, texts: dict[str, str]) -> None:
        origin = self._origin()
        opened = self._open
        self._text_told = False
        if not opened:
            self._root(name, texts, origin)
            return
        if len(opened) >= self._limits.max_depth:
            self._stop_too_deep(_written(name))
        sort, owner = opened[-1]
        row = _ELEMENTS.get(name)
        if row is None or sort not in row.parents:
            sort, owner = self._misplaced(name, origin)
        if row is None or not sort:
            opened.append(_NOTHING)
            return
        listed: list[ListedPin] = []
        if row.name == "connector":
            listed, texts = listed_pins(texts, origin, self._faults, self._limits), without_lists(texts)
        values = self._typer.values(row.name, texts, origin)
        if sort != "netlist":
            values[sort] = owner
        opened.append((row.name, values.get("id")))
        self._take(row.name, values, origin)
        self._take_listed(listed, values, origin)

    def _take_listed(self, pins: list[ListedPin], connector: Values, origin: Origin) -> None:
        """Hand over the pins that a connector's row lists; an empty cavity seldom says anything."""
        for pin in pins:
            if not pin.empty or self._empties:
                values = self._typer.values("pin", pin.texts, origin)
                values |= {"connector": connector_of(pin, connector)} | ({"drop": IF_THERE} if pin.empty else {})
                self._take("pin", values, origin)

    def _misplaced(self, name: str, origin: Origin) -> Open:
        """Report an element that cannot stand here; answers with what to read it as a part of."""
        parent, _ = self._open[-1]
        row = _ELEMENTS.get(name)
        if not parent and row is None:
            return _NOTHING  # what holds it has been reported
        if row is None:
            inside = ", ".join(f"<{one.name}>" for one in ROWS if parent in one.parents)
            self._faults.add(origin.place(), _written(name), f"inside <{parent}>: {inside or 'no element'}")
            return _NOTHING
        if parent:
            places = " or ".join(f"<{one}>" for one in row.parents) or "nothing, as the root"
            self._faults.add(origin.place(), f"<{row.name}> inside <{parent}>", f"it inside {places}")
        return self._open[0] if "netlist" in row.parents else _NOTHING

    def _root(self, name: str, texts: dict[str, str], origin: Origin) -> None:
        expected = f'a netlist: <netlist xmlns="{NAMESPACE}">'
        local = name.rpartition(SEPARATOR)[2]
        if local == "KBL_container":
            expected += "; a KBL file is read under a name that ends in .kbl"
            self._faults.stop(origin.place(), "a KBL file", expected)
        if name not in _ELEMENTS or local != "netlist":
            self._faults.stop(origin.place(), _written(name), expected)
        self._open.append(("netlist", None))
        header = self._typer.values("netlist", texts, origin)
        self._empties |= header.get("base") is not None
        self._take = self._begin(header, origin)
        self._typer = Typer(self._faults, self._limits, header.get("colour_code"), told=_OWNERS)

    def _end(self, name: str) -> None:
        self._open.pop()
        self._text_told = False

    def _text(self, text: str) -> None:
        if text.isspace() or self._text_told:
            return
        self._text_told = True
        place = self._place()
        place = replace(place, column=place.column + len(text) - len(text.lstrip()))
        self._faults.add(place, text.strip(), "elements only, no text between them")


def _written(name: str) -> str:
    """An element's name as a person would write it."""
    namespace, _, local = name.rpartition(SEPARATOR)
    if namespace == NAMESPACE:
        return f"<{local}>"
    return f"<{local}> in namespace {namespace}" if namespace else f"<{local}> in no namespace"
