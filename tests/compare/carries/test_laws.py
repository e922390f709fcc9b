"""Laws of what is carried: against the solver itself, and whatever the numbers are."""

from __future__ import annotations

import numpy as np
import pytest
from builders.demo import DEMO, study_at
from builders.oneload import circuit, drop, judged, wire
from hypothesis import given, settings
from hypothesis import strategies as st

from harnesscheck.compare.carries.loads import let_through_a2s, loads_of
from harnesscheck.network.behaviour.currents import currents_of
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.trade.fuses import standard_ratings_a
from harnesscheck.trade.sizes import METRIC_SIZES_MM2, next_size, read_size

VAN = DEMO / "donor.xml"
SIZES = st.sampled_from(METRIC_SIZES_MM2[1:-1])


@pytest.fixture(scope="module")
def van() -> Behaviour:
    return Behaviour(study_at(VAN))


def test_the_worst_current_is_the_largest_of_all_states(van: Behaviour):
    """Held against the solutions stacked; steady is never more than worst, nominal never more than steady."""
    found = currents_of(van)
    every = np.abs(np.stack([state.solution.branch_amps for state in van.states() if not state.hunting]))

    assert found.worst.amps == pytest.approx(every.max(axis=0), abs=1e-6)
    assert (found.steady.amps <= found.worst.amps + 1e-9).all()
    assert (found.nominal.amps <= found.steady.amps + 1e-9).all()
    for number in (0, 100, 500):
        state = found.states[found.worst.at[number]]
        assert abs(state.solution.branch_amps[number]) == pytest.approx(found.worst.amps[number], abs=1e-6)


def test_everything_on_is_among_the_states(van: Behaviour):
    """Feeds and grounds are judged with everything on: the battery lead's worst steady current flows then."""
    loads = loads_of(van)
    lead = max(loads.wires, key=lambda one: one.steady_a)

    assert loads.state(lead.steady_at).condition.settings == van.everything_on


@settings(max_examples=25, deadline=None)
@given(SIZES, st.floats(0.2, 20), st.sampled_from([5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0]))
def test_a_far_end_short_is_what_the_solver_says(size: float, metres: float, rating: float):
    """The loop's current is that of the same car with the far end bolted to the body."""
    feed, fuse = f'size="{size:g}" length="{metres:.4f}"', f'rating="{rating:g}" type="C"'
    sound = judged(circuit(feed, 'kind="heater" ohms="1000"', fuse=fuse))
    shorted = judged(circuit(feed, 'kind="heater" ohms="0.000001"', fuse=fuse))
    (guard,) = [short for short in sound.fuses[0].shorts if sound.branch(short.guard.wire).name == "P - S"]

    # what stands for the load there is 0.1 mΩ, and so is each of the two cases it is bolted through
    assert 1 / guard.amps == pytest.approx(1 / shorted.fuses[0].worst_a, abs=0.0004 / 12)


@settings(max_examples=25, deadline=None)
@given(SIZES, st.floats(0.5, 10), st.floats(0.5, 15))
def test_a_thicker_wire_is_never_worse(size: float, metres: float, amps: float):
    """The next size that is made may carry more and loses fewer volts."""
    thin = read_size(f"{size:g}")
    thick = next_size(thin)
    both = [
        judged(circuit(f'size="{one.text}" length="{metres:.3f}"', f'kind="heater" amps="{amps:.3f}"'))
        for one in (thin, thick)
    ]
    allowed = [wire(loads, "P - S").rating.amps for loads in both]
    drops = [drop(loads, "feed").volts for loads in both if loads.drops]

    assert allowed[1] > allowed[0]
    assert drops == sorted(drops, reverse=True)


@given(st.sampled_from(standard_ratings_a("C")), st.floats(1.01, 40), st.floats(1.0, 3.0))
def test_more_current_never_needs_more_to_melt_a_fuse(rating: float, times: float, more: float):
    """I²t falls, or stays, as the current grows: without loss of heat it is a constant."""
    low, high = (let_through_a2s("C", rating, rating * times * factor) for factor in (1.0, more))

    assert low is None or (high is not None and high <= low + 1e-9)


@pytest.mark.parametrize(
    ("text", "thicker"),
    [("1.5", "2.5"), ("AWG 16", "AWG 14"), ("AWG 15", "AWG 14"), ("AV 1.25", "1.5"), ("0.35", "0.5")],
)
def test_the_next_size_that_is_made(text: str, thicker: str):
    """IEC 60228 for metric sizes, even gauges for gauges; nothing above 120 mm²."""
    assert next_size(read_size(text)).text == thicker
    assert next_size(read_size("120")) is None
