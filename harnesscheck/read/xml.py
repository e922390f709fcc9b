"""Reads the XML form: expat's events become typed rows, each with its exact line and column.

A DOCTYPE is refused, and with it every entity of one's own and every outside
file. A fault in one element does not stop the reading of the rest; XML that is
not well-formed does.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, BinaryIO
from xml.parsers import expat

from harnesscheck.fields import NAMESPACE, ROWS
from harnesscheck.model.places import Place, Source
from harnesscheck.read.faults import Faults
from harnesscheck.read.files import open_regular
from harnesscheck.read.limits import Limits
from harnesscheck.read.values import Origin, Typer

Take = Callable[[str, dict[str, Any], Origin], None]

_SEPARATOR = " "  # cannot stand in a namespace or a name
_CHUNK = 1 << 16
_MAX_TOKEN = 1 << 20  # bytes of one tag; expat reads a tag again for every chunk it spreads over
_ELEMENTS = {f"{NAMESPACE}{_SEPARATOR}{row.name}": row for row in ROWS}
_OWNERS = ("connector", "component")  # told by the parent, not by an attribute


def read_xml(path: Path, faults: Faults, limits: Limits, take: Take) -> None:
    """Hand every row of an XML netlist to ``take``, the header first.

    Raises ``StopReading`` when it cannot go on.
    """
    with open_regular(path, faults, limits) as file:
        _Reader(Source(str(path)), faults, limits, take).read(file)


class _Open:
    """An element whose end has not come yet. ``sort`` is empty inside something unknown."""

    __slots__ = ("id", "sort", "text_seen")

    def __init__(self, sort: str, id_: str | None) -> None:
        self.sort = sort
        self.id = id_
        self.text_seen = False


class _Reader:
    def __init__(self, source: Source, faults: Faults, limits: Limits, take: Take) -> None:
        self._source = source
        self._faults = faults
        self._limits = limits
        self._take = take
        self._typer = Typer(faults, limits)
        self._open: list[_Open] = []
        self._parser = parser = expat.ParserCreate(namespace_separator=_SEPARATOR)
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        parser.StartDoctypeDeclHandler = self._doctype

    def read(self, file: BinaryIO) -> None:
        """Feed the file to expat piece by piece."""
        fed = 0
        try:
            while chunk := file.read(_CHUNK):
                self._parser.Parse(chunk, False)
                fed += len(chunk)
                if fed - self._parser.CurrentByteIndex > _MAX_TOKEN:
                    most = f"tags of at most {_MAX_TOKEN} bytes"
                    self._faults.stop(self._place(), "a tag without end", most)
            self._parser.Parse(b"", True)
        except expat.ExpatError as error:
            place = Place(self._source.path, error.lineno, error.offset + 1)
            self._faults.stop(place, expat.ErrorString(error.code), "well-formed XML")

    def _origin(self) -> Origin:
        parser = self._parser
        return Origin(self._source, parser.CurrentLineNumber, parser.CurrentColumnNumber + 1)

    def _place(self) -> Place:
        return self._origin().place()

    def _doctype(self, name: str, *_: object) -> None:
        self._faults.stop(self._place(), f"<!DOCTYPE {name}>", "a netlist without DOCTYPE")

    def _start(self, name: str, texts: dict[str, str]) -> None:
        origin = self._origin()
        if not self._open:
            self._root(name, texts, origin)
            return
        if len(self._open) >= self._limits.max_depth:
            most = f"at most {self._limits.max_depth} elements inside each other (a limit, can be raised)"
            self._faults.stop(origin.place(), _written(name), most)
        parent = self._open[-1]
        row = _ELEMENTS.get(name)
        if row is None or parent.sort not in row.parents:
            parent = self._misplaced(name, origin)
        if row is None or not parent.sort:
            self._open.append(_Open("", None))
        else:
            self._row(row.name, parent, texts, origin)

    def _misplaced(self, name: str, origin: Origin) -> _Open:
        """Report an element that cannot stand here; answers with what to read it as a part of."""
        parent = self._open[-1]
        row = _ELEMENTS.get(name)
        if not parent.sort and row is None:
            return parent  # what holds it has been reported
        if row is None:
            inside = ", ".join(f"<{one.name}>" for one in ROWS if parent.sort in one.parents)
            self._faults.add(origin.place(), _written(name), f"inside <{parent.sort}>: {inside or 'no element'}")
            return _NOTHING
        if parent.sort:
            places = " or ".join(f"<{one}>" for one in row.parents) or "nothing, as the root"
            self._faults.add(origin.place(), f"<{row.name}> inside <{parent.sort}>", f"it inside {places}")
        return self._open[0] if "netlist" in row.parents else _NOTHING

    def _row(self, sort: str, parent: _Open, texts: dict[str, str], origin: Origin) -> None:
        for owner in _OWNERS:
            if owner in texts:
                expected = f"no {owner}= in XML; what <{sort}> stands in tells it"
                self._faults.add(origin.place(), f"{owner}={texts.pop(owner)}", expected)
        values = self._typer.values(sort, texts, origin)
        if parent.sort != "netlist":
            values[parent.sort] = parent.id
        self._open.append(_Open(sort, values.get("id")))
        self._take(sort, values, origin)

    def _root(self, name: str, texts: dict[str, str], origin: Origin) -> None:
        expected = f'a netlist: <netlist xmlns="{NAMESPACE}">'
        local = name.rpartition(_SEPARATOR)[2]
        if local == "KBL_container":
            expected += "; export it as tables or as such a netlist"
            self._faults.stop(origin.place(), "a KBL file", expected)
        if name not in _ELEMENTS or local != "netlist":
            self._faults.stop(origin.place(), _written(name), expected)
        self._open.append(_Open("netlist", None))
        header = self._typer.values("netlist", texts, origin)
        self._typer = Typer(self._faults, self._limits, header.get("colour_code"))
        self._take("netlist", header, origin)

    def _end(self, name: str) -> None:
        self._open.pop()

    def _text(self, text: str) -> None:
        if text.isspace():
            return
        opened = self._open[-1]
        if not opened.text_seen:
            opened.text_seen = True
            place = self._place()
            place = replace(place, column=place.column + len(text) - len(text.lstrip()))
            self._faults.add(place, text.strip(), "elements only, no text between them")


def _written(name: str) -> str:
    """An element's name as a person would write it."""
    namespace, _, local = name.rpartition(_SEPARATOR)
    if namespace == NAMESPACE:
        return f"<{local}>"
    return f"<{local}> in namespace {namespace}" if namespace else f"<{local}> in no namespace"


_NOTHING = _Open("", None)
