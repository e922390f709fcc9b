"""How long the commands take as whole processes. Run by hand: ``python tests/benchmarks/bench_commands.py``.

Prints a table of medians and of ratios against a bare interpreter started in the
same run. The cars are the generator's: two versions of one car with about 2,500
cavities, ten percent of their wires edited.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from cars import Mix, make_car, mutate, netlist_of  # noqa: E402  the path is set above

from harnesscheck.bench.trace.lighting import Lighting  # noqa: E402
from harnesscheck.model.records import Netlist  # noqa: E402
from harnesscheck.network.behaviour.states import Behaviour  # noqa: E402
from harnesscheck.network.graph.sides import Study  # noqa: E402
from harnesscheck.read import configure  # noqa: E402
from harnesscheck.write.xml import write_xml  # noqa: E402

RUNS = 7
HEAVY = ("networkx", "scipy.optimize")


def seconds(command: list[str]) -> tuple[float, float]:
    """The median wall time of a whole process, and of its processor time, which a busy machine hardly stretches."""
    walls, works = [], []
    for _ in range(RUNS):
        start, before = time.perf_counter(), os.times()
        subprocess.run(command, check=True, capture_output=True, cwd=ROOT)
        after = os.times()
        walls.append(time.perf_counter() - start)
        works.append(after.children_user + after.children_system - before.children_user - before.children_system)
    return statistics.median(walls), statistics.median(works)


def heavy_imports(command: list[str]) -> str:
    """Which of the slow libraries a command loads."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", *command[1:]], check=True, capture_output=True, cwd=ROOT, text=True
    )
    loaded = {line.rpartition("|")[2].strip() for line in done.stderr.splitlines() if "|" in line}
    return ", ".join(name for name in HEAVY if name in loaded) or "none"


def lit_part(netlist: Netlist) -> str:
    """The last part with one load that some state turns on: a generated car has dead ones too."""
    behaviour = Behaviour(Study(configure(netlist)))
    lighting = Lighting(behaviour)
    loads = [number for number, load in enumerate(behaviour.circuit.loads) if not load.name]
    return behaviour.circuit.loads[next(one for one in reversed(loads) if lighting.of_load(one))].component


def main() -> None:
    """Print the table."""
    ours = [sys.executable, "-m", "harnesscheck"]
    with tempfile.TemporaryDirectory() as folder:
        donor, shell, _ = mutate(make_car(7, 455), 8, Mix(edits=0.1, renamed=False))
        paths = [Path(folder) / "donor.xml", Path(folder) / "shell.xml"]
        for path, car in zip(paths, (donor, shell), strict=True):
            write_xml(netlist_of(car), path)
        cavities = sum(len(plug.cavities) for plug in donor.plugs.values())
        sheet = Path(folder) / "swap.toml"
        sheet.write_text('donor = "donor.xml"\nshell = "shell.xml"\n', encoding="utf-8")
        compare = [*ours, "compare", *map(str, paths)]
        trace = [*ours, "trace", str(paths[0]), lit_part(netlist_of(donor)), "--symptom", "dead"]
        bare = seconds([sys.executable, "-c", "pass"])
        rows = [
            ("python -c pass", bare, "goal"),
            ("--help", seconds([*ours, "--help"]), "<= 4 x"),
            (f"compare, {cavities} cavities, everything", seconds(compare), "<= 1.8 s"),
            (f"compare --swap, {cavities} cavities", seconds([*ours, "compare", "--swap", str(sheet)]), "<= 2.2 s"),
            (
                "compare of the demo",
                seconds([*ours, "compare", "harness_demo/donor.xml", "harness_demo/shell.xml"]),
                "",
            ),
            (f"trace, {cavities} cavities, with a plan", seconds(trace), "<= 0.8 s"),
        ]
        print(f"{'':44} {'wall':>9} {'ratio':>8} {'processor':>11}")
        for name, (wall, work), goal in rows:
            print(f"{name:44} {wall:7.3f} s {wall / bare[0]:6.1f} x {work:9.3f} s  {goal}")
        print(f"slow libraries loaded by compare: {heavy_imports(compare)}")
        print(f"slow libraries loaded by trace: {heavy_imports(trace)}")


if __name__ == "__main__":
    main()
