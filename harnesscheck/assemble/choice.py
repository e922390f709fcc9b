"""What comes from which car: harnesses and parts, said by a person, the rest by default.

A harness or part is called what the donor calls it. What only the shell has is
called ``shell:ID``, or ``ID`` alone where the donor has nothing of that name.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from functools import cached_property

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.owners import UNOWNED, Owners
from harnesscheck.model.places import InputFault
from harnesscheck.model.swapsheet import SwapSheet
from harnesscheck.model.vehicle import Vehicle

DONOR, SHELL, NONE = "donor", "shell", "none"
HARNESS, PARTS = "harness", "parts"


@dataclass(frozen=True, slots=True)
class ChoiceFault:
    """What is wrong with one choice: the table of the swap sheet it stands in, the name there, and why."""

    table: str  # harness, parts
    name: str
    why: str

    def __str__(self) -> str:
        """One sentence."""
        return f"{'part' if self.table == PARTS else self.table} {self.name}: {self.why}"


class ChoiceError(Exception):
    """A choice that names nothing, or that no car can be built by; with every fault found, never with none."""

    def __init__(self, faults: Sequence[ChoiceFault]) -> None:
        super().__init__(faults)
        self.faults = tuple(faults)

    def __str__(self) -> str:
        """Every fault on a line of its own."""
        return "\n".join(map(str, self.faults))

    def in_sheet(self, sheet: SwapSheet) -> list[InputFault]:
        """The faults as those of a swap sheet."""
        faults = [
            InputFault(sheet.place((one.table, one.name)), one.name, f"[{one.table}]: a choice that can be; {one.why}")
            for one in self.faults
        ]
        return sorted(faults, key=lambda fault: fault.place)


@dataclass(frozen=True, slots=True)
class Choice:
    """Harnesses (donor | shell) and parts (donor | shell | none) by name or glob; a name goes before any glob.

    What is not chosen is the donor's where the donor has it, else the shell's. What
    only one car has is left out where the other car is chosen.
    """

    harness: Mapping[str, str] = field(default_factory=dict)
    parts: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Taken:
    """The harnesses and components of one car that are in the result."""

    harnesses: frozenset[str]
    components: frozenset[str]

    def __bool__(self) -> bool:
        return bool(self.harnesses or self.components)


@dataclass(frozen=True, slots=True)
class _Said:
    """What a person said of one row: the value, and whether by its very name."""

    value: str | None
    by_name: bool


class _ChoiceSheet:
    """The entries for harnesses or for parts, and which of them were used."""

    def __init__(self, entries: Mapping[str, str], donor: Iterable[str]) -> None:
        self.entries = entries
        self._donor = frozenset(donor)
        self._used: set[str] = set()

    def said(self, id: str, *, shell: bool) -> _Said:
        """What the entries say of a row of the donor, or of one only the shell has."""
        names = [f"shell:{id}"] if shell else [id]
        if shell and id not in self._donor:
            names.append(id)
        self._used.update(names)
        for name in names:
            if name in self.entries:
                return _Said(self.entries[name], True)
        for pattern, value in self.entries.items():
            if _is_glob(pattern) and any(fnmatchcase(name, pattern) for name in names):
                return _Said(value, False)
        return _Said(None, False)

    def faults(self, table: str, allowed: Sequence[str]) -> Iterator[ChoiceFault]:
        """Entries with a value there is not, and names of nothing."""
        for name, value in self.entries.items():
            if value not in allowed:
                yield ChoiceFault(table, name, f"read '{value}', expected one of {', '.join(allowed)}")
            elif name not in self._used and not _is_glob(name):
                yield ChoiceFault(table, name, "neither car has one of that name to choose")


def _is_glob(name: str) -> bool:
    return any(sign in name for sign in "*?[")


def taken(donor: Vehicle, shell: Vehicle, pairs: Pairs, choice: Choice) -> tuple[Taken, Taken]:
    """What the choice takes of the donor and of the shell. Raises ChoiceError with every fault found."""
    mine, yours = Owners(donor), Owners(shell)
    looms = _ChoiceSheet(choice.harness, mine.harnesses)
    parts = _ChoiceSheet(choice.parts, donor.components)
    faults: list[ChoiceFault] = []
    ours, theirs = _harnesses(mine, yours, pairs, looms, faults)
    a, b = _components(_ChosenCar("donor", mine, ours), _ChosenCar("shell", yours, theirs), pairs, parts, faults)
    faults += looms.faults(HARNESS, (DONOR, SHELL))
    faults += parts.faults(PARTS, (DONOR, SHELL, NONE))
    if faults:
        raise ChoiceError(faults)
    return Taken(ours, a), Taken(theirs, b)


def _harnesses(
    mine: Owners, yours: Owners, pairs: Pairs, sheet: _ChoiceSheet, faults: list[ChoiceFault]
) -> tuple[frozenset[str], frozenset[str]]:
    """A harness of the shell is in where all its partners in the donor are out."""
    ours: set[str] = set()
    partners: dict[str, list[str]] = defaultdict(list)
    shells = frozenset(yours.harnesses)
    for id in mine.harnesses:
        if sheet.said(id, shell=False).value != SHELL:
            ours.add(id)
        pair = pairs.harness.get(id)
        other = pair.shell if pair is not None else UNOWNED if id == UNOWNED else None
        if other is not None and other in shells:
            partners[other].append(id)
    theirs: set[str] = set()
    for id in yours.harnesses:
        if not partners[id]:
            if sheet.said(id, shell=True).value != DONOR:
                theirs.add(id)
            continue
        chosen = ours.intersection(partners[id])
        if not chosen:
            theirs.add(id)
        elif len(chosen) < len(partners[id]):
            names = " and ".join(partners[id])
            why = f"{names} are all the shell's {id}, so all of them come from one car"
            faults.append(ChoiceFault(HARNESS, partners[id][0], why))
    return frozenset(ours), frozenset(theirs)


@dataclass(frozen=True)
class _ChosenCar:
    """One car, its harnesses that are in, and for parts that cannot leave a harness whether that is in."""

    name: str
    owners: Owners
    harnesses: frozenset[str]

    @cached_property
    def bound(self) -> Mapping[str, bool]:
        """Whether the harness of each inseparable part is in."""
        held = {row.id: self.owners.holds(row) for row in self.owners.vehicle.netlist.components}
        return {id: harness in self.harnesses for id, harness in held.items() if harness is not None}

    def settle(self, id: str, wanted: bool, by_name: bool, faults: list[ChoiceFault]) -> bool:
        """Whether a part is in; one that cannot leave its harness goes with it, whatever was wanted."""
        bound = self.bound.get(id, wanted)
        if bound != wanted and by_name:
            harness = self.owners.holds(self.owners.vehicle.components[id])
            verb = "is" if bound else "is not"
            why = f"the {self.name}'s cannot be separated from its harness {harness}, which {verb} taken"
            faults.append(ChoiceFault(PARTS, id, why))
        return bound


def _components(
    donor: _ChosenCar, shell: _ChosenCar, pairs: Pairs, sheet: _ChoiceSheet, faults: list[ChoiceFault]
) -> tuple[frozenset[str], frozenset[str]]:
    """Of a part that both cars have, the shell's is in where the donor's is out and nobody said none."""
    ours: set[str] = set()
    rivals: dict[str, list[str]] = defaultdict(list)
    said = {id: sheet.said(id, shell=False) for id in donor.owners.vehicle.components}
    for id, told in said.items():
        pair = pairs.component.get(id)
        wanted = told.value in (None, DONOR)
        if pair is not None:
            rivals[pair.shell].append(id)
            if shell.bound.get(pair.shell) and not told.by_name:
                wanted = False  # the shell's cannot be left out, and nobody asked for the donor's by name
        if donor.settle(id, wanted, told.by_name, faults):
            ours.add(id)
    theirs = set()
    for id in shell.owners.vehicle.components:
        told_all = [said[name] for name in rivals[id]] or [sheet.said(id, shell=True)]
        values = {told.value for told in told_all}
        wanted = ours.isdisjoint(rivals[id]) if rivals[id] else DONOR not in values
        by_name = any(told.by_name for told in told_all)
        if shell.settle(id, wanted and NONE not in values, by_name, faults):
            theirs.add(id)
    return frozenset(ours), frozenset(theirs)
