"""Work on contacts and on the wires behind them: move, cut, tie back, give another colour.

A wire is one row, at either end; its other end may have a row that only says what
the wire is like. Before a cavity is worked on, ``fold`` leaves one row a wire
there, so that no two rows of one cavity can be taken for the same wire.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal

from harnesscheck.assemble.draft import Contact, Draft
from harnesscheck.model.edits import CUT_END, STUB, TIED_BACK, Cut, Insulate, MovePin, Recolour
from harnesscheck.model.records import Connector, Pin, Splice, Wire
from harnesscheck.read.pool import WIRE_SLOTS, filled

FACTS = ("function", *WIRE_SLOTS)
"""What a row says of its wire."""
_FACTS_OF_WIRE_ROWS = tuple(name for name in FACTS if name in Wire.__dataclass_fields__)
_FACTS_OF_CAVITY = ("contact", "sealed", "part_number")
_SHORTENED: dict[str, Any] = {"length": None, "ohms": None}  # nobody measured what is left of a wire that was cut


def move_pin(draft: Draft, edit: MovePin) -> None:
    """The contact and all its wires go to the other cavity."""
    contact = draft.contact(edit.connector, edit.cavity)
    target = draft.contact(edit.to_connector, edit.to_cavity)
    _judge_move(draft, contact, target)
    if contact.own:
        keep_unknown(draft, target.connector)
    for at in contact.own:
        draft.change("pins", at, replace(draft.pin(at), connector=edit.to_connector, cavity=edit.to_cavity))
    for at in contact.incoming:
        draft.change("pins", at, replace(draft.pin(at), to=target.end))


def _judge_move(draft: Draft, contact: Contact, target: Contact) -> None:
    here, there = contact.connector, target.connector
    if not contact.used:
        draft.object(f"there is no contact in {contact.end}")
    if target.used:
        draft.object(f"{target.end} is in use")
    if (here.component, here.harness) != (there.component, there.harness):
        owners = [f"of {row.component or row.harness or 'nobody knows what'}" for row in (here, there)]
        draft.object(f"{here.id} is {owners[0]}, {there.id} {owners[1]}; between the two a new wire is needed")
    own = next((draft.pin(at).contact for at in contact.own if draft.pin(at).contact), here.contact)
    judge_contact(draft, own, there.contact)
    if here.half and there.half and here.half != there.half:
        draft.object(f"{here.id} holds {here.half}, {there.id} others")


def judge_contact(draft: Draft, contact: str | None, cavity: str | None) -> None:
    """Object where a contact of one size (mm) is to go into a cavity of another; what is not written fits."""
    size, hole = _size_mm(contact), _size_mm(cavity)
    if size is None or hole is None or size == hole:
        return
    if size > hole:
        draft.object(f"a contact cannot go into a smaller cavity ({size:g} mm into {hole:g} mm)")
    else:
        draft.object(f"a contact of {size:g} mm finds no hold in a cavity for {hole:g} mm")


def _size_mm(text: str | None) -> float | None:
    try:
        return float((text or "").removesuffix("mm").replace(",", "."))
    except ValueError:
        return None  # not a plain number: not known


def keep_unknown(draft: Draft, connector: Connector) -> None:
    """Before the first row goes into a plug nothing was known of: its other cavities stay not known."""
    if connector.complete is not False and not draft.is_written(connector.id):
        found = draft.find("connectors", connector.id)
        assert found is not None
        draft.change("connectors", found[0], replace(connector, complete=False))


def _wired(draft: Draft, connector: str, cavity: str) -> Contact:
    """A contact in a harness's plug; fails where there is none."""
    contact = draft.contact(connector, cavity)
    if contact.connector.component is not None:
        draft.fail(f"{connector} belongs to {contact.connector.component}: its terminals have no wires")
    if not contact.used:
        draft.fail(f"there is no contact in {contact.end}")
    return contact


def fold(draft: Draft, contact: Contact) -> Pin:
    """Leave one row for each wire at a cavity; returns a row without a wire that says what the contact is.

    A wire written at both ends is written here only; a row that only says what an
    incoming wire is like goes, and what it says is said by that wire's own row.
    """
    for at in contact.incoming:
        row = draft.pin(at)
        twin = next((own for own in contact.own if draft.pin(own).to == f"{row.connector}:{row.cavity}"), None)
        if twin is not None:
            draft.change("pins", twin, filled(draft.pin(twin), row, FACTS))
            draft.change("pins", at, replace(row, to=None, **_SHORTENED))
    contact = draft.contact(contact.connector.id, contact.cavity)
    blank: dict[str, Any] = {}
    for name in _FACTS_OF_CAVITY:
        blank[name] = next((said for at in contact.own if (said := getattr(draft.pin(at), name)) is not None), None)
    for at in reversed(contact.own if contact.incoming else ()):
        row = draft.pin(at)
        if row.to is None and row.terminal is None:
            if len(contact.incoming) == 1:
                wire = contact.incoming[0]
                draft.change("pins", wire, filled(draft.pin(wire), row, FACTS))
            draft.take("pins", at)
            contact = draft.contact(contact.connector.id, contact.cavity)
    return Pin(connector=contact.connector.id, cavity=contact.cavity, **blank)


def _origin(row: Pin) -> dict[str, Any]:
    return {"common": row.common, "file": row.file, "line": row.line, "column": row.column}


def _facts(row: Pin, names: tuple[str, ...] = FACTS) -> dict[str, Any]:
    return {name: getattr(row, name) for name in names}


def _seats(draft: Draft, contact: Contact) -> list[str | None]:
    """Where the wires written at a contact lead; together with the contact that tells a row."""
    return [draft.pin(at).to for at in draft.contact(contact.connector.id, contact.cavity).own]


def _row_to(draft: Draft, contact: Contact, to: str | None) -> int:
    """The position of a contact's row that leads there."""
    own = draft.contact(contact.connector.id, contact.cavity).own
    return next(at for at in own if draft.pin(at).to == to)


def _end_far_part(draft: Draft, contact: Contact, to: str, end: str, changed: dict[str, Any]) -> None:
    """The wire from a contact to a far end comes from ``end`` from now on: a new row at the far end says so."""
    owner, colon, cavity = to.partition(":")
    blank = fold(draft, draft.contact(owner, cavity)) if colon else None
    row = draft.pin(_row_to(draft, contact, to))
    if blank is None:
        facts = _facts(row, _FACTS_OF_WIRE_ROWS) | changed
        draft.add("wires", Wire(from_=end, to=to, harness=contact.connector.harness, **facts, **_origin(row)))
        return
    keep_unknown(draft, draft.connector(owner))
    draft.add("pins", replace(blank, to=end, **(_facts(row) | changed), **_origin(row)))


def insulate(draft: Draft, edit: Insulate) -> None:
    """The contact leaves its cavity; its wires end together, tied back."""
    contact = _wired(draft, edit.connector, edit.cavity)
    name = draft.fresh(f"{edit.connector}.{edit.cavity}.tied-back")
    if not contact.incoming and all(draft.pin(at).to is None for at in contact.own):
        draft.add("connectors", blind_plug(contact, name, TIED_BACK))
        for at in contact.own:
            draft.change("pins", at, replace(draft.pin(at), connector=name, cavity="1"))
        return
    fold(draft, contact)
    draft.add("splices", _loose_end(contact.connector, name, TIED_BACK))
    for at in draft.contact(edit.connector, edit.cavity).incoming:
        draft.change("pins", at, replace(draft.pin(at), to=name))
    for to in _seats(draft, contact):
        if to is not None:
            _end_far_part(draft, contact, to, name, {})
        draft.take("pins", _row_to(draft, contact, to))


def recolour(draft: Draft, edit: Recolour) -> None:
    """The wire in a contact has that colour, at both its ends."""
    contact = _wired(draft, edit.connector, edit.cavity)
    rows = [*contact.own, *contact.incoming]
    written = {to for at in contact.own if (to := draft.pin(at).to) is not None}
    ways = sorted(written | {_seat(draft.pin(at)) for at in contact.incoming})
    if len(ways) > 1:
        draft.fail(f"{len(ways)} wires end in {contact.end}; which of them has the colour cannot be told")
    for far in ways:
        owner, colon, cavity = far.partition(":")
        if colon:
            rows += [at for at in draft.contact(owner, cavity).own if draft.pin(at).colour and draft.pin(at).to is None]
    for at in dict.fromkeys(rows):
        draft.change("pins", at, replace(draft.pin(at), colour=edit.colour))


def blind_plug(contact: Contact, id: str, name: str | None) -> Connector:
    """A plug of one cavity in the harness of a contact, of which no mate is known."""
    plug = contact.connector
    return Connector(id=id, name=name, harness=plug.harness, at=plug.at, cavities=("1",))


def _loose_end(plug: Connector, id: str, name: str) -> Splice:
    return Splice(id=id, name=name, harness=plug.harness, at=plug.at)


def cut(draft: Draft, edit: Cut) -> None:
    """Both parts of every wire that is meant end in a splice of their own."""
    end, other = edit.end, edit.other
    if ":" not in end and other is not None and ":" in other:
        end, other = other, end
    if ":" in end:
        connector, _, cavity = end.partition(":")
        _cut_behind(draft, _wired(draft, connector, cavity), other)
    elif other is None:
        draft.fail(f"several wires may end at {end}: name the other end of the one that is meant")
    else:
        _cut_between(draft, end, other)


def _cut_between(draft: Draft, end: str, other: str) -> None:
    """Wires between splices and ground points."""
    for point in (end, other):
        draft.point_harness(point)
    found = [at for at, row in enumerate(draft.rows("wires")) if {row.from_, row.to} == {end, other}]
    if not found:
        draft.fail(f"no wire leads from {end} to {other}")
    for at in found:
        row: Wire = draft.rows("wires")[at]
        names = []
        for side in (row.from_, row.to):
            names.append(draft.fresh(f"{side}.cut"))
            harness = row.harness or draft.point_harness(side)
            draft.add("splices", Splice(id=names[-1], name=CUT_END, harness=harness))
        draft.change("wires", at, replace(row, to=names[0], **_SHORTENED))
        draft.add("wires", replace(row, from_=names[1], **_SHORTENED))


def _cut_behind(draft: Draft, contact: Contact, other: str | None) -> None:
    """Wires behind a contact, or the one of them that leads to ``other``; a stub of each stays in it."""
    blank = fold(draft, contact)
    contact = draft.contact(contact.connector.id, contact.cavity)
    back = [at for at in contact.incoming if other is None or other == _seat(draft.pin(at))]
    ways = [to for to in _seats(draft, contact) if other is None or other == to]
    if not back and not ways:
        draft.fail(f"no wire leads from {contact.end} to {other}")
    for at in back:
        row = draft.pin(at)
        draft.change("pins", at, replace(row, to=_new_end(draft, contact, "cut"), **_SHORTENED))
        facts = _facts(row) | _SHORTENED
        draft.add("pins", replace(blank, to=_new_end(draft, contact, "stub"), **facts, **_origin(row)))
    for to in ways:
        if to is not None:
            _end_far_part(draft, contact, to, _new_end(draft, contact, "cut"), dict(_SHORTENED))
        at = _row_to(draft, contact, to)
        draft.change("pins", at, replace(draft.pin(at), to=_new_end(draft, contact, "stub"), **_SHORTENED))


def _seat(row: Pin) -> str:
    """Where a row's own end is."""
    return f"{row.connector or row.component}:{row.cavity or row.terminal}"


def _new_end(draft: Draft, contact: Contact, what: Literal["cut", "stub"]) -> str:
    name = draft.fresh(f"{contact.connector.id}.{contact.cavity}.{what}")
    draft.add("splices", _loose_end(contact.connector, name, STUB if what == "stub" else CUT_END))
    return name
