"""A report's blocks as data for the typesetter: plain texts, and tables with widths that fit their page.

Lengths are in mm. What stands in brackets for an editor or a terminal is left out; nothing is judged here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from math import sqrt
from typing import Any

from harnesscheck.draw.font import BOLD, REGULAR, in_font, width_mm
from harnesscheck.model.escapes import escaped
from harnesscheck.report.blocks.vocabulary import (
    Answer,
    AnyBlock,
    BriefOrFull,
    Caution,
    Facts,
    Figure,
    FindingCard,
    Folded,
    Listing,
    Paragraph,
    Passage,
    RowGroup,
    Section,
    Steps,
    Table,
    TickStep,
    heads,
    left_out,
)

Data = dict[str, Any]
POINT_MM = 25.4 / 72
TABLE_MM = 8.5 * POINT_MM  # text of tables
CELL_PAD_MM = 1.4  # left and right of a cell's text
TICK_MM, INITIALS_MM, DATE_MM = 7.0, 15.0, 19.0
_WRITE_MM = 16.0  # a column to write in
_LONG_WORD = re.compile(r"\S{23,}")
_PIECE = re.compile(r".{1,18}")
BREAK = "\u200b"  # where a long word may be broken


def shown(text: str) -> str:
    """A text as it is printed: what the font lacks or a reader could not see becomes visible, long words may break."""
    kept = in_font(" ".join(escaped(text).split()))
    return _LONG_WORD.sub(lambda match: BREAK.join(_PIECE.findall(match[0])), kept)


def blocks_data(blocks: Iterable[AnyBlock], room_mm: float) -> list[Data]:
    """Blocks in their order for a page with so much room across."""
    return [data for block in blocks for data in _block(block, room_mm)]


def _block(block: AnyBlock, room_mm: float) -> Iterator[Data]:
    if isinstance(block, Paragraph):
        yield {"is": "paragraph", "text": shown(block.text)}
    elif isinstance(block, Listing):
        yield _listing(block)
    elif isinstance(block, Facts):
        yield {"is": "facts", "rows": [[shown(word), shown(text)] for word, text in block.rows]}
    elif isinstance(block, Table):
        if block.rows:
            yield table_data(block, room_mm)
    elif isinstance(block, Steps):
        yield steps_data(block.steps, room_mm)
    elif isinstance(block, Caution):
        says = any(text.upper().startswith("STOP") for text in block.texts)
        head = block.head or ("" if says else "Stop" if block.urgent else "Take care")
        yield {"is": "caution", "head": head, "texts": [*map(shown, block.texts)], "urgent": block.urgent}
    elif isinstance(block, Answer):
        counts = [f"{number} {word}" for word, number in block.counts]
        yield {"is": "answer", "sentence": shown(block.sentence), "proof": shown(block.proof), "counts": counts}
    elif isinstance(block, FindingCard):
        yield _card(block)
    elif isinstance(block, Passage | Folded | Section):
        title = block.title if isinstance(block, Section) else block.head
        if title:
            yield {"is": "heading", "text": shown(title)}
        yield from blocks_data(block.blocks, room_mm)
    elif isinstance(block, BriefOrFull):
        yield from blocks_data(block.full, room_mm)
    elif not isinstance(block, Figure):  # drawings have pages of their own
        raise TypeError(f"{type(block).__name__} is on no sheet")


def _listing(block: Listing) -> Data:
    items = block.items[: block.most or None]
    more = len(block.items) - len(items)
    rest = [left_out(more, block.noun, block.where)] if more else []
    return {
        "is": "listing",
        "head": shown(block.head),
        "items": [*map(shown, (*items, *rest))],
        "ordered": block.ordered,
        "tick": block.tick,
    }


def _card(block: FindingCard) -> Data:
    head = f"{block.severity.upper()}  {block.kind}  {block.where or block.mark}"
    texts = [text for text in (block.text, block.doubt, f"Do: {block.do}" if block.do else "") if text]
    return {"is": "card", "head": shown(head), "texts": [*map(shown, texts)]}


def steps_data(steps: Sequence[TickStep], room_mm: float) -> Data:
    """Steps to tick and sign, with initials and date; what is done has its hours."""
    names = ("", "step", "hours", "who", "initials", "date")
    fixed = (TICK_MM, 0.0, 13.0, 11.0, INITIALS_MM, DATE_MM)
    rows = [("done" if one.done else "tick", _step_words(one), one.hours, one.who, "", "") for one in steps]
    widths = [width or room_mm - sum(fixed) for width in fixed]
    made = Table("", heads(*names), (RowGroup("", tuple(rows)),), fill=True)
    return table_data(made, room_mm, widths) | {"steps": True}


def _step_words(step: TickStep) -> str:
    return " ".join(filter(None, (step.do, f"Needs {step.needs}." if step.needs else "", f"({step.id})")))


def table_data(block: Table, room_mm: float, widths: Sequence[float] = ()) -> Data:
    """A table whose columns together are as wide as the page."""
    found = widths or column_widths([head.name for head in block.heads], block.rows, room_mm, fill=block.fill)
    return {
        "is": "table",
        "heads": [{"name": shown(head.name), "number": head.number} for head in block.heads],
        "widths": [round(width, 2) for width in found],
        "groups": [
            {"head": shown(group.head), "rows": [[shown(cell) for cell in row] for row in group.rows]}
            for group in block.groups
        ],
        "fill": block.fill,
        "steps": False,
    }


def column_widths(
    names: Sequence[str], rows: Sequence[Sequence[str]], room_mm: float, *, fill: bool = False
) -> list[float]:
    """How wide the columns are: none narrower than its longest word, long texts share what is left.

    An empty column is one to write in. Where not even the words fit, all are made narrower alike.
    """
    least, most = [], []
    for at, name in enumerate(names):
        cells = {shown(row[at]) for row in rows}
        writes = fill and cells <= {""}
        words = [_width(word) for cell in cells for word in re.split(f"[ {BREAK}]", cell)]
        head = [_width(word, BOLD) for word in shown(name).split()]
        need = max([*words, *head, _WRITE_MM if writes else 0.0], default=0.0) + 2 * CELL_PAD_MM + 0.3
        least.append(need)
        most.append(max(need, max(map(_width, cells), default=0.0) + 2 * CELL_PAD_MM + 0.3))
    spare = room_mm - sum(least)
    if spare < 0:
        return [width * room_mm / sum(least) for width in least]
    wish = [more - need for more, need in zip(most, least, strict=True)]
    if sum(wish) <= spare:
        return [width + (spare - sum(wish)) / len(names) for width in most]
    return [need + more for need, more in zip(least, _shared(wish, spare), strict=True)]


def _shared(wish_mm: Sequence[float], spare_mm: float) -> list[float]:
    """What each wish gets of a room too small for all: by the root of it, so that one long text starves no other."""
    given = [0.0] * len(wish_mm)
    open_ = [at for at, wish in enumerate(wish_mm) if wish > 0]
    while open_:
        part = spare_mm / sum(sqrt(wish_mm[at]) for at in open_)
        filled = [at for at in open_ if wish_mm[at] <= part * sqrt(wish_mm[at])]
        for at in filled or open_:
            given[at] = wish_mm[at] if filled else part * sqrt(wish_mm[at])
            spare_mm -= given[at]
        open_ = [at for at in open_ if at not in filled] if filled else []
    return given


def _width(text: str, weight: int = REGULAR) -> float:
    return width_mm(text.replace(BREAK, ""), TABLE_MM, weight)
