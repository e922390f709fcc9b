"""How long it takes to explain a filled-in sheet. Run by hand: ``python tests/benchmarks/bench_ringout.py``.

Prints medians of whole processes and ratios against a bare interpreter started in
the same run: a car with about 600 readings, two contacts crossed and two nets touching,
by each plan; the demonstration's sheet.
"""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "benchmarks")]

from bench_commands import seconds  # noqa: E402
from builders.filling import filled_table  # noqa: E402  the path is set above
from builders.simulated import Fault, Simulated  # noqa: E402
from cars import make_car, netlist_of  # noqa: E402

from harnesscheck.bench.ringout.measurements import GROUPS, PAIRS, REST, ring_out  # noqa: E402
from harnesscheck.model.vehicle import Vehicle  # noqa: E402
from harnesscheck.network.graph.sides import Study  # noqa: E402
from harnesscheck.read import configure, read_netlist  # noqa: E402
from harnesscheck.write.spreadsheets import grid_csv  # noqa: E402
from harnesscheck.write.xml import write_xml  # noqa: E402

HALVES = {PAIRS: 215, GROUPS: 610, REST: 410}  # about 600 readings each


def two_faults(simulated: Simulated, pairs: list[frozenset[int]]) -> list[Fault]:
    """Two contacts of one plug crossed, two nets that a reading holds apart touching; on different nets."""
    rng = random.Random(1)
    crossed = [one for one in simulated.single_faults() if one[0] == "crossed" and simulated.changes_partition(one)]
    while True:
        one: Fault = rng.choice(crossed)
        other: Fault = ("shorted", rng.choice(pairs))
        if not simulated.touched(one) & simulated.touched(other):
            return [one, other]


def sheet(folder: Path, plan: str) -> tuple[Path, Path, int]:
    """A car and its sheet with two faults in the readings; the number of readings."""
    car, filled = folder / f"{plan}.xml", folder / f"{plan}.csv"
    write_xml(netlist_of(make_car(3, HALVES[plan])), car)
    netlist = read_netlist(car)
    assert not isinstance(netlist, list)
    vehicle: Vehicle = configure(netlist)
    ringout = ring_out(Study(vehicle), plan)
    simulated = Simulated(vehicle)
    nets = sorted({simulated.net_of[end] for end in simulated.ends})
    pairs = [frozenset(random.Random(seed).sample(nets, 2)) for seed in range(200)]
    if plan == PAIRS:
        from builders.loomnodes import rows_of

        pairs = [
            frozenset((simulated.net_of[r.a[0]], simulated.net_of[r.b[0]])) for r in rows_of(ringout) if not r.joined
        ]
    faults = two_faults(simulated, pairs)
    filled.write_text(grid_csv(filled_table(ringout, vehicle.netlist.digest, simulated, *faults)), encoding="utf-8")
    return car, filled, len(ringout.measurements)


def main() -> None:
    """Print the table."""
    ours = [sys.executable, "-m", "harnesscheck", "ringout"]
    with tempfile.TemporaryDirectory() as folder:
        bare = seconds([sys.executable, "-c", "pass"])
        rows = [("python -c pass", bare, "")]
        for plan in (PAIRS, GROUPS, REST):
            car, filled, count = sheet(Path(folder), plan)
            took = seconds([*ours, str(car), "--results", str(filled)])
            rows.append((f"--results, {count} readings, two faults, {plan}", took, "<= 2 s"))
        demo = ["harness_demo/swap.toml", "--results", "harness_demo/ringout-filled.csv"]
        rows.append(("--results of the demo", seconds([*ours, *demo]), ""))
        rows.append(
            ("sheets of the demo", seconds([*ours, "harness_demo/donor.xml", "-o", str(Path(folder) / "o")]), "")
        )
        for name, (wall, work), goal in rows:
            print(f"{name:56} {wall:7.3f} s {wall / bare[0]:6.1f} x  {work:7.3f} s  {goal}")


if __name__ == "__main__":
    main()
