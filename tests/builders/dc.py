"""Circuits written down part by part, and drawn at random, for tests of the solution."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence

from harnesscheck.model.records import Netlist
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.volts.circuit import Branch, Coil, DcCircuit, Load, Port

Resistor = tuple[int, int, float]


def resistor(a: int, b: int, ohm: float) -> Branch:
    """A resistance between two nodes."""
    return Branch("resistor", "", f"{a}-{b}", a, b, ohm)


def source(a: int, volts: float, ohm: float = 0.0, b: int = 0) -> Port:
    """A source whose + is at ``a``; ideal unless it is given a resistance."""
    return Port("battery", f"source {a}", "+", a, b, ohm, volts)


def switch(a: int, b: int, ohm: float = 0.001) -> Port:
    """A switch that the test closes itself."""
    return Port("switch", f"switch {a}-{b}", "", a, b, ohm, 0.0, f"switch {a}-{b}", frozenset({"on"}))


def diode(a: int, b: int, ohm: float = 0.05, volts: float = 0.7) -> Port:
    """A diode from ``a`` to ``b``."""
    return Port("diode", f"diode {a}-{b}", "A-K", a, b, ohm, volts)


def lumped(
    branches: Iterable[Resistor | Branch],
    ports: Sequence[Port] = (),
    coils: Sequence[Coil] = (),
    references: Sequence[int] = (0,),
) -> DcCircuit:
    """A circuit of these parts; node 0 is the body."""
    made = tuple(one if isinstance(one, Branch) else resistor(*one) for one in branches)
    nodes = [0, *references, *(end for one in (*made, *ports) for end in (one.a, one.b))]
    loads = tuple(
        Load(one.component, one.name, "lamp", number, 12.0, polar=False, directed=True)
        for number, one in enumerate(made)
        if one.sort == "load"
    )
    count = max(nodes) + 1
    return DcCircuit(
        vehicle=Vehicle(Netlist()),
        count=count,
        node_of=tuple(range(count)),
        body=0,
        references=tuple(references),
        branches=made,
        ports=tuple(ports),
        loads=loads,
        coils=tuple(coils),
        modules=(),
        unjudged=(),
        names={},
    )


def random_resistors(rng: random.Random, nodes: int, more: int) -> list[Resistor]:
    """A connected network: a tree over all nodes and ``more`` resistors across it, 1 mΩ to 1 kΩ."""
    ends = [(node, rng.randrange(node)) for node in range(1, nodes)]
    while len(ends) < nodes - 1 + more:
        a, b = rng.randrange(nodes), rng.randrange(nodes)
        if a != b:
            ends.append((a, b))
    return [(a, b, 10 ** rng.uniform(-3, 3)) for a, b in ends]


def random_circuit(rng: random.Random, nodes: int = 30, diodes: int = 5) -> DcCircuit:
    """Islands joined by switches and diodes, one or two sources, some loads: anything but a sound car."""
    kept = [node for node in range(1, nodes) if rng.random() < 0.8]
    branches = [(node, rng.randrange(node), 10 ** rng.uniform(-3, 2)) for node in kept]
    ports = [source(rng.randrange(1, nodes), rng.choice((12.0, 12.6, 24.0)), rng.uniform(0.005, 0.05))]
    if rng.random() < 0.5:
        ports.append(source(rng.randrange(1, nodes), rng.choice((6.0, 14.2)), rng.uniform(0.005, 0.05)))
    for _ in range(nodes // 2):
        a, b = rng.randrange(nodes), rng.randrange(nodes)
        if a != b:
            ports.append(switch(a, b))
    for _ in range(diodes):
        a, b = rng.randrange(nodes), rng.randrange(nodes)
        if a != b:
            ports.append(diode(a, b, rng.uniform(0.02, 2)))
    return lumped(branches, ports)
