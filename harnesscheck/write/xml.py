"""Writes the XML form: one row a line, in natural order, so that one changed wire is one changed line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

from harnesscheck.fields import NAMESPACE, ROWS
from harnesscheck.model.records import TABLE_OF, Netlist
from harnesscheck.read.values import UNKNOWN
from harnesscheck.write.atomic import write_text
from harnesscheck.write.order import written_rows
from harnesscheck.write.texts import Texts, row_texts

_INDENT = "  "
_ESCAPES = str.maketrans(
    {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\t": "&#9;", "\n": "&#10;", "\r": "&#13;"}
)
_INSIDE_OTHERS = ("connector", "pin", "inside")


def write_xml(netlist: Netlist, path: Path) -> None:
    """Write a netlist as one XML file, whole or not at all. Raises OSError."""
    write_text(path, xml_text(netlist))


def xml_text(netlist: Netlist) -> str:
    """The netlist as XML; reads back as the same netlist but for places.

    Raises ValueError for a row whose component or connector the netlist does not hold.
    """
    return "".join(f"{line}\n" for line in _lines(netlist))


def _lines(netlist: Netlist) -> Iterator[str]:
    yield '<?xml version="1.0" encoding="UTF-8"?>'
    yield _tag("netlist", {"xmlns": NAMESPACE} | row_texts("netlist", netlist.header), 0, ">")
    written = {sort: written_rows(sort, getattr(netlist, slot)) for sort, slot in TABLE_OF.items()}
    _judge_owners(written)
    nested = {(sort, owner): _by(written[sort], owner) for sort, owner in _NESTED}
    for row in ROWS:
        if row.name == "component":
            for texts in written["component"]:
                yield from _component(texts, nested)
        elif row.name == "connector":
            for texts in written["connector"]:
                if "component" not in texts:
                    yield from _connector({"id": texts["id"], "harness": UNKNOWN} | texts, 1, nested)
        elif row.name in written and row.name not in _INSIDE_OTHERS:
            for texts in written[row.name]:
                yield _tag(row.name, texts, 1)
    yield "</netlist>"


_NESTED = (("connector", "component"), ("pin", "component"), ("pin", "connector"), ("inside", "component"))
Nested = dict[tuple[str, str], dict[str, list[Texts]]]


def _by(rows: Iterable[Texts], owner: str) -> dict[str, list[Texts]]:
    """Rows by what they stand inside, which XML tells by nesting."""
    groups: dict[str, list[Texts]] = defaultdict(list)
    for texts in rows:
        if owner in texts:
            groups[texts[owner]].append({name: text for name, text in texts.items() if name != owner})
    return groups


def _judge_owners(written: dict[str, list[Texts]]) -> None:
    for sort, owner in _NESTED:
        known = {texts["id"] for texts in written[owner]}
        lost = sorted({texts[owner] for texts in written[sort] if owner in texts} - known)
        if lost:
            raise ValueError(f"{sort} rows name the {owner} {lost[0]}, which the netlist does not hold")


def _component(texts: Texts, nested: Nested) -> Iterator[str]:
    name = texts["id"]
    connectors = nested["connector", "component"].get(name, [])
    lines = [line for connector in connectors for line in _connector(connector, 2, nested)]
    lines += [_tag("pin", pin, 2) for pin in nested["pin", "component"].get(name, [])]
    lines += [_tag("inside", inside, 2) for inside in nested["inside", "component"].get(name, [])]
    yield from _element("component", texts, 1, lines)


def _connector(texts: Texts, depth: int, nested: Nested) -> Iterator[str]:
    pins = nested["pin", "connector"].get(texts["id"], [])
    yield from _element("connector", texts, depth, [_tag("pin", pin, depth + 1) for pin in pins])


def _element(sort: str, texts: Texts, depth: int, inside: list[str]) -> Iterator[str]:
    if not inside:
        yield _tag(sort, texts, depth)
        return
    yield _tag(sort, texts, depth, ">")
    yield from inside
    yield f"{_INDENT * depth}</{sort}>"


def _tag(sort: str, texts: Texts, depth: int, end: str = "/>") -> str:
    attributes = "".join(f' {name}="{text.translate(_ESCAPES)}"' for name, text in texts.items())
    return f"{_INDENT * depth}<{sort}{attributes}{end}"
