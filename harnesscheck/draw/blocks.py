"""A tree of ends written out as blocks: what stands under one another in the columns of a circuit sheet.

A block is one symbol with a few lines beside it. A line may refer to another
column; where that is, is known only when all columns are placed.
"""

from __future__ import annotations

from collections.abc import Container, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from harnesscheck.align.pairs import Pairs
from harnesscheck.draw.font import BOLD, REGULAR, fit, wrap
from harnesscheck.draw.ink import SMALL_MM
from harnesscheck.draw.links import (
    BREAKS,
    COIL,
    CONTACT,
    CRIMP,
    DIODE,
    FUSE,
    JOINT,
    MAKES,
    PLAIN,
    RESISTOR,
    SENSOR,
    SWITCH,
    WIRE,
    Link,
    Links,
)
from harnesscheck.draw.pick import Picked
from harnesscheck.draw.tree import DrawnTree, Node, references
from harnesscheck.fields import KEY_POSITIONS
from harnesscheck.model.records import Component
from harnesscheck.network.graph.wiring import CAVITY, JOIN, NOWHERE, POINT, TERMINAL, DrawnWire, End

COLUMN_MM = 31.0  # from column to column
LINE_X_MM = 4.6  # the line of a column, from its left edge
STEP_MM = 3.5  # from line to line of the text beside it
BESIDE_WIRE_MM, BESIDE_SYMBOL_MM = 2.4, 5.2  # from the line of the column to the text
_AIR_MM = 1.2  # kept free on the right
LEAST_SHOWN_A = 0.0005
LIVE, DEAD, SNEAK = "live", "dead", "sneak"
CLOSED, OPEN = "closed", "open"


@dataclass(frozen=True, slots=True)
class BlockLabel:
    """A line of text beside a symbol."""

    text: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Refer:
    """A line that says in which column something is; ``to`` is an anchor of the block meant."""

    words: str
    to: Hashable


@dataclass(frozen=True, slots=True)
class Block:
    """One symbol in a column. ``anchors`` are what references may point at; ``join`` marks a dot to branch from."""

    look: str
    lines: tuple[BlockLabel | Refer, ...]
    height_mm: float
    strong: bool = True
    wire: DrawnWire | None = None
    anchors: tuple[Hashable, ...] = ()
    join: bool = False
    title: str = ""
    likely: bool = False
    root: bool = False  # an end that its column begins with
    grounds: bool = False  # stands on the ground's line
    meets: Hashable = None  # the anchor that a reference may be drawn through to, where the way is free
    flow: str = ""  # of a wire in a state: live, dead or sneak

    @property
    def text_x_mm(self) -> float:
        """Where the text begins, from the column's line."""
        return BESIDE_WIRE_MM if self.look in ("wire", "dot") else BESIDE_SYMBOL_MM


@dataclass(slots=True)
class Segment:
    """Blocks under one another, then the branches that leave from the last of them."""

    blocks: list[Block]
    children: list[Segment] = field(default_factory=list)


SwitchKey = tuple[str, str, frozenset[str]]
"""A switch or contact: component, its two terminals, the words of its positions; as ports of a circuit have them."""


@dataclass(frozen=True)
class BlockState:
    """Volts and amperes of one state of the car, written beside contacts and wires: by end, and by wire.

    ``looks`` says by wire whether it is live, dead or on a sneak path: thick, thin, dashed;
    ``closed`` holds the switches and contacts that are closed.
    """

    name: str
    volts_v: Mapping[End, float] = field(default_factory=dict)
    amps_a: Mapping[DrawnWire, float] = field(default_factory=dict)
    looks: Mapping[DrawnWire, str] = field(default_factory=dict)
    closed: Container[SwitchKey] = ()


@dataclass(frozen=True)
class Naming:
    """What the rows of one car are called when two cars are compared: the shell's names."""

    pairs: Pairs | None = None

    def end(self, car: Links, end: End) -> Hashable:
        """A name for an end that both cars share; splices and joins have none of their own."""
        if end.sort == CAVITY:
            owner, cavity = self._cavity(end)
            return CAVITY, owner, cavity
        if end.sort == TERMINAL:
            return TERMINAL, self.component(end.owner), end.name
        if end.sort == POINT and end.owner in car.vehicle.grounds:
            pair = self.pairs.ground.get(end.owner) if self.pairs is not None else None
            return POINT, pair.shell if pair is not None else end.owner
        return (end.sort if end.sort != POINT else "splice",)

    def _cavity(self, end: End) -> tuple[str, str]:
        said = self.pairs.cavities.get(str(end)) if self.pairs is not None else None
        if said is not None:
            owner, _, cavity = said.partition(":")
            return owner, cavity
        pair = self.pairs.connector.get(end.owner) if self.pairs is not None else None
        return (pair.shell if pair is not None else end.owner), end.name

    def component(self, name: str) -> str:
        """The name of a component."""
        pair = self.pairs.component.get(name) if self.pairs is not None else None
        return pair.shell if pair is not None else name

    def circuit(self, name: str | None) -> str | None:
        """The name of a circuit."""
        pair = self.pairs.circuit.get(name) if self.pairs is not None and name is not None else None
        return pair.shell if pair is not None else name


def key_of(car: Links, naming: Naming, link: Link) -> Hashable:
    """What a link is, in words both cars share: two links with one key do not differ."""
    ends = tuple(sorted((str(naming.end(car, link.a)), str(naming.end(car, link.b)))))
    if link.wire is None:
        component = car.vehicle.components.get(link.component)
        value = link.row.fuse if link.row is not None else component.rating if component is not None else None
        load = (link.row.load, link.row.amps, link.row.watts, link.row.when) if link.row is not None else ()
        return link.sort, ends, value, load
    colour, size = link.wire.colour, link.wire.size
    return (
        WIRE,
        ends,
        naming.circuit(link.wire.circuit),
        colour.names if colour is not None else None,
        size.area_mm2 if size is not None else None,
    )


class Writer:
    """Writes the trees of one sheet. ``same`` holds the keys that the other car has too; None: no other car."""

    def __init__(
        self,
        car: Links,
        picked: Picked,
        naming: Naming,
        same: Container[Hashable] | None = None,
        state: BlockState | None = None,
    ) -> None:
        self.car = car
        self.picked = picked
        self.naming = naming
        self.same = same
        self.state = state
        self.crossed = {end for link in picked.links if link.sort == CONTACT for end in (link.a, link.b)}
        self.inside = {end for link in picked.links if link.sort not in PLAIN for end in (link.a, link.b)}
        self.wires_at: dict[End, int] = {}
        for link in picked.links:
            if link.wire is not None:
                for end in (link.a, link.b):
                    self.wires_at[end] = self.wires_at.get(end, 0) + 1
        self.drawn = {link for link in picked.links if link.sort in (COIL, MAKES, BREAKS)}
        self.upward = False
        self.referred: set[End] = set()

    def segments(self, trees: Sequence[DrawnTree]) -> list[tuple[Segment, DrawnTree]]:
        """Every tree as blocks."""
        self.referred = {end for tree in trees for end in references(tree.root)}
        return [(self._segment(tree), tree) for tree in trees]

    def _segment(self, tree: DrawnTree) -> Segment:
        """One tree as blocks; without recursion, for a loom may be longer than Python's stack."""
        self.upward = tree.upward
        root = Segment(list(self._head(tree)))
        stack = [(tree.root, root)]
        while stack:
            node, segment = stack.pop()
            node = self._down(node, segment.blocks)
            for child in node.children:
                branch = Segment(list(self._step(node, child)))
                segment.children.append(branch)
                stack.append((child, branch))
        return root

    def _down(self, node: Node, blocks: list[Block]) -> Node:
        """Write the blocks of a way down to its end, or to where it branches, and return that node."""
        while len(node.children) == 1:
            if node.end in self.referred and not node.reference and not (blocks and blocks[-1].join):
                blocks.append(self._dot(node))
            above, node = node, node.children[0]
            blocks += self._step(above, node)
        if node.children and not (blocks and blocks[-1].join):
            blocks.append(self._dot(node))
        return node

    def _dot(self, node: Node) -> Block:
        """A dot to branch from, or to be joined to."""
        return Block("dot", (), 2.6, self._strong_end(node), anchors=(node.end,), join=True)

    # -- one step down the tree

    def _head(self, tree: DrawnTree) -> Iterator[Block]:
        root = tree.root
        if tree.rail:
            yield Block("dot", (), 2.0, self._strong_end(root), anchors=(root.end,))
        elif root.reference:
            lines = [*self._wrapped(f"from {self._called(root.end)}", 3, bold=True), Refer("", root.end)]
            yield self._block("arrow", lines, 7.6, root=True)
        elif root.end in self.picked.stops and not tree.upward:
            yield self._stop(root.end, root=True)
        if not root.reference:
            yield from self._end(root)

    def _step(self, above: Node, node: Node) -> Iterator[Block]:
        link = node.via
        assert link is not None
        if link.sort == WIRE and link.wire is not None:
            yield self._wire(link.wire, link)
        elif link.sort == CONTACT:
            yield self._crossing(above.end, node.end, link)
        elif link.sort != CRIMP:
            yield self._part(link, above.end, node.end)
        if node.reference:
            lines = [*self._wrapped(f"to {self._called(node.end)}", 3, bold=True), Refer("", node.end)]
            yield self._block("arrow", lines, 7.6, strong=self._strong(link), meets=node.end)
        else:
            yield from self._end(node)

    def _end(self, node: Node) -> Iterator[Block]:
        strong = self._strong_end(node)
        for block in self._end_blocks(node):
            yield replace(block, strong=strong)

    def _end_blocks(self, node: Node) -> Iterator[Block]:
        end = node.end
        if self.car.is_ground(end):
            yield self._ground(end, root=node.via is None)
        elif end.sort == POINT:
            yield self._splice(node)
        elif end.sort == JOIN:
            lines = [BlockLabel(f"joined in {end.owner}", True), BlockLabel("splice not written, likely")]
            yield self._block("dot", lines, 0, anchors=(end,), join=True)
        elif end.sort == NOWHERE:
            yield self._block("ring", [BlockLabel("far end not", True), BlockLabel("in the file")], 7.6)
        elif end.sort == CAVITY and end not in self.crossed and not self._is_crimped(node):
            yield self._lone_plug(end)
        elif end.sort == TERMINAL and not self._goes_through(node):
            root = node.via is None and end not in self.picked.rails
            yield self._box(end, through=bool(node.children) and not root, root=root)
        if end in self.picked.stops and not node.children and not (node.via is None and not self.upward):
            yield self._stop(end)

    def _called(self, end: End) -> str:
        """An end in words: a terminal by its component's name."""
        if end.sort != TERMINAL:
            return str(end)
        return f"{_name(self.car.vehicle.components.get(end.owner), end.owner)}, {end.name}"

    def _is_crimped(self, node: Node) -> bool:
        links = [node.via, *(child.via for child in node.children)]
        return any(link is not None and link.sort == CRIMP for link in links)

    def _goes_through(self, node: Node) -> bool:
        """Whether what lies inside the component is drawn, here or elsewhere."""
        return node.end in self.inside

    # -- blocks

    def _block(self, look: str, lines: Sequence[BlockLabel | Refer], least: float, **more: Any) -> Block:
        """A block high enough for its lines; a reference may need two. ``more`` are further fields of ``Block``."""
        beside = BESIDE_WIRE_MM if look in ("wire", "dot") else BESIDE_SYMBOL_MM
        room = COLUMN_MM - LINE_X_MM - beside - _AIR_MM
        fitted = [
            line if isinstance(line, Refer) else BlockLabel(fit(line.text, room, SMALL_MM, _weight(line)), line.bold)
            for line in lines
        ]
        count = sum(2 if isinstance(line, Refer) else 1 for line in lines)
        height = max(least, count * STEP_MM + 1.4)
        return Block(look, tuple(fitted), height, **more)

    def _wire(self, wire: DrawnWire, link: Link) -> Block:
        lines: list[BlockLabel | Refer] = [BlockLabel(wire.words)]
        if wire not in self.picked.own and wire.circuit:
            lines.append(BlockLabel(wire.circuit))
        if wire.likely:
            lines.append(BlockLabel("likely"))
        flow = self.state.looks.get(wire, "") if self.state is not None else ""
        if self.state is not None and wire in self.state.amps_a:
            amps = "0" if flow == DEAD or self.state.amps_a[wire] < LEAST_SHOWN_A else f"{self.state.amps_a[wire]:.3g}"
            lines.append(BlockLabel(f"{flow} {amps} A".lstrip(), flow == SNEAK))
        title = f"{wire.a} to {wire.b}, {wire.words}, circuit {wire.circuit or 'not named'}"
        return self._block(
            "wire", lines, 6.4, wire=wire, strong=self._strong(link), title=title, likely=wire.likely, flow=flow
        )

    def _crossing(self, above: End, below: End, link: Link) -> Block:
        first, second = (below, above) if self.upward else (above, below)
        rows = [self.car.vehicle.connectors.get(end.owner) for end in (first, second)]
        inline = all(row is not None and row.component is None for row in rows)
        place = next((row.at for row in rows if row is not None and row.at), None)
        lines: list[BlockLabel | Refer] = [BlockLabel(str(first), inline), BlockLabel(str(second), inline)]
        if inline and place:
            lines += self._wrapped(place, 3)
        lines += [more for end in (first, second) for more in self._more_wires(end)]
        lines += self._volts(above)
        words = f"plug {first} into {second}" + (f", {place}" if place else "")
        return self._block("plug", lines, 8.0, strong=self._strong(link), anchors=(above, below), title=words)

    def _part(self, link: Link, above: End, below: End) -> Block:
        component = self.car.vehicle.components.get(link.component)
        first, second = (below, above) if self.upward else (above, below)
        look, words = self._look(link, component, above)
        lines = [*words, BlockLabel(f"{first.name} → {second.name}" if first.name != second.name else first.name)]
        lines += self._partner(link)
        title = f"{_name(component, link.component)} {first.name} to {second.name}"
        return self._block(look, lines, 10.5, strong=self._strong(link), anchors=(link, above, below), title=title)

    def _look(self, link: Link, component: Component | None, above: End) -> tuple[str, list[BlockLabel | Refer]]:
        """The symbol of what lies between two terminals, and its heavy lines."""
        row = link.row
        name = _name(component, link.component)
        named: list[BlockLabel | Refer] = self._wrapped(name, 3, bold=True)
        if link.sort == FUSE:
            rating = row.fuse if row is not None and row.fuse is not None else component.rating if component else None
            id_ = row.id if row is not None and row.id else link.component
            amps = f" {rating:g} A" if rating is not None else " ? A"
            return "fuse", [BlockLabel(fit(id_, 12, SMALL_MM, BOLD) + amps, True), *self._wrapped(name, 3)]
        if link.sort in (SWITCH, MAKES, BREAKS):
            words = self._wrapped(" or ".join(row.when), 2) if row is not None else []
            contact = [BlockLabel("contact")] if link.sort in (MAKES, BREAKS) else []
            if self.state is None:
                return ("closed" if link.sort == BREAKS else "switch"), [*named, *words, *contact]
            closed = self._is_closed(link)
            return ("closed" if closed else "switch"), [
                *named,
                *words,
                *contact,
                BlockLabel(CLOSED if closed else OPEN),
            ]
        if link.sort == COIL:
            return "coil", [*named, BlockLabel("coil")]
        if link.sort == JOINT:
            return "joint", [*named, BlockLabel("joined inside")]
        if link.sort in (DIODE, RESISTOR, SENSOR):
            return self._plain_look(link, above), [*named, *_values(row, component)]
        kind = component.kind if component is not None else None
        look = kind if kind in ("lamp", "motor", "heater", "solenoid", "sounder") else "part"
        load = self._wrapped(row.load, 2) if row is not None and row.load else []
        return look, [*named, *load, *_values(row, component)]

    def _is_closed(self, link: Link) -> bool:
        """Whether a switch or a relay's contact is closed in the state that is drawn."""
        words = frozenset(link.row.when) if link.row is not None else frozenset()
        component = self.car.vehicle.components[link.component]
        if component.key:
            words &= frozenset(KEY_POSITIONS)
        name = f"{link.a.name}-{link.b.name}"
        return self.state is not None and (link.component, name, words) in self.state.closed

    def _plain_look(self, link: Link, above: End) -> str:
        if link.sort == DIODE:  # the triangle points down the sheet; a diode drawn against it stands in words
            return "diode" if (link.a == above) != self.upward else "part"
        return "resistor" if link.sort == RESISTOR else "sensor"

    def _partner(self, link: Link) -> list[BlockLabel | Refer]:
        """Where the coil of a contact, or a contact of a coil, is drawn."""
        wanted = (COIL,) if link.sort in (MAKES, BREAKS) else (MAKES, BREAKS) if link.sort == COIL else ()
        for other in sorted(self.drawn, key=lambda each: each.sort_key):
            if other.component == link.component and other.sort in wanted:
                return [Refer("coil:" if other.sort == COIL else "contact:", other)]
        return []

    def _splice(self, node: Node) -> Block:
        row = self.car.vehicle.splices.get(node.end.owner)
        lines: list[BlockLabel | Refer] = [BlockLabel(node.end.owner, True)]
        if row is not None and row.at:
            lines += self._wrapped(row.at, 3)
        lines += self._more_wires(node.end)
        lines += self._volts(node.end)
        title = f"splice {node.end.owner}" + (f", {row.at}" if row is not None and row.at else "")
        return self._block("dot", lines, 5.0, anchors=(node.end,), join=True, title=title)

    def _ground(self, end: End, *, root: bool) -> Block:
        row = self.car.vehicle.grounds.get(end.owner)
        name = end.owner if row is not None else f"{_name(self.car.vehicle.components.get(end.owner), end.owner)} −"
        lines: list[BlockLabel | Refer] = [BlockLabel(name, True)]
        if row is not None and row.at:
            lines += self._wrapped(row.at, 3)
        title = f"ground {name}" + (f", {row.at}" if row is not None and row.at else "")
        return self._block("dot", lines, 5.0, title=title, grounds=not root)

    def _lone_plug(self, end: End) -> Block:
        mate = self.car.vehicle.mate_of.get(end.owner)
        row = self.car.vehicle.connectors.get(end.owner)
        words = "mate not known" if mate is None else f"nothing in {mate}"
        if self.car.contact(end) is not None:
            words = f"goes on into {mate}"
        elif mate is not None and self.car.study.index.state(mate, end.name) == "not known":
            words = f"{mate} not known"
        lines: list[BlockLabel | Refer] = [BlockLabel(str(end), True), *self._wrapped(words, 2)]
        if row is not None and row.at:
            lines += self._wrapped(row.at, 3)
        lines += self._more_wires(end)
        return self._block("plug", lines, 8.0, anchors=(end,), title=f"plug {end}, {words}")

    def _box(self, end: End, *, through: bool, root: bool) -> Block:
        component = self.car.vehicle.components.get(end.owner)
        pin = self.car.study.roles.get((end.owner, end.name))
        lines: list[BlockLabel | Refer] = self._wrapped(_name(component, end.owner), 3, bold=True)
        lines.append(BlockLabel(f"terminal {end.name}"))
        if pin is not None and pin.role:
            lines.append(BlockLabel(pin.role))
        lines += self._volts(end)
        unknown = component is None or component.kind in (None, "module", "other")
        look = ("unit" if unknown else "part") if through else ("module" if unknown else "part_end")
        title = f"{_name(component, end.owner)}, terminal {end.name}"
        return self._block(look, lines, 10.5, anchors=(end,), title=title, root=root)

    def _stop(self, end: End, *, root: bool = False) -> Block:
        words = self._wrapped(self.picked.stops[end], 3)
        return self._block("arrow", words, 7.0, title=self.picked.stops[end], root=root)

    # -- lines

    def _wrapped(self, text: str, lines: int, *, bold: bool = False) -> list[BlockLabel | Refer]:
        room = COLUMN_MM - LINE_X_MM - BESIDE_SYMBOL_MM - _AIR_MM
        return [BlockLabel(line, bold) for line in wrap(text, room, SMALL_MM, lines, BOLD if bold else REGULAR)]

    def _more_wires(self, end: End) -> list[BlockLabel | Refer]:
        """How many wires end there that this sheet leaves out."""
        more = len(self.car.wiring.at.get(end, ())) - self.wires_at.get(end, 0)
        return [BlockLabel(f"and {more} more {'wire' if more == 1 else 'wires'}")] if more > 0 else []

    def _volts(self, end: End) -> list[BlockLabel | Refer]:
        if self.state is None or end not in self.state.volts_v:
            return []
        return [BlockLabel(f"{self.state.volts_v[end]:.2f} V", True)]

    # -- ink

    def _strong(self, link: Link) -> bool:
        return self.same is None or key_of(self.car, self.naming, link) not in self.same

    def _strong_end(self, node: Node) -> bool:
        links = [link for link in (node.via, *(child.via for child in node.children)) if link is not None]
        return self.same is None or any(self._strong(link) for link in links)


def _weight(label: BlockLabel) -> int:
    return BOLD if label.bold else REGULAR


def _name(component: Component | None, id_: str) -> str:
    return component.name or component.id if component is not None else id_


def _values(row: object, component: Component | None) -> list[BlockLabel | Refer]:
    """What a part draws or is, as far as the row or else the component says."""
    for source in (row,) if row is not None else (component,):
        for slot, unit in (("amps", "A"), ("watts", "W"), ("ohms", "Ω")):
            value = getattr(source, slot, None)
            if value is not None:
                return [BlockLabel(f"{value:g} {unit}")]
    return []
