"""Which half of one car plugs into which half of the other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.fit import fit, misfit
from harnesscheck.model.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Plugged:
    """A donor's half and a shell's that are mated in the result, and which of the two rows says so."""

    donor: str
    shell: str
    by_donor: bool


def plugged(
    donor: Vehicle,
    shell: Vehicle,
    pairs: Pairs,
    ours: Collection[str],
    theirs: Collection[str],
    *,
    any_housing: bool = False,
) -> Iterator[Plugged]:
    """The mates across the cars among the connectors that are in the result.

    A half that has lost its mate goes into that mate's partner, else into what its
    own partner was plugged into; not where the two are known not to fit. Halves
    that differed and were plugged together all the same still may. With ``any_housing``
    keyway and half keep nothing apart, only cavities that are not the same.
    """
    taken: set[str] = set()
    shells = _Shell(shell, pairs)
    for half, row in donor.connectors.items():
        mate = donor.mate_of.get(half)
        if half not in ours or mate in ours:
            continue
        for other, was in shells.places_for(half, mate):
            if other not in theirs or other in taken or shell.mate_of.get(other) in theirs:
                continue
            before = misfit(row, donor.connectors[mate]) if mate is not None else ""
            if was is not None:
                before = misfit(shell.connectors[was], shell.connectors[other])
            into = shell.connectors[other]
            fits = not fit(row, into).cavities if any_housing else misfit(row, into) in ("", before)
            if fits:
                taken.add(other)
                by_donor = row.mates is not None or shell.connectors[other].mates is None
                yield Plugged(half, other, by_donor)
                break


class _Shell:
    """Where the shell has a place for a half of the donor."""

    def __init__(self, shell: Vehicle, pairs: Pairs) -> None:
        self._mate_of = shell.mate_of
        self._partner: Mapping[str, str] = {pair.donor: pair.shell for pair in pairs.connectors}

    def places_for(self, half: str, mate: str | None) -> Iterator[tuple[str, str | None]]:
        """The mate's partner; then what the half's own partner was plugged into, and that partner."""
        if mate is not None and mate in self._partner:
            yield self._partner[mate], None
        own = self._partner.get(half)
        if own is not None and own in self._mate_of:
            yield self._mate_of[own], own


def mates_of(car: Vehicle, kept: Collection[str]) -> dict[str, str]:
    """What the rows of one car say of mates, where both halves are kept."""
    said = {row.id: row.mates for row in car.netlist.connectors if row.id in kept and row.mates is not None}
    return {half: mate for half, mate in said.items() if mate in kept}


def across(joined: Iterable[Plugged]) -> tuple[dict[str, str], dict[str, str]]:
    """New mates by the rows that say them: the donor's and the shell's."""
    said: dict[bool, dict[str, str]] = defaultdict(dict)
    for one in joined:
        if one.by_donor:
            said[True][one.donor] = one.shell
        else:
            said[False][one.shell] = one.donor
    return said[True], said[False]
