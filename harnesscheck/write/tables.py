"""Writes the table form: a folder of CSV files, one a table, with the columns that are in use.

A text that a spreadsheet would take for a formula, and one that a reader would
take for a manual's mark of an empty cavity, has an apostrophe before it; the
reader takes it away again.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from pathlib import Path

from harnesscheck.fields import ROWS, fields_of, row_sort
from harnesscheck.model.records import TABLE_OF, Netlist
from harnesscheck.read.grids import DELIMITERS
from harnesscheck.read.headers import table_sort
from harnesscheck.read.pinrows import MARKED, is_mark
from harnesscheck.read.spoilt import CAVITIES, spoilt
from harnesscheck.read.values import UNKNOWN
from harnesscheck.write.atomic import write_folder
from harnesscheck.write.order import written_rows
from harnesscheck.write.texts import Texts, row_texts

TABLE_FILES = tuple(f"{row.table}.csv" for row in ROWS)
_ALWAYS = {"pin": ("connector", "cavity")}  # the one table a netlist needs
_NAMES = ("id", "connector", "component", "cavity", "harness", "from", "to", "terminal")  # may be a row's first cell
_NUMBER = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?")


def write_tables(netlist: Netlist, path: Path) -> None:
    """Write a netlist as a folder of CSV files, whole or not at all.

    A folder that holds anything but such tables is never replaced. Raises OSError.
    """
    write_folder(path, table_texts(netlist), TABLE_FILES)


def table_texts(netlist: Netlist) -> dict[str, str]:
    """The text of each table by file name; read together they are the same netlist but for places."""
    return {f"{row_sort(sort).table}.csv": csv_text(columns, rows) for sort, columns, rows in table_rows(netlist)}


def table_rows(netlist: Netlist) -> list[tuple[str, list[str], list[Texts]]]:
    """Each table that holds anything: its sort of row, the columns in use, its rows."""
    rows = {sort: written_rows(sort, getattr(netlist, slot)) for sort, slot in TABLE_OF.items()}
    header = row_texts("netlist", netlist.header)
    rows["netlist"] = [header] if header else []
    for texts in rows["connector"]:
        if "component" not in texts:
            texts.setdefault("harness", UNKNOWN)
    tables = [(row.name, columns_in_use(row.name, rows[row.name]), rows[row.name]) for row in ROWS]
    return [table for table in tables if table[1]]


def lone_table(netlist: Netlist, stem: str) -> tuple[str, list[str]]:
    """The netlist as one file of pins of that name, and the tables that would be lost by it."""
    texts = table_texts(netlist)
    pins = texts.pop("pins.csv", csv_text(_ALWAYS["pin"], []))
    named = {pin.connector for pin in netlist.pins}
    if all(row_texts("connector", row) == {"id": row.id} and row.id in named for row in netlist.connectors):
        texts.pop("connectors.csv", None)  # a pin that names it says as much
    lost = [name.removesuffix(".csv") for name in texts]
    if table_sort(stem) not in (None, "pin"):
        lost.append(f"pins, which a file called {stem}.csv does not hold")
    return pins, lost


def columns_in_use(sort: str, rows: Sequence[Texts]) -> list[str]:
    """The fields any of the rows says something in, in the order of ``fields``."""
    used = {name for texts in rows for name in texts} | set(_ALWAYS.get(sort, ()))
    return [field.name for field in fields_of(sort) if field.name in used]


def csv_text(columns: Sequence[str], rows: Sequence[Texts]) -> str:
    """Rows under a header line of their columns, with line feeds only."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([guarded(name, texts.get(name, "")) for name in columns] for texts in rows)
    return text.getvalue()


def guarded(column: str, text: str) -> str:
    """The text with an apostrophe before it where a spreadsheet or the reader would take it for something else."""
    sign = text[:1] in ("+", "-") and len(text) > 1 and not _NUMBER.fullmatch(text)
    mark = column in MARKED and is_mark(text)
    mark |= column in CAVITIES and bool(spoilt(text))
    mark |= column in _NAMES and any(sign in text for sign in DELIMITERS[1:])
    return f"'{text}" if (text[:1] in tuple("=@\t\r'") and text) or sign or mark else text
