"""Heading lines as people write them, lines above them, none at all, and mistakes in typing a table."""

from pathlib import Path
from typing import Any

import pytest
from builders.files import good, messages

from harnesscheck.model.records import Netlist
from harnesscheck.read import read_netlist, read_with_remarks


def plug(folder: Path, text: str, name: str = "plug.csv") -> Path:
    (folder / name).write_text(text, encoding="utf-8")
    return folder / name


def read(folder: Path, text: str) -> Netlist:
    return good(read_netlist(plug(folder, text)))


def first(netlist: Netlist) -> dict[str, Any]:
    pin = netlist.pins[0]
    return {"cavity": pin.cavity, "colour": pin.colour and pin.colour.names, "function": pin.function}


ONE = {"cavity": "1", "colour": ("red",), "function": "horn"}


@pytest.mark.parametrize(
    "text",
    [
        "Pin #,Wire Color,Signal\n1,red,horn\n",
        "Terminal No.;Aderfarbe;Belegung\n1;rot;horn\n",
        "Signal\tTerminal\tCouleur du fil\nhorn\t1\trouge\n",
        "Contact,Colour,Purpose\n1,red,horn\n",
        "No.,Wire,Description\n1,red,horn\n2,black,lamp\n",
        "Pin,Colour,Function,Fuse,,\n1,red,horn,F3,,\n",
        "Circuit,Pin,Colour\nhorn button feed,1,red\n".replace("horn button feed", "horn"),
        "| Pin | Colour | Function |\n|-----|--------|----------|\n| 1 | red | horn |\n",
        "Plug behind the dash,,\nsee page 12,,\nPin,Colour,Function\n1,red,horn\n",
        "1,red,horn\n2,black,ground\n3,blue,lamp\n",
        "red,1,horn\nblack,2,ground\n",
    ],
)
def test_a_plug_is_read_under_any_usual_heading_or_none(tmp_path: Path, text: str) -> None:
    """Common practice, no source."""
    said = first(read(tmp_path, text))

    assert said | {"function": said["function"] or "horn"} == ONE


def test_a_gauge_in_the_heading_is_the_unit_of_the_cells(tmp_path: Path) -> None:
    """18 under AWG is no 18 mm²; a length under mm is no length in m."""
    (pin,) = read(tmp_path, "Pin,Gauge (AWG),Length (mm)\n1,18,180\n").pins

    assert pin.size is not None
    assert pin.size.text == "AWG 18"
    assert pin.length == pytest.approx(0.18)


@pytest.mark.parametrize(
    ("cells", "size"), [("18\n2,16", "AWG 18"), ("0.75\n2,1", "0.75"), ("2\n2,4", None), ("AWG 4\n2,2", "AWG 4")]
)
def test_a_gauge_without_unit_is_told_by_its_numbers(tmp_path: Path, cells: str, size: str | None) -> None:
    """Two and four may be mm² or a gauge: not known, and said."""
    pin = read(tmp_path, f"Pin,Gauge\n1,{cells}\n").pins[0]

    assert (pin.size.text if pin.size else None) == size


def test_what_each_column_was_taken_for_is_said(tmp_path: Path) -> None:
    """A field's own name needs no saying."""
    _, how = read_with_remarks(plug(tmp_path, "Pin #,colour,Belegung,Fuse\n1,red,horn,F3\n"))

    assert [(one.number, one.heading, one.field) for one in how.columns] == [
        (1, "Pin #", "cavity"),
        (3, "Belegung", "function"),
        (4, "Fuse", ""),
    ]


def test_columns_without_heading_are_said_by_their_numbers(tmp_path: Path) -> None:
    _, how = read_with_remarks(plug(tmp_path, "1,red,horn\n2,black,ground\n"))

    assert [(one.number, one.heading, one.field) for one in how.columns] == [
        (1, "", "cavity"),
        (2, "", "colour"),
        (3, "", "function"),
    ]


@pytest.mark.parametrize("text", ["horn,lamp\nground,feed\n", "1,2\n3,4\n", "1,horn,lamp\n2,ground,feed\n", "1\n2\n"])
def test_what_is_not_plain_needs_a_heading(tmp_path: Path, text: str) -> None:
    """Two columns of words may be anything."""
    (found,) = messages(read_netlist(plug(tmp_path, text)))

    assert "expected a header line" in found


def test_one_mistake_in_a_heading_is_one_message_and_the_hint_comes_first(tmp_path: Path) -> None:
    """A missing cavity is the mistyped one."""
    (found,) = messages(read_netlist(plug(tmp_path, "cavty,colour,function\n1,red,horn\n2,black,ground\n")))

    assert found.startswith(
        "plug.csv:1 column 'cavty': read 'cavty'; expected cavity? Else a column of the table pin: "
    )


def test_a_column_of_another_table_is_said_to_be_one(tmp_path: Path) -> None:
    """A plug's harness is no matter of its pins: the tables that ask for it are named, no word of another language."""
    (found,) = messages(read_netlist(plug(tmp_path, "pin,colour,harness\n1,red,engine\n2,black,engine\n")))

    assert found.startswith("plug.csv:1 column 'harness': read 'harness'; expected that column in the table ")
    assert "connector" in found.partition(" in the table pin: ")[0]


def test_the_style_of_colours_may_stand_in_a_plug_of_its_own(tmp_path: Path) -> None:
    """As a column, or as a line above the headings."""
    for text in ("pin,colour,colour code\n1,GR,jis\n2,B,\n", "colour-code,jis\npin,colour\n1,GR\n2,B\n"):
        netlist = read(tmp_path, text)

        assert netlist.header.colour_code == "jis"
        assert [pin.colour and pin.colour.names for pin in netlist.pins] == [("grey",), ("black",)]


def test_a_colour_code_column_may_hold_the_colours_themselves(tmp_path: Path) -> None:
    assert first(read(tmp_path, "pin,colour code,function\n1,RD,horn\n")) == ONE


def test_a_style_said_outside_is_for_files_that_say_none(tmp_path: Path) -> None:
    path = plug(tmp_path, "pin,colour\n1,GR\n")

    assert [one.colour.names for one in good(read_netlist(path)).pins if one.colour] == [None]
    assert [one.colour.names for one in good(read_netlist(path, colour_code="jis")).pins if one.colour] == [("grey",)]


def test_a_row_with_another_separator_is_read_and_said(tmp_path: Path) -> None:
    result, how = read_with_remarks(plug(tmp_path, "pin,colour,function\n1,black,lamp\n2;red;horn\n"))

    assert [(pin.cavity, pin.function) for pin in good(result).pins] == [("1", "lamp"), ("2", "horn")]
    assert [remark.said for remark in how.remarks] == ["cells apart by semicolon in this row"]


@pytest.mark.parametrize(
    "cell", ["02.Jan", "2-Jan", "Jan-02", "3. Mär", "2024-02-01", "01/02/2024", "1.00E+01", "1,5E+2"]
)
def test_a_cavity_that_a_spreadsheet_has_spoilt_is_a_fault(tmp_path: Path, cell: str) -> None:
    """How spreadsheets write dates and large numbers: common practice, no source."""
    (found,) = messages(read_netlist(plug(tmp_path, f'pin,function\n"{cell}",horn\n')))

    assert "spreadsheet has made a" in found


@pytest.mark.parametrize("cell", ["1E1", "12E3"])
def test_a_cavity_that_a_spreadsheet_would_spoil_is_asked_about(tmp_path: Path, cell: str) -> None:
    result, how = read_with_remarks(plug(tmp_path, f"pin,function\n{cell},horn\n"))

    assert good(result).pins[0].cavity == cell
    assert "is the cavity called so?" in how.remarks[0].said


@pytest.mark.parametrize("cell", ["A1", "1", "E1", "JAN", "B2-A", "12", "1A"])
def test_an_ordinary_cavity_is_not_asked_about(tmp_path: Path, cell: str) -> None:
    assert not read_with_remarks(plug(tmp_path, f"pin,function\n{cell},horn\n"))[1].remarks
