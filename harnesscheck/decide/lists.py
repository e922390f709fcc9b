"""What a plan needs done beside the work itself: unplug and label, strip, pull, shop.

Every list is rows of text under fixed columns, in the order a person walks the
car: by place, then by name.
"""

from __future__ import annotations

from collections.abc import Iterator

from harnesscheck.align.pairs import Pair
from harnesscheck.assemble.choice import DONOR, SHELL
from harnesscheck.decide.leads import build_sheets
from harnesscheck.decide.plan import Plan
from harnesscheck.decide.supplies import fuses, pull, shopping
from harnesscheck.lists.deadwires import DeadWire, dead_wires, left_apart
from harnesscheck.lists.firstreadings import first_readings
from harnesscheck.lists.listtable import UNPLACED, ListTable, Row
from harnesscheck.lists.plugs import mated_plugs
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study


def lists(plan: Plan, donor: Study, shell: Study) -> tuple[ListTable, ...]:
    """All lists of a plan."""
    return (
        ListTable(
            "unplug-and-label",
            "Evening one: every plug that comes apart, and what its flag says",
            ("place", "car", "plug", "mate", "flag", "then"),
            tuple(_flags(plan, donor, shell)),
        ),
        ListTable(
            "strip",
            "Wires of the finished car that serve nothing: they may come out, or be insulated and tied back",
            ("place", "harness", "from", "to", "circuit", "colour", "size"),
            tuple(_strip(plan, donor.vehicle, shell.vehicle)),
        ),
        ListTable(
            "pull",
            "Save this from the leftover car, and from what came out of the shell, before it is scrapped",
            ("place", "what", "from", "for"),
            tuple(pull(plan, donor, shell)),
        ),
        ListTable(
            "shopping",
            "To buy",
            ("what", "size", "colour", "amount", "unit", "for"),
            tuple(shopping(plan)),
        ),
        ListTable(
            "fuses",
            "Fuses that guard new wires: check that the right one is in",
            ("fuse", "for", "wire", "place"),
            tuple(fuses(plan)),
        ),
        ListTable(
            "adapter-leads",
            "Adapter leads to make, wire by wire",
            ("lead", "from", "from-cavity", "to", "to-cavity", "circuit", "colour", "size", "length", "made"),
            tuple(_leads(plan)),
        ),
        ListTable(
            "ring-out-first",
            "Every contact that was worked on: measure it with its plug apart and the battery off, before power is on",
            ("place", "contact", "to", "expect", "read", "circuit", "step"),
            tuple(_ring_first(plan)),
        ),
    )


# -- evening one


def _flags(plan: Plan, donor: Study, shell: Study) -> Iterator[Row]:
    """The plugs of every harness that comes out, in both cars, each mated pair once; the flag goes on both halves."""
    rows = []
    for car, study, pairs in (
        (DONOR, donor, plan.assembly.from_donor.connector),
        (SHELL, shell, plan.assembly.from_shell.connector),
    ):
        for plug in mated_plugs(study, _moved(plan, car), loom=True):
            half, mate = plug.half.id, plug.mate.id
            into = f"into {plug.part_name}" if plug.part is not None else f"to {mate}"
            rows.append(
                {
                    "place": plug.place,
                    "car": car,
                    "plug": half,
                    "mate": mate,
                    "flag": plug.flag(f"{car[0].upper()} {half} {into}"),
                    "then": "" if plug.marks else _then(plan, pairs.get(half), car),
                }
            )
    yield from sorted(rows, key=lambda row: (natural_key(row["place"]), row["car"], natural_key(row["plug"])))


def _then(plan: Plan, pair: Pair | None, car: str) -> str:
    """What becomes of a plug: where it goes in the finished car, and the work on it before."""
    if car == SHELL:
        return "comes out with its harness; not used again"
    if pair is None or pair.shell not in plan.car.connectors:
        return "stays with the leftover car"
    mate = plan.car.mate_of.get(pair.shell)
    part = plan.car.components.get(plan.car.connectors[mate].component or "") if mate is not None else None
    into = (part.name or part.id) if part is not None else mate
    work = [step.id for step, repair in plan.work if repair.connector in (pair.shell, mate)]
    words = f"goes into {into}" if into else "stays unplugged: insulate and tie back"
    return f"{words}; first {', '.join(work)}" if work else words


def _moved(plan: Plan, car: str) -> set[str]:
    """The harnesses of a car that come out of it."""
    taken = [group for group in plan.groups if plan.labels[group.id] == DONOR]
    return {name for group in taken for name in (group.donor if car == DONOR else group.shell)}


# -- what serves nothing


def _strip(plan: Plan, donor: Vehicle, shell: Vehicle) -> Iterator[Row]:
    """Wires that lead to nothing, with what they look like."""
    study = Study(plan.car)
    rows = [
        {
            "place": study.vehicle.place_at(wire.start, loom=True) or study.vehicle.place_at(wire.end, loom=True),
            "harness": _harness_of(study.vehicle, wire),
            "from": wire.start,
            "to": wire.end,
            **_look(wire.row),
        }
        for wire in dead_wires(study, left_apart(plan.assembly, donor, shell, plan.car))
    ]
    yield from sorted(rows, key=lambda row: (natural_key(row["place"]), natural_key(row["from"])))


def _harness_of(vehicle: Vehicle, wire: DeadWire) -> str:
    if isinstance(wire.row, Wire) and wire.row.harness:
        return wire.row.harness
    plugs = (vehicle.connectors.get(end.partition(":")[0]) for end in (wire.start, wire.end) if ":" in end)
    splices = (vehicle.splices.get(end) for end in (wire.start, wire.end) if ":" not in end)
    return next((row.harness for row in (*plugs, *splices) if row is not None and row.harness), "")


def _look(row: Pin | Wire) -> dict[str, str]:
    return {
        "circuit": row.circuit or "",
        "colour": row.colour.text if row.colour is not None else "",
        "size": row.size.text if row.size is not None else "",
    }


# -- adapter leads, and what is measured first


def _leads(plan: Plan) -> Iterator[Row]:
    for sheet in build_sheets(plan):
        for wire in sheet.wires:
            yield {
                "lead": sheet.step,
                "from": sheet.first,
                "from-cavity": wire.from_cavity,
                "to": sheet.second,
                "to-cavity": wire.to_cavity,
                "circuit": wire.circuit,
                "colour": wire.colour,
                "size": wire.size,
                "length": f"{wire.length_m:g}" if wire.length_m is not None else "",
                "made": "",
            }


def _ring_first(plan: Plan) -> Iterator[Row]:
    for one in first_readings(Study(plan.car), ((step.id, edit) for step, edit in plan.edits)):
        yield {
            "place": one.place or UNPLACED,
            "contact": one.contact,
            "to": one.to,
            "expect": one.expect,
            "read": "",
            "circuit": one.circuit,
            "step": one.step,
        }
