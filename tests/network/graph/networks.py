"""Small random networks: a battery, a key switch, and fuses, switches, relays, diodes, resistors, lamps wired anyhow.

Every wire has both ends written and every plug both halves, so nothing is unknown.
"""

from __future__ import annotations

import random

from harnesscheck.model.records import (
    Circuit,
    Component,
    Connector,
    Ground,
    Harness,
    Header,
    Inside,
    Netlist,
    Pin,
    Splice,
    Wire,
)

KINDS = ("fuse", "fuse", "switch", "relay", "relay", "diode", "resistor", "lamp", "box")
TERMINALS = {
    "fuse": ("1", "2"),
    "switch": ("in", "a", "b"),
    "relay": ("30", "85", "86", "87", "87a"),
    "diode": ("A", "K"),
    "resistor": ("1", "2"),
    "lamp": ("+", "-"),
    "box": ("30", "a", "b"),
    "key": ("30", "75", "15", "50"),
}
CAVITIES = ("1", "2", "3")


class _Maker:
    """Hands out rows of one network."""

    def __init__(self, seed: int) -> None:
        self.rng = random.Random(seed)
        self.points = [f"S{number}" for number in range(self.rng.randrange(6, 16))]
        self.components: list[Component] = []
        self.pins: list[Pin] = []
        self.insides: list[Inside] = []
        self.connectors: list[Connector] = []
        self.wires: list[Wire] = []

    def point(self) -> str:
        """Anywhere: mostly a splice, now and then the body."""
        return self.rng.choice(("G1", "G2")) if self.rng.random() < 0.12 else self.rng.choice(self.points)

    def part(self, kind: str) -> None:
        """A component wired without plugs, some of its terminals to nothing."""
        id_ = f"{kind}{len(self.components)}"
        real = {"key": "switch", "box": "fuse"}.get(kind, kind)
        self.components.append(Component(id=id_, kind=real, key=True if kind == "key" else None, rating=10.0))
        for terminal in TERMINALS[kind]:
            if self.rng.random() < 0.92:
                self.pins.append(Pin(component=id_, terminal=terminal, to=self.point()))
            else:
                self.pins.append(Pin(component=id_, terminal=terminal))
        for from_, to, more in INSIDES.get(kind, ()):
            self.insides.append(Inside(component=id_, from_=from_, to=to, **more))

    def plug(self, number: int) -> None:
        """An in-line plug whose wires end anywhere; some cavities of a half are empty."""
        names = f"C{number}", f"C{number}R"
        for name, harness, mate in ((names[0], "front", names[1]), (names[1], "rear", None)):
            self.connectors.append(Connector(id=name, harness=harness, cavities=CAVITIES, mates=mate))
            held = [cavity for cavity in CAVITIES if self.rng.random() < 0.8] or ["1"]
            for cavity in held:
                self.pins.append(Pin(connector=name, cavity=cavity, circuit=f"{name}-{cavity}", to=self.point()))


INSIDES: dict[str, tuple[tuple[str, str, dict[str, object]], ...]] = {
    "switch": (("in", "a", {"when": ("one",)}), ("a", "b", {})),
    "box": (("30", "a", {"fuse": 10.0}), ("30", "b", {"fuse": 15.0})),
    "key": (
        ("30", "75", {"when": ("accessory", "run")}),
        ("30", "15", {"when": ("run", "start")}),
        ("30", "50", {"when": ("start",)}),
    ),
}


def network(seed: int) -> Netlist:
    """A network of up to sixteen splices and a dozen parts."""
    maker = _Maker(seed)
    rng = maker.rng
    maker.components.append(Component(id="battery", kind="battery"))
    maker.pins += [
        Pin(component="battery", terminal="+", to=maker.points[0]),
        Pin(component="battery", terminal="-", to="G1"),
    ]
    maker.part("key")
    for _ in range(rng.randrange(4, 13)):
        maker.part(rng.choice(KINDS))
    for number in range(rng.randrange(1, 4)):
        maker.plug(number)
    for _ in range(rng.randrange(0, 4)):
        a, b = rng.sample(maker.points, 2)
        maker.wires.append(Wire(harness="front", from_=a, to=b, circuit=f"W-{a}-{b}"))
    circuits = {row.circuit for row in (*maker.pins, *maker.wires) if row.circuit}
    return Netlist(
        header=Header(volts=12.0),
        circuits=tuple(Circuit(id=name) for name in sorted(circuits)),
        harnesses=(Harness(id="front"), Harness(id="rear")),
        splices=tuple(Splice(id=name) for name in maker.points),
        grounds=(Ground(id="G1"), Ground(id="G2")),
        components=tuple(maker.components),
        connectors=tuple(maker.connectors),
        pins=tuple(maker.pins),
        insides=tuple(maker.insides),
        wires=tuple(maker.wires),
    )
