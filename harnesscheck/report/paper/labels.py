"""Flags for plugs and wires: what stands on each, and where each lies on a sheet of labels or on a tape.

Sizes are those that label sheets are commonly sold in (common practice, no source): 63.5 mm by 38.1 mm, 21 on A4;
2 5/8 inch by 1 inch, 30 on Letter; tape of 12 mm, of which the middle is printed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from harnesscheck.draw.font import BOLD, REGULAR, fit, in_font, width_mm, wrap
from harnesscheck.draw.typeset import in_our_font
from harnesscheck.report.paper.blocks import POINT_MM, Data

INCH_MM = 25.4
TEXT_PT = 8.0


@dataclass(frozen=True)
class LabelStock:
    """Labels of one size and where they lie on their sheet, in mm; the first line's size in points."""

    name: str
    says: str
    page_mm: tuple[float, float]
    label_mm: tuple[float, float]
    across: int
    down: int
    first_mm: tuple[float, float]
    pitch_mm: tuple[float, float]
    head_pt: float
    lines: int  # of small text under the first
    pad_mm: float = 2.5
    tape: bool = False

    def places(self) -> list[tuple[float, float]]:
        """The upper left corner of every label, row by row."""
        return [
            (round(self.first_mm[0] + x * self.pitch_mm[0], 3), round(self.first_mm[1] + y * self.pitch_mm[1], 3))
            for y in range(self.down)
            for x in range(self.across)
        ]


A4_21 = LabelStock(
    "a4-21", "A4, 21 labels of 63.5 x 38.1 mm", (210, 297), (63.5, 38.1), 3, 7, (7.21, 15.15), (66.04, 38.1), 13, 7
)
LETTER_30 = LabelStock(
    "letter-30",
    "Letter, 30 labels of 2 5/8 x 1 inch",
    (8.5 * INCH_MM, 11 * INCH_MM),
    (2.625 * INCH_MM, INCH_MM),
    3,
    10,
    (0.1875 * INCH_MM, 0.5 * INCH_MM),
    (2.75 * INCH_MM, INCH_MM),
    11,
    5,
)
TAPE_12 = LabelStock("tape-12", "tape of 12 mm", (40, 12), (40, 12), 1, 1, (0, 0), (40, 12), 9, 1, 2, tape=True)
LABELS = {one.name: one for one in (A4_21, LETTER_30, TAPE_12)}


@dataclass(frozen=True)
class Flag:
    """One flag: which car and plug or contact, what it carries or goes to, what becomes of it."""

    head: str
    what: str
    then: str
    place: str = ""


@dataclass(frozen=True)
class LabelSheet:
    """Flags on labels of one size."""

    stock: LabelStock
    flags: Sequence[Flag] = field(default=())

    def data(self) -> Data:
        """The flags page by page. A label on a tape is as long as its text, others hold as many lines as fit."""
        stock = self.stock
        each = stock.across * stock.down
        flags = [self._lines(flag) for flag in self.flags]
        pages = [flags[at : at + each] for at in range(0, len(flags), each)]
        return {
            "height": stock.page_mm[1],
            "high": stock.label_mm[1],
            "pad": stock.pad_mm,
            "size": stock.head_pt,
            "outline": not stock.tape,
            "places": stock.places(),
            "pages": [{"flags": page} | self._wide(page) for page in pages],
        }

    def _wide(self, page: Sequence[Sequence[str]]) -> Data:
        if not self.stock.tape:
            return {"width": self.stock.page_mm[0], "wide": self.stock.label_mm[0]}
        sizes = (self.stock.head_pt, *([TEXT_PT] * self.stock.lines))
        lines = [(line, size) for flag in page for line, size in zip(flag, sizes, strict=False)]
        text_mm = max(width_mm(line, size * POINT_MM, BOLD) for line, size in lines)
        wide = round(max(self.stock.label_mm[0], text_mm + 2 * self.stock.pad_mm + 1), 2)
        return {"width": wide, "wide": wide}

    def _lines(self, flag: Flag) -> list[str]:
        room = self.stock.label_mm[0] - 2 * self.stock.pad_mm - 0.5
        rest = [text for text in (flag.what, flag.then, flag.place) if text]
        if self.stock.tape:
            return [in_our_font(flag.head), in_our_font(", ".join(rest[:2]))]
        head = fit(in_font(flag.head), room, self.stock.head_pt * POINT_MM, BOLD)
        lines: list[str] = []
        for at, text in enumerate(rest):
            left = self.stock.lines - len(lines) - (len(rest) - at - 1)
            lines += wrap(in_font(text), room, TEXT_PT * POINT_MM, max(1, left), REGULAR)
        return [head, *lines]
