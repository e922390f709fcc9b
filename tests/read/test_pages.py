"""Tables as manuals print them, made from known rows: text, web pages, workbooks and PDFs are read exactly."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from builders.commands import run
from builders.files import good
from builders.manualpage import page_pdf, page_rows
from builders.printed import HEADS, PRINTED, ROWS, TITLE, aligned, cells, pdf, put, read, table_pdf

from harnesscheck.read import read_netlist
from harnesscheck.read.pages import Given, read_pages
from harnesscheck.read.pages.layout import columns_by_hand
from harnesscheck.read.pages.read import DRAWING
from harnesscheck.write.pagerows import pin_texts, rows_csv

DEMO = Path(__file__).parents[2] / "harness_demo"
SOURCES = {
    "csv": lambda: (",".join(HEADS) + "\n" + "\n".join(",".join(r) for r in ROWS)).encode(),
    "semicolons": lambda: (TITLE + "\n" + ";".join(HEADS) + "\n" + "\n".join(";".join(r) for r in ROWS)).encode(),
    "tabs": lambda: "\n".join("\t".join(r) for r in PRINTED).encode(),
    "strokes": lambda: "\n".join("| " + " | ".join(r) + " |" for r in PRINTED).encode(),
    "aligned": lambda: (TITLE + "\n\n" + aligned(PRINTED)).encode(),
    "aligned in prose": lambda: ("Take the cover off.\n\n" + TITLE + "\n" + aligned(PRINTED, 3) + "\n").encode(),
    "pdf all lines": lambda: table_pdf(PRINTED),
    "pdf lines across": lambda: table_pdf(PRINTED, lines="across"),
    "pdf no lines": lambda: table_pdf(PRINTED, lines="none"),
    "pdf serif": lambda: table_pdf(PRINTED, lines="none", font="Times-Roman"),
    "pdf typewriter, small": lambda: table_pdf(PRINTED, lines="none", font="Courier", size=8),
    "pdf narrow": lambda: table_pdf(PRINTED, lines="none", lefts=(50, 80, 145, 260), size=9, step=13),
}


@pytest.mark.parametrize("layout", SOURCES)
def test_a_layout_is_read_unaided(layout: str) -> None:
    """Every cell of every row, in whatever the table is."""
    found = read(SOURCES[layout](), "page")

    assert cells(found) == ROWS
    assert not any(row.doubts for row in found.rows)


WORDS = {
    "de": ("Stecker C15, 8-polig", ("Kammer", "Farbe", "Funktion", "Querschnitt mm²")),
    "fr": ("Connecteur C15 (8 voies)", ("Voie", "Couleur", "Fonction", "Section mm²")),
    "es": ("Conector C15, 8 vías", ("Pin", "Color", "Función", "Sección mm²")),
    "it": ("Connettore C15, 8 vie", ("Pin", "Colore", "Funzione", "Sezione mm²")),
    "nl": ("Stekker C15, 8-polig", ("Pen", "Kleur", "Functie", "Doorsnede mm²")),
    "sv": ("C15, 8-polig", ("Stift", "Färg", "Funktion", "Area mm²")),
}


@pytest.mark.parametrize("language", WORDS)
def test_headings_of_other_languages(language: str) -> None:
    """Headings and the line above in the words of a language; the plug is named."""
    title, heads = WORDS[language]
    found = read((title + "\n" + aligned([heads, *ROWS])).encode(), "page.txt")

    assert cells(found) == ROWS
    assert {row.connector for row in found.rows} == {"C15"}


def test_two_mated_plugs_side_by_side() -> None:
    """One column of cavities, a colour on either side: two plugs that mate."""
    rows = [["C15", "Pin", "C15L"], ["Colour", "", "Colour"]]
    table = "".join(f"<tr><td>{r[1]}</td><td>{r[0]}</td><td>{r[1]} </td></tr>" for r in ROWS)
    html = f"<h2>Connectors C15 and C15L</h2><table><tr><th>Colour</th><th>Pin</th><th>Colour</th></tr>{table}</table>"
    found = read(html.encode(), "page.html")

    assert rows and found.mates == (("C15", "C15L"),)
    assert cells(found, ("cavity", "colour")) == [r[:2] for r in ROWS] * 2
    assert {row.connector for row in found.rows} == {"C15", "C15L"}


def test_two_blocks_of_columns_are_one_plug() -> None:
    """The same headings twice, and the cavities go on: one plug."""
    rows = [[*HEADS, *HEADS], *([*one, *other] for one, other in zip(ROWS[:3], ROWS[3:], strict=True))]
    found = read("\n".join("\t".join(row) for row in rows).encode(), "C15.txt")

    assert sorted(cells(found)) == ROWS


def test_a_web_table_with_spans_and_two_lines_of_headings() -> None:
    """A heading over two columns, a cell over two rows."""
    html = """<table><caption>Plug C7</caption>
    <tr><th rowspan=2>Pin</th><th colspan=2>Wire</th><th rowspan=2>Function</th></tr>
    <tr><th>Colour</th><th>Size</th></tr>
    <tr><td>1<td>red<td>1.5<td rowspan=2>heater feed</tr><tr><td>2<td>red/white<td>1.5</tr></table>"""
    found = read(html.encode(), "page.html")

    assert cells(found) == [["1", "red", "heater feed", "1.5"], ["2", "red/white", "heater feed", "1.5"]]
    assert found.rows[0].connector == "C7"


def test_habits_of_manuals() -> None:
    """Not used, dashes, ranges, ditto, footnote signs, options in brackets, a text that goes on below."""
    text = aligned([
        ["Pin", "Colour", "Function"],
        ["1", "RD", "feed for the radio"],
        ["", "", "and the clock"],
        ["2*", "BN", "ground"],
        ["3–4", "BN", '"'],
        ["5", "–", "Not used"],
        ["6", "GY", "horn"],
        ["6", "GY/WH", "horn (with alarm)"],
        ["7", "BU", "lamp"],
    ])  # fmt: skip
    found = read(("C9, 8-way\n" + text + "\n* to the body\n").encode(), "page.txt")
    by_name = {(row.text("cavity"), row.text("option")): row for row in found.rows}

    assert by_name["1", ""].text("function") == "feed for the radio and the clock"
    assert by_name["2", ""].text("colour") == "BN"
    assert by_name["3-4", ""].text("function") == "ground"
    assert by_name["5", ""].empty
    assert by_name["6", "alarm"].text("colour") == "GY/WH"
    assert by_name["6", ""].text("without") == "alarm"


def test_a_table_goes_on_over_a_page() -> None:
    """The second page has headings and no name: the same plug; several pages are one car."""

    def draw(canvas: object) -> None:
        put(canvas, [HEADS, *ROWS[:3]], TITLE)
        canvas.showPage()  # type: ignore[attr-defined]
        put(canvas, [HEADS, *ROWS[3:]], "")
        canvas.showPage()  # type: ignore[attr-defined]

    found = read(pdf(draw), "manual.pdf")

    assert cells(found) == ROWS
    assert {row.connector for row in found.rows} == {"C15"}
    assert [row.source for row in found.rows] == ["manual.pdf p. 1"] * 3 + ["manual.pdf p. 2"] * 3


def test_columns_by_hand() -> None:
    """A person says which column is which, and that is how it is read."""
    text = "\n".join(f"{a};{b};{c}" for a, b, c, _ in [("x", "y", "z", ""), *ROWS])
    by_hand = columns_by_hand("pin=1 colour=2 function=3")
    assert cells(read(text.encode(), "page.txt", columns=by_hand)) == [[*row[:3], ""] for row in ROWS]


def test_two_sources_that_disagree_are_not_known() -> None:
    """Both places are named, neither value is taken."""
    texts = [f"C15, 8-way\nPin,Colour,Function\n1,{colour},horn\n2,blue,lamp\n" for colour in ("red", "green")]
    found = read_pages([Given(text.encode(), f"{at}.csv") for at, text in enumerate(texts)])

    (clash,) = found.clashes
    assert (clash.connector, clash.cavity, clash.field, clash.texts) == ("C15", "1", "colour", ("red", "green"))
    assert pin_texts(found)[0].get("colour") is None
    assert len(found.rows) == 2


def test_a_drawing_is_said_to_be_one() -> None:
    """A page of lines with a few words is no table."""

    def draw(canvas: object) -> None:
        for at in range(90):
            canvas.line(50 + at * 5, 100, 60 + at * 5, 700)  # type: ignore[attr-defined]
        canvas.drawString(100, 720, "C15 C16 G2")  # type: ignore[attr-defined]
        canvas.showPage()  # type: ignore[attr-defined]

    assert DRAWING in str(read_pages([Given(pdf(draw), "manual.pdf")]).faults[0])


@pytest.mark.parametrize(
    "data",
    [b"", b"%PDF-1.7 broken", b"\x89PNG\r\n\x1a\n broken", b"PK\x03\x04 broken", b"<html", b"\xff\xfe\x00x", b"\x00"],
)
def test_a_broken_file_is_one_message(data: bytes) -> None:
    """No traceback, one fault."""
    assert len(read_pages([Given(data, "hostile")]).faults) == 1


def test_the_demo_page_is_the_typed_plug(tmp_path: Path) -> None:
    """The PDF's rows and the donor's own plug against the shell: the same findings of C15."""
    found = read((DEMO / "manual-page.pdf").read_bytes(), "manual-page.pdf")
    (tmp_path / "C15.csv").write_text(rows_csv(found), encoding="utf-8")
    netlist = good(read_netlist(tmp_path / "C15.csv"))
    van = good(read_netlist(DEMO / "donor.xml"))
    typed = {
        pin.cavity: (pin.circuit, pin.colour.names if pin.colour else None, pin.size.area_mm2 if pin.size else None)
        for pin in van.pins
        if pin.connector == "C15"
    }

    assert typed == {
        pin.cavity: (pin.circuit, pin.colour.names if pin.colour else None, pin.size.area_mm2 if pin.size else None)
        for pin in netlist.pins
    }
    lines = ["cavity,circuit,colour,size,function", *(",".join(f'"{one}"' for one in row) for row in page_rows())]
    (tmp_path / "typed").mkdir()
    (tmp_path / "typed" / "pins-C15.csv").write_text("\n".join(lines).replace("–", ""), encoding="utf-8")
    (tmp_path / "read").mkdir()
    (tmp_path / "read" / "pins.csv").write_text(rows_csv(found), encoding="utf-8")
    reports = []
    for name in ("typed", "read"):
        done = run("compare", str(tmp_path / name), str(DEMO / "shell.xml"), "--json", "-")
        reports.append([(one["id"], one["kind"], one["certainty"]) for one in json.loads(done.stdout)["findings"]])
    assert reports[0] == reports[1] != []


def test_the_demo_page_is_what_its_maker_writes() -> None:
    """The committed page is made by the committed builder."""
    assert page_pdf() == (DEMO / "manual-page.pdf").read_bytes()


def test_a_photo_is_read_or_asked() -> None:
    """Every cell of the photo is the PDF's, or it is marked doubtful; none is silently wrong."""
    truth = {row.text("cavity"): row for row in read((DEMO / "manual-page.pdf").read_bytes(), "p").rows}
    found = read((DEMO / "manual-photo.jpg").read_bytes(), "photo.jpg")
    right = wrong = 0
    for row in found.rows:
        assert row.text("cavity") in truth
        for name in ("circuit", "colour", "size", "function"):
            cell, true = row.cells.get(name), truth[row.text("cavity")].text(name)
            if cell is not None and not cell.why:
                same = cell.text.replace(" ", "").casefold() == true.replace(" ", "").casefold()
                right, wrong = right + same, wrong + (not same)

    assert wrong == 0
    assert right >= 58  # of 65 cells
    assert {row.text("cavity") for row in found.rows} == set(truth)


@pytest.mark.parametrize(
    ("plug", "rows"),
    [
        # Terminal designations, DIN 72552 (number and meaning only).
        ("K1", [["15", "ignition feed"], ["30", "battery feed"], ["31", "ground"], ["49a", "flasher output"]]),
        # Trailer socket, seven contacts, ISO 1724 (12 N): contact, colour, function.
        ("TS1", [["1", "left indicator"], ["2", "rear fog lamp"], ["3", "ground"], ["4", "right indicator"],
                 ["5", "right tail lamp"], ["6", "brake lamps"], ["7", "left tail lamp"]]),
    ],
)  # fmt: skip
def test_published_tables(plug: str, rows: list[list[str]]) -> None:
    """Facts of a standard, typeset here."""
    found = read(
        table_pdf([("Contact", "Function"), *rows], f"Connector {plug}", lefts=(50, 130), right=400), "iso.pdf"
    )

    assert cells(found, ("cavity", "function")) == rows
