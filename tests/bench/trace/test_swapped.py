"""What a swap sheet says of a car's wires, and from which car each step of the built one is."""

from __future__ import annotations

from dataclasses import replace

from builders.demo import demo_vehicle
from builders.tracing import traced

from harnesscheck.assemble.apply import apply
from harnesscheck.bench.trace.swapped import cars_of, in_built_car, said_of_chain, sources_of
from harnesscheck.bench.trace.trace import as_found
from harnesscheck.model.edits import Cut
from harnesscheck.model.records import Common
from harnesscheck.model.swapsheet import BuiltSection, FoundTap
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study

SECTION = BuiltSection(
    cut=("C21H:4", "C12:4"),
    tap=(FoundTap("C21:4", "alarm siren feed"), FoundTap("C12:7", "elsewhere")),
    bridge=(("C21:4", "C21:5"), ("C12:1", "C12:2")),
    seen={"C21H:4": "BK/WH", "C12:4": "RD"},
)


def found_lines(section: BuiltSection) -> tuple[str, ...]:
    whole = traced(Behaviour(Study(demo_vehicle())), "reading-lamp-1")
    cut = Behaviour(Study(apply(demo_vehicle(), [Cut("C21H:4")])))
    return said_of_chain(as_found(whole, cut), section, "donor")


def test_only_what_stands_on_the_chain_is_told() -> None:
    """The cut first, with what is read on both sides; tap, bridge and colour; nothing of other wires."""
    lines = found_lines(SECTION)

    assert lines[0].startswith("THE BREAK: the wire RD/PK 1 from C21H:4 to RE-SH:1 is cut at C21H:4")
    assert "12.0 V at C21H:4 and 0.0 V at RE-SH:1" in lines[0]
    assert [line.split(",")[0].split(" (")[0] for line in lines[1:]] == [
        "C21:4 is tapped", "C21:4 is bridged with C21:5", "C21H:4 has a wire of colour BK/WH",
    ]  # fmt: skip
    assert not any("C12" in line for line in lines)


def test_a_cut_may_be_named_by_the_part_s_half() -> None:
    """A person names whichever half lies in the hand."""
    whole = traced(Behaviour(Study(demo_vehicle())), "reading-lamp-1")
    (line,) = said_of_chain(whole, BuiltSection(cut=("RE1-A:1",)), "donor")

    assert "from RE1-AH:1 to S45 is cut at RE1-A:1" in line


def test_the_sheet_s_names_in_the_built_car() -> None:
    """A plug that had to be renamed, one that kept its name, and one of that name that is the other car's."""
    donor, shell = demo_vehicle("donor"), demo_vehicle("shell")
    sources = sources_of(donor, shell)
    ours = replace(donor.connectors["C12"], id="donor.C12", common=Common(was="donor:C12"))
    rows = (ours, shell.connectors["C12"], donor.connectors["C21H"])
    built = Vehicle(replace(donor.netlist, connectors=rows))

    named = in_built_car(SECTION, built, "donor", sources)
    theirs = in_built_car(SECTION, built, "shell", sources)

    assert named.cut == ("C21H:4", "donor.C12:4")
    assert [tap.at for tap in named.tap] == ["donor.C12:7"]
    assert named.bridge == (("donor.C12:1", "donor.C12:2"),)
    assert dict(named.seen) == {"C21H:4": "BK/WH", "donor.C12:4": "RD"}
    assert theirs.cut == ("C12:4",)


def test_every_step_knows_its_car() -> None:
    """By the file its row was read from; a plug of both cars names both; a row of neither is new."""
    donor, shell = demo_vehicle("donor"), demo_vehicle("shell")
    sources = sources_of(donor, shell)
    whole = traced(Behaviour(Study(donor)), "reading-lamp-1")

    assert set(cars_of(whole.study, whole.hops, sources).values()) == {"donor"}
    assert set(cars_of(whole.study, whole.hops, {}).values()) == {"new"}
    connectors = tuple(
        replace(row, file=shell.netlist.header.file) if row.id == "C21" else row for row in donor.netlist.connectors
    )
    mixed = Study(Vehicle(replace(donor.netlist, connectors=connectors)))
    assert cars_of(mixed, whole.hops, sources)["C21:4"] == "shell in donor"
