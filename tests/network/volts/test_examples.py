"""Networks with printed answers. Sources are ideal here: each example's own resistances are all there is."""

from __future__ import annotations

import pytest
from builders.dc import Resistor, lumped, source

from harnesscheck.model.records import Component
from harnesscheck.network.volts.circuit import Port
from harnesscheck.network.volts.resistances import coil_ohm
from harnesscheck.network.volts.solve import Network, Solution


def solved(branches: list[Resistor], *ports: Port) -> Solution:
    """Everything closed."""
    return Network(lumped(branches, ports)).settle(range(len(ports)))


def test_c1_series():
    """9 V, four 20 Ω and one 10 Ω in series: 0.1 A; 2, 2, 2, 2, 1 V; 0.9 W (University Physics 2, OpenStax, 10.2)."""
    ohms = (20, 20, 20, 20, 10)
    state = solved([(n + 1, (n + 2) % 6, ohm) for n, ohm in enumerate(ohms)], source(1, 9.0))

    assert state.branch_amps == pytest.approx([0.1] * 5, rel=1e-12)
    assert [0.1 * ohm for ohm in ohms] == pytest.approx([2, 2, 2, 2, 1])
    assert -state.port_amps[0] * 9.0 == pytest.approx(0.9)


def test_c2_parallel():
    """3 V over 1, 2, 2 Ω: 6 A in all, 3, 1.5, 1.5 A, 18 W (University Physics 2, OpenStax, 10.2)."""
    state = solved([(1, 0, 1.0), (1, 0, 2.0), (1, 0, 2.0)], source(1, 3.0))

    assert state.branch_amps == pytest.approx([3.0, 1.5, 1.5])
    assert -state.port_amps[0] == pytest.approx(6.0)
    assert 3.0 * -state.port_amps[0] == pytest.approx(18.0)


def test_c3_parallel():
    """6 V over 3, 2, 2 Ω: 2, 3, 3 A, 8 A in all (US Army course MM0308, figure 5)."""
    state = solved([(1, 0, 3.0), (1, 0, 2.0), (1, 0, 2.0)], source(1, 6.0))

    assert state.branch_amps == pytest.approx([2.0, 3.0, 3.0])
    assert 6.0 / -state.port_amps[0] == pytest.approx(0.75)


def test_c4_two_loops():
    """Two sources, one of them charged: 3, 5, -2 A; 130 W given and taken (University Physics 2, OpenStax, 10.3)."""
    branches = [(1, 2, 3.0), (2, 0, 3.0), (2, 3, 3.0), (3, 4, 4.0)]
    state = solved(branches, source(1, 24.0), source(4, 29.0))

    assert state.branch_amps == pytest.approx([3.0, 5.0, -2.0, -2.0])
    assert sum(i * i * ohm for i, (_, _, ohm) in zip(state.branch_amps, branches, strict=True)) == pytest.approx(130.0)
    assert 24.0 * -state.port_amps[0] + 29.0 * -state.port_amps[1] == pytest.approx(130.0)


def test_c5_millman():
    """28 V behind 4 Ω, 0 V behind 2 Ω, 7 V behind 1 Ω: 8 V at the node (Lessons in Electric Circuits 1, ch. 10)."""
    state = solved([(1, 2, 4.0), (2, 0, 2.0), (3, 2, 1.0)], source(1, 28.0), source(3, 7.0))

    assert state.volts[2] == pytest.approx(8.0)
    assert [28 - state.volts[2], state.volts[2], abs(7 - state.volts[2])] == pytest.approx([20, 8, 1])


def test_c6_unbalanced_bridge():
    """10 V on 12, 18, 6, 18, 12 Ω: 5.294 and 4.706 V (Lessons in Electric Circuits 1, ch. 10; recomputed)."""
    branches = [(1, 2, 12.0), (1, 3, 18.0), (2, 3, 6.0), (2, 0, 18.0), (3, 0, 12.0)]
    state = solved(branches, source(1, 10.0))

    assert state.volts[2] == pytest.approx(5.294, abs=5e-4)
    assert state.volts[3] == pytest.approx(4.706, abs=5e-4)
    assert state.volts[2] - state.volts[3] == pytest.approx(0.5882, abs=5e-5)


@pytest.mark.parametrize("ohm", [0.001, 1.0, 4700.0])
def test_c7_ladder(ohm: float):
    """R-2R ladder on 16 V: 8, 4, 2 V for any R (public circuit lesson; recomputed)."""
    branches = [(1, 2, ohm), (2, 0, 2 * ohm), (2, 3, ohm), (3, 0, 2 * ohm), (3, 4, ohm), (4, 0, ohm)]
    state = solved(branches, source(1, 16.0))

    assert [state.volts[node] for node in (2, 3, 4)] == pytest.approx([8.0, 4.0, 2.0], rel=1e-12)


@pytest.mark.parametrize(
    ("volts", "ohm", "ma", "watts"),
    [(12, 85, 141, 1.69), (12, 75, 160, 1.92), (24, 255, 94, 2.26), (12, 90, 133, 1.6), (12.6, 81, 156, 1.96)],
)
def test_e1_e2_relay_coils(volts: float, ohm: float, ma: float, watts: float):
    """Coil currents of a plug-in relay sheet (E1) and its tolerance (E2: 90 Ω, and 81 Ω at 12.6 V)."""
    state = solved([(1, 0, ohm)], source(1, volts))

    assert round(1000 * state.branch_amps[0]) == ma
    assert volts * state.branch_amps[0] == pytest.approx(watts, abs=0.006)  # printed to 0.01 W


@pytest.mark.parametrize(("ma", "ohm"), [(150, 80), (200, 60)])
def test_e3_coil_by_its_current(ma: float, ohm: float):
    """Mini relays draw 150-200 mA through 80-60 Ω at 12 V (E3, maker's range)."""
    assert coil_ohm(Component(id="K1", kind="relay", amps=ma / 1000), 12.0) == pytest.approx(ohm)
