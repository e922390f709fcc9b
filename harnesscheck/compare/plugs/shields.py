"""Wires that lie in a shield in one car and in none in the other: one row a shield.

A file that speaks of no shield at all may have left them out, so what is said then is likely.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.findings import Spot
from harnesscheck.compare.plugs.cavities import same_circuit
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.graph.sides import Study

_Cavity = tuple[str, str]


@dataclass(frozen=True, slots=True)
class LostShield:
    """A shield that only one car has, with a contact of it in both, the circuits in it, and whether that is known."""

    name: str
    donor: Spot
    shell: Spot
    circuits: tuple[str, ...]
    is_donors: bool
    sure: bool


def lost_shields(ctx: Context) -> Iterator[LostShield]:
    """The shields of one car whose wires lie in none in the other; of a car that is put together those it lost."""
    speak = speaks_of_shields(ctx.donor), speaks_of_shields(ctx.shell)
    if not any(speak):
        return
    found: dict[tuple[bool, str], list[tuple[_Cavity, _Cavity]]] = {}
    for here, there in _paired(ctx):
        ours, theirs = (_shields(ctx.wires(*one)) for one in ((ctx.donor, *here), (ctx.shell, *there)))
        if bool(ours) != bool(theirs) and (ours or ctx.built is None) and same_circuit(ctx, here, there):
            found.setdefault((bool(ours), min((*ours, *theirs))), []).append((here, there))
    for spots in found.values():
        spots.sort(key=lambda pair: (natural_key(pair[0][0]), natural_key(pair[0][1])))
    for (is_donors, name), spots in sorted(found.items()):
        (here, there), other_speaks = spots[0], speak[1] if is_donors else speak[0]
        circuits = [ctx.circuit(ctx.donor, *one) for one, _ in spots]
        named = tuple(dict.fromkeys(one for one in circuits if one))
        donor, shell = Spot(*here, circuits[0]), Spot(*there, ctx.circuit(ctx.shell, *there))
        yield LostShield(name, donor, shell, named, is_donors, other_speaks)


def _paired(ctx: Context) -> Iterator[tuple[_Cavity, _Cavity]]:
    """The cavities of the donor's looms, each with the shell's that is its own."""
    rows = ctx.donor.vehicle.connectors
    for here in ctx.donor.index.cavity:
        connector, _, cavity = ctx.pairs.cavity_of(":".join(here)).partition(":")
        if rows[here[0]].component is None and connector:
            yield here, (connector, cavity)


def speaks_of_shields(study: Study) -> bool:
    """Whether any row of a car's file names a shield."""
    netlist = study.vehicle.netlist
    return any(row.shield for row in netlist.pins) or any(row.shield for row in netlist.wires)


def _shields(rows: Sequence[Pin | Wire]) -> set[str]:
    return {row.shield for row in rows if row.shield}
