"""Feeds an XML file to expat with what holds for every XML that is read here.

A DOCTYPE is refused, and with it every entity of one's own and every outside
file; a tag without end, an encoding that cannot be read and too deep nesting end the reading at
their place, as does XML that is not well-formed.
"""

from __future__ import annotations

from typing import BinaryIO, NoReturn
from xml.parsers import expat

from harnesscheck.model.places import Place, Source
from harnesscheck.read.encodings import EXPECTED, can_read
from harnesscheck.read.faults import Faults
from harnesscheck.read.limits import Limits
from harnesscheck.read.values import Origin

SEPARATOR = " "  # between namespace and name: cannot stand in either
_CHUNK = 1 << 16
_MAX_TOKEN = 1 << 20  # bytes of one tag; expat reads a tag again for every chunk it spreads over


class ExpatReader:
    """Reads one file. A reader of a format says what an element's start, end and text mean."""

    WHAT = ""  # what is read, with its article, in the fault of a DOCTYPE

    def __init__(self, source: Source, faults: Faults, limits: Limits) -> None:
        self._source = source
        self._faults = faults
        self._limits = limits
        self._parser = parser = expat.ParserCreate(namespace_separator=SEPARATOR)
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        parser.StartDoctypeDeclHandler = self._doctype
        parser.XmlDeclHandler = self._declaration

    def _start(self, name: str, texts: dict[str, str]) -> None:
        raise NotImplementedError

    def _end(self, name: str) -> None:
        raise NotImplementedError

    def _text(self, text: str) -> None:
        raise NotImplementedError

    def feed(self, file: BinaryIO) -> None:
        """Feed the file to expat piece by piece. Raises ``StopReading`` when it cannot go on."""
        fed = 0
        try:
            while chunk := file.read(_CHUNK):
                self._faults.contents.update(chunk)
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

    def _stop_too_deep(self, written: str) -> NoReturn:
        """Stop at an element that is inside too many others."""
        most = f"at most {self._limits.max_depth} elements inside each other (a limit, can be raised)"
        self._faults.stop(self._place(), written, most)

    def _declaration(self, _: str, encoding: str | None, __: int) -> None:
        if encoding is not None and not can_read(encoding):
            self._faults.stop(self._place(), f"encoding {encoding}", EXPECTED)

    def _doctype(self, name: str, *_: object) -> None:
        self._faults.stop(self._place(), f"<!DOCTYPE {name}>", f"{self.WHAT} without DOCTYPE")
