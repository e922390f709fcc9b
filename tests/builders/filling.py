"""Fills a ring-out sheet as a meter would show it with known faults in the looms.

What is joined comes from ``builders.simulated``, which knows nothing of the code under
test. Run as a script it writes the demonstration's filled-in sheet anew:
``PYTHONPATH=.:tests python -m builders.filling``.
"""

from __future__ import annotations

from builders.demo import ROOT
from builders.loomnodes import rows_of
from builders.simulated import Fault, Node, Simulated
from harnesscheck.api.reading import Reading
from harnesscheck.api.ringout import car_of
from harnesscheck.bench.ringout.measurements import Ringout, ring_out
from harnesscheck.bench.ringout.ringsheet import reading_table
from harnesscheck.network.graph.sides import Study
from harnesscheck.write.spreadsheets import grid_csv

FILLED = ROOT / "harness_demo" / "ringout-filled.csv"
PLUG, CIRCUITS = "C15", ("LK", "UL")  # central locking: lock and unlock at the left front pillar
HOW = "write it anew: PYTHONPATH=.:tests python -m builders.filling"


def filled_table(ringout: Ringout, digest: str, simulated: Simulated, *faults: Fault) -> list[list[str]]:
    """The sheet with a reading in every line: joints 0.1 to 0.4 ohm, what is apart OL."""
    table = reading_table(ringout, digest)
    at = next(n for n, row in enumerate(table) if row[0] == "number")
    column = table[at].index("read")
    for line, joined in zip(table[at + 1 :], simulated.shows(rows_of(ringout), *faults), strict=True):
        line[column] = f"{0.1 + int(line[0]) % 4 / 10:.1f}" if joined else "OL"
    return table


def cavities_of(simulated: Simulated, plug: str, circuits: tuple[str, ...]) -> list[str]:
    """The cavities of a plug that carry some circuits."""
    pins = simulated.vehicle.pins_of.get(plug, ())
    found = {pin.circuit: pin.cavity or "" for pin in pins}
    assert set(circuits) <= found.keys(), f"{plug} of the example carries no {circuits} any more: choose another plug"
    return [found[circuit] for circuit in circuits]


def demo_sheet() -> str:
    """The example's swapped car, all readings taken, two contacts of one plug crossed."""
    car = car_of(str(ROOT / "harness_demo" / "swap.toml"), Reading())
    ringout = ring_out(Study(car.vehicle))
    simulated = Simulated(car.vehicle)
    faces: frozenset[Node] = frozenset(("face", PLUG, name) for name in cavities_of(simulated, PLUG, CIRCUITS))
    return grid_csv(filled_table(ringout, car.digest, simulated, ("crossed", faces)))


if __name__ == "__main__":
    FILLED.write_text(demo_sheet(), encoding="utf-8", newline="\n")
    print(f"wrote {FILLED}")
