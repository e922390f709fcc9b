"""Reads a KBL file (VDA 4964, 2.3 SR-1 to 2.5 SR-1) into a small tree of what a netlist needs.

The parser is that of our own XML (``expatreader``); the number of elements is
bounded as well. All versions share one namespace and differ by optional
elements only, so that none is asked for its version. Only the root is
namespaced. Geometry, paperwork and parts lists are passed over.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from harnesscheck.model.places import Source
from harnesscheck.read.expatreader import SEPARATOR, ExpatReader
from harnesscheck.read.faults import Faults
from harnesscheck.read.files import open_regular
from harnesscheck.read.limits import Limits

ENDING = ".kbl"
KBL = "KBL_container"
NOT_READ = {
    "KBL_schema": "a KBL file of version 2.2 or older",
    "VecContent": "a VEC file (VDA 4968)",
}
VERSIONS = "a KBL file of 2.3 SR-1 to 2.5 SR-1 (root KBL_container), or a netlist as XML or tables"
_ROOT = re.compile(rb"<(?:[\w.-]+:)?([A-Za-z_][\w.-]*)[\s/>]")
_NO_ELEMENT = re.compile(rb"<\?.*?\?>|<!--.*?-->", re.DOTALL)
_MISSING = ("", "/NULL", "-")  # not managed, withheld, and what people write instead
_NAMESPACE = "http://www.prostep.org/Car_electric_container/KBL2.3/KBLSchema"
_TYPE = "http://www.w3.org/2001/XMLSchema-instance type"
_HEAD = 1 << 16  # processing instructions stand before the root in real files
_PASSED_OVER = frozenset((
    "Accessory", "Accessory_occurrence", "Alias_id", "Approval", "Assembly_part", "Assembly_part_occurrence",
    "Cartesian_point", "Change", "Change_description", "Co_pack_occurrence", "Co_pack_part", "Creation",
    "Default_dimension_specification", "Dimension_specification", "External_reference", "Fixing",
    "Fixing_occurrence", "Installation_information", "Localized_string", "Mass_information",
    "Material_information", "Node", "Placement", "Processing_information", "Routing", "Segment",
    "Wire_protection", "Wire_protection_occurrence",
))  # fmt: skip


class Element:
    """One element: its name without namespace, ``id``, the end of its ``xsi:type``, its text and what is inside."""

    __slots__ = ("column", "id", "inside", "kind", "line", "name", "text")

    def __init__(self, name: str, own: str | None, kind: str, line: int, column: int) -> None:
        self.name, self.id, self.kind, self.line, self.column = name, own, kind, line, column
        self.text = ""
        self.inside: list[Element] = []

    def all(self, *names: str) -> Iterator[Element]:
        """The elements at the end of a way of names."""
        first, *rest = names
        for one in self.inside:
            if one.name == first:
                yield from one.all(*rest) if rest else (one,)

    def one(self, *names: str) -> Element | None:
        """The first of them."""
        return next(self.all(*names), None)

    def said(self, *names: str) -> str | None:
        """The text of the first of them; None where it is not there or stands for nothing."""
        found = self.one(*names)
        text = " ".join(found.text.split()) if found is not None else ""
        return None if text in _MISSING else text

    def refs(self, name: str) -> list[str]:
        """The ids that the elements of a name point to."""
        return [ref for one in self.all(name) for ref in one.text.split()]


def root_of(path: Path, faults: Faults, limits: Limits) -> str:
    """The name of an XML file's root element without its namespace; empty where the file does not start as XML."""
    with open_regular(path, faults, limits) as file:
        head = file.read(_HEAD)
    head = head.removeprefix(codecs.BOM_UTF8).lstrip()
    if not head.startswith(b"<"):
        return ""
    found = _ROOT.search(_NO_ELEMENT.sub(b"", head))
    return found[1].decode("ascii", "replace") if found else "?"


def is_kbl(root: str) -> bool:
    """Whether a root is that of a KBL file, or of one that looks like it and is refused by name."""
    return root == KBL or root in NOT_READ


def kbl_tree(path: Path, faults: Faults, limits: Limits) -> Element:
    """The root of a KBL file. Raises ``StopReading`` for one that cannot be read."""
    with open_regular(path, faults, limits) as file:
        return _TreeReader(Source(str(path)), faults, limits).read(file)


class _TreeReader(ExpatReader):
    WHAT = "a KBL file"

    def __init__(self, source: Source, faults: Faults, limits: Limits) -> None:
        super().__init__(source, faults, limits)
        self._parser.buffer_text = True
        self._open: list[Element] = []
        self._passed = 0  # elements that are open inside one that is passed over
        self._left = limits.max_rows
        self._root: Element | None = None

    def read(self, file: BinaryIO) -> Element:
        """The root of the file."""
        self.feed(file)
        assert self._root is not None  # expat refuses a file without a root
        return self._root

    def _start(self, name: str, texts: dict[str, str]) -> None:
        namespace, _, local = name.rpartition(SEPARATOR)
        if self._root is None:
            self._judge_root(namespace, local)
        if self._passed or local in _PASSED_OVER:
            self._passed += 1
        if len(self._open) + self._passed >= self._limits.max_depth:
            self._stop_too_deep(f"<{local}>")
        if self._passed:
            return
        self._left -= 1
        if self._left < 0:
            most = f"at most {self._limits.max_rows} elements (a limit, can be raised)"
            self._faults.stop(self._place(), "one more element", most)
        kind, origin = texts.get(_TYPE, "").rpartition(":")[2], self._origin()
        one = Element(local, texts.get("id"), kind, origin.line, origin.column)
        if self._open:
            self._open[-1].inside.append(one)
        else:
            self._root = one
        self._open.append(one)

    def _judge_root(self, namespace: str, local: str) -> None:
        if local in NOT_READ:
            self._faults.stop(self._place(), NOT_READ[local], VERSIONS)
        if local != KBL or namespace != _NAMESPACE:
            where = f"namespace {namespace}" if namespace else "no namespace"
            self._faults.stop(self._place(), f"<{local}> in {where}", VERSIONS)

    def _end(self, _: str) -> None:
        if self._passed:
            self._passed -= 1
        else:
            self._open.pop()

    def _text(self, text: str) -> None:
        if not self._passed and self._open:
            self._open[-1].text += text
