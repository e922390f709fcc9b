"""The judge of one car: what is asked of it, by contact, node, net, row, part, plug, harness."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from functools import cached_property

from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.index import Index
from harnesscheck.network.graph.reach import Reach
from harnesscheck.network.hands_off.marks import NO_MARKS, Mark, Marks, together
from harnesscheck.network.hands_off.seeds import Seeds
from harnesscheck.network.hands_off.spread import Spread, nodes_of


def is_marked(vehicle: Vehicle) -> bool:
    """Whether anything of a car is marked by its own rows: quick, for no wire is followed."""
    return Seeds(vehicle).any


class HandsOff:
    """The judge of one car. Everything is worked out on the first question, nothing at all for an ordinary car.

    ``reach`` gives the car's reach; it is asked for only where something is marked.
    """

    def __init__(self, vehicle: Vehicle, index: Index, reach: Callable[[], Reach]) -> None:
        self._vehicle = vehicle
        self._index = index
        self._reach = reach

    # -- questions
    @property
    def any(self) -> bool:
        """Whether the car has anything that is marked."""
        return bool(self._nodes or self._parts)

    @property
    def parts(self) -> dict[str, Marks]:
        """Every marked part with its marks, in natural order."""
        return self._parts

    def part(self, component: str | None) -> Marks:
        """The marks of a component."""
        return self._parts.get(component or "", NO_MARKS)

    def node(self, node: int | None) -> Marks:
        """The marks of a node of the index."""
        return NO_MARKS if node is None else self._nodes.get(node, NO_MARKS)

    def piece(self, piece: int | None) -> Marks:
        """The marks that hold for a piece as a whole; a part's contact on a shared feed does not mark the feed."""
        return NO_MARKS if piece is None else self._pieces.get(piece, NO_MARKS)

    def net(self, net: int | None) -> Marks:
        """The marks that hold for a net as a whole."""
        return NO_MARKS if net is None else together(m for one in self._index.pieces_of[net] for m in self.piece(one))

    def contact(self, connector: str | None, cavity: str | None) -> Marks:
        """The marks of a contact; an empty cavity of a plug that is such as a whole has them too."""
        if not self.any or not connector:
            return NO_MARKS
        node = self._index.cavity.get((connector, cavity or ""))
        return self._nodes.get(node, NO_MARKS) if node is not None else self.whole(connector)

    def end(self, end: str) -> Marks:
        """The marks of an end as an edit names it: ``C7:3``, a splice, a ground point or a component."""
        connector, colon, cavity = end.partition(":")
        if colon:
            mate = self._vehicle.mate_of.get(connector)
            return together((*self.contact(connector, cavity), *self.contact(mate, cavity)))
        point = self._index.point.get(end)
        return self.node(point) if point is not None else self.part(end)

    def row(self, row: object) -> Marks:
        """The marks of a wire: of either of its ends, or its own words."""
        if not self.any or not isinstance(row, Pin | Wire):
            return NO_MARKS
        ends = (node for node in nodes_of(self._index, row) if node not in self._studs)
        own = self._seeds.circuits.get(row.circuit or "", NO_MARKS)
        return together((*own, *(mark for node in ends for mark in self._nodes.get(node, NO_MARKS))))

    def plug(self, connector: str | None) -> Marks:
        """The marks of a plug, both halves taken together: whoever opens it opens them."""
        if not self.any or not connector:
            return NO_MARKS
        return together(mark for half in self._halves(connector) for mark in self._plugs.get(half, NO_MARKS))

    def whole(self, connector: str | None) -> Marks:
        """The marks of a plug of which every contact is marked, or whose part is; none for a shared one."""
        marks = self.plug(connector)
        if not marks:
            return NO_MARKS
        owners = [self._vehicle.connectors[half].component for half in self._halves(connector or "")]
        if any(self.part(owner) for owner in owners):
            return marks
        return NO_MARKS if self.ordinary_cavities(connector or "") else marks

    def is_shared(self, connector: str | None) -> bool:
        """Whether a plug holds ordinary contacts beside marked ones."""
        return bool(self.plug(connector)) and not self.whole(connector)

    def cavities(self, connector: str) -> tuple[str, ...]:
        """The marked cavities of a plug, of either half."""
        return self._of_cavities(connector, marked=True)

    def ordinary_cavities(self, connector: str) -> tuple[str, ...]:
        """The cavities of a plug that hold something ordinary."""
        return self._of_cavities(connector, marked=False)

    @cached_property
    def plugs(self) -> dict[str, Marks]:
        """Every plug half that nobody but the licensed person opens, with the marks of both halves, in order."""
        halves = {half for one in self._plugs for half in self._halves(one)}
        return {half: self.plug(half) for half in sorted(halves, key=natural_key)}

    @cached_property
    def harnesses(self) -> dict[str, Marks]:
        """Every harness that such wiring runs in."""
        found: dict[str, list[Mark]] = defaultdict(list)
        for connector, marks in self._plugs.items():
            harness = self._vehicle.connectors[connector].harness
            if harness is not None:
                found[harness] += marks
        return {name: together(found[name]) for name in sorted(found, key=natural_key)}

    @cached_property
    def harnesses_joined(self) -> dict[str, Marks]:
        """Every harness with a wire of its own of the set: a supply or a ground to such a part alone is none."""
        found: dict[str, list[Mark]] = defaultdict(list)
        for connector, cavity in self._index.cavity:
            harness = self._vehicle.connectors[connector].harness if connector in self._vehicle.connectors else None
            piece = self._index.piece(connector, cavity)
            if harness is not None and self.piece(piece):
                found[harness] += self.piece(piece)
        return {name: together(found[name]) for name in sorted(found, key=natural_key)}

    @property
    def all(self) -> Marks:
        """The marks of the whole car."""
        return together(mark for marks in (*self._nodes.values(), *self._parts.values()) for mark in marks)

    # -- the work
    def _halves(self, connector: str) -> tuple[str, ...]:
        mate = self._vehicle.mate_of.get(connector)
        return tuple(one for one in (connector, mate) if one is not None and one in self._vehicle.connectors)

    def _of_cavities(self, connector: str, marked: bool) -> tuple[str, ...]:
        found: set[str] = set()
        for half in self._halves(connector):
            for cavity in self._index.cavities(half):
                node = self._index.cavity.get((half, cavity))
                if node is not None and bool(self._nodes.get(node)) == marked:
                    found.add(cavity)
        return tuple(sorted(found, key=natural_key))

    @cached_property
    def _seeds(self) -> Seeds:
        return Seeds(self._vehicle)

    @cached_property
    def _studs(self) -> frozenset[int]:
        points = self._index.point
        return frozenset(points[row.id] for row in self._vehicle.netlist.grounds if row.id in points)

    @cached_property
    def _worked(self) -> Spread | None:
        if not self._seeds.any:
            return None
        return Spread(self._vehicle, self._index, self._reach(), self._seeds)

    @property
    def _parts(self) -> dict[str, Marks]:
        return self._worked.parts if self._worked is not None else {}

    @property
    def _nodes(self) -> dict[int, Marks]:
        return self._worked.nodes if self._worked is not None else {}

    @property
    def _pieces(self) -> dict[int, Marks]:
        return self._worked.pieces if self._worked is not None else {}

    @cached_property
    def _plugs(self) -> dict[str, Marks]:
        found: dict[str, list[Mark]] = defaultdict(list)
        marked = [
            (natural_key(cavity), plug, node)
            for (plug, cavity), node in self._index.cavity.items()
            if node in self._nodes
        ]
        for _, connector, node in sorted(marked):  # not in the order of rows: the first of equal marks is kept
            if connector in self._vehicle.connectors:
                found[connector] += self._nodes[node]
        for component in self._parts:
            for row in self._vehicle.connectors_of.get(component, ()):
                found[row.id] += self._parts[component]
        return {connector: together(marks) for connector, marks in found.items()}
