"""What is never done as work: restraint and high-voltage wiring touched, an interlock bridged.

Restraint wiring is left to the maker's procedure and licensed practice, high
voltage is out of bounds, and an interlock (start inhibit, inertia cut-off, brake
lamp, bonnet) is never joined past. That a former owner may have done so is another
matter: see ``asbuilt``.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from itertools import combinations

from harnesscheck.assemble.draft import Draft
from harnesscheck.model.edits import (
    AddLead,
    AddTail,
    AddWire,
    Cut,
    Edit,
    Insulate,
    MovePin,
    SwapFuse,
    SwapHousing,
    Tap,
)
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.index import Index, build_index
from harnesscheck.network.graph.sides import SPECIAL_SYSTEMS, Label, Study, special_circuit

_REFUSED = "is restraint or high-voltage wiring: left to the maker's procedure and licensed practice"


class WorkGuard:
    """Answers for one car, before any work on it."""

    def __init__(self, vehicle: Vehicle) -> None:
        self._vehicle = vehicle

    def against(self, edit: Edit) -> tuple[str, ...]:
        """Why an edit is refused."""
        if not self._has_special:
            return ()
        ends = dict.fromkeys(end for end in (*_ends(edit), *self._whole_plugs(edit)) if end is not None)
        return tuple(f"{end} {_REFUSED}" for end in ends if self._is_special(end))

    @cached_property
    def _has_special(self) -> bool:
        netlist = self._vehicle.netlist
        parts = (row.system in SPECIAL_SYSTEMS for row in netlist.components)
        return any(parts) or any(special_circuit(row) for row in netlist.circuits)

    @cached_property
    def _study(self) -> Study:
        return Study(self._vehicle)

    def _whole_plugs(self, edit: Edit) -> Iterator[str]:
        """Every contact of the plugs that an edit takes apart or puts something between."""
        plugs: tuple[str, ...] = ()
        match edit:
            case AddLead():
                plugs = (edit.first, edit.second)
            case AddTail():
                plugs = () if edit.mates is None else (edit.mates,)
            case SwapHousing():
                plugs = (edit.connector,)
        for plug in plugs:
            if plug in self._vehicle.connectors:
                yield from (f"{plug}:{cavity}" for cavity in self._study.index.cavities(plug))

    def _is_special(self, end: str) -> bool:
        connector, colon, cavity = end.partition(":")
        if not colon:
            return self._is_special_point(end) or self._is_special_part(end)
        halves = (connector, self._vehicle.mate_of.get(connector))
        rows = [row for half in halves if half and (row := self._vehicle.connectors.get(half)) is not None]
        if any(self._is_special_part(row.component) for row in rows):
            return True
        node = self._study.index.cavity.get((connector, cavity))
        wires = self._study.index.wires_at.get(node, ()) if node is not None else ()
        if any(special_circuit(self._vehicle.circuits.get(row.circuit or "")) for row in wires):
            return True
        return any(self._study.side(row.id, cavity).label is Label.RESTRAINT for row in rows)

    def _is_special_part(self, component: str | None) -> bool:
        row = self._vehicle.components.get(component or "")
        return row is not None and row.system in SPECIAL_SYSTEMS

    def _is_special_point(self, end: str) -> bool:
        index = self._study.index
        if end not in self._vehicle.splices or end not in index.point:
            return False
        piece = index.piece_of[index.point[end]]
        if any(special_circuit(self._vehicle.circuits.get(name)) for name in index.circuits_of[piece]):
            return True
        return self._study.piece_side(piece, None).label is Label.RESTRAINT

    def bridged(self, draft: Draft) -> Iterator[str]:
        """The interlocks whose contacts were apart and are joined by wires after the work."""
        locks = [row.id for row in self._vehicle.netlist.components if row.safety]
        if not locks or not draft.log:
            return
        before, after = self._study.index, build_index(draft.vehicle())
        for lock in locks:
            names = [name for component, name in before.terminal if component == lock]
            for a, b in combinations(names, 2):
                if not _are_joined(before, lock, a, b) and _are_joined(after, lock, a, b):
                    yield f"it would join {a} and {b} of {lock}, an interlock, which is never bridged"


def _are_joined(index: Index, component: str, a: str, b: str) -> bool:
    nodes = [index.terminal.get((component, name)) for name in (a, b)]
    nets = [index.net_of[index.piece_of[node]] for node in nodes if node is not None]
    return len(nets) == len(nodes) and nets[0] == nets[1]


def _ends(edit: Edit) -> tuple[str | None, ...]:
    """The ends an edit works on, in the car's own names."""
    match edit:
        case MovePin():
            return f"{edit.connector}:{edit.cavity}", f"{edit.to_connector}:{edit.to_cavity}"
        case Cut():
            return edit.end, edit.other
        case Insulate():
            return (f"{edit.connector}:{edit.cavity}",)
        case AddWire():
            return edit.start, edit.end
        case Tap():
            return edit.at, edit.to
        case AddTail():
            return tuple(lay.to for lay in edit.wires)
        case SwapFuse():
            return (edit.fuse,)
    return ()
