"""Edits over random cars: each can be taken back, and what comes out is a car like any other.

What an edit joins and parts is checked against a graph of the rows in networkx,
which knows nothing of how rows change.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from functools import cache

import networkx as nx
import pytest
from builders.carpairs import World, assemble, content, demo, faults_of, found, made, mixed, read_back, rich
from builders.edits import SORTS, Drawing
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.assemble.apply import _WORK, EditError, apply, inverse
from harnesscheck.assemble.assemble import assembly
from harnesscheck.model.edits import AddWire, Cut, Edit, Insulate, MovePin, Tap
from harnesscheck.model.records import Netlist, Pin
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.index import build_index

Partition = frozenset[frozenset[str]]


@cache
def cars() -> tuple[Vehicle, ...]:
    """Whole cars, assembled cars, and cars of which most far ends are not written."""
    whole = [*(made(seed, 24)[0] for seed in range(3)), rich()[0]]
    worlds = [*(made(seed, 60) for seed in range(2)), rich()]
    built = [assemble(*world, mixed(world, 0)) for world in worlds]
    return (*whole, *built, *(silenced(vehicle, seed) for seed, vehicle in enumerate((*whole, *built))))


def silenced(vehicle: Vehicle, seed: int) -> Vehicle:
    """The car with the far ends of most wires between two cavities not written."""
    rng = random.Random(seed)
    busy = Counter(f"{pin.connector}:{pin.cavity}" for pin in vehicle.netlist.pins)
    busy.update(pin.to for pin in vehicle.netlist.pins if pin.to)
    pins: list[Pin] = []
    for pin in vehicle.netlist.pins:
        seat = f"{pin.connector}:{pin.cavity}"
        if pin.to and ":" in pin.to and busy[seat] == busy[pin.to] == 1 and rng.random() < 0.7:
            owner, _, cavity = pin.to.partition(":")
            pins += [replace(pin, to=None), Pin(connector=owner, cavity=cavity, circuit=pin.circuit)]
        else:
            pins.append(pin)
    return read_back(Vehicle(replace(vehicle.netlist, pins=tuple(pins))))


def drawn(vehicle: Vehicle, seed: int, count: int) -> tuple[list[Edit], Vehicle]:
    """Edits that can be done one after the other, and the car after them."""
    rng = random.Random(seed)
    done: list[Edit] = []
    for _ in range(count):
        edit = Drawing(vehicle, rng).edit()
        try:
            vehicle = apply(vehicle, [edit])
        except EditError as error:
            assert all(fault.edit == edit for fault in error.faults)
            continue
        done.append(edit)
    return done, vehicle


@settings(max_examples=100, deadline=None)
@given(car=st.sampled_from(range(14)), seed=st.integers(0, 10**6))
def test_every_edit_is_taken_back_by_its_inverse(car: int, seed: int) -> None:
    vehicle = cars()[car]
    edits, after = drawn(vehicle, seed, 4)
    back = inverse(edits, vehicle)
    assert apply(vehicle, edits).netlist == after.netlist
    assert apply(after, [back]).netlist == vehicle.netlist
    assert apply(vehicle, [inverse([back], after)]).netlist == after.netlist


@settings(max_examples=100, deadline=None)
@given(car=st.sampled_from(range(14)), seed=st.integers(0, 10**6))
def test_an_edited_car_reads_back_as_it_was_written(car: int, seed: int) -> None:
    edits, after = drawn(cars()[car], seed, 3)
    assert faults_of(after) == [], edits
    assert content(read_back(after)) == content(after), edits


@pytest.mark.parametrize("world", [demo(), made(0, 60), made(1, 60)])
def test_an_edited_car_gives_the_same_findings_after_reading(world: World) -> None:
    donor, shell, pairs = world
    built = assembly(donor, shell, pairs, mixed(world, 1))
    edits, after = drawn(built.vehicle, 1, 12)
    assert len(edits) >= 3
    told = [found(donor, one, built.from_donor) for one in (after, read_back(after))]
    assert [one.id for one in told[0]] == [one.id for one in told[1]]


def test_every_sort_of_edit_is_drawn_and_done() -> None:
    done = {type(edit) for car in range(14) for edit in drawn(cars()[car], car, 60)[0]}
    assert done == _WORK.keys() - {type(inverse([], cars()[0]))}
    assert len(SORTS) == len(done)


def partition(vehicle: Vehicle, names: Iterable[str]) -> Partition:
    """Which of these cavities, points and terminals are one net."""
    index = build_index(vehicle)
    nodes = {f"{a}:{b}": node for (a, b), node in index.cavity.items()} | index.point
    nodes |= {f"{a}/{b}": node for (a, b), node in index.terminal.items()}
    nets: dict[int, set[str]] = {}
    for name in names:
        if name in nodes:
            nets.setdefault(index.net_of[index.piece_of[nodes[name]]], set()).add(name)
    return frozenset(frozenset(net) for net in nets.values() if len(net) > 1)


def graph_of(netlist: Netlist) -> nx.Graph:
    """The rows of a car whose wires all have both ends written: wires, crimps and mated cavities."""
    graph = nx.Graph()
    owner = {row.id: row.component for row in netlist.connectors}
    for pin in netlist.pins:
        seat = f"{pin.connector}:{pin.cavity}" if pin.connector else f"{pin.component}/{pin.terminal}"
        if pin.to:
            graph.add_edge(seat, pin.to)
        if pin.connector and pin.terminal:
            graph.add_edge(seat, f"{owner[pin.connector]}/{pin.terminal}")
    graph.add_edges_from((wire.from_, wire.to) for wire in netlist.wires)
    return graph


def with_mates(graph: nx.Graph, netlist: Netlist) -> nx.Graph:
    for row in netlist.connectors:
        for cavity in (row.cavities or ()) if row.mates else ():
            if f"{row.id}:{cavity}" in graph and f"{row.mates}:{cavity}" in graph:
                graph.add_edge(f"{row.id}:{cavity}", f"{row.mates}:{cavity}")
    return graph


def done_on(graph: nx.Graph, edit: Edit) -> nx.Graph:
    """What an edit means for a graph of wires."""
    match edit:
        case MovePin():
            at, to = f"{edit.connector}:{edit.cavity}", f"{edit.to_connector}:{edit.to_cavity}"
            return nx.relabel_nodes(graph, {at: to})
        case Insulate():
            return nx.relabel_nodes(graph, {f"{edit.connector}:{edit.cavity}": "tied back"})
        case AddWire():
            graph.add_edge(edit.start, edit.end)
        case Tap():
            graph.add_edge(edit.at, edit.to or "nobody knows")
        case Cut(end=end, other=None):
            graph.remove_edges_from([(end, other) for other in list(graph[end])])
        case Cut(end=end, other=other):
            graph.remove_edge(end, other)
    return graph


@pytest.mark.parametrize("sort", [MovePin, Cut, Insulate, AddWire, Tap])
@pytest.mark.parametrize("car", range(6))
def test_what_an_edit_joins_and_parts(sort: type[Edit], car: int) -> None:
    vehicle = cars()[car]
    rng = random.Random(car)
    checked = 0
    while checked < 12:
        edit = Drawing(vehicle, rng).edit()
        if not isinstance(edit, sort):
            continue
        try:
            after = apply(vehicle, [edit])
        except EditError:
            continue
        graph = with_mates(done_on(graph_of(vehicle.netlist), edit), vehicle.netlist)
        known = set(graph_of(vehicle.netlist)) | set(graph)
        expected = (net & known for net in nx.connected_components(graph))
        names = {name for net in nx.connected_components(graph) for name in net} - {"tied back", "nobody knows"}
        wanted = frozenset(frozenset(net & names) for net in expected if len(net & names) > 1)
        assert partition(after, names) == wanted, edit
        checked += 1
