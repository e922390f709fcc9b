"""Nets and reach against slow references: networkx for what is joined, a plain search for what feeds it."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import networkx as nx
import pytest
from builders.demo import RICH, ROOT
from cars import Mix, make_car, mutate, netlist_of

from harnesscheck.compare.doubtful import doubts
from harnesscheck.fields import KEY_POSITIONS
from harnesscheck.model.records import Netlist, Pin
from harnesscheck.network.graph.elements import ALWAYS
from harnesscheck.network.graph.reach import Contact
from harnesscheck.network.graph.sides import Label, Study
from harnesscheck.read import configure, read_netlist
from network.graph import reference
from network.graph.networks import network
from network.graph.reference import EVERY, Node

FILES = (
    ROOT / "harness_demo" / "donor.xml",
    ROOT / "harness_demo" / "shell.xml",
    RICH / "rich-donor.xml",
    RICH / "rich-shell.xml",
)


def from_file(path: Path) -> Netlist:
    """A netlist file as configured."""
    result = read_netlist(path)
    assert isinstance(result, Netlist)
    return configure(result).netlist


def as_circuits(car: Netlist, seed: int) -> Netlist:
    """The car with a share of its wires written as a circuit on both cavities instead of an end."""
    rng = random.Random(seed)
    owner = {row.id: row.component for row in car.connectors}
    pins: list[Pin] = []
    for pin in car.pins:
        far = pin.to.partition(":") if pin.to else ("", "", "")
        both = pin.connector and far[1] and not owner[pin.connector] and not owner[far[0]]
        if both and rng.random() < 0.3:
            pins += [replace(pin, to=None), replace(pin, connector=far[0], cavity=far[2], to=None)]
        else:
            pins.append(pin)
    return replace(car, pins=tuple(pins))


@cache
def cars() -> tuple[Netlist, ...]:
    """Drawn cars, edited ones, edited ones with circuits for ends, little networks, and the files."""
    drawn = [netlist_of(make_car(seed, 40 + seed)) for seed in range(8)]
    edited = [netlist_of(mutate(make_car(seed, 60), seed, Mix(edits=0.3, permuted=0.1))[1]) for seed in range(8)]
    loose = [as_circuits(car, seed) for seed, car in enumerate(edited)]
    return (*drawn, *edited, *loose, *(network(seed) for seed in range(60)), *map(from_file, FILES))


def nodes(study: Study) -> Iterator[tuple[Node, int]]:
    """Every node of the reference with its piece."""
    index = study.index
    numbers = {
        **index.cavity,
        **{(name, ""): node for name, node in index.point.items()},
        **{reference.terminal(*key): node for key, node in index.terminal.items()},
    }
    yield from ((name, index.piece_of[node]) for name, node in numbers.items())


def partition(items: Iterator[tuple[Node, int]]) -> set[frozenset[Node]]:
    """The nodes by their number."""
    groups: dict[int, set[Node]] = {}
    for name, number in items:
        groups.setdefault(number, set()).add(name)
    return {frozenset(group) for group in groups.values()}


def components(*edges: Iterator[tuple[Node, Node]]) -> set[frozenset[Node]]:
    """networkx.connected_components over some edges."""
    graph: nx.Graph = nx.Graph()
    for some in edges:
        graph.add_edges_from(some)
    return {frozenset(group) for group in nx.connected_components(graph)}


def test_pieces_and_nets_are_networkx_s_connected_components():
    """What wires join, and what wires and mated contacts join (networkx, an independent library)."""
    for car in cars():
        study = Study(configure(car))

        assert partition(nodes(study)) == components(reference.wired(car))
        nets = ((name, study.index.net_of[piece]) for name, piece in nodes(study))
        assert partition(nets) == components(reference.wired(car), reference.mated(car))


def positions(mask: int) -> frozenset[str]:
    """The key positions of a mask."""
    return frozenset(name for bit, name in enumerate(KEY_POSITIONS) if mask >> bit & 1)


def compared(car: Netlist, apart: Contact | None = None, ends_apart: tuple[str, ...] = ()) -> int:
    """Demand that every node's reach is the reference's, with a plug or one contact open; the number of nodes."""
    study = Study(configure(car))
    expected = reference.reach(car, () if apart is None else opened(apart), ends_apart)
    count = 0
    for name, piece in nodes(study):
        found = study.reach.reached(piece, apart)
        ours = [positions(mask) for mask in (found.feed_sure, found.feed_maybe, found.ground_sure, found.ground_maybe)]
        tables = (expected.feed_sure, expected.feed_maybe, expected.ground_sure, expected.ground_maybe)
        assert ours == [table[name] for table in tables], (name, apart)
        assert found.grounded == (name in expected.grounded), (name, apart)
        count += 1
    return count


@pytest.mark.parametrize("first", range(0, 160, 20))
def test_reach_of_little_networks(first: int):
    """Fuses, key, switches, relays on relays, diodes: fed and grounded in the same key positions, sure and perhaps."""
    assert sum(compared(network(seed)) for seed in range(first, first + 20)) > 400


def opened(apart: Contact) -> tuple[str, ...]:
    """The names of what is open: both halves of the plug, or the contact."""
    halves, cavity = apart
    return halves if cavity is None else (f"{halves[0]}:{cavity}",)


def contacts(car: Netlist) -> Iterator[Contact]:
    """Every plug as a whole, then its contacts."""
    for row in car.connectors:
        if row.mates:
            yield (row.id, row.mates), None
            cavities = {pin.cavity for pin in car.pins if pin.connector == row.id and pin.cavity}
            yield from (((row.id, row.mates), cavity) for cavity in sorted(cavities))


@pytest.mark.parametrize("seed", range(40))
def test_reach_with_one_contact_open(seed: int):
    """The reach that is asked of every plug and every contact: the same network without it, relays as built.

    A feed ends at what is the body; where no feed ends there as built, it makes no
    difference whether the body is taken with the contact in or open.
    """
    car = network(seed)
    built = reference.reach(car)
    shorted = any(built.feed_maybe[node] for node in built.grounded)
    for apart in contacts(car):
        compared(car, apart, () if shorted else opened(apart))


# -- what a circuit is declared to be


def expected_class(car: Netlist, found: reference.Reached, name: Node) -> str | None:
    """The class that the key positions of a sure feed give, or that the body gives; None where neither is sure."""
    when = found.feed_sure[name]
    if when:
        if when == EVERY:
            return "permanent"
        if "off" in when:
            return None
        return next(word for word in ("accessory", "run", "start") if word in when)
    return "ground" if name in found.grounded else None


def declared(car: Netlist, classes: dict[str, str]) -> Netlist:
    """The car with classes for some circuits."""
    return replace(car, circuits=tuple(replace(row, class_=classes.get(row.id)) for row in car.circuits))


def contradicted(car: Netlist) -> set[str]:
    """The circuits whose declared class is doubted."""
    found = doubts(Study(configure(car)))
    return {one.donor.circuit for one in found if one.kind == "doubtful-class-contradicted"}


@pytest.mark.parametrize("seed", range(30))
def test_a_declared_class_is_held_against_the_reference(seed: int):
    """Declared as the reference finds it, no circuit is doubted; as anything else of feed and ground, exactly those."""
    car = network(seed)
    found = reference.reach(car)
    names = {pin.circuit: (pin.connector or "", pin.cavity or "") for pin in car.pins if pin.circuit}
    truth = {circuit: word for circuit, node in names.items() if (word := expected_class(car, found, node))}
    other = {"permanent": "ground", "accessory": "run", "run": "accessory", "start": "permanent", "ground": "run"}

    assert contradicted(declared(car, truth)) == set()
    assert contradicted(declared(car, {name: other[word] for name, word in truth.items()})) == set(truth)


def test_the_little_networks_have_something_of_everything():
    """Else the tests above would prove little: all key positions, relays that pull in, ways that only could be."""
    seen = set()
    for seed in range(60):
        found = reference.reach(network(seed))
        seen |= {*found.feed_sure.values(), *found.ground_sure.values()}
        seen |= {"maybe"} if found.feed_maybe != found.feed_sure else set()

    assert {EVERY, frozenset(), frozenset({"run", "start"}), frozenset({"accessory", "run"}), "maybe"} <= seen
    assert ALWAYS == 15 and Label.PERMANENT.value == "permanent feed"
