"""How a file was read: what each column was taken for, and what its writer is asked. Blocks and JSON."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import Any

from harnesscheck.model.places import Place, ascii_safe
from harnesscheck.read.remarks import HowRead, Remark, TakenColumn
from harnesscheck.report.blocks.vocabulary import Listing, Section, section

_SHOWN = 100  # remarks in a terminal; page and JSON have them all


def how_read_section(how: HowRead) -> Section | None:
    """Every column whose heading is not plainly a field's name, then every question; nothing where there is neither."""
    tables = groupby(how.columns, key=lambda column: Place(column.place.path, column.place.line, 0, column.place.sheet))
    columns = tuple(f"{where}: {', '.join(map(_taken, taken))}" for where, taken in tables)
    return section(
        "How the file was read",
        Listing(columns, "What each column was taken for:") if columns else None,
        _listing(how.remarks, "Said with the reading, and asked:"),
    )


def _listing(remarks: Iterable[Remark], head: str) -> Listing | None:
    items = tuple(map(str, remarks))
    return Listing(items, head, most=_SHOWN, where="in the JSON report") if items else None


def how_read_document(how: HowRead) -> dict[str, Any]:
    """The same as data."""
    return {"columns": list(map(_column, how.columns)), "remarks": list(map(_remark, how.remarks))}


def _taken(column: TakenColumn) -> str:
    heading = ascii_safe(column.heading) if column.heading else f"column {column.number}"
    return f"{heading} is {column.field}" if column.field else f"{heading} is not read"


def _column(column: TakenColumn) -> dict[str, Any]:
    place = column.place
    return {
        "file": place.path,
        "sheet": place.sheet,
        "line": place.line,
        "column": column.number,
        "heading": column.heading,
        "field": column.field,
    }


def _remark(remark: Remark) -> dict[str, Any]:
    return {"at": str(remark.place), "read": remark.read, "said": remark.said, "count": remark.count}
