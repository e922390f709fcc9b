"""Laws of networks that hold whatever the circuit: each against a seed's worth of circuits."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product

import pytest
from builders.dc import diode, lumped, random_circuit, random_resistors, source, switch

from harnesscheck.network.volts import elimination
from harnesscheck.network.volts.circuit import Branch, Coil, Port
from harnesscheck.network.volts.solve import Network, TooLargeError, _Point

np = pytest.importorskip("numpy")


def effective_ohm(nodes: int, branches: list[tuple[int, int, float]], pairs: list[tuple[int, int]]) -> list[float]:
    """The resistance between pairs of nodes, read off the port matrix."""
    return list(np.diag(Network(lumped(branches, [switch(a, b) for a, b in pairs])).z))


@pytest.mark.parametrize("seed", range(20))
def test_foster_sum_rule(seed: int):
    """Effective over own resistance, summed over branches, is the node count less one.

    R. M. Foster, "The average impedance of an electrical network", 1949.
    """
    branches = random_resistors(random.Random(seed), 40, 30)

    found = effective_ohm(40, branches, [(a, b) for a, b, _ in branches])

    assert sum(eff / ohm for eff, (_, _, ohm) in zip(found, branches, strict=True)) == pytest.approx(39, rel=1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_resistance_distance(seed: int):
    """The same as networkx's ``resistance_distance``, which inverts the whole matrix another way."""
    pytest.importorskip("scipy")
    import networkx as nx

    rng = random.Random(seed)
    branches = random_resistors(rng, 40, 25)
    graph = nx.Graph()
    for a, b, ohm in branches:
        siemens = 1 / ohm + (1 / graph[a][b]["ohm"] if graph.has_edge(a, b) else 0)
        graph.add_edge(a, b, ohm=1 / siemens)
    pairs = [(rng.randrange(20), 20 + rng.randrange(20)) for _ in range(20)]

    expected = [nx.resistance_distance(graph, a, b, weight="ohm", invert_weight=True) for a, b in pairs]

    assert effective_ohm(40, branches, pairs) == pytest.approx(expected, rel=1e-7)  # its pseudo-inverse is the weaker


@pytest.mark.parametrize("seed", range(10))
def test_reciprocity(seed: int):
    """What a current at one port does at another, the same current there does here (Lorentz, 1896; H. Carson)."""
    z = Network(random_circuit(random.Random(seed))).z

    assert z == pytest.approx(z.T, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("seed", range(60))
def test_power_balance_and_kirchhoff(seed: int):
    """Sources give what resistances and diodes take; no node keeps any current."""
    rng = random.Random(seed)
    circuit = random_circuit(rng)
    closed = [n for n, port in enumerate(circuit.ports) if port.sort != "switch" or rng.random() < 0.4]

    state = Network(circuit).settle(closed)

    heat = sum(i * i * one.ohm for i, one in zip(state.branch_amps, circuit.branches, strict=True))
    ports = zip(state.port_amps, circuit.ports, strict=True)
    taken = [i * (one.emf_v + i * one.ohm) for i, one in ports]
    assert heat + sum(taken) == pytest.approx(0.0, abs=1e-9 * max(1.0, heat, *map(abs, taken)))
    assert state.residual_a() <= 1e-9 * max(1.0, state.largest_a())
    assert state.residual_a() <= state.network.bound_a(state.point) + 1e-9 * max(1.0, state.largest_a())


def test_currents_that_do_not_add_up_are_beyond_the_bound():
    """A point with a current put in at one port only leaves as much over at a node, and the bound says so."""
    state = Network(random_circuit(random.Random(3))).settle([0])
    wrong = state.point.values.copy()
    wrong[0] += 0.5
    point = replace(state.point, values=wrong)

    rest_a = replace(state, point=point).residual_a()

    assert rest_a == pytest.approx(0.5, rel=1e-6) or rest_a < 1e-6  # a port within one island is answered by it
    assert state.network.bound_a(point) >= rest_a - 1e-9


def brute_force(network: Network, closed: list[int], one_way: list[int]) -> _Point:
    """Of every combination of conducting diodes with no current backwards, the one of least content.

    W. Millar, "Some general theorems for non-linear systems possessing resistance", 1951.
    """
    feasible = []
    for signs in product((False, True), repeat=len(one_way)):
        on = {port for port, sign in zip(one_way, signs, strict=True) if sign}
        point = network._point([*closed, *sorted(on)])
        if all(i >= -1e-9 for port, i in zip(point.ports, point.amps, strict=True) if port in on):
            ports = list(point.ports)
            ohms = network.z[np.ix_(ports, ports)] + np.diag(network.ohm[ports])
            content = point.amps @ ohms @ point.amps / 2 + network.emf_v[ports] @ point.amps
            feasible.append((content, len(feasible), point))
    return min(feasible)[2]


@pytest.mark.parametrize("seed", range(60))
@pytest.mark.parametrize("method", ["_settle_diodes", "_least_content"])
def test_diodes_against_every_combination(seed: int, method: str):
    """Both ways of settling diodes find the currents of the one combination that agrees with itself."""
    rng = random.Random(seed)
    circuit = random_circuit(rng, nodes=14, diodes=6)
    network = Network(circuit)
    chosen = [port.sort == "battery" or (port.sort == "switch" and rng.random() < 0.5) for port in circuit.ports]
    closed = [n for n, yes in enumerate(chosen) if yes]
    one_way = [n for n, port in enumerate(circuit.ports) if port.sort == "diode"]

    found = getattr(network, method)(closed, one_way)
    expected = brute_force(network, closed, one_way)

    def flows(point: _Point) -> list[float]:
        amps = dict(zip(point.ports, point.amps, strict=True))
        return [float(amps.get(port, 0.0)) for port in [*closed, *one_way]]

    assert flows(found) == pytest.approx(flows(expected), abs=1e-6, rel=1e-6)


def test_two_diodes_in_series_conduct_together():
    """Between them lies a piece joined to nothing else: neither would start alone."""
    circuit = lumped([(3, 0, 10.0), (2, 4, 1.0)], [source(1, 12.0), diode(1, 2, 0.0), diode(4, 3, 0.0)])

    state = Network(circuit).settle(range(3))

    assert state.branch_amps[0] == pytest.approx((12 - 1.4) / 11)


def test_floating_pieces_are_left_out():
    """A piece that no closed port joins to a source has no volts, and makes none elsewhere."""
    circuit = lumped([(1, 0, 10.0), (2, 3, 5.0)], [source(1, 12.0), switch(1, 2)])
    network = Network(circuit)

    open_, closed = network.settle([0]), network.settle([0, 1])

    assert np.isnan(open_.volts).tolist() == [False, False, True, True]
    assert closed.volts.tolist() == pytest.approx([0.0, 12.0, 12.0, 12.0])
    assert closed.branch_amps.tolist() == pytest.approx([1.2, 0.0])


def test_a_source_off_the_body_counts_from_its_own_negative():
    """A battery whose negative is joined to nothing still drives what hangs between its terminals."""
    ports = [Port("battery", "battery", "+", 1, 2, 0.1, 12.0)]
    state = Network(lumped([(1, 2, 5.9), (3, 0, 1.0)], ports, references=(0, 2))).settle([0])

    assert state.branch_amps.tolist() == pytest.approx([2.0, 0.0])
    assert np.isnan(state.volts[0])


@pytest.mark.parametrize("seed", range(3))
def test_star_mesh_and_matrix_agree(seed: int, monkeypatch: pytest.MonkeyPatch):
    """Eliminating nodes one by one, a dense matrix and a sparse one give the same volts."""
    pytest.importorskip("scipy")
    branches = random_resistors(random.Random(seed), 200, 150)
    pairs = [(n, 199 - n) for n in range(100)]

    dense = effective_ohm(200, branches, pairs)
    monkeypatch.setattr(elimination, "DENSE_UP_TO", 0)
    sparse = effective_ohm(200, branches, pairs)

    assert sparse == pytest.approx(dense, rel=1e-9)


def test_a_milliohm_beside_a_megohm_costs_no_digits():
    """A chain of 100 µΩ contacts behind 1 MΩ: exact to twelve digits, where a plain matrix keeps six."""
    chain = [(n, n + 1, 1e-4) for n in range(1, 1000)]
    state = Network(lumped([*chain, (1000, 0, 1e6)], [source(1, 12.0)])).settle([0])

    assert state.branch_amps[-1] == pytest.approx(12.0 / (1e6 + 0.0999), rel=1e-12)


# -- relays


def relay(number: int, a: int, b: int, pick_up_v: float = 7.2, drop_out_v: float = 2.4) -> tuple[Branch, Coil]:
    """A coil of 85 Ω as branch ``number``."""
    name = f"K{number}"
    return Branch("coil", name, "coil", a, b, 85.0), Coil(name, number, pick_up_v, drop_out_v)


def contact(number: int, a: int, b: int, sort: str = "make") -> Port:
    """A contact of relay ``number``."""
    return Port(sort, f"K{number}", sort, a, b, 0.001)


def test_a_relay_that_breaks_its_own_coil_hunts():
    """Coil fed through its own break contact: a buzzer, period two."""
    coil, row = relay(0, 2, 0)
    state = Network(lumped([coil], [source(1, 12.0), contact(0, 1, 2, "break")], [row])).settle([0])

    assert state.hunting == {"K0"}
    assert len(state.phases) == 2


def test_a_relay_that_feeds_its_own_coil_holds():
    """A button pulls it in; released, the relay feeds itself until the feed goes."""
    coil, row = relay(0, 2, 0)
    network = Network(lumped([coil], [source(1, 12.0), switch(1, 2), contact(0, 1, 2)], [row]))

    pressed = network.settle([0, 1])
    released = network.settle([0], pressed.energised)

    assert network.settle([0]).energised == frozenset()
    assert pressed.energised == released.energised == {"K0"}
    assert network.settle([], released.energised).energised == frozenset()


def test_a_relay_stays_between_its_two_thresholds():
    """Pick-up 60 %, drop-out 20 % of nominal: at 5 V a relay stays as it is."""
    coil, row = relay(0, 1, 0)
    network = Network(lumped([coil], [source(1, 5.0)], [row]))

    assert network.settle([0]).energised == frozenset()
    assert network.settle([0], frozenset({"K0"})).energised == {"K0"}


def test_relays_in_a_chain_settle_one_a_round():
    """Each relay's contact feeds the next one's coil."""
    coils = [relay(n, n + 2, 0) for n in range(4)]
    ports = [source(1, 12.0), switch(1, 2), *(contact(n, 1, n + 3) for n in range(3))]
    state = Network(lumped([coil for coil, _ in coils], ports, [row for _, row in coils])).settle([0, 1])

    assert state.energised == {"K0", "K1", "K2", "K3"}
    assert state.rounds == 5


def test_three_relays_in_a_ring_hunt_with_a_longer_period():
    """Each break contact feeds the next coil: an odd ring never comes to rest."""
    coils = [relay(n, n + 2, 0) for n in range(3)]
    ports = [source(1, 12.0), *(contact(n, 1, (n + 1) % 3 + 2, "break") for n in range(3))]
    state = Network(lumped([coil for coil, _ in coils], ports, [row for _, row in coils])).settle([0])

    assert state.hunting == {"K0", "K1", "K2"}
    assert len(state.phases) >= 2


def test_a_circuit_too_large_is_said():
    """More nodes and switches than fit in memory are refused, not begun."""
    ports = [switch(1, 2)] * 3000

    with pytest.raises(TooLargeError, match="3000 switches"):
        Network(lumped([(1, 0, 1.0)], ports))
