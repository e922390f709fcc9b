"""Time a state of a large random circuit, the same in ngspice, and function compare of a pair of cars.

Run by hand: ``python tests/benchmarks/bench_solve.py``. 2,000 nodes, 2,300
resistors (60 of them fuses), 180 switches, 8 relays, 200 states; set-up counts.
ngspice gets all its states in one batch, relays as found; its start-up counts once.
The pair of cars is the generator's: 350 connectors each, a tenth of the wires edited.
All times are of the processor, so that what else runs on the machine does not count.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from time import process_time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # threads that wait in a loop spend processor time too
ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from builders.dc import lumped, source, switch  # noqa: E402  the path is set above
from builders.spice import deck  # noqa: E402
from cars import Mix, make_car, mutate, vehicle_of  # noqa: E402  the path is set above

from harnesscheck.align import align  # noqa: E402
from harnesscheck.compare.compare import compare  # noqa: E402
from harnesscheck.compare.context import Context  # noqa: E402
from harnesscheck.compare.works.function import functions  # noqa: E402
from harnesscheck.network.graph.sides import Study  # noqa: E402
from harnesscheck.network.volts.circuit import Branch, Coil, DcCircuit, Port  # noqa: E402
from harnesscheck.network.volts.solve import Network, Solution  # noqa: E402

NODES, RESISTORS, FUSES, SWITCHES, RELAYS, STATES = 2000, 2300, 60, 180, 8, 200
CLOSED = 0.15  # of the switches, in each state; a car with the key on has about as many
WANTED_MS, WANTED_TIMES, WANTED_FUNCTION_S = 0.3, 50, 0.5
CONNECTORS, EDITS = 350, 0.1


def random_circuit(seed: int) -> DcCircuit:
    """The circuit the numbers are about: a tree and 15 % more branches, switches and relays between any nodes."""
    rng = random.Random(seed)
    ends = [(node, rng.randrange(max(0, node - 50), node)) for node in range(1, NODES)]
    ends += [tuple(rng.sample(range(NODES), 2)) for _ in range(RESISTORS - len(ends))]  # type: ignore[misc]  # pairs
    branches = [
        Branch("fuse" if n < FUSES else "wire", "", str(n), a, b, 10 ** rng.uniform(-3, 1))
        for n, (a, b) in enumerate(ends)
    ]
    ports: list[Port] = [source(1, 12.0, 0.006)]
    ports += [switch(*rng.sample(range(NODES), 2)) for _ in range(SWITCHES)]
    coils = []
    for n in range(RELAYS):
        a, b, c, d = rng.sample(range(NODES), 4)
        coils.append(Coil(f"K{n}", len(branches), 0.02, 0.005))  # low, so that some pull in
        branches.append(Branch("coil", f"K{n}", "coil", a, b, 85.0))
        ports.append(Port("make", f"K{n}", "30-87", c, d, 0.001))
    return lumped(branches, ports, coils)


def our_states(circuit: DcCircuit, chosen: list[list[int]]) -> tuple[float, list[Solution]]:
    """Seconds for set-up and all states, and the states."""
    start = process_time()
    network = Network(circuit)
    states = [network.settle(closed) for closed in chosen]
    return process_time() - start, states


def spice_seconds(states: list[Solution]) -> float:
    """Seconds ngspice takes for the operating points of these states, one deck after the other in one run."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        decks = []
        for number, state in enumerate(states):
            path = folder / f"{number}.cir"
            path.write_text("\n".join(["* state", *deck(state, "c"), ".end", ""]), encoding="utf-8")
            decks.append(f"source {path}\nop\nremcirc")
        batch = folder / "batch.cir"
        batch.write_text("* batch\nr 1 0 1\n.control\n" + "\n".join(decks) + "\nquit\n.endc\n.end\n", encoding="utf-8")
        start = _children_s()
        done = subprocess.run(["ngspice", "-b", str(batch)], capture_output=True, text=True, check=False)
        seconds = _children_s() - start
        assert done.stdout.count("No. of Data Rows : 1") >= len(states), done.stderr[-2000:]
        return seconds


def _children_s() -> float:
    """Processor seconds of all child processes so far."""
    spent = os.times()
    return spent.children_user + spent.children_system


def function_seconds(seed: int) -> tuple[float, int]:
    """Seconds to work out both cars of a pair and to compare what works, and how many conditions that were."""
    cars = [
        vehicle_of(one) for one in mutate(make_car(seed, CONNECTORS), seed + 1, Mix(edits=EDITS, renamed=False))[:2]
    ]
    best, count = float("inf"), 0
    for _ in range(3):
        donor, shell = (Study(one) for one in cars)  # anew: a study keeps its states
        pairs = align(donor, shell)
        told = compare(donor, shell, pairs, electrical=False).findings
        context = Context(donor, shell, pairs)
        start = process_time()
        functions(context, told)
        best, count = min(best, process_time() - start), len(context.donor_behaviour.conditions)
    return best, count


def main() -> None:
    """Print milliseconds a state and the ratio to ngspice."""
    circuit = random_circuit(1)
    rng = random.Random(2)
    chosen = [[0, *(n for n in range(1, SWITCHES + 1) if rng.random() < CLOSED)] for _ in range(STATES)]
    our_states(circuit, chosen[:2])  # libraries are loaded before the clock starts
    seconds, states = min((our_states(circuit, chosen) for _ in range(3)), key=lambda one: one[0])
    ms = 1000 * seconds / STATES
    rounds = sum(state.rounds for state in states) / STATES
    print(
        f"{NODES} nodes, {STATES} states: {ms:.3f} ms a state with set-up, {rounds:.1f} rounds (wanted {WANTED_MS} ms)"
    )
    for seed in range(3):
        took, count = function_seconds(seed)
        print(
            f"function compare, {CONNECTORS} connectors, {count} conditions: {took:.2f} s (wanted {WANTED_FUNCTION_S})"
        )
    if shutil.which("ngspice"):
        some = states[:20]
        spice_ms = 1000 * spice_seconds(some) / len(some)
        print(f"ngspice in batch: {spice_ms:.1f} ms a state, {spice_ms / ms:.0f} times ours (wanted {WANTED_TIMES})")


if __name__ == "__main__":
    main()
