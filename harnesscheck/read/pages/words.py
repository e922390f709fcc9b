"""Grids from words that stand on a page without lines between them.

Words become lines, a line that names columns (``headers.may_be`` knows their
words) starts a table, and between two headings a column ends where the fewest
rows have a letter. Lengths are in the page's own unit; em is the height of its letters.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median

from harnesscheck.read.headers import may_be
from harnesscheck.read.pages.cells import EMPTY, Box, PageCell, PageGrid, PageRow, Word, around
from harnesscheck.trade.headings import read_heading

_SAME_LINE = 0.5  # em that the middles of two words of one line differ at most
_SPACE = 0.45  # em between two words from which they may be in two columns
_NEW_BLOCK = 3.0  # line pitches without a word, after which a table has ended
_MOST_TITLES = 6  # lines above a table that may speak of it
_LEAST_ROWS = 2  # of a table without headings
_FREE = 0.6  # em between two columns of a table without headings, at least
_LEADER = re.compile(r"[.·…_]{3,}|^[.·…_]{2}$")
CAVITY = re.compile(r"[A-Za-z]{0,2}-?[0-9]{1,3}[A-Za-z]?|[A-Z]{1,2}")
_STEP = 0.1  # em; how finely the gaps between columns are looked for


@dataclass(frozen=True, slots=True)
class Line:
    """Words side by side, from left to right."""

    words: tuple[Word, ...]

    @property
    def box(self) -> Box:
        """Around its words."""
        found = around(word.box for word in self.words)
        assert found is not None
        return found

    @property
    def text(self) -> str:
        """Its words with blanks between."""
        return " ".join(word.text for word in self.words if not word.small)


def lines_of(words: Iterable[Word]) -> list[Line]:
    """The words of a page as lines from top to bottom.

    Each word goes to the line whose nearest word stands at its height, so that a
    line may rise or fall across the page.
    """
    found = sorted(words, key=lambda one: (one.box.left, one.box.top))
    lines: list[list[Word]] = []
    shelf = max(em_of(found), 1e-6)
    at_height: dict[int, list[list[Word]]] = defaultdict(list)  # the lines by where their last word stands
    tallest = max((word.box.height for word in found), default=0.0)
    for word in found:
        middle, reach = word.box.middle[1], tallest if word.small else word.box.height
        shelves = range(int((middle - reach) // shelf), int((middle + reach) // shelf) + 1)
        near = [line for number in shelves for line in at_height.get(number, ())]
        best = min(near, key=lambda line: _apart(line, word), default=None)
        if best is not None and _apart(best, word) <= _SAME_LINE:
            number = _shelf(best, shelf)
            best.append(word)
            if (now := _shelf(best, shelf)) != number:
                at_height[number].remove(best)
                at_height[now].append(best)
        else:
            lines.append([word])
            at_height[_shelf(lines[-1], shelf)].append(lines[-1])
    made = [Line(tuple(line)) for line in lines]
    return sorted(made, key=lambda line: (line.box.top + line.box.bottom, line.box.left))


def _last(line: Sequence[Word]) -> Word:
    """The word at a line's end that is not a sign of a footnote, where there is one."""
    return next((one for one in reversed(line) if not one.small), line[-1])


def _shelf(line: Sequence[Word], high: float) -> int:
    return int(_last(line).box.middle[1] // high)


def _apart(line: Sequence[Word], word: Word) -> float:
    """How far the word's middle is from the line's end, in heights of the smaller of the two."""
    last = _last(line)
    if word.box.left < line[-1].box.left or word.box.left < line[-1].box.right - word.box.height:
        return 9.0  # they would stand on each other
    low, high = sorted((last.box.height, word.box.height))
    if word.small:
        inside = last.box.top - 0.4 * high <= word.box.middle[1] <= last.box.bottom
        return 0.3 if inside else 9.0
    return abs(last.box.middle[1] - word.box.middle[1]) / max(low, 1e-6)


def em_of(words: Iterable[Word]) -> float:
    """The height of the letters: the median of the words'."""
    return median([word.box.height for word in words if not word.small] or [1.0])


def grids_of(
    words: Sequence[Word], file: str, page: int, rules: Sequence[float] = (), scanned: bool = False, em: float = 0.0
) -> list[PageGrid]:
    """Every table among the words of a page; ``rules`` are the heights of lines that are drawn across."""
    words = list(_without_leaders(words))
    em = em or em_of(words)
    lines = lines_of(words)
    heads = [at for at, line in enumerate(lines) if header_segments(line, em)]
    heads = [at for at in heads if at - 1 not in heads or not _continues(lines[at - 1], lines[at])]
    found: list[PageGrid] = []
    used = 0
    for number, at in enumerate(heads):
        if at < used:
            continue
        until = heads[number + 1] if number + 1 < len(heads) else len(lines)
        end = _end(lines, at, until)
        if _is_ruled(lines[at:end], rules):
            last = max(rule for rule in rules if rule < lines[end - 1].box.bottom + 2 * em)
            end = next((n for n in range(at + 1, end) if lines[n].box.middle[1] > last and not _is_row(lines[n])), end)
        used = end
        above = tuple(line.text for line in lines[max(0, at - _MOST_TITLES) : at])
        rows = _rows(lines[at:end], em, rules)
        if len(rows) > 1:
            found.append(PageGrid(file, page, tuple(rows), above, scanned=scanned, ruled=bool(rules)))
    return found or _headless(lines, em, file, page, scanned)


def _without_leaders(words: Iterable[Word]) -> Iterator[Word]:
    """The words without the dots that lead the eye from one column to the next."""
    for word in words:
        text = _LEADER.sub("", word.text)
        if text == word.text:
            yield word
        elif text:
            right = word.box.left + word.box.width * len(text) / len(word.text)
            yield replace(word, text=text, box=replace(word.box, right=right))


def _is_row(line: Line) -> bool:
    """Whether a line begins with what may be a cavity and goes on behind it."""
    return len(line.words) > 1 and bool(CAVITY.fullmatch(line.words[0].text))


def _headless(lines: Sequence[Line], em: float, file: str, page: int, scanned: bool) -> list[PageGrid]:
    """The table of a page on which no line names columns, as where it goes on from the page before.

    Its rows begin with cavities, its columns are where no row has a letter.
    """
    rows = [at for at, line in enumerate(lines) if _is_row(line)]
    best = max(_runs_of(rows, lines), key=len, default=[])
    if len(best) < _LEAST_ROWS:
        return []
    own = lines[best[0] : best[-1] + 1]
    edges = _free_columns([line for line in own if _is_row(line)], em)
    if not edges:
        return []
    above = tuple(line.text for line in lines[max(0, best[0] - _MOST_TITLES) : best[0]])
    made = [PageRow(number, tuple(_cells(line, edges))) for number, line in enumerate(own, start=1)]
    return [PageGrid(file, page, tuple(made), above, scanned=scanned)]


def _runs_of(rows: Sequence[int], lines: Sequence[Line]) -> list[list[int]]:
    """Rows that begin at one place of the page, and are not far below each other."""
    runs: list[list[int]] = []
    for at in rows:
        here, last = lines[at].box, lines[runs[-1][-1]].box if runs else None
        near = last is not None and here.top - last.bottom < _NEW_BLOCK * max(here.height, last.height)
        if last is not None and near and abs(here.left - last.left) < 2 * here.height:
            runs[-1].append(at)
        else:
            runs.append([at])
    return runs


def _free_columns(lines: Sequence[Line], em: float) -> list[float]:
    """The middles of the upright strips that hold no letter of these lines and are wider than a blank."""
    spans = sorted((word.box.left, word.box.right) for line in lines for word in line.words)
    edges, right = [], spans[0][1]
    for left, end in spans:
        if left - right >= _FREE * em:
            edges.append((left + right) / 2)
        right = max(right, end)
    return edges


def _continues(above: Line, below: Line) -> bool:
    """Whether two lines of headings are one heading in two lines."""
    return below.box.top - above.box.bottom < 0.6 * below.box.height


def header_segments(line: Line, em: float) -> list[list[Word]]:
    """The headings of a line, where most of it are words that name columns and two of them are; else nothing.

    Words side by side may be one heading or two: the gaps tell it, and of several ways
    the one with the most headings that are known.
    """
    gaps = sorted({round(gap, 3) for gap in _gaps(line.words) if gap >= 0.15 * em}, reverse=True)
    best: list[list[Word]] = []
    score = (0, 0)
    for least in gaps[:40]:
        parts = _split(line.words, least)
        texts = [" ".join(word.text for word in part if not word.small) for part in parts]
        known = sum(bool(may_be(text, "pin")) and not _is_unit(text) for text in texts)
        if known >= 2 and known * 2 > len(parts) and (known, -len(parts)) > score:
            best, score = parts, (known, -len(parts))
    return best


def _is_unit(text: str) -> bool:
    """Whether a text is a unit alone, which belongs to the heading before it."""
    said = read_heading(text)
    return said is not None and not said.words


def _gaps(words: Sequence[Word]) -> list[float]:
    return [right.box.left - left.box.right for left, right in pairwise(words)]


def _split(words: Sequence[Word], least: float) -> list[list[Word]]:
    parts: list[list[Word]] = [[words[0]]]
    for left, right in pairwise(words):
        if right.box.left - left.box.right >= least - 1e-3:
            parts.append([])
        parts[-1].append(right)
    return parts


def _end(lines: Sequence[Line], at: int, until: int) -> int:
    """The line after the table's last: where there is a wide gap, or nothing of the line is below a heading."""
    pitches = [below.box.middle[1] - above.box.middle[1] for above, below in pairwise(lines[at:until])]
    usual = median(pitches) if pitches else 0.0
    for number, pitch in enumerate(pitches):
        if number and pitch > _NEW_BLOCK * max(usual, lines[at + number].box.height):
            return at + number + 1
    return until


def _rows(lines: Sequence[Line], em: float, rules: Sequence[float]) -> list[PageRow]:
    """The lines of a table as rows of cells; lines that no rule parts are one row where rules part the others."""
    heads = header_segments(lines[0], em)
    edges = column_edges(heads, lines, em)
    rows = [_cells(line, edges) for line in lines]
    if not _is_ruled(lines, rules):
        return [PageRow(number, tuple(row)) for number, row in enumerate(rows, start=1)]
    merged: list[list[PageCell]] = []
    before: Line | None = None
    for line, row in zip(lines, rows, strict=True):
        if before is not None and not _rule_between(before, line, rules):
            merged[-1] = [joined(one, other) for one, other in zip(merged[-1], row, strict=True)]
        else:
            merged.append(row)
        before = line
    return [PageRow(number, tuple(row)) for number, row in enumerate(merged, start=1)]


def _is_ruled(lines: Sequence[Line], rules: Sequence[float]) -> bool:
    parted = sum(_rule_between(above, below, rules) for above, below in pairwise(lines))
    return parted >= max(2, (len(lines) - 1) / 3)


def _rule_between(above: Line, below: Line, rules: Sequence[float]) -> bool:
    return any(above.box.middle[1] < rule < below.box.middle[1] for rule in rules)


def joined(one: PageCell, other: PageCell) -> PageCell:
    """Two pieces of one cell, the upper first."""
    if not one.text or not other.text:
        return one if one.text else other
    between = "" if one.text.endswith(("/", "-")) else " "
    box = around(box for box in (one.box, other.box) if box is not None)
    readings = tuple(f"{text}{between}{other.text}" for text in one.readings)
    readings += tuple(f"{one.text}{between}{text}" for text in other.readings)
    score = min(one.score, other.score)
    return replace(one, text=f"{one.text}{between}{other.text}", box=box, score=score, readings=readings)


def column_edges(heads: Sequence[Sequence[Word]], lines: Sequence[Line], em: float) -> list[float]:
    """Where each column but the last ends: the middle of the widest gap between two headings' middles.

    A gap is where the fewest lines have a letter, for a text that is too long may reach over it.
    """
    boxes = [word.box for line in lines for word in line.words]
    boxes += [Box(box.left, box.top, box.right, box.bottom) for head in heads if (box := around(w.box for w in head))]
    middles = [box.middle[0] for head in heads if (box := around(word.box for word in head)) is not None]
    return [_edge(low, high, boxes, em) for low, high in pairwise(middles)]


def _edge(low: float, high: float, boxes: Sequence[Box], em: float) -> float:
    step = max(em * _STEP, (high - low) / 400)
    count = max(3, int((high - low) / step))
    places = [low + (high - low) * (n + 0.5) / count for n in range(count)]
    near = [box for box in boxes if box.right > low and box.left < high]
    filled = [sum(box.left < x < box.right for box in near) for x in places]
    fewest = min(filled)
    best, start = (0, 0), None
    for at, number in enumerate([*filled, fewest + 1]):
        if number == fewest and start is None:
            start = at
        elif number != fewest and start is not None:
            best = max(best, (at - start, start))
            start = None
    length, at = best
    return places[at] + (places[1] - places[0]) * (length - 1) / 2


def _cells(line: Line, edges: Sequence[float]) -> list[PageCell]:
    """A line's words by column; words that stand close together go where the first of them stands."""
    columns: list[list[Word]] = [[] for _ in range(len(edges) + 1)]
    for word in line.words:
        middle = word.box.left if word.small else word.box.middle[0]
        columns[sum(edge < middle for edge in edges)].append(word)
    return [cell_of(words) for words in columns]


def cell_of(words: Sequence[Word]) -> PageCell:
    """Words side by side as one cell; the signs of footnotes are left out."""
    kept = [word for word in words if not word.small]
    if not kept:
        return EMPTY
    text = " ".join(word.text for word in kept)
    readings = [
        " ".join(other if at == number else word.text for at, word in enumerate(kept))
        for number, one in enumerate(kept)
        for other in one.readings
    ]
    return PageCell(text, around(word.box for word in kept), min(word.score for word in kept), tuple(readings))
