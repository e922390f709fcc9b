"""Rules between rows: ids, owners, ends of wires, mates, components. Each broken one is a message with its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.files import by_id, good, messages, read_xml, said

BODY = '<harness id="b"/><harness id="e"/><splice id="S1" harness="b"/><splice id="S2" harness="e"/><ground id="G"/>'

TAKEN = "expected id: one that no other connector, component, splice or ground has"


def fault(folder: Path, body: str) -> list[str]:
    """The messages, with the place shortened to line and column."""
    return [one.removeprefix("car.xml:") for one in messages(read_xml(folder, BODY + "\n" + body))]


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        # ids
        (
            '<splice id="X" harness="b"/><ground id="X"/>',
            f"3:29: read 'X'; {TAKEN} (see car.xml:3:1)",
        ),
        (
            '<connector id="X" harness="b"/><connector id="X" harness="b"/>',
            f"3:32: read 'X'; {TAKEN} (see car.xml:3:1)",
        ),
        (
            '<component id="X"><connector id="X"/></component>',
            "3:1: read 'X'; expected id: one that no other connector, component, splice or ground has "
            "(see car.xml:3:19)",
        ),
        ('<harness id="b"/>', "3:1: read 'b'; expected id: one that no other harness has (see car.xml:2:1)"),
        (
            '<circuit id="F"/><circuit id="F"/>',
            "3:18: read 'F'; expected id: one that no other circuit has (see car.xml:3:1)",
        ),
        (
            '<option id="a"/><option id="a"/>',
            "3:17: read 'a'; expected id: one that no other option has (see car.xml:3:1)",
        ),
        (
            '<fuse id="F1"/><fuse id="F1"/>',
            "3:16: read 'F1'; expected id: one that no other fuse of the lid has (see car.xml:3:1)",
        ),
        (
            '<component id="box"><inside from="1" to="2" fuse="5" id="F1"/>'
            '<inside from="1" to="3" fuse="5" id="F1"/></component>',
            "3:63: read 'F1'; expected id: one that no other inside row has (see car.xml:3:21)",
        ),
        (
            "<circuit/>",
            "3:1: read 'a circuit row without id'; expected id: what the row is called, unique in the netlist",
        ),
        # owners
        ('<connector id="C" harness="bb"/>', "3:1: read 'bb'; expected harness: the id of a harness (b?)"),
        ('<splice id="S" harness="x"/>', "3:1: read 'x'; expected harness: the id of a harness"),
        ('<component id="k" with="x"/>', "3:1: read 'x'; expected with: the id of a harness"),
        (
            '<component id="k" after="b k"/>',
            "3:1: read 'k'; expected after: the id of a harness or component, not itself",
        ),
        (
            '<component id="k"><connector id="C" harness="b"/></component>',
            "3:19: read 'C of component k and of harness b'; expected a connector of a component or of a harness, "
            "not of both",
        ),
        # pins and wires
        (
            '<connector id="C" harness="b" cavities="2"><pin cavity="3"/></connector>',
            "3:44: read '3'; expected cavity: one of the 2 cavities of C (1 to 2)",
        ),
        ('<connector id="C" harness="b"><pin/></connector>', "3:31: read 'a pin without cavity'; expected its cavity"),
        (
            '<connector id="C" harness="b"><pin cavity="1" to="D:1"/></connector>',
            "3:31: read 'D:1'; expected to: the id of a connector before the colon",
        ),
        (
            '<connector id="C" harness="b"><pin cavity="1" to="S3"/></connector>',
            "3:31: read 'S3'; expected to: the id of a splice or ground point, or a cavity as C7:3",
        ),
        (
            '<connector id="C" harness="b" cavities="A1-A4"><pin cavity="A1" to="C:A5"/></connector>',
            "3:48: read 'C:A5'; expected to: one of the 4 cavities of C (A1 to A4)",
        ),
        (
            '<connector id="C" harness="b"><pin cavity="1" to="C:1"/></connector>',
            "3:31: read 'C:1'; expected to: another place than the wire starts from",
        ),
        (
            '<connector id="C" harness="b"><pin cavity="1" to="S2"/></connector>',
            "3:31: read 'S2'; expected to: an end in the same harness b (S2 is in e)",
        ),
        (
            '<connector id="C" harness="b"><pin cavity="1" to="D:1"/></connector><connector id="D" harness="e"/>',
            "3:31: read 'D:1'; expected to: an end in the same harness b (D is in e)",
        ),
        (
            '<component id="k"><pin terminal="1" cavity="2"/></component>',
            "3:19: read '2'; expected cavity: none, for the terminal is in no connector",
        ),
        ('<component id="k"><pin to="G"/></component>', "3:19: read 'a pin without terminal'; expected its terminal"),
        (
            '<wire from="S1" to="C:1"/>',
            "3:1: read 'C:1'; expected to: the id of a splice or ground point; a wire that ends in a cavity is written "
            "as its pin",
        ),
        (
            '<wire harness="b" from="S1" to="S2"/>',
            "3:1: read 'S2'; expected to: an end in the same harness b (S2 is in e)",
        ),
        ('<wire from="S1" to="S2"/>', "3:1: read 'S2'; expected to: an end in the same harness b (S2 is in e)"),
        ('<wire from="S1" to="S1"/>', "3:1: read 'S1'; expected to: another place than the wire starts from"),
        ('<wire from="S1"/>', "3:1: read 'a wire row without to'; expected to: the other end"),
        # a wire written at both ends
        (
            '<connector id="C" harness="b"><pin cavity="1" circuit="F" to="D:2"/></connector>'
            '<connector id="D" harness="b"><pin cavity="2" circuit="G" to="C:1"/></connector>',
            "3:111: read 'circuit=G'; expected circuit: what the wire's other end says (F) (see car.xml:3:31)",
        ),
        (
            '<connector id="C" harness="b"><pin cavity="1" length="1" to="D:2"/></connector>'
            '<connector id="D" harness="b"><pin cavity="2" length="1.5"/></connector>',
            "3:110: read 'length=1.5'; expected length: what the wire's other end says (1) (see car.xml:3:31)",
        ),
        (
            '<connector id="C" harness="b"><pin cavity="1" size="1.5" to="D:2"/></connector>'
            '<connector id="D" harness="b"><pin cavity="2" size="2.5" to="C:1"/></connector>',
            "3:110: read 'size=2.5'; expected size: what the wire's other end says (1.5) (see car.xml:3:31)",
        ),
        # one cavity twice
        (
            '<connector id="C" harness="b"><pin cavity="1" colour="BK"/><pin cavity="1" colour="RD"/></connector>',
            "3:60: read 'cavity 1 of C is there twice, colour RD'; expected one row for it, or the same in both: "
            "colour BK (see car.xml:3:31)",
        ),
        # mates
        (
            '<connector id="C" harness="b" mates="D"/>',
            "3:1: read 'D'; expected mates: the id of a connector, not itself",
        ),
        (
            '<connector id="C" harness="b" mates="C"/>',
            "3:1: read 'C'; expected mates: the id of a connector, not itself",
        ),
        (
            '<connector id="A" harness="b" mates="B"/><connector id="B" harness="e"/>'
            '<connector id="C" harness="b" mates="B"/>',
            "3:73: read 'C mates B'; expected mates: a connector that is free (B mates A) (see car.xml:3:1)",
        ),
        (
            '<connector id="A" harness="b" mates="B"/><connector id="B" harness="e" mates="C"/>'
            '<connector id="C" harness="b"/>',
            "3:42: read 'B mates C'; expected mates: a connector that is free (B mates A) (see car.xml:3:1)",
        ),
        # components
        (
            '<component id="k" kind="relay" key="yes"/>',
            "3:1: read 'kind=relay'; expected kind: switch, where key=yes marks the ignition switch",
        ),
        (
            '<component id="k" kind="switch" key="yes"><inside when="run hot" from="1" to="2"/></component>',
            "3:43: read 'hot'; expected when: positions of the key: off, accessory, run, start",
        ),
        (
            '<component id="m" kind="module"><connector id="M"><pin cavity="1" terminal="30a" role="supply"/>'
            '<pin cavity="2" terminal="30b" role="supply"/><pin cavity="3" terminal="o" role="output-high"/>'
            "</connector></component>",
            "3:143: read 'role=output-high'; expected via: which supply it joins, for there are several (30a, 30b)",
        ),
        (
            '<component id="m" kind="module"><pin terminal="o" role="output-low" via="31"/></component>',
            "3:33: read '31'; expected via: a terminal of the same component (o)",
        ),
        # options and dates
        (
            '<ground id="H" option="abs x" without="x"/>',
            "3:1: read 'x'; expected without: options that are not in option= as well",
        ),
        (
            '<ground id="H" built-from="2014-02" built-to="2014-01"/>',
            "3:1: read '2014-01'; expected built-to: a month not before built-from (2014-02)",
        ),
        ('<ground id="H" drop="yes"/>', "3:1: read 'drop'; expected drop: only in a netlist that names its base"),
        # choices
        ('<component id="k" duty="often"/>', "3:1: read 'often'; expected duty: one of continuous, short"),
    ],
)
def test_a_broken_rule_is_one_message(tmp_path: Path, body: str, expected: str) -> None:
    """Place, what was read, what was expected, and the row it disagrees with."""
    assert fault(tmp_path, body) == [expected]


@pytest.mark.parametrize(
    "body",
    [
        '<harness id="S1"/><circuit id="S1"/><option id="S1"/>',
        '<component id="box"><inside from="1" to="2" fuse="5" id="F1"/></component><fuse id="F1" rating="5"/>',
        '<component id="F1" kind="fuse" rating="5"/><fuse id="F1" rating="5"/>',
        '<connector id="C" harness="b"><pin cavity="1" to="D:1"/></connector>'
        '<connector id="D" harness="b" cavities="1"/>',
        '<connector id="C" harness="b"><pin cavity="1" to="G"/></connector>',
        '<connector id="A" harness="b" mates="B"/><connector id="B" harness="e" mates="A"/>',
        '<connector id="A" harness="b" mates="B" option="x"/><connector id="B" harness="e"/>'
        '<connector id="C" harness="b" mates="B" without="x"/>',
        '<component id="k" kind="diode"><pin terminal="A" to="S1"/><pin terminal="K" to="G"/></component>',
        '<wire from="G" to="S1"/><ground id="H" on="engine"/><wire from="G" to="H" size="16"/>',
        '<component id="m" kind="module"><pin terminal="30a" role="supply"/><pin terminal="30b" role="supply"/>'
        '<pin terminal="o" role="output-high" via="30b"/></component>',
    ],
)
def test_what_is_allowed(tmp_path: Path, body: str) -> None:
    """Near misses of the rules."""
    good(read_xml(tmp_path, BODY + body))


def test_two_wires_in_one_contact_differ_in_where_they_go(tmp_path: Path) -> None:
    """A double crimp is two rows of one cavity."""
    body = '<connector id="C" harness="b"><pin cavity="1" to="S1"/><pin cavity="1" to="G"/></connector>'

    assert [pin.to for pin in good(read_xml(tmp_path, BODY + body)).pins] == ["S1", "G"]


def test_one_cavity_twice_and_agreeing_is_one_row(tmp_path: Path) -> None:
    """What only one of the rows gives is kept, remarks of both."""
    body = """<connector id="C" harness="b">
<pin cavity="1" circuit="F" note="seen"/><pin cavity="1" colour="BK/BU" size="1.5" note="manual"/>
<pin cavity="1" colour="black/blue" to="S1"/></connector>"""
    netlist = good(read_xml(tmp_path, BODY + body))

    assert len(netlist.pins) == 1
    pin = netlist.pins[0]
    assert (pin.circuit, pin.to, pin.size.area_mm2 if pin.size else 0) == ("F", "S1", 1.5)
    assert pin.common.note == "manual; seen"


def test_rows_that_never_meet_are_not_compared(tmp_path: Path) -> None:
    """A cavity may carry one thing with an option, and another without, or in other years."""
    body = """<connector id="C" harness="b">
<pin cavity="1" circuit="F" option="abs"/><pin cavity="1" circuit="G" without="abs"/>
<pin cavity="2" circuit="F" built-to="2013-12"/><pin cavity="2" circuit="G" built-from="2014-01"/></connector>"""

    assert len(good(read_xml(tmp_path, BODY + body)).pins) == 4
    overlapping = body.replace("2014-01", "2013-12")
    assert "cavity 2 of C is there twice" in messages(read_xml(tmp_path, BODY + overlapping))[0]


def test_a_row_agrees_with_one_of_several_wires_that_come_to_its_cavity(tmp_path: Path) -> None:
    """Two wires end in C:1; its own row describes the second."""
    body = """<connector id="C" harness="b"><pin cavity="1" circuit="G"/></connector>
<connector id="D" harness="b"><pin cavity="1" circuit="F" to="C:1"/>
<pin cavity="2" circuit="G" to="C:1"/></connector>"""

    assert len(good(read_xml(tmp_path, BODY + body)).pins) == 3


def test_a_range_stands_for_each_of_its_cavities(tmp_path: Path) -> None:
    """The cells repeat; a cavity that is called like a range is itself."""
    body = """<connector id="C" harness="b"><pin cavity="5-7" circuit="G"/></connector>
<connector id="D" harness="b" cavities="x 5-7"><pin cavity="5-6"/></connector>"""
    netlist = good(read_xml(tmp_path, BODY + body))

    assert [(pin.connector, pin.cavity) for pin in netlist.pins] == [
        ("C", "5"), ("C", "6"), ("C", "7"), ("D", "5"), ("D", "6"),
    ]  # fmt: skip


def test_a_wire_is_in_the_harness_of_its_splice(tmp_path: Path) -> None:
    """The harness may be left out where a splice tells it."""
    netlist = good(read_xml(tmp_path, BODY + '<wire from="G" to="S2"/><ground id="H"/><wire from="G" to="H"/>'))

    assert [wire.harness for wire in netlist.wires] == ["e", None]


def test_harnesses_and_components_nobody_listed_are_implied(tmp_path: Path) -> None:
    """Only where none is listed; else a name that is not among them is a slip of the pen."""
    netlist = good(read_xml(tmp_path, '<connector id="C" harness="body"/><splice id="S" harness="dash"/>'))

    assert [row.id for row in netlist.harnesses] == ["body", "dash"]
    assert said(netlist.harnesses[0]) == {"id": "body"}


def test_same_terminal_twice_is_one_terminal(tmp_path: Path) -> None:
    """Two contacts may carry one terminal."""
    body = """<component id="m"><connector id="M"><pin cavity="1" terminal="31" role="ground"/>
<pin cavity="2" terminal="31" role="ground"/><pin cavity="3" terminal="o" role="output-low"/></connector></component>"""
    netlist = good(read_xml(tmp_path, body))

    assert [pin.terminal for pin in netlist.pins] == ["31", "31", "o"]
    assert by_id(netlist.connectors)["M"].component == "m"
