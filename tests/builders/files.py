"""Small netlists for the tests of reading and writing."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path
from typing import Any

from harnesscheck.fields import NAMESPACE
from harnesscheck.model.places import NOWHERE, InputFault
from harnesscheck.model.records import TABLE_OF, Netlist
from harnesscheck.read import read_netlist


def xml(body: str, header: str = "") -> str:
    """A netlist around some rows; the rows begin on line 2."""
    return f'<netlist xmlns="{NAMESPACE}"{" " if header else ""}{header}>\n{body}\n</netlist>\n'


def read_xml(folder: Path, body: str, header: str = "", name: str = "car.xml") -> Netlist | list[InputFault]:
    """Read rows as a file."""
    path = folder / name
    path.write_text(xml(body, header), encoding="utf-8")
    return read_netlist(path)


def read_csv(folder: Path, **tables: str) -> Netlist | list[InputFault]:
    """Read a folder with one file a table; two underscores in a name stand for a dash."""
    for name, text in tables.items():
        (folder / f"{name.replace('__', '-')}.csv").write_text(text, encoding="utf-8")
    return read_netlist(folder)


def good(result: Netlist | list[InputFault]) -> Netlist:
    """The netlist; a fault fails the test with its text."""
    assert isinstance(result, Netlist), "\n".join(map(str, result))
    return result


def messages(result: Netlist | list[InputFault]) -> list[str]:
    """Each fault as a line, without the folders before the file's name."""
    assert isinstance(result, list), "the netlist was read without a fault"
    return [str(replace(one, place=_short(one.place), other=_short(one.other))) for one in result]


def _short(place: Any) -> Any:
    return None if place is None else replace(place, path=Path(place.path).name)


def bare(netlist: Netlist) -> dict[str, Any]:
    """Everything a netlist says, without places and without the order of rows."""
    content: dict[str, Any] = {"header": _bare_row(netlist.header)}
    for table in TABLE_OF.values():
        content[table] = sorted(map(_bare_row, getattr(netlist, table)), key=repr)
    return content


def _bare_row(row: Any) -> Any:
    return replace(row, file=NOWHERE, line=0, column=0)


def by_id(rows: Any) -> dict[str, Any]:
    """Rows by id."""
    return {row.id: row for row in rows}


def said(row: Any) -> dict[str, Any]:
    """What a record says beyond its place."""
    left_out = ("file", "line", "column", "common")
    return {
        slot.name: getattr(row, slot.name)
        for slot in fields(row)
        if slot.name not in left_out and getattr(row, slot.name) not in (None, (), "")
    }
