"""Pairs of cars for the tests of assembling, and what of a car is compared."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from cars.car import vehicle_of
from cars.generate import make_car
from cars.mutate import Mix, Truth, mutate
from cars.scramble import scrambled

from builders.demo import RICH, demo_vehicle, vehicle_at
from builders.files import bare, xml
from harnesscheck.align import align
from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.assemble.assemble import assembly
from harnesscheck.assemble.choice import DONOR, SHELL, Choice
from harnesscheck.compare.compare import compare
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.model.records import Netlist
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure
from harnesscheck.read.check import check
from harnesscheck.read.faults import Faults
from harnesscheck.write.xml import write_xml

DEMO = Path(__file__).parent.parent.parent / "harness_demo"
HEADER = 'volts="12" colour-code="iec60757"'
World = tuple[Vehicle, Vehicle, Pairs]
ALL_DONOR = Choice({"*": DONOR}, {"*": DONOR})
ALL_SHELL = Choice({"*": SHELL}, {"*": SHELL})


def car(rows: str, header: str = HEADER) -> Vehicle:
    """A car of these rows; an input fault fails the test with its text."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "car.xml"
        path.write_text(xml(rows, header), encoding="utf-8")
        return vehicle_at(path)


def assemble(donor: Vehicle, shell: Vehicle, pairs: Pairs, choice: Choice) -> Vehicle:
    """The car that a choice gives, without the pairs it was made by."""
    return assembly(donor, shell, pairs, choice).vehicle


def read_back(vehicle: Vehicle) -> Vehicle:
    """The car written as XML and read again."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "car.xml"
        write_xml(vehicle.netlist, path)
        return vehicle_at(path)


def _good(result: Any) -> Netlist:
    assert isinstance(result, Netlist), "\n".join(map(str, result))
    return result


def content(vehicle: Vehicle) -> dict[str, Any]:
    """All a car says, without places and the order of rows."""
    return bare(vehicle.netlist)


def faults_of(vehicle: Vehicle) -> list[str]:
    """The rules of the file format a car breaks."""
    faults = Faults()
    check(vehicle.netlist, faults)
    return [str(fault) for fault in faults.found]


def found(a: Vehicle, b: Vehicle, pairs: Pairs) -> tuple[Finding, ...]:
    """Everything a compare finds."""
    return compare(Study(a), Study(b), pairs).findings


def serious(a: Vehicle, b: Vehicle, pairs: Pairs) -> list[str]:
    """Everything above note."""
    return [f"{one.kind} {one.donor} {one.shell}" for one in found(a, b, pairs) if one.severity < Severity.NOTE]


@cache
def demo() -> World:
    """The two vans of the demonstration."""
    donor, shell = (demo_vehicle(name) for name in ("donor", "shell"))
    return donor, shell, align(Study(donor), Study(shell))


@cache
def rich() -> World:
    """Two small cars with a little of everything, and much of it not fully known."""

    donor, shell = (vehicle_at(RICH / f"rich-{name}.xml") for name in ("donor", "shell"))
    return donor, shell, align(Study(donor), Study(shell))


@cache
def made(seed: int, halves: int = 60, *, renamed: bool = True) -> World:
    """Two versions of a made-up car, with the pairs that are true."""
    mix = Mix(edits=0.2, renamed=renamed)
    a, b, truth = mutate(make_car(seed, halves), seed, mix)
    return read_back(vehicle_of(a, "donor car")), read_back(vehicle_of(b, "shell car")), _true(truth)


def _true(truth: Truth) -> Pairs:
    def rows(names: Mapping[str, str]) -> tuple[Pair, ...]:
        return tuple(Pair(a, b, 1.0, "made so") for a, b in names.items())

    return Pairs(
        connectors=rows(truth.plugs),
        components=rows(truth.parts),
        circuits=rows(truth.circuits),
        harnesses=rows(truth.harnesses),
        grounds=rows(truth.grounds),
        cavities=dict(truth.cavities),
    )


@cache
def renamed(*, plugs_only: bool = False) -> World:
    """The demonstration's donor and the same car with every id changed and every name gone."""
    donor = demo()[0]
    netlist, names = scrambled(donor.netlist, 3)

    def rows(sort: str) -> tuple[Pair, ...]:
        return tuple(Pair(a, b, 1.0, "made so") for a, b in names[sort].items())

    pairs = Pairs(rows("connectors"), rows("components"), rows("circuits"), rows("harnesses"), rows("grounds"))
    shell = configure(netlist)
    if not plugs_only:
        return donor, shell, pairs
    donor, shell = _looms(donor), _looms(shell)
    held = tuple(pair for pair in pairs.connectors if pair.donor in donor.connectors)
    return donor, shell, replace(pairs, components=(), connectors=held)


def _looms(vehicle: Vehicle) -> Vehicle:
    """The car without its parts: nothing but names tells what a wire is."""
    rows = vehicle.netlist
    held = {row.id for row in rows.connectors if row.component is None}
    plugs = (replace(row, mates=row.mates if row.mates in held else None) for row in rows.connectors if row.id in held)
    pins = tuple(row for row in rows.pins if row.connector in held)
    return Vehicle(replace(rows, components=(), insides=(), lid=(), connectors=tuple(plugs), pins=pins))


@cache
def strangers(seed: int) -> World:
    """Two cars with nothing in common but their ids."""
    one, other = (read_back(vehicle_of(make_car(number, 24), f"car {number}")) for number in (seed, seed + 1000))
    return one, other, Pairs()


def mispaired(world: World, seed: int) -> World:
    """The same cars with pairs drawn at random: a bad crosswalk must not make a broken car."""
    rng = random.Random(seed)
    donor, shell, _ = world

    def rows(ours: Iterable[str], theirs: Iterable[str]) -> tuple[Pair, ...]:
        there = sorted(theirs)
        return tuple(Pair(id, rng.choice(there), rng.random(), "drawn") for id in sorted(ours) if rng.random() < 0.7)

    circuits = ({pin.circuit for pin in car.netlist.pins if pin.circuit} for car in (donor, shell))
    pairs = Pairs(
        connectors=rows(donor.connectors, shell.connectors),
        components=rows(donor.components, shell.components),
        circuits=rows(*circuits),
        harnesses=tuple(Pair(a, b, 1.0, "drawn") for a, b in zip(donor.harnesses, shell.harnesses, strict=False)),
        grounds=rows(donor.grounds, shell.grounds),
    )
    return donor, shell, pairs


def mixed(world: World, seed: int) -> Choice:
    """A choice drawn from a seed: harnesses of both cars, a third of the parts that can leave their harness by name."""
    rng = random.Random(seed)
    donor, shell, pairs = world
    looms = rng.sample(sorted(donor.harnesses), len(donor.harnesses))
    taken = rng.randint(1, max(1, len(looms) - 1))
    harness = {id: "donor" if number < taken else "shell" for number, id in enumerate(looms)}
    free = [id for id, row in donor.components.items() if row.with_ is None and not _bound(id, shell, pairs)]
    return Choice(harness, {id: rng.choice(("donor", "shell", "none")) for id in free if rng.random() < 0.3})


def _bound(id: str, shell: Vehicle, pairs: Pairs) -> bool:
    pair = pairs.component.get(id)
    return pair is not None and shell.components[pair.shell].with_ is not None
