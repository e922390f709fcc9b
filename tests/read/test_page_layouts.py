"""Layouts of our own making, read unaided: every cell of every row, and the plug's name where the page says it."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from typing import Any

import openpyxl
import pytest
from builders.printed import HEADS, PRINTED, ROWS, TITLE, aligned, cells, pdf, put, read, table_pdf

from harnesscheck.read.pages.pinlist import names_of

Made = Callable[[], bytes]
NO_SIZE = [[*row[:3], ""] for row in ROWS]
SECOND = [[str(number), *row[1:]] for number, row in enumerate(ROWS[3:], start=1)]


def pages(*tables: Sequence[Sequence[str]], lines: str = "none") -> bytes:
    """A page a table, the first with the title, each with a head line and a number at its foot."""

    def draw(canvas: Any) -> None:
        for number, rows in enumerate(tables, start=1):
            put(canvas, rows, TITLE if number == 1 else "", lines)
            canvas.drawString(50, 815, "Body wiring, example van")
            canvas.drawRightString(540, 40, f"71-{number}")
            canvas.showPage()

    return pdf(draw)


def blocks(step: float, other: float, lines: str = "none") -> bytes:
    """Two blocks of columns beside each other, each with its own height of rows."""

    def draw(canvas: Any) -> None:
        for rows, left, high in ((ROWS[:3], 40, step), (ROWS[3:], 310, other)):
            lefts = (left, left + 30, left + 110)
            printed = [HEADS[:3], *(row[:3] for row in rows)]
            put(canvas, printed, TITLE if left == 40 else "", lines, size=9, lefts=lefts, right=left + 250, step=high)
        canvas.showPage()

    return pdf(draw)


def shaded() -> bytes:
    """Every other row on grey, and no line."""

    def draw(canvas: Any) -> None:
        for number in range(1, len(PRINTED), 2):
            canvas.setFillGray(0.9)
            canvas.rect(50, 760 - (number + 1) * 20, 490, 20, stroke=0, fill=1)
            canvas.setFillGray(0)
        put(canvas, PRINTED, TITLE, "none")
        canvas.showPage()

    return pdf(draw)


def placed(rows: Sequence[tuple[float, Sequence[str]]], at: Sequence[float], centred: bool = False) -> bytes:
    """Rows at heights of our choice, their cells at or around some places."""

    def draw(canvas: Any) -> None:
        canvas.setFont("Helvetica", 12)
        canvas.drawString(50, 785, TITLE)
        canvas.setFont("Helvetica", 10)
        for height, row in rows:
            for place, text in zip(at, row, strict=True):
                (canvas.drawCentredString if centred else canvas.drawString)(place, height, text)
        canvas.showPage()

    return pdf(draw)


def two_lines_of_headings() -> bytes:
    """``Wire`` over ``colour``, ``Size`` over ``mm²``."""
    heads = [(750.0, ("Cavity", "Wire", "Function", "Size")), (739.0, ("no.", "colour", "", "mm²"))]
    return placed([*heads, *((718.0 - 18 * at, row) for at, row in enumerate(ROWS))], (50, 110, 230, 430))


def workbook(title: bool = False) -> bytes:
    """A sheet a plug; with ``title`` one sheet that says it in a line above."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Sheet1" if title else "C15"
    for line in ([TITLE], []) if title else ():
        sheet.append(line)
    sheet.append(list(HEADS))
    for row in ROWS:
        sheet.append([int(row[0]), row[1], row[2], float(row[3])])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def web(table: str, around: str = "") -> bytes:
    """A web page with a table, and what stands before it."""
    return f"<html><body><script>steal()</script>{around}<div>{table}</div></body></html>".encode()


def web_rows(tag: str = "td") -> str:
    return "".join("<tr>" + "".join(f"<{tag}>{cell}&nbsp;</{tag}>" for cell in row) + "</tr>" for row in ROWS)


def text(rows: Sequence[Sequence[str]], sign: str, title: str = TITLE) -> bytes:
    return "\n".join(([title] if title else []) + [sign.join(row) for row in rows]).encode()


BOTH = [("Pin", "Wire", "Function"), *((row[0], f"{row[3]} {row[1]}", row[2]) for row in ROWS)]
GERMAN = [
    ("Kammer", "Leitung", "Funktion"),
    *((row[0], f"{row[3]} {row[1]}".replace(".", ","), row[2]) for row in ROWS),
]
WEB_HEADS = "<tr>" + "".join(f"<th><b>{head}</b></th>" for head in HEADS) + "</tr>"
LEADERS = "\n".join([TITLE, "Pin    Colour ............ Function", *(f"{r[0]:6} {r[1]:.<18} {r[2]}" for r in ROWS)])
TITLED = [[TITLE, "", "", ""], *PRINTED]
WRAPPED = [list(row) for row in PRINTED]
LAYOUTS: dict[str, Made] = {
    "goes on without headings, all lines": lambda: pages([HEADS, *ROWS[:3]], ROWS[3:], lines="all"),
    "goes on without headings, lines across": lambda: pages([HEADS, *ROWS[:3]], ROWS[3:], lines="across"),
    "goes on without headings, no lines": lambda: pages([HEADS, *ROWS[:3]], ROWS[3:]),
    "goes on with headings": lambda: pages([HEADS, *ROWS[:3]], [HEADS, *ROWS[3:]]),
    "goes on over three pages": lambda: pages([HEADS, *ROWS[:2]], ROWS[2:4], ROWS[4:]),
    "shaded": shaded,
    "centred": lambda: placed([(746 - 20 * at, row) for at, row in enumerate(PRINTED)], (70, 170, 340, 480), True),
    "two lines of headings": two_lines_of_headings,
    "rows of other heights": lambda: placed(
        [(750 - at * at * 7, row) for at, row in enumerate(PRINTED)], (50, 110, 230, 430)
    ),
    "size and colour in one cell": lambda: (TITLE + "\n" + aligned(BOTH)).encode(),
    "size and colour in one cell, decimal comma": lambda: text(GERMAN, ";", "Stecker C15, 8-polig"),
    "title in a row of the table": lambda: text(TITLED, "\t", ""),
    "markdown": lambda: text([["| " + " | ".join(HEADS) + " |"], ["|---|:--|---|--:|"],
                              *(["| " + " | ".join(row) + " |"] for row in ROWS)], "", f"## {TITLE}\n"),
    "a grid of strokes": lambda: text(
        [["+----+"], *([line] for row in PRINTED for line in ("| " + " | ".join(row) + " |", "+----+"))], ""
    ),
    "leaders": lambda: LEADERS.encode(),
    "a column of plugs": lambda: text([("Plug", *HEADS), ("C15", *ROWS[0]), *(("", *r) for r in ROWS[1:])], ";", ""),
    "workbook, a sheet a plug": workbook,
    "workbook, title above": lambda: workbook(title=True),
    "web, a heading some elements up": lambda: web(f"<table>{WEB_HEADS}{web_rows()}</table>", f"<h3>{TITLE}</h3>"),
    "web, headings in the body": lambda: web(
        f"<table><caption>{TITLE}</caption><tbody>{WEB_HEADS.replace('th>', 'td>')}{web_rows()}</tbody></table>"
    ),
    "typewriter, one blank apart": lambda: f"{TITLE}\n{aligned(PRINTED, 1)}".encode(),
    "two blocks, the same heights": lambda: blocks(20, 20),
    "two blocks, other heights": lambda: blocks(20, 27),
    "two blocks, lines, other heights": lambda: blocks(20, 27, "all"),
}  # fmt: skip


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_layout_is_read_unaided(layout: str) -> None:
    """Every cell of every row, none doubtful, of plug C15."""
    found = read(LAYOUTS[layout](), "page")
    without_size = layout in ("leaders",) or layout.startswith("two blocks")

    assert cells(found) == (NO_SIZE if without_size else ROWS)
    assert {row.connector for row in found.rows} == {"C15"}
    assert not any(row.doubts for row in found.rows)


LANGUAGES = {
    "de": ("Steckverbinder C15 (8-polig), linke A-Säule", ("Pin-Nr.", "Leitungsfarbe", "Belegung", "Querschnitt")),
    "fr": ("Prise C15, 8 voies, pied avant gauche", ("Borne", "Couleur du fil", "Désignation", "Section")),
    "es": ("Conector C15, 8 vías", ("Pin", "Color", "Función", "Sección mm²")),
    "it": ("Connettore C15, 8 vie", ("Pin", "Colore", "Funzione", "Sezione mm²")),
    "pt": ("Conector C15, 8 vias", ("Pino", "Cor", "Função", "Secção mm²")),
    "nl": ("Stekker C15, 8-polig", ("Pen", "Kleur", "Functie", "Doorsnede mm²")),
    "sv": ("Kontakt C15, 8-polig, vänster stolpe", ("Stift", "Färg", "Funktion", "Area mm²")),
    "da": ("Stik C15, 8-polet", ("Ben", "Farve", "Funktion", "Tværsnit mm²")),
    "no": ("Kontakt C15, 8-pins", ("Pinne", "Farge", "Funksjon", "Tverrsnitt mm²")),
    "pl": ("Złącze C15, 8 styków", ("Styk", "Kolor", "Funkcja", "Przekrój mm²")),
    "cs": ("Konektor C15, 8 pinů", ("Pin", "Barva", "Funkce", "Průřez mm²")),
    "fi": ("Liitin C15, 8-napainen", ("Napa", "Väri", "Toiminto", "Poikkipinta mm²")),
}
LATIN_1 = ("de", "fr", "es", "it", "pt", "nl", "sv", "da", "no")  # the letters of a PDF's standard fonts


@pytest.mark.parametrize("language", LANGUAGES)
def test_headings_of_a_language(language: str) -> None:
    """As a text, and as a page without lines."""
    title, heads = LANGUAGES[language]
    sources = [(title + "\n" + aligned([heads, *ROWS])).encode()]
    sources += [table_pdf([heads, *ROWS], title, "none")] if language in LATIN_1 else []
    for data in sources:
        found = read(data, "page")
        assert cells(found) == ROWS
        assert {(row.connector) for row in found.rows} == {"C15"}


def test_accents_stay() -> None:
    """A function with the letters of its language, from a page with text."""
    rows = [("Kammer", "Farbe", "Funktion"), ("1", "weiß", "Rückfahrscheinwerfer"), ("2", "grün", "Türöffner für Heck")]
    found = read(table_pdf(rows, "Stecker C15", "none", lefts=(50, 110, 230)), "page")

    assert cells(found, ("cavity", "colour", "function")) == [list(row) for row in rows[1:]]


def test_a_contact_column_names_no_plug() -> None:
    """``Kontakt`` heads a column, and ``Kontakt 4`` is a contact: neither is a connector's name."""
    found = read(
        ("Kontakt 4 is left free\n" + aligned([("Kontakt", "Farbe", "Funktion"), *(r[:3] for r in ROWS)])).encode(),
        "X9.txt",
    )

    assert {row.connector for row in found.rows} == {"X9"}


def test_mates_of_a_table_of_two_plugs() -> None:
    """Two plugs side by side in a PDF: each has every row, and they mate."""
    rows = [("Colour", "Size", "Pin", "Colour", "Size"), *((r[1], r[3], r[0], r[1], r[3]) for r in ROWS)]
    found = read(table_pdf(rows, "Connectors C15 (body) and C15L (door)", lefts=(50, 150, 220, 270, 400)), "page")

    assert found.mates == (("C15", "C15L"),)
    assert cells(found, ("cavity", "colour", "size")) == [[r[0], r[1], r[3]] for r in ROWS] * 2


def test_several_plugs_of_one_page() -> None:
    """Two tables with their titles, and one table with titles between its rows."""
    first, second = aligned([HEADS, *ROWS[:3]]), aligned([HEADS, *SECOND])
    apart = f"Connector C15, 8-way\n{first}\n\nConnector C16, 4-way, under the seat\n{second}\n"
    between = text(
        [HEADS, ("Connector C15 8-way", "", "", ""), *ROWS[:3], ("Connector C16 4-way", "", "", ""), *SECOND], ",", ""
    )
    for data in (apart.encode(), between):
        found = read(data, "page")
        assert cells(found) == ROWS[:3] + SECOND
        assert [row.connector for row in found.rows] == ["C15"] * 3 + ["C16"] * 3


def test_a_row_below_the_last_line_is_a_row() -> None:
    """A table whose lowest line is missing loses no row: what is not there would be an empty cavity."""

    def draw(canvas: Any) -> None:
        put(canvas, PRINTED, TITLE, "none")
        for number in range(len(PRINTED)):
            canvas.line(50, 760 - number * 20, 540, 760 - number * 20)
        canvas.drawString(54, 760 - 9 * 20, "Seen from the wire side.")
        canvas.showPage()

    assert cells(read(pdf(draw), "page")) == ROWS


def test_cells_that_stand_two_blanks_apart_need_no_columns() -> None:
    """Lines of as many cells as headings are read by their order, where no cell stands below its heading."""
    text = "Pin  Farbe  Funktion\n2  br  Masse\n10  rt/ge  Dauerplus\n3  sw  Signal Tankgeber\n"
    names = ("cavity", "colour", "function")
    twice = b"Pin  Colour  Function  Colour  Function\n1  red/blue  feed  brown  ground\n"

    assert cells(read(text.encode(), "C12.txt"), names) == [
        ["2", "br", "Masse"], ["10", "rt/ge", "Dauerplus"], ["3", "sw", "Signal Tankgeber"],
    ]  # fmt: skip
    assert cells(read(twice, "C12.txt"), names) == [["1", "red/blue", "feed"]]


def test_a_range_without_end_is_not_written_out() -> None:
    """Of ten million cavities nothing is made; who reads the rows refuses the name."""
    found = read(b"Pin,Colour\n1-9999999,RD\n2,BN\n", "C12.csv")

    assert [names_of(row) for row in found.rows] == [("1-9999999",), ("2",)]
    assert names_of(read(b"Pin,Colour\n3-5,RD\n2,BN\n", "C12.csv").rows[0]) == ("3", "4", "5")
