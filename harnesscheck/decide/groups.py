"""What has to be decided: groups of harnesses that come from one car together, and coded sets of parts.

A group is a connected component of the harness correspondence, so that one body
harness against a left and a right one is one decision. Parts that cannot leave
their harness tie the harnesses that hold one coded set. What is known of a
harness's condition, and what a person has fixed, leaves a group fewer options.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fnmatch import fnmatchcase

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.choice import DONOR, NONE, SHELL, Choice
from harnesscheck.assemble.groups import HarnessGroup, harness_groups
from harnesscheck.assemble.owners import Owners
from harnesscheck.compare.plugs.wholeset import HazardSet
from harnesscheck.model.order import natural_key
from harnesscheck.model.vehicle import Vehicle

VETOED = ("flooded", "burnt", "burned", "missing", "scrapped")
"""Conditions with which a harness is not used; anything else a person writes is shown, and decides nothing."""

Labels = Mapping[str, str]  # group id -> donor | shell


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the swap sheet fixes: harnesses and parts by name or glob, and the condition of harnesses."""

    harness: Mapping[str, str] = field(default_factory=dict)
    parts: Mapping[str, str] = field(default_factory=dict)
    donor_condition: Mapping[str, str] = field(default_factory=dict)
    shell_condition: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Group:
    """Harnesses of both cars that are one decision. ``why`` says what leaves it fewer than two options."""

    id: str
    donor: tuple[str, ...]
    shell: tuple[str, ...]
    options: tuple[str, ...]
    why: tuple[str, ...] = ()


class ImpossibleError(Exception):
    """Wishes that cannot all be met; ``faults`` says for each group what makes it so.

    ``entries`` holds for each the keys of the first entry of a swap sheet that has a part in it.
    """

    def __init__(self, faults: Sequence[str], entries: Sequence[tuple[str, ...]]) -> None:
        super().__init__("; ".join(faults))
        self.faults = tuple(faults)
        self.entries = tuple(entries)


def groups(
    donor: Vehicle, shell: Vehicle, pairs: Pairs, wishes: Wishes, whole: Iterable[Sequence[tuple[str, str]]] = ()
) -> tuple[Group, ...]:
    """The groups in natural order; ``whole`` are harnesses (car, name) tied to each other. Raises ImpossibleError."""
    mine, yours = Owners(donor), Owners(shell)
    known = {(DONOR, name) for name in mine.harnesses} | {(SHELL, name) for name in yours.harnesses}
    ties = [*_coded_ties(DONOR, mine), *_coded_ties(SHELL, yours), *_known(whole, known)]
    found = [_group(group, wishes) for group in harness_groups(mine, yours, pairs, ties)]
    faults = [(group.id, fault, entry) for group, fault, entry in found if fault]
    if faults:
        faults.sort(key=lambda one: natural_key(one[0]))
        raise ImpossibleError([fault for _, fault, _ in faults], [entry for *_, entry in faults])
    return tuple(sorted((group for group, *_ in found), key=lambda group: natural_key(group.id)))


def _known(sets: Iterable[Sequence[tuple[str, str]]], known: set[tuple[str, str]]) -> Iterable[list[tuple[str, str]]]:
    found = ([node for node in one if node in known] for one in sets)
    return (one for one in found if one)


def _coded_ties(car: str, owners: Owners) -> Iterable[list[tuple[str, str]]]:
    """The harnesses that hold parts of one coded set which cannot leave them."""
    held: dict[str, list[tuple[str, str]]] = {}
    for row in owners.vehicle.netlist.components:
        harness = owners.holds(row)
        if row.coded is not None and harness is not None and harness in owners.harnesses:
            held.setdefault(row.coded, []).append((car, harness))
    return held.values()


def _group(one: HarnessGroup, wishes: Wishes) -> tuple[Group, str, tuple[str, ...]]:
    """A group and, where no option is left, why, and the first entry of the swap sheet that makes it so."""
    ours, theirs, id = one.donor, one.shell, one.id
    why: list[str] = []
    entries: list[tuple[str, ...]] = []
    options = [DONOR, SHELL]
    for car, names, condition in ((DONOR, ours, wishes.donor_condition), (SHELL, theirs, wishes.shell_condition)):
        for name in names:
            said = condition.get(name, "")
            if any(word in said.casefold() for word in VETOED):
                why.append(f"the {car}'s {name} is {said}")
                entries.append(("built", car, "condition", name))
                options = [one for one in options if one != car]
    keys = [*ours, *(f"shell:{name}" for name in theirs), *(name for name in theirs if name not in ours)]
    for key in dict.fromkeys(keys):
        value = _said(wishes.harness, key)
        if value is not None:
            why.append(f"{key} is to come from the {value}")
            entries.append(("harness", _entry(wishes.harness, key)))
            options = [one for one in options if one == value]
    fault = "" if options else f"{id}: {' and '.join(why)}, so nothing is left to choose"
    return Group(id, ours, theirs, tuple(options), tuple(why)), fault, entries[0] if entries else ()


def _said(entries: Mapping[str, str], key: str) -> str | None:
    """What is said of a name: by itself, else by the first glob."""
    return entries.get(_entry(entries, key))


def _entry(entries: Mapping[str, str], key: str) -> str:
    """The entry that speaks of a name; empty where none does."""
    return key if key in entries else next((name for name in entries if fnmatchcase(key, name)), "")


def choice_of(labels: Labels, all_groups: Iterable[Group], parts: Mapping[str, str]) -> Choice:
    """The choice that gives a labelling its car. ``parts`` are those of ``chosen_parts``."""
    harness: dict[str, str] = {}
    for group in all_groups:
        harness |= dict.fromkeys(group.donor, labels[group.id])
        harness |= {f"shell:{name}": labels[group.id] for name in group.shell if name and not group.donor}
    return Choice({name: value for name, value in harness.items() if name}, parts)


def chosen_parts(donor: Vehicle, shell: Vehicle, pairs: Pairs, wishes: Wishes) -> Mapping[str, str]:
    """What a person said of parts, and for every coded set the one car it comes from.

    A set comes from the donor where the donor has it, unless each of its members was
    fixed to be the shell's or to stay out. What only the other car's set has is left
    out. A set that is split by what was fixed stays so: the finding says what it means.
    """
    parts = dict(wishes.parts)
    partner = {pair.shell: pair.donor for pair in pairs.components}
    tags = {row.coded for row in donor.netlist.components if row.coded}
    tags &= {row.coded for row in shell.netlist.components if row.coded}
    for tag in sorted(tags):
        ours = [row.id for row in donor.netlist.components if row.coded == tag]
        theirs = [row.id for row in shell.netlist.components if row.coded == tag]
        car = SHELL if all(_said(wishes.parts, name) in (SHELL, NONE) for name in ours) else DONOR
        for name in theirs:
            if name in partner:
                parts.setdefault(partner[name], car)
            elif car == DONOR:
                parts.setdefault(name if name not in donor.components else f"shell:{name}", NONE)
    return parts


def parts_of_sets(
    parts: Mapping[str, str],
    sets: tuple[Sequence[HazardSet], Sequence[HazardSet]],
    labels: Labels,
    all_groups: Iterable[Group],
    pairs: Pairs,
) -> Mapping[str, str]:
    """What is chosen of parts, those of a restraint or high-voltage set from the car that its looms are from.

    ``sets`` are the donor's and the shell's. What a person said of a part stays.
    """
    found = dict(parts)
    label_of = {(DONOR, name): labels[group.id] for group in all_groups for name in group.donor}
    label_of |= {(SHELL, name): labels[group.id] for group in all_groups for name in group.shell}
    partner = {pair.shell: pair.donor for pair in pairs.components}
    paired = frozenset(partner.values())
    for car, of in zip((DONOR, SHELL), sets, strict=True):
        for one in of:
            chosen = {label_of[car, name] for name in one.harnesses if (car, name) in label_of}
            if len(chosen) != 1:
                continue
            (label,) = chosen
            for name in one.parts:
                id = name if car == DONOR else partner.get(name, f"shell:{name}")
                alone = name not in paired if car == DONOR else name not in partner
                if _said(found, id) is None:
                    found[id] = label if not alone or label == car else NONE
    return found
