"""Cars wired at random against themselves: whatever they carry too much of, none of it is worse than it was."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders.demo import vehicle_at
from builders.odd_cars import odd_car

from harnesscheck.align.byname import pairs_by_name
from harnesscheck.compare.compare import compare
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.network.graph.sides import Study


@pytest.mark.parametrize("block", range(6))
def test_an_odd_car_against_itself_gives_nothing_above_note(block: int, tmp_path: Path) -> None:
    """Ten cars a block with shorts, loops, diodes and relays anywhere."""
    for seed in range(10 * block, 10 * block + 10):
        odd_car(seed, tmp_path)
        car = vehicle_at(tmp_path / f"odd-{seed}.xml")
        found = compare(Study(car), Study(car), pairs_by_name(car, car)).findings

        assert [one.text for one in found if one.severity is not Severity.NOTE] == [], seed
