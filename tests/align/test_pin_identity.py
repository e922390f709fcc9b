"""A wire in another cavity is a fault, also in a plug that was split, merged or has gained cavities."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cars import Car, make_car, vehicle_of
from cars.mutate import rename

from harnesscheck.align import align
from harnesscheck.network.graph.sides import Study

KEPT = 6  # cavities of the plug that is split


def study(car: Car) -> Study:
    return Study(vehicle_of(car))


def wires_in(car: Car, plug: str) -> dict[str, int]:
    """The number of the wire by cavity."""
    ends = ((end, n) for n, wire in enumerate(car.wires) for end in (wire.a, wire.b))
    return {end.partition(":")[2]: n for end, n in ends if end.partition(":")[0] == plug}


def put(car: Car, number: int, old: str, new: str) -> None:
    wire = car.wires[number]
    wire.a, wire.b = (new if end == old else end for end in (wire.a, wire.b))


def exchange(car: Car, plug: str, cavities: tuple[str, str]) -> None:
    """Two wires of a plug in each other's cavity."""
    one, other = (f"{plug}:{cavity}" for cavity in cavities)
    held = wires_in(car, plug)
    numbers = [held[cavity] for cavity in cavities]
    for number, old, new in zip(numbers, (one, other), (other, one), strict=True):
        put(car, number, old, new)


def inline(car: Car, least: int) -> tuple[str, list[str]]:
    """An in-line plug and its cavities above ``KEPT`` with a wire on both sides, of which there are some."""
    for plug in car.plugs.values():
        mate = car.plugs.get(plug.mates or "")
        if mate is None or plug.part or mate.part:
            continue
        both = wires_in(car, plug.id).keys() & wires_in(car, mate.id).keys()
        high = sorted((name for name in both if int(name) > KEPT), key=int)
        if len(high) >= least and len(both) - len(high) >= 3:
            return plug.id, high
    raise AssertionError("no such plug; take another seed")


def split(car: Car, plug: str) -> Car:
    """The car with the plug's high cavities, and its mate's, in plugs of their own, numbered from 1."""
    car = car.copy()
    mate = car.plugs[plug].mates or ""
    for half in (plug, mate):
        row = car.plugs[half]
        high = row.cavities[KEPT:]
        names = {f"{half}:{name}": f"{half}S:{n}" for n, name in enumerate(high, start=1)}
        for wire in car.wires:
            wire.a, wire.b = names.get(wire.a, wire.a), names.get(wire.b, wire.b)
        low = tuple(str(n) for n in range(1, len(high) + 1))
        car.plugs[f"{half}S"] = replace(row, id=f"{half}S", cavities=low, mates=None)
        row.cavities = row.cavities[:KEPT]
    car.plugs[f"{plug}S"].mates = f"{mate}S"
    return car


@pytest.mark.parametrize("merged", [False, True])
@pytest.mark.parametrize("first", [0, 1, 2])
@pytest.mark.parametrize("side", [0, 1])
def test_two_wires_exchanged_in_a_plug_that_was_split_or_merged(merged: bool, first: int, side: int):
    """The cavities keep their own numbers, those of the two wires too; whichever half the wires are in."""
    car = make_car(41, 200)
    plug, high = inline(car, 4)
    half = plug if side == 0 else car.plugs[plug].mates or ""
    other = split(car, plug)
    moved = {f"{half}:{name}": f"{half}S:{int(name) - KEPT}" for name in high}
    exchange(other, f"{half}S", (str(int(high[first]) - KEPT), str(int(high[first + 1]) - KEPT)))
    shell, truth = rename(car if merged else other, 3)
    wanted = {b: a for a, b in moved.items()} if merged else moved

    found = align(study(other if merged else car), study(shell)).cavities

    there = {end: f"{truth.plugs[end.partition(':')[0]]}:{end.partition(':')[2]}" for end in wanted.values()}
    assert {a: found.get(a) for a in wanted} == {a: there[b] for a, b in wanted.items()}


def test_a_wire_missing_in_a_plug_that_was_split_is_told_in_its_cavity():
    car = make_car(41, 200)
    plug, high = inline(car, 4)
    other = split(car, plug)
    gone = f"{plug}S:{int(high[1]) - KEPT}"
    other.wires.pop(wires_in(other, f"{plug}S")[gone.partition(":")[2]])
    shell, truth = rename(other, 4)

    found = align(study(car), study(shell)).cavities

    assert found[f"{plug}:{high[1]}"] == f"{truth.plugs[f'{plug}S']}:{int(high[1]) - KEPT}"


@pytest.mark.parametrize("plug", ["C21", "C26", "C33"])
def test_two_wires_exchanged_on_a_part_whose_plug_has_gained_a_cavity(plug: str):
    """A two-way plug became a three-way one and its wires changed places: one plug, cavity by cavity."""
    car = bare(make_car(42, 120))
    socket = car.plugs[plug].mates or next(other.id for other in car.plugs.values() if other.mates == plug)
    shell = car.copy()
    for half in (socket, plug):
        shell.plugs[half].cavities += ("3",)
    exchange(shell, plug, ("1", "2"))
    renamed, truth = rename(shell, 5)

    pairs = align(study(car), study(renamed))

    assert car.plugs[socket].part is not None and len(car.plugs[plug].cavities) == 2
    assert pairs.connector[plug].shell == truth.plugs[plug]
    assert not [end for end in pairs.cavities if end.startswith(f"{plug}:")]


def bare(car: Car) -> Car:
    """The car without colours, sizes, housings, places: only its wires tell its plugs apart."""
    for wire in car.wires:
        wire.colour = wire.size = None
    for row in car.plugs.values():
        row.housing = row.at = row.keyway = None
    for part in car.parts.values():
        part.at = None
    return car
