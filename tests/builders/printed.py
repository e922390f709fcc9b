"""Tables as manuals print them, made from known rows, and what is read of them."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence

from harnesscheck.read.pages import Given, read_pages
from harnesscheck.read.pages.read import PagesRead

ROWS = [
    ["1", "red/yellow", "permanent feed (fuse 2)", "2.5"],
    ["2", "brown", "ground", "2.5"],
    ["3", "violet/red", "accessory feed", "0.75"],
    ["4", "black/orange", "ignition feed", "1.5"],
    ["6", "grey/orange", "dash illumination", "0.5"],
    ["7", "blue", "charge lamp", "0.5"],
]
TITLE = "Connector C15, 8-way, green, left front pillar"
HEADS = ("Pin", "Colour", "Function", "Size mm²")


def read(data: bytes, name: str, **more: object) -> PagesRead:
    """One source, read without a fault."""
    found = read_pages([Given(data, name)], **more)  # type: ignore[arg-type]
    assert not found.faults, found.faults
    return found


def cells(found: PagesRead, columns: Sequence[str] = ("cavity", "colour", "function", "size")) -> list[list[str]]:
    """The rows that are used, as texts."""
    used = [row for row in found.rows if not row.empty]
    return [[row.text(name) for name in columns] for row in used]


def aligned(rows: Sequence[Sequence[str]], gap: int = 2) -> str:
    """Rows in columns apart by blanks, as a mail shows them."""
    widths = [max(map(len, column)) + gap for column in zip(*rows, strict=True)]
    return "\n".join("".join(cell.ljust(wide) for cell, wide in zip(row, widths, strict=True)).rstrip() for row in rows)


def pdf(
    draw: Callable[[object], None],
) -> bytes:
    """A page that a function draws."""
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(595, 842), invariant=1)
    draw(canvas)
    canvas.save()
    return out.getvalue()


def table_pdf(
    rows: Sequence[Sequence[str]], title: str = TITLE, lines: str = "all", font: str = "Helvetica", size: float = 10,
    lefts: Sequence[float] = (50, 110, 230, 430), top: float = 760, step: float = 20, right: float = 540,
) -> bytes:  # fmt: skip
    """A table on a page, with all lines, those across only, or none."""

    def draw(canvas: object) -> None:
        put(canvas, rows, title, lines, font, size, lefts, top, step, right)
        canvas.showPage()  # type: ignore[attr-defined]

    return pdf(draw)


def put(
    canvas: object, rows: Sequence[Sequence[str]], title: str, lines: str = "all", font: str = "Helvetica",
    size: float = 10, lefts: Sequence[float] = (50, 110, 230, 430), top: float = 760, step: float = 20,
    right: float = 540,
) -> None:  # fmt: skip
    """Draw one table."""
    c: object = canvas
    c.setFont(font, size + 2)  # type: ignore[attr-defined]
    c.drawString(lefts[0], top + 20, title)  # type: ignore[attr-defined]
    c.setFont(font, size)  # type: ignore[attr-defined]
    for number, row in enumerate(rows):
        for left, text in zip(lefts, row, strict=False):
            c.drawString(left + 4, top - number * step - 14, text)  # type: ignore[attr-defined]
    for number in range(len(rows) + 1):
        if lines in ("all", "across"):
            c.line(lefts[0], top - number * step, right, top - number * step)  # type: ignore[attr-defined]
    for left in (*lefts, right) if lines == "all" else ():
        c.line(left, top, left, top - len(rows) * step)  # type: ignore[attr-defined]


PRINTED = [HEADS, *ROWS]
