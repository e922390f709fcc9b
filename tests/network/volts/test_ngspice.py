"""Volts of random cars in random states against ngspice, an independent circuit simulator (Debian package)."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from builders.odd_cars import odd_car, random_ports
from builders.spice import deck, operating_points, program, references

from harnesscheck.network.volts.solve import Network, Solution

np = pytest.importorskip("numpy")

CARS, STATES_EACH = 50, 5


def states_of(seed: int, folder: Path, count: int, **more: int) -> list[Solution]:
    """Some settled states of one random car; those that hunt give each of their rounds."""
    network = Network(odd_car(seed, folder, **more))
    rng = random.Random(1000 + seed)
    found: list[Solution] = []
    for _ in range(count):
        state = network.settle(random_ports(network.circuit, rng))
        found += state.phases or (state,)
    return found


def driven(state: Solution, prefix: str) -> dict[str, float]:
    """The volts of every node that is joined to a source, by its name in the deck."""
    zero = references(state)
    return {f"{prefix}n{node}": float(v) for node, v in enumerate(state.volts) if not np.isnan(v) and node not in zero}


@pytest.mark.parametrize("batch", range(10))
def test_volts_agree_to_a_microvolt(batch: int, tmp_path: Path):
    """At least 25 states a batch, 250 in all, relays and diodes as found: every driven node within 1 µV."""
    program()
    ours: dict[str, float] = {}
    decks = []
    for seed in range(batch * CARS // 10, (batch + 1) * CARS // 10):
        for number, state in enumerate(states_of(seed, tmp_path, STATES_EACH)):
            prefix = f"c{seed}s{number}"
            ours |= driven(state, prefix)
            decks.append(deck(state, prefix))

    theirs = operating_points(tmp_path, decks)

    assert len(decks) >= 25
    assert len(ours) > 500
    assert max(abs(theirs[name] - v) for name, v in ours.items()) <= 1e-6


@pytest.mark.parametrize("seed", range(100, 120))
def test_diodes_agree_with_its_own_model(seed: int, tmp_path: Path):
    """Against an exponential diode (0.70 V at 100 mA): each diode's volts within 0.15 V, the same on and off."""
    program()
    state = states_of(seed, tmp_path, 1, diodes=6)[0]
    theirs = operating_points(tmp_path, [deck(state, "c", own_diodes=True)])
    zero = references(state)

    def v(node: int) -> float:
        return 0.0 if node in zero else theirs[f"cn{node}"]

    amps = state.port_amps
    idle = {n for n in state.closed if state.network.circuit.ports[n].sort == "diode" and amps[n] <= 1e-4}
    judged = 0
    for number, port in enumerate(state.network.circuit.ports):
        if port.sort != "diode" or np.isnan(state.volts[[port.a, port.b]]).any():
            continue
        judged += 1
        own, other = state.volts[port.a] - state.volts[port.b], v(port.a) - v(port.b)
        if amps[number] > 1e-4:
            assert other == pytest.approx(own, abs=0.15)
            assert other > 0.5
        elif number in idle:  # leads to a dead end without current, where a real diode drops nothing
            assert other <= own + 0.15
        else:
            assert other == pytest.approx(own, abs=0.85 if idle else 0.15)
            assert other < 0.7
    assert judged or not [port for port in state.network.circuit.ports if port.sort == "diode"]
