"""How long a decision takes: two cars of 350 connectors with twelve looms to choose. Run by hand.

``python tests/benchmarks/bench_decide.py [seed ...]`` prints times and ratios to one
plain comparison of the same cars in the same run.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from cars.car import vehicle_of
from cars.generate import make_car
from cars.mutate import Mix, mutate

from harnesscheck.align import align
from harnesscheck.compare.compare import compare
from harnesscheck.decide.decide import DecisionQuestion, decide
from harnesscheck.network.graph.sides import Study


def timed(work: Callable[[], Any]) -> tuple[float, float, Any]:
    """Wall and processor seconds, and what came of it."""
    wall, cpu = time.perf_counter(), time.process_time()
    result = work()
    return time.perf_counter() - wall, time.process_time() - cpu, result


def main() -> None:
    """Print the table."""
    print(f"{'seed':>4} {'groups':>6} {'connectors':>10} {'judged':>6} {'wall s':>7} {'cpu s':>6} {'x compare':>9}")
    for seed in [int(text) for text in sys.argv[1:]] or [901, 902, 903]:
        donor_car, shell_car, _ = mutate(make_car(seed, 350), seed, Mix(edits=0.02, renamed=False))
        donor, shell = Study(vehicle_of(donor_car)), Study(vehicle_of(shell_car))
        pairs = align(donor, shell)
        _, base, _ = timed(lambda: compare(donor, shell, pairs))  # noqa: B023
        wall, cpu, found = timed(lambda: decide(DecisionQuestion(donor, shell, pairs)))  # noqa: B023
        best = found.best
        taken = sum(label == "donor" for label in best.labels.values())
        print(
            f"{seed:>4} {len(best.groups):>6} {len(donor.vehicle.connectors):>10} {found.checked:>6} {wall:>7.2f} "
            f"{cpu:>6.2f} {cpu / base:>9.1f}  {taken} looms of the donor, {best.mean_h:.1f} h, "
            f"{'proven' if best.proven else f'{len(best.left)} left'}"
        )


if __name__ == "__main__":
    main()
