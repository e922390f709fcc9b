"""Traces against networkx' shortest path and ngspice's volts; and what is broken against the car so broken."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import networkx as nx
import pytest
from builders.demo import demo_vehicle
from builders.spice import deck, operating_points, program, references
from builders.tracing import demo, only, places, traced
from cars import make_car, netlist_of

from harnesscheck.assemble.apply import apply
from harnesscheck.bench.symptoms.chain import broken_volts
from harnesscheck.bench.trace.lighting import Lighting, closed_ports
from harnesscheck.bench.trace.trace import Trace, trace
from harnesscheck.model.edits import Cut
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.behaviour.states import Behaviour, Condition
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import PASSING
from harnesscheck.read import configure

SEEDS = range(2)
EVERY = 5  # load is checked: a trace of each would take a minute
CONTACT, RESISTOR = 1_000, 1_000_000  # weights by which networkx counts what we count


@pytest.fixture(scope="module")
def cars() -> list[Behaviour]:
    """The demo and some generated cars."""
    return [demo("donor"), demo("shell"), *(Behaviour(Study(_made(seed))) for seed in SEEDS)]


def _made(seed: int) -> Vehicle:
    return configure(netlist_of(make_car(seed, 60)))


def whole_traces(behaviour: Behaviour) -> Iterator[Trace]:
    """The traces of all loads that something turns on."""
    lighting = Lighting(behaviour)
    for number, load in list(enumerate(behaviour.circuit.loads))[::EVERY]:
        if lighting.of_load(number) is None:
            continue
        target = only(behaviour, "battery")
        found = trace(behaviour, type(target)("component", load.component, "", (), load.branch))
        if found.steps:
            yield found


def graph_of(found: Trace) -> nx.MultiDiGraph:
    """The circuit in the trace's state as networkx has it; diodes lead one way."""
    circuit = found.behaviour.circuit
    graph = nx.MultiDiGraph()
    graph.add_nodes_from(range(circuit.count))
    weight = {"contact": CONTACT + 1, "resistor": RESISTOR + 1}
    for branch in circuit.branches:
        if branch.sort in PASSING:
            for a, b in ((branch.a, branch.b), (branch.b, branch.a)):
                graph.add_edge(a, b, weight=weight.get(branch.sort, 1))
    energised = found.behaviour.state(found.condition).solution.energised
    for number in closed_ports(circuit, found.condition, energised):
        port = circuit.ports[number]
        graph.add_edge(port.a, port.b, weight=1)
        if port.sort != "diode":
            graph.add_edge(port.b, port.a, weight=1)
    return graph


def weight_of(hops: tuple) -> int:  # type: ignore[type-arg]
    return sum({"contact": CONTACT, "resistor": RESISTOR}.get(hop.sort, 0) + 1 for hop in hops)


def test_every_way_exists_and_has_the_fewest_contacts(cars: list[Behaviour]) -> None:
    """Feed and ground of every load: hop after hop joined, and no shorter way by networkx' Dijkstra."""
    checked = 0
    for behaviour in cars:
        sources = {port.a for port in behaviour.circuit.ports if port.sort == "battery"}
        minus = set(behaviour.circuit.references)
        for found in whole_traces(behaviour):
            hops = found.hops
            assert all(a.end == b.start for a, b in pairwise(hops))
            graph = graph_of(found)
            if found.to_feed:
                assert hops[0].start in sources
                up = graph.subgraph(set(graph) - minus - (sources - {hops[0].start}))
                feed = hops[: found.load]
                least = nx.shortest_path_length(up, hops[0].start, hops[found.load].start, weight="weight")
                assert weight_of(feed) == least, found.target.name
                checked += 1
            if found.to_ground:
                assert hops[-1].end in minus or found.load == len(hops) - 1
                down = graph.subgraph(set(graph) - sources).reverse()
                least = nx.multi_source_dijkstra_path_length(down, minus, weight="weight")
                assert weight_of(hops[found.load + 1 :]) == least[hops[found.load].end], found.target.name
                checked += 1
    assert checked > 50


def test_volts_agree_with_ngspice(tmp_path: Path) -> None:
    """The volts of every step of a fifth of the loads of the demo, within 1 mV of an independent simulator's."""
    program()
    found = list(whole_traces(demo()))
    decks, zeros = [], []
    for number, one in enumerate(found):
        solution = one.behaviour.state(one.condition).solution
        decks.append(deck(solution, f"t{number}"))
        zeros.append(references(solution))

    theirs = operating_points(tmp_path, decks)

    checked = 0
    for number, one in enumerate(found):
        for step in one.steps:
            expected = 0.0 if step.node in zeros[number] else theirs.get(f"t{number}n{step.node}")
            assert (step.volts is None) == (expected is None)
            if expected is not None:
                assert step.volts == pytest.approx(expected, abs=1e-3)
                checked += 1
    assert checked > 200


@pytest.mark.parametrize("name", ["reading-lamp-1", "fuel-pump-relay", "starter"])
def test_what_is_broken_reads_as_the_car_so_broken(name: str) -> None:
    """Contacts and fuses taken out by the states' own means, wires by a cut: the same volts within 1 µV."""
    whole = traced(demo(), name)
    rows = broken_volts(whole)
    energised = whole.behaviour.state(whole.condition).solution.energised
    checked = 0
    for number, hop in enumerate(whole.hops):
        broken = broken_car(whole, number)
        if broken is None:
            continue
        solution = broken.state(whole.condition).solution
        relays = {one.element.component for one in whole.hops if one.sort in ("make", "break")}
        if not solution.energised >= energised & relays:
            continue  # a relay of the chain lets go as well: more than this one hop is open
        for order, step in enumerate(whole.steps):
            node = node_in(broken, step.spot.place, step.spot.terminal)
            if node is None:
                continue
            volts = float(solution.volts[node])
            assert rows[number][order] == pytest.approx(0.0 if volts != volts else volts, abs=1e-5), (hop, step.spot)
        checked += 1
    assert checked >= len(whole.hops) // 3


def broken_car(whole: Trace, number: int) -> Behaviour | None:
    """The car with one element of a chain broken by other means than ours; None for what these cannot break."""
    hop = whole.hops[number]
    if hop.sort == "contact":
        return Behaviour(whole.study, (hop.element.name,))
    if hop.sort == "fuse":
        return Behaviour(whole.study, (hop.element.name,))
    first, _, second = hop.element.name.partition(" - ")
    if hop.sort == "wire" and ":" in first:
        return Behaviour(Study(apply(demo_vehicle(), [Cut(first, second)])))
    return None


def node_in(behaviour: Behaviour, place: str, terminal: str) -> int | None:
    from harnesscheck.bench.trace.spots import Spots

    spots = Spots(behaviour.study, behaviour.circuit)
    node = spots.node(place)
    return node if node is not None or not terminal else spots.node(terminal)


def test_the_key_furthest_back_is_chosen() -> None:
    """A lamp on a permanent feed is traced with the key off, one on an ignition feed at run, the starter at start."""
    stages = {name: traced(demo(), name).condition.stage for name in ("reading-lamp-1", "rear-wiper-motor", "starter")}

    assert stages == {"reading-lamp-1": "off", "rear-wiper-motor": "run", "starter": "start"}


def test_a_state_asked_for_is_kept() -> None:
    """With the switch left at rest the lamp's feed ends at the switch."""
    found = traced(demo(), "reading-lamp-1", Condition("off", (("reading-switch", "off"),)))

    assert not found.complete
    assert found.to_ground and not found.to_feed


def test_numbers_of_the_reading_lamp() -> None:
    """The chain of the demo's reading lamp, read off the file by hand."""
    found = traced(demo(), "reading-lamp-1")

    beyond = ("C21", "C21H", "RE-SH", "S45", "S46", "G7")
    assert [place for place in places(found) if place.partition(":")[0] in beyond] == [
        "C21:4", "C21H:4", "RE-SH:1", "RE-SH:2", "S45", "S46", "C21H:5", "C21:5", "G7",
    ]  # fmt: skip
    assert found.steps[0].volts == pytest.approx(12.0, abs=0.1)
    assert found.steps[-1].volts == 0
    assert found.lit and found.complete
