"""The marks of nodes, pieces and parts, followed along the wires from what the rows say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.graph.index import Index
from harnesscheck.network.graph.reach import Reach
from harnesscheck.network.hands_off.marks import Marks, together
from harnesscheck.network.hands_off.seeds import Seeds
from harnesscheck.network.hands_off.trunks import RAIL_ROLES, Trunks
from harnesscheck.trade.lexicon import HIGH_VOLTAGE

_NEVER_OF_A_SET = FUSES | {"relay", "battery", "alternator", "connector-only"}  # by their wires alone


def nodes_of(index: Index, row: Pin | Wire) -> Iterator[int]:
    """The nodes at the ends of a wire's row."""
    if isinstance(row, Wire):
        ends = [_end_node(index, row.from_), _end_node(index, row.to)]
    else:
        own = (
            index.cavity.get((row.connector, row.cavity or ""))
            if row.connector is not None
            else index.terminal.get((row.component or "", row.terminal or ""))
        )
        ends = [own, _end_node(index, row.to) if row.to is not None else None]
    yield from (node for node in ends if node is not None)


def _end_node(index: Index, end: str) -> int | None:
    owner, colon, cavity = end.partition(":")
    return index.cavity.get((owner, cavity)) if colon else index.point.get(end)


class Spread:
    """The marks of nodes, pieces and parts, followed from the seeds until nothing is added."""

    def __init__(self, vehicle: Vehicle, index: Index, reach: Reach, seeds: Seeds) -> None:
        self.vehicle = vehicle
        self.index = index
        self.reach = reach
        self.parts: dict[str, Marks] = dict(seeds.parts)
        self.nodes: dict[int, Marks] = {}
        self.pieces: dict[int, Marks] = {}
        self.cavity_at = {node: key for key, node in index.cavity.items()}
        self.points = frozenset(index.point.values())
        self.trunks = Trunks(vehicle, index, reach, self.parts)
        self._from_rows(seeds)
        self._from_plugs(seeds)
        self._settle()
        self.parts = {name: self.parts[name] for name in sorted(self.parts, key=natural_key)}

    # -- what marks what; in natural order, for of equal marks the first gives its reason
    def _from_rows(self, seeds: Seeds) -> None:
        marked = [(node, marks) for row, marks in seeds.rows for node in nodes_of(self.index, row)]
        for node, marks in sorted(marked, key=lambda one: (self._place(one[0]), one[1])):
            net = self.index.net_of[self.index.piece_of[node]]
            if node not in self.points or not self.trunks.is_trunk(net, by_part=False):
                self._mark_node(node, marks)
                self._follow(node, marks, by_part=False)

    def _place(self, node: int) -> tuple[int, tuple[object, ...], tuple[object, ...]]:
        """What nodes are ordered by: cavities before all else, by plug and name."""
        plug, cavity = self.cavity_at.get(node, ("", ""))
        return (0 if plug else 1, natural_key(plug), natural_key(cavity))

    def _from_plugs(self, seeds: Seeds) -> None:
        for connector in sorted(seeds.plugs, key=natural_key):
            owner = self.vehicle.connectors[connector].component or self._only_behind(connector)
            if owner is not None:
                self.parts.setdefault(owner, seeds.plugs[connector])
            self._mark_plug(connector, seeds.plugs[connector])

    def _only_behind(self, connector: str) -> str | None:
        """The part that a harness's plug goes into, where it is that part's only one."""
        mate = self.vehicle.connectors.get(self.vehicle.mate_of.get(connector, ""))
        part = self.vehicle.components.get(mate.component or "") if mate is not None else None
        if part is None or part.kind in _NEVER_OF_A_SET or len(self.vehicle.connectors_of.get(part.id, ())) > 1:
            return None
        return part.id

    def _settle(self) -> None:
        done: set[str] = set()
        while True:
            for name in sorted(self.parts.keys() - done, key=natural_key):
                done.add(name)
                self._mark_part(name)
            found = list(self._parts_by_their_wires())
            if not found:
                return
            self.parts.update(found)

    def _mark_part(self, component: str) -> None:
        row = self.vehicle.components[component]
        called = row.name or row.id
        why = f"it is joined to {called}" if called == component else f"it is joined to {called} ({component})"
        joined = tuple(replace(mark, why=why) for mark in self.parts[component])
        for connector in self.vehicle.connectors_of.get(component, ()):
            self._mark_plug(connector.id, joined)
        for _, node in self._terminals(component):
            self._mark_node(node, joined)
            self._follow(node, joined, by_part=True)

    def _mark_plug(self, connector: str, marks: Marks) -> None:
        """Every contact of both halves of a plug, and what they lead to."""
        for half in (connector, self.vehicle.mate_of.get(connector, "")):
            for cavity in self.index.cavities(half) if half in self.vehicle.connectors else ():
                node = self.index.cavity.get((half, cavity))
                if node is not None:
                    self._mark_node(node, marks)
                    self._follow(node, marks, by_part=True)

    def _terminals(self, component: str) -> list[tuple[str, int]]:
        """The terminals of a part with their nodes."""
        names = self.index.terminals_by_part.get(component, ())
        return [(name, self.index.terminal[component, name]) for name in names]

    def _mark_node(self, node: int, marks: Marks) -> None:
        """A node, and the contact that a cavity meets in the other half."""
        self.nodes[node] = together((*self.nodes.get(node, ()), *marks))
        key = self.cavity_at.get(node)
        if key is not None:
            mate = self.index.cavity.get((self.vehicle.mate_of.get(key[0], ""), key[1]))
            if mate is not None:
                self.nodes[mate] = together((*self.nodes.get(mate, ()), *marks))

    def _follow(self, node: int, marks: Marks, by_part: bool) -> None:
        """Marks the nets a mark goes on along, from the net of a node, through what is always joined inside parts."""
        index = self.index
        start = index.net_of[index.piece_of[node]]
        queue, seen = [start], {start}
        for net in queue:
            pieces = index.pieces_of[net]
            if all(together((*self.pieces.get(one, ()), *marks)) == self.pieces.get(one) for one in pieces):
                continue
            if self.trunks.is_trunk(net, by_part):
                continue
            for piece in pieces:
                self.pieces[piece] = together((*self.pieces.get(piece, ()), *marks))
                for one in index.nodes_of[piece]:
                    self._mark_node(one, marks)
                for other, edge in self.reach.steps[piece]:
                    on = index.net_of[other]
                    if edge >= 0 and on not in seen and self._passes(edge, marks):
                        seen.add(on)
                        queue.append(on)

    def _passes(self, edge: int, marks: Marks) -> bool:
        """Whether a mark goes on through something inside a part: high voltage through its own fuses and contactors."""
        element = self.reach.elements[edge]
        if element.sort == "joint":
            return True
        high = any(mark.hazard == HIGH_VOLTAGE and mark.known for mark in marks)
        return high and element.sort in ("fuse", "contact", "make", "break", "resistor")

    def _parts_by_their_wires(self) -> Iterator[tuple[str, Marks]]:
        """Parts of which every wire but supply and ground is marked; of a module two wires at least.

        What has two contacts in all is such a part by one of them: what comes in by the one goes out by the other.
        """
        for row in self.vehicle.netlist.components:
            if row.id in self.parts or row.kind in _NEVER_OF_A_SET:
                continue
            signals = self._signals(row.id)
            marked = [self.nodes[node] for node in signals if self.nodes.get(node)]
            if not marked:
                continue
            two = row.kind != "module" and len(self._terminals(row.id)) == 2
            sure = any(mark.known for marks in marked for mark in marks)
            if not two and row.kind in (None, "module") and (len(marked) < 2 or not sure):
                continue  # one wire may be the lamp in the instruments
            if two or len(marked) == len(signals):
                why = "its wires are of such parts"
                yield row.id, together(replace(mark, why=why) for marks in marked for mark in marks)

    def _signals(self, component: str) -> list[int]:
        """The nodes of a part's terminals but its supply and ground."""
        found = []
        for terminal, node in self._terminals(component):
            pieces = self.index.pieces_of[self.index.net_of[self.index.piece_of[node]]]
            rail = self.index.role(component, terminal) in RAIL_ROLES or self.trunks.is_rail(pieces, ())
            if not rail and not any(one in self.reach.grounded.ways for one in pieces):
                found.append(node)
        return found
