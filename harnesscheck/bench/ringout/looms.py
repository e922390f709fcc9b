"""The looms with every part unplugged, as a graph that a meter can be held to.

What stays joined is the copper of the looms: wires, splices, in-line plugs, and
the studs on metal parts with the straps between them. A harness cavity is two
nodes, its *face* (where the other half or a probe touches) and the *wire* behind
it, joined by the contact; a contact that sits in another cavity than the file
says joins one cavity's face with another's wire. *Ends* are the nodes a probe
reaches with the parts unplugged. A *net* is what the graph joins.

Restraint and high-voltage wiring is left out: its ends, and every net of its
wires or that leads to such a part, but for what is the body.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final, Literal

from harnesscheck.model.order import NaturalKey, natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.graph.index import UnionFind
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import Branch, DcCircuit
from harnesscheck.network.volts.lumping import BODY, circuit_of

WIRE: Final = "wire"
CONTACT: Final = "contact"
PLUG: Final = "plug"
STUD: Final = "stud"
PART: Final = "part"
EdgeSort = Literal["wire", "contact", "plug", "stud", "part"]
NO_PLACE = "place not written"


@dataclass(frozen=True, slots=True)
class Edge:
    """What joins two nodes; ``ohm`` at 20 °C or the loom's ambient, ``why`` what of it was assumed."""

    sort: EdgeSort
    a: int
    b: int
    name: str
    ohm: float = 0.0
    why: str = ""
    likely: bool = False
    row: Pin | Wire | None = None


@dataclass(frozen=True)
class Looms:
    """One car's looms on the bench. Lists ending in ``_of`` are by node; ``nodes_of`` is by net.

    ``connector_of`` and ``cavity_of`` are empty for what is no cavity.
    ``together`` gives every net the smallest net that parts which cannot be
    unplugged join it with. ``left_out`` holds nets, ``shunned`` single ends, that
    are never probed.
    """

    study: Study
    names: tuple[str, ...]
    places: tuple[str, ...]
    edges: tuple[Edge, ...]
    edges_at: tuple[tuple[int, ...], ...]
    net_of: tuple[int, ...]
    nodes_of: tuple[tuple[int, ...], ...]
    ends_of_net: tuple[tuple[int, ...], ...]  # probed ends by net, in the order of the walk
    connector_of: tuple[str, ...]
    cavity_of: tuple[str, ...]
    face: dict[tuple[str, str], int]
    wire_side: dict[tuple[str, str], int]
    metals: dict[str, int]
    left_out: frozenset[int]
    shunned: frozenset[int]
    unwritten: frozenset[int]  # nets with a wire of which a far end is not written
    together: tuple[int, ...]

    def walk_key(self, node: int) -> tuple[bool, NaturalKey, NaturalKey]:
        """The order of one walk through the car: by place, then by name; metal parts come first at no place."""
        place = self.places[node]
        return (place == NO_PLACE, natural_key(place), natural_key(self.names[node]))

    def is_metal(self, net: int) -> bool:
        """Whether a metal part belongs to a net."""
        return any(self.net_of[node] == net for node in self.metals.values())

    def never_probed(self, connector: str) -> tuple[str, ...]:
        """The cavities of a plug that are on wiring that is left out, by full name."""
        return self._never_probed.get(connector, ())

    @cached_property
    def _never_probed(self) -> dict[str, tuple[str, ...]]:
        found: dict[str, list[str]] = defaultdict(list)
        for (connector, _), face in self.face.items():
            if face in self.shunned or self.net_of[face] in self.left_out:
                found[connector].append(self.names[face])
        return {connector: tuple(sorted(names, key=natural_key)) for connector, names in found.items()}

    def wires_at(self, node: int) -> Iterator[Edge]:
        """The wires that end at a node, or behind a face."""
        for number in self.edges_at[node]:
            edge = self.edges[number]
            if edge.sort == WIRE:
                yield edge
            elif edge.sort == CONTACT and edge.a == node:
                yield from self.wires_at(edge.b)


class _LoomNodes:
    """Hands out nodes with their names and places."""

    def __init__(self, study: Study) -> None:
        self.study = study
        self.names: list[str] = []
        self.places: list[str] = []
        self.connectors: list[str] = []
        self.cavities: list[str] = []
        self.face: dict[tuple[str, str], int] = {}
        self.wire_side: dict[tuple[str, str], int] = {}
        self.points: dict[str, int] = {}
        self.metals: dict[str, int] = {}
        self.terminals: dict[tuple[str, str], int] = {}

    def new(self, name: str, place: str | None, connector: str = "", cavity: str = "") -> int:
        """The number of a new node."""
        self.names.append(name)
        self.places.append(place or NO_PLACE)
        self.connectors.append(connector)
        self.cavities.append(cavity)
        return len(self.names) - 1

    def cavity(self, connector: str, cavity: str) -> int:
        """The wire's side of a cavity."""
        key = connector, cavity
        if key not in self.wire_side:
            place = self.study.vehicle.place_of(connector, loom=True) or None
            self.wire_side[key] = self.new(f"{connector}:{cavity}", place, connector, cavity)
            self.face[key] = self.new(f"{connector}:{cavity}", place, connector, cavity)
        return self.wire_side[key]

    def end(self, end: str) -> int:
        """What an end names: a cavity's wire side, a splice, a ground point."""
        owner, colon, cavity = end.partition(":")
        if colon:
            return self.cavity(owner, cavity)
        if end not in self.points:
            vehicle = self.study.vehicle
            row = vehicle.splices.get(end) or vehicle.grounds.get(end)
            self.points[end] = self.new(end, row.at if row is not None else None)
        return self.points[end]

    def terminal(self, component: str, terminal: str) -> int:
        """The node of a part's terminal."""
        key = component, terminal
        if key not in self.terminals:
            row = self.study.vehicle.components[component]
            self.terminals[key] = self.new(f"{component}.{terminal}", row.at)
        return self.terminals[key]

    def metal(self, on: str, place: str | None) -> int:
        """A metal part; bare metal is met wherever the first stud on it is."""
        if on not in self.metals:
            self.metals[on] = self.new(on, place)
        return self.metals[on]


def looms_of(study: Study, circuit: DcCircuit | None = None) -> Looms:
    """The looms of a car with its parts unplugged. Linear in the car's rows but for sorting."""
    circuit = circuit or circuit_of(study)
    nodes = _LoomNodes(study)
    edges = list(_wires(study, circuit, nodes))
    for connector, cavity in study.index.cavity:
        row = study.vehicle.connectors.get(connector)
        if row is not None and row.component is None:
            nodes.cavity(connector, cavity)
    edges += list(_contacts(circuit, nodes))
    edges += list(_studs(study, nodes))
    edges += list(_staying(study, circuit, nodes))
    return _netted(study, circuit, nodes, edges)


def _wires(study: Study, circuit: DcCircuit, nodes: _LoomNodes) -> Iterator[Edge]:
    """Every wire of the looms; a part grounded through its case has none."""
    cavity_at = {circuit.node_of[node]: key for key, node in study.index.cavity.items()}
    seen: set[tuple[int, int]] = set()
    for branch in circuit.branches:
        row = branch.row
        if branch.sort != "wire" or not isinstance(row, Pin | Wire) or is_through_case(row):
            continue
        a = _here(row, nodes)
        far = row.to if row.to is not None else "{}:{}".format(*cavity_at[branch.b])
        b = nodes.end(far)
        if isinstance(row, Pin) and row.connector and (b, a) in seen:
            continue  # one wire, written at both ends
        seen.add((a, b))
        yield Edge(WIRE, a, b, wire_name(branch), branch.ohm, branch.why, branch.likely, row)


def is_through_case(row: Pin | Wire) -> bool:
    """Whether a row is a part's case on a stud rather than a wire."""
    written = row.length, row.size, row.ohms, row.colour
    return isinstance(row, Pin) and row.connector is None and all(value is None for value in written)


def _here(row: Pin | Wire, nodes: _LoomNodes) -> int:
    if isinstance(row, Wire):
        return nodes.end(row.from_)
    if row.connector is not None:
        return nodes.cavity(row.connector, row.cavity or "")
    return nodes.terminal(row.component or "", row.terminal or "")


def wire_name(branch: Branch) -> str:
    """``wire C12:4 - S3``."""
    return f"wire {branch.name}"


def _contacts(circuit: DcCircuit, nodes: _LoomNodes) -> Iterator[Edge]:
    """The contact of every cavity, and the mated faces of in-line plugs."""
    for key, face in list(nodes.face.items()):
        yield Edge(CONTACT, face, nodes.wire_side[key], f"contact {nodes.names[face]}")
    vehicle = circuit.vehicle
    for (connector, cavity), face in list(nodes.face.items()):
        row, mate = vehicle.connectors[connector], vehicle.connectors[connector].mates
        if mate is None or (vehicle.connectors[mate].mates == row.id and mate < row.id):
            continue
        in_line = row.component is None and vehicle.connectors[mate].component is None
        if in_line and (mate, cavity) in nodes.face:
            yield Edge(PLUG, face, nodes.face[mate, cavity], f"{row.id}:{cavity} in {mate}:{cavity}", 0.001)


def _studs(study: Study, nodes: _LoomNodes) -> Iterator[Edge]:
    for ground in sorted(study.vehicle.netlist.grounds, key=lambda row: (not row.at, natural_key(row.at or row.id))):
        metal = nodes.metal(ground.on or BODY, ground.at)
        yield Edge(STUD, nodes.end(ground.id), metal, f"ground point {ground.id}", 0.0001)


def _staying(study: Study, circuit: DcCircuit, nodes: _LoomNodes) -> Iterator[Edge]:
    """Joints inside parts that cannot be taken off their harness; what is fused there is pulled."""
    staying = frozenset(staying_parts(study))
    faces = _faces_of_terminals(study, nodes, staying)
    for (component, terminal), found in faces.items():
        for face in found:
            yield Edge(PART, face, nodes.terminal(component, terminal), f"{component} {terminal}")
    node_at = {circuit.node_of[study.index.terminal[key]]: key for key in faces}
    for branch in circuit.branches:
        if branch.sort == "joint" and branch.component in staying and {branch.a, branch.b} <= node_at.keys():
            a, b = nodes.terminal(*node_at[branch.a]), nodes.terminal(*node_at[branch.b])
            yield Edge(PART, a, b, f"inside {branch.component}", branch.ohm)


def staying_parts(study: Study) -> tuple[str, ...]:
    """Parts wired into a harness, or with two or more ends taped into a loom: they cannot be unplugged."""
    found = []
    for row in study.vehicle.netlist.components:
        loose = [pin for pin in study.vehicle.loose_pins_of.get(row.id, ()) if pin.to and not is_through_case(pin)]
        wired_in = row.with_ is not None and (row.kind not in FUSES or study.vehicle.insides_of.get(row.id))
        if wired_in or (len(loose) > 1 and row.kind != "battery"):
            found.append(row.id)
    return tuple(found)


def _faces_of_terminals(
    study: Study, nodes: _LoomNodes, components: frozenset[str] | None = None
) -> dict[tuple[str, str], list[int]]:
    """By component and terminal, the faces of the looms' cavities that meet it."""
    found: dict[tuple[str, str], list[int]] = defaultdict(list)
    vehicle = study.vehicle
    for pin in vehicle.netlist.pins:
        owner = vehicle.connectors[pin.connector].component if pin.connector else None
        if owner is None or pin.terminal is None or (components is not None and owner not in components):
            continue
        mate = vehicle.mate_of.get(pin.connector or "")
        face = nodes.face.get((mate or "", pin.cavity or ""))
        if face is not None:
            found[owner, pin.terminal].append(face)
    return dict(found)


def _netted(study: Study, circuit: DcCircuit, nodes: _LoomNodes, edges: list[Edge]) -> Looms:
    sets = UnionFind(len(nodes.names))
    for edge in edges:
        sets.union(edge.a, edge.b)
    net_of = sets.numbered()
    count = max(net_of, default=-1) + 1
    at: list[list[int]] = [[] for _ in net_of]
    for number, edge in enumerate(edges):
        at[edge.a].append(number)
        at[edge.b].append(number)
    members: list[list[int]] = [[] for _ in range(count)]
    for node, net in enumerate(net_of):
        members[net].append(node)
    left_out, shunned = _left_out(study, nodes, net_of)
    looms = Looms(
        study=study,
        names=tuple(nodes.names),
        places=tuple(nodes.places),
        edges=tuple(edges),
        edges_at=tuple(map(tuple, at)),
        net_of=tuple(net_of),
        nodes_of=tuple(map(tuple, members)),
        ends_of_net=(),
        connector_of=tuple(nodes.connectors),
        cavity_of=tuple(nodes.cavities),
        face=nodes.face,
        wire_side=nodes.wire_side,
        metals=nodes.metals,
        left_out=frozenset(left_out),
        shunned=frozenset(shunned),
        unwritten=frozenset(_unwritten(study, nodes, net_of)),
        together=tuple(_together(study, circuit, nodes, net_of, count)),
    )
    return _with_ends(looms, nodes, count)


def _with_ends(looms: Looms, nodes: _LoomNodes, count: int) -> Looms:
    ends: list[list[int]] = [[] for _ in range(count)]
    mated = {node for edge in looms.edges if edge.sort == PLUG for node in (edge.a, edge.b)}
    terminals = set(nodes.terminals.values())
    staying = frozenset(staying_parts(looms.study))
    inside = {node for (component, _), node in nodes.terminals.items() if component in staying}  # taped in: no probe
    # Behind a mated contact with no wire the plug's back is the only place for a probe.
    backs = [
        node for key, node in nodes.wire_side.items() if nodes.face[key] in mated and len(looms.edges_at[node]) == 1
    ]
    for node in (*nodes.face.values(), *nodes.metals.values(), *nodes.terminals.values(), *backs):
        net = looms.net_of[node]
        if node in mated or node in looms.shunned or net in looms.left_out or not looms.edges_at[node]:
            continue
        if node in inside or (node in terminals and not any(looms.edges[n].sort == WIRE for n in looms.edges_at[node])):
            continue
        ends[net].append(node)
    return replace(looms, ends_of_net=tuple(tuple(sorted(some, key=looms.walk_key)) for some in ends))


def _left_out(study: Study, nodes: _LoomNodes, net_of: Sequence[int]) -> tuple[set[int], set[int]]:
    """Nets that are restraint or high voltage, and single ends: such a part's contacts on what others share."""
    judge, index = study.hands_off, study.index
    if not judge.any:
        return set(), set()
    grounded = {net_of[node] for node in nodes.metals.values()}
    nets: set[int] = set()
    shunned: set[int] = set()
    for key, wire in nodes.wire_side.items():
        if judge.contact(*key):  # an ordinary contact beside it is probed from behind: the plug stays in
            shunned |= {wire, nodes.face[key]}
        if judge.piece(index.piece(*key)):
            nets |= {net_of[wire], net_of[nodes.face[key]]}
    for point, node in nodes.points.items():
        if judge.end(point):
            shunned.add(node)
    for terminal, node in nodes.terminals.items():
        if judge.part(terminal[0]) or judge.node(index.terminal.get(terminal)):
            shunned.add(node)
    return nets - grounded, shunned


def special_parts(study: Study) -> tuple[str, ...]:
    """Restraint and high-voltage parts, in natural order."""
    return tuple(study.hands_off.parts)


def held_parts(study: Study) -> dict[str, tuple[str, ...]]:
    """By part its plugs that nobody but the licensed person takes off, for they hold restraint or high voltage too."""
    judge = study.hands_off
    found: dict[str, tuple[str, ...]] = {}
    for connector in judge.plugs:
        component = study.vehicle.connectors[connector].component
        if component is not None and not judge.part(component):
            found[component] = (*found.get(component, ()), connector)
    return found


def _unwritten(study: Study, nodes: _LoomNodes, net_of: Sequence[int]) -> Iterator[int]:
    for (connector, cavity), node in nodes.wire_side.items():
        piece = study.index.piece(connector, cavity)
        if piece is not None and "" in study.index.open_at.get(piece, ()):
            yield net_of[node]


def _together(study: Study, circuit: DcCircuit, nodes: _LoomNodes, net_of: Sequence[int], count: int) -> list[int]:
    """The nets that parts which stay join, and metal parts that touch: they cannot be told apart by a meter."""
    sets = UnionFind(count)
    metals = [net_of[node] for node in nodes.metals.values()]
    for net in metals[1:]:
        sets.union(metals[0], net)
    staying = frozenset(staying_parts(study))
    net_at: dict[int, int] = {}
    for key, faces in _faces_of_terminals(study, nodes, staying).items():
        net_at[circuit.node_of[study.index.terminal[key]]] = net_of[faces[0]]
    for key, node in nodes.terminals.items():
        if key[0] in staying:
            net_at[circuit.node_of[study.index.terminal[key]]] = net_of[node]
    for held in held_parts(study).values():
        faces = [net_of[nodes.face[key]] for key in nodes.face if study.vehicle.mate_of.get(key[0]) in held]
        for net in faces[1:]:
            sets.union(faces[0], net)  # the part stays plugged in there
    passing = [(one.component, one.a, one.b) for one in circuit.branches if one.sort != "fuse"]
    passing += [(one.component, one.a, one.b) for one in circuit.ports]
    for component, a, b in passing:
        if component in staying and a in net_at and b in net_at:
            sets.union(net_at[a], net_at[b])
    return [sets.find(net) for net in range(count)]


def ohms_from(looms: Looms, start: int) -> dict[int, tuple[float, str, bool]]:
    """By node of a start's net: Ω of the shortest way, what of it was assumed, whether any of it is likely."""
    found: dict[int, tuple[float, str, bool]] = {}
    queue: list[tuple[float, int, str, bool]] = [(0.0, start, "", False)]
    while queue:
        ohm, here, why, likely = heapq.heappop(queue)
        if here in found:
            continue
        found[here] = ohm, why, likely
        for number in looms.edges_at[here]:
            edge = looms.edges[number]
            there = edge.b if edge.a == here else edge.a
            if there not in found:
                heapq.heappush(queue, (ohm + edge.ohm, there, why or edge.why, likely or edge.likely))
    return found
