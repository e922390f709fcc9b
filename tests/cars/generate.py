"""Draw a car from a seed: looms in a tree, fuse boxes, modules, relays, and many look-alike small loads.

Sized by the number of connector halves: 350 halves hold about 2,200 cavities,
and large cars repeat the pattern zone by zone, with the same share of in-line
plugs. Nothing here is taken from a real car.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from itertools import pairwise

from cars.car import Car, Part, Plug, Strand

HALVES_PER_HARNESS = 28
HARNESSES_PER_ZONE = 10
INLINE_SIZES = (4, 6, 6, 8, 8, 10, 12, 16)
HOUSINGS = ("natural", "black", "grey", "brown", "blue", "green")
KEYWAYS = ("A", "B", "C", "D")
BASES = ("BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK")
SPOTS = (
    "left front", "right front", "left rear", "right rear", "centre", "under the trim", "at the pillar",
    "behind the panel", "lower edge", "upper edge",
)  # fmt: skip
LOOMS = ("body", "dash", "engine", "front", "door left", "door right", "floor", "roof", "rear", "tail gate")


@dataclass(slots=True)
class _Net:
    function: str
    size: str
    base: str
    ends: list[tuple[int, str]] = field(default_factory=list)  # harness number, plug:cavity


@dataclass(slots=True)
class _Zone:
    """What the loads of some looms share: fused feeds, module pins, data lines."""

    feeds: list[_Net] = field(default_factory=list)
    modules: list[tuple[int, list[str], str]] = field(default_factory=list)  # harness, free cavities, plug
    bus: tuple[_Net, _Net] | None = None


class _Builder:
    def __init__(self, seed: int, halves: int) -> None:
        self.rng = random.Random(seed)
        self.halves = halves
        self.car = Car()
        self.nets: list[_Net] = []
        self.count: dict[str, int] = {}
        self.harness_ids: list[str] = []
        self.parent: list[int] = []
        self.depth: list[int] = []
        self.inline: dict[int, list[tuple[str, str, list[str]]]] = {}
        self.zones: dict[int, _Zone] = {}
        self.battery = _Net("battery feed", "16", "RD")
        self.stud_of: dict[int, list[str]] = {}

    def new(self, prefix: str) -> str:
        self.count[prefix] = self.count.get(prefix, 0) + 1
        return f"{prefix}{self.count[prefix]}"

    def net(self, function: str, size: str = "0.5", base: str | None = None) -> _Net:
        net = _Net(function, size, base or self.rng.choice(BASES[2:]))
        self.nets.append(net)
        return net

    # -- looms

    def grow(self) -> None:
        number = len(self.harness_ids)
        loom = LOOMS[number % len(LOOMS)]
        id = f"{loom.replace(' ', '-')}-{number // len(LOOMS) + 1}"
        self.harness_ids.append(id)
        self.car.harnesses[id] = f"{loom.capitalize()} harness {number // len(LOOMS) + 1}"
        zone_root = number - number % HARNESSES_PER_ZONE
        low = zone_root if number != zone_root else max(0, number - HARNESSES_PER_ZONE)
        self.parent.append(self.rng.randrange(low, max(low + 1, min(number, low + 4))) if number else -1)
        self.depth.append(self.depth[self.parent[number]] + 1 if number else 0)
        studs = [self.new("G") for _ in range(self.rng.choice((1, 2, 2)))]
        for stud in studs:
            self.car.grounds[stud] = f"{id}, {self.rng.choice(SPOTS)}"
        self.stud_of[number] = studs
        if number == zone_root:
            self.zones[number] = self.furnish(number)

    def zone(self, harness: int) -> _Zone:
        return self.zones[harness - harness % HARNESSES_PER_ZONE]

    # -- plugs and parts

    def component(
        self, harness: int, kind: str, terminals: list[tuple[str, str | None]], size: int | None = None,
        *, name: str | None = None, amps: float | None = None,
    ) -> tuple[Part, str]:  # fmt: skip
        """A component with one plugged-in connector; returns it and the id of the loom's half."""
        at = f"{self.harness_ids[harness]}, {self.rng.choice(SPOTS)}"
        part = Part(self.new(kind), kind, name or kind, at, amps)
        self.car.parts[part.id] = part
        return part, self.plug(part, harness, terminals, size)

    def plug(self, part: Part, harness: int, terminals: list[tuple[str, str | None]], size: int | None = None) -> str:
        cavities = tuple(str(n + 1) for n in range(max(size or 0, len(terminals))))
        order = list(cavities)
        if len(order) > 2:
            self.rng.shuffle(order)
        keyway, housing = self.rng.choice(KEYWAYS), self.rng.choice(HOUSINGS)
        own, loom = self.new("P"), self.new("C")
        placed = dict(sorted(zip(order, terminals, strict=False), key=lambda item: int(item[0])))
        at = part.at
        self.car.plugs[own] = Plug(own, part.id, None, cavities, "pins", keyway, housing, at, terminals=placed)
        self.car.plugs[loom] = Plug(
            loom, None, self.harness_ids[harness], cavities, "sockets", keyway, housing, at, own
        )
        return loom

    def at_terminal(self, loom: str, terminal: str) -> str:
        own = self.car.plugs[loom].mates or ""
        for cavity, (name, _) in self.car.plugs[own].terminals.items():
            if name == terminal:
                return f"{loom}:{cavity}"
        raise KeyError(terminal)

    def furnish(self, harness: int) -> _Zone:
        """A fuse box with its feeds, and modules with a data bus."""
        zone = _Zone()
        count = min(24, max(6, self.halves // 10))
        outs: list[tuple[str, str | None]] = [(f"F{n + 1}", None) for n in range(count)]
        box, loom = self.component(harness, "fuse", [], 0, name="fuse box")
        del self.car.plugs[self.car.plugs[loom].mates or ""], self.car.plugs[loom]
        feed = self.plug(box, harness, [("IN", "supply")])
        self.battery.ends.append((harness, self.at_terminal(feed, "IN")))
        for start in range(0, count, 12):
            some = outs[start : start + 12]
            loom = self.plug(box, harness, some, len(some) + self.rng.choice((0, 0, 2)))
            for terminal, _ in some:
                rating = self.rng.choice((5.0, 7.5, 10.0, 15.0, 20.0))
                box.insides.append(("IN", terminal, (), None, rating))
                net = self.net(f"fused feed {terminal}", self.rng.choice(("0.5", "0.75", "1")), "RD")
                net.ends.append((harness, self.at_terminal(loom, terminal)))
                zone.feeds.append(net)
        zone.bus = (self.net("data high", "0.35", "YE"), self.net("data low", "0.35", "GN"))
        for _ in range(2 if self.halves >= 100 else 1):
            self.module(zone, harness, self.rng.choice((24, 26, 32)))
        return zone

    def module(self, zone: _Zone, harness: int, size: int) -> None:
        roles = [self.rng.choice(("input", "input", "output-low", "output-high")) for _ in range(size - 5)]
        terminals: list[tuple[str, str | None]] = [
            ("30", "supply"), ("31", "ground"), ("CAN-H", "data"), ("CAN-L", "data"), ("REF", "reference"),
        ]  # fmt: skip
        terminals += [(f"{role[0].upper()}{n}", role) for n, role in enumerate(roles)]
        _, loom = self.component(harness, "module", terminals, size)
        self.feed(zone, harness, self.at_terminal(loom, "30"))
        self.ground(harness, self.at_terminal(loom, "31"))
        if zone.bus is not None:
            zone.bus[0].ends.append((harness, self.at_terminal(loom, "CAN-H")))
            zone.bus[1].ends.append((harness, self.at_terminal(loom, "CAN-L")))
        free = [self.at_terminal(loom, name) for name, _ in terminals[5:]]
        self.rng.shuffle(free)
        zone.modules.append((harness, free, self.at_terminal(loom, "REF")))

    # -- joining

    def feed(self, zone: _Zone, harness: int, end: str) -> None:
        self.rng.choice(zone.feeds).ends.append((harness, end))

    def ground(self, harness: int, end: str) -> None:
        stud, circuit = self.rng.choice(self.stud_of[harness]), self.new("GND")
        self.car.circuits[circuit] = "ground"
        colour = self.rng.choice(("BK", "BN"))
        self.car.wires.append(Strand(end, stud, self.harness_ids[harness], circuit, colour, "0.75"))

    def to_module(self, zone: _Zone, harness: int, end: str, function: str) -> None:
        """Join an end with a free module pin of the zone, or with a fused feed where none is left."""
        open_modules = [module for module in zone.modules if module[1]]
        if not open_modules:
            self.module(zone, harness, self.rng.choice((16, 20, 26)))
            open_modules = [zone.modules[-1]]
        at, free, _ = self.rng.choice(open_modules)
        net = self.net(function)
        net.ends += [(harness, end), (at, free.pop())]

    # -- loads, by the dozen

    def load(self, harness: int) -> None:
        draw = self.rng.choices(
            (self.lamp, self.motor, self.solenoid, self.sensor, self.switch, self.relay, self.cluster, self.hub),
            weights=(22, 12, 14, 18, 14, 10, 7, 3),
        )[0]
        draw(harness)

    def lamp(self, harness: int) -> None:
        _, loom = self.component(
            harness, "lamp", [("58", "supply"), ("31", "ground")], name="lamp",
            amps=self.rng.choice((0.4, 0.4, 1.75)),
        )  # fmt: skip
        self.to_module(self.zone(harness), harness, self.at_terminal(loom, "58"), "lamp feed")
        self.ground(harness, self.at_terminal(loom, "31"))

    def motor(self, harness: int) -> None:
        _, loom = self.component(
            harness, "motor", [("+", "supply"), ("-", "ground")], amps=self.rng.choice((3.0, 5.0, 7.5))
        )
        self.feed(self.zone(harness), harness, self.at_terminal(loom, "+"))
        if self.rng.random() < 0.5:
            self.ground(harness, self.at_terminal(loom, "-"))
        else:
            self.to_module(self.zone(harness), harness, self.at_terminal(loom, "-"), "motor drive")

    def solenoid(self, harness: int) -> None:
        _, loom = self.component(harness, "solenoid", [("+", "supply"), ("-", "ground")], amps=1.2)
        self.feed(self.zone(harness), harness, self.at_terminal(loom, "+"))
        self.to_module(self.zone(harness), harness, self.at_terminal(loom, "-"), "valve drive")

    def sensor(self, harness: int) -> None:
        zone = self.zone(harness)
        wide = self.rng.random() < 0.45
        terminals: list[tuple[str, str | None]] = [("S", "output"), ("R", "return")]
        _, loom = self.component(harness, "sensor", [*terminals, ("V", "supply")] if wide else terminals)
        self.to_module(zone, harness, self.at_terminal(loom, "S"), "sensor signal")
        self.to_module(zone, harness, self.at_terminal(loom, "R"), "sensor return")
        if wide:
            self.feed(zone, harness, self.at_terminal(loom, "V"))

    def switch(self, harness: int) -> None:
        zone = self.zone(harness)
        outs = self.rng.choice((1, 1, 1, 2, 3, 5))
        terminals: list[tuple[str, str | None]] = [("30", None), *((f"{n + 1}", None) for n in range(outs))]
        part, loom = self.component(harness, "switch", terminals)
        part.insides += [("30", f"{n + 1}", (f"p{n + 1}",), None, None) for n in range(outs)]
        self.feed(zone, harness, self.at_terminal(loom, "30"))
        for n in range(outs):
            self.to_module(zone, harness, self.at_terminal(loom, f"{n + 1}"), "switch signal")

    def relay(self, harness: int) -> None:
        zone = self.zone(harness)
        terminals: list[tuple[str, str | None]] = [(name, None) for name in ("30", "85", "86", "87")]
        if self.rng.random() < 0.5:
            terminals.append(("87a", None))
        _, loom = self.component(harness, "relay", terminals, 5)
        self.feed(zone, harness, self.at_terminal(loom, "30"))
        self.feed(zone, harness, self.at_terminal(loom, "86"))
        self.to_module(zone, harness, self.at_terminal(loom, "85"), "relay coil")
        net = self.net("relay output", self.rng.choice(("1", "1.5")))
        net.ends.append((harness, self.at_terminal(loom, "87")))
        kind = self.rng.choice(("motor", "heater", "lamp"))
        names = ("58", "31") if kind == "lamp" else ("+", "-")
        for _ in range(self.rng.choice((1, 1, 2))):
            _, driven = self.component(harness, kind, [(names[0], "supply"), (names[1], "ground")], amps=4.5)
            net.ends.append((harness, self.at_terminal(driven, names[0])))
            self.ground(harness, self.at_terminal(driven, names[1]))

    def cluster(self, harness: int) -> None:
        """A lamp unit with several filaments and one ground."""
        zone = self.zone(harness)
        names = self.rng.sample(("58", "54", "49", "56a", "56b", "55", "52"), self.rng.choice((3, 4, 5)))
        terminals: list[tuple[str, str | None]] = [*((name, "supply") for name in names), ("31", "ground")]
        part, loom = self.component(harness, "lamp", terminals, len(terminals) + self.rng.choice((0, 1, 2)))
        part.insides += [(name, "31", (), f"filament {name}", None) for name in names]
        for name in names:
            self.to_module(zone, harness, self.at_terminal(loom, name), f"lamp feed {name}")
        self.ground(harness, self.at_terminal(loom, "31"))

    def hub(self, harness: int) -> None:
        self.module(self.zone(harness), harness, self.rng.choice((12, 16, 20, 26)))

    # -- routing

    def crossing(self, child: int) -> tuple[str, str]:
        """A free cavity in a plug between a loom and its parent: the child's end and the parent's."""
        plugs = self.inline.setdefault(child, [])
        for loom, other, free in plugs:
            if free and self.rng.random() < 0.9:
                cavity = free.pop()
                return f"{loom}:{cavity}", f"{other}:{cavity}"
        size = self.rng.choice(INLINE_SIZES)
        cavities = tuple(str(n + 1) for n in range(size))
        free = list(cavities)
        self.rng.shuffle(free)
        keyway, housing = self.rng.choice(KEYWAYS), self.rng.choice(HOUSINGS)
        at = f"{self.harness_ids[child]}, {self.rng.choice(SPOTS)}"
        own, other = self.new("X"), self.new("X")
        mine, theirs = self.harness_ids[child], self.harness_ids[self.parent[child]]
        self.car.plugs[own] = Plug(own, None, mine, cavities, "pins", keyway, housing, at, other)
        self.car.plugs[other] = Plug(other, None, theirs, cavities, "sockets", keyway, housing, at)
        plugs.append((own, other, free))
        cavity = free.pop()
        return f"{own}:{cavity}", f"{other}:{cavity}"

    def route(self, net: _Net) -> None:
        """Join the ends of a net through the tree of looms, and wire what meets in each loom."""
        here: dict[int, list[str]] = {}
        for harness, end in net.ends:
            here.setdefault(harness, []).append(end)
        while len(here) > 1:
            child = max(here, key=lambda harness: (self.depth[harness], harness))
            own, other = self.crossing(child)
            parent = self.parent[child]
            self.join(net, child, [*here.pop(child), own])
            here.setdefault(parent, []).append(other)
        for harness, ends in here.items():
            self.join(net, harness, ends)

    def join(self, net: _Net, harness: int, ends: list[str]) -> None:
        circuit = self.new("K")
        id = self.harness_ids[harness]
        stripe = self.rng.choice(BASES)
        colour = net.base if stripe == net.base else f"{net.base}/{stripe}"
        self.car.circuits[circuit] = net.function
        length = round(self.rng.uniform(0.2, 4.0), 1)
        if len(ends) == 2:
            self.car.wires.append(Strand(ends[0], ends[1], id, circuit, colour, net.size, length))
        elif len(ends) > 2:
            splices = [self.new("S") for _ in range((len(ends) + 5) // 6)]
            for splice in splices:
                self.car.splices[splice] = id
            for one, other in pairwise(splices):
                self.car.wires.append(Strand(one, other, id, circuit, colour, net.size, length))
            for n, end in enumerate(ends):
                self.car.wires.append(Strand(end, splices[n % len(splices)], id, circuit, colour, net.size))

    def build(self) -> Car:
        harnesses = max(2, round(self.halves / HALVES_PER_HARNESS))
        for _ in range(harnesses):
            self.grow()
        battery, loom = self.component(0, "battery", [("+", "source")])
        self.battery.ends.insert(0, (0, self.at_terminal(loom, "+")))
        battery.loose.append(("-", "ground", self.stud_of[0][0]))
        self.nets.append(self.battery)
        while len(self.car.plugs) + self.pending() < self.halves:
            self.load(self.rng.randrange(harnesses))
        for net in self.nets:
            self.route(net)
        return self.car

    def pending(self) -> int:
        """In-line halves still to come: about three in ten of all."""
        return round(len(self.car.plugs) * 0.42)


def make_car(seed: int, halves: int = 350) -> Car:
    """A car of about that many connector halves (350: about 2,200 cavities)."""
    return _Builder(seed, halves).build()
