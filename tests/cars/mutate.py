"""Another version of a car: edited, renamed, partly forgotten, with the truth kept beside it.

An edit works on a copy that still has the old names, so the truth is plain;
``rename`` comes last and carries the truth along.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

from cars.car import Car, Part, Plug, Strand
from cars.generate import BASES, HOUSINGS, KEYWAYS, SPOTS

SIZES = ("0.35", "0.5", "0.75", "1", "1.5", "2.5")
ERASABLE = frozenset({"colour", "size", "housing", "at"})
SORTS = ("plugs", "parts", "circuits", "harnesses", "grounds", "splices")


@dataclass(frozen=True, slots=True)
class Mix:
    """How another version differs.

    ``edits`` is the share of wires that get one edit each, and of joints (plugs
    with their mates) that do. ``erase`` names what is lost from both versions.
    ``permuted`` is the share of wire ends exchanged among each other within a
    loom. ``misleading`` is the share of new names that another row had before;
    ``renamed`` False leaves every name.
    """

    edits: float = 0.0
    erase: frozenset[str] = frozenset()
    permuted: float = 0.0
    renamed: bool = True
    misleading: float = 0.5
    wire_edits: tuple[tuple[str, float], ...] = (
        ("remove", 25), ("move", 20), ("elsewhere", 10), ("swap", 10), ("recolour", 20), ("resize", 15),
        ("add", 15),
    )  # fmt: skip
    plug_edits: tuple[tuple[str, float], ...] = (
        ("relocate", 25), ("rehouse", 25), ("grow", 15), ("absent", 12), ("new_part", 12), ("split", 6),
        ("merge", 5),
    )  # fmt: skip


@dataclass(slots=True)
class Truth:
    """Which row of the first car is which of the second; ``cavities`` holds only what changed plugs.

    A plug that was merged into another has that one as its partner.
    """

    plugs: dict[str, str] = field(default_factory=dict)
    parts: dict[str, str] = field(default_factory=dict)
    circuits: dict[str, str] = field(default_factory=dict)
    harnesses: dict[str, str] = field(default_factory=dict)
    grounds: dict[str, str] = field(default_factory=dict)
    splices: dict[str, str] = field(default_factory=dict)
    cavities: dict[str, str] = field(default_factory=dict)


class _Editor:
    """One car being edited; every edit looks for its place and leaves the car alone where it finds none."""

    def __init__(self, car: Car, rng: random.Random) -> None:
        self.car = car
        self.rng = rng
        self.moved: dict[str, str] = {}
        self.merged: dict[str, str] = {}
        self.made = 0
        self.used = {end for wire in car.wires for end in (wire.a, wire.b) if ":" in end}
        self.plugs_of: dict[str, list[str]] = {}
        for plug in car.plugs.values():
            if plug.harness is not None:
                self.plugs_of.setdefault(plug.harness, []).append(plug.id)

    def new(self, prefix: str) -> str:
        self.made += 1
        return f"{prefix}new{self.made}"

    def free(self, plug: str) -> str | None:
        row = self.car.plugs.get(plug)
        ends = [f"{plug}:{cavity}" for cavity in row.cavities] if row is not None else []
        ends = [end for end in ends if end not in self.used]
        return self.rng.choice(ends) if ends else None

    def take(self, wire: Strand, old: str, new: str) -> None:
        if wire.a == old:
            wire.a = new
        else:
            wire.b = new
        self.used.discard(old)
        self.used.add(new)

    def cavity_end(self, wire: Strand) -> str | None:
        ends = [end for end in (wire.a, wire.b) if ":" in end]
        return self.rng.choice(ends) if ends else None

    # -- wires

    def remove(self, wire: Strand) -> None:
        self.used -= {wire.a, wire.b}
        wire.harness = ""  # swept out at the end

    def move(self, wire: Strand) -> None:
        end = self.cavity_end(wire)
        new = self.free(end.partition(":")[0]) if end else None
        if end and new:
            self.take(wire, end, new)

    def elsewhere(self, wire: Strand) -> None:
        end = self.cavity_end(wire)
        new = self.free(self.rng.choice(self.plugs_of[wire.harness])) if end else None
        if end and new:
            self.take(wire, end, new)

    def swap(self, wire: Strand) -> None:
        end = self.cavity_end(wire)
        plug = end.partition(":")[0] if end else ""
        others = [
            (other, at)
            for other in self.car.wires
            for at in (other.a, other.b)
            if other is not wire and other.harness == wire.harness and at.partition(":")[0] == plug
        ]
        if end and others:
            other, at = self.rng.choice(others)
            self.take(wire, end, at)
            self.take(other, at, end)
            self.used |= {end, at}

    def recolour(self, wire: Strand) -> None:
        base, stripe = self.rng.sample(BASES, 2)
        wire.colour = f"{base}/{stripe}"

    def resize(self, wire: Strand) -> None:
        wire.size = self.rng.choice([size for size in SIZES if size != wire.size])

    def add(self, wire: Strand) -> None:
        a, b = (self.free(self.rng.choice(self.plugs_of[wire.harness])) for _ in range(2))
        if a and b and a != b:
            base, stripe = self.rng.sample(BASES, 2)
            circuit = self.new("K")
            self.car.circuits[circuit] = "added"
            self.car.wires.append(Strand(a, b, wire.harness, circuit, f"{base}/{stripe}", "0.5", 1.0))
            self.used |= {a, b}

    # -- plugs and parts

    def halves(self, plug: Plug) -> list[Plug]:
        mate = self.car.plugs.get(plug.mates or "")
        return [plug] if mate is None else [plug, mate]

    def relocate(self, plug: Plug) -> None:
        at = f"{plug.harness}, {self.rng.choice(SPOTS)} again"
        for half in self.halves(plug):
            half.at = at
            if half.part is not None:
                self.car.parts[half.part].at = at

    def rehouse(self, plug: Plug) -> None:
        housing, keyway = self.rng.choice(HOUSINGS), self.rng.choice(KEYWAYS)
        for half in self.halves(plug):
            half.housing, half.keyway = housing, keyway

    def grow(self, plug: Plug) -> None:
        more = self.rng.choice((1, 2))
        count = len(plug.cavities)
        for half in self.halves(plug):
            half.cavities += tuple(str(count + n + 1) for n in range(more))

    def absent(self, plug: Plug) -> None:
        part = next((half.part for half in self.halves(plug) if half.part), None)
        if part is not None and self.car.parts[part].kind in ("fuse", "battery", "module"):
            return
        gone = {half.id for half in self.halves(plug)}
        for id in gone:
            del self.car.plugs[id]
        for wire in self.car.wires:
            if {wire.a.partition(":")[0], wire.b.partition(":")[0]} & gone:
                self.remove(wire)
        if part is not None and all(row.part != part for row in self.car.plugs.values()):
            del self.car.parts[part]

    def new_part(self, plug: Plug) -> None:
        harness = plug.harness or ""
        at = f"{harness}, {self.rng.choice(SPOTS)}"
        kind = self.rng.choice(("lamp", "motor", "sensor", "switch"))
        part = Part(self.new(kind), kind, kind, at, None)
        cavities = tuple(str(n + 1) for n in range(self.rng.choice((2, 2, 3, 4))))
        keyway, housing = self.rng.choice(KEYWAYS), self.rng.choice(HOUSINGS)
        own, loom = self.new("P"), self.new("C")
        self.car.parts[part.id] = part
        roles: list[tuple[str, str | None]] = [("a", "supply"), ("b", "ground"), ("c", "input"), ("d", "output")]
        self.car.plugs[own] = Plug(
            own, part.id, None, cavities, "pins", keyway, housing, at,
            terminals=dict(zip(cavities, roles, strict=False)),
        )  # fmt: skip
        self.car.plugs[loom] = Plug(loom, None, harness, cavities, "sockets", keyway, housing, at, own)
        for cavity in cavities:
            far = self.free(self.rng.choice(self.plugs_of[harness]))
            if far:
                wire = Strand(f"{loom}:{cavity}", far, harness, self.new("K"), None, "0.5", 1.0)
                wire.colour = "/".join(self.rng.sample(BASES, 2))
                self.car.circuits[wire.circuit or ""] = "added"
                self.car.wires.append(wire)
                self.used |= {wire.a, wire.b}

    def renumbered(self, old: Plug, new: Plug, cavities: Iterable[str]) -> None:
        """Carry cavities of one half over into another, numbered on behind what is there."""
        ends: dict[str, str] = {}
        for cavity in cavities:
            number = str(len(new.cavities) + 1)
            new.cavities += (number,)
            ends[f"{old.id}:{cavity}"] = f"{new.id}:{number}"
        for wire in self.car.wires:
            wire.a, wire.b = ends.get(wire.a, wire.a), ends.get(wire.b, wire.b)
        self.used = {ends.get(end, end) for end in self.used}
        moved = {old: ends.get(new, new) for old, new in self.moved.items()}
        self.moved = {**{old: new for old, new in ends.items() if old not in moved.values()}, **moved}

    def split(self, plug: Plug) -> None:
        """An in-line plug of eight or more becomes two: the high cavities go into a plug of their own."""
        if len(plug.cavities) < 8 or any(half.part for half in self.halves(plug)) or plug.mates is None:
            return
        keep = len(plug.cavities) * 3 // 5
        ids = [self.new("X") for _ in range(2)]
        for half, id in zip(self.halves(plug), ids, strict=True):
            new = replace(half, id=id, cavities=(), mates=None, terminals={})
            self.car.plugs[id] = new
            self.plugs_of[new.harness or ""].append(id)
            self.renumbered(half, new, half.cavities[keep:])
            half.cavities = half.cavities[:keep]
        self.car.plugs[ids[0]].mates = ids[1]

    def merge(self, plug: Plug) -> None:
        """An in-line plug takes in another one between the same two looms."""
        mine = self.halves(plug)
        if len(mine) < 2 or any(half.part for half in mine):
            return
        looms = [half.harness for half in mine]
        for other in list(self.car.plugs.values()):
            theirs = self.halves(other)
            if other.id != plug.id and len(theirs) == 2 and [half.harness for half in theirs] == looms:
                if any(half.part for half in theirs) or {h.id for h in theirs} & {h.id for h in mine}:
                    continue
                for into, gone in zip(mine, theirs, strict=True):
                    self.renumbered(gone, into, gone.cavities)
                    self.merged[gone.id] = into.id
                    del self.car.plugs[gone.id]
                return

    # -- all together

    def permute(self, share: float) -> None:
        """Exchange chosen wire ends among each other within each loom."""
        chosen: dict[str, list[tuple[Strand, bool]]] = {}
        for wire in self.car.wires:
            for first in (True, False):
                if ":" in (wire.a if first else wire.b) and self.rng.random() < share:
                    chosen.setdefault(wire.harness, []).append((wire, first))
        for slots in chosen.values():
            ends = [wire.a if first else wire.b for wire, first in slots]
            self.rng.shuffle(ends)
            for (wire, first), end in zip(slots, ends, strict=True):
                if first:
                    wire.a = end
                else:
                    wire.b = end

    def run(self, mix: Mix) -> None:
        names, weights = zip(*mix.wire_edits, strict=True)
        for wire in list(self.car.wires):
            if wire.harness and self.rng.random() < mix.edits:
                edit: Callable[[Strand], None] = getattr(self, self.rng.choices(names, weights)[0])
                edit(wire)
        names, weights = zip(*mix.plug_edits, strict=True)
        joints = [plug for plug in self.car.plugs.values() if plug.mates is not None]
        for plug in joints:
            if plug.id in self.car.plugs and self.rng.random() < mix.edits:
                change: Callable[[Plug], None] = getattr(self, self.rng.choices(names, weights)[0])
                change(plug)
        self.permute(mix.permuted)
        self.sweep()

    def sweep(self) -> None:
        known = self.car.plugs.keys() | self.car.splices.keys() | self.car.grounds.keys()
        self.car.wires = [
            wire
            for wire in self.car.wires
            if wire.harness and {wire.a.partition(":")[0], wire.b.partition(":")[0]} <= known
        ]


def erased(car: Car, what: frozenset[str]) -> Car:
    """The car with colours, sizes, housings or places forgotten."""
    car = car.copy()
    for wire in car.wires:
        wire.colour = None if "colour" in what else wire.colour
        wire.size = None if "size" in what else wire.size
    for plug in car.plugs.values():
        if "housing" in what:
            plug.housing = plug.keyway = None
        plug.at = None if "at" in what else plug.at
    for part in car.parts.values():
        part.at = None if "at" in what else part.at
    if "at" in what:
        car.grounds = dict.fromkeys(car.grounds)
    return car


def _new_names(rng: random.Random, old: list[str], misleading: float) -> dict[str, str]:
    """New names for the rows of one sort; a share of them are names that other rows had before."""
    fooled = [id for id in old if rng.random() < misleading]
    shifted = fooled[1:] + fooled[:1]
    names = dict(zip(fooled, shifted, strict=True))
    letters = "ABCDEFGHJKLMNPRSTUVW"
    kept, taken = set(names), set(names.values())
    for id in old:
        while id not in names or (id not in kept and names[id] in taken):
            names[id] = f"{rng.choice(letters)}{rng.choice(letters)}{rng.randrange(10 ** len(str(len(old)))):03d}"
        taken.add(names[id])
    return names


def rename(car: Car, seed: int, misleading: float = 0.5) -> tuple[Car, Truth]:
    """The same car with every name of its own making changed, functions too, and all rows shuffled."""
    rng = random.Random(seed)
    names: dict[str, str] = {}
    truth = Truth()
    for sort in SORTS:
        given = _new_names(rng, list(getattr(car, sort)), misleading)
        fresh = {old: new if _was(car, new) else f"{sort[:2].upper()}{new}" for old, new in given.items()}
        setattr(truth, sort, fresh)
        if sort != "circuits":
            names.update(fresh)
    return _renamed(car, truth, names, rng), truth


def _was(car: Car, id: str) -> bool:
    return any(id in getattr(car, sort) for sort in SORTS)


def _end(names: dict[str, str], end: str) -> str:
    owner, colon, cavity = end.partition(":")
    return f"{names.get(owner, owner)}{colon}{cavity}"


def _shuffled(rng: random.Random, rows: Iterable[str]) -> list[str]:
    order = list(rows)
    rng.shuffle(order)
    return order


def _renamed(car: Car, truth: Truth, names: dict[str, str], rng: random.Random) -> Car:
    new = Car()
    functions = _shuffled(rng, [text or "" for text in car.circuits.values()])
    new.circuits = {truth.circuits[id]: text for id, text in zip(_shuffled(rng, car.circuits), functions, strict=True)}
    new.harnesses = {names[id]: f"loom {n}" for n, id in enumerate(_shuffled(rng, car.harnesses))}
    new.splices = {names[id]: names[car.splices[id]] for id in _shuffled(rng, car.splices)}
    new.grounds = {names[id]: car.grounds[id] for id in _shuffled(rng, car.grounds)}
    for id in _shuffled(rng, car.parts):
        part = car.parts[id]
        loose = [(terminal, role, _end(names, to)) for terminal, role, to in part.loose]
        new.parts[names[id]] = replace(part, id=names[id], name=f"part {len(new.parts)}", loose=loose)
    for id in _shuffled(rng, car.plugs):
        plug = car.plugs[id]
        new.plugs[names[id]] = replace(
            plug,
            id=names[id],
            part=names[plug.part] if plug.part else None,
            harness=names[plug.harness] if plug.harness else None,
            mates=names.get(plug.mates) if plug.mates else None,
        )
    wires = list(car.wires)
    rng.shuffle(wires)
    for wire in wires:
        ends = [_end(names, wire.a), _end(names, wire.b)]
        rng.shuffle(ends)
        circuit = truth.circuits[wire.circuit] if wire.circuit else None
        new.wires.append(replace(wire, a=ends[0], b=ends[1], harness=names[wire.harness], circuit=circuit))
    return new


def mutate(car: Car, seed: int, mix: Mix) -> tuple[Car, Car, Truth]:
    """The car as a donor (only what ``erase`` names forgotten) and another version of it, with the truth."""
    rng = random.Random(seed)
    donor = erased(car, mix.erase)
    editor = _Editor(donor.copy(), rng)
    editor.run(mix)
    shell = erased(editor.car, mix.erase)
    if mix.renamed:
        shell, names = rename(shell, rng.randrange(2**30), mix.misleading)
    else:
        names = Truth(**{sort: {id: id for id in getattr(shell, sort)} for sort in SORTS})
    truth = Truth(
        **{
            sort: {id: getattr(names, sort)[id] for id in getattr(donor, sort) if id in getattr(names, sort)}
            for sort in SORTS
        }
    )
    for gone, into in editor.merged.items():
        while into in editor.merged:
            into = editor.merged[into]
        if gone in donor.plugs and into in names.plugs:
            truth.plugs[gone] = names.plugs[into]
    wired = {wire.circuit for wire in shell.wires}
    truth.circuits = {old: new for old, new in truth.circuits.items() if new in wired}
    truth.cavities = {old: _end(names.plugs, new) for old, new in editor.moved.items()}
    return donor, shell, truth
