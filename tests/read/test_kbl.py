"""KBL files (VDA 4964): each pitfall of the standard's files in a small one of our own.

What elements mean is from the standard body's schema files and online model
description (prostep ivip, PSI 19).
"""

from __future__ import annotations

import os
import re
from collections import defaultdict
from pathlib import Path
from xml.etree import ElementTree

import pytest
from builders.kbl import Plug, Wire, configuration, kbl_text, module, says, tag

from harnesscheck.model.records import Netlist
from harnesscheck.read import read_with_remarks
from harnesscheck.read.kblvariant import Variant
from harnesscheck.read.limits import Limits
from harnesscheck.write.xml import xml_text

TWO = {"A": ("1", "2")}


def read(path: Path, text: str, variant: Variant | None = None, code: str | None = None) -> tuple[Netlist, list[str]]:
    """The netlist of a KBL text, and what the reader says."""
    file = path / "loom.kbl"
    file.write_text(text, encoding="utf-8")
    netlist, how = read_with_remarks(file, colour_code=code, variant=variant or Variant())
    assert isinstance(netlist, Netlist), netlist
    again = path / "again.xml"
    again.write_text(xml_text(netlist), encoding="utf-8")
    back, _ = read_with_remarks(again)
    assert isinstance(back, Netlist), back
    assert xml_text(back) == xml_text(netlist)  # what is read can be written in our form and read again
    return netlist, [f"{remark.read}: {remark.said}" for remark in how.remarks]


def faults(path: Path, text: str, variant: Variant | None = None) -> list[str]:
    """What is wrong with a KBL text."""
    file = path / "loom.kbl"
    file.write_text(text, encoding="utf-8")
    found, _ = read_with_remarks(file, variant=variant or Variant())
    assert isinstance(found, list)
    return [str(one) for one in found]


def wires(netlist: Netlist) -> set[tuple[str, str, str | None]]:
    """Each wire: its two ends, in alphabetical order, and its number."""
    ends = [(f"{pin.connector}:{pin.cavity}", pin.to, pin.wire_number) for pin in netlist.pins if pin.to]
    ends += [(wire.from_, wire.to, wire.wire_number) for wire in netlist.wires]
    return {(*sorted((a, str(b))), number) for a, b, number in ends}


def lamp(*more: str) -> str:
    """Two plugs, a splice, a ring terminal, three wires and a spare core."""
    plugs = (
        Plug("X1", {"1": ("1",), "2": ("2",)}, TWO, parts={"2": "term1 seal1"}, blanks=("1", "2"), words="left lamp"),
        Plug("X2", {"1": ("1",)}, TWO, blanks=("2",)),
        Plug("S1", {"a": ("1",)}, usage="splice"),
        Plug("G1", {"a": ("1",)}, usage="ring terminal"),
    )
    black = (("Grundfarbe", "sw"), ("Kennfarbe", "ws"))
    rows = (
        Wire("101", (("0.0", "X1", "2"), ("1", "S1", "a")), "GND", black, "1.0", {"DMU": "420", "Production": "450"}),
        Wire("1A", (("1.0", "G1", "a"), ("0", "S1", "a")), "GND", black, "1.0", {"Production": "149.99999999999997"}),
        Wire("103", (("1", "X2", "1"), ("0", "X1", "1")), "FEED 30", (("base colour", "RD"),), "0.5", cable="C7"),
        Wire("104", (), cable="C7"),
    )
    return kbl_text(plugs, rows, *more)


def test_connectors_splices_rings_and_cores(tmp_path: Path) -> None:
    """Usage tells what an occurrence is; a core has its own colour and size, not the jacket's."""
    netlist, _ = read(tmp_path, lamp())

    assert [row.id for row in netlist.connectors] == ["X1", "X2", "G1"]
    assert [row.id for row in netlist.splices] == ["S1"]
    assert wires(netlist) == {("S1", "X1:2", "101"), ("G1:1", "S1", "1A"), ("X1:1", "X2:1", "103")}
    core = next(pin for pin in netlist.pins if pin.wire_number == "103")
    assert (core.cable, core.size.text if core.size else "", core.colour and core.colour.names) == (
        "C7",
        "0.5",
        ("red",),
    )
    assert core.circuit == "FEED_30" and {row.id: row.function for row in netlist.circuits}["FEED_30"] == "FEED 30"
    assert netlist.header.vehicle is None  # /NULL stands for nothing


def test_terminals_seals_and_cavity_plugs_are_kept(tmp_path: Path) -> None:
    """A contacted cavity may carry a plug too, for the variant without a wire: it is not plugged here."""
    netlist, _ = read(tmp_path, lamp())
    pin = next(pin for pin in netlist.pins if (pin.connector, pin.cavity) == ("X1", "2"))

    assert (pin.part_number, pin.seal, pin.sealed) == ("TERM-28", "SEAL-7", True)
    assert {row.id: row.cavity_plugs for row in netlist.connectors}["X1"] == ()
    assert {row.id: row.cavity_plugs for row in netlist.connectors}["X2"] == ("2=BLANK3",)


def test_one_type_of_length_and_no_digits_of_a_double(tmp_path: Path) -> None:
    """Lengths of different types are never mixed: the type that most wires have is taken."""
    netlist, _ = read(tmp_path, lamp())

    lengths = {pin.wire_number: pin.length for pin in netlist.pins if pin.to}
    lengths |= {wire.wire_number: wire.length for wire in netlist.wires}
    assert lengths == {"101": 0.45, "1A": 0.15, "103": None}


def test_german_colours_are_not_guessed(tmp_path: Path) -> None:
    """``bl`` is blue or black by style: not known until the style is said. Grundfarbe is base, Kennfarbe tracer."""
    text = kbl_text(
        (Plug("X1", {"1": ("1",)}), Plug("X2", {"1": ("1",)})),
        (Wire("1", (("0", "X1", "1"), ("1", "X2", "1")), "A", (("Kennfarbe", "gr"), ("Grundfarbe", "bl"))),),
    )
    unknown, said = read(tmp_path, text)
    known, _ = read(tmp_path, text, code="din")

    assert unknown.pins[0].colour is None or unknown.pins[0].colour.names is None
    assert any("bl/gr" in one for one in said)
    assert known.pins[0].colour is not None and known.pins[0].colour.names == ("blue", "grey")


def test_lengths_of_nothing_are_not_known(tmp_path: Path) -> None:
    """A length of 0.0 occurs in real files; it is not a length."""
    text = kbl_text(
        (Plug("X1", {"1": ("1",)}), Plug("X2", {"1": ("1",)})),
        (Wire("1", (("0", "X1", "1"), ("1", "X2", "1")), "A", size="0", lengths={"DMU": "0.0"}),),
    )
    netlist, _ = read(tmp_path, text)

    assert netlist.pins[0].length is None and netlist.pins[0].size is None


def test_slots_make_cavities_unique(tmp_path: Path) -> None:
    """A cavity is named by slot and number where there are several slots; never so that it reads as a range."""
    plugs = (
        Plug("X1", {"a": ("A/1A",), "b": ("B/1A",)}, {"A": ("1A", "2A"), "B": ("1A",)}),
        Plug("X2", {"a": ("1/4",), "b": ("2/4",)}, {"1": ("1", "4"), "2": ("4",)}),
    )
    rows = (
        Wire("1", (("0", "X1", "a"), ("1", "X2", "a")), "P"),
        Wire("2", (("0", "X1", "b"), ("1", "X2", "b")), "Q"),
    )
    netlist, _ = read(tmp_path, kbl_text(plugs, rows))

    assert wires(netlist) == {("X1:A-1A", "X2:1.4", "1"), ("X1:B-1A", "X2:2.4", "2")}
    assert {row.id: row.cavities for row in netlist.connectors}["X2"] == ("1.1", "1.4", "2.4")


def modular() -> str:
    """Cavity X1:1 has a contact for each of two modules, as a file of all options has; the id X2 stands twice."""
    plugs = (
        Plug("X1", {"p": ("1",), "q": ("1",), "r": ("2",)}, TWO),
        Plug("X2", {"1": ("1",)}, key="X2a"),
        Plug("X2", {"1": ("1",), "2": ("2",)}, TWO, key="X2b"),
    )
    rows = (
        Wire("1", (("0", "X1", "p"), ("1", "X2a", "1")), "FEED"),
        Wire("2", (("0", "X1", "q"), ("1", "X2b", "1")), "GND"),
        Wire("3", (("0", "X1", "r"), ("1", "X2b", "2")), "COMMON"),
    )
    return kbl_text(
        plugs,
        rows,
        module("BASE", ("n0", "w0", "X2a"), family="f"),
        module("PLUS", ("n1", "w1", "n2", "w2", "X2b"), family="f"),
        configuration("CAR", ("PLUS",)),
        configuration("ALL", ("BASE", "PLUS")),
        configuration("NONE", ()),
    )


@pytest.mark.parametrize("variant", [Variant(("PLUS",)), Variant((), "CAR")])
def test_a_variant_is_chosen_by_modules_or_configuration(tmp_path: Path, variant: Variant) -> None:
    """Of a file of all options only what the chosen modules control is there; ids are plain again."""
    netlist, said = read(tmp_path, modular(), variant)

    assert wires(netlist) == {("X1:1", "X2:1", "2"), ("X1:2", "X2:2", "3")}
    assert [row.id for row in netlist.options] == ["PLUS"]
    assert said == []


@pytest.mark.parametrize("variant", [Variant(), Variant((), "ALL")])
def test_a_file_of_all_options_gives_no_false_short(tmp_path: Path, variant: Variant) -> None:
    """Contacts that share a cavity are one or the other: they are kept apart, and the cavity is not known."""
    netlist, said = read(tmp_path, modular(), variant)

    assert wires(netlist) == {("X1.1.1", "X2:1", "1"), ("X1.1.2", "X2.2:1", "2"), ("X1:2", "X2.2:2", "3")}
    (shared,) = [pin for pin in netlist.pins if (pin.connector, pin.cavity) == ("X1", "1")]
    assert (shared.to, shared.circuit) == (None, None)
    assert any("X1:1" in one and "kept apart" in one for one in said)
    assert any("more than once" in one for one in said)
    assert any("--modules" in one for one in said) == (not variant)
    assert any("one family" in one for one in said) == bool(variant)


def test_a_module_that_is_not_there(tmp_path: Path) -> None:
    """An unknown name is a fault that lists what there is; so is a configuration of nothing."""
    assert "BASE, PLUS" in faults(tmp_path, modular(), Variant(("XYZ",)))[0]
    assert "PLUS?" in faults(tmp_path, modular(), Variant(("PLUSS",)))[0]
    assert "lists modules" in faults(tmp_path, modular(), Variant((), "NONE"))[0]


def test_what_a_variant_leaves_behind_has_no_other_end(tmp_path: Path) -> None:
    """A wire whose other plug is not in the variant ends nowhere, and joins nothing by its name."""
    plugs = (Plug("X1", {"1": ("1",)}), Plug("X2", {"1": ("1",)}))
    rows = (Wire("1", (("0", "X1", "1"), ("1", "X2", "1")), "A"),)
    text = kbl_text(plugs, rows, module("A", ("X2",)), module("B", ("term1",)))
    netlist, _ = read(tmp_path, text, Variant(("B",)))

    (pin,) = netlist.pins
    assert (pin.to, pin.circuit, pin.function) == (None, None, "A")


def test_two_wires_in_a_contact_and_two_side_by_side(tmp_path: Path) -> None:
    """A double crimp joins; two wires between the same contacts with different signals are two wires."""
    plugs = (Plug("X1", {"1": ("1",)}), Plug("X2", {"1": ("1",), "2": ("2",)}, TWO))
    rows = (
        Wire("1", (("0", "X1", "1"), ("1", "X2", "1")), "A"),
        Wire("2", (("1", "X1", "1"), ("0", "X2", "1")), "B"),
        Wire("3", (("0", "X1", "1"), ("1", "X2", "2")), "A"),
    )
    netlist, _ = read(tmp_path, kbl_text(plugs, rows))

    assert wires(netlist) == {("X1:1", "X2:1", "1"), ("X1:1", "X2:1", "2"), ("X1:1", "X2:2", "3")}


def test_taps_and_bridges(tmp_path: Path) -> None:
    """A wire with a tap is two pieces, in the order of where on it they are; one contact in two cavities joins them."""
    plugs = (Plug("X1", {"1": ("1", "2")}, TWO), Plug("X2", {"1": ("1",)}), Plug("X3", {"1": ("1",)}))
    ends = (("1", "X3", "1"), ("0.25", "X2", "1"), ("0", "X1", "1"))
    netlist, _ = read(tmp_path, kbl_text(plugs, (Wire("7", ends, "A", lengths={"DMU": "800"}),)))

    assert wires(netlist) == {("X1:1", "X2:1", "7"), ("X2:1", "X3:1", "7"), ("X1:1", "X1:2", None)}
    assert sorted(pin.length for pin in netlist.pins if pin.length) == [0.2, 0.6]


def test_boxes_own_contacts_and_fuses_do_not_join(tmp_path: Path) -> None:
    """A fuse box has contact points of its own; a fuse that sits on it is a part, not a wire."""
    plugs = (Plug("BOX", {"1": ("1",), "2": ("2",)}, TWO, box=True), Plug("X1", {"1": ("1",), "2": ("2",)}, TWO))
    rows = (
        Wire("1", (("0", "BOX", "1"), ("1", "X1", "1")), "A"),
        Wire("2", (("0", "BOX", "2"), ("1", "X1", "2")), "B"),
    )
    fuse = tag("Component_occurrence", says("Id", "F1"), says("Mounting", "BOX.A"), id="f1", kind="Fuse_occurrence")
    netlist, said = read(tmp_path, kbl_text(plugs, rows, fuse))

    assert wires(netlist) == {("BOX:1", "X1:1", "1"), ("BOX:2", "X1:2", "2")}
    assert [(row.id, row.kind, row.common.note) for row in netlist.components] == [("F1", "fuse", "sits in BOX A")]
    assert any("fuse box" in one for one in said)


def test_a_relay_on_its_socket_is_a_part_on_a_plug(tmp_path: Path) -> None:
    """A relay socket is a plug of the loom; the relay that is mounted on it is a part with the other half."""
    plugs = (Plug("K1S", {"1": ("85",)}, {"A": ("85", "86")}), Plug("X1", {"1": ("1",)}))
    relay = tag("Component_occurrence", says("Id", "K1"), says("Mounting", "K1S"), id="k1")
    netlist, _ = read(tmp_path, kbl_text(plugs, (Wire("1", (("0", "K1S", "1"), ("1", "X1", "1")), "A"),), relay))

    (half,) = [row for row in netlist.connectors if row.component == "K1"]
    assert [row.mates for row in netlist.connectors if row.id == "K1S"] == [half.id] or half.mates == "K1S"


@pytest.mark.parametrize("usage", ["no end", "dangler"])
def test_what_is_not_plugged_says_so(tmp_path: Path, usage: str) -> None:
    """A cut end and a terminal without housing are kept as places, marked."""
    plugs = (Plug("E1", {"1": ("1",)}, usage=usage), Plug("X1", {"1": ("1",)}))
    netlist, _ = read(tmp_path, kbl_text(plugs, (Wire("1", (("0", "E1", "1"), ("1", "X1", "1")), "A"),)))

    assert "not plugged" in str(netlist.connectors[0].common.note)


def test_names_with_signs_of_ours_are_made_plain(tmp_path: Path) -> None:
    """Ids are free text there; what a name may not hold is replaced, and two stay two."""
    plugs = (Plug("X 1:a", {"1": ("1",)}, key="k1"), Plug("X_1_a", {"1": ("1",)}, key="k2"))
    netlist, _ = read(tmp_path, kbl_text(plugs, (Wire("1", (("0", "k1", "1"), ("1", "k2", "1")), "A"),)))

    assert wires(netlist) == {("X_1_a.2:1", "X_1_a:1", "1")}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('<KBL_schema id="a"/>', "version 2.2 or older"),
        ('<v:VecContent xmlns:v="http://www.prostep.org/ecad-if/2011/vec"/>', "VEC"),
        ("<KBL_container/>", "no namespace"),
        ("<!DOCTYPE x [<!ENTITY a 'b'>]>" + lamp().partition("?>")[2], "DOCTYPE"),
        (lamp()[:900], "well-formed"),
        (lamp().replace(">p.S1.a<", ">p.S9.a<"), "contact point"),
        (lamp().replace("<Wire>w0<", "<Wire>w77<"), "id of a wire"),
        (lamp().replace('<Connection id="n1">', '<Connection id="n0">'), "no other element"),
        (re.sub(r"<Contact_point>.*?</Contact_point>", "", lamp()), "2.3 SR-1"),
    ],
)
def test_what_is_refused(tmp_path: Path, text: str, said: str) -> None:
    """One clear message for what cannot be read, whatever the file is called."""
    assert said in "\n".join(faults(tmp_path, text))
    renamed = tmp_path / "loom.xml"
    renamed.write_text(text, encoding="utf-8")
    again, _ = read_with_remarks(renamed)
    assert isinstance(again, list)


def test_depth_and_number_are_bounded(tmp_path: Path) -> None:
    """What is passed over counts for the depth; what is kept, for the number."""
    file = tmp_path / "deep.kbl"
    deep = "<Node>" * 40 + "</Node>" * 40
    file.write_text(kbl_text((), (), deep), encoding="utf-8")
    found, _ = read_with_remarks(file)
    assert isinstance(found, list) and "inside each other" in str(found[0])
    file.write_text(lamp(), encoding="utf-8")
    found, _ = read_with_remarks(file, Limits(max_rows=50))
    assert isinstance(found, list) and "at most 50" in str(found[0])


# -- published sample files, where a folder of them is named


SAMPLES = os.environ.get("HARNESSCHECK_KBL_SAMPLES", "")
# Plain, ring, splice; connections; contact points; nets by contact point: counted by a script that shares no code.
COUNTS = {
    "battery-plus.kbl": (0, 2, 0, 1, 2, 1),
    "generator.kbl": (2, 1, 0, 3, 5, 2),
    "engine.kbl": (16, 2, 2, 18, 30, 12),
}


@pytest.mark.skipif(not SAMPLES, reason="HARNESSCHECK_KBL_SAMPLES names no folder of published sample files")
@pytest.mark.parametrize("name", COUNTS)
def test_published_samples(name: str) -> None:
    """Counts agree, and the wires at each contact are those that its own Id names (``...#5_...#6_...``)."""
    file = Path(SAMPLES) / name
    netlist, _ = read_with_remarks(file)
    assert isinstance(netlist, Netlist)
    root = ElementTree.parse(file).getroot()  # another parser, straight from the file
    points = {one.findtext("Id", ""): one for one in root.iter("Contact_points")}
    plain, ring, splice, connections, contacts, count = COUNTS[name]

    rings = [row for row in netlist.connectors if row.common.note == "ring terminal"]
    assert (len(netlist.connectors) - len(rings), len(rings), len(netlist.splices)) == (plain, ring, splice)
    assert len(points) == contacts
    assert len(wires(netlist)) == connections
    assert len(_groups(netlist)) == count
    named = sorted(sorted(re.findall(r"#([0-9A-Za-z]+)_", text)) for text in points)
    at: dict[str, list[str]] = defaultdict(list)
    for a, b, number in wires(netlist):
        at[a].append(str(number))
        at[b].append(str(number))
    assert sorted(map(sorted, at.values())) == named


def _groups(netlist: Netlist) -> list[set[str]]:
    groups: list[set[str]] = []
    for a, b, _ in wires(netlist):
        touched = [group for group in groups if group & {a, b}]
        groups = [group for group in groups if group not in touched] + [{a, b}.union(*touched)]
    return groups
