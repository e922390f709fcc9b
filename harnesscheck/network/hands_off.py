"""What is never touched from our lists: restraint and high-voltage wiring, said once for one car and asked by all.

A *mark* says of a contact, a part, a plug or a net that it is restraint or high
voltage, whether that is known or only suspected, and why: the file's class or
system, the words beside it, a colour at a place, or being joined to such a part.

A mark goes along a net as far as it goes, through plugs, splices and joints
inside parts, whichever end a wire is written at. It ends at the fuse, at the
ground, where a feed or a data line is shared with ordinary parts, and at an
ordinary part: of these the contact alone is marked. A part all of whose signals
are marked is one of the set itself. The plug that holds such a contact beside
ordinary ones is *shared*: nobody but the licensed person opens it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Circuit, Component, Connector, Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.graph.index import Index
from harnesscheck.network.graph.reach import Reach
from harnesscheck.trade.hazards import THICK_MM2, is_yellow, restraint_place
from harnesscheck.trade.lexicon import HIGH_VOLTAGE, RESTRAINT, hazards_in
from harnesscheck.trade.terminals import feed_class

HAZARDS = (RESTRAINT, HIGH_VOLTAGE)

_ORDINARY_KINDS = FUSES | {"lamp", "motor", "heater", "sounder", "relay", "battery", "alternator", "diode"}
_NEVER_OF_A_SET = FUSES | {"relay", "battery", "alternator", "connector-only"}  # by their wires alone
_SUPPLIERS = FUSES | {"switch", "relay"}
_RAIL_ROLES = frozenset({"supply", "ground", "source"})
_RAIL_CLASSES = frozenset({"permanent", "accessory", "run", "start", "feed", "ground"})


@dataclass(frozen=True, slots=True)
class Mark:
    """That something is restraint or high voltage: known or only suspected, and why, in words."""

    hazard: str
    known: bool
    why: str

    @property
    def level(self) -> str:
        """``known`` or ``suspected``."""
        return "known" if self.known else "suspected"


Marks = tuple[Mark, ...]  # at most one a hazard, restraint first
NO_MARKS: Marks = ()


def together(marks: Iterable[Mark]) -> Marks:
    """The best founded mark of each hazard; of equals the first."""
    best: dict[str, Mark] = {}
    for mark in marks:
        held = best.get(mark.hazard)
        if held is None or (mark.known and not held.known):
            best[mark.hazard] = mark
    return tuple(best[hazard] for hazard in HAZARDS if hazard in best)


def is_marked(vehicle: Vehicle) -> bool:
    """Whether anything of a car is marked by its own rows: quick, for no wire is followed."""
    return _Seeds(vehicle).any


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
        ends = (node for node in _nodes_of(self._index, row) if node not in self._studs)
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
    def _seeds(self) -> _Seeds:
        return _Seeds(self._vehicle)

    @cached_property
    def _studs(self) -> frozenset[int]:
        points = self._index.point
        return frozenset(points[row.id] for row in self._vehicle.netlist.grounds if row.id in points)

    @cached_property
    def _worked(self) -> _Spread | None:
        if not self._seeds.any:
            return None
        return _Spread(self._vehicle, self._index, self._reach(), self._seeds)

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


def _nodes_of(index: Index, row: Pin | Wire) -> Iterator[int]:
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


class _Seeds:
    """What the rows say by themselves, before any wire is followed."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        self.circuits = {row.id: marks for row in vehicle.netlist.circuits if (marks := _of_circuit(row))}
        self.parts = {row.id: marks for row in vehicle.netlist.components if (marks := _of_part(row))}
        self.rows = list(self._marked_rows())
        self.plugs = dict(self._marked_plugs())

    @property
    def any(self) -> bool:
        """Whether anything is marked at all."""
        return bool(self.circuits or self.parts or self.rows or self.plugs)

    def _marked_rows(self) -> Iterator[tuple[Pin | Wire, Marks]]:
        named: dict[str, Marks] = {}
        rows: tuple[Pin | Wire, ...] = (*self.vehicle.netlist.pins, *self.vehicle.netlist.wires)
        for row in rows:
            circuit = row.circuit or ""
            if circuit and circuit not in named:
                named[circuit] = self.circuits.get(circuit) or _by_words(circuit, "its circuit is called", known=False)
            words = _by_words(row.function or "", "its wire is called")
            if isinstance(row, Pin) and row.terminal:
                words = (*words, *_by_words(row.terminal, "its terminal is called"))
            marks = together((*named.get(circuit, ()), *words, *self._thick_orange(row)))
            if marks:
                yield row, marks

    def _thick_orange(self, row: Pin | Wire) -> Marks:
        colour, size = row.colour, row.size
        if colour is None or not colour.names or colour.names[0] != "orange" or size is None:
            return NO_MARKS
        circuit = self.vehicle.circuits.get(row.circuit or "")
        if size.area_mm2 < THICK_MM2 or (circuit is not None and circuit.class_ is not None):
            return NO_MARKS
        return (Mark(HIGH_VOLTAGE, False, f"an orange cable of {size.area_mm2:g} mm²"),)

    def _marked_plugs(self) -> Iterator[tuple[str, Marks]]:
        for row in self.vehicle.netlist.connectors:
            marks = _by_words(row.name or "", "its plug is called")
            marks = marks or _by_words(row.id, "its plug is called", known=False)
            harness = self.vehicle.harnesses.get(row.harness or "")
            if not marks and harness is not None:
                marks = _by_words(harness.name or harness.id, "its loom is called", known=False)
            marks = marks or self._yellow(row.id)
            if marks:
                yield row.id, marks

    def _yellow(self, connector: str) -> Marks:
        """A yellow housing where restraint parts usually sit, or with twisted wires, unless it is shown otherwise."""
        vehicle = self.vehicle
        row = vehicle.connectors[connector]
        if not row.housing_colour or not is_yellow(row.housing_colour):
            return NO_MARKS
        halves = [half for half in (row, vehicle.connectors.get(vehicle.mate_of.get(connector, ""))) if half]
        parts = [part for half in halves if (part := vehicle.components.get(half.component or "")) is not None]
        pins = [pin for half in halves for pin in vehicle.pins_of.get(half.id, ())]
        if any(part.kind in _ORDINARY_KINDS or part.system for part in parts) or self._told_ordinary(pins):
            return NO_MARKS
        places: tuple[Component | Connector, ...] = (*halves, *parts)
        texts = [text for one in places for text in (one.at, one.name) if text]
        place = next((found for text in texts if (found := restraint_place(text))), "")
        if place:
            return (Mark(RESTRAINT, False, f"a yellow plug at a usual place of restraint parts ({place})"),)
        if any(pin.pair for pin in pins):
            return (Mark(RESTRAINT, False, "a yellow plug with twisted wires"),)
        return NO_MARKS

    def _told_ordinary(self, pins: Iterable[Pin]) -> bool:
        """Whether the file gives every circuit in a plug a class or a system that is neither of ours."""
        names = {pin.circuit for pin in pins if pin.connector is not None and pin.terminal is None}
        rows = [self.vehicle.circuits.get(name or "") for name in names]
        return bool(rows) and all(row is not None and bool(row.class_ or row.system) for row in rows)


def _of_circuit(row: Circuit) -> Marks:
    found = (
        [Mark(row.class_, True, f"the file gives circuit {row.id} the class {row.class_}")]
        if row.class_ in HAZARDS
        else []
    )
    if row.system in HAZARDS:
        found.append(Mark(row.system, True, f"the file gives circuit {row.id} the system {row.system}"))
    return together((*found, *_by_words(row.function or "", "its circuit is called")))


def _of_part(row: Component) -> Marks:
    found = [Mark(row.system, True, f"the file gives it the system {row.system}")] if row.system in HAZARDS else []
    words = _by_words(row.name or "", "it is called")
    return together((*found, *words, *(() if words or row.name else _by_words(row.id, "it is called"))))


def _by_words(text: str, how: str, known: bool = True) -> Marks:
    if not text:
        return NO_MARKS
    shown = text if len(text) <= 60 else text[:57] + "..."
    return tuple(Mark(hazard, known, f'{how} "{shown}"') for hazard, _ in hazards_in(text))


class _Spread:
    """The marks of nodes, pieces and parts, followed from the seeds until nothing is added."""

    def __init__(self, vehicle: Vehicle, index: Index, reach: Reach, seeds: _Seeds) -> None:
        self.vehicle = vehicle
        self.index = index
        self.reach = reach
        self.parts: dict[str, Marks] = dict(seeds.parts)
        self.nodes: dict[int, Marks] = {}
        self.pieces: dict[int, Marks] = {}
        self.cavity_at = {node: key for key, node in index.cavity.items()}
        self.points = frozenset(index.point.values())
        self.fed = self._fed()
        for row, marks in seeds.rows:
            for node in _nodes_of(index, row):
                if node not in self.points or not self._is_trunk(index.net_of[index.piece_of[node]], by_part=False):
                    self._mark_node(node, marks)
                    self._follow(node, marks, by_part=False)
        for connector, marks in seeds.plugs.items():
            owner = vehicle.connectors[connector].component
            if owner is not None and owner not in self.parts:
                self.parts[owner] = marks
            self._mark_plug(connector, marks)
        self._settle()
        self.parts = {name: self.parts[name] for name in sorted(self.parts, key=natural_key)}

    # -- what marks what
    def _settle(self) -> None:
        done: set[str] = set()
        while True:
            for name in [one for one in self.parts if one not in done]:
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
        for terminal, node in self._terminals.get(component, ()):
            self._mark_node(node, joined)
            self._follow(node, joined, by_part=True, terminal=(component, terminal))

    def _mark_plug(self, connector: str, marks: Marks) -> None:
        """Every contact of both halves of a plug, and what they lead to."""
        for half in (connector, self.vehicle.mate_of.get(connector, "")):
            for cavity in self.index.cavities(half) if half in self.vehicle.connectors else ():
                node = self.index.cavity.get((half, cavity))
                if node is not None:
                    self._mark_node(node, marks)
                    self._follow(node, marks, by_part=True)

    @cached_property
    def _terminals(self) -> dict[str, list[tuple[str, int]]]:
        found: dict[str, list[tuple[str, int]]] = defaultdict(list)
        for (component, terminal), node in self.index.terminal.items():
            found[component].append((terminal, node))
        return found

    def _mark_node(self, node: int, marks: Marks) -> None:
        """A node, and the contact that a cavity meets in the other half."""
        self.nodes[node] = together((*self.nodes.get(node, ()), *marks))
        key = self.cavity_at.get(node)
        if key is not None:
            mate = self.index.cavity.get((self.vehicle.mate_of.get(key[0], ""), key[1]))
            if mate is not None:
                self.nodes[mate] = together((*self.nodes.get(mate, ()), *marks))

    def _follow(self, node: int, marks: Marks, by_part: bool, terminal: tuple[str, str] | None = None) -> None:
        """Marks the nets a mark goes on along, from the net of a node, through what is always joined inside parts."""
        index = self.index
        start = index.net_of[index.piece_of[node]]
        queue, seen = [start], {start}
        for net in queue:
            pieces = index.pieces_of[net]
            if all(together((*self.pieces.get(one, ()), *marks)) == self.pieces.get(one) for one in pieces):
                continue
            if self._is_trunk(net, by_part):
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

    # -- where a mark ends
    def _fed(self) -> frozenset[int]:
        """The pieces that an ordinary battery or alternator may feed, through anything but a load or the ground."""
        index, reach = self.index, self.reach
        grounded = reach.grounded.ways
        special = {index.piece_of[node] for name in self.parts for _, node in self._terminals.get(name, ())}
        found = {piece for piece in reach.sources if piece not in special and piece not in grounded}
        queue = list(found)
        for here in queue:
            for other, _ in reach.steps[here]:
                if other not in found and other not in grounded:
                    found.add(other)
                    queue.append(other)
        return frozenset(found)

    def _is_trunk(self, net: int, by_part: bool) -> bool:
        """Whether a net is the ground, or a feed or data line that ordinary parts share."""
        index = self.index
        pieces = index.pieces_of[net]
        if any(piece in index.ground_pieces or piece in self.reach.grounded.ways for piece in pieces):
            return True
        ends = [end for piece in pieces for end in index.terminals_of[piece]]
        others = [end for end in ends if end[0] not in self.parts]
        consumers = [name for name, _ in others if self.vehicle.components[name].kind not in _SUPPLIERS]
        if self._is_rail(pieces, ends):
            return bool(consumers)
        return by_part and bool(consumers) and self._is_data(pieces, ends)

    def _is_rail(self, pieces: Iterable[int], ends: Iterable[tuple[str, str]]) -> bool:
        """Whether a net is a feed or a ground: by reach, by its circuit's class or number, by the terminals on it."""
        index = self.index
        for piece in pieces:
            if piece in self.fed:
                return True
            for name in index.circuits_of[piece]:
                row = self.vehicle.circuits.get(name)
                if (row is not None and row.class_ in _RAIL_CLASSES) or feed_class(name) is not None:
                    return True
        return any(self._role(*end) in _RAIL_ROLES for end in ends)

    def _is_data(self, pieces: Iterable[int], ends: Iterable[tuple[str, str]]) -> bool:
        rows = [self.vehicle.circuits.get(name) for piece in pieces for name in self.index.circuits_of[piece]]
        if any(row is not None and (row.class_ == "data" or row.bus or row.signal in ("can", "lin")) for row in rows):
            return True
        return any(self._role(*end) == "data" for end in ends)

    def _role(self, component: str, terminal: str) -> str | None:
        pin = self._roles.get((component, terminal))
        return pin.role if pin is not None else None

    @cached_property
    def _roles(self) -> dict[tuple[str, str], Pin]:
        found: dict[tuple[str, str], Pin] = {}
        for pin in self.vehicle.netlist.pins:
            row = self.vehicle.connectors.get(pin.connector or "")
            owner = pin.component or (row.component if row is not None else None)
            if owner is not None and pin.terminal is not None and (pin.role or (owner, pin.terminal) not in found):
                found.setdefault((owner, pin.terminal), pin)
                if pin.role:
                    found[owner, pin.terminal] = pin
        return found

    def _parts_by_their_wires(self) -> Iterator[tuple[str, Marks]]:
        """Parts of which every wire but supply and ground is marked; of a module two wires at least."""
        for row in self.vehicle.netlist.components:
            if row.id in self.parts or row.kind in _NEVER_OF_A_SET:
                continue
            signals = []
            for terminal, node in self._terminals.get(row.id, ()):
                piece = self.index.piece_of[node]
                pieces = self.index.pieces_of[self.index.net_of[piece]]
                rail = self._role(row.id, terminal) in _RAIL_ROLES or self._is_rail(pieces, ())
                if not rail and not any(one in self.reach.grounded.ways for one in pieces):
                    signals.append(node)
            marked = [self.nodes[node] for node in signals if self.nodes.get(node)]
            if not marked or len(marked) < len(signals):
                continue
            sure = any(mark.known for marks in marked for mark in marks)
            if row.kind in (None, "module") and (len(marked) < 2 or not sure):
                continue  # one wire may be the lamp in the instruments
            why = "every wire of it but supply and ground is of such parts"
            yield row.id, together(replace(mark, why=why) for marks in marked for mark in marks)
