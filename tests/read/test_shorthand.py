"""Less typing: on, kind, mirror, like, part; lid fuses and places become rows of their own."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.files import by_id, good, messages, read_xml, said

from harnesscheck.model.records import Netlist, Pin


def pins(netlist: Netlist, connector: str) -> dict[str, Pin]:
    """The pins of a connector by cavity."""
    return {pin.cavity or "": pin for pin in netlist.pins if pin.connector == connector}


HARNESS = '<harness id="b"/><harness id="e"/>'


def test_on_implies_the_component_and_its_half(tmp_path: Path) -> None:
    """The half has the cavities and keyway of the plug and is the other of pins and sockets."""
    body = """<connector id="C20" harness="b" on="headlamp-left" kind="lamp" cavities="2" half="sockets" keyway="A">
<pin cavity="1" circuit="HL" colour="YE" size="1.5"/>
<pin cavity="2" circuit="GND" role="ground" terminal="31"/></connector>"""
    netlist = good(read_xml(tmp_path, HARNESS + body))

    assert said(netlist.components[0]) == {"id": "headlamp-left", "kind": "lamp"}
    plug, half = by_id(netlist.connectors)["C20"], by_id(netlist.connectors)["headlamp-left.C20"]
    assert plug.mates == half.id
    assert said(half) == {
        "id": "headlamp-left.C20", "component": "headlamp-left", "cavities": ("1", "2"), "half": "pins", "keyway": "A",
    }  # fmt: skip
    assert said(pins(netlist, half.id)["1"]) == {
        "connector": half.id, "cavity": "1", "terminal": "1", "circuit": "HL",
    }  # fmt: skip


def test_what_the_plug_says_of_terminals_is_the_components(tmp_path: Path) -> None:
    """Terminal and role move to the component's half; the wire keeps circuit, colour and size."""
    body = """<connector id="C" harness="b" on="m" kind="motor">
<pin cavity="2" circuit="G" terminal="-" role="ground"/></connector>"""
    netlist = good(read_xml(tmp_path, HARNESS + body))

    assert said(pins(netlist, "C")["2"]) == {"connector": "C", "cavity": "2", "circuit": "G"}
    assert said(pins(netlist, "m.C")["2"])["terminal"] == "-"
    assert said(pins(netlist, "m.C")["2"])["role"] == "ground"


def test_on_joins_a_component_that_is_written(tmp_path: Path) -> None:
    """Several plugs go on one component; what its own row says stands."""
    body = """<component id="m" name="Wiper" amps="5"/><connector id="C" harness="b" on="m" kind="motor"/>
<connector id="D" harness="e" on="m"/>"""
    netlist = good(read_xml(tmp_path, HARNESS + body))

    assert [said(row) for row in netlist.components] == [{"id": "m", "name": "Wiper", "amps": 5.0, "kind": "motor"}]
    assert {row.id: row.component for row in netlist.connectors if row.component} == {"m.C": "m", "m.D": "m"}


def test_on_takes_the_half_that_is_written(tmp_path: Path) -> None:
    """A mate that is there is the half; one that is only named becomes it."""
    body = """<component id="m"><connector id="M" mates="C"/></component><connector id="C" harness="b" on="m"/>
<connector id="D" harness="b" on="lamp" kind="lamp" mates="LAMP-A"/>"""
    netlist = good(read_xml(tmp_path, HARNESS + body))

    assert {row.id: row.component for row in netlist.connectors if row.component} == {"M": "m", "LAMP-A": "lamp"}


def test_faults_of_on(tmp_path: Path) -> None:
    """Kinds that disagree, the mate's other component, and on where it makes no sense."""
    body = """<component id="m" kind="motor"/><component id="n"><connector id="N"/></component>
<connector id="C" harness="b" on="m" kind="lamp"/>
<connector id="D" harness="b" on="m" mates="N"/>
<connector id="E" harness="b" kind="lamp"/>
<component id="o"><connector id="F" on="m"/></component>"""

    assert messages(read_xml(tmp_path, HARNESS + "\n" + body)) == [
        "car.xml:4:1: read 'lamp'; expected kind: what is said of m elsewhere (motor) (see car.xml:3:1)",
        "car.xml:5:1: read 'm'; expected on: the component of its mate N (n)",
        "car.xml:6:1: read 'lamp'; expected kind: only together with on=",
        "car.xml:7:19: read 'm'; expected on: only on a connector of a harness",
    ]


def test_mirror_has_the_mates_circuits(tmp_path: Path) -> None:
    """Colours, sizes and ends are not known; own rows stand; half is the other one."""
    body = """<splice id="S" harness="b"/>
<connector id="A" harness="b" cavities="4" half="pins" keyway="K" mates="B"><pin cavity="1" circuit="F" colour="RD"
  size="1.5" length="2" to="S"/><pin cavity="2" circuit="G" function="ground" option="abs"/>
  <pin cavity="4"/></connector>
<connector id="B" harness="e" mirror="yes"><pin cavity="1" colour="BK"/><pin cavity="2" circuit="?"/></connector>"""
    netlist = good(read_xml(tmp_path, HARNESS + body))

    assert said(by_id(netlist.connectors)["B"]) == {
        "id": "B", "harness": "e", "cavities": ("1", "2", "3", "4"), "half": "sockets", "keyway": "K",
    }  # fmt: skip
    mirrored = pins(netlist, "B")
    assert mirrored["1"].circuit == "F" and mirrored["1"].colour is not None and mirrored["1"].colour.text == "BK"
    assert (mirrored["1"].size, mirrored["1"].to, mirrored["1"].length) == (None, None, None)
    assert said(mirrored["2"]) == {"connector": "B", "cavity": "2", "function": "ground"}
    assert said(mirrored["4"]) == {"connector": "B", "cavity": "4"}
    assert "3" not in mirrored


def test_a_mirrored_row_exists_when_the_mates_does(tmp_path: Path) -> None:
    """Options go with the circuit."""
    body = """<connector id="A" harness="b" mirror="yes"/>
<connector id="B" harness="e" mates="A"><pin cavity="2" circuit="G" option="abs"/></connector>"""

    assert pins(good(read_xml(tmp_path, HARNESS + body)), "A")["2"].common.option == ("abs",)


def test_mirror_of_a_component_holds_only_its_circuits(tmp_path: Path) -> None:
    """A component has contacts no wire need be in: the rest of the plug is not known, instead of empty."""
    body = """<component id="k"><connector id="K"><pin cavity="1" terminal="30" circuit="F"/>
<pin cavity="2" terminal="87a"/></connector></component><connector id="C" harness="b" mates="K" mirror="yes"/>"""
    netlist = good(read_xml(tmp_path, HARNESS + body))

    assert list(pins(netlist, "C")) == ["1"]
    assert by_id(netlist.connectors)["C"].complete is False


def test_faults_of_mirror(tmp_path: Path) -> None:
    """It needs a mate that does not mirror itself."""
    body = """<connector id="A" harness="b" mirror="yes"/>
<connector id="B" harness="b" mirror="yes" mates="C"/>
<connector id="C" harness="e" mirror="yes"/>"""

    assert messages(read_xml(tmp_path, HARNESS + "\n" + body)) == [
        "car.xml:3:1: read 'A'; expected mirror: only where the mate is known",
        "car.xml:4:1: read 'B'; expected mirror: on one of two mates only (C mirrors as well)",
        "car.xml:5:1: read 'C'; expected mirror: on one of two mates only (B mirrors as well)",
    ]


def test_like_takes_what_is_not_written(tmp_path: Path) -> None:
    """Connector and cavities; never where a wire goes, nor how long it is, nor the mate."""
    body = """<splice id="S" harness="b"/><connector id="X" harness="e"/>
<connector id="A" harness="b" cavities="3" half="pins" at="left door" mates="X"><pin cavity="1" circuit="F" colour="RD"
  size="1.5" length="2" to="S"/><pin cavity="2" circuit="G" colour="BN"/></connector>
<connector id="B" like="A" half="sockets" at="right door"><pin cavity="2" circuit="H"/><pin cavity="3"/></connector>"""
    netlist = good(read_xml(tmp_path, HARNESS + body))

    assert said(by_id(netlist.connectors)["B"]) == {
        "id": "B", "harness": "b", "cavities": ("1", "2", "3"), "half": "sockets", "at": "right door",
    }  # fmt: skip
    taken = pins(netlist, "B")
    assert (taken["1"].circuit, taken["1"].to, taken["1"].length) == ("F", None, None)
    assert taken["1"].size is not None and taken["1"].size.text == "1.5"
    assert taken["2"].circuit == "H" and taken["2"].colour is not None and taken["2"].colour.text == "BN"
    assert said(taken["3"]) == {"connector": "B", "cavity": "3"}


def test_like_may_be_chained_and_a_question_mark_keeps_a_field_empty(tmp_path: Path) -> None:
    """In whatever order the rows stand."""
    body = """<connector id="C" like="B"/><connector id="B" like="A"><pin cavity="1" colour="?"/></connector>
<connector id="A" harness="b" keyway="K"><pin cavity="1" circuit="F" colour="RD"/></connector>"""
    netlist = good(read_xml(tmp_path, HARNESS + body))

    assert by_id(netlist.connectors)["C"].keyway == "K"
    assert said(pins(netlist, "C")["1"]) == {"connector": "C", "cavity": "1", "circuit": "F"}


def test_faults_of_like(tmp_path: Path) -> None:
    """Nobody of that name, and a circle."""
    body = """<connector id="A" harness="b" like="Z"/>
<connector id="B" harness="b" like="C"/>
<connector id="C" harness="b" like="B"/>"""

    assert messages(read_xml(tmp_path, HARNESS + "\n" + body)) == [
        "car.xml:3:1: read 'Z'; expected like: the id of a connector",
        "car.xml:5:1: read 'B like C like B'; expected like: a connector that is not like this one in turn",
    ]


def test_a_part_gives_a_component_kind_connector_and_insides(tmp_path: Path) -> None:
    """A relay of plug-in practice (ISO 7588): 30, 85, 86, 87, and here a diode across the coil."""
    netlist = good(read_xml(tmp_path, '<component id="K1" part="relay-make-diode" name="Horn relay"/>'))

    assert said(netlist.components[0]) == {"id": "K1", "kind": "relay", "name": "Horn relay"}
    assert by_id(netlist.connectors)["K1.A"].cavities == ("30", "85", "86", "87")
    assert {pin.terminal for pin in netlist.pins} == {"30", "85", "86", "87"}
    assert [(row.from_, row.to, row.diode) for row in netlist.insides] == [("85", "86", True)]


def test_a_part_fills_the_components_own_connector(tmp_path: Path) -> None:
    """What is written stands: here the maker has renamed a cavity's function."""
    body = """<component id="K1" part="relay-make"><connector id="K1-plug" half="pins">
<pin cavity="87" function="horn feed"/></connector></component>"""
    netlist = good(read_xml(tmp_path, body))

    assert [row.id for row in netlist.connectors] == ["K1-plug"]
    assert said(pins(netlist, "K1-plug")["87"]) == {
        "connector": "K1-plug", "cavity": "87", "terminal": "87", "function": "horn feed",
    }  # fmt: skip


def test_a_part_behind_a_plug(tmp_path: Path) -> None:
    """on= with part=: the component is that part, and its half has the part's terminals."""
    body = '<connector id="C" harness="b" on="K2" part="relay-make"><pin cavity="86" circuit="X"/></connector>'
    netlist = good(read_xml(tmp_path, HARNESS + body))

    assert netlist.components[0].kind == "relay"
    assert set(pins(netlist, "K2.C")) == {"30", "85", "86", "87"}
    assert pins(netlist, "K2.C")["86"].circuit == "X"
    assert list(pins(netlist, "C")) == ["86"]


def test_a_part_of_one_connector(tmp_path: Path) -> None:
    """A radio with two plugs of ISO 10487; a harness's plug of a part has its cavities only."""
    body = """<component id="radio" kind="module"><connector id="R-A" part="radio-iso10487-a"/>
<connector id="R-B" part="radio-iso10487-b"/></component><connector id="D" harness="b" part="obd-j1962"/>"""
    netlist = good(read_xml(tmp_path, HARNESS + body))

    assert {pin.role for pin in pins(netlist, "R-A").values() if pin.cavity in ("A4", "A7")} == {"supply"}
    assert len(pins(netlist, "R-B")) == 8
    assert len(by_id(netlist.connectors)["D"].cavities or ()) == 16
    assert pins(netlist, "D") == {}


def test_a_part_of_several_connectors_goes_by_their_names(tmp_path: Path) -> None:
    """The alternator has a stud (A) and a plug (B)."""
    netlist = good(
        read_xml(tmp_path, '<component id="G" part="alternator"><connector id="G-B" half="pins"/></component>')
    )

    assert {row.id for row in netlist.connectors} == {"G-B", "G.A"}
    assert {pin.connector: pin.terminal for pin in netlist.pins} == {"G-B": "D+", "G.A": "B+"}


def test_faults_of_part(tmp_path: Path) -> None:
    """A part nobody ships, a kind that disagrees, a connector that could be either of a part's."""
    body = """<component id="K" part="relay-mak"/>
<component id="L" part="relay-make" kind="lamp"/>
<component id="M"><connector id="N" part="alternator"/></component>"""
    found = messages(read_xml(tmp_path, body))

    assert found[0].startswith("car.xml:2:1: read 'relay-mak'; expected part: one of relay-make, ")
    assert found[0].endswith("(relay-make?)")
    assert found[1:] == [
        "car.xml:3:1: read 'relay'; expected kind: what is said of L elsewhere (lamp)",
        "car.xml:4:19: read 'N'; expected id: one that ends in the name of one of the part's connectors (A, B)",
    ]


def test_lid_fuses_and_places_are_rows(tmp_path: Path) -> None:
    """What the lid of the fuse box says, and lengths along the loom."""
    body = """<fuse id="F12" rating="15" type="blade" live="run" feeds="FP INJ"/>
<place from="left kick panel" to="tank top" length="3.2"/>"""
    netlist = good(read_xml(tmp_path, body))

    assert said(netlist.lid[0]) == {"id": "F12", "rating": 15.0, "type": "blade", "live": "run", "feeds": ("FP", "INJ")}
    assert said(netlist.runs[0]) == {"from_": "left kick panel", "to": "tank top", "length": 3.2}


MIRRORED = (
    '<component id="box"><connector id="BXM" mirror="yes"/></component>'
    '<connector id="BX" harness="h" cavities="2" mates="BXM">{}</connector>'
)


@pytest.mark.parametrize(
    "short", ['<component id="box"/><connector id="BX" harness="h" cavities="2" on="box">{}</connector>', MIRRORED]
)
def test_a_wire_written_at_its_other_end_reaches_the_implied_half(tmp_path: Path, short: str) -> None:
    """Of a wire written once, at the other plug, the part's half has the contact all the same, with its circuit."""
    own = short.format('<pin cavity="2" circuit="31" to="G1"/>')
    far = '<connector id="LX" harness="h" cavities="1"><pin cavity="1" circuit="58" to="BX:1"/></connector>'
    netlist = good(read_xml(tmp_path, f'<harness id="h"/><ground id="G1"/>{own}{far}'))
    half = next(row.id for row in netlist.connectors if row.component == "box")

    there = {pin.cavity: (pin.circuit, pin.terminal) for pin in netlist.pins if pin.connector == half}

    assert there == {"1": ("58", "1"), "2": ("31", "2")}
