"""Several files and pages read as one car: what is said twice is once there, what is said differently is not known."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.progress import Told, silent
from harnesscheck.read.faults import Faults, StopReading
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits
from harnesscheck.read.pages.cells import PageGrid, SourceFile, SourcePage, source_words
from harnesscheck.read.pages.layout import Layout, layout_of
from harnesscheck.read.pages.pagelimits import PAGE_LIMITS, PageLimits
from harnesscheck.read.pages.pinlist import PinList, ReadRow, pins_of
from harnesscheck.read.pages.sources import How, read_source
from harnesscheck.read.pages.titles import PlugTitle
from harnesscheck.read.pool import ADDED_UP

NO_TABLE = "no table of pins"
DRAWING = "a drawing and no table: the wires of a wiring diagram are not read"


@dataclass(frozen=True, slots=True)
class Given:
    """One source: its bytes, what it is called, and the pages that are wanted (none: all)."""

    data: bytes
    name: str
    pages: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class TableTaken:
    """One table: how it was understood, and what it gave."""

    layout: Layout
    names: tuple[str, ...]
    named_by: str
    pins: PinList


@dataclass(frozen=True, slots=True)
class Clash:
    """Two rows that say different things of one cavity: which, both texts and both places."""

    connector: str
    cavity: str
    field: str
    texts: tuple[str, str]
    places: tuple[str, str]


@dataclass(frozen=True, slots=True)
class PagesRead:
    """All that was read: tables, rows, plugs, what pages hold no table, what clashes; or faults, and nothing else."""

    tables: tuple[TableTaken, ...] = ()
    rows: tuple[ReadRow, ...] = ()
    plugs: tuple[PlugTitle, ...] = ()
    mates: tuple[tuple[str, str], ...] = ()
    without: tuple[tuple[str, str], ...] = ()
    clashes: tuple[Clash, ...] = ()
    files: tuple[SourceFile, ...] = ()
    faults: tuple[InputFault, ...] = field(default_factory=tuple)


def read_pages(
    given: Sequence[Given],
    names: Sequence[str] = (),
    columns: Mapping[int, str] | None = None,
    colour_code: str | None = None,
    limits: Limits = DEFAULT_LIMITS,
    told: Told = silent,
    page_limits: PageLimits = PAGE_LIMITS,
) -> PagesRead:
    """Read some sources as one car.

    ``names`` are what a person says its plugs are called, ``columns`` which column is
    which field (by number from 0). Nothing is raised for bad input: it is in ``faults``.
    """
    faults = Faults()
    files: list[SourceFile] = []
    how = How(limits, page_limits, told)
    for one in given:
        try:
            files.append(read_source(one.data, one.name, faults, how, one.pages))
        except StopReading:
            continue
    if faults:
        return PagesRead(faults=tuple(faults.in_order()))
    tables: list[TableTaken] = []
    without: list[tuple[str, str]] = []
    before: TableTaken | None = None
    for page in (page for file in files for page in file.pages):
        found = list(_of_page(page, names, columns, colour_code, before))
        before = found[-1] if found else None
        tables += found
        if not found:
            without.append((source_words(page.file, page.page), DRAWING if page.drawn else NO_TABLE))
    if not tables:
        for where, why in without or [("", NO_TABLE)]:
            faults.add(Place(where), why, "a table with a column of cavities (pin, no.) and of colours or functions")
        return PagesRead(without=tuple(without), files=tuple(files), faults=tuple(faults.in_order()))
    rows, clashes = _pooled([row for table in tables for row in table.pins.rows], colour_code)
    plugs = _plugs(tables)
    mates = tuple(dict.fromkeys(pair for table in tables for pair in table.pins.mates))
    return PagesRead(tuple(tables), rows, plugs, mates, tuple(without), clashes, tuple(files))


def _of_page(
    page: SourcePage,
    names: Sequence[str],
    columns: Mapping[int, str] | None,
    colour_code: str | None,
    before: TableTaken | None,
) -> Iterator[TableTaken]:
    for grid in page.grids:
        layout = layout_of(grid, columns, before.layout if before is not None else None)
        if layout is None:
            continue
        called, by = _names(layout, grid, names, before)
        pins = pins_of(layout, called, colour_code)
        if not pins.rows:
            continue
        titled = [replace(plug, id=called[0]) for plug in (layout.title,) if plug.id]
        pins.plugs += titled
        before = TableTaken(layout, tuple(called), by, pins)
        yield before


def _names(layout: Layout, grid: PageGrid, names: Sequence[str], before: TableTaken | None) -> tuple[list[str], str]:
    """What the plugs of a table's blocks are called, and who says so."""
    beside = sum(block.beside for block in layout.blocks) > 1
    count = len(layout.blocks)
    if names:
        own = list(names[:count]) if beside else [names[0]] * count
        return own + [f"{names[0]}-mate"] * (count - len(own)), "you said so"
    if beside and all(block.title.id for block in layout.blocks):
        return [block.title.id for block in layout.blocks], "over its columns"
    named = layout.title.id or next((block.title.id for block in layout.blocks if block.title.id), "")
    by = f"the line above: {layout.title.text}" if layout.title.id else "over its columns"
    if not named and before is not None and _goes_on(layout, before):
        named, by = before.names[0], "it goes on from the table before"
    if not named:
        stem = grid.name or re.sub(r"\.[^.]*$", "", grid.file.replace("\\", "/").rpartition("/")[2])
        named = re.sub(r"""[\s:<>"'&\\]+""", "-", stem).strip("-") or "connector"
        by = "no name in it: the file's (--connector C12 says another)"
    return [named, *([f"{named}-mate"] if beside else [named]) * (count - 1)], by


def _goes_on(layout: Layout, before: TableTaken) -> bool:
    """Whether a table without a name goes on where the one before ended: no cavity of it was there already."""
    taken = {row.text("cavity") for row in before.pins.rows}
    own = {row.cells[layout.blocks[0].key].text for row in layout.body} - {""}
    return bool(own) and not own & taken and not own <= {"1"}


def _plugs(tables: Sequence[TableTaken]) -> tuple[PlugTitle, ...]:
    """Each plug once, with the first thing said of it."""
    found: dict[str, PlugTitle] = {}
    for plug in (plug for table in tables for plug in table.pins.plugs):
        known = found.get(plug.id, plug)
        found[plug.id] = PlugTitle(
            plug.id,
            known.cavities or plug.cavities,
            known.housing_colour or plug.housing_colour,
            known.half or plug.half,
            known.at or plug.at,
            known.text or plug.text,
        )
    return tuple(found.values())


def _pooled(rows: Sequence[ReadRow], colour_code: str | None) -> tuple[tuple[ReadRow, ...], tuple[Clash, ...]]:
    """Rows of one cavity on several pages as one; what they say differently is not known, and both are kept."""
    found: dict[tuple[str, ...], ReadRow] = {}
    clashes: list[Clash] = []
    for number, row in enumerate(rows):
        cavity = row.text("cavity") or f"?{number}"
        key = (row.connector, cavity, row.text("option"), row.text("without"), row.text("to"))
        known = found.get(key)
        if known is None:
            found[key] = row
        elif (known.file, known.page, known.line) != (row.file, row.page, row.line):
            found[key] = _both(known, row, clashes)
    return tuple(found.values()), tuple(clashes)


def _both(one: ReadRow, other: ReadRow, clashes: list[Clash]) -> ReadRow:
    cells = dict(one.cells)
    for name, cell in other.cells.items():
        known = cells.get(name)
        if known is None or (not known.text and not known.why):
            cells[name] = cell
        elif name not in ADDED_UP and cell.text and known.text and cell.text.casefold() != known.text.casefold():
            texts = (known.text, cell.text)
            clashes.append(Clash(one.connector, one.text("cavity"), name, texts, (one.source, other.source)))
            why = f"{one.source} says {known.text}, {other.source} says {cell.text}"
            cells[name] = replace(known, text="", readings=texts, why=why)
    sources = "; ".join(dict.fromkeys((one.source, other.source)))
    return replace(one, cells=cells, source=sources, empty=one.empty and other.empty)
