"""What was read from a manual's pages: what is restraint, what a person is asked, the rows, and how they were read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from harnesscheck.read.pages.pinlist import ReadCell, ReadRow, names_of
from harnesscheck.read.pages.read import PagesRead, TableTaken
from harnesscheck.read.pages.typed import Against
from harnesscheck.report.blocks.vocabulary import (
    AnyBlock,
    Caution,
    Facts,
    Listing,
    Paragraph,
    Report,
    Section,
    present,
    section,
    table,
)
from harnesscheck.report.document import envelope
from harnesscheck.write.pagerows import COLUMNS, doubt_words, ordered_rows, pin_texts

_SHOWN = tuple(name for name in COLUMNS if name not in ("connector", "source"))
_LEFT_OUT = 12

_MOST = 40

Hazards = Mapping[tuple[str, str], str]
Typed = Sequence[tuple[str, Against]]
"""How what was read differs from each car that somebody typed, by its file."""


def pages_report(read: PagesRead, hazards: Hazards, against: Typed = ()) -> Report:
    """How each table was understood, what must be asked, then the rows, by plug."""
    blocks: list[AnyBlock] = [
        section(_title(one), *_understood(one)) or Section(_title(one), ()) for one in read.tables
    ]
    asked = list(_asked(read))
    blocks += present(
        _caution(hazards),
        section("Look at these", Listing(tuple(asked))) if asked else None,
        *(Section(f"Against {path}", tuple(_differs(one))) for path, one in against),
        *_rows(read, hazards),
        section("Not read", Listing(tuple(f"{where}: {why}" for where, why in read.without))) if read.without else None,
    )
    return Report("read-table", _about(read, len(asked)), tuple(blocks), inputs={})


def _about(read: PagesRead, asked: int) -> tuple[tuple[str, str], ...]:
    plugs = len({row.connector for row in read.rows})
    used = sum(not row.empty for row in read.rows)
    rows = f"{used} rows of {plugs} plug{'s' if plugs != 1 else ''}, {len(read.rows) - used} cavities not used"
    doubt = f"{asked}: not known until somebody looked" if asked else "none"
    return (("read", rows), ("doubtful", doubt))


def _differs(one: Against) -> Iterator[AnyBlock]:
    """What was typed and read differently, with both places; what only one of them has."""
    told = tuple(
        f"{it.connector}:{it.cavity} {it.field}: typed {it.typed} ({it.typed_at}), read {it.read} ({it.read_at})"
        for it in one.disagreements
    )
    read = tuple(f"{contact} ({where})" for contact, where in one.only_read)
    typed = tuple(f"{contact} ({where})" for contact, where in one.only_typed)
    if told:
        yield Listing(told, "Typed and read differently; neither is taken:")
    if read:
        yield Listing(read, "Read, and nothing typed there:", most=_MOST, noun="contacts")
    if typed:
        yield Listing(typed, "Typed, and not on these pages:", most=_MOST, noun="contacts")
    if one.other_plugs:
        yield Paragraph(f"Plugs of which nothing is typed: {', '.join(one.other_plugs)}.")
    if not (told or read or typed):
        yield Paragraph("Nothing else differs." if one.other_plugs else "Nothing differs.")


def pages_document(
    read: PagesRead, hazards: Hazards, against: Typed, inputs: Mapping[str, Sequence[Mapping[str, str | int | None]]]
) -> dict[str, Any]:
    """The JSON of what was read: tables, rows with the box of each cell, what differs from cars that were typed."""
    return envelope("read-table", inputs, {}) | {
        "tables": [_table_document(one) for one in read.tables],
        "rows": [_row_document(row, hazards) for row in ordered_rows(read)],
        "mates": [list(pair) for pair in read.mates],
        "no-table": [{"place": where, "why": why} for where, why in read.without],
        "typed": [{"file": path, **_against_document(one)} for path, one in against],
    }


def _table_document(one: TableTaken) -> dict[str, Any]:
    columns = [
        {"number": column.number, "heading": column.heading, "field": column.field, "why": column.why}
        for column in one.layout.columns
    ]
    left = [{"row": text, "why": why} for text, why in one.pins.left_out]
    return {"source": one.layout.grid.source, "plugs": list(dict.fromkeys(one.names)), "named-by": one.named_by,
            "columns": columns, "left-out": left}  # fmt: skip


def _row_document(row: ReadRow, hazards: Hazards) -> dict[str, Any]:
    cells = {name: _cell_document(cell) for name, cell in row.cells.items()}
    hazard = ", ".join(dict.fromkeys(said for name in names_of(row) if (said := hazards.get((row.connector, name)))))
    return {"connector": row.connector, "source": row.source, "page": row.page, "line": row.line,
            "not-used": row.empty, "hands-off": hazard, "cells": cells}  # fmt: skip


def _cell_document(cell: ReadCell) -> dict[str, Any]:
    box = cell.box
    where = None if box is None else [round(one, 2) for one in (box.left, box.top, box.right, box.bottom)]
    return {"text": cell.text, "written": cell.written, "readings": list(cell.readings), "why": cell.why,
            "score": round(cell.score, 3), "box": where}  # fmt: skip


def _against_document(one: Against) -> dict[str, Any]:
    return {
        "disagreements": [asdict(it) for it in one.disagreements],
        "only-read": [{"contact": contact, "place": where} for contact, where in one.only_read],
        "only-typed": [{"contact": contact, "place": where} for contact, where in one.only_typed],
        "other-plugs": list(one.other_plugs),
    }


def _title(one: TableTaken) -> str:
    return f"How {one.layout.grid.source} was understood"


def _understood(one: TableTaken) -> Iterator[AnyBlock]:
    columns = [
        f"column {column.number}, {column.heading or 'no heading'}: {column.field or 'not read'} ({column.why})"
        for column in one.layout.columns
    ]
    yield Listing(tuple(columns))
    plugs = [(" and ".join(dict.fromkeys(one.names)), one.named_by)]
    yield Facts(tuple((f"plug {name}", why) for name, why in plugs))
    said = [
        (f"{plug.id}", ", ".join(filter(None, (f"{plug.cavities} cavities" if plug.cavities else "",
                                             plug.housing_colour, plug.half, plug.at))))
        for plug in one.pins.plugs
    ]  # fmt: skip
    told = tuple(dict.fromkeys((name, text) for name, text in said if text))
    if told:
        yield Facts(told)
    left = tuple(f"{text} ({why})" for text, why in one.pins.left_out)
    if left:
        yield Listing(left, "Left out:", most=_LEFT_OUT, noun="rows")


def _caution(hazards: Hazards) -> Caution | None:
    if not hazards:
        return None
    names = ", ".join(f"{plug}:{cavity} ({what})" for (plug, cavity), what in hazards.items())
    return Caution(
        (f"Restraint or high-voltage wiring: {names}. Hands off: the maker's procedure, by a licensed person.",),
        urgent=True,
    )


def _asked(read: PagesRead) -> Iterator[str]:
    """Every cell that is not known, and every two places that disagree."""
    for row in read.rows:
        for name, cell in row.doubts.items():
            where = f"{row.connector}:{row.text('cavity') or '?'} ({row.source}, row {row.line})"
            yield f"{where}: {doubt_words(name, cell.written, cell.readings)}: {cell.why}"


def _rows(read: PagesRead, hazards: Hazards) -> Iterator[AnyBlock]:
    texts = pin_texts(read)
    for name in dict.fromkeys(row["connector"] for row in texts):
        own = [row for row in texts if row["connector"] == name]
        marked = {cavity: what for (plug, cavity), what in hazards.items() if plug == name}
        names = [column for column in _SHOWN if any(row.get(column) for row in own)]
        rows = [[row.get(column, "") for column in names] for row in own]
        if marked:
            names.append("hands-off")
            rows = [[*cells, marked.get(row["cavity"], "")] for cells, row in zip(rows, own, strict=True)]
        yield Section(f"Plug {name}", (table(f"Rows of {name}", names, rows),))
