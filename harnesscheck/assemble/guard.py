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
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.hands_off import HandsOff, is_marked

_REFUSED = "is restraint or high-voltage wiring: left to the maker's procedure and licensed practice"


class WorkGuard:
    """Answers for one car, before any work on it.

    ``before`` is the car studied before earlier work of the same job: marked wiring is never worked on, so what was
    marked stays so, and only what that work has added is looked at anew.
    """

    def __init__(self, vehicle: Vehicle, before: Study | None = None) -> None:
        self._vehicle = vehicle
        self._before = before

    def against(self, edit: Edit) -> tuple[str, ...]:
        """Why an edit is refused."""
        if not self._has_marks:
            return ()
        ends = dict.fromkeys(end for end in (*_ends(edit), *self._whole_plugs(edit)) if end is not None)
        return tuple(f"{end} {_REFUSED}" for end in ends if self._judge(end).end(end))

    def _judge(self, end: str) -> HandsOff:
        """Who says whether an end is marked."""
        before = self._before
        return (before if before is not None and _knows(before, end) else self._study).hands_off

    @cached_property
    def _has_marks(self) -> bool:
        return is_marked(self._vehicle)

    @cached_property
    def _study(self) -> Study:
        before = self._before
        return before if before is not None and before.vehicle is self._vehicle else Study(self._vehicle)

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


def _knows(study: Study, end: str) -> bool:
    """Whether an end is one of a studied car's."""
    owner, vehicle = end.partition(":")[0], study.vehicle
    return any(owner in rows for rows in (vehicle.connectors, vehicle.components, vehicle.splices, vehicle.grounds))


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
