"""Lists to print and tick: the evening before, unplug and label, before closing up, the weeks after.

What a list asks of every car is common practice, no source; which plugs, parts,
grounds and fuses it names comes from the netlist. Restraint and high voltage are
named to be left alone.
"""

from __future__ import annotations

from collections.abc import Iterator

from harnesscheck.compare.finding.cautions import who
from harnesscheck.lists.listtable import ListTable, Row
from harnesscheck.lists.looseends import LooseEnd, loose_ends
from harnesscheck.lists.plugs import MatedPlug, by_place
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Component, Ground
from harnesscheck.network.graph.conduction import FUSES, LOADS
from harnesscheck.network.graph.sides import Study


def checklists(study: Study) -> tuple[ListTable, ...]:
    """The four lists of one car, in the order of the work."""
    return (evening_one(study), unplug_and_label(study), before_closing_up(study), weeks_after(study))


# -- the evening before


def evening_one(study: Study) -> ListTable:
    """What cannot be asked any more once the battery is off."""
    rows = [
        _tick(
            "first",
            "Radio and anti-theft codes written down; keys counted; somebody knows the immobiliser's procedure",
        ),
        _tick("first", "Mileage, fuel level, date: photo of the lit instruments"),
        _tick("first", "Fault codes of every module read, photographed, kept; not cleared"),
        _tick("first", "Settings: clock, windows' end stops, seat memory, steering angle: what must be taught again"),
        _tick("first", "Battery volts at rest, and with the engine at a fast idle"),
        _tick(
            "first", "Warning lamps: which come on with the key, which go out with the engine. Airbag lamp: only look"
        ),
    ]
    for at, plugs in by_place(study):
        names = ", ".join(plug.half.id for plug in plugs)
        rows.append(_tick("photos", f"{at}: before anything is moved, near and far, loom routing ({names})"))
    rows += [_tick("works before", _part_name(row)) for row in _working_parts(study)]
    return ListTable("evening-one", "The evening before", ("part", "what", "done", "note"), tuple(rows))


def _tick(part: str, what: str) -> Row:
    return {"part": part, "what": what, "done": "", "note": ""}


def _working_parts(study: Study) -> list[Component]:
    """What a person can see, hear or feel work, by system."""
    rows = [
        row
        for row in study.vehicle.netlist.components
        if (row.kind in LOADS or row.kind == "module") and not study.hands_off.part(row.id)
    ]
    return sorted(rows, key=lambda row: (row.system or "~", natural_key(row.id)))


def _part_name(row: Component) -> str:
    words = f"{row.name} ({row.id})" if row.name else row.id
    return f"{row.system}: {words}" if row.system else words


# -- unplug and label


def unplug_and_label(study: Study) -> ListTable:
    """Every mated plug by place, with the text for a flag on each half."""
    rows: list[Row] = [
        {"place": "battery", "plug": "negative clamp, then positive", "flag": "battery off, named person holds the key"}
    ]
    for at, plugs in by_place(study):
        rows += [_label(plug, f"{at} {number}/{len(plugs)}") for number, plug in enumerate(plugs, start=1)]
    columns = ("place", "plug", "into", "part", "cavities", "colour", "flag", "off", "on again")
    return ListTable("unplug-and-label", "Unplugging and labels", columns, tuple(rows))


def _label(plug: MatedPlug, where: str) -> Row:
    half = plug.half
    return {
        "place": plug.place,
        "plug": half.id,
        "into": plug.mate.id,
        "part": plug.part_name,
        "cavities": str(len(half.cavities)) if half.cavities is not None else "",
        "colour": half.housing_colour or "",
        "flag": plug.flag(f"{half.id} > {plug.mate.id} | {where}"),
    }


# -- before closing up


def before_closing_up(study: Study) -> ListTable:
    """What is out of reach once the trim is on."""
    rows: list[Row] = [_grounded(study, ground.id, ground.at) for ground in _grounds(study)]
    rows += [
        _check("strap", f"{wire.from_} to {wire.to}", "", "fitted, bare metal at both ends, tight")
        for wire in study.vehicle.netlist.wires
        if wire.from_ in study.vehicle.grounds and wire.to in study.vehicle.grounds
    ]
    rows += [
        _check("place", at, "", f"nothing pinched, chafed or hanging; {len(plugs)} plugs home and locked")
        for at, plugs in by_place(study)
    ]
    rows += _fuse_rows(study)
    everywhere = range(len(study.index.pieces_of))
    rows += [
        _check("loose end", one.place, one.at or "", _made_safe(study, one))
        for one in loose_ends(study, everywhere)
        if not study.hands_off.end(one.place)
    ]
    rows += [
        _check("whole car", "joints", "", "every new joint crimped, sealed, by itself, not in a bend"),
        _check("whole car", "bulkhead", "", "grommets in, loom free of edges, pedals and steering column free"),
        _check("whole car", "restraint", "", "plugs locked by the maker's procedure; lamp goes out; nothing measured"),
    ]
    return ListTable(
        "before-closing-up", "Before closing up", ("what", "name", "place", "look for", "done"), tuple(rows)
    )


def _made_safe(study: Study, end: LooseEnd) -> str:
    """What is looked for at a loose end; in a plug that is shared with restraint wiring nobody else works."""
    marks = study.hands_off.plug(end.place.partition(":")[0])
    what = f"only {who(marks)} works in this plug" if marks else "insulated by itself and tied back"
    return f"{what} ({end.why})"


def _grounds(study: Study) -> list[Ground]:
    return sorted(study.vehicle.netlist.grounds, key=lambda row: natural_key(row.id))


def _check(what: str, name: str, place: str, look_for: str) -> Row:
    return {"what": what, "name": name, "place": place, "look for": look_for, "done": ""}


def _grounded(study: Study, ground: str, at: str | None) -> Row:
    """A stud: bare metal under every eyelet, and how many eyelets it has."""
    eyelets = len(study.index.wires_at.get(study.index.point[ground], ()))
    words = f"bare metal under every eyelet ({eyelets}), star washer, tight, then greased; under 0.2 V under load"
    return _check("ground", ground, at or "", words)


def _fuse_rows(study: Study) -> Iterator[Row]:
    """Every fuse with the rating that belongs there."""
    vehicle = study.vehicle
    for part in vehicle.netlist.components:
        if part.kind in FUSES and part.rating is not None:
            yield _check("fuse", part.id, part.at or "", f"{part.rating:g} A, the number read, no bridge")
    for row in vehicle.netlist.insides:
        if row.fuse is not None:
            box = vehicle.components[row.component]
            yield _check("fuse", row.id or box.id, box.at or "", f"{row.fuse:g} A, the number read, no bridge")


# -- the weeks after


def weeks_after(study: Study) -> ListTable:
    """What shows only after nights, rain and miles."""
    rows = [
        _later(
            "first evening", "Everything on for 20 minutes, then feel every fuse and plug moved: warm is a bad contact"
        ),
        _later("first night", "Draw at the negative lead after 20 to 40 minutes asleep: at most 50 mA"),
        _later("first night", "Battery volts in the morning, against the evening's"),
        _later("first week", "Fault codes of every module read again, against those of the evening before"),
        _later("first week", "Charging: 13.8 to 14.6 V with everything on"),
        _later("first rain", "Water in plugs, wet carpets, dim lamps; look before it dries"),
        _later("after 500 km", "Looms at doors, hatch, pedals, engine mounts: rubbed, stretched, loose ties"),
        _later("after 500 km", "Restraint lamp: comes on and goes out. Else stop driving it, maker's procedure"),
        _later("after 4 weeks", "Everything that worked the evening before, once more, by that list"),
    ]
    for ground in _grounds(study):
        where = f", {ground.at}" if ground.at else ""
        rows.append(_later("after 4 weeks", f"Ground {ground.id}{where}: still tight"))
    return ListTable("weeks-after", "The weeks after", ("when", "what", "done", "note"), tuple(rows))


def _later(when: str, what: str) -> Row:
    return {"when": when, "what": what, "done": "", "note": ""}
