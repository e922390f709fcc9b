"""Looks an XML part of a workbook through before a library reads it into memory.

What a library keeps of a text is many times the text. Refused is whatever would
make it keep more than a row at a time: a DOCTYPE, depth without end, a million
elements without a row between them, a tag or a text as long as a book.
"""

from __future__ import annotations

from typing import IO
from xml.parsers import expat

from harnesscheck.read.encodings import EXPECTED, can_read

MAX_DEPTH = 100  # elements inside each other; spreadsheets have about a dozen
MAX_ELEMENTS = 1_000_000  # between one row and the next
MAX_TOKEN = 1 << 20  # bytes of one tag or one text; a cell holds 32,767 characters
_CHUNK = 1 << 16
_ROWS = ("row", "si")  # a row of cells, an entry of the table of texts
_TAG_START = ">"  # stands before an element's own name when its namespace is written before it


class Refused(Exception):
    """Raised for a part that is too much: what was read, and what was expected."""

    def __init__(self, read: str, expected: str) -> None:
        super().__init__(read)
        self.read = read
        self.expected = expected


class Bounds:
    """Looks one part through."""

    def __init__(self) -> None:
        self._depth = 0
        self._elements = 0
        self._last_tag = 0  # where the tag before this one is, in bytes
        self._parser = parser = expat.ParserCreate(namespace_separator=_TAG_START)
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.StartDoctypeDeclHandler = self._doctype
        parser.XmlDeclHandler = self._declaration

    def judge(self, stream: IO[bytes]) -> None:
        """Read to the end. Raises Refused, and expat.ExpatError for what is not well-formed."""
        fed = 0
        while chunk := stream.read(_CHUNK):
            self._parser.Parse(chunk, False)
            fed += len(chunk)
            if fed - self._last_tag > MAX_TOKEN + _CHUNK:
                raise Refused("a tag or text without end", f"tags and texts of at most {MAX_TOKEN} bytes")
        self._parser.Parse(b"", True)

    def _declaration(self, _: str, encoding: str | None, __: int) -> None:
        if encoding is not None and not can_read(encoding):
            raise Refused(f"encoding {encoding}", EXPECTED)

    def _doctype(self, *_: object) -> None:
        raise Refused("a DOCTYPE", "a workbook without DOCTYPE")

    def _start(self, name: str, _: object) -> None:
        self._last_tag = self._parser.CurrentByteIndex
        self._depth += 1
        self._elements = 0 if name.rpartition(_TAG_START)[2] in _ROWS else self._elements + 1
        if self._depth > MAX_DEPTH:
            raise Refused("an element at great depth", f"at most {MAX_DEPTH} elements inside each other")
        if self._elements > MAX_ELEMENTS:
            raise Refused("a row without end", f"at most {MAX_ELEMENTS} elements in a row")

    def _end(self, _: str) -> None:
        self._last_tag = self._parser.CurrentByteIndex
        self._depth -= 1
