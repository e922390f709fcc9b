"""A netlist over a base: rows changed, added, dropped, and no longer known."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.files import by_id, good, messages, read_csv, read_xml, said, xml

from harnesscheck.model.places import InputFault
from harnesscheck.model.records import Netlist
from harnesscheck.read import Limits, read_netlist

BASE = """<option id="lamps"/><circuit id="F" class="feed"/><harness id="b" name="Body"/><splice id="S" harness="b"/>
<splice id="T" harness="b"/><ground id="G"/>
<component id="m" kind="motor" amps="5"><connector id="M" cavities="2"><pin cavity="1" terminal="+" role="supply"/>
<pin cavity="2" terminal="-" role="ground"/></connector><inside from="+" to="-" amps="4"/></component>
<connector id="C" harness="b" cavities="4" mates="M"><pin cavity="1" circuit="F" colour="RD" to="S"/>
<pin cavity="2" circuit="G" colour="BN" to="S"/><pin cavity="2" circuit="G" to="G"/></connector>
<connector id="D" harness="b" cavities="2"><pin cavity="1" circuit="X" to="C:4"/></connector>
<wire from="S" to="T" circuit="F" length="1"/>"""
HEADER = 'vehicle="Van" model-year="2014" colour-code="iec60757" volts="12"'


def over(folder: Path, body: str, header: str = "") -> Netlist:
    """Read rows over the base."""
    (folder / "base.xml").write_text(xml(BASE, HEADER), encoding="utf-8")
    return good(read_xml(folder, body, f'base="base.xml" {header}'))


def test_nothing_changed_is_the_base(tmp_path: Path) -> None:
    """With the overlay's own words over the header."""
    netlist = over(tmp_path, "", 'model-year="2016" volts="?"')

    assert said(netlist.header) == {"vehicle": "Van", "model_year": 2016, "colour_code": "iec60757"}
    assert (len(netlist.pins), len(netlist.connectors), len(netlist.insides), len(netlist.wires)) == (6, 3, 1, 1)


def test_a_change_says_only_what_is_different(tmp_path: Path) -> None:
    """The rest stays; ? takes away what the base knew."""
    netlist = over(
        tmp_path,
        """<circuit id="F" class="?" function="feed"/><component id="m" amps="7">
<inside from="+" to="-" watts="50" amps="?"/>
</component><connector id="C" keyway="A"><pin cavity="1" colour="BU"/></connector>""",
    )

    assert said(netlist.circuits[0]) == {"id": "F", "function": "feed"}
    assert said(netlist.components[0]) == {"id": "m", "kind": "motor", "amps": 7.0}
    assert said(netlist.insides[0]) == {"component": "m", "from_": "+", "to": "-", "watts": 50.0}
    connector = by_id(netlist.connectors)["C"]
    assert (connector.keyway, connector.harness, connector.mates) == ("A", "b", "M")
    pin = next(pin for pin in netlist.pins if (pin.connector, pin.cavity) == ("C", "1"))
    assert (pin.circuit, pin.to, pin.colour.text if pin.colour else "") == ("F", "S", "BU")
    assert Path(pin.file.path).name == "car.xml"


def test_the_only_wire_of_a_cavity_may_go_elsewhere(tmp_path: Path) -> None:
    """The cavity identifies the row, not its to."""
    netlist = over(tmp_path, '<connector id="C"><pin cavity="1" to="T"/></connector>')

    assert [pin.to for pin in netlist.pins if (pin.connector, pin.cavity) == ("C", "1")] == ["T"]


def test_of_two_wires_in_one_cavity_the_to_tells_which(tmp_path: Path) -> None:
    """One may be changed by its to; a third is added when all are listed."""
    changed = over(tmp_path, '<connector id="C"><pin cavity="2" to="G" colour="BK"/></connector>')
    assert [(pin.to, pin.colour.text if pin.colour else None) for pin in changed.pins if pin.cavity == "2"][1:] == [
        ("S", "BN"),
        ("G", "BK"),
    ]

    added = over(
        tmp_path,
        '<connector id="C"><pin cavity="2" to="G"/><pin cavity="2" to="S"/><pin cavity="2" to="T"/></connector>',
    )
    assert [pin.to for pin in added.pins if (pin.connector, pin.cavity) == ("C", "2")] == ["S", "G", "T"]


def test_a_change_that_could_be_of_either_wire_is_a_fault(tmp_path: Path) -> None:
    """Nothing is guessed."""
    (tmp_path / "base.xml").write_text(xml(BASE, HEADER), encoding="utf-8")
    body = '<connector id="C"><pin cavity="2" to="T"/></connector>'

    assert messages(read_xml(tmp_path, body, 'base="base.xml"')) == [
        "car.xml:2:19: read 'T'; expected to: that of one of the base's wires in this cavity (S, G), or a row for each "
        "of them"
    ]


def test_new_rows_are_added(tmp_path: Path) -> None:
    """Of every sort, also inside rows that are the base's."""
    netlist = over(
        tmp_path,
        """<option id="abs"/><splice id="U" harness="b"/><component id="n"/><component id="m"><inside from="x" to="-"/>
</component><connector id="C"><pin cavity="3-4" circuit="X"/></connector><wire from="U" to="S"/>""",
    )

    assert [row.id for row in netlist.options] == ["lamps", "abs"]
    assert {pin.cavity for pin in netlist.pins if pin.circuit == "X" and pin.connector == "C"} == {"3", "4"}
    assert (len(netlist.insides), len(netlist.wires), len(netlist.components)) == (2, 2, 2)


def test_what_is_dropped_takes_along_what_belongs_to_it(tmp_path: Path) -> None:
    """And what pointed there points nowhere."""
    netlist = over(tmp_path, '<component id="m" drop="yes"/><splice id="S" drop="yes"/><option id="lamps" drop="yes"/>'
                             '<wire from="S" to="T" circuit="F" drop="yes"/>')  # fmt: skip

    assert [row.id for row in netlist.connectors] == ["C", "D"]
    assert by_id(netlist.connectors)["C"].mates is None
    assert (netlist.components, netlist.insides, netlist.options, netlist.wires) == ((), (), (), ())
    assert [(pin.cavity, pin.to) for pin in netlist.pins] == [("1", None), ("2", "G"), ("1", "C:4")]


def test_a_wire_of_a_cavity_may_be_dropped(tmp_path: Path) -> None:
    """By its to; without one, the whole cavity."""
    one = over(tmp_path, '<connector id="C"><pin cavity="2" to="G" drop="yes"/></connector>')
    assert [pin.to for pin in one.pins if (pin.connector, pin.cavity) == ("C", "2")] == ["S"]

    both = over(tmp_path, '<connector id="C"><pin cavity="2" drop="yes"/></connector>')
    assert [pin for pin in both.pins if (pin.connector, pin.cavity) == ("C", "2")] == []


def test_what_is_dropped_must_be_there(tmp_path: Path) -> None:
    """A slip of the pen would drop nothing."""
    (tmp_path / "base.xml").write_text(xml(BASE, HEADER), encoding="utf-8")
    body = '<ground id="H" drop="yes"/>'

    assert messages(read_xml(tmp_path, body, 'base="base.xml"')) == [
        "car.xml:2:1: read 'ground H'; expected drop: a row that is in the base"
    ]


def test_what_points_to_something_dropped_by_the_same_file_is_a_fault(tmp_path: Path) -> None:
    """The file contradicts itself."""
    (tmp_path / "base.xml").write_text(xml(BASE, HEADER), encoding="utf-8")
    body = '<splice id="S" drop="yes"/><wire from="S" to="T" circuit="F" drop="yes"/><wire from="S" to="G"/>'

    assert messages(read_xml(tmp_path, body, 'base="base.xml"')) == [
        "car.xml:2:74: read 'S'; expected from: the id of a splice or ground point; a wire that ends in a cavity is "
        "written as its pin"
    ]


def test_a_base_in_another_colour_code_is_translated(tmp_path: Path) -> None:
    """IEC 60757 RD, BN are DIN 47002 rt, br."""
    netlist = over(tmp_path, '<connector id="C"><pin cavity="1" colour="sw"/></connector>', 'colour-code="din"')

    colours = {(pin.cavity, pin.to): pin.colour.text for pin in netlist.pins if pin.colour is not None}
    assert colours == {("1", "S"): "sw", ("2", "S"): "br"}


def test_bases_may_be_chained_and_be_tables(tmp_path: Path) -> None:
    """A workbook or a folder is a base as well."""
    folder = tmp_path / "2014"
    folder.mkdir()
    good(read_csv(folder, pins="connector,cavity,circuit\nC,1,F\n", vehicle="vehicle,volts\nVan,12\n"))
    (tmp_path / "2015.xml").write_text(
        xml('<connector id="C"><pin cavity="2" circuit="G"/></connector>', 'base="2014"')
    )
    netlist = good(read_xml(tmp_path, '<connector id="C"><pin cavity="1" circuit="?"/></connector>', 'base="2015.xml"'))

    assert sorted((pin.cavity, pin.circuit) for pin in netlist.pins) == [("1", None), ("2", "G")]
    assert netlist.header.vehicle == "Van"


def test_shorthand_of_the_base_is_written_out_after_the_changes(tmp_path: Path) -> None:
    """A mirror follows the changed circuits."""
    body = '<harness id="b"/><connector id="A" harness="b"><pin cavity="1" circuit="F"/></connector>'
    (tmp_path / "base.xml").write_text(xml(body + '<connector id="B" harness="b" mates="A" mirror="yes"/>'))
    netlist = good(read_xml(tmp_path, '<connector id="A"><pin cavity="1" circuit="G"/></connector>', 'base="base.xml"'))

    assert {pin.connector: pin.circuit for pin in netlist.pins} == {"A": "G", "B": "G"}


@pytest.mark.parametrize(
    "named",
    ["/etc/hostname", "file:///etc/hostname", "https://example.org/a.xml", "\\\\server\\a.xml", "C:\\a.xml", "C:a"],
)
def test_a_base_is_a_file_beside(tmp_path: Path, named: str) -> None:
    """Nothing is fetched, and no place of its own on a disk is read."""
    assert messages(read_xml(tmp_path, "", f'base="{named}"')) == [
        f"car.xml:1:1: read {named!r}; expected base: a file beside this one, by a relative path".replace("\\\\", "\\")
    ]


def test_a_circle_of_bases_is_refused(tmp_path: Path) -> None:
    """Directly and through another."""
    assert messages(read_xml(tmp_path, "", 'base="./car.xml"')) == [
        "car.xml:1:1: read './car.xml'; expected base: a netlist that is not built on this one"
    ]
    (tmp_path / "b.xml").write_text(xml("", 'base="car.xml"'))
    assert messages(read_xml(tmp_path, "", 'base="b.xml"')) == [
        "b.xml:1:1: read 'car.xml'; expected base: a netlist that is not built on this one"
    ]


def test_a_long_chain_of_bases_is_refused(tmp_path: Path) -> None:
    """The limit can be raised."""
    (tmp_path / "0.xml").write_text(xml(""))
    for n in range(1, 6):
        (tmp_path / f"{n}.xml").write_text(xml("", f'base="{n - 1}.xml"'))

    assert "built on each other" in messages(read_netlist(tmp_path / "5.xml", Limits(max_depth=3)))[0]
    good(read_netlist(tmp_path / "5.xml"))


def test_a_missing_base_and_its_faults_are_reported_with_their_place(tmp_path: Path) -> None:
    """Where it is asked for; of its faults the base's own file is named."""
    assert messages(read_xml(tmp_path, "", 'base="no.xml"')) == [
        "car.xml:1:1: read 'no.xml'; expected base: a file that is there, beside this one"
    ]
    (tmp_path / "bad.xml").write_text(xml('<component id="k" kind="pump"/>'))
    assert messages(read_xml(tmp_path, "", 'base="bad.xml"'))[0].startswith("bad.xml:2:1: read 'pump'; expected kind: ")


def test_a_folder_does_not_hold_its_own_base(tmp_path: Path) -> None:
    """Its tables are all read already."""
    (tmp_path / "old.xml").write_text(xml(BASE, HEADER))

    assert messages(read_csv(tmp_path, pins="connector,cavity\nC,1\n", vehicle="base\nold.xml\n")) == [
        "vehicle.csv:2 column 'base': read 'old.xml'; expected base: a file outside this folder, whose tables are all "
        "read already"
    ]


def test_a_wire_is_changed_where_the_base_writes_it(tmp_path: Path) -> None:
    """Led elsewhere from its other end it would be there twice; a second wire in the contact is listed beside it."""
    (tmp_path / "base.xml").write_text(xml(BASE, HEADER), encoding="utf-8")

    def change(body: str) -> Netlist | list[InputFault]:
        return read_xml(tmp_path, body, 'base="base.xml"')

    (said,) = messages(change('<connector id="C"><pin cavity="4" to="S"/></connector>'))
    assert said == (
        "car.xml:2:19: read 'S'; expected to: D:1, where the wire of this cavity is written, or a change of "
        "that row (see base.xml:8:44)"
    )
    for body in (
        '<connector id="C"><pin cavity="4" to="S"/><pin cavity="4" to="D:1"/></connector>',
        '<connector id="C"><pin cavity="4" to="S"/></connector><connector id="D"><pin cavity="1" to="?"/></connector>',
        '<connector id="C"><pin cavity="4" colour="RD"/></connector>',
    ):
        good(change(body))
