"""How long drawings take. Run by hand: ``python tests/benchmarks/bench_draw.py``.

Prints medians in seconds beside the goals: a circuit of 40 wires on its sheet,
and every drawing of the report on the demonstration cars, SVG written.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from builders.scenes import car, colour, size  # noqa: E402  the path is set above

from harnesscheck.align import align  # noqa: E402
from harnesscheck.compare.compare import Comparison, compare  # noqa: E402
from harnesscheck.draw.png import png  # noqa: E402
from harnesscheck.draw.svg import svg  # noqa: E402
from harnesscheck.draw.targets import draw_target, names_of  # noqa: E402
from harnesscheck.model.records import Connector, Ground, Harness, Pin, Splice, Wire  # noqa: E402
from harnesscheck.network.graph.sides import Study  # noqa: E402
from harnesscheck.read import configure, read_netlist  # noqa: E402
from harnesscheck.report.pictures import comparison_sheets  # noqa: E402

RUNS = 5


def seconds(work: Callable[[], object]) -> float:
    """The median time of some work."""
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def forty_wires() -> Study:
    """One circuit of 40 wires: a chain of splices, each with a plug, and a ground at the end."""
    splices = [Splice(id=f"S{number}", harness="body") for number in range(20)]
    plugs = [Connector(id=f"C{number}", harness="body", cavities=("1",)) for number in range(20)]
    wires = [
        Wire(
            harness="body",
            from_=f"S{n}",
            to=f"S{n + 1}" if n < 19 else "G1",
            circuit="X",
            colour=colour("BN"),
            size=size("1"),
        )
        for n in range(20)
    ]
    pins = [Pin(connector=f"C{n}", cavity="1", circuit="X", to=f"S{n}", colour=colour("BK/BU")) for n in range(20)]
    return car(
        harnesses=[Harness(id="body")],
        splices=splices,
        connectors=plugs,
        wires=wires,
        pins=pins,
        grounds=[Ground(id="G1")],
    )


def demo(name: str) -> Study:
    """One of the demonstration cars."""
    netlist = read_netlist(ROOT / "harness_demo" / f"{name}.xml")
    if isinstance(netlist, list):
        raise SystemExit("\n".join(map(str, netlist)))
    return Study(configure(netlist))


def written(study: Study, target: str) -> list[str]:
    """The sheets of a target as SVG."""
    found = draw_target(study, target)
    return [svg(sheet.scene) for sheet in found] if isinstance(found, list) else []


def report(result: Comparison) -> list[str]:
    """The drawings of a report as SVG."""
    return [svg(sheet.scene) for sheet in comparison_sheets(result, "")[0]]


def everything(study: Study) -> list[list[str]]:
    """Every sheet of a car as SVG."""
    return [written(study, name) for name in names_of(study.vehicle)]


def main() -> None:
    """Print the table."""
    donor, shell = demo("donor"), demo("shell")
    result = compare(donor, shell, align(donor, shell))
    large = forty_wires()
    rows = [
        ("a circuit of 40 wires, SVG", seconds(lambda: written(large, "X")), "0.2"),
        ("all drawings of the demo report, SVG", seconds(lambda: report(result)), "8"),
        ("every target of the donor, SVG", seconds(lambda: everything(donor)), "-"),
        ("the overview, SVG", seconds(lambda: written(donor, "overview")), "-"),
    ]  # fmt: skip
    sheet = draw_target(donor, "C12")
    if isinstance(sheet, list):
        rows.append(("one sheet as PNG", seconds(lambda: png(sheet[0].scene)), "-"))
    for name, took, goal in rows:
        print(f"{name:<40} {took:8.3f} s   goal {goal} s")


if __name__ == "__main__":
    main()
