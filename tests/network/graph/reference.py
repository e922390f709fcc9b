"""A slow reference for nets and reach: nodes are written ends, edges are rows, and every question is a search.

It reads the records and nothing worked out of them: no index, no elements.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import combinations

from harnesscheck.model.records import Netlist

Node = tuple[str, str]  # (connector, cavity), (component + "!", terminal), (point, "")
POSITIONS = ("off", "accessory", "run", "start")
OPAQUE = (None, "module", "other", "connector-only")  # kinds that may do anything to a coil's wire
FUSES = ("fuse", "fusible-link", "breaker")


@dataclass(frozen=True)
class Edge:
    """A way from a to b, and back unless it is a diode; the key positions it is closed in for sure, and perhaps."""

    a: Node
    b: Node
    when: frozenset[str]
    could: frozenset[str]
    one_way: bool = False
    switch: str = ""
    positions: frozenset[str] = frozenset()  # of the switch or relay that close it


EVERY = frozenset(POSITIONS)
NEVER: frozenset[str] = frozenset()


def end(text: str) -> Node:
    """The node a row's end names."""
    owner, _, cavity = text.partition(":")
    return owner, cavity


def terminal(component: str, name: str) -> Node:
    """The node of a terminal."""
    return f"{component}!", name


def wired(car: Netlist) -> Iterator[tuple[Node, Node]]:
    """What is joined with every plug apart, by wires and crimps; a lone node is joined with itself."""
    owner = {row.id: row.component for row in car.connectors}
    harness = {row.id: row.harness for row in car.connectors}
    far = {end(pin.to) for pin in car.pins if pin.to}
    groups: dict[tuple[str, str], list[Node]] = defaultdict(list)
    for pin in car.pins:
        here = (pin.connector, pin.cavity or "") if pin.connector else terminal(pin.component or "", pin.terminal or "")
        yield here, end(pin.to) if pin.to else here
        if pin.connector and pin.terminal and owner[pin.connector]:
            yield here, terminal(owner[pin.connector] or "", pin.terminal)
        loom = harness.get(pin.connector or "")
        if pin.connector and loom and pin.circuit and not pin.to and here not in far:
            groups[loom, pin.circuit].append(here)
    for nodes in groups.values():
        yield from combinations(nodes, 2)
    for wire in car.wires:
        yield end(wire.from_), end(wire.to)
    for ground in car.grounds:
        yield (ground.id, ""), (ground.id, "")
    for inside in car.insides:
        for name in (inside.from_, inside.to):
            yield terminal(inside.component, name), terminal(inside.component, name)


def mated(car: Netlist, apart: Collection[str] = ()) -> Iterator[tuple[Node, Node]]:
    """Facing cavities that both hold something, but for the plugs and contacts (``C1:3``) that are apart."""
    held = {node for pair in wired(car) for node in pair}
    for row in car.connectors:
        if row.mates and row.id not in apart and row.mates not in apart:
            yield from (
                ((row.id, cavity), (row.mates, cavity))
                for connector, cavity in sorted(held)
                if connector == row.id
                and (row.mates, cavity) in held
                and f"{row.id}:{cavity}" not in apart
                and f"{row.mates}:{cavity}" not in apart
            )


def elements(car: Netlist, on: dict[str, tuple[frozenset[str], frozenset[str]]]) -> Iterator[Edge]:
    """Ways through components. ``on``: by relay, when its coil is energised for sure, and when it could be."""
    rows = {row.id: [inside for inside in car.insides if inside.component == row.id] for row in car.components}
    names = defaultdict(set)
    for a, b in wired(car):
        for owner, name in (a, b):
            if owner.endswith("!"):
                names[owner[:-1]].add(name)
    for row in car.components:
        for inside in rows[row.id]:
            a, b = terminal(row.id, inside.from_), terminal(row.id, inside.to)
            if inside.load or inside.amps or inside.watts:
                continue
            keyed = EVERY & set(inside.when) if row.key else NEVER
            when, could = (EVERY, EVERY) if not inside.when else (keyed, keyed if row.key else EVERY)
            resists = inside.ohms is not None and inside.fuse is None and not inside.diode
            hand = () if row.key or not inside.when else (row.id, frozenset(inside.when))
            yield Edge(a, b, NEVER if resists else when, could, bool(inside.diode and inside.fuse is None), *hand)
        has = names[row.id]
        if row.kind in FUSES and not rows[row.id] and len(has) == 2:
            a, b = (terminal(row.id, name) for name in sorted(has))
            yield Edge(a, b, EVERY, EVERY)
        elif row.kind == "resistor" and len(has) == 2:
            a, b = (terminal(row.id, name) for name in sorted(has))
            yield Edge(a, b, NEVER, EVERY)
        elif row.kind == "diode" and {"A", "K"} <= has:
            yield Edge(terminal(row.id, "A"), terminal(row.id, "K"), EVERY, EVERY, True)
        elif row.kind == "relay":
            sure, could = on[row.id]
            for common, other, makes in (
                ("30", "87", True),
                ("30", "87b", True),
                ("88", "88a", True),
                ("30", "87a", False),
            ):
                if {common, other} <= has:
                    states = (sure, could) if makes else (EVERY - could, EVERY - sure)
                    ends = terminal(row.id, common), terminal(row.id, other)
                    yield Edge(*ends, *states, False, row.id, frozenset({"makes" if makes else "breaks"}))


@dataclass
class Ways:
    """Who is joined with whom: wires in ``pieces``, wires and mates in ``plain``, and the ways through components."""

    pieces: dict[Node, set[Node]]
    plain: dict[Node, set[Node]]
    edges: list[Edge]

    def spread(
        self, roots: Collection[Node], ends: Collection[Node], position: str, sure: bool, feed: bool
    ) -> set[Node]:
        """What is reached from some nodes in a key position; what is in ``ends`` is reached but not passed.

        Every set of settings by which a node is reached is followed, so that no way asks one switch for two positions.
        """
        found: dict[Node, list[Settings]] = {root: [frozenset()] for root in roots}
        queue: list[tuple[Node, Settings]] = [(root, frozenset()) for root in sorted(roots)]
        for here, settings in queue:
            if here in ends and here not in roots:  # the whole wire is reached, and nothing behind it
                near = {(other, settings) for other in self.pieces.get(here, set())}
            else:
                near = {(other, settings) for other in self.plain.get(here, set())}
                near |= self.through(here, settings, position, sure, feed)
            for other, after in sorted(near, key=str):
                if not any(_asks_no_more(one, after) for one in found.get(other, ())):
                    found.setdefault(other, []).append(after)
                    queue.append((other, after))
        return set(found)

    def through(
        self, here: Node, settings: Settings, position: str, sure: bool, feed: bool
    ) -> set[tuple[Node, Settings]]:
        """What is behind the closed elements at a node; a diode lets a feed pass from a to b, a ground from b to a."""
        found = set()
        for edge in self.edges:
            if position not in (edge.when if sure else edge.could):
                continue
            after = settings if position in edge.when else _set(settings, edge)
            if after is not None and here == edge.a and (feed or not edge.one_way):
                found.add((edge.b, after))
            if after is not None and here == edge.b and not (feed and edge.one_way):
                found.add((edge.a, after))
        return found


Settings = frozenset[tuple[str, frozenset[str]]]


def _asks_no_more(known: Settings, wanted: Settings) -> bool:
    """Whether who reaches a node by one set of settings needs no more than another."""
    other = dict(wanted)
    return all(switch in other and other[switch] <= positions for switch, positions in known)


def _set(settings: Settings, edge: Edge) -> Settings | None:
    """The settings with an edge closed too; None where its switch would have to stand in two positions."""
    if not edge.switch:
        return settings
    known = dict(settings)
    left = known.get(edge.switch, edge.positions) & edge.positions
    return frozenset({**known, edge.switch: left}.items()) if left else None


@dataclass(frozen=True)
class Reached:
    """By node: the key positions it is fed or grounded in, for sure and perhaps; and what is the body by wire alone."""

    feed_sure: dict[Node, frozenset[str]]
    feed_maybe: dict[Node, frozenset[str]]
    ground_sure: dict[Node, frozenset[str]]
    ground_maybe: dict[Node, frozenset[str]]
    grounded: set[Node]


def _joined(pairs: Iterator[tuple[Node, Node]], found: dict[Node, set[Node]]) -> dict[Node, set[Node]]:
    for a, b in pairs:
        found.setdefault(a, set()).add(b)
        found.setdefault(b, set()).add(a)
    return found


def _closure(
    roots: Collection[Node], plain: dict[Node, set[Node]], pieces: dict[Node, set[Node]], ends: Collection[Node] = ()
) -> set[Node]:
    return Ways(pieces, plain, []).spread(roots, ends, "off", True, True)


def search(car: Netlist, edges: list[Edge], apart: Collection[str] = (), ends_apart: Collection[str] = ()) -> Reached:
    """The reach of every node with given relay contacts and some plugs apart; ``ends_apart``: where feeds end."""
    pieces = _joined(wired(car), {})
    whole = _joined(mated(car, apart), {node: set(others) for node, others in pieces.items()})
    kind = {row.id: row.kind for row in car.components}
    batteries = [node for node in pieces if node[0].endswith("!") and kind[node[0][:-1]] == "battery"]
    plus = _closure([node for node in batteries if node[1] == "+"], pieces, pieces)
    studs = {(row.id, "") for row in car.grounds}
    minus = _closure([*studs, *(node for node in batteries if node[1] == "-")], pieces, pieces)
    # the body is what the studs reach through wires and plugs alone, up to the battery's other post; and the other way
    bodily = _joined(mated(car, ends_apart), {node: set(others) for node, others in pieces.items()})
    body, live = _closure(minus, bodily, pieces, plus), _closure(plus, bodily, pieces, minus)
    ways = Ways(pieces, whole, edges)

    def masks(roots: set[Node], ends: set[Node], sure: bool, feed: bool) -> dict[Node, frozenset[str]]:
        by_position = {position: ways.spread(roots, ends, position, sure, feed) for position in POSITIONS}
        return {node: frozenset(p for p in POSITIONS if node in by_position[p]) for node in pieces}

    return Reached(
        masks(plus, body, True, True), masks(plus, body, False, True),
        masks(minus, live, True, False), masks(minus, live, False, False), _closure(minus, whole, pieces, plus),
    )  # fmt: skip


def reach(car: Netlist, apart: Collection[str] = (), ends_apart: Collection[str] = ()) -> Reached:
    """The reach of every node with some plugs apart, relays settled as built."""
    relays = [row.id for row in car.components if row.kind == "relay"]
    pieces = _joined(wired(car), {})
    whole = _joined(mated(car), {node: set(others) for node, others in pieces.items()})
    on = dict.fromkeys(relays, (NEVER, EVERY))
    while True:
        edges = list(elements(car, on))
        found = search(car, edges)
        settled = {name: _energised(car, name, found, whole) for name in relays}
        if settled == on:
            return search(car, edges, apart, ends_apart)
        on = settled


def _energised(
    car: Netlist, relay: str, found: Reached, whole: dict[Node, set[Node]]
) -> tuple[frozenset[str], frozenset[str]]:
    """When a coil has battery on one end and the body on the other; what a module's wire does is not known."""
    a, b = terminal(relay, "85"), terminal(relay, "86")
    if a not in whole or b not in whole:
        return NEVER, EVERY
    kind = {row.id: row.kind for row in car.components}
    near = _closure([a], whole, whole) | _closure([b], whole, whole)
    driven = any(node[0].endswith("!") and kind[node[0][:-1]] in OPAQUE for node in near)
    sure = (found.feed_sure[a] & found.ground_sure[b]) | (found.feed_sure[b] & found.ground_sure[a])
    could = (found.feed_maybe[a] & found.ground_maybe[b]) | (found.feed_maybe[b] & found.ground_maybe[a])
    return sure, EVERY if driven else could
