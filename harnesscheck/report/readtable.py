"""What was read from a manual's pages: what is restraint, what a person is asked, the rows, and how they were read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from harnesscheck.read.pages.read import PagesRead, TableTaken
from harnesscheck.report.blocks.vocabulary import (
    AnyBlock,
    Caution,
    Facts,
    Listing,
    Report,
    Section,
    present,
    section,
    table,
)
from harnesscheck.write.pagerows import COLUMNS, doubt_words, pin_texts

_SHOWN = tuple(name for name in COLUMNS if name not in ("connector", "source"))
_LEFT_OUT = 12

Hazards = Mapping[tuple[str, str], str]


def pages_report(read: PagesRead, hazards: Hazards) -> Report:
    """How each table was understood, what must be asked, then the rows, by plug."""
    blocks: list[AnyBlock] = [
        section(_title(one), *_understood(one)) or Section(_title(one), ()) for one in read.tables
    ]
    asked = list(_asked(read))
    blocks += present(
        _caution(hazards),
        section("Look at these", Listing(tuple(asked))) if asked else None,
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
