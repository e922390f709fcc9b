"""How long the loads of a 350-connector car take, beside the states they rest on.

Run by hand: ``python tests/benchmarks/bench_loads.py``. Two versions of a made-up
car, ten percent of their wires edited; medians of nine runs, ratios in one run.
"""

from __future__ import annotations

import statistics
import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from cars import Mix, make_car, mutate, vehicle_of  # noqa: E402  the path is set above

from harnesscheck.align import align  # noqa: E402
from harnesscheck.compare.carries.loads import loads_of  # noqa: E402
from harnesscheck.compare.carries.worse import carried  # noqa: E402
from harnesscheck.network.behaviour.states import Behaviour  # noqa: E402
from harnesscheck.network.graph.sides import Study  # noqa: E402

RUNS = 9


def median_s(work: Callable[[], object]) -> float:
    """The median of some runs."""
    times = []
    for _ in range(RUNS):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return statistics.median(times)


def main() -> None:
    """Print seconds and ratios."""
    first, second, _ = mutate(make_car(1, 350), 1, Mix(edits=0.1, renamed=False))
    donor, shell = Study(vehicle_of(first)), Study(vehicle_of(second))
    pairs = align(donor, shell)
    states_s = median_s(lambda: [Behaviour(study).conditions for study in (donor, shell)])
    ours, theirs = Behaviour(donor), Behaviour(shell)
    one_s = median_s(lambda: loads_of(ours))
    both_s = median_s(lambda: carried(ours, theirs, pairs).findings)
    print(f"states of both cars             {states_s:6.3f} s")
    print(f"loads of one car, states solved {one_s:6.3f} s, {one_s / states_s:5.0%} of the states of both")
    print(f"worse loads of two cars         {both_s:6.3f} s, {both_s / states_s:5.0%}")
    print(f"states and worse loads          {states_s + both_s:6.3f} s")


if __name__ == "__main__":
    main()
