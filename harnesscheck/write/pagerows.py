"""The rows read from a manual's pages as one table of pins, as a person would have typed it."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from harnesscheck.read.pages.pinlist import ReadRow, names_of
from harnesscheck.read.pages.read import PagesRead
from harnesscheck.read.pages.titles import PlugTitle
from harnesscheck.read.values import UNKNOWN
from harnesscheck.write.tables import guarded

COLUMNS = (
    "connector", "cavity", "circuit", "colour", "size", "function", "to", "length", "terminal", "contact", "option",
    "without", "note", "source",
)  # fmt: skip
NOT_USED = "not used"


def rows_csv(read: PagesRead) -> str:
    """All rows as CSV: a line for each plug of which more than the name is known, then its rows.

    What is not known is left blank and its readings stand in ``note``; a row whose cavity is
    not known has ``?`` there, and its plug then counts as one not all of whose cavities are known.
    """
    texts = pin_texts(read)
    columns = [name for name in COLUMNS if name in ("connector", "cavity") or any(row.get(name) for row in texts)]
    lines: list[dict[str, str]] = []
    told: set[str] = set()
    for row in texts:
        if row["connector"] not in told:
            told.add(row["connector"])
            lines += [{"connector": text} for text in _heading(read.plugs, row["connector"])]
        lines.append(row)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    for line in lines:
        # Of a row that is not used the words are the mark that the reader looks for, and not a text to guard.
        writer.writerow([text if (text := line.get(name, "")) is NOT_USED else guarded(name, text) for name in columns])
    return out.getvalue()


def pin_texts(read: PagesRead) -> list[dict[str, str]]:
    """Every row's texts by column, the rows of a plug together."""
    known = {(row.connector, name) for row in read.rows for name in names_of(row)}
    return [_texts(row, known) for row in ordered_rows(read)]


def ordered_rows(read: PagesRead) -> list[ReadRow]:
    """The rows of each plug together, the plugs as they were first met."""
    order = {name: at for at, name in enumerate(dict.fromkeys(row.connector for row in read.rows))}
    return sorted(read.rows, key=lambda row: order[row.connector])


def plug_headings(read: PagesRead) -> dict[str, list[str]]:
    """The line that stands above the rows of each plug, where there is one."""
    return {row.connector: _heading(read.plugs, row.connector) for row in read.rows}


def _heading(plugs: Sequence[PlugTitle], name: str) -> list[str]:
    """``C15, 20-way, left front pillar``."""
    plug = next((one for one in plugs if one.id == name), None)
    if plug is None or not (plug.cavities or plug.at):
        return []
    ways = f"{plug.cavities}-way" if plug.cavities else ""
    return [", ".join(filter(None, (name, ways, plug.at, plug.housing_colour)))]


def _texts(row: ReadRow, known: set[tuple[str, str]]) -> dict[str, str]:
    texts = {name: row.text(name) for name in COLUMNS if row.text(name)}
    notes = [texts.pop("note", "")]
    if (end := texts.get("to")) and tuple(end.split(":", 1)) not in known:
        notes.append(f"to {texts.pop('to')}")
    notes += [doubt_words(name, cell.written, cell.readings) for name, cell in row.doubts.items()]
    if row.empty:
        texts = {name: text for name, text in texts.items() if name in ("cavity", "option", "without")}
        texts["function"] = NOT_USED
    texts["connector"] = row.connector
    texts["cavity"] = texts.get("cavity") or UNKNOWN
    texts["note"] = "; ".join(filter(None, notes))
    texts["source"] = row.source
    return texts


def doubt_words(name: str, written: str, readings: Sequence[str]) -> str:
    """``colour not known, read as violetred or violet/red``."""
    said = list(dict.fromkeys(filter(None, (written, *readings))))
    return f"{name} not known, read as {' or '.join(said)}"
