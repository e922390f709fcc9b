"""A report as text for a terminal: 80 columns, no colour needed.

Headings are underlined, what belongs to one is not parted, and blank lines stand
between passages. Only a single word that is longer than a line sticks out.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from harnesscheck.model.escapes import escaped
from harnesscheck.report.blocks.vocabulary import (
    NO_BREAK,
    Answer,
    AnyBlock,
    BriefOrFull,
    Caution,
    Facts,
    Figure,
    FindingCard,
    Folded,
    Listing,
    MarkedTexts,
    Paragraph,
    Passage,
    Report,
    Route,
    RowGroup,
    Section,
    Steps,
    Table,
    left_out,
)

WIDTH = 80
STEP = 2  # columns that rows and items are set in by
GAP = "  "  # between two columns of a table
LEAST_COLUMN = 10  # a column of words that is narrower is not read any more
_BLANKS = str.maketrans("\n\t", "  ")
_TIGHT = (Paragraph, Listing, Facts, FindingCard, Figure)  # no blank line between two of these


def terminal_text(report: Report) -> str:
    """The whole report, with a line feed at its end."""
    top = [line for word, text in report.about for line in wrapped(f"{word}: {text}", more=" " * STEP)]
    return "\n".join([*map(_plain, top), "", *block_lines(report.blocks)]) + "\n"


def block_lines(blocks: Sequence[AnyBlock], indent: int = 0) -> list[str]:
    """Blocks one after the other, blank lines where they do not belong to one another."""
    lines: list[str] = []
    before: AnyBlock | None = None
    for block in _briefly(blocks):
        made = [_plain(line) for line in _lines(block, indent)]
        if made and lines and not (isinstance(before, _TIGHT) and isinstance(block, _TIGHT)):
            lines.append("")
        lines += made
        before = block if made else before
    return lines


def _plain(line: str) -> str:
    return line.replace(NO_BREAK, " ").rstrip()


def wrapped(text: str, indent: str = "", more: str | None = None) -> list[str]:
    """A paragraph as lines of 80 columns at most; ``more`` indents all lines but the first."""
    return textwrap.wrap(
        escaped(text),
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent if more is None else more,
        break_long_words=False,
        break_on_hyphens=False,
    )


def headed(text: str) -> list[str]:
    """A heading and the line under it."""
    lines = wrapped(text)
    return [*lines, "=" * max(map(len, lines), default=0)]


def _briefly(blocks: Sequence[AnyBlock]) -> Iterator[AnyBlock]:
    for block in blocks:
        if isinstance(block, BriefOrFull):
            yield from _briefly(block.brief)
        elif not isinstance(block, Folded):
            yield block


def _lines(block: AnyBlock, indent: int) -> Iterator[str]:
    edge = " " * indent
    match block:
        case Paragraph():
            yield from wrapped(block.text, edge)
        case Listing():
            yield from _listing(block, indent)
        case Facts():
            for word, text in block.rows:
                yield from wrapped(f"{word}: {text}", edge, edge + " " * STEP)
        case Table():
            yield from _table(block, max(indent, STEP))
        case Figure():
            if block.file:
                yield from wrapped(f"{block.caption}: {block.file}", edge, edge + " " * STEP)
        case Steps():
            yield from _steps(block, max(indent, STEP))
        case Caution():
            yield from _caution(block, edge)
        case Answer():
            yield from _answer(block, edge)
        case FindingCard():
            yield from _card(block, max(indent, STEP))
        case Route():
            yield from _route(block)
        case MarkedTexts():
            yield from _marked(block)
        case Passage():
            yield from wrapped(block.head, edge)
            yield from block_lines(block.blocks, indent + STEP if block.head else indent)
        case Section():
            inside = block_lines(block.blocks)
            if inside:
                yield from headed(block.title.upper() + (f" - {block.says}" if block.says else ""))
                yield from inside


def _listing(block: Listing, indent: int) -> Iterator[str]:
    edge = " " * indent
    yield from wrapped(block.head, edge)
    if block.head or not indent:
        edge += " " * STEP
    shown = block.items[: block.most or None]
    for number, text in enumerate(shown, start=1):
        mark = f"{number}. " if block.ordered else "[ ] " if block.tick else "- "
        yield from wrapped(text, edge + mark, edge + " " * len(mark))
    if left := len(block.items) - len(shown):
        yield from wrapped(left_out(left, block.noun, block.where), edge)


def _steps(block: Steps, indent: int) -> Iterator[str]:
    edge = " " * indent
    for step in block.steps:
        hours = f"done in {step.hours} h" if step.done else f"{step.hours} h"
        text = f"{step.do} ({hours.replace(' ', NO_BREAK)}) [{step.id}]"
        yield from wrapped(text, f"{edge}[{'x' if step.done else ' '}] ", edge + " " * 4)
        yield from wrapped(step.needs, edge + " " * 4)


def _caution(block: Caution, edge: str) -> Iterator[str]:
    if block.head:
        yield from headed(block.head.upper())
    for text in block.texts:
        if block.urgent and not block.head:
            yield from wrapped(text, f"{edge}! ", edge + " " * STEP)
        else:
            yield from wrapped(text, edge)


def _answer(block: Answer, edge: str) -> Iterator[str]:
    yield from wrapped(block.sentence, edge)
    yield from wrapped(block.proof, edge)
    if block.counts:
        text = ", ".join(f"{number} {word}" for word, number in block.counts)
        yield from wrapped(text + (f"; {block.accepted} accepted" if block.accepted else ""), edge)


def _card(block: FindingCard, indent: int) -> Iterator[str]:
    edge = " " * indent
    doubt = f" ({block.doubt})" if block.doubt else ""
    head = GAP.join(part for part in (block.mark, block.kind + doubt, block.circuits, f"[{block.id}]") if part)
    yield from wrapped(head, edge, edge + " " * 3)
    yield from wrapped(block.text, edge + " " * 3)
    if block.assumed:
        yield from wrapped(f"Assumed: {block.assumed}", edge + " " * 3)
    if not block.said:
        yield from wrapped(f"Do: {block.do}", edge + " " * 3)
    if block.also:
        yield from wrapped(f"Also [{', '.join(block.also)}]", edge + " " * 3)


def _route(block: Route) -> Iterator[str]:
    edge = " " * 13  # behind the number and the reading
    for point in block.points:
        now = f"  NOW {point.now}" if point.now else ""
        yield from wrapped(f"{point.number:>2}  {point.reading:>7}{now}  {point.place}", "", edge)
        for text in point.lines:
            yield from wrapped(text, edge)
        yield from wrapped(point.between, " " * 10 + "|  ", " " * 10 + "|    ")


def _marked(block: MarkedTexts) -> Iterator[str]:
    for item in block.items:
        yield from wrapped(f"{item.mark:>2}  {item.text}", "", " " * 4)
        yield from wrapped(item.how, " " * 4)
        for reading, mark in item.leads:
            yield from wrapped(f"{reading}  -> {mark}", " " * 6, " " * 8)


# -- tables


def _table(block: Table, indent: int) -> Iterator[str]:
    """Columns as wide as their cells; columns of words give way, and wrap, where a line is too short for all."""
    names = [head.name.replace("-", " ") for head in block.heads]
    parted = len(block.groups) > 1 and not names[0]  # each group's heading stands where the first column has none
    tops = [group.head[STEP:] for group in block.groups] if parted else names[:1]
    widths = _widths(block, [*([top, *names[1:]] for top in tops), *block.rows], WIDTH - indent)
    left = block.most or len(block.rows)
    edge = " " * indent
    if any(names) and widths and not parted:
        yield from _row(block, names, widths, edge)
    for number, group in enumerate(block.groups):
        if parted:
            yield from [""] * bool(number)
            yield from _row(block, [group.head, *names[1:]], widths, edge[STEP:], STEP)
        else:
            yield from wrapped(group.head, edge[STEP:])
        yield from _rows(block, group, widths, edge, left)
        left -= len(group.rows)
    if block.most and left < 0:
        yield from wrapped(left_out(-left, block.noun, block.where), edge)


def _rows(block: Table, group: RowGroup, widths: list[int], edge: str, left: int) -> Iterator[str]:
    for row in group.rows[: max(0, left)]:
        if widths:
            yield from _row(block, row, widths, edge)
        else:
            yield from wrapped(", ".join(filter(None, row)), edge + "- ", edge + " " * STEP)


def _row(block: Table, cells: Sequence[str], widths: list[int], edge: str, wider: int = 0) -> Iterator[str]:
    """The lines of one row; ``wider`` is what its first cell has more than its column."""
    parts = [
        _cell(cell, width + (0 if at else wider)) for at, (cell, width) in enumerate(zip(cells, widths, strict=False))
    ]
    for pieces in zip_longest(*parts, fillvalue=""):
        told = [
            f"{piece:>{width}}" if head.number else f"{piece:<{width + (0 if at else wider)}}"
            for at, (piece, width, head) in enumerate(zip(pieces, widths, block.heads, strict=True))
        ]
        yield edge + GAP.join(told)


def _cell(text: str, width: int) -> list[str]:
    text = _one_line(text)
    return [text] if len(text) <= width else textwrap.wrap(text, width, break_on_hyphens=False) or [""]


def _one_line(text: str) -> str:
    return escaped(text).translate(_BLANKS)


def _widths(block: Table, rows: Sequence[Sequence[str]], room: int) -> list[int]:
    """The width of each column; nothing where they cannot stand side by side."""
    widths = [max(len(_one_line(cell)) for cell in column) for column in zip(*rows, strict=True)]
    words = [at for at, head in enumerate(block.heads) if not head.number]
    room -= len(GAP) * (len(widths) - 1)
    while (over := sum(widths) - room) > 0 and words:
        widest = max(words, key=lambda at: (widths[at], at))
        others = max((widths[at] for at in words if widths[at] < widths[widest]), default=0)
        alike = [at for at in words if widths[at] == widths[widest]]
        cut = max(1, min(-(-over // len(alike)), widths[widest] - others))
        for at in alike[: over or None]:
            widths[at] -= cut
        if widths[widest] < LEAST_COLUMN:
            return []
    return widths if sum(widths) <= room else []
