"""Small cars in code, random plugs and random circuits, and scenes as text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from hypothesis import strategies as st

from builders.readable import outside, overlapping_labels, struck_labels, too_small
from harnesscheck.draw.ink import colour_words
from harnesscheck.draw.scene import Box, Circle, Item, Line, Polyline, Scene, SceneGroup, Text, flat
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
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.graph.wiring import DrawnWire
from harnesscheck.trade.colours import Colour, read_colour
from harnesscheck.trade.sizes import Size, read_size

COLOURS = ("BK", "BK/BU", "RD/WH", "GNYE", "WH", "YE", "VT/OG", "GY", "BN", "PK/BK/WH")
NASTY = (
    '<script>alert(1)</script>', "]]>&amp;\"'", "../../etc/passwd", "a\x00b\x1b[31m", "=1+1", "\u202egnp.exe",
    "長い名前の線束", "x" * 300, "  ", "Ω ² ° µ → ✓",
)  # fmt: skip


def colour(text: str | None) -> Colour | None:
    """A colour in the IEC code."""
    found = read_colour(text, "iec60757") if text is not None else None
    assert not isinstance(found, str), found
    return found


def size(text: str | None) -> Size | None:
    """A wire size."""
    found = read_size(text) if text is not None else None
    assert not isinstance(found, str), found
    return found


def car(**tables: Iterable[object]) -> Study:
    """A studied car of these records."""
    return Study(Vehicle(Netlist(**{name: tuple(rows) for name, rows in tables.items()}, header=HEADER)))  # type: ignore[arg-type]


HEADER = Header(vehicle="Linnet library van", model_year=2014, colour_code="iec60757", volts=12)


def broken_laws(scene: Scene) -> dict[str, int]:
    """The laws a scene breaks, and how often."""
    laws = (overlapping_labels, outside, too_small, struck_labels)
    return {law.__name__: count for law in laws if (count := len(law(scene)))}


def wire_title(wire: DrawnWire) -> str:
    """What a reader is told on pointing at a wire of a circuit sheet."""
    size_text = wire.size.text if wire.size is not None else ""
    assert size_text in wire.words and (wire.colour is None or colour_words(wire.colour) in wire.words)
    return f"{wire.a} to {wire.b}, {wire.words}, circuit {wire.circuit or 'not named'}"


def titles(scenes: Iterable[Scene]) -> Counter[str]:
    """How often every group's title stands on some sheets."""
    found: Counter[str] = Counter()
    stack: list[Item] = [item for scene in scenes for item in scene.items]
    while stack:
        item = stack.pop()
        if isinstance(item, SceneGroup):
            found[item.title] += 1
            stack += item.items
    return found


def words_on(scenes: Iterable[Scene]) -> list[str]:
    """Every label of some sheets."""
    return [item.text for scene in scenes for item in flat(scene.items) if isinstance(item, Text)]


def as_text(scene: Scene) -> str:
    """A scene, one item a line, lengths to a tenth of a millimetre."""
    lines = [f"page {scene.width_mm:g} x {scene.height_mm:g}: {scene.title}", f"  {scene.description}"]
    return "\n".join([*lines, *_items(scene.items, 1)]) + "\n"


def _items(items: Iterable[Item], depth: int) -> list[str]:
    found = []
    for item in items:
        if isinstance(item, SceneGroup):
            found.append("  " * depth + f"group {item.title}")
            found += _items(item.items, depth + 1)
        else:
            found.append("  " * depth + _item(item))
    return found


def _item(item: Item) -> str:
    if isinstance(item, Text):
        return f"text {item.x:.1f} {item.y:.1f} {item.anchor} {item.weight} {item.colour}: {item.text}"
    if isinstance(item, Line):
        return f"line {item.x1:.1f} {item.y1:.1f} {item.x2:.1f} {item.y2:.1f} {item.pen.colour} {item.pen.width_mm:g}"
    if isinstance(item, Box):
        return f"box {item.x:.1f} {item.y:.1f} {item.width:.1f} {item.height:.1f} {item.fill}"
    if isinstance(item, Circle):
        return f"circle {item.x:.1f} {item.y:.1f} {item.radius:.1f} {item.fill}"
    assert isinstance(item, Polyline)
    return "corners " + " ".join(f"{x:.1f},{y:.1f}" for x, y in item.points) + f" {item.fill}"


# -- a small van: battery, fuse, relay, switch, pump, lamps, a module


def _plug(id_: str, harness: str, cavities: int, mates: str | None = None, at: str | None = None) -> Connector:
    names = tuple(str(number + 1) for number in range(cavities))
    return Connector(id=id_, harness=harness, cavities=names, mates=mates, at=at, half="sockets")


def _socket(id_: str, component: str, cavities: int) -> Connector:
    return Connector(id=id_, component=component, cavities=tuple(str(n + 1) for n in range(cavities)), half="pins")


def _wire(at: str, to: str, circuit: str, paint: str = "BK/BU", area: str = "1.25") -> Pin:
    connector, _, cavity = at.partition(":")
    return Pin(connector=connector, cavity=cavity, circuit=circuit, colour=colour(paint), size=size(area), to=to)


def _terminals(connector: str, *names: str, roles: tuple[str | None, ...] = ()) -> list[Pin]:
    padded = (*roles, *(None for _ in names))
    return [
        Pin(connector=connector, cavity=str(at + 1), terminal=name, role=padded[at]) for at, name in enumerate(names)
    ]


def small_van(feed_to: str = "C1:2", ground: str = "G1") -> Study:
    """Battery, fuse, relay with a switched coil, pump, two lamps on one splice; two things can be varied."""
    return car(
        harnesses=[Harness(id="body", name="Body harness"), Harness(id="rear", name="Rear harness")],
        circuits=[Circuit(id="FP", function="fuel pump feed"), Circuit(id="LMP", function="load lamps")],
        splices=[Splice(id="S1", harness="rear", at="behind the tank"), Splice(id="S2", harness="rear")],
        grounds=[Ground(id="G1", at="left sill"), Ground(id="G2", at="engine block")],
        components=[
            Component(id="battery", kind="battery", name="Battery"),
            Component(id="F1", kind="fuse", name="Fuse, pump", rating=15.0),
            Component(id="relay", kind="relay", name="Pump relay", ohms=85.0),
            Component(id="switch", kind="switch", name="Ignition switch", key=True),
            Component(id="pump", kind="motor", name="Fuel pump", amps=7.5),
            Component(id="lamp-1", kind="lamp", name="Load lamp, left", watts=5.0),
            Component(id="lamp-2", kind="lamp", name="Load lamp, right", watts=5.0),
            Component(id="unit", kind="module", name="Body module"),
        ],
        insides=[Inside(component="switch", from_="30", to="15", when=("run", "start"))],
        connectors=[
            _socket("B-A", "battery", 2), _socket("F-A", "F1", 2), _socket("R-A", "relay", 4),
            _socket("K-A", "switch", 2), _socket("P-A", "pump", 2), _socket("L1-A", "lamp-1", 2),
            _socket("L2-A", "lamp-2", 2), _socket("U-A", "unit", 2),
            *[_plug(f"{name}-H", "body", count, f"{name}-A") for name, count in
              (("B", 2), ("F", 2), ("R", 4), ("K", 2), ("U", 2))],
            *[_plug(f"{name}-H", "rear", 2, f"{name}-A") for name in ("P", "L1", "L2")],
            _plug("C1", "body", 4, "C1R", "left rear pillar"), _plug("C1R", "rear", 4),
        ],
        pins=[
            *_terminals("B-A", "+", "-"), *_terminals("F-A", "1", "2"),
            *_terminals("R-A", "30", "87", "86", "85"), *_terminals("K-A", "30", "15"),
            *_terminals("P-A", "+", "-"), *_terminals("L1-A", "+", "-"), *_terminals("L2-A", "+", "-"),
            *_terminals("U-A", "LMP", "31", roles=("output-high", "ground")),
            _wire("B-H:1", "F-H:1", "30", "RD", "6"), _wire("B-H:2", "G2", "31", "BN", "10"),
            _wire("F-H:2", "R-H:1", "FPF", "RD/WH"), _wire("F-H:2", "K-H:1", "FPF", "RD/WH"),
            _wire("K-H:2", "R-H:3", "15", "BK"), _wire("R-H:4", "G2", "31", "BN"),
            _wire(feed_to, "R-H:2", "FP"), _wire(feed_to.replace("C1", "C1R"), "P-H:1", "FP"),
            _wire("P-H:2", ground, "31", "BN"), _wire("U-H:2", "G2", "31", "BN"),
            _wire("C1:4", "U-H:1", "LMP", "WH/BU", "0.75"), _wire("C1R:4", "S1", "LMP", "WH/BU", "0.75"),
            _wire("L1-H:1", "S1", "LMP", "WH/BU", "0.75"), _wire("L2-H:1", "S1", "LMP", "WH/BU", "0.75"),
            _wire("L1-H:2", "S2", "31", "BN", "0.75"), _wire("L2-H:2", "S2", "31", "BN", "0.75"),
        ],
        wires=[Wire(harness="rear", from_="S2", to=ground, circuit="31", colour=colour("BN"), size=size("1"))],
    )  # fmt: skip


# -- random plugs and circuits

names = st.one_of(
    st.sampled_from(("Fuel pump relay in the engine bay", "Door", "S")), st.sampled_from(NASTY), st.none()
)
paints = st.one_of(st.none(), st.sampled_from(COLOURS)).map(colour)
areas = st.one_of(st.none(), st.sampled_from(("0.5", "1.25", "AWG 16", "16"))).map(size)


@st.composite
def plugs(draw: st.DrawFn, most: int = 120) -> Study:
    """A car with one connector, C12, of up to so many cavities; some empty, some with two wires."""
    count = draw(st.integers(1, most))
    style = draw(st.sampled_from(("numbers", "rows", "odd")))
    per_row = draw(st.integers(2, 60))
    if style == "rows":
        cavities = tuple(f"{chr(65 + at // per_row)}{at % per_row + 1}" for at in range(min(count, per_row * 26)))
    else:
        cavities = tuple(str(at + 1) + ("A" if style == "odd" and at % 3 else "") for at in range(count))
    circuits = st.one_of(st.none(), st.sampled_from(("FP", "LMP-LEFT-REAR", *NASTY)))
    pins = [
        Pin(
            connector="C12",
            cavity=cavity,
            circuit=draw(circuits),
            function=draw(names),
            colour=draw(paints),
            size=draw(areas),
            to=draw(st.sampled_from((None, f"S{number + 1}"))),
        )
        for cavity in cavities
        for number in range(draw(st.sampled_from((0, 1, 1, 1, 2))))
    ]
    row = Connector(
        id="C12", harness="body", name=draw(names), at=draw(names), cavities=cavities,
        complete=draw(st.sampled_from((None, False))),
    )  # fmt: skip
    splices = [Splice(id="S1", harness="body"), Splice(id="S2", harness="body")]
    return car(harnesses=[Harness(id="body", name=draw(names))], connectors=[row], pins=pins, splices=splices)


_KINDS = ("lamp", "motor", "fuse", "switch", "module", "sensor", "relay", "diode", "resistor", None)


@st.composite
def circuits(draw: st.DrawFn, most: int = 60) -> Study:
    """A car whose circuit X has up to so many wires between any ends whatever, loops and stars included."""
    parts = [
        Component(id=f"part-{number}", kind=draw(st.sampled_from(_KINDS)), name=draw(names), rating=10.0)
        for number in range(draw(st.integers(0, 8)))
    ]
    terminals = {"relay": ("30", "87", "86", "85"), "diode": ("A", "K")}
    connectors, pins, ends = [], [], []
    parts.append(Component(id="battery", kind="battery"))
    for part in parts:
        held = ("+", "-") if part.kind == "battery" else terminals.get(part.kind or "", ("1", "2"))
        connectors += [
            _socket(f"{part.id}-A", part.id, len(held)),
            _plug(f"{part.id}-H", "body", len(held), f"{part.id}-A"),
        ]
        pins += _terminals(f"{part.id}-A", *held)
        ends += [f"{part.id}-H:{number + 1}" for number in range(len(held))]
    for number in range(draw(st.integers(0, 3))):
        connectors += [_plug(f"C{number}", "body", 6, f"C{number}R", draw(names)), _plug(f"C{number}R", "rear", 6)]
        ends += [f"C{number}{half}:{cavity + 1}" for half in ("", "R") for cavity in range(6)]
    splices = [Splice(id=f"S{number}", harness="body", at=draw(names)) for number in range(draw(st.integers(1, 5)))]
    grounds = [Ground(id=f"G{number}", at=draw(names)) for number in range(2)]
    ends += [row.id for row in (*splices, *grounds)]
    wires = []
    for _ in range(draw(st.integers(1, most))):
        a, b = draw(st.sampled_from(ends)), draw(st.sampled_from(ends))
        if a != b:
            wires.append(Wire(harness="body", from_=a, to=b, circuit="X", colour=draw(paints), size=draw(areas)))
    insides = [
        Inside(component=part.id, from_="1", to="2", when=draw(st.sampled_from(((), ("pressed",)))))
        for part in parts
        if part.kind == "switch"
    ]
    return car(
        harnesses=[Harness(id="body"), Harness(id="rear")], components=parts, connectors=connectors, pins=pins,
        splices=splices, grounds=grounds, wires=wires, insides=insides,
    )  # fmt: skip
