"""One car out of two: the chosen harnesses and parts, on one body, plugged together.

Studs belong to the body, and so do straps that are of no loom; the body is the
shell's unless nothing else of the shell is taken. A donor's wire that ended at a stud ends at the stud
it is paired with; one without a partner keeps its own as a new row. Ids that
would clash are the donor's to change: ``C12`` becomes ``donor.C12``.

Everything of one car gives that car's rows, all of them and unchanged (tests hold
it). What comes out is an ordinary ``Vehicle``: it can be written, read back,
compared and worked on as any other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.choice import Choice, taken
from harnesscheck.assemble.pairing import pairs_into, turned_round
from harnesscheck.assemble.plugging import Plugged, across, mates_of, plugged
from harnesscheck.assemble.rename import NewNames, changed, clear_names, own_names, renamed, with_partners
from harnesscheck.assemble.share import Tables, share
from harnesscheck.assemble.standalone import brought_along, unconditional
from harnesscheck.assemble.standin import with_stand_ins
from harnesscheck.model.records import Header, Netlist
from harnesscheck.model.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Assembly:
    """The car that a choice gives, and which of its rows is which of either car.

    ``from_donor`` leads from the donor's rows to the assembled car's, ``from_shell``
    from the shell's. Edits change no id, so both hold for the edited car as well.
    """

    vehicle: Vehicle
    from_donor: Pairs
    from_shell: Pairs


def assembly(donor: Vehicle, shell: Vehicle, pairs: Pairs, choice: Choice, *, any_housing: bool = False) -> Assembly:
    """The car that a choice gives, with its pairs. Raises ChoiceError with every fault of the choice.

    With ``any_housing`` plugs of the same cavities go together whatever their housings.
    """
    ours, theirs = taken(donor, shell, pairs, choice)
    mixed = bool(ours) and bool(theirs)
    if mixed:
        donor, shell = with_stand_ins(donor), with_stand_ins(shell)
    mine = share(donor, ours, body=not theirs and bool(ours))
    yours = share(shell, theirs, body=mixed or not ours)
    back = turned_round(pairs)
    their_names = own_names(yours)
    our_names, mine = clear_names(mine, yours, pairs) if mixed else (own_names(mine), mine)
    our_names, their_names = (
        with_partners(our_names, their_names, _partners(pairs)),
        with_partners(their_names, our_names, _partners(back)),
    )
    header = _header(donor, shell) if mixed else (donor if ours else shell).netlist.header
    if mixed:
        mine, yours = unconditional(brought_along(mine, donor, header)), unconditional(yours)
        mine["components"] = _own_codes(mine["components"], yours["components"])
    joined = tuple(plugged(donor, shell, pairs, *_plugs(donor, shell, our_names, their_names), any_housing=any_housing))
    said = _mates(donor, shell, joined, our_names, their_names)
    mine, yours = (_plugged(renamed(rows, names), said) for rows, names in ((mine, our_names), (yours, their_names)))
    tables: dict[str, Any] = {table: (*yours[table], *mine[table]) for table in yours}
    netlist = Netlist(header=header, **tables)
    return Assembly(
        Vehicle(netlist),
        pairs_into(donor, our_names, pairs, their_names),
        pairs_into(shell, their_names, back, our_names),
    )


def _partners(pairs: Pairs) -> dict[str, str]:
    return {pair.donor: pair.shell for pair in (*pairs.components, *pairs.harnesses)}


def _header(donor: Vehicle, shell: Vehicle) -> Header:
    """The shell's, for it has the body; two cars have no one model year and no build dates."""
    header = shell.netlist.header
    common = replace(header.common, built_from=None, built_to=None, option=(), without=())
    return replace(
        header, vehicle=f"{shell.name} with parts of {donor.name}", model_year=None, common=common, version=""
    )


def _own_codes(mine: list[Any], yours: list[Any]) -> list[Any]:
    """Parts coded to each other in either car are not coded across: a tag that both bring is two tags."""
    tags = {row.coded for row in yours if row.coded is not None}
    return [replace(row, coded=f"donor.{row.coded}") if row.coded in tags else row for row in mine]


def _plugs(donor: Vehicle, shell: Vehicle, ours: NewNames, theirs: NewNames) -> tuple[set[str], set[str]]:
    """The connectors of either car that are in the result."""
    return {id for id in donor.connectors if id in ours.wired}, {id for id in shell.connectors if id in theirs.wired}


def _mates(
    donor: Vehicle, shell: Vehicle, joined: Iterable[Plugged], ours: NewNames, theirs: NewNames
) -> Mapping[str, str]:
    """What the rows of the result say of their mates, by their names there."""
    mine, yours = _plugs(donor, shell, ours, theirs)
    by_donor, by_shell = across(joined)
    within = [(mates_of(donor, mine), ours, ours), (mates_of(shell, yours), theirs, theirs)]
    said = [*within, (by_donor, ours, theirs), (by_shell, theirs, ours)]
    return {here.wired[half]: there.wired[mate] for rows, here, there in said for half, mate in rows.items()}


def _plugged(tables: Tables, said: Mapping[str, str]) -> Tables:
    return {**tables, "connectors": [changed(row, mates=said.get(row.id)) for row in tables["connectors"]]}
