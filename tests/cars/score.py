"""How good an alignment is, measured against the truth up to the car's own symmetry.

A pair counts as right if its donor row could be exchanged for the true one by a
symmetry of the donor: no data can do better. Symmetry is found by colour
refinement of the donor against itself.
"""

from __future__ import annotations

import random
from collections import Counter, defaultdict
from collections.abc import Hashable, Mapping
from dataclasses import dataclass

from cars.car import BASES_OF_FAULTS, Car, Strand
from cars.mutate import Truth
from harnesscheck.align import Pairs
from harnesscheck.align.number import both
from harnesscheck.align.refine import first_colours, refined
from harnesscheck.network.graph.sides import Study

Map = Mapping[str, str]


@dataclass(frozen=True)
class Orbits:
    """A number for every connector, component and piece of one car; equal numbers are exchangeable."""

    connector: Mapping[str, Hashable]
    component: Mapping[str, Hashable]
    piece: Mapping[int, Hashable]

    def cavity(self, end: str) -> Hashable:
        """The number of a cavity, as ``C12:4``."""
        connector, _, name = end.partition(":")
        return self.connector.get(connector), name


def orbits(study: Study) -> Orbits:
    """The exchangeable rows of a car."""
    cars = both(study, study)
    colours = refined(cars, first_colours(cars))
    n, m = cars.connectors.donors, cars.components.donors
    pieces: dict[int, Hashable] = {}
    rows = zip(cars.hole_connector.tolist(), cars.hole_cavity.tolist(), cars.hole_piece.tolist(), strict=True)
    for connector, cavity, piece in rows:
        if connector < n:
            number = study.index.piece(cars.connectors.ids[connector], cars.words[cavity])
            assert number is not None
            pieces[number] = int(colours.piece[piece])
    return Orbits(
        dict(zip(cars.connectors.ids[:n], colours.connector[:n].tolist(), strict=True)),
        dict(zip(cars.components.ids[:m], colours.component[:m].tolist(), strict=True)),
        pieces,
    )


def right(truth: Map, got: Map, orbit: Mapping[str, Hashable]) -> int:
    """How many pairs are right up to symmetry."""
    back: dict[str, set[Hashable]] = defaultdict(set)
    for a, b in truth.items():
        back[b].add(orbit.get(a, a))
    return sum(orbit.get(a, a) in back.get(b, ()) for a, b in got.items())


def f1(truth: Map, got: Map, orbit: Mapping[str, Hashable]) -> float:
    """Harmonic mean of precision and recall."""
    return 2 * right(truth, got, orbit) / max(1, len(truth) + len(got))


def cavity_map(donor: Study, shell: Study, plugs: Map, moved: Map) -> dict[str, str]:
    """Every cavity of the donor with a partner: of the same name in the paired plug, or where it moved."""
    there = {f"{row.id}:{name}" for row in shell.vehicle.connectors.values() for name in row.cavities or ()}
    found = {}
    for ours, theirs in plugs.items():
        for name in donor.vehicle.connectors[ours].cavities or ():
            end = moved.get(f"{ours}:{name}", f"{theirs}:{name}")
            if end in there:
                found[f"{ours}:{name}"] = end
    return found


def pair_maps(donor: Study, shell: Study, pairs: Pairs, truth: Truth) -> tuple[dict[str, str], dict[str, str]]:
    """The cavity maps of an alignment and of the truth."""
    plugs = {pair.donor: pair.shell for pair in pairs.connectors}
    return (
        cavity_map(donor, shell, plugs, pairs.cavities),
        cavity_map(donor, shell, truth.plugs, truth.cavities),
    )


def differences(donor: Study, shell: Study, cavities: Map, marks: Orbits) -> Counter[Hashable]:
    """Opens and shorts between two cars under a cavity map, told apart up to the donor's symmetry.

    An open is a piece of the donor whose mapped cavities lie on several pieces of
    the shell; a short is a piece of the shell with cavities of several of the donor.
    """
    groups: dict[int, set[int | str]] = defaultdict(set)
    back: dict[int, set[int | str]] = defaultdict(set)
    for ours, theirs in cavities.items():
        p, q = _piece(donor, ours), _piece(shell, theirs)
        if p is not None:
            groups[p].add(f"empty {theirs}" if q is None else q)
        if q is not None:
            back[q].add(f"empty {ours}" if p is None else p)
    found: Counter[Hashable] = Counter()
    for piece, parts in groups.items():
        if len(parts) > 1:
            found["open", marks.piece.get(piece)] += 1
    for members in back.values():
        if len(members) > 1:
            found["short", tuple(sorted(str(_mark(marks, member)) for member in members))] += 1
    return found


def _mark(marks: Orbits, member: int | str) -> Hashable:
    return marks.cavity(member.removeprefix("empty ")) if isinstance(member, str) else marks.piece.get(member)


def _piece(study: Study, end: str) -> int | None:
    connector, _, cavity = end.partition(":")
    return study.index.piece(connector, cavity)


FAULTS = ("removed", "swapped", "moved", "short")


def with_fault(car: Car, fault: str, rng: random.Random) -> Car:
    """The car with one fault in one loom."""
    car = car.copy()
    used = {end for wire in car.wires for end in (wire.a, wire.b)}
    wires = [wire for wire in car.wires if ":" in wire.a]
    wire = rng.choice(wires)
    if fault == "removed":
        car.wires.remove(wire)
    elif fault == "swapped":
        plug = wire.a.partition(":")[0]
        mates = [w for w in wires if w is not wire and w.a.partition(":")[0] == plug]
        other = rng.choice(mates or [w for w in wires if w.harness == wire.harness and w is not wire])
        wire.a, other.a = other.a, wire.a
    elif fault == "moved":
        free = [f"{p.id}:{n}" for p in car.plugs.values() if p.harness == wire.harness for n in p.cavities]
        wire.a = rng.choice([end for end in free if end not in used] or [wire.a])
    else:
        other = rng.choice([w for w in wires if w.harness == wire.harness and w is not wire])
        colour = rng.choice(BASES_OF_FAULTS)
        car.wires.append(Strand(wire.a, other.a, wire.harness, wire.circuit, colour, "0.5"))
    return car
