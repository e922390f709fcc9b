"""Which column of a page's table is which field, and which columns are of which plug.

Headings are read as for every table (``headers.Columns``); what is the manual's own:
headings in two lines, two column blocks side by side, two mated plugs in one table,
a column that nobody named but whose cells are plain, and what a person says with ``--columns``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from harnesscheck.fields import fields_of
from harnesscheck.model.places import Source
from harnesscheck.read.faults import Faults
from harnesscheck.read.headers import LEFT_OUT, SAMPLE, VEHICLE_FIELDS, Columns, fits, guessed_header, may_be
from harnesscheck.read.pages.cells import EMPTY, PageCell, PageGrid, PageRow
from harnesscheck.read.pages.titles import NO_TITLE, PlugTitle, plug_titles, title_above
from harnesscheck.read.pages.words import CAVITY
from harnesscheck.trade.headings import read_heading

_HEAD_ROWS = 12
_HALVES = 2
_PIN_FIELDS = tuple(field.name for field in fields_of("pin"))
_BOTH = re.compile(r"(?P<size>[0-9]{1,2}(?:[.,][0-9]{1,2})?)\s*(?:mm2|mm²|mm\^2|qmm)?\s+(?P<colour>[^\W\d].*)")
SIZE_AND_COLOUR = "size colour"
BY_HAND = "you said so"


@dataclass(frozen=True, slots=True)
class ColumnTaken:
    """A column: its number from 1, its heading, the field it was taken for (or none), and why."""

    number: int
    heading: str
    field: str
    why: str


@dataclass(frozen=True, slots=True)
class Block:
    """The columns that hold one plug's rows: fields by column number from 0, units by field, and what names the plug.

    ``beside`` is the plug whose rows stand in the same lines of the table: the two mate.
    """

    fields: Mapping[int, str]
    units: Mapping[str, str]
    title: PlugTitle = NO_TITLE
    beside: bool = False

    @property
    def key(self) -> int:
        """The number of the column of cavities."""
        return next(number for number, name in self.fields.items() if name in ("cavity", "terminal"))


@dataclass(frozen=True, slots=True)
class Layout:
    """A grid taken apart: its blocks, what each column was taken for, and which rows are below the headings."""

    grid: PageGrid
    blocks: tuple[Block, ...]
    columns: tuple[ColumnTaken, ...]
    heads: tuple[str, ...]
    body: tuple[PageRow, ...]
    title: PlugTitle = NO_TITLE
    named: tuple[PlugTitle, ...] = ()


class NotAColumn(ValueError):
    """Raised for what ``--columns`` says and cannot be: the word, and what was expected."""

    def __init__(self, read: str, expected: str) -> None:
        super().__init__(read)
        self.read = read
        self.expected = expected


def columns_by_hand(text: str) -> dict[int, str]:
    """What ``pin=1 colour=3`` says: fields by number of column from 0. Raises NotAColumn."""
    found: dict[int, str] = {}
    for word in text.replace(",", " ").split():
        name, equals, number = word.partition("=")
        if not equals or not number.isdigit() or not 1 <= int(number) <= 999:
            raise NotAColumn(word, "a field and the number of a column from 1 (pin=1 colour=3 function=4)")
        choices = [one.lstrip("?") for one in may_be(name, "pin")]
        field = name if name in _PIN_FIELDS else next((one for one in choices if one in _PIN_FIELDS), "")
        if not field:
            raise NotAColumn(word, f"a column of the table pin: pin, {', '.join(_PIN_FIELDS)}")
        if field in found.values() or int(number) - 1 in found:
            raise NotAColumn(word, "each field and each column once")
        found[int(number) - 1] = field
    if "cavity" not in found.values():
        raise NotAColumn(text, "which column has the cavities (pin=1)")
    return found


def layout_of(grid: PageGrid, by_hand: Mapping[int, str] | None = None, before: Layout | None = None) -> Layout | None:
    """The layout of a grid; None where it holds no pins. ``before`` may go on in it."""
    width = max((len(row.cells) for row in grid.rows), default=0)
    rows = tuple(replace(row, cells=row.cells + (EMPTY,) * (width - len(row.cells))) for row in grid.rows)
    grid = replace(grid, rows=rows)
    if by_hand is not None:
        return _by_hand(grid, by_hand, width)
    if (found := _header(rows)) is not None:
        return _headed(grid, *found)
    if before is not None and len(before.heads) == width and _goes_on(before, rows):
        named = _named_above(grid, rows[:0])
        blocks = tuple(replace(block, title=NO_TITLE) for block in before.blocks)
        return replace(before, grid=grid, blocks=blocks, body=rows, title=NO_TITLE, named=named)
    return _guessed(grid)


def _goes_on(before: Layout, rows: Sequence[PageRow]) -> bool:
    keys = [row.cells[block.key].text for row in rows for block in before.blocks]
    filled = [key for key in keys if key]
    return bool(filled) and sum(bool(CAVITY.fullmatch(key)) for key in filled) >= 0.8 * len(filled)


# -- the header


def _header(rows: Sequence[PageRow]) -> tuple[int, int, list[str]] | None:
    """The header's first row, the row below it, and its texts; of two rows where the second goes on."""
    best: tuple[int, int, int, list[str]] | None = None
    for at in range(min(_HEAD_ROWS, len(rows))):
        texts = rows[at].texts
        options = [(at + 1, texts)]
        if at + 1 < len(rows) and _may_go_on(rows[at + 1].texts):
            options.append((at + 2, _both(rows[at], rows[at + 1])))
        under = _known(rows[at + 1].texts) if len(options) > 1 else 0
        for below, heads in options:
            known = _known(heads)
            if below == at + 2 and (known <= under or not _known(texts)) and under >= 2:
                continue  # what stands above is no heading: the row below says as much alone
            also = best is not None and known == best[0] and below == at + 2 and _are_headings(rows[at + 1].texts)
            if known and (best is None or known > best[0] or also):
                best = (known, at, below, heads)
        if best is not None and at > best[1] + 1:
            break
    return None if best is None else (best[1], best[2], best[3])


def _may_go_on(texts: Sequence[str]) -> bool:
    """Whether a row under headings may be more of them: words and units, no numbers."""
    filled = [text for text in texts if text]
    return bool(filled) and not any(re.search(r"[0-9]", text.replace("mm2", "")) for text in filled)


def _are_headings(texts: Sequence[str]) -> bool:
    """Whether each text of a row is a word for a column, or a unit."""
    return all(read_heading(text) is not None for text in texts if text)


def _both(above: PageRow, below: PageRow) -> list[str]:
    """Two lines of headings as one; one that spans columns belongs to each of them."""
    return [
        text if text == over else " ".join(filter(None, (over, text)))
        for over, text in zip(above.texts, below.texts, strict=True)
    ]


def _known(heads: Sequence[str]) -> int:
    """How many headings are known, where that is most of them and one is of cavities; else 0."""
    filled = [head for head in heads if head]
    choices = [may_be(head, "pin") for head in filled]
    known = sum(map(bool, choices))
    named = any({"cavity", "terminal"} & set(one) for one in choices)
    return known if known >= 2 and known * 2 >= len(filled) and named else 0


def _headed(grid: PageGrid, at: int, below: int, heads: list[str]) -> Layout | None:
    over = grid.rows[:at]
    body = grid.rows[below:]
    groups = _groups(heads)
    columns: list[ColumnTaken] = []
    blocks: list[Block] = []
    for group in groups:
        block, taken = _block(grid, grid.rows[at].line, heads, group, body)
        columns += [one for one in taken if one.number not in {known.number for known in columns}]
        if block is not None:
            blocks.append(block)
    if not blocks:
        return None
    columns.sort(key=lambda one: one.number)
    named = _named_above(grid, over)
    title = title_above([*grid.above, *(" ".join(filter(None, dict.fromkeys(row.texts))) for row in over)])
    made = _named_blocks(blocks, over, body, named)
    return Layout(grid, tuple(made), tuple(columns), tuple(heads), body, title, named)


def _groups(heads: Sequence[str]) -> list[list[int]]:
    """The columns of each block: two where headings are there twice, also as in a mirror or with one column of pins."""
    filled = [number for number, head in enumerate(heads) if head]
    words = [_word(heads[number]) for number in filled]
    for size in range(2, len(words) // 2 + 1):
        if len(words) % size == 0 and all(words[n] == words[n % size] for n in range(len(words))):
            return [filled[n : n + size] for n in range(0, len(words), size)]
    half = len(words) // _HALVES
    if len(words) >= 4 and len(words) % _HALVES == 0 and words == words[::-1]:
        return [filled[:half], filled[half:]]
    keys = [at for at, number in enumerate(filled) if _is_key(heads[number])]
    if len(keys) == 1 and 0 < keys[0] < len(words) - 1:
        left, right = words[: keys[0]], words[keys[0] + 1 :]
        if set(left) & set(right) & {"colour", "function", "circuit"}:
            return [filled[: keys[0] + 1], filled[keys[0] :]]
    if len(keys) == _HALVES and words[keys[0]] == words[keys[1]]:
        shared = set(words[: keys[1]]) & set(words[keys[1] :]) - {"cavity"}
        if shared:
            cut = keys[1] if keys[0] == 0 else keys[0] + 1
            return [filled[:cut], filled[cut:]]
    return [filled]


def _word(head: str) -> str:
    """The likeliest field of a heading, or the heading itself."""
    choices = may_be(head, "pin")
    return choices[0].lstrip("?") if choices else head.casefold()


def _is_key(head: str) -> bool:
    return _word(head) == "cavity"


def _block(
    grid: PageGrid, line: int, heads: Sequence[str], group: Sequence[int], body: Sequence[PageRow]
) -> tuple[Block | None, list[ColumnTaken]]:
    """The fields of one group of columns, and what each was taken for."""
    own = [head if number in group else "" for number, head in enumerate(heads)]
    known = [head if may_be(head, "pin") else "" for head in own]
    below = [row.texts for row in body[:SAMPLE]]
    read = Columns("pin", line, known, Source(grid.file), Faults(), below)
    fields = {number: field for number, field in enumerate(read.fields) if field is not None}
    fields = {number: field for number, field in fields.items() if field not in VEHICLE_FIELDS}
    why = dict.fromkeys(fields, "its heading")
    for number in group:
        cells = [row.cells[number].text for row in body[:SAMPLE] if row.cells[number].text]
        wire = fields.get(number, "colour") in ("colour", "circuit", "size") or _is_wire(heads[number])
        free = not {"size", "colour"} & {field for at, field in fields.items() if at != number}
        if wire and free and _are_both(cells):
            fields[number], why[number] = SIZE_AND_COLOUR, "a size and a colour in each cell"
        elif number not in fields and "colour" not in fields.values() and fits("colour", "pin", cells):
            fields[number], why[number] = "colour", "its cells are colours"
    taken = [
        ColumnTaken(number + 1, heads[number], fields.get(number, ""), why.get(number, _unread(heads[number])))
        for number in group
    ]
    if not {"cavity", "terminal"} & set(fields.values()):
        return None, taken
    return Block(fields, dict(read.units)), taken


def _is_wire(head: str) -> bool:
    said = read_heading(head) if head else None
    return said is not None and said.means == "wire"


def _unread(head: str) -> str:
    choices = may_be(head, "pin")
    return "the netlist has no place for it" if LEFT_OUT in choices or choices else "a heading that is not known"


def _are_both(cells: Sequence[str]) -> bool:
    """Whether most cells hold a size and then a colour."""
    found = [match["colour"] for cell in cells if (match := _BOTH.fullmatch(cell))]
    return bool(found) and len(found) >= 0.6 * len(cells) and fits("colour", "pin", found)


def apart(text: str) -> tuple[str, str] | None:
    """The size and the colour of a cell that holds both."""
    match = _BOTH.fullmatch(text)
    return (match["size"], match["colour"]) if match else None


# -- which plug


def _named_above(grid: PageGrid, over: Sequence[PageRow]) -> tuple[PlugTitle, ...]:
    """Every plug that the nearest line above a table names, where that is more than one."""
    lines = [*grid.above, *(" ".join(filter(None, dict.fromkeys(row.texts))) for row in over)]
    for line in reversed(lines):
        if titles := plug_titles(line):
            return tuple(titles)
    return ()


def _named_blocks(
    blocks: Sequence[Block], over: Sequence[PageRow], body: Sequence[PageRow], named: Sequence[PlugTitle]
) -> list[Block]:
    """Each block with the plug it is of; two that have the same cavities in the same rows are two plugs that mate."""
    if len(blocks) == 1:
        return [replace(blocks[0], title=_over(blocks[0], over))]
    over_each = [_over(block, over) for block in blocks]
    distinct = {title.id for title in over_each if title.id}
    if len(distinct) < len(blocks) and len(named) == len(blocks):
        over_each, distinct = list(named), {title.id for title in named}
    if len(distinct) == len(blocks) or _same_cavities(blocks, body):
        return [replace(block, title=title, beside=True) for block, title in zip(blocks, over_each, strict=True)]
    return list(blocks)


def _over(block: Block, over: Sequence[PageRow]) -> PlugTitle:
    """The plug that a heading over the block's own columns names."""
    for row in reversed(over):
        for number in block.fields:
            cell = row.cells[number]
            if cell.text and cell.wide < len(row.cells) and (titles := plug_titles(cell.text)):
                return titles[0]
    return NO_TITLE


def _same_cavities(blocks: Sequence[Block], body: Sequence[PageRow]) -> bool:
    pairs = [[row.cells[block.key].text for block in blocks] for row in body]
    filled = [pair for pair in pairs if all(pair)]
    return bool(filled) and sum(len(set(pair)) == 1 for pair in filled) >= 0.8 * len(filled)


# -- without a header


def _guessed(grid: PageGrid) -> Layout | None:
    """A table without headings whose columns are plain: cavities, colours, words."""
    rows = [row for row in grid.rows if len([text for text in row.texts if text]) > 1]
    if len(rows) < 3:
        return None
    guessed = guessed_header([row.texts for row in rows[:SAMPLE]])
    if guessed is None:
        return None
    fields = {number: field for number, field in enumerate(guessed) if field}
    taken = tuple(
        ColumnTaken(number + 1, "", field, f"no heading; its cells are {_PLURAL[field]}")
        for number, field in fields.items()
    )
    title = title_above(grid.above)
    return Layout(grid, (Block(fields, {}),), taken, tuple(guessed), grid.rows, title, _named_above(grid, ()))


_PLURAL = {"cavity": "short names, each once", "colour": "colours", "size": "sizes", "function": "words"}


def _by_hand(grid: PageGrid, by_hand: Mapping[int, str], width: int) -> Layout | None:
    if max(by_hand) >= width:
        return None
    found = _header(grid.rows)
    heads = found[2] if found else [""] * width
    body = grid.rows[found[1] :] if found else grid.rows
    first = grid.rows[0].texts if grid.rows else []
    key = next(number for number, field in by_hand.items() if field == "cavity")
    if not found and first and not CAVITY.fullmatch(first[key]):
        heads, body = first, grid.rows[1:]
    units: dict[str, str] = {}
    if found:
        read = Columns("pin", 0, [head if may_be(head, "pin") else "" for head in heads], Source(grid.file), Faults())
        units = {field: read.units[field] for field in by_hand.values() if field in read.units}
    taken = tuple(ColumnTaken(number + 1, heads[number], field, BY_HAND) for number, field in sorted(by_hand.items()))
    others = tuple(
        ColumnTaken(number + 1, head, "", "you named others")
        for number, head in enumerate(heads)
        if head and number not in by_hand
    )
    columns = tuple(sorted((*taken, *others), key=lambda one: one.number))
    title = title_above(grid.above)
    return Layout(grid, (Block(dict(by_hand), units),), columns, tuple(heads), body, title, _named_above(grid, ()))


def cells_of(block: Block, row: PageRow) -> dict[str, PageCell]:
    """A row's cells by field, those that hold anything."""
    return {field: row.cells[number] for number, field in block.fields.items() if row.cells[number].text}
