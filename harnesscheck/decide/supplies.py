"""What the work needs: what is saved from harnesses that are left over, what is bought, which fuses must be right."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import chain

from harnesscheck.assemble.choice import DONOR, SHELL
from harnesscheck.decide.plan import Plan, WorkStep
from harnesscheck.decide.work import Repair
from harnesscheck.lists.listtable import Row
from harnesscheck.model.edits import AddLead, AddTail, AddWire, Conductor, Edit, Housing, SwapHousing, Tap
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.graph.sides import Study
from harnesscheck.trade.sizes import with_unit

Look = tuple[str, str]  # size and colour as they are written


def new_wires(repair: Repair) -> Iterator[Conductor]:
    """Every new wire of a piece of work; a strap is none."""
    for edit in repair.edits if repair.kind != "strap" else ():
        yield from _conductors(edit)


def _conductors(edit: Edit) -> Iterator[Conductor]:
    if isinstance(edit, AddWire | Tap):
        yield edit.conductor
    elif isinstance(edit, AddLead | AddTail):
        yield from (lay.conductor for lay in edit.wires)


def _look(made: Conductor) -> Look:
    return made.size.text if made.size is not None else "", made.colour.text if made.colour is not None else ""


def _housings(repair: Repair) -> Iterator[Housing]:
    """The other housings a repair asks for; contacts that go back into their own ask for none."""
    if repair.kind == "housing":
        yield from (edit.housing for edit in repair.edits if isinstance(edit, SwapHousing))


# -- saved


def pull(plan: Plan, donor: Study, shell: Study) -> Iterator[Row]:
    """Tails, housings and wire out of the harnesses that are not used, as far as they have them."""
    left = Leftover(plan, donor, shell)
    rows = [row for step, repair in plan.work for row in _pulled(step, repair, left)]
    for name in left.of_donor:
        row = donor.vehicle.harnesses.get(name)
        at = row.at if row is not None and row.at else ""
        what = f"the {name} harness whole, until the finished car has run: terminals, seals and tails come from it"
        rows.append({"place": at, "what": what, "from": DONOR, "for": "spares"})
    yield from sorted(rows, key=lambda row: (natural_key(row["place"]), row["what"], row["for"]))


def _pulled(step: WorkStep, repair: Repair, left: Leftover) -> Iterator[Row]:
    for edit in repair.edits:
        if isinstance(edit, AddTail) and repair.plug:
            what = f"plug {repair.plug} with at least 150 mm of its wires"
            yield {"place": edit.at or "", "what": what, "from": DONOR, "for": step.id}
    for housing in _housings(repair):
        found = left.housing(housing, repair.connector)
        if found:
            yield {"place": repair.at, "what": _housing_words(housing), "from": found, "for": step.id}
    for made in new_wires(repair):
        source = left.wire(made)
        if source:
            look = " ".join(word for word in (with_unit(_look(made)[0]), _look(made)[1]) if word)
            yield {"place": repair.at, "what": f"{made.length:g} m of wire {look}", "from": source, "for": step.id}


def _housing_words(housing: Housing) -> str:
    return f"{len(housing.cavities)}-way housing" + (f", keyway {housing.keyway}" if housing.keyway else "")


class Leftover:
    """The harnesses of both cars that are in no use any more."""

    def __init__(self, plan: Plan, donor: Study, shell: Study) -> None:
        labels = {group: plan.labels[group.id] for group in plan.groups}
        self.of_donor = [name for group, label in labels.items() if label == SHELL for name in group.donor]
        self.of_shell = [name for group, label in labels.items() if label == DONOR for name in group.shell]
        self._cars = ((DONOR, donor, set(self.of_donor)), (SHELL, shell, set(self.of_shell)))

    def housing(self, wanted: Housing, name: str) -> str:
        """A plug in such a housing, the one of the same name first; empty where none is left over."""
        found = [
            (row.id != name, car, natural_key(row.id), row.id)
            for car, study, harnesses in self._cars
            for row in study.vehicle.netlist.connectors
            if row.harness in harnesses
            and not study.hands_off.plug(row.id)
            and (row.half, row.keyway) == (wanted.half, wanted.keyway)
            and set(row.cavities or ()) == set(wanted.cavities)
        ]
        return f"{min(found)[1]}'s plug {min(found)[3]}" if found else ""

    def wire(self, wanted: Conductor) -> str:
        """A wire of this size and colour that is long enough; empty where none is known to be."""
        if wanted.length is None or not all(_look(wanted)):
            return ""
        for car, study, harnesses in self._cars:
            vehicle = study.vehicle
            rows: chain[Pin | Wire] = chain(vehicle.netlist.pins, vehicle.netlist.wires)
            for row in rows:
                plug = vehicle.connectors.get(row.connector or "") if isinstance(row, Pin) else None
                harness = row.harness if isinstance(row, Wire) else plug.harness if plug is not None else None
                long = row.length is not None and row.length >= wanted.length
                if harness not in harnesses or not long or study.hands_off.row(row):
                    continue
                if (row.size, row.colour) == (wanted.size, wanted.colour):
                    start = row.from_ if isinstance(row, Wire) else f"{row.connector}:{row.cavity}"
                    return f"{car}'s {harness} harness, {start} to {row.to}"
        return ""


# -- bought


def shopping(plan: Plan) -> Iterator[Row]:
    """Housings, contacts, seals, wire by size and colour, straps."""
    metres: dict[Look, float] = defaultdict(float)
    wanted: dict[Look, list[str]] = defaultdict(list)
    counts: dict[Look, int] = defaultdict(int)
    for step, repair in plan.work:
        for made in new_wires(repair):
            metres[_look(made)] += made.length or 0.0
            wanted[_look(made)].append(step.id)
        for what in _small_parts(plan, repair):
            counts[what] += 1
            wanted[what].append(step.id)
    for (name, size), count in sorted(counts.items()):
        uses = ", ".join(dict.fromkeys(wanted[name, size]))
        yield {"what": name, "size": size, "colour": "", "amount": str(count), "unit": "pieces", "for": uses}
    for (size, colour), length in sorted(metres.items()):
        yield {
            "what": "wire",
            "size": with_unit(size),
            "colour": colour,
            "amount": f"{length:.1f}",
            "unit": "m",
            "for": ", ".join(dict.fromkeys(wanted[size, colour])),
        }


def _small_parts(plan: Plan, repair: Repair) -> Iterator[tuple[str, str]]:
    """Each contact, seal, housing, strap that a repair uses up: what and size."""
    plug = plan.car.connectors.get(repair.connector)
    contact = f"{plug.contact} mm" if plug is not None and plug.contact else "as in the plug"
    if repair.kind == "new-wire":
        for _ in repair.edits:
            yield "contact", contact
        if plug is not None and plug.sealed:
            yield "single-wire seal", contact
        yield "splice", with_unit(repair.size)
    for housing in _housings(repair):
        yield f"{len(housing.cavities)}-way housing", f"keyway {housing.keyway}" if housing.keyway else ""
    for edit in repair.edits:
        if isinstance(edit, AddLead):
            yield from _lead_parts(plan, edit)
        if isinstance(edit, AddTail):
            yield from (("splice", with_unit(_look(lay.conductor)[0])) for lay in edit.wires)
    if repair.kind == "strap":
        yield "ground strap", with_unit(repair.size)
    if repair.kind == "insulate":
        yield "end cap or heat-shrink with glue", ""


def _lead_parts(plan: Plan, edit: AddLead) -> Iterator[tuple[str, str]]:
    """A housing for each half, and for every wire a contact at either end."""
    for half in (edit.first, edit.second):
        row = plan.car.connectors.get(half)
        ways = f"{len(row.cavities)}-way " if row is not None and row.cavities else ""
        size = f"{row.contact} mm" if row is not None and row.contact else f"that fits {half}"
        yield f"{ways}housing that fits {half}", ""
        yield from (("contact", size) for _ in edit.wires)


def fuses(plan: Plan) -> Iterator[Row]:
    """Which fuse must be in for which new wire."""
    rows = [
        {
            "fuse": repair.fuse,
            "for": step.id,
            "wire": f"{with_unit(repair.size)} {repair.colour}".strip(),
            "place": repair.at,
        }
        for step, repair in plan.work
        if repair.fuse
    ]
    yield from sorted(rows, key=lambda row: (natural_key(row["fuse"]), natural_key(row["for"])))
