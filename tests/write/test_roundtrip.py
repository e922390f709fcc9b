"""What is written reads back as the same netlist, in either form; and the same netlist is the same bytes."""

from __future__ import annotations

import csv
import io
import random
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from builders.demo import DEMO
from builders.files import bare, good
from builders.samples import everything, names_in_use, seeded_cars
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from harnesscheck.model.order import natural_key
from harnesscheck.model.records import TABLE_OF, Circuit, Component, Connector, Harness, Header, Netlist, Pin
from harnesscheck.read import read_netlist
from harnesscheck.write.forms import form_workbook, netlist_forms
from harnesscheck.write.tables import guarded, table_texts, write_tables
from harnesscheck.write.xml import write_xml, xml_text


def read_text(folder: Path, text: str, name: str = "car.xml") -> Netlist:
    """Read a text as a file."""
    (folder / name).write_text(text, encoding="utf-8", newline="")
    return good(read_netlist(folder / name))


def there_and_back(netlist: Netlist, folder: Path) -> tuple[Netlist, Netlist]:
    """The netlist written and read as XML, and as a folder of tables."""
    write_xml(netlist, folder / "written.xml")
    write_tables(netlist, folder / "written")
    return both(folder)


def both(folder: Path) -> tuple[Netlist, Netlist]:
    """What was written, read."""
    return good(read_netlist(folder / "written.xml")), good(read_netlist(folder / "written"))


def shuffled(netlist: Netlist, seed: int) -> Netlist:
    """The same rows in another order."""
    rng = random.Random(seed)
    slots = {table: list(getattr(netlist, table)) for table in TABLE_OF.values()}
    for rows in slots.values():
        rng.shuffle(rows)
    return replace(netlist, **{slot: tuple(rows) for slot, rows in slots.items()})


NETLISTS = ["everything", "donor", "shell", "plug-donor", "car 0", "car 1", "car 2", "car 3"]


@pytest.fixture(params=NETLISTS)
def netlist(request: pytest.FixtureRequest, tmp_path: Path) -> Netlist:
    """Each netlist of the samples."""
    name: str = request.param
    if name == "everything":
        return read_text(tmp_path, everything())
    if name.startswith("car "):
        return list(seeded_cars())[int(name[4:])]
    return good(read_netlist(DEMO / (f"{name}.csv" if name.startswith("plug") else f"{name}.xml")))


def test_nothing_is_lost_in_either_form(netlist: Netlist, tmp_path: Path) -> None:
    """XML and tables read back as what was written, and from one form into the other."""
    from_xml, from_tables = there_and_back(netlist, tmp_path)

    assert bare(from_xml) == bare(netlist)
    assert bare(from_tables) == bare(netlist)
    assert xml_text(from_tables) == xml_text(from_xml) == xml_text(netlist)
    assert table_texts(from_xml) == table_texts(from_tables) == table_texts(netlist)


def test_the_order_of_rows_is_the_writers(netlist: Netlist) -> None:
    """Shuffled rows are the same bytes."""
    for seed in range(2):
        other = shuffled(netlist, seed)
        assert xml_text(other) == xml_text(netlist)
        assert table_texts(other) == table_texts(netlist)


def test_one_row_a_line(netlist: Netlist) -> None:
    """Every line is one tag, every row one line."""
    lines = xml_text(netlist).splitlines()
    rows = sum(len(getattr(netlist, table)) for table in TABLE_OF.values())

    assert all(re.fullmatch(r" *<[^<>]+>|<\?xml .+\?>", line) for line in lines)
    assert sum(not line.lstrip().startswith(("</", "<?xml", "<netlist")) for line in lines) == rows


def test_every_field_of_every_row_is_in_the_sample(tmp_path: Path) -> None:
    """Else the round trip would prove less than it says."""
    text = everything()
    in_use = {
        (tag, name)
        for tag, attributes in re.findall(r"<(\w+)((?: [\w-]+=\"[^\"]*\")+)", text)
        for name in re.findall(r" ([\w-]+)=", attributes)
    }

    assert names_in_use() - in_use == {("option", "option"), ("option", "without")}
    read = read_text(tmp_path, text)
    said = {
        row: {slot for slot in row.__dataclass_fields__ if getattr(row, slot) not in (None, ())} for row in read.rows()
    }
    assert all(len(slots) > 4 for slots in said.values())


def test_rows_stand_in_natural_order() -> None:
    """C2 before C10, cavity 9 before 10, whatever the file had."""
    text = xml_text(list(seeded_cars())[2])
    connectors = re.findall(r"^  <connector id=\"([^\"]+)\"", text, re.MULTILINE)
    assert len(connectors) > 20 and connectors == sorted(connectors, key=natural_key)
    for plug in re.findall(r"<connector [^\n]+>\n((?: +<pin [^\n]+\n)+)", text):
        cavities = re.findall(r"<pin cavity=\"([^\"]+)\"", plug)
        assert cavities == sorted(cavities, key=natural_key)


@pytest.mark.parametrize("change", ["colour", "to", "length", "note"])
def test_one_changed_wire_is_one_changed_line(change: str) -> None:
    """In XML and in the table of pins; no other line and no other table moves."""
    netlist = list(seeded_cars())[1]
    number = next(
        i for i, pin in enumerate(netlist.pins) if pin.to is not None and pin.colour is not None and pin.length
    )
    pin = netlist.pins[number]
    other = {
        "colour": lambda: replace(
            pin, colour=next(p.colour for p in netlist.pins if p.colour not in (None, pin.colour))
        ),
        "to": lambda: replace(pin, to=netlist.splices[0].id),
        "length": lambda: replace(pin, length=99.25),
        "note": lambda: replace(pin, common=replace(pin.common, note="seen on car")),
    }[change]()
    pins = [*netlist.pins[:number], other, *netlist.pins[number + 1 :]]
    changed = replace(netlist, pins=tuple(pins))

    assert different(xml_text(netlist), xml_text(changed)) == 1
    before, after = table_texts(netlist), table_texts(changed)
    assert {name for name in after if after[name] != before[name]} == {"pins.csv"}
    if change != "note":  # a first note is a column of its own
        assert different(before["pins.csv"], after["pins.csv"]) == 1


def different(one: str, other: str) -> int:
    """How many lines differ between texts of as many lines."""
    return sum(a != b for a, b in zip(one.splitlines(), other.splitlines(), strict=True))


# -- any text

NASTY = ("=1+1", "+A1", "-x", "@SUM(A1)", "'", "''", "'=1", "'--", "--", "-", "Not used", "n/a", "-5", "+5,0", "a\tb",
         "a\nb", '"', '""', "a,b;c", "<script>alert(1)</script>", "&amp;", "]]>", "é", "車", "\U0001f697", "\u00a0x",
         "C12, 16-way, left", "a\u2028b", "\x85", "1e5", "007", "TRUE", "#REF!", "=cmd|' /C calc'!A0")  # fmt: skip
_letters = st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")) | st.sampled_from("\n\t")
_texts = (st.sampled_from(NASTY) | st.text(_letters, min_size=1, max_size=20)).map(str.strip)
TEXTS = _texts.filter(lambda text: text not in ("", "?") and not re.search("[\ufffe\uffff]", text))
NAMES = st.from_regex(r"\A[A-Za-z0-9=+@._~#*ÄÖ車-][A-Za-z0-9=+@_~#*ÄÖ車-]{0,8}\Z").filter(
    lambda n: n not in ("?", ".", "..")
)


SYSTEMS = st.sampled_from((None, "fuel", "=1+1", "é", "a\tb"))  # another text may be a near miss of restraint, a fault


@st.composite
def netlists(draw: st.DrawFn) -> Netlist:
    """A plug of a component and one of a harness, with any text wherever text is free."""
    names = iter(draw(st.lists(NAMES, min_size=5, max_size=5, unique=True)))
    harness, part, plug, half, circuit = names
    cavities = tuple(draw(st.lists(NAMES, min_size=1, max_size=5, unique=True)))
    optional = st.none() | TEXTS

    def text() -> Any:
        return draw(optional)

    pins = [
        Pin(connector=plug, cavity=cavity, circuit=draw(st.none() | st.just(circuit)), function=text(), bus=text(),
            common=replace(Header().common, note=text(), source=text()))
        for cavity in draw(st.lists(st.sampled_from(cavities), unique=True))
    ]  # fmt: skip
    return Netlist(
        header=Header(vehicle=text(), volts=draw(st.none() | st.sampled_from((12.0, 24.0, 0.1, 1e-7, 123456789.125)))),
        circuits=(Circuit(id=circuit, function=text(), system=draw(SYSTEMS)),),
        harnesses=(Harness(id=harness, name=text(), at=text()),),
        components=(Component(id=part, kind="module", name=text(), coded=text()),),
        connectors=(
            Connector(id=plug, harness=harness, cavities=cavities, keyway=text(), mates=half),
            Connector(id=half, component=part, cavities=cavities, housing_colour=text()),
        ),
        pins=(*pins, Pin(connector=half, cavity=cavities[0], terminal=text(), via=None)),
    )


@settings(max_examples=100, deadline=None)
@given(netlists())
def test_any_text_survives_both_forms(tmp_path_factory: pytest.TempPathFactory, netlist: Netlist) -> None:
    """Formulas, marks, quotes, markup, letters of any script."""
    folder = tmp_path_factory.mktemp("any")
    (folder / "written").mkdir()
    (folder / "written.xml").write_bytes(xml_text(netlist).encode())
    for name, text in table_texts(netlist).items():
        (folder / "written" / name).write_bytes(text.encode())  # not down to the disk: there are many of them
    from_xml, from_tables = both(folder)

    assert bare(from_xml) == bare(netlist)
    assert bare(from_tables) == bare(netlist)


def _plug() -> Connector:
    return Connector(id="C", cavities=("=1", "-2"))


def _pin(circuit: str) -> Pin:
    return Pin(connector="C", cavity="=1", circuit=circuit)


@settings(max_examples=12, deadline=None, phases=[Phase.explicit, Phase.generate])  # each is a workbook
@given(netlists())
@example(replace(Netlist(), circuits=(Circuit(id="F", function="_x0041_ x", system="s"),)))
@example(replace(Netlist(), circuits=(Circuit(id="=A", function="#REF!"),), pins=(_pin("=A"),), connectors=(_plug(),)))
def test_any_text_survives_a_workbook(tmp_path_factory: pytest.TempPathFactory, netlist: Netlist) -> None:
    """XML, workbook, CSV, and no cell of the workbook is a formula."""
    folder = tmp_path_factory.mktemp("book")
    (folder / "written.xlsx").write_bytes(form_workbook(netlist_forms(netlist), [["table"]]))
    book = load_workbook(folder / "written.xlsx")
    from_book = good(read_netlist(folder / "written.xlsx"))
    (folder / "written").mkdir()
    for name, text in table_texts(from_book).items():
        (folder / "written" / name).write_bytes(text.encode())

    assert not [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
    assert bare(from_book) == bare(good(read_netlist(folder / "written"))) == bare(netlist)


@settings(max_examples=300, deadline=None)
@given(TEXTS, st.sampled_from(["function", "note", "circuit", "colour", "terminal", "at"]))
def test_no_cell_is_a_formula(text: str, column: str) -> None:
    """What spreadsheets take for one (OWASP, CSV injection: = + - @ tab return), unless it is a plain number."""
    cell = guarded(column, text)

    assert not cell.startswith(("=", "@", "\t", "\r"))
    assert not cell.startswith(("+", "-")) or len(cell) == 1 or re.fullmatch(r"[+-][0-9]+([.,][0-9]+)?", cell)
    assert cell == text or cell == f"'{text}"


def test_cells_of_written_tables_are_no_formulas(tmp_path: Path) -> None:
    """In every column of every table."""
    for text in table_texts(read_text(tmp_path, everything())).values():
        cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
        assert any(cell == "'=1+1" for cell in cells)
        assert not [cell for cell in cells if cell.startswith(("=", "+", "@", "\t", "\r"))]


def test_line_ends_and_marks_are_the_same_everywhere(netlist: Netlist, tmp_path: Path) -> None:
    """UTF-8 without a mark, line feeds only."""
    there_and_back(netlist, tmp_path)
    for file in (tmp_path / "written.xml", *(tmp_path / "written").iterdir()):
        data = file.read_bytes()
        assert b"\r" not in data and not data.startswith(b"\xef\xbb\xbf") and data.endswith(b"\n")


def test_a_row_whose_owner_is_missing_is_not_written_silently() -> None:
    """XML tells owners by nesting: such a netlist is a mistake of ours, never of a file."""
    lost = Netlist(header=Header(), pins=(Pin(connector="C", cavity="1"),))

    with pytest.raises(ValueError, match="pin rows name the connector C, which the netlist does not hold"):
        xml_text(lost)
