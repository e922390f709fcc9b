"""The table form: folders, workbooks and CSV files as people type them."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from builders.files import bare, by_id, good, messages, read_csv, said

from harnesscheck.model.records import Netlist, Pin
from harnesscheck.read import Limits, read_netlist


def one_csv(folder: Path, text: str, name: str = "plug.csv") -> Any:
    """Read one file."""
    (folder / name).write_text(text, encoding="utf-8", newline="")
    return read_netlist(folder / name)


def workbook(path: Path, **sheets: list[list[Any]]) -> Path:
    """Write a workbook with these sheets."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def places(netlist: Netlist) -> list[str]:
    """Connector and cavity of every pin."""
    return [f"{pin.connector}:{pin.cavity}" for pin in netlist.pins]


def only_pin(netlist: Netlist) -> Pin:
    """The one pin there is."""
    (pin,) = netlist.pins
    return pin


# -- which tables there are


def test_only_pins_is_needed(tmp_path: Path) -> None:
    """A connector that only pins name exists, without owner."""
    netlist = good(read_csv(tmp_path, pins="connector,cavity,circuit,colour\nC12,4,FP,black/blue\n"))

    assert said(netlist.connectors[0]) == {"id": "C12"}
    pin = only_pin(netlist)
    assert (pin.circuit, pin.colour.names if pin.colour else None) == ("FP", ("black", "blue"))


def test_every_table_has_the_names_of_the_xml_form(tmp_path: Path) -> None:
    """vehicle, options, circuits, harnesses, splices, grounds, components, connectors, pins, wires and the rest."""
    netlist = good(
        read_csv(
            tmp_path,
            vehicle="vehicle,model-year,colour-code,volts,built-from\nVan,2014,din,12,2013-08\n",
            options="id,name\nabs,Anti-lock\n",
            circuits="id,class\nFP,feed\n",
            harnesses="id,out-hours\nbody,5 7 11\n",
            splices="id,harness\nS1,body\nS2,body\n",
            grounds="id,at\nG1,left sill\n",
            components="id,kind,amps\nm,motor,7.5\n",
            connectors="id,harness,component,cavities,mates\nC,body,,4,M\nM,,m,4,\n",
            pins="connector,component,cavity,terminal,circuit,colour,to\nC,,1,,FP,sw,S1\nM,,1,+,,,\n,m,,-,,,G1\n",
            wires="harness,from,to,length\nbody,S1,S2,1.5\n",
            inside="component,from,to,amps\nm,+,-,7\n",
            fuses="id,rating,feeds\nF1,15,FP\n",
            places="from,to,length\nleft sill,tank,2 m\n",
        )
    )

    assert said(netlist.header) == {"vehicle": "Van", "model_year": 2014, "colour_code": "din", "volts": 12.0}
    for rows in (netlist.options, netlist.circuits, netlist.harnesses, netlist.grounds, netlist.components,
                 netlist.wires, netlist.insides, netlist.lid, netlist.runs):  # fmt: skip
        assert len(rows) == 1
    assert [said(pin) for pin in netlist.pins][1:] == [
        {"connector": "M", "cavity": "1", "terminal": "+"},
        {"component": "m", "terminal": "-", "to": "G1"},
    ]
    assert netlist.pins[0].colour is not None and netlist.pins[0].colour.names == ("black",)


def test_files_of_one_table_are_pooled(tmp_path: Path) -> None:
    """pins*.csv, each for a plug or a person; without a connector column the name tells the connector."""
    netlist = good(
        read_csv(
            tmp_path,
            pins__engine="connector,cavity\nC1,1\n",
            pins_C2="cavity\n1\n2\n",
            Pins="connector,cavity\nC3,1\n",
        )
    )

    assert sorted(places(netlist)) == ["C1:1", "C2:1", "C2:2", "C3:1"]


def test_a_lone_file_of_any_name_holds_pins(tmp_path: Path) -> None:
    """The connector is called by the file's stem."""
    assert places(good(one_csv(tmp_path, "cavity,circuit\n1,FP\n", "plug-donor.csv"))) == ["plug-donor:1"]
    assert places(good(one_csv(tmp_path, "cavity,circuit\n1,FP\n", "my plug.csv"))) == ["my-plug:1"]
    assert places(good(one_csv(tmp_path, "cavity\tcircuit\n1\tFP\n", "C7.tsv"))) == ["C7:1"]
    assert len(good(one_csv(tmp_path, "id,harness\nC1,b\n", "connectors.csv")).connectors) == 1


def test_a_workbook_has_a_table_a_sheet(tmp_path: Path) -> None:
    """Numbers are what a person sees; sheets are named in places."""
    path = workbook(
        tmp_path / "van.xlsx",
        Pins=[["connector", "cavity", "size", "length"], ["C", 4, 1.5, 0.1 + 0.2], [None, "A5", "AWG 16", 2]],
        vehicle=[["vehicle", "model year", "built-from"], ["Van", 2014, date(2013, 8, 1)]],
        empty=[],
    )
    netlist = good(read_netlist(path))

    assert places(netlist) == ["C:4", "C:A5"]
    assert (netlist.pins[0].length, netlist.pins[1].length) == (0.3, 2.0)
    assert (netlist.header.model_year, netlist.header.common.built_from) == (2014, "2013-08")
    assert str(netlist.pins[1].place) == f"{path}[Pins]:3"


def test_the_only_sheet_of_a_workbook_holds_pins(tmp_path: Path) -> None:
    """Whatever the spreadsheet called it; the plug is called by the file."""
    assert places(good(read_netlist(workbook(tmp_path / "C9.xlsx", Tabelle1=[["pin"], [1]])))) == ["C9:1"]


def test_workbooks_and_files_of_a_folder_are_pooled(tmp_path: Path) -> None:
    """One a plug, one a person; photos, notes and a spreadsheet's lock file are not read."""
    workbook(tmp_path / "C1.xlsx", Sheet1=[["cavity"], [1]])
    workbook(tmp_path / "rear.xlsx", **{"pins-C2": [["cavity"], [1]], "pins C3": [["cavity"], [1]]})
    for name in ("~$C1.xlsx", ".hidden.csv", "photo.jpg", "notes.txt"):
        (tmp_path / name).write_bytes(b"\0\1\2")

    assert sorted(places(good(read_csv(tmp_path, pins="connector,cavity\nC4,1\n")))) == ["C1:1", "C2:1", "C3:1", "C4:1"]


# -- headers are forgiving


@pytest.mark.parametrize(
    ("header", "cell", "slot"),
    [
        ("Circuit No.", "FP", "circuit"),
        ("CIRCUIT", "FP", "circuit"),
        ("circuit_number", "FP", "circuit"),
        ("Wire Color", "red", "colour"),
        ("color", "red", "colour"),
        ("Wire colour", "red", "colour"),
        ("Colour", "red", "colour"),
        ("Gauge", "AWG 16", "size"),
        ("Size (mm²)", "1.5", "size"),
        ("size [mm2]", "1.5", "size"),
        ("Length (m)", "2", "length"),
        ("Part No", "123", "part_number"),
        ("part-number", "123", "part_number"),
        ("Part Number", "123", "part_number"),
        ("  function ", "feed", "function"),
        ("Description", "feed", "function"),
    ],
)
def test_headers_are_forgiving(tmp_path: Path, header: str, cell: str, slot: str) -> None:
    """Case, spaces, dashes, the commonest other words, and the unit in brackets."""
    pin = only_pin(good(one_csv(tmp_path, f"Pin No,{header}\n1,{cell}\n")))

    assert pin.cavity == "1"
    assert getattr(pin, slot) is not None


@pytest.mark.parametrize("header", ["pin", "Pin No.", "CAVITY", "cavity no.", "Cavity Number", "pin_number"])
def test_a_cavity_has_many_names(tmp_path: Path, header: str) -> None:
    """All of them mean the numbered hole."""
    assert only_pin(good(one_csv(tmp_path, f"{header},circuit\n7,FP\n"))).cavity == "7"


def test_a_table_of_things_may_call_the_id_by_the_thing(tmp_path: Path) -> None:
    """The column harness of the table of harnesses is the id."""
    netlist = good(read_csv(tmp_path, pins="connector,cavity\nC,1\n", harnesses="harness,name\nb,Body\n"))

    assert netlist.harnesses[0].id == "b"


def test_an_unknown_column_is_a_fault(tmp_path: Path) -> None:
    """A column nobody reads is knowledge lost. A unit that is not the field's is another column."""
    found = messages(one_csv(tmp_path, "cavity,ciruit,length (A),size,wire size\n1,a,2,1.5,2.5\n"))

    assert [one.split("; expected")[0] for one in found] == [
        "plug.csv:1 column 'ciruit': read 'ciruit'",
        "plug.csv:1 column 'length (A)': read 'length (A)'",
        "plug.csv:1 column 'wire size': read 'wire size'",
    ]
    assert "; expected circuit? Else a column of the table pin: " in found[0]
    assert found[2].endswith("expected one column for size (it is also in 'size')")


def test_data_is_not_forgiving(tmp_path: Path) -> None:
    """File, row, column, what was read, what was expected; all at once."""
    text = "Pin,Wire Color,Size,Length\n1,red,1.5,2\n2,red,thick,2\n3,red,1.5,-2\nx y,,,\n"

    assert [one.split(";")[0] for one in messages(one_csv(tmp_path, text))] == [
        "plug.csv:3 column 'Size': read 'thick'",
        "plug.csv:4 column 'Length': read '-2'",
        "plug.csv:5 column 'Pin': read 'x y'",
    ]


# -- a manual's habits


def test_a_blank_connector_cell_is_as_above(tmp_path: Path) -> None:
    """Rows of one plug follow each other; blank rows are nothing."""
    text = "connector,cavity\nC1,1\n,2\n,,\nC2,1\n\n,2\n"

    assert places(good(one_csv(tmp_path, text))) == ["C1:1", "C1:2", "C2:1", "C2:2"]


def test_there_must_be_something_above(tmp_path: Path) -> None:
    """The first row has to say."""
    assert messages(one_csv(tmp_path, "connector,cavity\n,1\n")) == [
        "plug.csv:2: read 'a pin without connector'; expected its connector"
    ]


def test_a_terminal_without_a_plug_is_in_no_connector(tmp_path: Path) -> None:
    """The connector above is not its."""
    netlist = good(
        read_csv(tmp_path, grounds="id\nG\n", pins="connector,component,cavity,terminal,to\nC,,1,,\n,m,,31,G\n,,2,,\n")
    )

    assert [(pin.connector, pin.component) for pin in netlist.pins] == [("C", None), (None, "m"), ("C", None)]


@pytest.mark.parametrize(
    "first", ['"C12, 16-way, left kick panel"', "C12, 16-way, left kick panel", "C12,16 pins,left kick panel"]
)
def test_a_heading_row_starts_a_connector(tmp_path: Path, first: str) -> None:
    """Id, number of ways, place; the header line may come before or after, and again."""
    text = f"{first}\npin,circuit,colour\n1,FP,RD\nC13, 4-way\npin,circuit,colour\n1,X,BK\n"
    netlist = good(one_csv(tmp_path, text))

    assert places(netlist) == ["C12:1", "C13:1"]
    connectors = by_id(netlist.connectors)
    assert (len(connectors["C12"].cavities), connectors["C12"].at) == (16, "left kick panel")
    assert (len(connectors["C13"].cavities), connectors["C13"].harness) == (4, None)


def test_a_heading_and_a_row_of_connectors_are_one(tmp_path: Path) -> None:
    """What either says is kept; what they disagree on is a fault."""
    heading = "C12, 16-way, left kick panel\npin\n1\n"
    netlist = good(read_csv(tmp_path, pins=heading, connectors="id,harness,keyway\nC12,b,A\n"))
    assert said(netlist.connectors[0]) | {"cavities": 16} == {
        "id": "C12", "harness": "b", "keyway": "A", "at": "left kick panel", "cavities": 16,
    }  # fmt: skip

    assert messages(read_csv(tmp_path, pins=heading, connectors="id,harness,at\nC12,b,roof\n")) == [
        "pins.csv:1: read 'left kick panel'; expected at: the same as elsewhere (roof) "
        "(see connectors.csv:2 column 'at')"
    ]


@pytest.mark.parametrize(
    "mark", ["--", "-", "---", "–", "Not used", "not used", "N/A", "n/a", "empty", "Unused", "NOT CONNECTED"]
)
@pytest.mark.parametrize("column", ["circuit", "function", "colour"])
def test_a_mark_says_that_a_cavity_is_empty(tmp_path: Path, mark: str, column: str) -> None:
    """The row makes no pin; the cavity is known to be empty, for the connector is documented."""
    netlist = good(one_csv(tmp_path, f"cavity,{column}\n1,red\n2,{mark}\n"))

    assert places(netlist) == ["plug:1"]
    assert netlist.connectors[0].complete is None


def test_a_plug_of_empty_cavities_is_documented(tmp_path: Path) -> None:
    """It is complete, though it has no pin."""
    netlist = good(one_csv(tmp_path, "cavity,circuit\n1-2,--\n"))

    assert netlist.pins == ()
    assert said(netlist.connectors[0]) == {"id": "plug", "complete": True}


def test_a_mark_beside_data_is_not_written(tmp_path: Path) -> None:
    """A wire whose circuit number the manual leaves out is a wire; words stay the function they are."""
    netlist = good(one_csv(tmp_path, "cavity,circuit,function,colour\n1,--,Fuel pump,RD\n2,FP,-,--\n3,FP,Not used,\n"))

    assert [(pin.circuit, pin.function, pin.colour is None) for pin in netlist.pins] == [
        (None, "Fuel pump", False), ("FP", None, True), ("FP", "Not used", True),
    ]  # fmt: skip


def test_a_minus_is_a_terminal(tmp_path: Path) -> None:
    """Battery minus is no mark."""
    netlist = good(read_csv(tmp_path, pins="connector,component,cavity,terminal\n,battery,,-\n"))

    assert only_pin(netlist).terminal == "-"


def test_an_empty_cavity_that_another_row_fills_is_a_fault(tmp_path: Path) -> None:
    """Both places are named."""
    found = messages(read_csv(tmp_path, pins__a="connector,cavity,circuit\nC,1-3,--\n", pins__b="connector,pin\nC,2\n"))

    assert found == [
        "pins-b.csv:2 column 'pin': read '2'; expected nothing in C:2, which another row marks as empty "
        "(see pins-a.csv:2 column 'cavity')"
    ]


def test_ranges_stand_for_each_cavity(tmp_path: Path) -> None:
    """The cells repeat; a listed cavity of that name is itself."""
    netlist = good(
        read_csv(
            tmp_path,
            pins="connector,cavity,circuit\nC,5-8,G\nC,A1-A2,H\nD,1-2,J\n",
            connectors="id,harness,cavities\nD,b,1-2 x\n",
        )
    )

    assert places(netlist) == ["C:5", "C:6", "C:7", "C:8", "C:A1", "C:A2", "D:1", "D:2"]


# -- pooling


def test_the_same_cavity_twice_and_agreeing_is_one_row(tmp_path: Path) -> None:
    """Two people looked at one plug."""
    netlist = good(
        read_csv(
            tmp_path,
            pins__a="connector,cavity,circuit,colour\nC,1,FP,BK/BU\n",
            pins__b="connector,cavity,colour,size,source\nC,1,black/blue,1.5,seen on car\n",
        )
    )

    pin = only_pin(netlist)
    assert (pin.circuit, pin.size.text if pin.size else None, pin.common.source) == ("FP", "1.5", "seen on car")


def test_the_same_cavity_twice_and_disagreeing_names_both_places(tmp_path: Path) -> None:
    """It has to be looked at again."""
    found = messages(
        read_csv(tmp_path, pins__a="connector,cavity,circuit\nC,1,FP\n", pins__b="connector,cavity,circuit\nC,1,FQ\n")
    )

    assert found == [
        "pins-b.csv:2: read 'cavity 1 of C is there twice, circuit FQ'; expected one row for it, or the same in both: "
        "circuit FP (see pins-a.csv:2)"
    ]


def test_things_in_several_files_are_one_where_they_agree(tmp_path: Path) -> None:
    """By id; the vehicle by being one."""
    workbook(
        tmp_path / "a.xlsx", vehicle=[["vehicle", "volts"], ["Van", 12]], circuits=[["id", "class"], ["FP", "feed"]]
    )
    workbook(
        tmp_path / "b.xlsx",
        vehicle=[["model-year", "volts"], [2014, 12]],
        circuits=[["id", "function"], ["FP", "pump"]],
    )
    netlist = good(read_csv(tmp_path, pins="connector,cavity\nC,1\n"))
    assert said(netlist.header) == {"vehicle": "Van", "model_year": 2014, "volts": 12.0}
    assert said(netlist.circuits[0]) == {"id": "FP", "class_": "feed", "function": "pump"}

    workbook(tmp_path / "b.xlsx", vehicle=[["volts"], [24]])
    assert messages(read_netlist(tmp_path)) == [
        "b.xlsx[vehicle]:2 column 'volts': read '24'; expected volts: the same as elsewhere (12) "
        "(see a.xlsx[vehicle]:2 column 'volts')"
    ]


def test_wires_side_by_side_are_two(tmp_path: Path) -> None:
    """Twice in one table; in two tables it is the same wire."""
    two = "from,to,size\nS,G,6\nS,G,6\n"
    common = {"splices": "id,harness\nS,b\n", "grounds": "id\nG\n", "pins": "connector,cavity\nC,1\n"}
    assert len(good(read_csv(tmp_path, wires=two, **common)).wires) == 2

    one = "from,to,size\nS,G,6\n"
    assert len(good(read_csv(tmp_path, wires=one, wires__b=one, **common)).wires) == 1


def test_shuffled_rows_and_files_are_the_same_netlist(tmp_path: Path) -> None:
    """Only lines differ."""
    rows = ["C,1,FP,S,,seen", "C,1,FP,,1.5,", "C,2,X,,,", "C,1,FP,G,,", "D,1,,S,2.5,"]
    common = {"splices": "id,harness\nS,\n", "grounds": "id\nG\n"}
    first = tmp_path / "first"
    first.mkdir()
    straight = good(read_csv(first, pins="connector,cavity,circuit,to,size,note\n" + "\n".join(rows), **common))
    for number in range(5):
        folder = tmp_path / str(number)
        folder.mkdir()
        turned = rows[number:] + rows[:number]
        head = "connector,cavity,circuit,to,size,note\n"
        parts = {"pins__a": head + "\n".join(reversed(turned[:2])), "pins__b": head + "\n".join(turned[2:])}
        assert bare(good(read_csv(folder, **parts, **common))) == bare(straight)


# -- how files are written


@pytest.mark.parametrize(
    ("text", "length"),
    [
        ("cavity;length\n1;1,8\n", 1.8),
        ("cavity;length\n1;1.8\n", 1.8),
        ("cavity\tlength\n1\t1,8 m\n", 1.8),
        ("cavity,length\n1,1.8\n", 1.8),
        ('cavity,length\n1,"180 mm"\n', 0.18),
        ("\ufeffcavity,length\r\n1,1.8\r\n", 1.8),
        ("\ufeffcavity;length\r\n1;1,8\r\n", 1.8),
        ("\n\ncavity;length;note\n1;1,8;a, b, c, d\n", 1.8),
        ("cavity,length\r1,1.8\r", 1.8),
    ],
)
def test_delimiters_decimal_commas_and_marks_are_read(tmp_path: Path, text: str, length: float) -> None:
    """Comma, semicolon, tab; a decimal comma in the latter two; a byte order mark; any line ends."""
    assert only_pin(good(one_csv(tmp_path, text))).length == length


def test_a_decimal_comma_in_a_comma_file_is_a_fault(tmp_path: Path) -> None:
    """Only quotes let it get there."""
    assert messages(one_csv(tmp_path, 'cavity,length\n1,"1,8"\n')) == [
        "plug.csv:2 column 'length': read '1,8'; expected length: a length above 0 in m, or with its unit "
        "(180 mm, 6 ft, 12 in)"
    ]


def test_cells_over_several_lines(tmp_path: Path) -> None:
    """The row is where it begins."""
    netlist = good(one_csv(tmp_path, 'cavity,note\n1,"two\nlines"\n2,\n'))

    assert [(pin.line, pin.common.note) for pin in netlist.pins] == [(2, "two\nlines"), (4, None)]


def test_an_apostrophe_keeps_a_cell_from_being_a_formula(tmp_path: Path) -> None:
    """It is taken away before = + - @ and before another; elsewhere it is text."""
    text = "cavity,function\n1,'=1+1\n2,'+12 V\n3,'-x\n4,'@a\n5,''quoted\n6,'67 car\n7,'--\n8,'Not used\n"
    netlist = good(one_csv(tmp_path, text))

    assert [pin.function for pin in netlist.pins] == [
        "=1+1", "+12 V", "-x", "@a", "'quoted", "'67 car", "--", "Not used",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1,2,3\n4,5,6\n", "plug.csv:1: read '1, 2, 3'; expected a header line, "),
        ("circuit,colour\nFP,RD\n", "plug.csv:1: read 'a table pin without cavity'; expected a column cavity"),
        ('cavity\n1\n"2\n', "plug.csv:3: read 'a quote that is never closed'; expected cells whose quotes (\") are in"),
        ("cavity\n1,2\n", "plug.csv:2:2: read '2'; expected a column name above it"),
        ("C12, 16-way, left\n", "plug.csv: read 'no header line'; expected the names of columns: connector, "),
        ("\n \n", "plug.csv: read 'a file without text'; expected a table with a header line"),
    ],
)  # fmt: skip
def test_what_is_no_table_is_said(tmp_path: Path, text: str, expected: str) -> None:
    """One message with its place."""
    (found,) = messages(one_csv(tmp_path, text))

    assert found.startswith(expected)


def test_a_wrong_delimiter_is_seen_at_the_header(tmp_path: Path) -> None:
    """A file of colons is one column nobody knows."""
    assert messages(one_csv(tmp_path, "cavity:circuit\n1:FP\n"))[0].startswith("plug.csv:1: read 'cavity:circuit'")


# -- workbooks


def test_a_formula_is_not_worked_out(tmp_path: Path) -> None:
    """Nor is an error, nor a date where none belongs: what was typed is lost there."""
    path = workbook(
        tmp_path / "van.xlsx",
        pins=[["connector", "cavity", "circuit"], ["C", 1, "=A2"], ["C", date(2024, 5, 8), "F"], ["C", 3, "#REF!"]],
    )

    assert messages(read_netlist(path)) == [
        "van.xlsx[pins]:2 column 'circuit': read '=A2'; expected circuit: the value; formulas are not worked out "
        "(paste values instead)",
        "van.xlsx[pins]:3 column 'cavity': read '2024-05-08'; expected cavity: what was typed; the spreadsheet has "
        "made a date of it (format the column as text)",
        "van.xlsx[pins]:4 column 'circuit': read '#REF!'; expected circuit: a value; the spreadsheet shows "
        "an error here",
    ]


def test_a_sheet_of_another_name_is_a_fault_where_there_are_several(tmp_path: Path) -> None:
    """Nothing is left out silently."""
    path = workbook(tmp_path / "van.xlsx", pins=[["connector", "cavity"], ["C", 1]], Notes=[["remember", "the milk"]])

    assert messages(read_netlist(path))[0].startswith(
        "van.xlsx[Notes]: read 'Notes'; expected a sheet with the name of a table"
    )


# -- folders


def test_a_folder_says_what_it_cannot_read(tmp_path: Path) -> None:
    """Every file that could be meant; the others are looked through all the same."""
    for name, data in (("C7.csv", b"cavity\n1\n"), ("old.xls", b"x"), ("pins-bad.csv", b"\xff\xfea\0")):
        (tmp_path / name).write_bytes(data)

    found = messages(read_csv(tmp_path, pins="connector,cavity,size\nC,1,mud\n"))
    assert [one.split(";")[0] for one in found] == [
        "C7.csv: read 'C7.csv'",
        "old.xls: read 'a .xls file'",
        "pins.csv:2 column 'size': read 'mud'",
        "pins-bad.csv: read 'UTF-16 text'",
    ] or [one.split(";")[0] for one in found] == [
        "C7.csv: read 'C7.csv'",
        "old.xls: read 'a .xls file'",
        "pins-bad.csv: read 'UTF-16 text'",
        "pins.csv:2 column 'size': read 'mud'",
    ]
    assert "as in pins-C7.csv" in found[0]


def test_a_folder_without_tables(tmp_path: Path) -> None:
    """Nothing to read is a fault."""
    assert messages(read_netlist(tmp_path))[0].endswith(
        "read 'a folder without tables'; expected a folder with tables (pins.csv), or one XML netlist "
        "instead of a folder"
    )


def test_rows_and_files_are_limited(tmp_path: Path) -> None:
    """Both limits can be raised."""
    for name in "abc":
        (tmp_path / f"pins-{name}.csv").write_text(f"connector,cavity\n{name},1\n{name},2\n")

    assert "at most 2 (a limit, can be raised)" in messages(read_netlist(tmp_path, Limits(max_files=2)))[0]
    assert "at most 5 rows (a limit, can be raised)" in messages(read_netlist(tmp_path, Limits(max_rows=5)))[0]
    assert len(good(read_netlist(tmp_path)).pins) == 6
