"""The ring-out's list: what is measured, in what order, to what limits, and what is left alone."""

from __future__ import annotations

import random
import zipfile
from dataclasses import replace
from io import BytesIO
from itertools import groupby, pairwise
from pathlib import Path

import pytest
from builders.benchcars import RESTRAINT, study_of
from builders.demo import DEMO, study_at
from cars.car import vehicle_of
from cars.generate import make_car

from harnesscheck.bench.ringout.looms import looms_of
from harnesscheck.bench.ringout.measurements import GROUPS, PAIRS, REST, group_tests, limit_ohm, ring_out
from harnesscheck.bench.ringout.ringsheet import HEAD_LINES, reading_table, tie_table
from harnesscheck.bench.ringout.unplugging import (
    BATTERY,
    HELD,
    LEAVE,
    MODULE,
    STAYS,
    bridges_of,
    not_proven,
    unplug_list,
)
from harnesscheck.model.order import natural_key
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.lumping import circuit_of
from harnesscheck.write.spreadsheets import grid_csv, workbook


@pytest.fixture(scope="module", params=["donor.xml", "shell.xml"])
def demo(request: pytest.FixtureRequest) -> Study:
    return study_at(DEMO / request.param)


# -- restraint and high voltage


@pytest.mark.parametrize("plan", [PAIRS, GROUPS, REST])
def test_restraint_and_high_voltage_are_never_probed(tmp_path: Path, plan: str) -> None:
    """No measurement names a contact of such a part or circuit, and each is named as left out."""
    ringout = ring_out(study_of(RESTRAINT, tmp_path), plan)
    names = {ringout.looms.names[node] for one in ringout.measurements for node in (*one.a, *one.b)}
    left = {one.what for one in not_proven(ringout) if one.sort == "left out"}
    special = {"MH:1", "MH:2", "MH:3", "MH:4", "SH:1", "SH:2", "FBH:2", "DH:1", "DH:2", "X:1", "X:2"}

    assert names == {"body", "LH:1", "LH:2", "BH:1", "FAH:1", "FAH:2", "FBH:1"}
    assert special <= left
    assert {"bag-module (bag-module)", "squib (squib)"} <= left


def test_words_alone_leave_a_wire_out(tmp_path: Path) -> None:
    """A wire that is called an airbag's is left out even where no class or system says so."""
    rows = RESTRAINT.replace(' class="restraint"', ' function="driver airbag"').replace(' system="restraint"', "")
    ringout = ring_out(study_of(rows, tmp_path))
    names = {ringout.looms.names[node] for one in ringout.measurements for node in (*one.a, *one.b)}

    assert not names & {"MH:1", "MH:3", "MH:4", "SH:1", "SH:2", "FBH:2"}


def test_the_example_s_restraint_is_left_out(demo: Study) -> None:
    """The airbag module's and the squibs' plugs, the yellow in-line plug, the lamp's wire across the dash."""
    ringout = ring_out(demo, GROUPS)
    names = {ringout.looms.names[node] for one in ringout.measurements for node in (*one.a, *one.b)}
    parts = [row.id for row in demo.vehicle.netlist.components if row.system == "restraint"]
    plugs = {demo.vehicle.mate_of[one.id] for part in parts for one in demo.vehicle.connectors_of[part]}

    assert plugs and not {name.partition(":")[0] for name in names} & plugs


# -- what to unplug


def test_every_part_is_named_battery_first_restraint_left_alone(demo: Study) -> None:
    """Each component once; the battery before all, then what is not touched, then electronics."""
    parts = unplug_list(looms_of(demo), circuit_of(demo))
    sorts = [one.sort for one in parts]

    assert sorted(one.component for one in parts) == sorted(demo.vehicle.components)
    assert sorts[0] == BATTERY and sorts[1] == LEAVE
    assert sorts.index(MODULE) < sorts.index("low ohms")
    assert {one.component for one in parts if one.sort == LEAVE} == {
        row.id for row in demo.vehicle.netlist.components if row.system == "restraint"
    }


def test_a_lamp_left_in_reads_half_an_ohm_to_two(tmp_path: Path) -> None:
    """A 21 W lamp at 12 V is 6.9 ohm hot (U²/P) and about a tenth of that cold: workshop practice says 0.5 to 2."""
    study = study_of(RESTRAINT.replace('watts="5"', 'watts="21"'), tmp_path)
    (lamp,) = (one for one in unplug_list(looms_of(study), circuit_of(study)) if one.component == "lamp")

    assert lamp.reads_ohm == pytest.approx(12**2 / 21 / 10)
    assert 0.5 <= lamp.reads_ohm <= 2


def test_what_is_wired_in_stays_and_its_nets_are_not_held_apart(tmp_path: Path) -> None:
    """A terminator taped into the loom joins both bus lines: no test may hold them apart."""
    rows = """<harness id="b"/><component id="T" kind="resistor" ohms="120" with="b"><connector id="TA" cavities="2">
    <pin cavity="1" terminal="1"/><pin cavity="2" terminal="2"/></connector></component>
    <connector id="TH" harness="b" cavities="2" mates="TA"><pin cavity="1" circuit="H" to="P:1"/>
    <pin cavity="2" circuit="L" to="P:2"/></connector><connector id="P" harness="b" cavities="3">
    <pin cavity="3" circuit="X" to="Q:1"/></connector><connector id="Q" harness="b" cavities="1"/>"""
    study = study_of(rows, tmp_path)
    for plan in (PAIRS, GROUPS, REST):
        ringout = ring_out(study, plan)
        names = [
            {ringout.looms.names[node][:3] for node in side} for one in ringout.isolation for side in (one.a, one.b)
        ]

        assert len(ringout.tested) == 2
        assert not any({"P:1", "P:2"} == one | other for one, other in zip(names[::2], names[1::2], strict=True))
    assert [one.sort for one in unplug_list(looms_of(study), circuit_of(study))] == [STAYS]
    assert any(one.sort == "stays in" for one in not_proven(ringout))


def test_plugs_that_share_restraint_wiring_say_so(demo: Study) -> None:
    """The airbag's warning lamp is in the cluster: a licensed person opens its plug, its cavity is never touched."""
    parts = {one.component: one for one in unplug_list(looms_of(demo), circuit_of(demo))}
    rows = ring_out(demo).measurements
    beside = [one for one in rows if "IC-AH" in (one.from_.partition(":")[0], one.to.partition(":")[0])]

    assert parts["cluster"].sort == HELD and "IC-A stays plugged in" in parts["cluster"].do
    assert "licensed person" in parts["cluster"].caution and "(cavity 16)" in parts["cluster"].caution
    assert not parts["fuel-pump"].caution
    assert beside and all("IC-AH stays plugged in" in one.note and "keep off IC-AH:16" in one.note for one in beside)


NEIGHBOURS = """
<harness id="h"/><harness id="k"/><circuit id="SQ" class="restraint"/>
<connector id="A" harness="h" cavities="1"><pin cavity="1" to="X:1"/></connector>
<connector id="B" harness="h" cavities="1"><pin cavity="1" to="X:2"/></connector>
<connector id="C" harness="h" cavities="1"><pin cavity="1" circuit="{circuit}" to="X:3"/></connector>
<connector id="X" harness="h" cavities="3" half="pins" mates="Y"/>
<connector id="Y" harness="k" cavities="3" half="sockets"><pin cavity="1" to="D:1"/><pin cavity="2" to="F:1"/>
<pin cavity="3" to="E:1"/></connector>
<connector id="D" harness="k" cavities="1"/><connector id="E" harness="k" cavities="1"/>
<connector id="F" harness="k" cavities="1"/>
"""


def test_neighbours_in_a_shared_plug_are_told_apart_elsewhere(tmp_path: Path) -> None:
    """A reading for what lies side by side in such a plug says that the plug stays in; an ordinary one says nothing."""
    notes = {
        circuit: [one.note for one in ring_out(study_of(NEIGHBOURS.format(circuit=circuit), tmp_path)).measurements]
        for circuit in ("SQ", "L")
    }
    assert "neighbours in X, which stays plugged in" in notes["SQ"]
    assert "neighbours in X" in notes["L"] and not any("stays plugged in" in note for note in notes["L"])


def test_an_unwritten_wire_in_a_shared_plug_sends_nobody_there(tmp_path: Path) -> None:
    """Its end is not written; who may open the plug is, and nobody is told to ring it out against everything."""
    rows = RESTRAINT.replace('circuit="F" to="FBH:1"', 'circuit="F"')
    rows = rows.replace('mates="FB"><pin', 'mates="FB"><pin cavity="1" circuit="Q" to="?"/><pin')
    (one,) = [row for row in not_proven(ring_out(study_of(rows, tmp_path))) if row.what == "FBH:1"]

    assert one.sort == "not written"
    assert "licensed person" in one.why and "against everything" not in one.why


# -- limits


def test_limits_of_long_thin_wires() -> None:
    """12 m of 0.35 mm² copper have 12 / (58 * 0.35) = 0.59 ohm (IEC 60028, 58 m/(ohm mm²)): over 0.5 ohm is good."""
    assert limit_ohm(12 / 58 / 0.35) == 1.0
    assert limit_ohm(2 / 58 / 0.35) == 0.5


def test_a_resistance_wire_is_expected_to_resist(tmp_path: Path) -> None:
    """A wire of 1.8 ohm reads 1.8 ohm and some for the leads; a common one half an ohm at most."""
    rows = """<harness id="b"/><connector id="P" harness="b" cavities="2">
    <pin cavity="1" circuit="R" to="Q:1" ohms="1.8"/><pin cavity="2" circuit="S" to="Q:2" length="1" size="1"/>
    </connector><connector id="Q" harness="b" cavities="2"/>"""
    limits = {one.from_: one.limit_ohm for one in ring_out(study_of(rows, tmp_path)).continuity}

    assert limits == {"P:1": 2.5, "P:2": 0.5}


def test_what_an_unwritten_length_adds_is_named(tmp_path: Path) -> None:
    """A limit that rests on an assumption says which."""
    rows = """<harness id="b"/><connector id="P" harness="b" cavities="1">
    <pin cavity="1" circuit="R" to="S1" size="0.05"/></connector><splice id="S1" harness="b"/>
    <wire harness="b" from="S1" to="S2" circuit="R" size="0.05"/>
    <splice id="S2" harness="b"/><connector id="Q" harness="b" cavities="1"><pin cavity="1" to="S2" circuit="R"
    size="0.05"/></connector>"""
    (joint,) = ring_out(study_of(rows, tmp_path)).continuity

    assert joint.limit_ohm > 0.5 and "wire length not written: 1.5 m assumed" in joint.why


# -- the order of the walk


def test_one_walk_in_natural_order_of_places(demo: Study) -> None:
    """Every place is visited once, in natural order; the tests with tie leads come last."""
    for plan in (PAIRS, GROUPS):
        visited = [place for place, _ in groupby(one.place for one in ring_out(demo, plan).measurements)]
        at_places = visited[:-1] if plan == GROUPS else visited

        assert len(visited) == len(set(visited))
        assert at_places == sorted(at_places, key=natural_key)


def test_numbers_run_and_joints_come_before_isolation_at_a_place(demo: Study) -> None:
    rows = ring_out(demo).measurements

    assert [one.number for one in rows] == list(range(1, len(rows) + 1))
    for _, some in groupby(rows, key=lambda one: one.place):
        joined = [one.joined for one in some]
        assert joined == sorted(joined, reverse=True)


def test_the_order_of_rows_in_the_file_changes_nothing() -> None:
    """The same sheet from shuffled rows."""
    vehicle = vehicle_of(make_car(5, 40))
    rng = random.Random(1)
    shuffled = {
        name: tuple(rng.sample(getattr(vehicle.netlist, name), len(getattr(vehicle.netlist, name))))
        for name in ("pins", "wires", "connectors", "components", "splices", "circuits", "grounds")
    }
    other = Vehicle(replace(vehicle.netlist, **shuffled))

    for plan in (PAIRS, GROUPS, REST):
        one, two = (reading_table(ring_out(Study(car), plan), "0" * 12) for car in (vehicle, other))
        assert [row[:6] for row in one] == [row[:6] for row in two]


# -- pairs


def test_pairs_hold_neighbours_feeds_and_ground_apart(demo: Study) -> None:
    """Cavities next to each other in any plug, and every feed against the body, have a line."""
    ringout = ring_out(demo)
    looms = ringout.looms
    pairs = {frozenset((looms.net_of[one.a[0]], looms.net_of[one.b[0]])) for one in ringout.isolation}
    tested = {net for nets in ringout.tested for net in nets}
    for connector in {name for name, _ in looms.face}:
        cavities = sorted(demo.index.cavities(connector), key=natural_key)
        for one, other in pairwise(cavities):
            nets = {
                looms.net_of[looms.face[key]] for key in ((connector, one), (connector, other)) if key in looms.face
            }
            apart = len({looms.together[net] for net in nets}) == 2
            assert not (apart and nets <= tested) or nets in pairs, (connector, one, other)
    body = looms.net_of[looms.metals["body"]]
    fed = {looms.net_of[looms.face["FB-AH", "1"]], looms.net_of[looms.face["F31-AH", "2"]]}
    assert all({net, body} in pairs for net in fed)


def test_a_wire_of_unknown_end_is_not_held_apart_but_named(tmp_path: Path) -> None:
    """What may lead anywhere is no reason to call a short."""
    rows = """<harness id="b"/><connector id="P" harness="b" cavities="3"><pin cavity="1" circuit="R"/>
    <pin cavity="2" circuit="S" to="Q:1"/><pin cavity="3" circuit="T" to="Q:2"/></connector>
    <connector id="Q" harness="b" cavities="2"/>"""
    ringout = ring_out(study_of(rows, tmp_path))

    assert all("P:1" not in (one.from_, one.to) for one in ringout.measurements)
    assert any(one.sort == "not written" and "P:1" in one.what for one in not_proven(ringout))


def test_the_rule_of_the_unwritten_far_end_makes_a_likely_joint(tmp_path: Path) -> None:
    rows = """<harness id="b"/><connector id="P" harness="b" cavities="1"><pin cavity="1" circuit="R"/></connector>
    <connector id="Q" harness="b" cavities="1"><pin cavity="1" circuit="R"/></connector>"""
    (joint,) = ring_out(study_of(rows, tmp_path)).continuity

    assert joint.likely and {joint.from_, joint.to} == {"P:1", "Q:1"}


def test_group_numbers_are_binary() -> None:
    """Two nets differ in some test: their numbers differ in some binary digit (Kautz 1974, from memory)."""
    ringout = ring_out(Study(vehicle_of(make_car(3, 30))), GROUPS)
    table = tie_table(ringout)
    codes = {tuple(row[3:-1]) for row in table[1:]}

    assert len(codes) == len(ringout.tested)
    assert all(len(code) == group_tests(len(ringout.tested)) for code in codes)


# -- what no reading depends on


def test_bridges_are_networkx_s(demo: Study) -> None:
    """The joints without another way beside them, against networkx's bridges."""
    networkx = pytest.importorskip("networkx")
    looms = ring_out(demo).looms
    graph = networkx.Graph()
    counted: dict[frozenset[int], int] = {}
    for edge in looms.edges:
        counted[frozenset((edge.a, edge.b))] = counted.get(frozenset((edge.a, edge.b)), 0) + 1
        graph.add_edge(edge.a, edge.b)
    theirs = {frozenset(pair) for pair in networkx.bridges(graph)}
    ours = {frozenset((looms.edges[number].a, looms.edges[number].b)) for number in bridges_of(looms)}

    assert ours == {pair for pair in theirs if counted[pair] == 1}


# -- the sheet


def test_the_workbook_holds_no_clock(demo: Study) -> None:
    """Two workbooks made at different times are the same bytes, and no entry is dated later than a zip can be early."""
    table = reading_table(ring_out(demo), "0" * 12)
    data = workbook({"ring-out": table}, {"ring-out": HEAD_LINES})

    assert data == workbook({"ring-out": table}, {"ring-out": HEAD_LINES})
    with zipfile.ZipFile(BytesIO(data)) as package:
        assert {entry.date_time for entry in package.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert b"1980-01-01T00:00:00Z" in package.read("docProps/core.xml")


def test_cells_cannot_become_formulas() -> None:
    """A text that begins like a formula has an apostrophe before it."""
    assert grid_csv([["=1+1", "@x", "-5", "+A1", "plain"]]) == "'=1+1,'@x,-5,'+A1,plain\n"
