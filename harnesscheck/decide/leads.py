"""Build sheets of adapter leads: cavity to cavity, with circuit, colour, size and length of every wire."""

from __future__ import annotations

from dataclasses import dataclass

from harnesscheck.decide.plan import Plan, WorkStep
from harnesscheck.model.edits import AddLead, Lay
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Connector
from harnesscheck.model.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class LeadLine:
    """One wire of a lead; texts are empty where it is not known."""

    from_cavity: str
    to_cavity: str
    circuit: str
    colour: str
    size: str
    length_m: float | None


@dataclass(frozen=True, slots=True)
class BuildSheet:
    """A lead to make: which step, the two halves it goes between and what its own plugs are, its wires."""

    step: str
    name: str
    first: str
    second: str
    first_plug: str
    second_plug: str
    at: str
    wires: tuple[LeadLine, ...]


def build_sheets(plan: Plan) -> tuple[BuildSheet, ...]:
    """Every lead of a plan, in the order of its steps."""
    return tuple(_sheet(plan.car, step, edit) for step, edit in plan.edits if isinstance(edit, AddLead))


def _sheet(car: Vehicle, step: WorkStep, edit: AddLead) -> BuildSheet:
    wires = sorted((_wire(lay) for lay in edit.wires), key=lambda wire: natural_key(wire.from_cavity))
    first, second = (_plug(car, edit.id, half) for half in (edit.first, edit.second))
    return BuildSheet(step.id, edit.name or edit.id, edit.first, edit.second, first, second, step.at, tuple(wires))


def _wire(lay: Lay) -> LeadLine:
    made = lay.conductor
    return LeadLine(
        lay.cavity,
        lay.to,
        made.circuit or made.function or "",
        made.colour.text if made.colour is not None else "",
        made.size.text if made.size is not None else "",
        made.length,
    )


def _plug(car: Vehicle, lead: str, half: str) -> str:
    """What the lead's own plug for a half is, as far as the file tells."""
    row = car.connectors.get(f"{lead}.{half}")
    if row is None:
        row = car.connectors.get(car.mate_of.get(half, ""))
    return _plug_words(row) if row is not None else "as the other half"


def _plug_words(row: Connector) -> str:
    words = [
        f"{len(row.cavities)}-way" if row.cavities else "",
        row.half or "",
        f"keyway {row.keyway}" if row.keyway else "",
        row.housing_colour or "",
        f"contacts {row.contact} mm" if row.contact else "",
        "sealed" if row.sealed else "",
    ]
    return ", ".join(word for word in words if word) or "housing not known"
