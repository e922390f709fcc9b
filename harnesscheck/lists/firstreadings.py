"""Pins to ring out first: every contact that the work touches, with the other end of its wire in the finished car."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from harnesscheck.model.edits import (
    AddLead,
    AddTail,
    AddWire,
    Cut,
    Edit,
    Insulate,
    MovePin,
    SwapHousing,
    Tap,
)
from harnesscheck.model.order import natural_key
from harnesscheck.network.graph.sides import Study

SAME, APART = "0.5 ohm or less", "over 1 Mohm to body"
TAKEN_OUT = "no contact in it; its end covered and tied back"


@dataclass(frozen=True, slots=True)
class FirstReading:
    """One reading with the plug apart and the battery off: from a contact to the other end of its wire."""

    place: str
    contact: str
    to: str
    expect: str
    circuit: str
    step: str


def first_readings(study: Study, work: Iterable[tuple[str, Edit]]) -> tuple[FirstReading, ...]:
    """The readings in the order of one walk through the car: by place, then plug, then cavity.

    ``study`` is of the finished car, ``work`` the edits done to it, each with the id of its step.
    """
    found: dict[tuple[str, str], FirstReading] = {}
    for step, edit in work:
        for end in _ends(edit, study):
            reading = _reading(study, end, step)
            if reading is not None:
                found[reading.contact, reading.to] = reading
    return tuple(sorted(found.values(), key=lambda one: (natural_key(one.place), natural_key(one.contact))))


def _ends(edit: Edit, study: Study) -> Iterator[str]:
    """The contacts that an edit works on, as they are called afterwards."""
    if isinstance(edit, MovePin):
        yield f"{edit.to_connector}:{edit.to_cavity}"
    elif isinstance(edit, SwapHousing):
        moved = dict(edit.moves)
        every = study.index.cavities(edit.connector)
        used = [name for name in every if study.index.piece(edit.connector, name) is not None]
        yield from (f"{edit.connector}:{name}" for name in (moved.values() if moved else used))
    elif isinstance(edit, Insulate):
        yield f"{edit.connector}:{edit.cavity}"
    elif isinstance(edit, AddWire):
        yield from (edit.start, edit.end)
    elif isinstance(edit, Tap):
        yield from (end for end in (edit.at, edit.to) if end is not None)
    elif isinstance(edit, Cut):
        yield from (end for end in (edit.end, edit.other) if end is not None)
    elif isinstance(edit, AddTail):
        yield from (f"{edit.id}:{lay.cavity}" for lay in edit.wires)
    elif isinstance(edit, AddLead):
        yield from (f"{edit.id}.{edit.first}:{lay.cavity}" for lay in edit.wires)


def _reading(study: Study, end: str, step: str) -> FirstReading | None:
    """One reading; None for what is no contact, and for restraint and high voltage, which are never measured."""
    connector, _, cavity = end.partition(":")
    vehicle, index = study.vehicle, study.index
    if connector not in vehicle.connectors:
        return None
    place = vehicle.place_of(connector, loom=True)
    piece = index.piece(connector, cavity)
    if _is_out_of_bounds(study, end):
        return None
    if piece is None:
        return FirstReading(place, end, "nothing: the cavity is empty now", TAKEN_OUT, "", step)
    circuit = ", ".join(index.circuits_of[piece][:2])
    others = [f"{half}:{name}" for half, name in index.cavities_of[piece] if (half, name) != (connector, cavity)]
    others += [name for name, node in index.point.items() if index.piece_of[node] == piece and name in vehicle.grounds]
    far = sorted((one for one in others if not one.startswith(f"{connector}:")), key=natural_key)
    if not far:
        return FirstReading(place, end, "nothing: its wire ends in a loose end", APART, circuit, step)
    probed = [one for one in far if not _is_out_of_bounds(study, one)]
    return FirstReading(place, end, " and ".join(probed[:3]), SAME, circuit, step) if probed else None


def _is_out_of_bounds(study: Study, end: str) -> bool:
    """Whether an end is never measured, or at a plug that nobody opens from the list: readings are taken apart."""
    return bool(study.hands_off.end(end) or study.hands_off.plug(end.partition(":")[0]))
