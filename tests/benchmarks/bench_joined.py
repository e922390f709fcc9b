"""What judging the joined cars costs beside the same compare without them. Run by hand.

``python tests/benchmarks/bench_joined.py`` prints processor seconds and ratios, each the
best of some runs in one process: the example's two vans, and the generator's two versions
of a car with 2,540 cavities, a tenth of their wires edited. Aligning counts in both.
For the example a decision is held against its plain compare as well.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable
from pathlib import Path
from time import process_time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # threads that wait in a loop spend processor time too
ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from builders.demo import demo_vehicle  # noqa: E402  the path is set above
from cars import Mix, make_car, mutate, vehicle_of  # noqa: E402

from harnesscheck.align import align  # noqa: E402
from harnesscheck.align.pairs import Pairs  # noqa: E402
from harnesscheck.compare.compare import compare  # noqa: E402
from harnesscheck.compare.joined import compare_joined  # noqa: E402
from harnesscheck.decide.decide import DecisionQuestion, decide  # noqa: E402
from harnesscheck.model.vehicle import Vehicle  # noqa: E402
from harnesscheck.network.graph.sides import Study  # noqa: E402

RUNS = 4
WANTED = 2.0  # times a compare without joined cars
Work = Callable[[Study, Study, Pairs], object]


def spent_s(cars: tuple[Vehicle, Vehicle], work: Work, runs: int = RUNS) -> float:
    """The least processor seconds of some runs, studies and pairs made anew in each."""
    best = float("inf")
    for _ in range(runs):
        start = process_time()
        donor, shell = (Study(one) for one in cars)
        work(donor, shell, align(donor, shell))
        best = min(best, process_time() - start)
        gc.collect()
    return best


def main() -> None:
    """Print the table."""
    gc.set_threshold(50_000, 20, 100)  # as the command line has it
    made = mutate(make_car(7, 455), 8, Mix(edits=0.1, renamed=False))
    pairs = {
        "the example": (demo_vehicle("donor"), demo_vehicle("shell")),
        "2,540 cavities": (vehicle_of(made[0]), vehicle_of(made[1])),
    }
    for name, cars in pairs.items():
        plain_s, joined_s = spent_s(cars, compare), spent_s(cars, compare_joined)
        ratio = joined_s / plain_s
        print(f"{name:16} plain {plain_s:5.2f} s, joined {joined_s:5.2f} s: {ratio:.2f} times (wanted {WANTED:g})")
        if name == "the example":
            decided_s = spent_s(cars, lambda *both: decide(DecisionQuestion(*both)), 1)
            print(f"{name:16} decision {decided_s:5.2f} s: {decided_s / plain_s:.1f} times a plain compare")


if __name__ == "__main__":
    main()
