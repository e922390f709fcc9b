"""How well cars are aligned, on seeds and edit mixes that nothing was tuned on, beside simpler ways.

Run from the root of the project:

    python tests/benchmarks/bench_align.py             # the tables, 350 connectors, about five minutes
    python tests/benchmarks/bench_align.py --quick     # one seed, 40 fault trials
    python tests/benchmarks/bench_align.py --large     # also 25,000 and 1,000,000 cavities

F1 is counted up to the donor's own symmetry (see ``cars.score``); times are of
``align`` alone, with both cars read and indexed, unless a column says otherwise.
"""

from __future__ import annotations

import argparse
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from math import log
from multiprocessing import get_context
from pathlib import Path
from statistics import mean
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

import numpy as np  # noqa: E402  the path is set above
from cars import Mix, Truth, make_car, mutate, rename, vehicle_of  # noqa: E402
from cars.questions import asked, hard_questions  # noqa: E402
from cars.score import FAULTS, Orbits, differences, f1, orbits, pair_maps, right, with_fault  # noqa: E402

from harnesscheck.align import Pairs, align  # noqa: E402
from harnesscheck.align.identify import identify  # noqa: E402
from harnesscheck.align.number import both  # noqa: E402
from harnesscheck.align.refine import classes, first_colours  # noqa: E402
from harnesscheck.network.graph.sides import Study  # noqa: E402
from harnesscheck.write.xml import write_xml  # noqa: E402

HELD_OUT = (9001, 9002, 9003, 9004, 9005)
LOST = frozenset({"colour", "size", "housing", "at"})
# another mix of edits than the one the engine was built on
WIRE_EDITS = (
    ("remove", 20), ("move", 20), ("elsewhere", 15), ("swap", 15), ("recolour", 15), ("resize", 10), ("add", 20),
)  # fmt: skip
PLUG_EDITS = (
    ("relocate", 20), ("rehouse", 20), ("grow", 15), ("absent", 15), ("new_part", 15), ("split", 8), ("merge", 7),
)  # fmt: skip

Case = tuple[Study, Study, Truth, Orbits]
Method = Callable[[Study, Study], Mapping[str, str]]


def mix(edits: float, lost: bool, permuted: bool, names: str = "misleading") -> Mix:
    """An edit mix of the tables."""
    return Mix(
        edits=edits,
        erase=LOST if lost else frozenset(),
        permuted=edits if permuted else 0.0,
        misleading=0.5 if names == "misleading" else 0.0,
        wire_edits=WIRE_EDITS,
        plug_edits=PLUG_EDITS,
    )


def case(seed: int, how: Mix, halves: int = 350) -> Case:
    """Two cars, the truth about them, and the donor's symmetry."""
    donor, shell, truth = mutate(make_car(seed, halves), seed + 77_000, how)
    a, b = Study(vehicle_of(donor)), Study(vehicle_of(shell))
    return a, b, truth, orbits(a)


# -- simpler ways


def names_only(donor: Study, shell: Study) -> Mapping[str, str]:
    """Equal ids."""
    return {id: id for id in donor.vehicle.connectors if id in shell.vehicle.connectors}


def colour_refinement(donor: Study, shell: Study) -> Mapping[str, str]:
    """Classic netlist comparison: pairs that are alone in their class at the first depth they are."""
    from harnesscheck.align.refine import one_round

    cars = both(donor, shell)
    colours = first_colours(cars)
    n, ids = cars.connectors.donors, cars.connectors.ids
    found: dict[str, str] = {}
    for _ in range(12):
        for a, b in classes(colours.connector, n).pairs(n).tolist():
            if ids[a] not in found and ids[b] not in found.values():
                found[ids[a]] = ids[b]
        colours = one_round(cars, colours)
    return found


def attributes(donor: Study, shell: Study) -> Mapping[str, str]:
    """What a plug looks like, weighted by rarity, and linear assignment over the whole car."""
    from scipy.optimize import linear_sum_assignment

    ours, theirs = _looks(donor), _looks(shell)
    common = Counter(token for looks in (ours, theirs) for tokens in looks.values() for token in tokens)
    total = len(ours) + len(theirs)
    table = np.zeros((len(ours), len(theirs)))
    for row, mine in enumerate(ours.values()):
        for column, yours in enumerate(theirs.values()):
            shared = mine & yours
            table[row, column] = sum(count * log(total / common[token]) for token, count in shared.items())
    rows, columns = linear_sum_assignment(-table)
    a, b = list(ours), list(theirs)
    return {a[row]: b[column] for row, column in zip(rows, columns, strict=True) if table[row, column] > 0}


def _looks(study: Study) -> Mapping[str, Counter[object]]:
    looks: dict[str, Counter[object]] = {}
    for row in study.vehicle.connectors.values():
        part = study.vehicle.components.get(row.component or "")
        facts = [
            ("cavities", len(row.cavities or ())), ("half", row.half), ("housing", row.housing_colour),
            ("keyway", row.keyway), ("at", row.at), ("kind", part.kind if part else None), ("part", part is None),
        ]  # fmt: skip
        looks[row.id] = Counter(fact for fact in facts if fact[1] is not None)
    for pin in study.vehicle.netlist.pins:
        ends = [(pin.connector, pin.cavity)] if pin.connector else []
        ends += [tuple(pin.to.split(":"))] if pin.to and ":" in pin.to else []
        for connector, cavity in ends:
            if connector:
                seen = (pin.colour.names if pin.colour else None, pin.size, pin.terminal, pin.role)
                looks[connector][cavity, seen] += 1
    return looks


def textual(donor: Study, shell: Study) -> Mapping[str, str]:
    """``diff -u`` of the XML: a connector is paired if its line is unchanged."""
    with tempfile.TemporaryDirectory() as folder:
        paths = [Path(folder) / "a.xml", Path(folder) / "b.xml"]
        for study, path in zip((donor, shell), paths, strict=True):
            write_xml(study.vehicle.netlist, path)
        done = subprocess.run(["diff", "-U100000", *map(str, paths)], capture_output=True, text=True, check=False)
    kept = [line for line in done.stdout.splitlines() if line.startswith(" ") and "<connector " in line]
    ids = [line.split(' id="')[1].split('"')[0] for line in kept]
    return {id: id for id in ids}


def engine(donor: Study, shell: Study) -> Mapping[str, str]:
    """Ours."""
    return {pair.donor: pair.shell for pair in align(donor, shell).connectors}


METHODS: dict[str, Method] = {
    "names only": names_only,
    "diff -u": textual,
    "colour refinement": colour_refinement,
    "attributes + assignment": attributes,
    "this engine": engine,
}
ROWS = (("all renamed, half misleadingly", False, False), ("… looks lost too", True, False),
        ("… and wire ends permuted", True, True))  # fmt: skip
SHARES = (0.1, 0.3, 0.5)


# -- tables


def baselines(seeds: tuple[int, ...]) -> None:
    """Connector F1 of every method."""
    print("\nconnector F1 (%), mean of", len(seeds), "held-out seeds\n")
    print(f"{'':36}" + "".join(f"{name:>26}" for name in METHODS))
    for title, lost, permuted in ROWS:
        for share in SHARES:
            cases = [case(seed, mix(share, lost, permuted)) for seed in seeds]
            cells = [
                mean(100 * f1(truth.plugs, method(a, b), marks.connector) for a, b, truth, marks in cases)
                for method in METHODS.values()
            ]
            print(f"{title:30}{share:5.0%} " + "".join(f"{cell:26.1f}" for cell in cells), flush=True)


def quality(seeds: tuple[int, ...]) -> None:
    """Everything else about the engine's pairs."""
    print("\nthis engine (%): F1 of each sort; sure pairs and how many of them are right; cavities in ambiguous sets")
    print("beyond the car's own symmetry (points); opens and shorts found and right; time\n")
    heads = ("connect", "compon", "cavity", "circuit", "harness", "ground", "sure", "right", "ambig",
             "recall", "precis", "ms")  # fmt: skip
    print(f"{'':36}" + "".join(f"{head:>9}" for head in heads))
    for title, lost, permuted in ROWS:
        for share in SHARES:
            measured = [_measured(case(seed, mix(share, lost, permuted))) for seed in seeds]
            cells = [mean(column) for column in zip(*measured, strict=True)]
            print(f"{title:30}{share:5.0%} " + "".join(f"{cell:9.2f}" for cell in cells), flush=True)


def _measured(one: Case) -> list[float]:
    a, b, truth, marks = one
    start = time.perf_counter()
    pairs = align(a, b)
    took = time.perf_counter() - start
    plugs = {pair.donor: pair.shell for pair in pairs.connectors}
    sure = {pair.donor: pair.shell for pair in pairs.connectors if pair.sure}
    ours, true = pair_maps(a, b, pairs, truth)
    by_cavity = {end: marks.cavity(end) for end in {*ours, *true}}
    found, real = differences(a, b, ours, marks), differences(a, b, true, marks)
    both_ways = sum((found & real).values())
    return [
        100 * f1(truth.plugs, plugs, marks.connector),
        100 * f1(truth.parts, {p.donor: p.shell for p in pairs.components}, marks.component),
        100 * f1(true, ours, by_cavity),
        100 * f1(truth.circuits, {p.donor: p.shell for p in pairs.circuits}, {}),
        100 * f1(truth.harnesses, {p.donor: p.shell for p in pairs.harnesses}, {}),
        100 * f1(truth.grounds, {p.donor: p.shell for p in pairs.grounds}, {}),
        100 * len(sure) / max(1, len(plugs)),
        100 * right(truth.plugs, sure, marks.connector) / max(1, len(sure)),
        100 * (_share(a, _listed(pairs)) - _share(a, _symmetric(marks))),
        100 * both_ways / max(1, sum(real.values())),
        100 * both_ways / max(1, sum(found.values())),
        1000 * took,
    ]


def _listed(pairs: Pairs) -> set[str]:
    return {id for one in pairs.ambiguous if one.sort == "connector" for id in one.donor}


def _symmetric(marks: Orbits) -> set[str]:
    count = Counter(marks.connector.values())
    return {id for id, mark in marks.connector.items() if count[mark] > 1}


def _share(study: Study, connectors: set[str]) -> float:
    sizes = {row.id: len(row.cavities or ()) for row in study.vehicle.connectors.values()}
    return sum(sizes[id] for id in connectors) / sum(sizes.values())


def one_fault(trials: int) -> None:
    """All renamed and one fault: is exactly that difference found?"""
    print(f"\nall renamed + one fault, {trials} trials: exactly that fault found (%)\n")
    for title, lost in (("looks known", False), ("looks lost too", True)):
        good: Counter[str] = Counter()
        for trial in range(trials):
            fault = FAULTS[trial % len(FAULTS)]
            good[fault] += _exactly(50_000 + trial, fault, lost)
        each = trials / len(FAULTS)
        cells = "".join(f"   {fault} {100 * good[fault] / each:.1f}" for fault in FAULTS)
        print(f"{title:18}all {100 * sum(good.values()) / trials:.2f}{cells}", flush=True)


def _exactly(seed: int, fault: str, lost: bool) -> bool:
    rng = random.Random(seed)
    donor, _, _ = mutate(make_car(seed), seed, replace(mix(0.0, lost, False), renamed=False))
    shell, truth = rename(with_fault(donor, fault, rng), seed)
    a, b = Study(vehicle_of(donor)), Study(vehicle_of(shell))
    marks = orbits(a)
    ours, true = pair_maps(a, b, align(a, b), truth)
    return differences(a, b, ours, marks) == differences(a, b, true, marks)


def loose_plugs(questions: int) -> None:
    """Which plug is this? Calibration and hits on cars the temperature was not fitted on."""
    each = 100
    bins, brier, count, first, third, there = [[0, 0.0, 0] for _ in range(10)], 0.0, 0, 0, 0, 0
    start = time.perf_counter()
    for seed in range(30_000, 30_000 + max(1, questions // each)):
        vehicle = vehicle_of(make_car(seed))
        for one in asked(seed, each):
            answer = identify([vehicle], one.question)
            said = [(c.probability, one.plug in c.connectors) for c in answer.candidates]
            said.append((answer.none, one.plug is None))
            brier += sum((probability - hit) ** 2 for probability, hit in said)
            probability, hit = max(said, key=lambda pair: pair[0])
            held = bins[min(9, int(probability * 10))]
            held[0], held[1], held[2] = held[0] + 1, held[1] + probability, held[2] + hit
            count += 1
            if one.plug is not None:
                there += 1
                first += said[0][1]
                third += any(hit for _, hit in said[:3])
    took = (time.perf_counter() - start) / count
    error = sum(abs(total - hits) for _, total, hits in bins) / count
    print(f"\nidentify, {count} held-out questions, one in ten about a plug that is not there\n")
    print(f"ten-bin calibration error {error:.3f}, Brier score {brier / count:.3f}, first {100 * first / there:.1f} %,")
    print(f"first three {100 * third / there:.1f} %, {1000 * took:.1f} ms a question with its share of drawing the car")
    for least in (3, 5, 8):
        hits = total = 0
        for seed in range(31_000, 31_010):
            vehicle = vehicle_of(make_car(seed))
            for one in hard_questions(seed, max(4, questions // 100), least):
                best = identify([vehicle], one.question).candidates[:3]
                hits += any(one.plug in c.connectors for c in best)
                total += 1
        share = f"in the first three {100 * hits / total:.1f} % of {total}"
        print(f"2 colours mistaken, 1 wire missing, housing colour known, at least {least} wires: {share}")


def small_graphs() -> None:
    """What general graph matchers do on a car small enough for them."""
    import networkx as nx
    from cars.graphs import graph_of

    print("\nnetworkx on small cars\n")
    for halves, edits in ((24, 0.0), (24, 0.1), (350, 0.0), (350, 0.01)):
        a, b, truth, marks = case(9001, mix(edits, False, False), halves)
        one, other = graph_of(a), graph_of(b)
        start = time.perf_counter()
        found = nx.vf2pp_isomorphism(one, other, node_label="look")
        plugs = {x[1]: y[1] for x, y in (found or {}).items() if x[0] == "connector"}
        score = f1(truth.plugs, plugs, marks.connector)
        print(
            f"vf2++            {halves} connectors, {edits:.0%} edits: F1 {100 * score:.0f} %, "
            f"{time.perf_counter() - start:.2f} s",
            flush=True,
        )
    a, b, truth, marks = case(9001, mix(0.1, False, False), 12)
    one, other = graph_of(a), graph_of(b)
    start, best = time.perf_counter(), []
    for paths in nx.optimize_edit_paths(one, other, node_match=lambda x, y: x == y, timeout=30):
        best = paths[0]
    plugs = {x[1]: y[1] for x, y in best if x and y and x[0] == y[0] == "connector"}
    print(
        f"edit distance    {len(one)} nodes, 10% edits: F1 {100 * f1(truth.plugs, plugs, marks.connector):.0f} %, "
        f"{time.perf_counter() - start:.0f} s; this engine {100 * f1(truth.plugs, engine(a, b), marks.connector):.0f} %"
    )


def large(sizes: tuple[int, ...]) -> None:
    """All renamed, no edits, and 10 % edits, on larger and larger cars."""
    print("\nlarger cars, all renamed; times against lxml's parse of both files in the same run\n")
    before: tuple[int, float] | None = None
    for halves in sizes:
        before = _large_row(halves, 0.0, before)
    for halves in sizes[:-1]:
        _large_row(halves, 0.1, None)


def _large_row(halves: int, edits: float, before: tuple[int, float] | None) -> tuple[int, float]:
    """Drawn, then read and aligned, each in a process of its own: the peak is that of a user's process."""
    with tempfile.TemporaryDirectory() as folder:
        cavities, truth = _alone(_write_two, halves, edits, folder)
        parse, read, took, peak, plugs = _alone(_align_two, folder)
    score = 2 * sum(truth.get(x) == y for x, y in plugs.items()) / max(1, len(plugs) + len(truth))
    growth = f"{log(took / before[1]) / log(cavities / before[0]):.2f}" if before else "-"
    print(
        f"{cavities:9} cavities a car, {edits:3.0%} edits: {took:7.2f} s = {took / parse:5.1f} × lxml "
        f"(read and numbered {read / parse:.0f} ×), growth exponent {growth}, F1 {100 * score:.2f} %, "
        f"peak {peak:.2f} GB from two files to pairs",
        flush=True,
    )
    return cavities, took


def _alone(function: Callable[..., Any], *given: object) -> Any:
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        return pool.submit(function, *given).result()


def _write_two(halves: int, edits: float, folder: str) -> tuple[int, dict[str, str]]:
    """Two cars as files; the cavities of the donor, and which plug is which."""
    car, other, truth = mutate(make_car(9001, halves), 9001, mix(edits, False, False))
    for name, each in (("a", car), ("b", other)):
        write_xml(vehicle_of(each).netlist, Path(folder) / f"{name}.xml")
    return car.cavity_count, truth.plugs


def _align_two(folder: str) -> tuple[float, float, float, float, dict[str, str]]:
    """Seconds of lxml's parse of both, of reading and numbering, of aligning; peak in GB; pairs of connectors."""
    from lxml import etree

    from harnesscheck.model.records import Netlist
    from harnesscheck.read import configure, read_netlist
    from harnesscheck.read.limits import Limits

    files = [Path(folder) / name for name in ("a.xml", "b.xml")]
    start = time.perf_counter()
    studies = []
    for file in files:
        netlist = read_netlist(str(file), Limits(max_bytes=1 << 40, max_rows=10**9))
        assert isinstance(netlist, Netlist)
        studies.append(Study(configure(netlist)))
        del netlist
    read = time.perf_counter() - start
    start = time.perf_counter()
    pairs = align(*studies)
    took = time.perf_counter() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024 / 1e9
    start = time.perf_counter()
    for file in files:
        etree.parse(str(file))
    parse = time.perf_counter() - start
    return parse, read, took, peak, {pair.donor: pair.shell for pair in pairs.connectors}


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--large", action="store_true")
    parser.add_argument("--only", choices=("baselines", "quality", "fault", "identify", "graphs", "large"))
    given = parser.parse_args()
    seeds = HELD_OUT[:1] if given.quick else HELD_OUT
    align(*case(1, mix(0.1, False, False), 60)[:2])  # what is imported late is imported before the clock starts
    tables: dict[str, Callable[[], None]] = {
        "quality": lambda: quality(seeds),
        "baselines": lambda: baselines(seeds),
        "fault": lambda: one_fault(40 if given.quick else 400),
        "identify": lambda: loose_plugs(300 if given.quick else 5000),
        "graphs": small_graphs,
        "large": lambda: large((400, 4000, 160_000) if given.large else (400, 4000)),
    }
    for name, table in tables.items():
        if given.only in (None, name):
            table()


if __name__ == "__main__":
    main()
