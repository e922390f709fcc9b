"""What is typed the short way is the car that is typed in full: each pair of files is one netlist."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.files import bare, good, messages, read_csv, read_xml

from harnesscheck.network.volts.lengths import Lengths
from harnesscheck.read import configure

LOOM = '<harness id="h"/><harness id="k"/><ground id="G1"/><splice id="S" harness="h"/>'

PAIRS = {
    "a cavity of a second plug is not the terminal of that name": (
        """<component id="box" kind="module"><connector id="A" cavities="1"><pin cavity="1" terminal="1"/></connector>
        </component><connector id="B" harness="h" cavities="1" on="box"><pin cavity="1" circuit="F"/></connector>""",
        """<component id="box" kind="module"><connector id="A" cavities="1"><pin cavity="1" terminal="1"/></connector>
        <connector id="box.B" cavities="1"><pin cavity="1" terminal="box.B.1" circuit="F"/></connector></component>
        <connector id="B" harness="h" cavities="1" mates="box.B"><pin cavity="1" circuit="F"/></connector>""",
    ),
    "nor that of a terminal without a plug": (
        """<component id="m" kind="motor"><pin terminal="1" to="G1"/></component>
        <connector id="B" harness="h" cavities="1" on="m"><pin cavity="1" to="S"/></connector>""",
        """<component id="m" kind="motor"><pin terminal="1" to="G1"/>
        <connector id="m.B" cavities="1"><pin cavity="1" terminal="m.B.1"/></connector></component>
        <connector id="B" harness="h" cavities="1" mates="m.B"><pin cavity="1" to="S"/></connector>""",
    ),
    "two wires under two options are both mirrored, the contact is there always": (
        """<connector id="B" harness="h" cavities="1" on="m" kind="lamp"><pin cavity="1" circuit="F" option="x"
        terminal="+"/><pin cavity="1" circuit="K" without="x"/></connector>""",
        """<component id="m" kind="lamp"><connector id="m.B" cavities="1"><pin cavity="1" terminal="+"/>
        <pin cavity="1" circuit="F" option="x" terminal="+"/><pin cavity="1" circuit="K" without="x" terminal="+"/>
        </connector></component><connector id="B" harness="h" cavities="1" mates="m.B"><pin cavity="1" circuit="F"
        option="x"/><pin cavity="1" circuit="K" without="x"/></connector>""",
    ),
    "of two wires under two options in a harness both are mirrored": (
        """<connector id="A" harness="h" cavities="1" mates="B"><pin cavity="1" circuit="F" option="x"/>
        <pin cavity="1" circuit="K" without="x"/></connector><connector id="B" harness="k" mirror="yes"/>""",
        """<connector id="A" harness="h" cavities="1" mates="B"><pin cavity="1" circuit="F" option="x"/>
        <pin cavity="1" circuit="K" without="x"/></connector><connector id="B" harness="k" cavities="1">
        <pin cavity="1" circuit="F" option="x"/><pin cavity="1" circuit="K" without="x"/></connector>""",
    ),
    "a part is there when its plug is, and where": (
        """<connector id="B" harness="h" cavities="1" on="m" kind="lamp" option="x" at="roof"><pin cavity="1"/>
        </connector>""",
        """<component id="m" kind="lamp" option="x" at="roof"><connector id="m.B" cavities="1" option="x">
        <pin cavity="1" terminal="1"/></connector></component>
        <connector id="B" harness="h" cavities="1" mates="m.B" option="x" at="roof"><pin cavity="1"/></connector>""",
    ),
    "a part of two plugs is there when either is": (
        """<connector id="B" harness="h" cavities="1" on="m" option="x"><pin cavity="1"/></connector>
        <connector id="C" harness="h" cavities="1" on="m"><pin cavity="1"/></connector>""",
        """<component id="m"><connector id="m.B" cavities="1" option="x"><pin cavity="1" terminal="m.B.1"/></connector>
        <connector id="m.C" cavities="1"><pin cavity="1" terminal="m.C.1"/></connector></component>
        <connector id="B" harness="h" cavities="1" mates="m.B" option="x"><pin cavity="1"/></connector>
        <connector id="C" harness="h" cavities="1" mates="m.C"><pin cavity="1"/></connector>""",
    ),
    "pins of the half that a plug implies may be written": (
        """<connector id="B" harness="h" cavities="2" on="m" kind="motor"><pin cavity="1" circuit="F"/></connector>
        <connector id="D" harness="h" cavities="1" on="m" mates="M"/>
        <component id="n"/><connector id="Z" like="W"/><connector id="W" harness="h"/>""",
        """<component id="n"/><component id="m" kind="motor"><connector id="m.B" cavities="2">
        <pin cavity="1" terminal="1" circuit="F"/></connector><connector id="M" cavities="1"/></component>
        <connector id="B" harness="h" cavities="2" mates="m.B"><pin cavity="1" circuit="F"/></connector>
        <connector id="D" harness="h" cavities="1" mates="M"/><connector id="Z" harness="h"/>
        <connector id="W" harness="h"/>""",
    ),
    "like takes a wire that is written at its other end": (
        """<connector id="A" harness="h" cavities="1" half="pins"/><connector id="Z" harness="h" cavities="1">
        <pin cavity="1" circuit="F" colour="RD" length="2" to="A:1"/></connector>
        <connector id="B" harness="k" like="A"/>""",
        """<connector id="A" harness="h" cavities="1" half="pins"/><connector id="Z" harness="h" cavities="1">
        <pin cavity="1" circuit="F" colour="RD" length="2" to="A:1"/></connector>
        <connector id="B" harness="k" cavities="1" half="pins"><pin cavity="1" circuit="F" colour="RD"/></connector>""",
    ),
    "like a lamp's plug, on another part": (
        """<connector id="A" harness="h" cavities="1" on="left" kind="lamp"><pin cavity="1"/></connector>
        <connector id="B" like="A" on="right"/>""",
        """<component id="left" kind="lamp"><connector id="left.A" cavities="1"><pin cavity="1" terminal="1"/>
        </connector></component><component id="right" kind="lamp"><connector id="right.B" cavities="1">
        <pin cavity="1" terminal="1"/></connector></component>
        <connector id="A" harness="h" cavities="1" mates="left.A"><pin cavity="1"/></connector>
        <connector id="B" harness="h" cavities="1" mates="right.B"><pin cavity="1"/></connector>""",
    ),
    "what a plug says of terminals goes to a half that is written too": (
        """<component id="m" kind="motor"><connector id="M" cavities="2"/></component>
        <connector id="B" harness="h" cavities="2" mates="M" on="m"><pin cavity="1" terminal="+" role="supply" to="S"/>
        <pin cavity="2" terminal="-" role="ground"/></connector>""",
        """<component id="m" kind="motor"><connector id="M" cavities="2"><pin cavity="1" terminal="+" role="supply"/>
        <pin cavity="2" terminal="-" role="ground"/></connector></component>
        <connector id="B" harness="h" cavities="2" mates="M"><pin cavity="1" to="S"/><pin cavity="2"/></connector>""",
    ),
    "a range that goes to a range": (
        """<connector id="A" harness="h" cavities="B1-B4"><pin cavity="B1-B4" colour="RD" to="Z:5-8"/></connector>
        <connector id="Z" harness="h" cavities="8"/>""",
        """<connector id="A" harness="h" cavities="B1 B2 B3 B4"><pin cavity="B1" colour="RD" to="Z:5"/>
        <pin cavity="B2" colour="RD" to="Z:6"/><pin cavity="B3" colour="RD" to="Z:7"/>
        <pin cavity="B4" colour="RD" to="Z:8"/></connector><connector id="Z" harness="h" cavities="8"/>""",
    ),
    "a part's terminal that is in the other cavity is not in both": (
        """<connector id="B" harness="h" on="m" part="motor"><pin cavity="1" terminal="-" to="G1"/></connector>""",
        """<component id="m" kind="motor"><connector id="m.B" cavities="2"><pin cavity="1" terminal="-" role="ground"
        function="motor negative"/><pin cavity="2" terminal="+" role="supply" function="motor positive"/></connector>
        </component><connector id="B" harness="h" mates="m.B"><pin cavity="1" to="G1"/></connector>""",
    ),
    "the lid's rating is that of the fuse of that name": (
        """<component id="F1" kind="fuse"/><component id="box" kind="module"/>
        <component id="F3" kind="fuse" rating="5" type="blade"/>
        <fuse id="F1" rating="10" live="run" type="blade"/><fuse id="F3" rating="5"/>""",
        """<component id="F1" kind="fuse" rating="10" type="blade"/><component id="box" kind="module"/>
        <component id="F3" kind="fuse" rating="5" type="blade"/>
        <fuse id="F1" rating="10" live="run" type="blade"/><fuse id="F3" rating="5"/>""",
    ),
    "inside a box too": (
        """<component id="box" kind="module"><inside id="F2" from="30" to="2"/></component>
        <fuse id="F2" rating="15"/>""",
        """<component id="box" kind="module"><inside id="F2" from="30" to="2" fuse="15"/></component>
        <fuse id="F2" rating="15"/>""",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", PAIRS)
def test_the_short_way_is_the_full_file(tmp_path: Path, name: str) -> None:
    """Nothing is lost, and nothing is joined, whichever way it was typed."""
    short, full = (good(read_xml(tmp_path, LOOM + body)) for body in PAIRS[name])

    assert bare(short) == bare(full)


def test_in_each_car_of_two_options_the_contact_carries_its_own_wire(tmp_path: Path) -> None:
    """The two rows of one cavity are one once it is known which car it is."""
    netlist = good(read_xml(tmp_path, LOOM + PAIRS[next(name for name in PAIRS if "two options are" in name)][0]))

    def carried(options: tuple[str, ...]) -> list[tuple[str | None, str | None]]:
        pins = configure(netlist, options).netlist.pins
        return [(pin.terminal, pin.circuit) for pin in pins if pin.connector == "m.B"]

    assert carried(("x",)) == [("+", "F")]
    assert carried(()) == [("+", "K")]


def test_a_plug_that_is_none_of_its_parts_is_asked_about(tmp_path: Path) -> None:
    """A generator has a stud A and a plug B: which of them goes on this plug nobody can tell from its name."""
    body = '<connector id="GEN" harness="h" cavities="1" on="g" part="alternator"><pin cavity="1"/></connector>'

    (said,) = messages(read_xml(tmp_path, LOOM + "\n" + body))

    assert (
        said == "car.xml:3:1: read 'GEN'; expected id: one that ends in the name of one of the part's connectors (A, B)"
    )


def test_ranges_of_two_lengths_are_a_fault(tmp_path: Path) -> None:
    """Nobody can tell which wire goes where."""
    body = '<connector id="A" harness="h" cavities="4"><pin cavity="1-4" to="Z:5-7"/></connector>'
    body += '<connector id="Z" harness="h" cavities="8"/>'

    (said,) = messages(read_xml(tmp_path, LOOM + "\n" + body))

    assert said.endswith("read 'Z:5-7'; expected to: as many cavities as there are in this row (4)")


def test_a_lid_that_says_otherwise_is_a_fault(tmp_path: Path) -> None:
    """Both rows are named."""
    body = '<component id="F1" kind="fuse" rating="10"/>\n<fuse id="F1" rating="15"/>'

    (said,) = messages(read_xml(tmp_path, body))

    assert said == "car.xml:3:1: read '15'; expected rating: what is said of F1 elsewhere (10) (see car.xml:2:1)"


def test_the_table_of_places_gives_a_length_whatever_letters_it_is_written_in(tmp_path: Path) -> None:
    """A plug on a part is where the part is, and a place is one place however it is spelled."""
    body = """<component id="m" kind="lamp" at="Left  Pillar"><connector id="M" cavities="1"/></component>
<connector id="B" harness="h" cavities="1" mates="M"><pin cavity="1" to="G2"/></connector>
<ground id="G2" at="sill"/><place from="left pillar" to="Sill" length="1.7"/>"""
    vehicle = configure(good(read_xml(tmp_path, LOOM + body)))

    assert Lengths(vehicle).of(vehicle.pins_of["B"][0], "B:1", "G2") == 1.7


LISTS = {
    "a two-pin lamp is one row": (
        """<connector id="B" harness="h" on="m" kind="lamp" cavities="2" circuits="58L, 31" colours="GY/BU, BN"
        sizes="0.75" ends="S, G1" lengths="1.2, 0.4"/>""",
        """<component id="m" kind="lamp"><connector id="m.B" cavities="2"><pin cavity="1" circuit="58L" terminal="1"/>
        <pin cavity="2" circuit="31" terminal="2"/></connector></component>
        <connector id="B" harness="h" cavities="2" mates="m.B"><pin cavity="1" circuit="58L" colour="GY/BU" size="0.75"
        to="S" length="1.2"/><pin cavity="2" circuit="31" colour="BN" size="0.75" to="G1" length="0.4"/></connector>""",
    ),
    "an empty cavity, one not known, two wires in one": (
        """<connector id="B" harness="h" cavities="A-D" circuits="X, empty, , Y" colours="RD, -, , BN + BN/BK"
        ends="S, n/c, , S + G1"/>""",
        """<connector id="B" harness="h" cavities="A B C D"><pin cavity="A" circuit="X" colour="RD" to="S"/>
        <pin cavity="C"/><pin cavity="D" circuit="Y" colour="BN" to="S"/>
        <pin cavity="D" circuit="Y" colour="BN/BK" to="G1"/></connector>""",
    ),
    "a relay's cavities are those of the part": (
        """<connector id="B" harness="h" on="K1" part="relay-make" ends="S, G1, S, empty"/>""",
        """<component id="K1" part="relay-make"><connector id="K1.B"/></component>
        <connector id="B" harness="h" mates="K1.B"><pin cavity="30" to="S"/><pin cavity="85" to="G1"/>
        <pin cavity="86" to="S"/></connector>""",
    ),
    "a fuse box is a row for each of its plugs": (
        """<component id="box"><connector id="IN" cavities="1"><pin cavity="1" terminal="30" role="supply"/></connector>
        </component><connector id="B" harness="h" on="box" cavities="4" terminals="F1, F2, F3, 31"
        roles=", , , ground" ratings="15, 7.5, empty, empty" ends="S, S, empty, G1"/>""",
        """<component id="box"><connector id="IN" cavities="1"><pin cavity="1" terminal="30" role="supply"/></connector>
        <connector id="box.B" cavities="4"><pin cavity="1" terminal="F1"/><pin cavity="2" terminal="F2"/>
        <pin cavity="3" terminal="F3"/><pin cavity="4" terminal="31" role="ground"/></connector>
        <inside id="F1" from="30" to="F1" fuse="15"/><inside id="F2" from="30" to="F2" fuse="7.5"/></component>
        <connector id="B" harness="h" cavities="4" mates="box.B"><pin cavity="1" to="S"/><pin cavity="2" to="S"/>
        <pin cavity="4" to="G1"/></connector>""",
    ),
    "a switch and a lamp with two filaments are a row each": (
        """<connector id="B" harness="h" on="s" kind="switch" cavities="3" positions="empty, slow, slow fast"/>
        <connector id="D" harness="h" on="l" kind="lamp" cavities="3" roles=", , ground" ends="S, S, G1"
        loads="tail lamp, brake lamp, "/><connector id="E" harness="h" cavities="3" on="s2" ends="S, S, S"
        terminals="30, 1, 2" roles="supply, , " positions=", a, b"/>""",
        """<component id="s" kind="switch"><connector id="s.B" cavities="3"><pin cavity="1" terminal="1"/>
        <pin cavity="2" terminal="2"/><pin cavity="3" terminal="3"/></connector><inside from="1" to="2" when="slow"/>
        <inside from="1" to="3" when="slow fast"/></component><component id="l" kind="lamp">
        <connector id="l.D" cavities="3"><pin cavity="1" terminal="1"/><pin cavity="2" terminal="2"/>
        <pin cavity="3" terminal="3" role="ground"/></connector><inside from="1" to="3" load="tail lamp"/>
        <inside from="2" to="3" load="brake lamp"/></component><component id="s2"><connector id="s2.E" cavities="3">
        <pin cavity="1" terminal="30" role="supply"/><pin cavity="2" terminal="1"/><pin cavity="3" terminal="2"/>
        </connector><inside from="30" to="1" when="a"/><inside from="30" to="2" when="b"/></component>
        <connector id="B" harness="h" cavities="3" mates="s.B"/>
        <connector id="D" harness="h" cavities="3" mates="l.D"><pin cavity="1" to="S"/>
        <pin cavity="2" to="S"/><pin cavity="3" to="G1"/></connector><connector id="E" harness="h" cavities="3"
        mates="s2.E"><pin cavity="1" to="S"/><pin cavity="2" to="S"/><pin cavity="3" to="S"/></connector>""",
    ),
    "terminals, roles and words with commas": (
        """<connector id="B" harness="h" on="m" kind="motor" terminals="+,-" roles="supply, ground"
        functions="feed, run; ground, left"/>""",
        """<component id="m" kind="motor"><connector id="m.B"><pin cavity="1" terminal="+" role="supply"
        function="feed, run"/><pin cavity="2" terminal="-" role="ground" function="ground, left"/></connector>
        </component><connector id="B" harness="h" mates="m.B"><pin cavity="1" function="feed, run"/>
        <pin cavity="2" function="ground, left"/></connector>""",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", LISTS)
def test_a_plug_in_one_row_is_its_pins(tmp_path: Path, name: str) -> None:
    """Each list in the order of the cavities."""
    short, full = (good(read_xml(tmp_path, LOOM + body)) for body in LISTS[name])

    assert bare(short) == bare(full)


def test_a_plug_in_one_row_of_a_table(tmp_path: Path) -> None:
    """The columns of connectors, in a file with a decimal comma as well; colours in words are asked about as pins'."""
    rows = 'id;harness;on;kind;cavities;colours;sizes;ends\nB;h;m;lamp;3;"red/white; empty; brown";0,75;"S;empty;G1"\n'
    short = good(read_csv(tmp_path, connectors=rows, splices="id,harness\nS,h\n", grounds="id\nG1\n"))

    assert [(pin.cavity, str(pin.colour.text), pin.size.area_mm2, pin.to) for pin in short.pins if pin.colour] == [
        ("1", "red/white", 0.75, "S"),
        ("3", "brown", 0.75, "G1"),
    ]
    assert [pin.cavity for pin in short.pins if pin.connector == "m.B"] == ["1", "3"]


def test_faults_of_lists(tmp_path: Path) -> None:
    """Too few entries, a colour that is none, wires that do not count up: each at its own column."""
    rows = 'id,harness,cavities,colours,ends\nA,h,3,"RD,BN",\nB,h,2,"XX,BN",\nC,h,1,RD + BN + BK,S + G1\n'
    told = messages(
        read_csv(tmp_path, connectors=rows, splices="id\nS\n", grounds="id\nG1\n", vehicle="colour-code\ndin\n")
    )

    assert [one.partition(";")[0] for one in told] == [
        "connectors.csv:2 column 'colours': read '2 in RD,BN'",
        "connectors.csv:4 column 'ends': read 'S + G1'",
    ]
    assert told[0].endswith("colours: one for each of its 3 cavities, commas between (empty: one with nothing in it)")


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ('cavities="2" ratings="10"', "read '1 in 10'; expected ratings: one for each of its 2 cavities"),
        ('cavities="1" ratings="ten"', "read 'ten'; expected ratings: a number above 0, in A"),
        ('cavities="1" ratings="-10"', "read '-10'; expected ratings: a number above 0, in A"),
    ],
)
def test_faults_of_ratings(tmp_path: Path, said: str, told: str) -> None:
    """A list of the plug's length, of numbers, in a box that is fed at one place."""
    box = '<component id="box"><pin terminal="30" role="supply" to="S"/></component>'
    plug = f'<connector id="B" harness="h" on="box" {said}/>'
    assert [one.partition(": ")[2] for one in messages(read_xml(tmp_path, LOOM + box + plug))] == [told]

    if "ten" in said:
        (found,) = messages(read_xml(tmp_path, LOOM + plug))
        assert found.endswith(
            "read 'no supply'; expected ratings: a component with one terminal of the role supply; else rows of inside"
        )
        (found,) = messages(read_xml(tmp_path, LOOM + plug.replace('on="box"', "")))
        assert found.endswith("expected ratings: only on the plug of a component, or with on=")


@pytest.mark.parametrize(
    ("tables", "left"),
    [
        ({"connectors": 'id,cavities,circuits\nC,3,"A,free,free"\n'}, ["1"]),
        ({"pins": "connector,cavity,function\nC,2,not used\n"}, ["1", "3"]),
    ],
)
def test_a_cavity_said_to_be_empty_is_empty_over_its_base(
    tmp_path: Path, tables: dict[str, str], left: list[str]
) -> None:
    """Whichever end the base's wire was written at; what led there leads to a place nobody wrote."""
    body = """<connector id="C" harness="h" cavities="3"><pin cavity="1" circuit="A"/><pin cavity="2" circuit="B"/>
<pin cavity="3" circuit="E"/></connector>
<connector id="D" harness="h" cavities="2"><pin cavity="1" to="C:1"/><pin cavity="2" to="C:2"/></connector>"""
    good(read_xml(tmp_path, LOOM + body, name="base.xml"))
    (tmp_path / "own").mkdir()

    netlist = good(read_csv(tmp_path / "own", vehicle="base\n../base.xml\n", **tables))

    assert [pin.cavity for pin in netlist.pins if pin.connector == "C"] == left
    assert [row.harness for row in netlist.connectors] == ["h", "h"]
    assert {pin.cavity: pin.to for pin in netlist.pins if pin.connector == "D"} == {"1": "C:1", "2": None}


def test_pins_of_an_implied_half_are_its_own(tmp_path: Path) -> None:
    """In tables, where a pin's connector need have no row."""
    said = read_csv(
        tmp_path,
        connectors='id,harness,on,kind,cavities,colours\nB,h,m,motor,2,"RD,BN"\n',
        pins="connector,cavity,terminal,role\nm.B,2,-,ground\n",
    )

    pins = [pin for pin in good(said).pins if pin.connector == "m.B"]
    assert sorted((pin.cavity or "", pin.terminal, pin.role) for pin in pins) == [
        ("1", "1", None),
        ("2", "-", "ground"),
    ]


@pytest.mark.parametrize(
    "body",
    [
        # the half that the plug would imply is no part's
        '<connector id="A" harness="h" cavities="1" on="m" mates="B" ratings="10"/><connector id="B" harness="k"/>',
        # a component's own plug goes on nothing, so that the half it names is nowhere
        '<component id="n"><connector id="A" cavities="1" on="m" mates="Z" terminals="1" ends="empty"/></component>',
        '<connector id="A" harness="h" on="m" like="Q" terminals="1" circuits="empty"/>',
    ],
)
def test_what_cannot_be_implied_is_a_fault(tmp_path: Path, body: str) -> None:
    """Whatever else rests on it: a message, and nothing made up."""
    assert messages(read_xml(tmp_path, LOOM + body))
