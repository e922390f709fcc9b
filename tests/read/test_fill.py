"""Files that fill a car's: what is not given is filled, what contradicts is a fault with both places."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.commands import Say
from builders.files import bare, by_id, good, messages, xml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from harnesscheck.model.places import InputFault
from harnesscheck.model.records import Netlist
from harnesscheck.read import read_netlist

CAR = """<circuit id="F"/><harness id="b"/><harness id="e"/><splice id="S" harness="b"/><splice id="T" harness="b"/>
<ground id="G"/><component id="box"><inside from="30" to="F1" id="F1"/><inside from="30" to="2" when="run"/>
<inside from="30" to="2" when="start"/><connector id="B" cavities="3"><pin cavity="1" terminal="30"/></connector>
</component><connector id="C" harness="b" cavities="4"><pin cavity="1" circuit="F" colour="RD" to="S"/>
<pin cavity="2" colour="BN" to="S"/><pin cavity="2" to="G"/><pin cavity="3" to="E:1"/></connector>
<connector id="E" harness="b" cavities="1"/>
<wire harness="b" from="S" to="T"/>"""
HEADER = 'vehicle="Van" colour-code="iec60757"'


def filled(folder: Path, overlay: str, name: str = "more.xml", car: str = CAR) -> Netlist | list[InputFault]:
    """The car with what another file says."""
    (folder / "car.xml").write_text(xml(car, HEADER), encoding="utf-8")
    (folder / name).write_text(overlay, encoding="utf-8")
    return read_netlist(folder / "car.xml", overlays=[folder / name])


def rows(text: str) -> str:
    """Some rows as a file without a name of its own."""
    return xml(text)


def test_what_is_not_given_is_filled(tmp_path: Path) -> None:
    """A slot, a pin of its own, a whole part, a joint that says no more than its ends."""
    netlist = good(
        filled(
            tmp_path,
            rows(
                """<circuit id="F" class="run"/><component id="box" kind="module"><inside from="30" to="F1" fuse="15"/>
<connector id="B"><pin cavity="1" role="supply"/><pin cavity="2" terminal="F1"/></connector></component>
<component id="lamp" kind="lamp"/><connector id="C"><pin cavity="1" size="1.5" circuit="F"/></connector>
<wire from="T" to="S" size="2.5"/>"""
            ),
        )
    )

    assert by_id(netlist.circuits)["F"].class_ == "run"
    assert (by_id(netlist.components)["box"].kind, by_id(netlist.components)["lamp"].kind) == ("module", "lamp")
    assert [(row.id, row.fuse) for row in netlist.insides if row.to == "F1"] == [("F1", 15.0)]
    assert [(pin.cavity, pin.terminal, pin.role) for pin in netlist.pins if pin.connector == "B"] == [
        ("1", "30", "supply"),
        ("2", "F1", None),
    ]
    (pin,) = [pin for pin in netlist.pins if (pin.connector, pin.cavity) == ("C", "1")]
    assert (pin.size.text if pin.size else "", pin.to, Path(pin.file.path).name) == ("1.5", "S", "car.xml")
    assert [(row.from_, row.size.text) for row in netlist.wires if row.size] == [("S", "2.5")]


def test_a_table_fills_a_car_in_xml(tmp_path: Path) -> None:
    """Any form; its colours are in the car's style, and words are read too."""
    netlist = good(filled(tmp_path, "connector,cavity,colour,function\nC,3,BU/WH,park lamp\n", "roles.csv"))
    (pin,) = [pin for pin in netlist.pins if (pin.connector, pin.cavity) == ("C", "3")]

    assert pin.colour is not None and pin.colour.names == ("blue", "white")


@pytest.mark.parametrize(
    ("overlay", "told"),
    [
        ('<circuit id="F" class="run"/><circuit id="F" class="start"/>', "id: one that no other circuit has"),
        ('<connector id="C"><pin cavity="1" colour="BK"/></connector>', "colour: the same as elsewhere (RD)"),
        ('<connector id="C"><pin cavity="1" to="T"/></connector>', "to: the same as elsewhere (S)"),
        ('<connector id="C" cavities="5"/>', "cavities: the same as elsewhere (1 2 3 4)"),
        ('<connector id="C"><pin cavity="2" colour="BK"/></connector>', "to: that of one of the car's wires"),
        ('<component id="box"><inside from="30" to="2" ohms="1"/></component>', "which of the 2 rows that the car has"),
        ('<connector id="E"><pin cavity="1" to="T"/></connector>', "to: C:3, where the wire of this cavity is written"),
        ('<ground id="G" drop="yes"/>', "drop: none, in a file that only fills a car's"),
    ],
)
def test_a_contradiction_names_both_rows(tmp_path: Path, overlay: str, told: str) -> None:
    """What the other file says, and where the car says otherwise."""
    found = messages(filled(tmp_path, rows(overlay)))

    assert len(found) == 1 and found[0].startswith("more.xml:2:") and told in found[0]
    assert "drop:" in told or "(see car.xml:" in found[0] or "(see more.xml:" in found[0]


def test_another_car_is_not_filled_with(tmp_path: Path) -> None:
    """A file that says that it is of another car contradicts the header; one built on a base is none that fills."""
    (said,) = messages(filled(tmp_path, xml("", 'vehicle="Bus"')))
    assert said.endswith("read 'Bus'; expected vehicle: the same as elsewhere (Van) (see car.xml:1:1)")

    (said,) = messages(filled(tmp_path, xml("", 'base="car.xml"')))
    assert said.endswith("expected base: none, in a file that only fills a car's")


def test_a_misspelt_plug_is_no_plug_of_its_own(tmp_path: Path) -> None:
    """A table that names none is that of a plug called as the file, which the car does not have."""
    (said,) = messages(filled(tmp_path, "connector,cavity,colour\nCC,1,RD\n", "roles.csv"))
    assert said.endswith("read 'CC'; expected connector: the id of a connector of the car (C?)")

    (said,) = messages(filled(tmp_path, "cavity,colour\n1,RD\n", "roles.csv"))
    assert "read 'roles'; expected connector: the id of a connector of the car" in said


def test_a_cavity_is_not_empty_and_wired(tmp_path: Path) -> None:
    """Either way round."""
    (said,) = messages(filled(tmp_path, "connector,cavity,function\nC,1,not used\n", "roles.csv"))
    assert "nothing in C:1, which another row marks as empty" in said and said.startswith("car.xml:")

    (tmp_path / "tables").mkdir()
    (tmp_path / "tables" / "pins.csv").write_text("connector,cavity,function\nC,1,feed\nC,2,empty\n")
    (tmp_path / "more.csv").write_text("connector,cavity,colour\nC,2,RD\n")
    (said,) = messages(read_netlist(tmp_path / "tables", overlays=[tmp_path / "more.csv"]))
    assert said.startswith("more.csv:2") and "nothing in C:2, which another row marks as empty" in said


COLUMNS = ("circuit", "colour", "size", "function")
CELLS = {"circuit": ("A", "B"), "colour": ("RD", "BN/WH"), "size": ("0.5", "1.5"), "function": ("feed", "=1+1", "-x")}


@st.composite
def plugs(draw: st.DrawFn) -> list[dict[str, str]]:
    """The rows of one plug, some cells blank."""
    return [
        {"cavity": str(n)} | {name: draw(st.sampled_from(("", *CELLS[name]))) for name in COLUMNS}
        for n in range(1, draw(st.integers(1, 4)) + 1)
    ]


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(plugs(), st.data())
def test_a_car_in_two_parts_is_the_car(tmp_path: Path, wires: list[dict[str, str]], data: st.DataObject) -> None:
    """However the cells are dealt out between the car's file and the one that fills it, in either order."""
    whole = {(n, name) for n, row in enumerate(wires) for name in COLUMNS if row[name]}
    first = data.draw(st.sets(st.sampled_from(sorted(whole)))) if whole else set()

    def text(cells: set[tuple[int, str]]) -> str:
        lines = [
            ["C", row["cavity"], *(row[c] if (n, c) in cells else "" for c in COLUMNS)] for n, row in enumerate(wires)
        ]
        return "\n".join(",".join(line) for line in (["connector", "cavity", *COLUMNS], *lines)) + "\n"

    for name, cells in (("C.csv", whole), ("a.csv", first), ("b.csv", whole - first)):
        (tmp_path / name).write_text(text(cells), encoding="utf-8")
    expected = bare(good(read_netlist(tmp_path / "C.csv", colour_code="iec60757")))
    for one, other in (("a.csv", "b.csv"), ("b.csv", "a.csv")):
        joined = read_netlist(tmp_path / one, colour_code="iec60757", overlays=[tmp_path / other])
        assert bare(good(joined)) == expected


def test_on_the_command_line(say: Say, tmp_path: Path) -> None:
    """For the one car, for both, for the one that is named; never written over."""
    (tmp_path / "car.xml").write_text(xml(CAR, HEADER))
    (tmp_path / "roles.csv").write_text("connector,cavity,function\nC,3,park lamp\n")
    assert "park lamp" in say("validate", "car.xml", "--with", "roles.csv")[1]
    told = say("compare", "car.xml", "car.xml", "--with", "donor=roles.csv")[1]
    assert "C:3" in told or "  3  " in told
    assert "no difference" in say("compare", "car.xml", "car.xml", "--with", "roles.csv")[1].lower()

    assert say("validate", "car.xml", "--with", "shell=roles.csv")[0] == 2
    assert say("validate", "car.xml", "--with", "nobody.csv")[0] == 2
    status, _, err = say("convert", "car.xml", "roles.csv", "--with", "roles.csv")
    assert (status, err) == (2, "roles.csv: read 'an input of this command'; expected another file to write to\n")
    assert say("convert", "car.xml", "whole.xml", "--with", "roles.csv")[0] == 0
    assert "park lamp" in (tmp_path / "whole.xml").read_text()
