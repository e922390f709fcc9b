"""Writes out ``on`` and ``part``: components a plug or a part's name implies."""

from __future__ import annotations

import re
from collections.abc import Mapping

from harnesscheck.read.build import Row, Values, implied_half
from harnesscheck.read.names import close_to
from harnesscheck.read.sketch import CONDITIONS, Plug, Sketch, only
from harnesscheck.read.values import Origin
from harnesscheck.trade.parts import Part, PartConnector, PartPin, part, part_names

OTHER_HALF = {"pins": "sockets", "sockets": "pins"}
BOTH_HALVES = ("cavities", "keyway", "contact", "sealed", "complete")  # what two halves that fit have in common
MIRRORED = ("circuit", "function", "signal", "level", "bus")
_TERMINAL = ("terminal", "role", "via")


def expand_on(sketch: Sketch, plug: Plug) -> None:
    """The component a harness's plug goes on, and the component's half of it.

    What the plug's own pins say of terminals and roles is the component's, and
    moves to its half. A terminal nobody named is called by its cavity.
    """
    name, origin = plug.values.get("on"), plug.origin
    if name is None:
        if plug.values.get("kind") is not None:
            sketch.faults.add(origin.place("kind"), plug.values["kind"], "kind: only together with on=")
        return
    if plug.values.get("component") is not None:
        sketch.faults.add(origin.place("on"), name, "on: only on a connector of a harness")
        return
    _component_of(sketch, plug, name)
    mate = sketch.mate(plug.id)
    if mate is None or not sketch.is_connector(mate):
        _imply_half(sketch, plug, name, mate or str(implied_half(plug.values)))
    elif (owner := sketch.owner(mate)) != name:
        expected = f"on: the component of its mate {mate} ({owner or 'none'})"
        sketch.faults.add(origin.place("on"), name, expected)
    elif plug.terminals() or any(row.values.get("role") for rows in plug.pins.values() for row in rows):
        _move_terminals(sketch, plug, sketch.open_plug(mate))


def _component_of(sketch: Sketch, plug: Plug, name: str) -> None:
    given = only(plug.values, ("kind", "part"))
    row = sketch.component(name)
    when = only(plug.values, CONDITIONS)
    if row is None:
        sketch.add_component({"id": name, **given, **only(plug.values, ("at",)), **when}, plug.origin)
        sketch.implied.add(name)
        return
    if name in sketch.implied and only(row.values, CONDITIONS) != when:  # there with either of its plugs
        row.values = {slot: value for slot, value in row.values.items() if slot not in CONDITIONS}
    for slot, text in given.items():
        _agree(sketch, row, slot, text, plug.origin)


def _agree(sketch: Sketch, row: Row, slot: str, text: str, origin: Origin) -> None:
    """Fill a slot of a component, or find that its own row says otherwise."""
    said = row.values.setdefault(slot, text)
    if said != text and said is not None:
        expected = f"{slot}: what is said of {row.values['id']} elsewhere ({said})"
        other = row.origin.place(slot) if row.origin is not origin else None
        sketch.faults.add(origin.place(slot), text, expected, other)


def _imply_half(sketch: Sketch, plug: Plug, component: str, name: str) -> None:
    said = only(plug.values, (*BOTH_HALVES, *CONDITIONS))
    values: Values = {"id": name, "component": component, **said}
    if plug.values.get("half") is not None:
        values["half"] = OTHER_HALF[plug.values["half"]]
    half = sketch.add_plug(values, plug.origin)
    half.names_terminals = True
    plug.values["mates"] = name
    _move_terminals(sketch, plug, half)
    for known in sketch.contents(plug.id):
        give_contact(half, known)


def _move_terminals(sketch: Sketch, plug: Plug, half: Plug) -> None:
    """What a harness's plug says of terminals is the part's half's to say; a row that said no more is gone.

    But where no wire is known to come to that cavity, the row says that there is one.
    """
    for cavity, rows in list(plug.pins.items()):
        for row in list(rows):
            if not (given := only(row.values, _TERMINAL)):
                continue
            half.give_pin(cavity, given)
            row.values = {slot: value for slot, value in row.values.items() if slot not in _TERMINAL}
            if row.values.keys() == {"connector", "cavity"} and sketch.is_reached(plug.id, cavity):
                rows.remove(row)
        if not rows:
            del plug.pins[cavity]


def give_contact(half: Plug, known: Values) -> None:
    """A part's contact for a wire of the plug on it: the contact is there always, the wire under its conditions."""
    cavity, said, when = known["cavity"], only(known, MIRRORED), only(known, CONDITIONS)
    half.give_pin(cavity, {} if when else said)
    if when and said:
        half.give_pin(cavity, said, when)


def expand_component_part(sketch: Sketch, row: Row) -> None:
    """What a shipped part says of a component: its kind, its connectors and their terminals, its insides."""
    found = _part(sketch, row.values.get("part"), row.origin)
    if found is None:
        return
    name = row.values["id"]
    _agree(sketch, row, "kind", found.kind, row.origin)
    own = [plug for plug in list(sketch.plugs.values()) if plug.values.get("component") == name]
    for connector in found.connectors:
        plug = _own_plug(own, found, connector)
        if plug is None:
            plug = sketch.add_plug({"id": f"{name}.{connector.suffix}", "component": name}, row.origin)
        _fill(plug, connector)
    _add_insides(sketch, found, name, row.origin)


def expand_connector_part(sketch: Sketch, plug: Plug) -> None:
    """What a shipped part says of one connector: a component's terminals, or a harness plug's cavities."""
    found = _part(sketch, plug.values.get("part"), plug.origin)
    if found is None:
        return
    connector = _by_suffix(found, plug.id)
    if plug.values.get("on") is not None and (connector or _by_suffix(found, str(sketch.mate(plug.id)))):
        return  # its half has been filled as the component's
    if connector is None:
        suffixes = ", ".join(one.suffix for one in found.connectors)
        expected = f"id: one that ends in the name of one of the part's connectors ({suffixes})"
        sketch.faults.add(plug.origin.place("id"), plug.id, expected)
        return
    owner = plug.values.get("component")
    if owner is None:
        plug.give({"cavities": connector.cavities})
        return
    _fill(plug, connector)
    row = sketch.component(owner)
    if row is not None:
        row.values.setdefault("kind", found.kind)
        _add_insides(sketch, found, owner, plug.origin)


def _part(sketch: Sketch, name: str | None, origin: Origin) -> Part | None:
    found = part(name) if name is not None else None
    if name is not None and found is None:
        expected = f"part: one of {', '.join(part_names())}{close_to(name, part_names())}"
        sketch.faults.add(origin.place("part"), name, expected)
    return found


def _own_plug(own: list[Plug], found: Part, connector: PartConnector) -> Plug | None:
    """The component's own row for a part's connector: the only one there can be, or the one of that suffix."""
    if len(found.connectors) == 1 and len(own) == 1:
        return own[0]
    return next((plug for plug in own if _ends_in(plug.id, connector.suffix)), None)


def _by_suffix(found: Part, name: str) -> PartConnector | None:
    if len(found.connectors) == 1:
        return found.connectors[0]
    return next((one for one in found.connectors if _ends_in(name, one.suffix)), None)


def _ends_in(name: str, suffix: str) -> bool:
    return re.search(rf"(?:^|\W|_){re.escape(suffix)}$", name) is not None


def _fill(plug: Plug, connector: PartConnector) -> None:
    """The cavities and terminals of a part."""
    plug.give({"cavities": connector.cavities})
    for cavity, pin in _placed(connector, plug.terminals()).items():
        given: Values = {"terminal": pin.terminal, "function": pin.function}
        plug.give_pin(cavity, given | ({"role": pin.role} if pin.role is not None else {}))


def _placed(connector: PartConnector, said: Mapping[str, str]) -> dict[str, PartPin]:
    """Each terminal by its cavity: where the plug's own rows put it, else its usual one where that is free.

    The only terminal left over goes where the only cavity is left: of a motor whose - is in cavity 1 the + is in 2.
    """
    by_name = {pin.terminal: pin for pin in connector.pins}
    placed = {cavity: by_name[name] for cavity, name in said.items() if name in by_name}
    left = [pin for pin in connector.pins if pin.terminal not in said.values()]
    placed |= {pin.cavity: pin for pin in left if pin.cavity not in said}
    homeless = [pin for pin in left if pin.cavity in said]
    free = [pin.cavity for pin in connector.pins if pin.cavity not in said and pin.cavity not in placed]
    if len(homeless) == len(free) == 1:
        placed[free[0]] = homeless[0]
    return placed


def _add_insides(sketch: Sketch, found: Part, component: str, origin: Origin) -> None:
    for inside in found.insides:
        values: Values = {"component": component, "from_": inside.from_, "to": inside.to, "when": inside.when}
        values |= {"ohms": inside.ohms, "load": inside.load, "diode": inside.diode or None}
        sketch.add_inside(values, origin)
