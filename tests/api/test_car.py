"""A car in a program: as read, as configured, as put together; its rows, its graph; the example's notebook."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

import networkx
import pytest
from builders import notebook
from builders.demo import DEMO, demo_study

import harnesscheck as hc
from harnesscheck.api.result import Result


@pytest.fixture(scope="module")
def donor() -> hc.Car:
    return hc.configure(DEMO / "donor.xml")


def test_the_graph_joins_what_the_car_joins(donor: hc.Car) -> None:
    """Its pieces over wires, crimps and mated contacts, as networkx finds them, are the nets of the index."""
    graph = donor.to_networkx()
    plain = networkx.Graph()
    plain.add_nodes_from(graph)
    plain.add_edges_from((a, b) for a, b, said in graph.edges(data=True) if said["sort"] != "inside")
    index = demo_study().index
    names = {node: f"{a}:{b}" for (a, b), node in index.cavity.items()}
    names |= {node: f"{a}.{b}" for (a, b), node in index.terminal.items()}
    names |= {node: name for name, node in index.point.items()}
    nets: dict[int, set[str]] = {}
    for node, name in names.items():
        nets.setdefault(index.net_of[index.piece_of[node]], set()).add(name)

    pieces = {frozenset(piece & set(names.values())) for piece in networkx.connected_components(plain)}

    assert pieces - {frozenset()} == {frozenset(net) for net in nets.values()}
    assert None not in networkx.get_node_attributes(graph, "sort", default=None).values()


def test_the_graph_says_what_a_wire_is(tmp_path: Path) -> None:
    file = tmp_path / "car.xml"
    file.write_text(
        '<netlist xmlns="urn:harnesscheck:netlist:1"><harness id="h"/><splice id="S" harness="h"/>'
        '<component id="p" kind="motor"><connector id="P"><pin cavity="1" terminal="+"/><pin cavity="2" terminal="-"/>'
        '</connector></component><connector id="H" harness="h" mates="P">'
        '<pin cavity="1" to="S" circuit="F" colour="RD" size="AWG 16" length="180 mm"/><pin cavity="2"/></connector>'
        "</netlist>",
        encoding="utf-8",
    )
    graph = hc.configure(file).to_networkx()

    assert graph.edges["H:1", "S", 0] == {
        "sort": "wire",
        "circuit": "F",
        "colour": "RD",
        "size_mm2": pytest.approx(1.309, abs=0.001),  # ASTM B258, AWG 16
        "length_m": 0.18,
        "likely": False,
    }
    assert {said["sort"] for *_, said in graph.edges(data=True)} == {"wire", "mates", "crimp", "inside"}
    assert graph.edges["p.+", "p.-", 0]["conducts"] == "load"
    assert graph.degree("H:2") == 1  # its wire is not written: only the mate


def test_rows_are_plain_values(donor: hc.Car, monkeypatch: pytest.MonkeyPatch) -> None:
    rows: list[dict[str, object]] = []

    class Frames:
        """What is handed to a library of data frames."""

        DataFrame = staticmethod(rows.extend)

    monkeypatch.setitem(sys.modules, "pandas", Frames)  # type: ignore[arg-type]
    donor.to_frame()

    assert len(rows) == len(donor.netlist.pins)
    assert {type(value) for row in rows for value in row.values()} <= {str, float, int, bool}
    assert {row["size"] for row in rows if "size" in row} >= {0.5, 1.5}
    with pytest.raises(hc.InputError, match="one of options, circuits"):
        donor.to_frame("cables")


def test_a_car_shows_itself_and_nothing_else(tmp_path: Path, donor: hc.Car) -> None:
    """Counts by sort of row, a name that is markup as text; a netlist of a thousand rows in one line."""
    file = tmp_path / "car.xml"
    file.write_text(
        '<netlist xmlns="urn:harnesscheck:netlist:1" vehicle="&lt;script&gt;"><harness id="h"/></netlist>',
        encoding="utf-8",
    )
    for shown in (hc.read(file), hc.configure(file)):
        assert "<script" not in shown._repr_html_() and "<td>harnesses</td><td>1</td>" in shown._repr_html_()
    assert repr(donor.netlist) == "<Netlist: Linnet library van 2016, 308 connectors, 958 pins>"


def test_a_version_of_a_car_has_what_was_asked_for() -> None:
    bare = hc.configure(DEMO / "donor.xml", options=[])

    assert [row.id for row in bare.netlist.options] == []
    assert hc.configure(bare) == bare
    assert len(hc.configure(hc.read(DEMO / "donor.xml")).netlist.pins) > len(bare.netlist.pins)


def test_the_car_of_a_swap_sheet_is_the_one_that_is_judged() -> None:
    car = hc.assemble(DEMO / "swap.toml")

    assert {row.harness for row in car.netlist.connectors} > {None}
    assert car != hc.assemble(DEMO / "swap.toml", as_found=False)  # the sheet's cut is mended there


def test_the_notebook_of_the_example_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every cell, as a kernel would run it in that folder; answers show themselves."""
    monkeypatch.chdir(DEMO)
    shown = list(notebook.results(notebook.FILE))

    assert notebook.FILE.read_text(encoding="utf-8") == notebook.notebook_text()
    answers = [one for one in shown if isinstance(one, Result)]
    assert [type(one).__name__ for one in answers] == ["Comparison", "Trace", "Decision"]
    assert all("<iframe" in one._repr_html_() for one in answers)
    assert "LS-AH" in shown and os.fspath("expected.toml") in str(shown[-1])
    assert not any(cell.get("outputs") for cell in json.loads(notebook.notebook_text())["cells"])
