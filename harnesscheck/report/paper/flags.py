"""What the flags of a plan say: one for each half of every plug that comes apart, one for every contact worked on."""

from __future__ import annotations

from collections.abc import Iterator

from harnesscheck.decide.lists import lists
from harnesscheck.decide.plan import Plan
from harnesscheck.lists.listtable import ListTable
from harnesscheck.model.edits import Cut, Edit, Insulate, MovePin, SwapHousing
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.decide_folder import sources_of
from harnesscheck.report.paper.labels import Flag

UNPLUG = "unplug-and-label"


def flags(plan: Plan, donor: Study, shell: Study) -> tuple[Flag, ...]:
    """Contacts that are worked on first, then the plugs in the order of the walk, a flag for each half."""
    unplug = next(one for one in lists(plan, donor, shell) if one.name == UNPLUG)
    return (*contact_flags(plan), *plug_flags(unplug))


def plug_flags(unplug: ListTable) -> Iterator[Flag]:
    """A flag for each half of every plug of the list; what is to be left alone says nothing else."""
    for row in unplug.rows:
        then = row["then"]
        for half, mate in ((row["plug"], row["mate"]), (row["mate"], row["plug"])):
            what = f"mates {mate}" if then else row["flag"]
            yield Flag(f"{row['car'].upper()} {half}", what, then, row["place"])


def contact_flags(plan: Plan) -> list[Flag]:
    """A flag for every contact that is moved, cut or tied back, and for those that stay where a housing is changed.

    Contacts in a plug with restraint or high-voltage wiring get none: only the licensed person works there.
    """
    car = plan.assembly.vehicle
    study, cars = Study(car), sources_of(plan)
    found = {}
    for _, edit in plan.edits:
        for connector, cavity, then in _touched(edit):
            if study.hands_off.plug(connector):
                continue
            row = car.connectors.get(connector)
            of = cars.get(row.harness or "", "").upper() if row is not None else ""
            pins = [pin for pin in car.pins_of.get(connector, ()) if pin.cavity == cavity]
            what = next((_carries(pin) for pin in pins if _carries(pin)), "circuit not known")
            place = car.place_of(connector, loom=True)
            found[(connector, cavity)] = Flag(f"{of} {connector}:{cavity}".strip(), what, then, place)
    return [found[key] for key in sorted(found, key=lambda key: (natural_key(key[0]), natural_key(key[1])))]


def _carries(pin: Pin) -> str:
    colour = pin.colour.text if pin.colour is not None else ""
    return ", ".join(filter(None, (pin.circuit or pin.function, colour)))


def _touched(edit: Edit) -> Iterator[tuple[str, str, str]]:
    """Connector, cavity and what becomes of each contact that an edit touches."""
    if isinstance(edit, MovePin):
        yield edit.connector, edit.cavity, f"MOVE TO {edit.to_connector}:{edit.to_cavity}"
    elif isinstance(edit, Cut) and ":" in edit.end:
        connector, _, cavity = edit.end.partition(":")
        yield connector, cavity, "CUT"
    elif isinstance(edit, Insulate):
        yield edit.connector, edit.cavity, "TAKE OUT, insulate, tie back"
    elif isinstance(edit, SwapHousing):
        for old, new in edit.moves:
            yield edit.connector, old, f"MOVE TO cavity {new}" if new != old else "KEEP"
