"""Adapter leads, tails and other housings; halves plugged together and taken apart."""

from __future__ import annotations

from dataclasses import replace

from harnesscheck.assemble.contacts import judge_contact
from harnesscheck.assemble.draft import Draft
from harnesscheck.assemble.fit import misfit
from harnesscheck.assemble.newwires import free_end, judge_new, new_pin, one_harness
from harnesscheck.model.edits import AddLead, AddTail, Housing, Lay, PlugIn, SwapHousing, Unplug
from harnesscheck.model.records import Connector, Harness

_OTHER_HALF = {"pins": "sockets", "sockets": "pins"}


def add_lead(draft: Draft, edit: AddLead) -> None:
    """A harness of its own with a plug for each half, between the two."""
    first, second = draft.connector(edit.first), draft.connector(edit.second)
    if edit.first == edit.second:
        draft.fail("both halves are the same")
    for half, other in ((first, second), (second, first)):
        mate = _mate(draft, half.id)
        if mate not in (None, other.id):
            draft.object(f"{half.id} is plugged into {mate}")
    draft.judge_name(edit.id)
    if draft.find("harnesses", edit.id) is not None:
        draft.object(f"there is a harness {edit.id} already")
    if not edit.wires:
        draft.object("a lead has at least one wire")
    _part(draft, first)
    draft.add("harnesses", Harness(id=edit.id, name=edit.name or "adapter lead"))
    plugs = []
    for half in (first, second):
        plugs.append(draft.fresh(f"{edit.id}.{half.id}"))
        draft.add("connectors", _mirrored(half, plugs[-1], edit.id))
    _lay(draft, plugs[0], plugs[1], edit.wires)


def _lay(draft: Draft, first: str, second: str, wires: tuple[Lay, ...]) -> None:
    """The wires of a lead. Both plugs get rows, for these tell that their other cavities are empty."""
    said: set[str] = set()
    for lay in wires:
        for plug, cavity in ((first, lay.cavity), (second, lay.to)):
            draft.contact(plug, cavity)  # fails where the plug has no such cavity
        start, end = f"{first}:{lay.cavity}", f"{second}:{lay.to}"
        judge_new(draft, start, end)
        draft.add("pins", new_pin(start, end, lay.conductor))
        if lay.to not in said:
            draft.add("pins", replace(new_pin(end, None, lay.conductor), length=None))
        said.add(lay.to)


def _mirrored(half: Connector, id: str, harness: str) -> Connector:
    """A plug for a half: what goes with it is the same, the contacts are the other sort."""
    return Connector(
        id=id,
        harness=harness,
        cavities=half.cavities,
        half=_OTHER_HALF.get(half.half or ""),
        keyway=half.keyway,
        contact=half.contact,
        at=half.at,
        mates=half.id,
    )


def add_tail(draft: Draft, edit: AddTail) -> None:
    """A plug that joins a harness, wires and all."""
    draft.judge_name(edit.id)
    _judge_cavities(draft, edit.housing)
    if edit.id in draft.wired_ids():
        draft.object(f"something is called {edit.id} already")
    if draft.find("harnesses", edit.harness) is None:
        draft.object(f"there is no harness {edit.harness}")
    if not edit.wires:
        draft.object("a tail has at least one wire")
    plug = _in_housing(Connector(id=edit.id, harness=edit.harness, at=edit.at), edit)
    draft.add("connectors", plug)
    for lay in edit.wires:
        draft.contact(edit.id, lay.cavity)
        start = f"{edit.id}:{lay.cavity}"
        one_harness(draft, (edit.harness, free_end(draft, lay.to)))
        judge_new(draft, start, lay.to)
        draft.add("pins", new_pin(start, lay.to, lay.conductor))
    if edit.mates is not None:
        _plug_together(draft, plug, draft.connector(edit.mates))


def _judge_cavities(draft: Draft, housing: Housing) -> None:
    if not housing.cavities or len(set(housing.cavities)) < len(housing.cavities):
        draft.object("a housing has cavities, each with a name of its own")
    for name in housing.cavities:
        draft.judge_name(name)


def _in_housing(row: Connector, edit: AddTail | SwapHousing) -> Connector:
    housing = edit.housing
    return replace(
        row,
        cavities=housing.cavities,
        half=housing.half,
        keyway=housing.keyway,
        housing_colour=housing.housing_colour,
        part_number=housing.part_number,
        contact=housing.contact,
        sealed=housing.sealed,
    )


def swap_housing(draft: Draft, edit: SwapHousing) -> None:
    """Other cavities, keyway and colour; the contacts keep their wires."""
    old = draft.connector(edit.connector)
    new = _in_housing(old, edit)
    moves = dict(edit.moves)
    _judge_housing(draft, old, new, edit.housing, moves)
    mate = _mate(draft, old.id)
    other = draft.connector(mate) if mate is not None else None
    found = draft.find("connectors", old.id)
    assert found is not None
    draft.change("connectors", found[0], new)
    if other is not None and misfit(new, other) not in ("", misfit(old, other)):
        _part(draft, new)
    _reseat(draft, old.id, moves)


def _judge_housing(draft: Draft, old: Connector, new: Connector, housing: Housing, moves: dict[str, str]) -> None:
    """Every contact needs a cavity of its own in the new housing, and one it fits into."""
    _judge_cavities(draft, housing)
    if old.half and new.half and old.half != new.half:
        draft.object(f"its contacts are {old.half}, the housing holds {new.half}")
    in_use = _cavities_in_use(draft, old.id)
    for cavity in sorted(moves.keys() - in_use.keys()):
        draft.object(f"there is no contact in {old.id}:{cavity}")
    seats = [moves.get(cavity, cavity) for cavity in in_use]
    for seat in dict.fromkeys(seats):
        if seat not in (new.cavities or ()):
            draft.object(f"the housing has no cavity {seat}")
        if seats.count(seat) > 1:
            draft.object(f"two contacts would go into cavity {seat}")
    for contact in dict.fromkeys(contact or old.contact for contact in in_use.values()):
        judge_contact(draft, contact, new.contact)


def _cavities_in_use(draft: Draft, connector: str) -> dict[str, str | None]:
    """Every cavity with a contact in it, and the contact's own size where a row gives it."""
    found: dict[str, str | None] = {}
    for pin in draft.rows("pins"):
        if pin.connector == connector:
            found[pin.cavity] = found.get(pin.cavity) or pin.contact
        owner, _, cavity = (pin.to or "").partition(":")
        if owner == connector:
            found.setdefault(cavity, None)
    return found


def _reseat(draft: Draft, connector: str, moves: dict[str, str]) -> None:
    for at, pin in enumerate(draft.rows("pins")):
        if pin.connector == connector and pin.cavity in moves:
            draft.change("pins", at, replace(pin, cavity=moves[pin.cavity]))
    for at, pin in enumerate(draft.rows("pins")):
        owner, colon, cavity = (pin.to or "").partition(":")
        if colon and owner == connector and cavity in moves:
            draft.change("pins", at, replace(pin, to=f"{owner}:{moves[cavity]}"))


def plug_in(draft: Draft, edit: PlugIn) -> None:
    """Two free halves that are not known to misfit."""
    if edit.connector == edit.mate:
        draft.fail("both halves are the same")
    _plug_together(draft, draft.connector(edit.connector), draft.connector(edit.mate))


def _plug_together(draft: Draft, half: Connector, mate: Connector) -> None:
    for row in (half, mate):
        there = _mate(draft, row.id)
        if there is not None:
            draft.fail(f"{row.id} is plugged into {there}")
    reason = misfit(half, mate)
    if reason:
        draft.fail(f"they do not fit: {reason}")
    found = draft.find("connectors", half.id)
    assert found is not None
    draft.change("connectors", found[0], replace(found[1], mates=mate.id))


def unplug(draft: Draft, edit: Unplug) -> None:
    """Two mated halves come apart."""
    half = draft.connector(edit.connector)
    if _mate(draft, half.id) is None:
        draft.fail(f"{half.id} is plugged into nothing that is known")
    _part(draft, half)


def _mate(draft: Draft, connector: str) -> str | None:
    """The other half, whichever of the two says so."""
    for row in draft.rows("connectors"):
        if row.id == connector and row.mates is not None:
            mate: str = row.mates
            return mate
        if row.mates == connector:
            other: str = row.id
            return other
    return None


def _part(draft: Draft, half: Connector) -> None:
    """Take a half off its mate, whichever of the two says that they are mated."""
    for at, row in enumerate(draft.rows("connectors")):
        if row.mates is not None and half.id in (row.id, row.mates):
            draft.change("connectors", at, replace(row, mates=None))
