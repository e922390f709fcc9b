"""The two demonstration cars' states against ngspice, an independent circuit simulator (Debian package)."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.demo import demo_study
from builders.spice import deck, operating_points, program, references

from harnesscheck.network.behaviour.states import SEQUENCE, Behaviour, Condition

np = pytest.importorskip("numpy")


@pytest.mark.parametrize("name", ["donor", "shell"])
def test_the_vans_volts_agree_to_a_microvolt(name: str, tmp_path: Path):
    """The key through its positions, and every tenth of all other states: relays and diodes as found."""
    program()
    behaviour = Behaviour(demo_study(name))
    states = [*(behaviour.state(Condition(stage)) for stage in SEQUENCE), *list(behaviour.states())[6::10]]
    ours, decks = {}, []
    for number, state in enumerate(one.solution for one in states):
        zero = references(state)
        prefix = f"s{number}"
        ours |= {
            f"{prefix}n{node}": float(v) for node, v in enumerate(state.volts) if not np.isnan(v) and node not in zero
        }
        decks.append(deck(state, prefix))

    theirs = operating_points(tmp_path, decks)

    assert len(decks) >= 40
    assert max(abs(theirs[key] - v) for key, v in ours.items()) <= 1e-6
