"""Rows of pins from a page's table, each cell with where it stood; what cannot be told is not known, and said."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from harnesscheck.fields import fields_of
from harnesscheck.read.headers import may_be, with_unit
from harnesscheck.read.pages.cells import Box, PageCell, PageRow
from harnesscheck.read.pages.doubts import doubt_of, lost_strokes, out_of_order, perhaps_letters
from harnesscheck.read.pages.layout import SIZE_AND_COLOUR, Block, Layout, apart, cells_of
from harnesscheck.read.pages.titles import PlugTitle, plug_titles
from harnesscheck.read.pinrows import is_mark
from harnesscheck.read.values import Wrong, cavity_names, field_reader, range_length
from harnesscheck.trade.lexicon import understand

_FIELDS = {one.name: one for one in fields_of("pin")}
_FOOTNOTE = re.compile(r"(?<=\S)\s*(?:[*†‡§]+|[¹²³⁰-⁹]+\)?)$|(?<=\S)\s+[0-9]\)$")
_DITTO = frozenset(('"', "″", "”", "“", "''", "〃", ",,", "do.", "do", "ditto", "dto.", "dto", "idem", "as above"))
_DASH = str.maketrans({"–": "-", "—": "-", "−": "-", "‐": "-", "‑": "-"})
_BRACKET = re.compile(r"\s*[(\[]([^()\[\]]+)[)\]]")
_WITHOUT = re.compile(r"^(?:without|ohne|sans|sin|senza|sem|zonder|utan|uden|uten|bez|not)\s+", re.I)
MOST_CAVITIES = 1000  # of one row; more is no range but a slip
_WITH = re.compile(r"^(?:with|mit|avec|con|com|met|med|z|s|for|nur|only|if fitted:?)\s+|\s+only$", re.I)
_PROSE = 45  # characters of a text alone in its row from which it is a remark under the table
_LIST = re.compile(r"[A-Za-z]{0,2}[0-9]{1,3}(?:\s*[,;+&]\s*[A-Za-z]{0,2}[0-9]{1,3})+")


@dataclass(frozen=True, slots=True)
class ReadCell:
    """One value: its text (empty: not known), what stood there, where, how sure, and why it is not known."""

    text: str
    written: str
    box: Box | None = None
    score: float = 1.0
    readings: tuple[str, ...] = ()
    why: str = ""


@dataclass(frozen=True, slots=True)
class ReadRow:
    """One row of a plug; ``cells`` by field of a pin, ``empty`` where its cavity is said to be so."""

    connector: str
    cells: Mapping[str, ReadCell]
    source: str
    file: str
    page: int
    line: int
    empty: bool = False

    def text(self, name: str) -> str:
        """The value of one field; nothing where it is not written or not known."""
        cell = self.cells.get(name)
        return cell.text if cell is not None else ""

    @property
    def doubts(self) -> dict[str, ReadCell]:
        """The cells that are not known."""
        return {name: cell for name, cell in self.cells.items() if cell.why}


@dataclass(slots=True)
class PinList:
    """The rows of one table, the plugs that titles between and above them name, and what was left out, with why."""

    rows: list[ReadRow] = field(default_factory=list)
    plugs: list[PlugTitle] = field(default_factory=list)
    left_out: list[tuple[str, str]] = field(default_factory=list)
    mates: list[tuple[str, str]] = field(default_factory=list)


def pins_of(layout: Layout, names: Sequence[str], colour_code: str | None = None) -> PinList:
    """The rows of a table; ``names`` are what its blocks' plugs are called where nothing in the table says so."""
    made = PinList()
    raw: dict[int, list[tuple[str, PageRow, dict[str, PageCell]]]] = {n: [] for n in range(len(layout.blocks))}
    current = list(names)
    made.plugs += [replace(block.title, id=name) for block, name in zip(layout.blocks, names, strict=True)]
    for row in layout.body:
        title = _title_row(row, layout)
        if title is not None:
            current = [title.id] * len(current)
            made.plugs.append(title)
        elif _is_header_again(row, layout):
            made.left_out.append((_line(row), "the headings again"))
        elif not _has_pins(row, layout):
            if any(row.texts):
                made.left_out.append((_line(row), "no cavity and nothing above it to go on"))
        else:
            for number, block in enumerate(layout.blocks):
                _take(raw[number], current[number], block, row, layout.grid.ruled)
    if len(layout.blocks) == 2 and layout.blocks[0].beside and names[0] != names[1]:
        made.mates.append((names[0], names[1]))
    for number, block in enumerate(layout.blocks):
        rows = [_row(name, row, cells, block, layout, colour_code) for name, row, cells in raw[number]]
        made.rows += _settled(_ordered(rows) if layout.grid.scanned else rows)
    return made


def _line(row: PageRow) -> str:
    return " ".join(filter(None, dict.fromkeys(row.texts)))


def _title_row(row: PageRow, layout: Layout) -> PlugTitle | None:
    texts = list(dict.fromkeys(filter(None, row.texts)))
    keys = {block.key for block in layout.blocks}
    if len(texts) != 1 and any(row.cells[key].text and len(texts) > 1 and len(row.cells[key].text) < 4 for key in keys):
        return None
    titles = plug_titles(" ".join(texts)) if texts else []
    if len(texts) == 1 and titles and (len(texts[0].split()) > 1 or row.cells[0].wide > 1):
        return titles[0]
    return titles[0] if titles and titles[0].cavities and len(texts) <= 3 else None


def _is_header_again(row: PageRow, layout: Layout) -> bool:
    filled = [text for text in row.texts if text]
    known = sum(bool(may_be(text, "pin")) for text in filled)
    return known >= 2 and known * 2 > len(filled) and [t for t in layout.heads if t][:1] == filled[:1]


def _has_pins(row: PageRow, layout: Layout) -> bool:
    texts = [text for text in row.texts if text]
    keyed = any(row.cells[block.key].text for block in layout.blocks)
    long = [block.key for block in layout.blocks if len(row.cells[block.key].text) > 12]
    note = long and not _LIST.fullmatch(row.cells[long[0]].text)
    lone = len(texts) == 1 and len(texts[0]) > _PROSE and not keyed
    return bool(texts) and not note and not lone and (keyed or not re.match(r"[*†‡§¹²³]|[0-9]\)", texts[0]))


def _take(
    into: list[tuple[str, PageRow, dict[str, PageCell]]], name: str, block: Block, row: PageRow, ruled: bool
) -> None:
    """Add a row's cells to a plug's list: on its own, as more of the row above, or as another row of its cavity."""
    cells = cells_of(block, row)
    key = "cavity" if "cavity" in block.fields.values() else "terminal"
    if "connector" in cells:
        name = cells["connector"].text
    elif "connector" in block.fields.values() and into:
        name = into[-1][0]
    if not cells:
        return
    above = into[-1][2] if into else {}
    for one, cell in list(cells.items()):
        if one != key and cell.text.casefold() in _DITTO and one in above:
            cells[one] = replace(above[one], box=cell.box)
    if key not in cells:
        if key not in above:
            return
        if not ruled and not {"colour", "circuit", "size", "to", SIZE_AND_COLOUR} & set(cells):
            last = into[-1][2]
            for one, cell in cells.items():
                last[one] = _joined(last[one], cell) if one in last else cell
            return
        cells = {key: above[key], **cells}
    into.append((name, row, cells))


def _joined(one: PageCell, more: PageCell) -> PageCell:
    return replace(one, text=f"{one.text} {more.text}", score=min(one.score, more.score))


def _row(
    name: str, row: PageRow, cells: Mapping[str, PageCell], block: Block, layout: Layout, colour_code: str | None
) -> ReadRow:
    grid = layout.grid
    read: dict[str, ReadCell] = {}
    strokes: set[str] = set()
    letters: set[str] = set()
    if grid.scanned:
        strokes = lost_strokes(_column("colour", block, layout), colour_code)
        letters = perhaps_letters(_column("circuit", block, layout))
    for one, cell in _parted(cells):
        if one == "connector":
            continue
        text = _clean(one, cell.text, block.units)
        if one in ("function", "note") and cell.readings:
            text, cell = _one_meaning(text, cell)
        why = cell.trouble or (_why(one, text, cell, colour_code, strokes) if grid.scanned else "")
        if not why and one == "circuit" and text in letters:
            why = "a letter or a figure"
        if not why and not is_mark(text) and text != "?":
            why = _wrong(one, text, colour_code)
        read[one] = ReadCell("" if why else text, cell.text, cell.box, cell.score, cell.readings, why)
    marks = [cell for one, cell in read.items() if one in ("function", "colour", "circuit") and not cell.why]
    wired = any(one in read and not is_mark(read[one].text) for one in ("size", "to", "length"))
    empty = bool(marks) and len(marks) == sum(one in read for one in ("function", "colour", "circuit"))
    empty = empty and not wired and all(is_mark(cell.text) for cell in marks)
    if not empty:
        read = {one: cell for one, cell in read.items() if not (is_mark(cell.text) and one != "function")}
    return ReadRow(name, read, grid.source, grid.file, grid.page, row.line, empty)


def _column(field: str, block: Block, layout: Layout) -> list[str]:
    """What stands in the column of a field, row by row, without blanks."""
    number = next((n for n, one in block.fields.items() if one == field), None)
    return [text for one in layout.body if (text := one.cells[number].text)] if number is not None else []


def _one_meaning(text: str, cell: PageCell) -> tuple[str, PageCell]:
    """Two readings of a text that the lexicon understands as one: the one without misprint."""
    ways = [text, *cell.readings]
    found = [understand(way) for way in ways]
    same = len({(one.class_, one.maybe, one.concepts, one.hazards) for one in found}) == 1
    sound = [way for way, one in zip(ways, found, strict=True) if not one.corrected and not one.unknown]
    return (sound[0], replace(cell, readings=())) if same and sound and found[0].concepts else (text, cell)


def _parted(cells: Mapping[str, PageCell]) -> Iterator[tuple[str, PageCell]]:
    for name, cell in cells.items():
        if name != SIZE_AND_COLOUR:
            yield name, cell
        elif (both := apart(cell.text)) is not None:
            yield "size", replace(cell, text=both[0])
            yield "colour", replace(cell, text=both[1])
        else:
            yield "colour", cell


def _clean(name: str, text: str, units: Mapping[str, str]) -> str:
    """A cell's text as a netlist writes it: without footnote signs, plain dashes in names, points in numbers."""
    text = " ".join(text.split())
    if "(" not in text:
        text = _FOOTNOTE.sub("", text) or text
    if name in ("cavity", "terminal", "circuit"):
        text = text.translate(_DASH)
    if name == "cavity":
        text = re.sub(r"\s*-\s*", "-", text)
    if name in ("size", "length"):
        text = re.sub(r"(?<=\d),(?=\d)", ".", text)
    return with_unit(text, units[name]) if name in units else text


def _why(name: str, text: str, cell: PageCell, colour_code: str | None, strokes: set[str]) -> str:
    if is_mark(text) and cell.score > 0.9:
        return ""
    if name == "colour" and cell.text in strokes:
        return "two colours, and no stroke between them"
    return doubt_of(name, text, cell.score, cell.readings, colour_code)


def _wrong(name: str, text: str, colour_code: str | None) -> str:
    """Why a text cannot be a value of its field."""
    if name == "cavity" and _LIST.fullmatch(_BRACKET.sub("", text)):
        return ""
    checked = _BRACKET.sub("", text) if name in ("cavity", "colour") else text
    value = field_reader(_FIELDS[name], colour_code)(checked)
    return f"expected {value.expected}" if isinstance(value, Wrong) else ""


def _ordered(rows: list[ReadRow]) -> list[ReadRow]:
    """Recognised rows whose cavity is out of order or there twice are rows of a cavity that is not known."""
    by_plug: dict[str, list[int]] = defaultdict(list)
    for at, row in enumerate(rows):
        by_plug[row.connector].append(at)
    made = list(rows)
    for places in by_plug.values():
        for at in out_of_order([rows[place].text("cavity") for place in places]):
            row = rows[places[at]]
            cell = row.cells.get("cavity")
            if cell is not None and not cell.why:
                cells = {**row.cells, "cavity": replace(cell, text="", why="out of order")}
                made[places[at]] = replace(row, cells=cells)
    return made


def _settled(rows: Sequence[ReadRow]) -> list[ReadRow]:
    """Lists of cavities as a row each; several rows of one cavity by the options in their brackets."""
    single = [one for row in rows for one in _each(row)]
    groups: dict[tuple[str, str], list[ReadRow]] = defaultdict(list)
    order: list[tuple[str, str]] = []
    for at, row in enumerate(single):
        cavity = _BRACKET.sub("", row.text("cavity"))
        key = (row.connector, cavity or f"?{at}")
        if key not in groups:
            order.append(key)
        groups[key].append(row)
    return [row for key in order for row in _of_cavity(groups[key])]


def _each(row: ReadRow) -> Iterator[ReadRow]:
    cell = row.cells.get("cavity")
    if cell is None or not _LIST.fullmatch(cell.text):
        yield row
        return
    for name in re.split(r"\s*[,;+&]\s*", cell.text):
        yield replace(row, cells={**row.cells, "cavity": replace(cell, text=name)})


def _of_cavity(rows: Sequence[ReadRow]) -> list[ReadRow]:
    """The rows of one cavity: one, or several under conditions; what they say without one is not known."""
    if len(rows) == 1:
        return [_without_bracket(rows[0])]
    said = [_condition(row) for row in rows]
    options = sorted({one[1] for one in said if one[0] == "option"})
    made = []
    for row, (name, option) in zip(rows, said, strict=True):
        condition = {name: option} if option else {"without": " ".join(options)} if options else {}
        added = {one: ReadCell(text, text) for one, text in condition.items() if text}
        made.append(replace(_without_bracket(row), cells={**_without_bracket(row).cells, **added}))
    return made if options or any(one[1] for one in said) else _one_of(made)


def _one_of(rows: Sequence[ReadRow]) -> list[ReadRow]:
    """Several rows of one cavity without a word of when: what differs is not known."""
    cells: dict[str, ReadCell] = {}
    for name in dict.fromkeys(name for row in rows for name in row.cells):
        found = [row.cells[name] for row in rows if name in row.cells]
        texts = list(dict.fromkeys(cell.text for cell in found))
        same = len(texts) == 1
        why = found[0].why if same else "several rows of one cavity, and nothing says which holds when"
        cells[name] = found[0] if same else replace(found[0], text="", readings=tuple(texts), why=why)
    return [replace(rows[0], cells=cells, empty=all(row.empty for row in rows))]


def _condition(row: ReadRow) -> tuple[str, str]:
    """The option that a row's brackets name, and whether it is one the car has or lacks."""
    if row.text("option"):
        return "option", _slug(row.text("option"))
    for name in ("cavity", "colour", "note", "function", "circuit"):
        for match in _BRACKET.finditer(row.text(name)):
            words = match[1].strip()
            if _WITHOUT.match(words):
                return "without", _slug(_WITHOUT.sub("", words))
            if _WITH.search(words) or words.isupper() or name == "cavity":
                return "option", _slug(_WITH.sub("", words))
    return "", ""


def _slug(text: str) -> str:
    return "-".join(re.findall(r"[^\W_]+", text.casefold()))


def _without_bracket(row: ReadRow) -> ReadRow:
    cells = dict(row.cells)
    for name in ("cavity", "colour"):
        cell = cells.get(name)
        if cell is not None and _BRACKET.search(cell.text):
            cells[name] = replace(cell, text=_BRACKET.sub("", cell.text).strip())
    return replace(row, cells=cells)


def names_of(row: ReadRow) -> tuple[str, ...]:
    """The cavities a row is for; a range of more than any plug has is a name that whoever reads the rows refuses."""
    name = row.text("cavity")
    if not name or range_length(name) > MOST_CAVITIES:
        return (name,) if name else ()
    return cavity_names(name, ())
