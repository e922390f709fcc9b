"""A car against itself, renamed or written in another order; and the same bytes however it is run.

Every car is invented; the random ones are drawn and renamed from a seed.
"""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from builders.demo import DEMO, RICH, ROOT
from builders.files import good
from cars import Mix, make_car, mutate, rename, scrambled, vehicle_of
from lxml import etree

from harnesscheck.align import align
from harnesscheck.compare.compare import Comparison, compare
from harnesscheck.compare.doubtful import doubts
from harnesscheck.compare.finding.findings import Evidence
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.model.records import TABLE_OF, Netlist
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure, read_netlist
from harnesscheck.report.blocks.terminal import terminal_text
from harnesscheck.report.comparison import comparison_report
from harnesscheck.report.document import comparison_document

FILES = (DEMO / "donor.xml", DEMO / "shell.xml", RICH / "rich-donor.xml", RICH / "rich-shell.xml")
SEEDS = range(50)
BARE = Evidence()


@cache
def read(path: Path) -> Netlist:
    """A netlist file that is sound."""
    return good(read_netlist(path))


@cache
def car(path: Path) -> Study:
    """A car from its file."""
    return Study(configure(read(path)))


def held(donor: Study, shell: Study) -> Comparison:
    """Two cars, aligned and compared."""
    return compare(donor, shell, align(donor, shell))


def serious(donor: Study, shell: Study) -> list[str]:
    """Everything above note."""
    return [
        f"{one.severity.word} {one.kind} {one.donor} {one.shell} {one.donor_component}"
        for one in held(donor, shell).findings
        if one.severity < Severity.NOTE
    ]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_car_is_itself(path: Path):
    """Nothing above note, and nothing that would differ: only what joins modules, and what nobody documented."""
    assert {one.kind for one in held(car(path), car(path)).findings} <= {"mixed-bus", "not-documented"}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
@pytest.mark.parametrize("seed", range(2))
def test_a_car_with_every_name_changed_is_itself(path: Path, seed: int):
    """All ids, names and functions changed and all rows shuffled: nothing above note, either way round."""
    other = Study(configure(scrambled(read(path), seed)[0]))

    assert serious(car(path), other) == []
    assert serious(other, car(path)) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_car_is_itself_and_its_renamed_copy(seed: int):
    """As drawn, and with every name changed: in even ones half of the new names are another row's old ones."""
    drawn = make_car(seed, 20 + seed % 40)
    study = Study(vehicle_of(drawn))
    other = Study(vehicle_of(rename(drawn, seed, 0.0 if seed % 2 else 0.5)[0]))

    assert {one.kind for one in held(study, study).findings} <= {"mixed-bus"}
    assert serious(study, other) == []
    assert serious(other, study) == []


# -- rows in another order


def shuffled_file(path: Path, seed: int, folder: Path) -> Study:
    """The same file with the children of every element in another order."""
    tree = etree.parse(str(path))
    rng = random.Random(seed)
    for element in tree.iter(etree.Element):
        children = [child for child in element if isinstance(child.tag, str)]
        rng.shuffle(children)
        element[:] = children
    target = folder / path.name
    tree.write(str(target), encoding="utf-8")
    return car(target)


def shuffled_rows(vehicle: Vehicle, seed: int) -> Study:
    """The same car with the rows of every sort in another order."""
    rng = random.Random(seed)
    rows: dict[str, Any] = {}
    for slot in TABLE_OF.values():
        rows[slot] = tuple(rng.sample(getattr(vehicle.netlist, slot), len(getattr(vehicle.netlist, slot))))
    return Study(configure(replace(vehicle.netlist, **rows)))


def without_lines(document: Any) -> Any:
    """A report without the files and lines that its rows were read at, and without the digests of those files."""
    if isinstance(document, dict):
        kept = document.keys() - {"read_at", "file", "digest"}
        return {key: without_lines(value) for key, value in document.items() if key in kept}
    return [without_lines(each) for each in document] if isinstance(document, list) else document


def told(result: Comparison) -> Any:
    """The whole report but for line numbers."""
    return without_lines(comparison_document(result))


def printed(result: Comparison) -> list[str]:
    """What a person reads, below the lines that name the files."""
    lines = terminal_text(comparison_report(result, {}, notes=True)).splitlines()
    return lines[lines.index("") :]


@pytest.mark.parametrize("pair", [FILES[:2], FILES[2:]], ids=["demo", "rich"])
@pytest.mark.parametrize("seed", range(3))
def test_rows_in_another_order_change_line_numbers_only(pair: tuple[Path, Path], seed: int, tmp_path: Path):
    """The whole report, in order, and the text a person reads."""
    straight = held(*map(car, pair))
    mixed = held(*(shuffled_file(path, seed, tmp_path) for path in pair))

    assert told(mixed) == told(straight)
    assert printed(mixed) == printed(straight)


@pytest.mark.parametrize("seed", range(12))
def test_rows_of_random_cars_in_another_order(seed: int):
    """Two versions of one car, a fifth of it edited."""
    donor, shell = (Study(vehicle_of(one)) for one in mutate(make_car(seed, 60), seed, Mix(edits=0.2))[:2])
    straight = held(donor, shell)
    mixed = held(shuffled_rows(donor.vehicle, seed), shuffled_rows(shell.vehicle, seed + 1))

    assert straight.findings
    assert told(mixed) == told(straight)


@pytest.mark.parametrize("seed", range(6))
def test_doubts_about_one_car_in_another_order(seed: int):
    """Half of a random car's wires edited leaves circuits in pieces and terminals without a wire."""
    one = Study(vehicle_of(mutate(make_car(seed, 60), seed, Mix(edits=0.5))[1]))
    straight, mixed = (
        [replace(doubt, evidence=BARE) for doubt in doubts(each)] for each in (one, shuffled_rows(one.vehicle, seed))
    )

    assert straight
    assert mixed == straight


# -- however it is run


def outputs(environment: dict[str, str], folder: Path) -> tuple[bytes, bytes]:
    """What ``compare`` of two small rich cars writes as JSON and prints."""
    names = [str(path.relative_to(ROOT)) for path in FILES[2:]]
    done = subprocess.run(
        [sys.executable, "-m", "harnesscheck", "compare", *names, "--notes", "--json", str(folder / "report.json")],
        cwd=ROOT,
        env={**os.environ, **environment, "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        timeout=300,
        check=True,
    )
    return (folder / "report.json").read_bytes(), done.stdout


def test_the_same_bytes_under_hash_seeds_and_threads(tmp_path: Path):
    """Neither the order of hashes nor the number of threads of the linear algebra shows in what is written."""
    runs = [("0", "1"), ("1", "2"), ("random", "1")]
    written = {
        outputs({"PYTHONHASHSEED": seed, "OPENBLAS_NUM_THREADS": threads, "OMP_NUM_THREADS": threads}, tmp_path)
        for seed, threads in runs
    }

    assert len(written) == 1
    assert json.loads(next(iter(written))[0])["findings"]
