"""The XML form: what stands in it, and where."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.files import by_id, good, messages, read_xml, said, xml

from harnesscheck.model.records import Header, Netlist
from harnesscheck.read import Limits, read_netlist
from harnesscheck.trade.colours import Colour
from harnesscheck.trade.sizes import Size

EXAMPLE = """
  <option id="tail-lift"/>  <!-- options this vehicle was built with -->
  <circuit id="FP" function="fuel pump feed" class="feed" system="fuel" critical="yes"/>
  <harness id="body" name="Body harness" out-hours="5 7 11" in-hours="6 9 14"/>
  <harness id="engine"/>
  <splice id="S3" harness="body" at="behind left kick panel"/>
  <splice id="S4" harness="body"/>
  <ground id="G2" at="left sill, behind trim"/>
  <component id="fuel-pump" kind="motor" name="Fuel pump" at="tank top" amps="7.5" system="fuel">
    <connector id="FP-A" cavities="2" half="pins" keyway="grey-2">
      <pin cavity="1" terminal="+" role="supply"/>
      <pin cavity="2" terminal="-" role="ground"/>
    </connector>
  </component>
  <component id="ignition-switch" kind="switch" name="Ignition switch" key="yes">
    <connector id="IGN-A" cavities="4"/>
    <inside when="run start" from="30" to="15"/>
    <inside when="accessory run" from="30" to="75"/>
  </component>
  <connector id="C12E" harness="engine" cavities="16"/>
  <connector id="C12" harness="body" cavities="16" half="sockets" keyway="A" housing-colour="natural"
             mates="C12E" at="left kick panel">
    <pin cavity="4" circuit="FP" colour="BK/BU" size="1.25" to="S3" length="1.8" option="tail-lift"/>
  </connector>
  <wire harness="body" from="S3" to="S4" circuit="FP" colour="BK/BU" size="1.25" length="0.6"/>
"""
HEADER = (
    'vehicle="Linnet library van" model-year="2014" built-from="2013-08" built-to="2014-07" '
    'colour-code="iec60757" volts="12"'
)


@pytest.fixture
def van(tmp_path: Path) -> Netlist:
    """The example of the format's description."""
    return good(read_xml(tmp_path, EXAMPLE, HEADER))


def test_the_header_is_the_vehicle(van: Netlist) -> None:
    """Attributes of the root are the vehicle's."""
    assert said(van.header) == {
        "vehicle": "Linnet library van", "model_year": 2014, "colour_code": "iec60757", "volts": 12.0,
    }  # fmt: skip
    assert (van.header.common.built_from, van.header.common.built_to) == ("2013-08", "2014-07")


def test_every_sort_of_row_becomes_its_record(van: Netlist) -> None:
    """Values are typed in the units of the fields."""
    assert said(van.circuits[0]) == {
        "id": "FP", "function": "fuel pump feed", "class_": "feed", "system": "fuel", "critical": True,
    }  # fmt: skip
    assert said(van.harnesses[0]) == {
        "id": "body", "name": "Body harness", "out_hours": (5.0, 7.0, 11.0), "in_hours": (6.0, 9.0, 14.0),
    }  # fmt: skip
    assert said(van.splices[0]) == {"id": "S3", "harness": "body", "at": "behind left kick panel"}
    assert said(van.grounds[0]) == {"id": "G2", "at": "left sill, behind trim"}
    assert said(van.components[1]) == {
        "id": "ignition-switch", "kind": "switch", "name": "Ignition switch", "key": True,
    }  # fmt: skip
    assert said(van.insides[0]) == {
        "component": "ignition-switch", "from_": "30", "to": "15", "when": ("run", "start"),
    }  # fmt: skip
    assert said(van.wires[0])["length"] == 0.6


def test_a_connector_inside_its_component_belongs_to_it(van: Netlist) -> None:
    """The parent of a connector is its component; one outside carries its harness."""
    connectors = by_id(van.connectors)

    assert (connectors["FP-A"].component, connectors["FP-A"].harness) == ("fuel-pump", None)
    assert (connectors["C12"].component, connectors["C12"].harness) == (None, "body")
    assert connectors["C12"].mates == "C12E"


def test_a_pin_belongs_to_the_connector_it_stands_in(van: Netlist) -> None:
    """One end of a wire in a harness connector, a terminal in a component's."""
    assert said(van.pins[1]) == {"connector": "FP-A", "cavity": "2", "terminal": "-", "role": "ground"}
    assert said(van.pins[2]) == {
        "connector": "C12",
        "cavity": "4",
        "circuit": "FP",
        "colour": Colour("BK/BU", ("black", "blue")),
        "size": Size("1.25", 1.25),
        "to": "S3",
        "length": 1.8,
    }
    assert van.pins[2].common.option == ("tail-lift",)


def test_line_and_column_are_exact(van: Netlist) -> None:
    """Every record knows the line and column of its tag, counted from 1."""
    text = xml(EXAMPLE, HEADER).splitlines()

    for row in van.rows():
        if not isinstance(row, Header):
            assert text[row.line - 1][row.column - 1] == "<", row
    assert str(van.pins[2].place).endswith("car.xml:24:5")


def test_lines_stay_exact_beyond_sixty_five_thousand(tmp_path: Path) -> None:
    """Line numbers do not stick at 65,535."""
    netlist = good(read_xml(tmp_path, "\n" * 70_000 + '<option id="late"/>'))

    assert netlist.options[0].line == 70_002


def test_comments_and_processing_instructions_are_nothing(tmp_path: Path) -> None:
    """They may stand anywhere."""
    netlist = good(read_xml(tmp_path, '<!-- a --><?edit yes?><option id="a"><!-- b --><?edit no?></option>'))

    assert [row.id for row in netlist.options] == ["a"]


def test_any_encoding_xml_allows_is_read(tmp_path: Path) -> None:
    """UTF-16 with its mark, UTF-8 with and without, Latin 1 where it is declared."""
    body = xml('<option id="lüfter"/>')
    for name, data in (
        ("utf16.xml", body.encode("utf-16")),
        ("bom.xml", body.encode("utf-8-sig")),
        ("latin.xml", b'<?xml version="1.0" encoding="iso-8859-1"?>' + body.encode("latin-1")),
    ):
        (tmp_path / name).write_bytes(data)
        assert good(read_netlist(tmp_path / name)).options[0].id == "lüfter", name


def test_xml_is_known_by_its_first_sign_under_any_name(tmp_path: Path) -> None:
    """A file that starts with < is XML whatever it is called."""
    path = tmp_path / "Mein Bus (2014)"
    path.write_text("\n " + xml('<option id="a"/>').replace("<netlist", "<netlist", 1), encoding="utf-8")

    assert good(read_netlist(path)).options[0].id == "a"


def test_an_attribute_without_text_is_not_written(tmp_path: Path) -> None:
    """Empty is not known, as in a table."""
    assert good(read_xml(tmp_path, '<harness id="b" name=" "/>')).harnesses[0].name is None


def test_a_question_mark_is_not_known(tmp_path: Path) -> None:
    """? says that nobody knows, on any field that may be left out."""
    netlist = good(
        read_xml(tmp_path, '<connector id="A" harness="?" half="?"><pin cavity="1" circuit="?"/></connector>')
    )

    assert said(netlist.connectors[0]) == {"id": "A"}
    assert said(netlist.pins[0]) == {"connector": "A", "cavity": "1"}


def test_a_fault_does_not_stop_the_reading_of_the_rest(tmp_path: Path) -> None:
    """All faults come at once, by place."""
    body = """<wheel/>
<harness id="b" colour="RD"/>
<pin cavity="1"/>
loose words
<connector id="C" harness="b" cavities="2"><pin cavity="1" role="king"/><pin cavity="3"/></connector>
<connector id="D"/>
<harness id="e"><connector id="F" harness="b"/></harness>
<connector id="G" harness="b"><pin cavity="1" to="F:1"/></connector>"""

    assert messages(read_xml(tmp_path, body)) == [
        "car.xml:2:1: read '<wheel>'; expected inside <netlist>: <option>, <circuit>, <harness>, <splice>, <ground>, "
        "<component>, <connector>, <wire>, <fuse>, <place>",
        "car.xml:3:1: read 'colour'; expected a field of harness rows: id, name, at, out-hours, in-hours, after, "
        "insulation, ambient, bundle, note, source, photo, option, without, built-from, built-to, drop, was",
        "car.xml:4:1: read '<pin> inside <netlist>'; expected it inside <connector> or <component>",
        "car.xml:5:1: read 'loose words'; expected elements only, no text between them",
        "car.xml:6:44: read 'king'; expected role: one of source, supply, ground, input, output, output-high, "
        "output-low, sense, return, data, reference",
        "car.xml:6:73: read '3'; expected cavity: one of the 2 cavities of C (1 to 2)",
        "car.xml:7:1: read 'D with neither component nor harness'; expected a connector inside its component, or with "
        "harness= (? where it is not known)",
        "car.xml:8:17: read '<connector> inside <harness>'; expected it inside <netlist> or <component>",
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("<netlist/>", "car.xml:1:1: read '<netlist> in no namespace'; expected a netlist: <netlist "
         'xmlns="urn:harnesscheck:netlist:1">'),
        ('<netlist xmlns="urn:other"/>', "car.xml:1:1: read '<netlist> in namespace urn:other'; expected a netlist: "
         '<netlist xmlns="urn:harnesscheck:netlist:1">'),
        ('<pin xmlns="urn:harnesscheck:netlist:1"/>', "car.xml:1:1: read '<pin>'; expected a netlist: <netlist "
         'xmlns="urn:harnesscheck:netlist:1">'),
        ('<k:KBL_container xmlns:k="urn:k"/>', "car.xml:1:1: read 'a KBL file'; expected a netlist: <netlist "
         'xmlns="urn:harnesscheck:netlist:1">; a KBL file is read under a name that ends in .kbl'),
        (xml("<a:pin xmlns:a='urn:other'/>"), "car.xml:2:1: read '<pin> in namespace urn:other'; expected inside "
         "<netlist>: <option>, <circuit>, <harness>, <splice>, <ground>, <component>, <connector>, <wire>, <fuse>, "
         "<place>"),
        (xml("<option id='a' xml:lang='en'/>"), "car.xml:2:1: read 'lang in namespace "
         "http://www.w3.org/XML/1998/namespace'; "
         "expected a field of option rows: id, name, family, fitted, note, source, photo, option, "
         "without, built-from, built-to, drop, was"),
        (xml("<connector id='A' harness='?'><pin connector='B' cavity='1'/></connector>"), "car.xml:2:31: read "
         "'connector'; expected no connector here; what the pin stands in tells it"),
        (xml("<option id='a'>"), "car.xml:3:3: read 'mismatched tag'; expected well-formed XML"),
        (xml("<option id='a"), "car.xml:3:1: read 'not well-formed (invalid token)'; expected well-formed XML"),
        ("<", "car.xml:1:1: read 'unclosed token'; expected well-formed XML"),
        (xml("&who;"), "car.xml:2:1: read 'undefined entity'; expected well-formed XML"),
    ],
    ids=range(11),
)  # fmt: skip
def test_what_is_no_netlist_is_said_in_one_line(tmp_path: Path, text: str, expected: str) -> None:
    """One message with line and column."""
    (tmp_path / "car.xml").write_text(text, encoding="utf-8")

    assert messages(read_netlist(tmp_path / "car.xml")) == [expected]


def test_depth_and_rows_are_limited(tmp_path: Path) -> None:
    """Both limits are named in the message, and can be raised."""
    path = tmp_path / "car.xml"
    path.write_text(xml("<a>" * 40 + "</a>" * 40), encoding="utf-8")
    assert messages(read_netlist(path))[-1] == (
        "car.xml:2:46: read '<a>'; expected at most 16 elements inside each other (a limit, can be raised)"
    )

    path.write_text(xml("\n".join(f'<option id="o{n}"/>' for n in range(5))), encoding="utf-8")
    assert messages(read_netlist(path, Limits(max_rows=4))) == [
        "car.xml:5:1: read 'one more row'; expected at most 4 rows (a limit, can be raised)"
    ]
    assert len(good(read_netlist(path, Limits(max_rows=6))).options) == 5
