"""One car as ends and links: wires, plug crossings, crimps, and what lies between terminals inside components.

Circuit sheets walk these. A link joins two ends (``wiring.End``); its sort
says what it is, and whether current that goes through it is used up there.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

from harnesscheck.model.records import Component, Inside
from harnesscheck.network.graph.conduction import Conduction
from harnesscheck.network.graph.elements import ACCESSORY, OFF, RUN, START
from harnesscheck.network.graph.sides import FEEDS, Label, Study
from harnesscheck.network.graph.wiring import CAVITY, POINT, TERMINAL, DrawnWire, End, node_of, wiring_of

WIRE, CONTACT, CRIMP = "wire", "contact", "crimp"
FUSE, JOINT, SWITCH, MAKES, BREAKS, DIODE = "fuse", "joint", "switch", "make", "break", "diode"
RESISTOR, LOAD, COIL, SENSOR = "resistor", "load", "coil", "sensor"
PASSING = frozenset({WIRE, CONTACT, CRIMP, FUSE, JOINT, SWITCH, MAKES, BREAKS, DIODE})
PLAIN = frozenset({WIRE, CONTACT, CRIMP})  # what a net is made of
USING = frozenset({RESISTOR, LOAD, COIL, SENSOR})  # what stands between feed and ground

FEED, GROUND = "feed", "ground"  # the two sides of what uses current

RAILS = ("30", "15", "75", "50")  # DIN 72552: battery, run and start, accessory, start
RAIL_WORDS = {"30": "30 permanent", "15": "15 run", "75": "75 accessory", "50": "50 start"}


@dataclass(frozen=True, slots=True)
class Link:
    """Two ends and what joins them. ``row`` is the row inside a component, where there is one."""

    sort: str
    a: End
    b: End
    wire: DrawnWire | None = None
    component: str = ""
    row: Inside | None = None

    def other(self, end: End) -> End:
        """The end on the far side."""
        return self.b if end == self.a else self.a

    @property
    def sort_key(self) -> tuple[str, End, End]:
        """Orders links the same way everywhere."""
        return self.sort, self.a, self.b


class Links:
    """The links of one studied car, by end; those inside a component are made when asked for."""

    def __init__(self, study: Study) -> None:
        self.study = study
        self.vehicle = study.vehicle
        self.wiring = wiring_of(study)
        self._depths: dict[int, int] = {}

    @property
    def terminals(self) -> Mapping[str, tuple[str, ...]]:
        """The terminal names of every component, in the order they were met."""
        return self.study.index.terminals_by_part

    @cached_property
    def _crimps(self) -> dict[End, tuple[Link, ...]]:
        """Crimps between a component's cavities and its terminals, from both ends."""
        found: dict[End, dict[Link, None]] = defaultdict(dict)
        for pin in self.vehicle.netlist.pins:
            if pin.connector is None or pin.terminal is None:
                continue
            component = self.vehicle.connectors[pin.connector].component
            if component is not None:
                cavity = End(CAVITY, pin.connector, pin.cavity or "")
                link = Link(CRIMP, cavity, End(TERMINAL, component, pin.terminal))
                found[link.a][link] = found[link.b][link] = None
        return {end: tuple(links) for end, links in found.items()}

    @cached_property
    def _inner(self) -> dict[str, tuple[Link, ...]]:
        return {component.id: tuple(self._inside(component)) for component in self.vehicle.netlist.components}

    def inner(self, component: str) -> tuple[Link, ...]:
        """What lies between the terminals of a component."""
        return self._inner.get(component, ())

    def at(self, end: End) -> Iterator[Link]:
        """Every link that ends in a place: wires, the plug crossing, the crimp, what is inside."""
        for wire in self.wiring.at.get(end, ()):
            yield Link(WIRE, wire.a, wire.b, wire)
        if end.sort == CAVITY:
            mate = self.contact(end)
            if mate is not None:
                yield mate
        yield from self._crimps.get(end, ())
        if end.sort == TERMINAL:
            yield from (link for link in self.inner(end.owner) if end in (link.a, link.b))

    def contact(self, cavity: End) -> Link | None:
        """The crossing into the facing cavity of the other half, where both hold something."""
        mate = self.vehicle.mate_of.get(cavity.owner)
        if mate is None or (mate, cavity.name) not in self.study.index.cavity:
            return None
        a, b = sorted((cavity, End(CAVITY, mate, cavity.name)))
        return Link(CONTACT, a, b)

    def piece(self, end: End) -> int | None:
        """The index's piece of an end; a join's is that of any wire in it."""
        node = node_of(self.study.index, end)
        if node is None:
            wires = self.wiring.at.get(end, ())
            node = node_of(self.study.index, wires[0].other(end)) if wires else None
        return None if node is None else self.study.index.piece_of[node]

    def rail(self, end: End) -> str | None:
        """The rail that an end is a steady part of: live for sure in certain key positions."""
        piece = self.piece(end)
        if piece is None:
            return None
        mask = self.study.reach.reached(piece).feed_sure
        if not mask or (end.sort == POINT and end.owner in self.vehicle.grounds):
            return None
        if mask & OFF:
            return "30"
        return "75" if mask & ACCESSORY else "15" if mask & RUN else "50" if mask & START else None

    def depth(self, end: End) -> int:
        """How far down from the feed an end is: steps of reach, nets that are live for sure before those that may be.

        -1 where no feed reaches.
        """
        piece = self.piece(end)
        if piece is None:
            return -1
        if piece not in self._depths:
            self._depths[piece] = self._depth(piece)
        return self._depths[piece]

    def _depth(self, piece: int) -> int:
        reach = self.study.reach
        trees = [*reversed(reach.feed_sure), *reversed(reach.feed_maybe)]
        for at, tree in enumerate(trees):
            if piece in tree.ways:
                return at * len(reach.steps) + len(tree.path(piece))
        return -1

    def is_ground(self, end: End) -> bool:
        """Whether an end is a ground point or the battery's negative post."""
        if end.sort == POINT:
            return end.owner in self.vehicle.grounds
        return self.is_post(end, "-")

    def is_post(self, end: End, name: str) -> bool:
        """Whether an end is the post of a battery with that name."""
        component = self.vehicle.components.get(end.owner) if end.sort == TERMINAL else None
        return component is not None and component.kind == "battery" and end.name == name

    def way(self, piece: int | None) -> list[tuple[int, int]]:
        """The steps from a piece to the feed; none where they lead through what is grounded by wire."""
        reach = self.study.reach
        way = reach.way_to_feed(piece) if piece is not None else []
        return [] if any(step[0] in reach.grounded.ways for step in way) else way

    def level(self, end: End) -> str:
        """Whether an end is on the feed's side or the ground's, by the one word its net is known by; else empty."""
        if self.is_ground(end):
            return GROUND
        piece = self.piece(end)
        label = self.study.piece_side(piece, None).label if piece is not None else None
        if label in FEEDS and (self.rail(end) is not None or self.way(piece)):
            return FEED
        low = label in FEEDS and self.can_be(end, GROUND)
        return GROUND if low or label in (Label.GROUND, Label.SWITCHED_GROUND) else ""

    def can_be(self, end: End, level: str) -> bool:
        """Whether an end can be joined to the feed, or to ground, in some position of some switch."""
        piece = self.piece(end)
        if piece is None:
            return False
        reached = self.study.reach.reached(piece)
        return bool(reached.feed_maybe if level == FEED else reached.ground_maybe)

    def _inside(self, component: Component) -> Iterator[Link]:
        for way in self.study.index.conductions_of[component.id]:
            sort = _drawn_as(component, way, len(self.terminals.get(component.id, ())))
            if sort:
                ends = End(TERMINAL, component.id, way.a), End(TERMINAL, component.id, way.b)
                yield Link(sort, *ends, component=component.id, row=way.row)


def _drawn_as(component: Component, way: Conduction, ends: int) -> str:
    """The symbol for a way through a part; empty: its terminals are drawn on a box."""
    if way.row is None and (component.kind in ("connector-only", "module") or (way.sort == "load" and ends != 2)):
        return ""
    if way.row is None and component.kind == "sensor":
        return SENSOR
    return {"switch": SWITCH, "sender": ""}.get(way.sort, way.sort)


@lru_cache(maxsize=4)
def links_of(study: Study) -> Links:
    """The links of a studied car, worked out once."""
    return Links(study)
