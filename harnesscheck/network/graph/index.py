"""One car as integers: nodes, pieces, nets, and the edges between pieces.

A *node* is a cavity, a splice, a ground point or a component's terminal. A
*piece* is what stays joined with every plug apart: nodes united by wires and by
the crimp between a component's cavity and its terminal. A *net* is pieces united
by mated contacts. Above this module inner loops see integers only.

Joins that rest on the rule "pins of one circuit in one harness, no far end
written" are *likely*; a piece held together by one, or by a row that covers
part of the build dates, is likely as a whole.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from typing import TypeVar

from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.conduction import FUSES, Conduction, conductions_of

Key = TypeVar("Key")

PASSING = FUSES | {"switch", "relay", "connector-only", "other"}
"""Kinds of component that pass a current on rather than use it."""

USED, EMPTY, UNKNOWN = "used", "empty", "not known"


class UnionFind:
    """Disjoint sets over 0..n-1 by path halving; the root is the smallest member, so nothing wanders."""

    def __init__(self, size: int) -> None:
        self.parent = list(range(size))

    def find(self, item: int) -> int:
        """The set's smallest member."""
        parent = self.parent
        while parent[item] != item:
            parent[item] = parent[parent[item]]
            item = parent[item]
        return item

    def union(self, a: int, b: int) -> None:
        """Join the sets of a and b."""
        a, b = self.find(a), self.find(b)
        if a < b:
            self.parent[b] = a
        elif b < a:
            self.parent[a] = b

    def numbered(self) -> list[int]:
        """For every item the number of its set, counted from 0 in order of first member."""
        numbers: dict[int, int] = {}
        return [numbers.setdefault(self.find(item), len(numbers)) for item in range(len(self.parent))]


@dataclass(frozen=True, slots=True)
class Mate:
    """Two facing cavities of mated connectors, as pieces; ``place`` holds the ids of the two halves."""

    place: tuple[str, str]
    cavity: str
    a: int
    b: int


@dataclass(frozen=True)
class Index:
    """The integers of one car; see the module's text for the words.

    Lists that only some questions need are made when first asked for: they would
    be more than half of a big car's memory. ``piece_of`` and ``net_of`` give the
    number for every node and piece; the lists ending in ``_of`` are by piece
    (``pieces_of``: by net). ``open_at`` names, for a piece whose extent is not fully
    known, the connectors whose other half is not known, and ``""`` for a wire whose
    far end is not written or a part of which nobody knows what it joins.
    """

    vehicle: Vehicle
    cavity: dict[tuple[str, str], int]
    point: dict[str, int]
    terminal: dict[tuple[str, str], int]
    piece_of: list[int]
    net_of: list[int]
    mates: tuple[Mate, ...]
    likely_pieces: frozenset[int]
    ground_pieces: Mapping[int, str]
    joined: bytearray  # by node: 1 where a row joins it to another
    loose: frozenset[tuple[str | None, str]]  # harness and circuit of wires whose far end is not written
    incomplete: frozenset[str | None]  # harnesses with a plug not fully written: a wire is written at one end only

    @cached_property
    def nodes_of(self) -> list[list[int]]:
        """The nodes of each piece."""
        return _by_piece(self._pieces, ((piece, node) for node, piece in enumerate(self.piece_of)))

    @cached_property
    def pieces_of(self) -> list[list[int]]:
        """The pieces of each net."""
        return _by_piece(max(self.net_of, default=-1) + 1, ((net, piece) for piece, net in enumerate(self.net_of)))

    @cached_property
    def terminals_of(self) -> list[list[tuple[str, str]]]:
        """Component and terminal of each piece's terminals."""
        return _by_piece(self._pieces, ((self.piece_of[node], key) for key, node in self.terminal.items()))

    @cached_property
    def cavities_of(self) -> list[list[tuple[str, str]]]:
        """Connector and cavity of each piece's cavities."""
        return _by_piece(self._pieces, ((self.piece_of[node], key) for key, node in self.cavity.items()))

    @cached_property
    def wires_of(self) -> list[list[Pin | Wire]]:
        """The rows of each piece."""
        return _by_piece(self._pieces, _rows_by_piece(self.vehicle, self._nodes, self.piece_of))

    @cached_property
    def circuits_of(self) -> list[tuple[str, ...]]:
        """The circuits that each piece's rows name."""
        return [_circuits(rows) for rows in self.wires_of]

    @cached_property
    def wires_at(self) -> Mapping[int, tuple[Pin | Wire, ...]]:
        """By node, the rows of the wires that end there."""
        return _wires_at(self.vehicle, self._nodes)

    @cached_property
    def open_at(self) -> Mapping[int, tuple[str, ...]]:
        """By piece, why its extent is not fully known."""
        return _open_pieces(self.vehicle, self._nodes, self.piece_of, self.joined)

    @cached_property
    def roles(self) -> Mapping[tuple[str, str], Pin]:
        """The first pin row of every terminal that gives a role, else the first of all."""
        found: dict[tuple[str, str], Pin] = {}
        connectors = self.vehicle.connectors
        for pin in self.vehicle.netlist.pins:
            if pin.terminal is None:
                continue
            owner = pin.component or (connectors[pin.connector].component if pin.connector else None)
            if owner is not None:
                known = found.get((owner, pin.terminal))
                if known is None or (known.role is None and pin.role is not None):
                    found[owner, pin.terminal] = pin
        return found

    def role(self, component: str, terminal: str) -> str | None:
        """The role of a terminal, where the file gives one."""
        pin = self.roles.get((component, terminal))
        return pin.role if pin is not None else None

    @cached_property
    def terminals_by_part(self) -> Mapping[str, tuple[str, ...]]:
        """The terminals of every component that has any, in the order they were met."""
        found: dict[str, list[str]] = defaultdict(list)
        for component, terminal in self.terminal:
            found[component].append(terminal)
        return {component: tuple(names) for component, names in found.items()}

    @cached_property
    def conductions_of(self) -> Mapping[str, tuple[Conduction, ...]]:
        """Every way through every component, in the file's order."""
        terminals, rows = self.terminals_by_part, self.vehicle.insides_of
        return {
            part.id: conductions_of(
                part, rows.get(part.id, ()), terminals.get(part.id, ()), partial(self.role, part.id)
            )
            for part in self.vehicle.netlist.components
        }

    @property
    def _pieces(self) -> int:
        return len(self.net_of)

    @property
    def _nodes(self) -> _Nodes:
        return _Nodes(self.cavity, self.point, self.terminal)

    def piece(self, connector: str, cavity: str) -> int | None:
        """The piece of a cavity, or None where no wire or terminal is in it."""
        node = self.cavity.get((connector, cavity))
        return None if node is None else self.piece_of[node]

    def net(self, connector: str, cavity: str) -> int | None:
        """The net of a cavity, or None."""
        piece = self.piece(connector, cavity)
        return None if piece is None else self.net_of[piece]

    def state(self, connector: str, cavity: str) -> str:
        """Whether a cavity is used, known to be empty, or not known."""
        if (connector, cavity) in self.cavity:
            return USED
        row = self.vehicle.connectors.get(connector)
        if row is None or row.complete is False or connector not in self.vehicle.pins_of:
            return UNKNOWN
        return EMPTY

    def cavities(self, connector: str) -> tuple[str, ...]:
        """Every cavity name known of a connector: its list, then what its pins or wires add."""
        row = self.vehicle.connectors.get(connector)
        names = dict.fromkeys(row.cavities or () if row is not None else ())
        names.update(dict.fromkeys(pin.cavity or "" for pin in self.vehicle.pins_of.get(connector, ())))
        names.update(dict.fromkeys(self._named_cavities.get(connector, ())))
        return tuple(names)

    def may_lack_wires(self, connector: str) -> bool:
        """Whether a cavity of a connector may hold a wire that no row tells of."""
        return self.is_doubted(connector) or self._may_be_of(connector, {harness for harness, _ in self.loose})

    def is_doubted(self, connector: str) -> bool:
        """Whether a wire to a cavity of a connector may stand at a plug that is not fully written."""
        return self._may_be_of(connector, self.incomplete)

    def may_be_loose(self, connector: str, circuit: str) -> bool:
        """Whether a wire of a circuit has a far end nobody wrote, which may be in a connector."""
        return self._may_be_of(connector, {harness for harness, name in self.loose if name == circuit})

    def _may_be_of(self, connector: str, harnesses: Collection[str | None]) -> bool:
        """Whether a connector may be of one of some harnesses. No component's is."""
        row = self.vehicle.connectors.get(connector)
        return row is not None and row.component is None and _is_one_of(row.harness, harnesses)

    @cached_property
    def _named_cavities(self) -> Mapping[str, list[str]]:
        names: dict[str, list[str]] = defaultdict(list)
        for connector, cavity in self.cavity:
            names[connector].append(cavity)
        return names


class _Nodes:
    """Hands out node numbers while the rows are read, and gives them again afterwards."""

    def __init__(
        self, cavity: dict[tuple[str, str], int], point: dict[str, int], terminal: dict[tuple[str, str], int]
    ) -> None:
        self.count = len(cavity) + len(point) + len(terminal)
        self.cavity, self.point, self.terminal = cavity, point, terminal

    def _number(self, table: dict[Key, int], key: Key) -> int:
        node = table.setdefault(key, self.count)
        if node == self.count:
            self.count += 1
        return node

    def cavity_node(self, connector: str, cavity: str) -> int:
        """The node of a cavity."""
        return self._number(self.cavity, (connector, cavity))

    def terminal_node(self, component: str, terminal: str) -> int:
        """The node of a component's terminal; the same name twice is one terminal."""
        return self._number(self.terminal, (component, terminal))

    def end(self, end: str) -> int:
        """The node an end names: ``C7:3``, a splice or a ground point."""
        owner, colon, cavity = end.partition(":")
        return self.cavity_node(owner, cavity) if colon else self._number(self.point, end)


@dataclass(frozen=True, slots=True)
class _PieceJoin:
    """Two nodes joined by a row; ``likely`` where the rule of the unwritten far end joined them."""

    a: int
    b: int
    row: Pin | Wire
    likely: bool


def _pin_node(nodes: _Nodes, pin: Pin) -> int:
    if pin.connector is not None:
        return nodes.cavity_node(pin.connector, pin.cavity or "")
    return nodes.terminal_node(pin.component or "", pin.terminal or "")


def _written_joins(vehicle: Vehicle, nodes: _Nodes) -> Iterator[_PieceJoin]:
    """Wires with both ends written, and the crimps between a component's cavities and its terminals."""
    for pin in vehicle.netlist.pins:
        node = _pin_node(nodes, pin)
        if pin.to is not None:
            yield _PieceJoin(node, nodes.end(pin.to), pin, pin.common.partial)
        if pin.connector is not None and pin.terminal is not None:
            component = vehicle.connectors[pin.connector].component
            if component is not None:
                yield _PieceJoin(node, nodes.terminal_node(component, pin.terminal), pin, pin.common.partial)
    for wire in vehicle.netlist.wires:
        yield _PieceJoin(nodes.end(wire.from_), nodes.end(wire.to), wire, wire.common.partial)


def _likely_joins(vehicle: Vehicle, nodes: _Nodes, far_ends: set[int]) -> Iterator[_PieceJoin]:
    """Pins of one circuit in one harness with no far end written: joined with each other, likely."""
    groups: dict[tuple[str, str], list[Pin]] = defaultdict(list)
    for pin in vehicle.netlist.pins:
        if pin.to is not None or pin.circuit is None or pin.connector is None:
            continue
        harness = vehicle.connectors[pin.connector].harness
        if harness is not None and nodes.cavity_node(pin.connector, pin.cavity or "") not in far_ends:
            groups[harness, pin.circuit].append(pin)
    for pins in groups.values():
        first = _pin_node(nodes, pins[0])
        for pin in pins[1:]:
            yield _PieceJoin(first, _pin_node(nodes, pin), pin, True)


def _mated_cavities(vehicle: Vehicle, nodes: _Nodes) -> Iterator[tuple[tuple[str, str], str, int, int]]:
    """Cavity n meets cavity n wherever both halves hold something there."""
    held: dict[str, list[str]] = defaultdict(list)
    for connector, cavity in nodes.cavity:
        held[connector].append(cavity)
    for row in vehicle.netlist.connectors:
        mate = row.mates
        if mate is None or (vehicle.connectors[mate].mates == row.id and mate < row.id):
            continue
        place = row.id, mate
        for cavity in held.get(row.id, ()):
            other = nodes.cavity.get((mate, cavity))
            if other is not None:
                yield place, cavity, nodes.cavity[row.id, cavity], other


def _by_piece(count: int, items: Iterator[tuple[int, Key]]) -> list[list[Key]]:
    lists: list[list[Key]] = [[] for _ in range(count)]
    for piece, item in items:
        lists[piece].append(item)
    return lists


def _loose(vehicle: Vehicle, nodes: _Nodes, far_ends: set[int]) -> frozenset[tuple[str | None, str]]:
    """Harness and circuit of the wires whose far end nobody wrote; the rule that joins some of them may be wrong."""
    found: set[tuple[str | None, str]] = set()
    for pin in vehicle.netlist.pins:
        row = vehicle.connectors.get(pin.connector or "")
        if row is None or row.component is not None or pin.circuit is None or pin.to is not None:
            continue
        if _pin_node(nodes, pin) not in far_ends:
            found.add((row.harness, pin.circuit))
    return frozenset(found)


def _open_pieces(
    vehicle: Vehicle, nodes: _Nodes, piece_of: Sequence[int], joined: Sequence[int]
) -> dict[int, tuple[str, ...]]:
    """Where a piece's extent is not known; see ``Index``."""
    reasons: dict[int, list[str]] = defaultdict(list)
    known = vehicle.pins_of
    ending = _one_ended(vehicle, nodes, joined)
    doubted = _incomplete(vehicle) | {harness for harness, _ in ending}
    for (connector, cavity), node in nodes.cavity.items():
        if not joined[node]:
            reasons[piece_of[node]].append("")
        mate = vehicle.mate_of.get(connector)
        if mate is None:
            reasons[piece_of[node]].append(connector)
        elif (mate, cavity) not in nodes.cavity:
            other = vehicle.connectors[mate]
            may_hold = other.component is None and _is_one_of(other.harness, doubted)
            if mate not in known or other.complete is False or may_hold:
                reasons[piece_of[node]].append(connector)
    for piece in _same_circuit(vehicle, nodes, piece_of, ending):
        reasons[piece].append("")
    for piece in _joints(vehicle, nodes, piece_of, _incomplete(vehicle)):
        reasons[piece].append("")
    opaque = _opaque(vehicle, nodes) if nodes.terminal else frozenset()
    for (component, _), node in nodes.terminal.items():
        if component in opaque:
            reasons[piece_of[node]].append("")
    return {piece: tuple(why) for piece, why in reasons.items()}


def _one_ended(vehicle: Vehicle, nodes: _Nodes, joined: Sequence[int]) -> set[tuple[str | None, str]]:
    """Harness and circuit of the wires of which only one end is in the file."""
    found: set[tuple[str | None, str]] = set()
    for pin in vehicle.netlist.pins:
        row = vehicle.connectors.get(pin.connector or "")
        if row is not None and row.component is None and pin.circuit and not joined[_pin_node(nodes, pin)]:
            found.add((row.harness, pin.circuit))
    return found


def _is_one_of(harness: str | None, harnesses: Collection[str | None]) -> bool:
    """Whether a harness may be one of some; None is a harness not known."""
    return bool(harnesses) and (harness is None or None in harnesses or harness in harnesses)


def _same_circuit(
    vehicle: Vehicle, nodes: _Nodes, piece_of: Sequence[int], loose: set[tuple[str | None, str]]
) -> Iterator[int]:
    """The pieces that a wire whose far end nobody wrote may be part of: the same circuit in the same harness."""
    if not loose:
        return
    anywhere = {circuit for harness, circuit in loose if harness is None}
    circuits = {circuit for _, circuit in loose}
    for pin in vehicle.netlist.pins:
        row = vehicle.connectors.get(pin.connector or "")
        if row is None or row.component is not None or pin.circuit not in circuits:
            continue
        if row.harness is None or pin.circuit in anywhere or (row.harness, pin.circuit) in loose:
            yield piece_of[_pin_node(nodes, pin)]
    for wire in vehicle.netlist.wires:
        if wire.circuit in anywhere or (wire.harness, wire.circuit) in loose:
            yield piece_of[nodes.end(wire.from_)]


def _incomplete(vehicle: Vehicle) -> frozenset[str | None]:
    """The harnesses with a plug that says it is not fully written; None for a plug of no known harness."""
    rows = vehicle.netlist.connectors
    return frozenset(row.harness for row in rows if row.component is None and row.complete is False)


def _joints(
    vehicle: Vehicle, nodes: _Nodes, piece_of: Sequence[int], harnesses: frozenset[str | None]
) -> Iterator[int]:
    """The pieces with a splice of some harnesses, where a wire nobody wrote may end."""
    if not harnesses:
        return
    for pin in vehicle.netlist.pins:
        row = vehicle.connectors.get(pin.connector or "")
        if row is None or row.component is not None or pin.to not in vehicle.splices:
            continue
        if None in harnesses or row.harness is None or row.harness in harnesses:
            yield piece_of[_pin_node(nodes, pin)]
    for splice in vehicle.netlist.splices:
        if splice.id in nodes.point and (None in harnesses or splice.harness in harnesses):
            yield piece_of[nodes.point[splice.id]]


def _opaque(vehicle: Vehicle, nodes: _Nodes) -> frozenset[str]:
    """Components that may join their terminals in ways the file does not tell.

    One of no known kind; and one that passes current on, with a contact of which
    no terminal is named, or, for a fuse, with other than two ends.
    """
    terminals: dict[str, int] = defaultdict(int)
    for component, _ in nodes.terminal:
        terminals[component] += 1
    return frozenset(
        row.id
        for row in vehicle.netlist.components
        if row.kind is None
        or (row.kind in PASSING and _has_nameless_contact(vehicle, row.id))
        or (row.kind in FUSES and terminals[row.id] != 2 and row.id not in vehicle.insides_of)
    )


def _has_nameless_contact(vehicle: Vehicle, component: str) -> bool:
    for row in vehicle.connectors_of.get(component, ()):
        pins = vehicle.pins_of.get(row.id, ())
        if row.complete is False or not pins or any(pin.terminal is None for pin in pins):
            return True
    return False


def _circuits(rows: Sequence[Pin | Wire]) -> tuple[str, ...]:
    names = {row.circuit for row in rows if row.circuit is not None}
    return tuple(sorted(names, key=natural_key)) if len(names) > 1 else tuple(names)


def build_index(vehicle: Vehicle) -> Index:
    """Number one car. Linear in its rows; nothing is judged here."""
    nodes = _Nodes({}, {}, {})
    written = list(_written_joins(vehicle, nodes))
    far_ends = {join.b for join in written if isinstance(join.row, Pin) and join.row.to is not None}
    joins = written + list(_likely_joins(vehicle, nodes, far_ends))
    for ground in vehicle.netlist.grounds:
        nodes.end(ground.id)
    for inside in vehicle.netlist.insides:  # a terminal may exist inside a component only
        nodes.terminal_node(inside.component, inside.from_)
        nodes.terminal_node(inside.component, inside.to)
    sets = UnionFind(nodes.count)
    for join in joins:
        sets.union(join.a, join.b)
    piece_of = sets.numbered()
    count = max(piece_of, default=-1) + 1
    mates = tuple(
        Mate(place, cavity, piece_of[a], piece_of[b]) for place, cavity, a, b in _mated_cavities(vehicle, nodes)
    )
    nets = UnionFind(count)
    for mate in mates:
        nets.union(mate.a, mate.b)
    net_of = nets.numbered()
    joined = bytearray(nodes.count)
    for join in joins:
        joined[join.a] = joined[join.b] = 1
    loose = _loose(vehicle, nodes, far_ends)
    studs = sorted((row.id for row in vehicle.netlist.grounds), key=natural_key, reverse=True)
    grounds = {piece_of[nodes.point[id]]: id for id in studs}  # of studs wired together the first by name
    return Index(
        vehicle=vehicle,
        cavity=nodes.cavity,
        point=nodes.point,
        terminal=nodes.terminal,
        piece_of=piece_of,
        net_of=net_of,
        mates=mates,
        likely_pieces=frozenset(piece_of[join.a] for join in joins if join.likely),
        ground_pieces=grounds,
        joined=joined,
        loose=loose,
        incomplete=_incomplete(vehicle),
    )


def _rows_by_piece(vehicle: Vehicle, nodes: _Nodes, piece_of: Sequence[int]) -> Iterator[tuple[int, Pin | Wire]]:
    for pin in vehicle.netlist.pins:
        yield piece_of[_pin_node(nodes, pin)], pin
    for wire in vehicle.netlist.wires:
        yield piece_of[nodes.end(wire.from_)], wire


def _wires_at(vehicle: Vehicle, nodes: _Nodes) -> dict[int, tuple[Pin | Wire, ...]]:
    found: dict[int, list[Pin | Wire]] = defaultdict(list)
    for pin in vehicle.netlist.pins:
        found[_pin_node(nodes, pin)].append(pin)
        if pin.to is not None:
            found[nodes.end(pin.to)].append(pin)
    for wire in vehicle.netlist.wires:
        found[nodes.end(wire.from_)].append(wire)
        found[nodes.end(wire.to)].append(wire)
    return {node: tuple(rows) for node, rows in found.items()}
