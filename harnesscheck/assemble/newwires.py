"""New wires: between free ends, and tapped onto wires that are there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, replace
from typing import Any

from harnesscheck.assemble.contacts import blind_plug, fold, keep_unknown
from harnesscheck.assemble.draft import Contact, Draft
from harnesscheck.model.edits import AddWire, Conductor, Tap
from harnesscheck.model.records import Pin, Wire


def new_pin(end: str, to: str | None, conductor: Conductor) -> Pin:
    """The row of a new wire at a cavity."""
    connector, _, cavity = end.partition(":")
    return Pin(connector=connector, cavity=cavity, to=to, **_facts(conductor))


def _facts(conductor: Conductor) -> dict[str, Any]:
    """What a conductor is, as a row's slots have it."""
    return {one.name: getattr(conductor, one.name) for one in fields(conductor)}


def _join(draft: Draft, start: str, end: str, harness: str | None, conductor: Conductor) -> None:
    """The row of a new wire, at whichever end is a cavity."""
    if ":" not in start and ":" in end:
        start, end = end, start
    if ":" in start:
        keep_unknown(draft, draft.connector(start.partition(":")[0]))
        draft.add("pins", new_pin(start, end, conductor))
    else:
        draft.add("wires", Wire(from_=start, to=end, harness=harness, **_facts(conductor)))


def free_end(draft: Draft, end: str) -> str | None:
    """The harness of an end where a wire can be added; objects where it is in use."""
    connector, colon, cavity = end.partition(":")
    if not colon:
        return draft.point_harness(end)
    contact = _of_harness(draft, draft.contact(connector, cavity))
    if contact.used:
        draft.object(f"{end} is in use")
    return contact.connector.harness


def _of_harness(draft: Draft, contact: Contact) -> Contact:
    if contact.connector.component is not None:
        draft.fail(f"{contact.connector.id} belongs to {contact.connector.component}: no wire ends there")
    return contact


def one_harness(draft: Draft, harnesses: Iterable[str | None]) -> str | None:
    """The harness all ends are in; ends that tell none, such as ground points, are in any."""
    found = sorted({name for name in harnesses if name is not None})
    if len(found) > 1:
        draft.fail(f"its ends are in different harnesses ({' and '.join(found)}): lead it through their plug")
    return found[0] if found else None


def add_wire(draft: Draft, edit: AddWire) -> None:
    """A wire between two free ends."""
    if edit.start == edit.end:
        draft.fail("both ends are the same")
    if edit.harness is not None and draft.find("harnesses", edit.harness) is None:
        draft.fail(f"there is no harness {edit.harness}")
    ends = [free_end(draft, end) for end in (edit.start, edit.end)]
    harness = one_harness(draft, (edit.harness, *ends))
    judge_new(draft, edit.start, edit.end)
    _join(draft, edit.start, edit.end, harness, edit.conductor)


def judge_new(draft: Draft, start: str, end: str) -> None:
    """A second wire between the same two points would be read as the first written again."""
    for row in draft.rows("wires"):
        if {row.from_, row.to} == {start, end}:
            draft.fail(f"a wire leads from {start} to {end} already")
    for pin in draft.rows("pins"):
        if pin.connector and {f"{pin.connector}:{pin.cavity}", pin.to} == {start, end}:
            draft.fail(f"a wire leads from {start} to {end} already")


def tap(draft: Draft, edit: Tap) -> None:
    """A wire from the wire in a contact to another end, which may be a contact in use as well."""
    connector, colon, cavity = edit.at.partition(":")
    if not colon:
        draft.fail("a tap is made on the wire of a contact; a splice or ground point takes another wire as it is")
    contact = _of_harness(draft, draft.contact(connector, cavity))
    if not contact.used:
        draft.fail(f"there is no contact in {edit.at}")
    conductor = edit.conductor
    if conductor.function is None and edit.what is not None:
        conductor = replace(conductor, function=edit.what)
    if edit.to is not None:
        _tap_to(draft, contact, edit.to, conductor)
        return
    name = draft.fresh(f"{connector}.{cavity}.tap")
    draft.add("connectors", blind_plug(contact, name, edit.what))
    _join(draft, _tapped(draft, contact), f"{name}:1", contact.connector.harness, conductor)


def _tap_to(draft: Draft, contact: Contact, to: str, conductor: Conductor) -> None:
    """A wire from the wire in a contact to an end there is; through a plug where that is in another harness."""
    if to == contact.end:
        draft.fail("both ends are the same")
    judge_new(draft, contact.end, to)
    far, colon, hole = to.partition(":")
    other = _of_harness(draft, draft.contact(far, hole)) if colon else None
    here, there = contact.connector.harness, other.connector.harness if other else draft.point_harness(to)
    start = _tapped(draft, contact)
    end = _tapped(draft, other) if other and other.used else to
    if here is None or there is None or here == there:
        _join(draft, start, end, here or there, conductor)
        return
    mine, yours = _linked(draft, contact, "link", (here, there))
    _join(draft, start, f"{mine}:1", here, conductor)
    _join(draft, f"{yours}:1", end, there, conductor)


def _tapped(draft: Draft, contact: Contact) -> str:
    """The end at which another wire joins those in a contact.

    Where rows say where the contact's wires go, it is the contact itself. Where
    none does, the wire is joined by its circuit's name, which holds only while no
    row ends there; a coupling put into the wire keeps both.
    """
    fold(draft, draft.contact(contact.connector.id, contact.cavity))  # rows may have moved since it was looked up
    contact = draft.contact(contact.connector.id, contact.cavity)
    silent = [draft.pin(at) for at in contact.own if draft.pin(at).to is None]
    if not silent:
        return contact.end
    harness = contact.connector.harness
    far, near = _linked(draft, contact, "coupling", (harness, harness))
    for at in contact.own:
        row = draft.pin(at)
        if row.to is None:
            draft.change("pins", at, replace(row, length=None, ohms=None))
            draft.add("pins", replace(row, connector=far, cavity="1", contact=None, sealed=None, part_number=None))
    circuits = {row.circuit for row in silent}
    draft.add(
        "pins", new_pin(f"{near}:1", contact.end, Conductor(circuit=circuits.pop() if len(circuits) == 1 else None))
    )
    return f"{near}:1"


def _linked(draft: Draft, contact: Contact, what: str, harnesses: tuple[str | None, str | None]) -> tuple[str, str]:
    """Two plugged halves of one cavity beside a contact, one in either harness."""
    names: list[str] = []
    for half, harness in zip(("sockets", "pins"), harnesses, strict=True):
        names.append(draft.fresh(f"{contact.connector.id}.{contact.cavity}.{what}"))
        plug = replace(blind_plug(contact, names[-1], f"{what} in the wire"), harness=harness)
        draft.add("connectors", replace(plug, half=half, mates=names[0] if names[1:] else None))
    return names[0], names[1]
