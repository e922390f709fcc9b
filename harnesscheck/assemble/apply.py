"""Do edits to a car, and say which edit takes one back."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from harnesscheck.assemble.contacts import cut, insulate, move_pin, recolour
from harnesscheck.assemble.draft import Draft, EditError, EditFault
from harnesscheck.assemble.fuses import swap_fuse
from harnesscheck.assemble.guard import WorkGuard
from harnesscheck.assemble.newwires import add_wire, tap
from harnesscheck.assemble.plugs import add_lead, add_tail, plug_in, swap_housing, unplug
from harnesscheck.model.edits import (
    AddLead,
    AddTail,
    AddWire,
    Cut,
    Edit,
    Insulate,
    MovePin,
    PlugIn,
    Recolour,
    Restore,
    SwapFuse,
    SwapHousing,
    Tap,
    Unplug,
)
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study

__all__ = ["EditError", "EditFault", "apply", "inverse"]


def apply(vehicle: Vehicle, edits: Iterable[Edit], *, found: bool = False, before: Study | None = None) -> Vehicle:
    """The car after these edits, done one after the other.

    Work on restraint or high-voltage wiring is refused, and so is what would bridge
    an interlock, unless it was ``found`` done: then the car is as it is. ``before``
    is the same car studied, before this work or other work on it.
    Raises EditError with every fault; the car given is never changed.
    """
    return _worked(vehicle, edits, found, before).vehicle()


def inverse(edits: Iterable[Edit], vehicle: Vehicle, *, found: bool = False) -> Restore:
    """The edit that takes ``edits`` back after they were done to ``vehicle``, to the last row and its position.

    It is found by doing the edits and turning the log of row changes round.
    Raises EditError where they cannot be done.
    """
    log = _worked(vehicle, edits, found).log
    return Restore(tuple(change.undone for change in reversed(log)))


def _worked(vehicle: Vehicle, edits: Iterable[Edit], found: bool, before: Study | None = None) -> Draft:
    draft, guard = Draft(vehicle), WorkGuard(vehicle, before)
    faults: list[EditFault] = []
    for number, edit in enumerate(edits):
        whys = () if found else guard.against(edit)
        faults += [EditFault(number, edit, why) for why in whys or draft.attempt(edit, _WORK[type(edit)])]
    if not faults and not found:
        faults = [EditFault(0, None, why) for why in guard.bridged(draft)]
    if faults:
        raise EditError(faults)
    return draft


def _restore(draft: Draft, edit: Restore) -> None:
    for change in edit.changes:
        draft.replay(change)


_WORK: Mapping[type[Any], Callable[[Draft, Any], None]] = {
    MovePin: move_pin,
    Cut: cut,
    Recolour: recolour,
    Insulate: insulate,
    AddWire: add_wire,
    Tap: tap,
    AddLead: add_lead,
    AddTail: add_tail,
    SwapHousing: swap_housing,
    SwapFuse: swap_fuse,
    PlugIn: plug_in,
    Unplug: unplug,
    Restore: _restore,
}
"""What does each edit; a test holds it complete."""
