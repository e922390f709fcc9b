"""Looms with known faults, simulated from a vehicle's rows alone: nothing of ``harnesscheck.bench`` is used here.

A cavity has a face and a wire behind it; a fault breaks one joint, exchanges the
wires behind two faces of one plug, or lets two nets touch. Plugs of parts are
apart, plugs between looms are together.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

from harnesscheck.model.order import NaturalKey, natural_key
from harnesscheck.model.records import Pin
from harnesscheck.model.vehicle import Vehicle

Node = tuple[str, ...]  # face|wire, plug, cavity; point, id; metal, name; terminal, part, name
Broken = tuple[str, frozenset[Node]]  # "open", both ends of the joint
Fault = tuple[str, frozenset[Node]] | tuple[str, frozenset[int]]
"""``open`` and both ends of a joint; ``crossed`` and two faces; ``shorted`` and two nets."""


@dataclass(frozen=True)
class Row:
    """A measurement in the simulation's nodes: two tied sets, and whether they should be joined."""

    a: tuple[Node, ...]
    b: tuple[Node, ...]
    joined: bool


def in_order(fault: Fault) -> list[NaturalKey]:
    """The order in which contacts change places, where several did in one plug."""
    return sorted(natural_key(":".join(node[1:])) for node in fault[1]) if fault[0] == "crossed" else []  # type: ignore[index]


class Simulated:
    """The looms of one car."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        self.joints: set[frozenset[Node]] = set()
        for pin in vehicle.netlist.pins:
            self._pin(pin)
        for wire in vehicle.netlist.wires:
            self._join(self.end(wire.from_), self.end(wire.to))
        for ground in vehicle.netlist.grounds:
            self._join(("point", ground.id), ("metal", ground.on or "body"))
        self._by_circuit()
        self._plugs()
        self.at: dict[Node, list[Node]] = defaultdict(list)
        for a, b in map(tuple, self.joints):
            self.at[a].append(b)
            self.at[b].append(a)

    def _join(self, a: Node, b: Node) -> None:
        self.joints.add(frozenset((a, b)))

    def _in_loom(self, plug: str) -> bool:
        return self.vehicle.connectors[plug].component is None

    def end(self, text: str) -> Node:
        owner, colon, cavity = text.partition(":")
        if not colon:
            return ("point", owner)
        self._join(("face", owner, cavity), ("wire", owner, cavity))
        return ("wire", owner, cavity)

    def _pin(self, pin: Pin) -> None:
        if pin.connector is not None:
            if not self._in_loom(pin.connector):
                return
            here: Node = ("wire", pin.connector, pin.cavity or "")
            self._join(("face", *here[1:]), here)
        else:
            here = ("terminal", pin.component or "", pin.terminal or "")
            if all(value is None for value in (pin.length, pin.size, pin.ohms, pin.colour)):
                return  # the part's case
        if pin.to is not None:
            self._join(here, self.end(pin.to))

    def _by_circuit(self) -> None:
        """Wires whose far end nobody wrote are joined by circuit within their harness."""
        ends = {self.end(pin.to) for pin in self.vehicle.netlist.pins if pin.to and ":" in pin.to}
        groups: dict[tuple[str, str], list[Node]] = defaultdict(list)
        for pin in self.vehicle.netlist.pins:
            harness = self.vehicle.connectors[pin.connector].harness if pin.connector else None
            node: Node = ("wire", pin.connector or "", pin.cavity or "")
            if harness and pin.circuit and pin.to is None and node not in ends:
                groups[harness, pin.circuit].append(node)
        for nodes in groups.values():
            for node in nodes[1:]:
                self._join(nodes[0], node)

    def _plugs(self) -> None:
        held = {tuple(node[1:]) for joint in self.joints for node in joint if node[0] == "face"}
        for plug, mate in self.vehicle.mate_of.items():
            if self._in_loom(plug) and self._in_loom(mate):
                for name, cavity in held:
                    if name == plug and (mate, cavity) in held:
                        self._join(("face", plug, cavity), ("face", mate, cavity))

    # -- nets and ends

    @cached_property
    def net_of(self) -> dict[Node, int]:
        found: dict[Node, int] = {}
        for number, start in enumerate(sorted(self.at)):
            if start not in found:
                for node in self._island(start, frozenset(), {}):
                    found[node] = number
        return found

    @cached_property
    def nodes_of(self) -> dict[int, list[Node]]:
        found: dict[int, list[Node]] = defaultdict(list)
        for node, net in self.net_of.items():
            found[net].append(node)
        return found

    def is_mated(self, face: Node) -> bool:
        return any(other[0] == "face" for other in self.at[face])

    @cached_property
    def ends(self) -> frozenset[Node]:
        """Where a probe can go: faces that are apart, backs of mated contacts with no wire, metal, wired terminals."""
        found = set()
        for node, others in self.at.items():
            if (
                (node[0] == "face" and not self.is_mated(node))
                or node[0] in ("metal", "terminal")
                or (node[0] == "wire" and len(others) == 1 and self.is_mated(("face", *node[1:])))
            ):
                found.add(node)
        return frozenset(found)

    # -- faults

    def single_faults(self) -> Iterator[Fault]:
        """Every open joint, every exchange of two contacts of a plug, every two nets with ends that touch."""
        for joint in sorted(self.joints, key=sorted):
            yield ("open", joint)
        faces: dict[str, list[Node]] = defaultdict(list)
        for node in sorted(self.at):
            if node[0] == "face":
                faces[node[1]].append(node)
        for some in faces.values():
            for one, other in combinations(some, 2):
                yield ("crossed", frozenset((one, other)))
        for pair in combinations(sorted({self.net_of[end] for end in self.ends}), 2):
            yield ("shorted", frozenset(pair))

    def touched(self, fault: Fault) -> set[int]:
        sort, what = fault
        return set(what) if sort == "shorted" else {self.net_of[node] for node in what}  # type: ignore[arg-type, index]

    def _island(self, start: Node, broken: frozenset[frozenset[Node]], behind: dict[Node, Node]) -> list[Node]:
        """What a node is joined to: ``broken`` are joints that are open, ``behind`` where contacts now are."""
        island, seen = [start], {start}
        for here in island:
            there = behind.get(here)
            for other in self.at[here]:
                contact = there is not None and {here[0], other[0]} == {"face", "wire"} and here[1:] == other[1:]
                goes = there if contact else other
                joint = frozenset((here, other if not contact else ("wire", *here[1:]) if here[0] == "face" else other))
                if goes is not None and goes not in seen and joint not in broken:
                    seen.add(goes)
                    island.append(goes)
        return island

    def labels(self, *faults: Fault) -> dict[Node, object]:
        """By node of the nets that faults touch, a name of what it is joined to; opens and exchanges first.

        A contact that is open and in another's cavity has no joint of its own: such two faults are not simulated.
        """
        broken: frozenset[frozenset[Node]] = frozenset(what for sort, what in faults if sort == "open")  # type: ignore[misc]
        behind: dict[Node, Node] = {}
        for sort, what in sorted(faults, key=in_order):
            if sort == "crossed":
                one, other = sorted(what)  # type: ignore[type-var]
                wires = [behind.get(face, ("wire", *face[1:])) for face in (one, other)]  # type: ignore[index, call-overload]
                behind |= {one: wires[1], other: wires[0], wires[1]: one, wires[0]: other}  # type: ignore[dict-item]
        found: dict[Node, object] = {}
        for net in sorted(set().union(*map(self.touched, faults))):
            for start in self.nodes_of[net]:
                if start not in found:
                    for node in self._island(start, broken, behind):
                        found[node] = ("island", start)
        for sort, what in faults:
            if sort == "shorted":
                one, other = (found[self.nodes_of[net][0]] for net in sorted(what))  # type: ignore[type-var, index]
                found = {node: one if label == other else label for node, label in found.items()}
        return found

    def changes_partition(self, fault: Fault) -> bool:
        """Whether a probe on the ends could tell at all."""
        if fault[0] == "shorted":
            return True
        labels = self.labels(fault)
        before: dict[int, set[Node]] = defaultdict(set)
        after: dict[object, set[Node]] = defaultdict(set)
        for node, label in labels.items():
            if node in self.ends:
                before[self.net_of[node]].add(node)
                after[label].add(node)
        return set(map(frozenset, before.values())) != set(map(frozenset, after.values()))

    def shows(self, rows: Iterable[Row], *faults: Fault) -> tuple[bool, ...]:
        """What every measurement reads with some faults: joined or not."""
        labels = self.labels(*faults) if faults else {}

        def label(node: Node) -> object:
            return labels.get(node, self.net_of[node])

        return tuple(not {label(node) for node in row.a}.isdisjoint({label(node) for node in row.b}) for row in rows)
