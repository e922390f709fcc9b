"""The pages of a PDF: tables with lines between their cells, tables without, and pages that are only a picture.

Nothing of a PDF is run and none of its links is followed: words, lines and pictures are read.
"""

from __future__ import annotations

import io
import logging
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from operator import itemgetter
from typing import TYPE_CHECKING, Any

from harnesscheck.model.places import Place
from harnesscheck.model.progress import Told
from harnesscheck.read.faults import Faults, StopReading
from harnesscheck.read.pages.cells import EMPTY, Box, PageCell, PageGrid, PageRow, SourcePage, Word, source_words
from harnesscheck.read.pages.words import cell_of, grids_of, lines_of

if TYPE_CHECKING:
    from harnesscheck.read.pages.pagelimits import PageLimits

_SMALL = 0.82  # of its line's size, a word that stands for a footnote
_MOST_LINES = 20_000  # drawn on a page; more is a drawing
_DRAWN = 60  # lines and curves on a page without a table, from which it shows a drawing
_TITLES = 6
_WORD = 12  # letters of a long word and the blank behind it
SCAN_DPI = 200


def pdf_pages(
    data: bytes, name: str, faults: Faults, limits: PageLimits, wanted: Sequence[int], told: Told
) -> list[SourcePage]:
    """The pages that are wanted, or all where there are not too many."""
    import pdfplumber

    _judge_size(data, name, faults, limits, wanted)
    logging.getLogger("pdfminer").setLevel(logging.ERROR)
    try:
        with pdfplumber.open(io.BytesIO(data)) as document:
            numbers = _numbers(len(document.pages), name, faults, limits, wanted)
            return [_page(document.pages[number - 1], data, name, number, faults, limits, told) for number in numbers]
    except StopReading:
        raise
    except Exception as error:
        # What the PDF libraries raise for a damaged or locked file is not documented; whatever it is ends here.
        read = "a PDF that is locked" if "assword" in type(error).__name__ + str(error) else "a damaged PDF"
        faults.stop(Place(name), read, "a PDF that can be opened")


def _judge_size(data: bytes, name: str, faults: Faults, limits: PageLimits, wanted: Sequence[int]) -> None:
    """No page with more letters than there is time for: counted first by the quicker of two libraries."""
    import pypdfium2  # type: ignore[import-untyped]

    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError:
        return  # the other says what is wrong with it
    try:
        for number in _numbers(len(document), name, faults, limits, wanted):
            page = document[number - 1]
            count = page.get_textpage().count_chars()
            page.close()
            if count > limits.max_words * _WORD:
                faults.stop(
                    Place(f"{name} p. {number}"), f"{count} letters", f"at most {limits.max_words} words on a page"
                )
    except pypdfium2.PdfiumError:
        return
    finally:
        document.close()


def _numbers(count: int, name: str, faults: Faults, limits: PageLimits, wanted: Sequence[int]) -> list[int]:
    for number in wanted:
        if not 1 <= number <= count:
            faults.stop(Place(name), f"--page {number}", f"a page from 1 to {count}")
    numbers = list(wanted) or list(range(1, count + 1))
    if len(numbers) > limits.max_pages:
        faults.stop(Place(name), f"{len(numbers)} pages", f"at most {limits.max_pages} at once; name them: --page 71")
    return numbers


def _page(page: Any, data: bytes, name: str, number: int, faults: Faults, limits: PageLimits, told: Told) -> SourcePage:
    told(source_words(name, number))
    drawn = len(page.lines) + len(page.curves) + len(page.rects)
    words = list(_words(page))
    if len(words) > limits.max_words:
        faults.stop(Place(f"{name} p. {number}"), f"{len(words)} words", f"at most {limits.max_words} words on a page")
    if not words and page.images:
        return _scanned(data, name, number, faults, limits, told)
    grids = _ruled(page, words, name, number) if drawn <= _MOST_LINES else []
    boxes = [grid.box for grid in grids if grid.box is not None]
    rest = [word for word in words if not any(_inside(word.box, box) for box in boxes)]
    grids += grids_of(rest, name, number, _rules(page) if drawn <= _MOST_LINES else ())
    grids.sort(key=lambda grid: (grid.box.top, grid.box.left) if grid.box else (0, 0))
    page.close()
    return SourcePage(name, number, tuple(grids), len(lines_of(words)), drawn >= _DRAWN)


def _words(page: Any) -> Iterator[Word]:
    found = page.extract_words(x_tolerance=1.5, keep_blank_chars=False, extra_attrs=["size"], use_text_flow=False)
    by_end = sorted(found, key=itemgetter("x1"))
    ends = [one["x1"] for one in by_end]
    biggest = max((one["size"] for one in found), default=0.0)
    for one in found:
        near = by_end[bisect_left(ends, one["x0"] - biggest) : bisect_right(ends, one["x0"] + biggest)]
        beside = [
            other
            for other in near
            if other is not one and abs(other["x1"] - one["x0"]) < other["size"] and _same_height(one, other)
        ]
        low = max((other["bottom"] for other in beside), default=one["bottom"])
        small = one["bottom"] < low - 0.5 and one["size"] < _SMALL * max(other["size"] for other in beside)
        yield Word(one["text"], Box(one["x0"], one["top"], one["x1"], one["bottom"]), small=small)


def _same_height(one: Any, other: Any) -> bool:
    return bool(other["top"] - 3 <= (one["top"] + one["bottom"]) / 2 <= other["bottom"])


def _rules(page: Any) -> list[float]:
    """The heights of lines that are drawn across a good part of the page."""
    least = page.width / 4
    return sorted({round(edge["top"], 1) for edge in page.horizontal_edges if edge["width"] >= least})


def _inside(inner: Box, outer: Box) -> bool:
    x, y = inner.middle
    return outer.left <= x <= outer.right and outer.top <= y <= outer.bottom


def _ruled(page: Any, words: Sequence[Word], name: str, number: int) -> list[PageGrid]:
    """Tables whose cells have lines around them."""
    found = []
    for table in page.find_tables():
        rows = [row for row in table.rows if any(row.cells)]
        width = max((len(row.cells) for row in rows), default=0)
        if len(rows) < 2 or width < 2:
            continue
        top = table.bbox[1]
        above = [word for word in words if word.box.bottom <= top + 1]
        titles = tuple(line.text for line in lines_of(above)[-_TITLES:])
        made = _filled(rows, width, words)
        found.append(PageGrid(name, number, tuple(made), titles, ruled=True))
    return found


def _filled(rows: Sequence[Any], width: int, words: Sequence[Word]) -> list[PageRow]:
    """Each row's cells with their words; a cell that spans rows or columns is in all of them."""
    made: list[list[PageCell]] = []
    last: list[tuple[float, PageCell]] = [(0.0, EMPTY)] * width
    for row in rows:
        cells: list[PageCell] = []
        middle = (row.bbox[1] + row.bbox[3]) / 2
        wide_until, wide = 0.0, EMPTY
        for at in range(width):
            box = row.cells[at] if at < len(row.cells) else None
            if box is not None:
                cell = _text_in(Box(*box), words)
                last[at] = (box[3], cell)
                wide_until, wide = box[2], cell
                cells.append(cell)
            elif last[at][0] > middle:
                cell = last[at][1]
                cells.append(PageCell(cell.text, cell.box, spans=True))
            else:
                edge = _left_of(rows, at)
                cells.append(PageCell(wide.text, wide.box, wide=2) if edge is not None and edge < wide_until else EMPTY)
        made.append(cells)
    return [PageRow(number, tuple(cells)) for number, cells in enumerate(made, start=1)]


def _left_of(rows: Sequence[Any], at: int) -> float | None:
    """Where a column begins, by any row that has a cell of its own there."""
    return next((row.cells[at][0] for row in rows if at < len(row.cells) and row.cells[at] is not None), None)


def _text_in(box: Box, words: Sequence[Word]) -> PageCell:
    lines = [cell_of(line.words) for line in lines_of([word for word in words if _inside(word.box, box)])]
    text = ""
    for line in lines:
        text += line.text if not text or text.endswith(("/", "-")) else f" {line.text}"
    return PageCell(text, box)


def _scanned(data: bytes, name: str, number: int, faults: Faults, limits: PageLimits, told: Told) -> SourcePage:
    """A page without text that shows a picture."""
    from harnesscheck.read.pages.scan import picture_page

    png = page_png(data, number, SCAN_DPI)
    return picture_page(png, name, number, faults, limits, told)


def page_png(data: bytes, number: int, dpi: int) -> bytes:
    """A page as a picture, at most 4000 pixels wide or high."""
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    try:
        page = document[number - 1]
        scale = min(dpi / 72, 4000 / max(*page.get_size(), 1))
        picture = page.render(scale=scale, grayscale=True).to_pil()
        out = io.BytesIO()
        picture.save(out, "PNG")
        return out.getvalue()
    finally:
        document.close()
