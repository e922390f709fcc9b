"""Harnesses and parts that come out and go in: the work that a choice asks for before anything is mended."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.choice import DONOR, SHELL, Taken
from harnesscheck.assemble.owners import Owners
from harnesscheck.decide.groups import Group, Labels
from harnesscheck.decide.hours import NO_TIME, Estimate, estimate
from harnesscheck.decide.work import Rates
from harnesscheck.model.records import Component, Harness
from harnesscheck.model.shortened import shortened
from harnesscheck.model.vehicle import Vehicle

Way = Literal["out", "in"]
MOST_PARTS = 8  # named in one step
UNTIMED = "in-parts"


@dataclass(frozen=True, slots=True)
class Move:
    """A harness or part that comes out of a car or goes into the shell. ``after`` names other moves."""

    id: str
    do: str
    hours: Estimate
    at: str
    way: Way
    after: tuple[str, ...] = ()
    assumed: str = ""
    car: str = DONOR  # whose harness or part it is
    harness: str = ""
    part: str = ""


def harness_moves(
    donor: Vehicle, shell: Vehicle, groups: Iterable[Group], labels: Labels, rates: Rates
) -> Iterator[Move]:
    """Donor harnesses that are taken come out and go in, the shell's they replace come out; what stays is free."""
    for group in groups:
        if labels[group.id] != DONOR:
            continue
        out = [f"out-shell-{name}" for name in group.shell if name in shell.harnesses]
        for name in group.shell:
            row = shell.harnesses.get(name)
            if row is not None:
                yield _harness(row, "out", "shell", rates, ())
        for name in group.donor:
            row = donor.harnesses.get(name)
            if row is not None:
                yield _harness(row, "out", "donor", rates, ())
                yield _harness(row, "in", "donor", rates, (f"out-donor-{name}", *out, *_after(row.after, donor)))


def _after(names: Sequence[str], donor: Vehicle) -> list[str]:
    return [f"in-donor-{name}" if name in donor.harnesses else f"in-part-{name}" for name in names]


def _harness(row: Harness, way: Way, car: str, rates: Rates, after: tuple[str, ...]) -> Move:
    hours = row.out_hours if way == "out" else row.in_hours
    words = f"Take the {car}'s {row.id} harness out" if way == "out" else f"Put the {car}'s {row.id} harness in"
    known = estimate(hours) if hours is not None else rates.of(f"harness-{way}")
    assumed = "" if hours is not None else f"hours to take {row.id} {way} not known: the usual rate assumed"
    return Move(f"{way}-{car}-{row.id}", words, known, row.at or "", way, after, assumed, car, row.id)


def part_moves(
    donor: Vehicle, shell: Vehicle, ours: Taken, pairs: Pairs, left_alone: Collection[str] = ()
) -> Iterator[Move]:
    """Donor parts that come across; parts that cannot leave a harness come with it.

    Those of which the file gives no hours are one step, in the order of the file, that takes no time and says so;
    ``left_alone`` are no part of it, for only a licensed person moves them.
    """
    owners = Owners(donor)
    untimed: list[Component] = []
    for row in donor.netlist.components:
        if row.id not in ours.components or owners.holds(row) is not None:
            continue
        if row.out_hours is None and row.in_hours is None:
            untimed += [row] if row.id not in left_alone else []
            continue
        pair = pairs.component.get(row.id)
        old = shell.components.get(pair.shell) if pair is not None else None
        before: list[str] = []
        if old is not None and old.out_hours is not None:
            before.append(f"out-shell-part-{old.id}")
            words = f"Take the shell's {_name(old)} out"
            yield Move(before[0], words, estimate(old.out_hours), old.at or "", "out", car=SHELL, part=old.id)
        if row.out_hours is not None:
            before.append(f"out-part-{row.id}")
            words = f"Take the donor's {_name(row)} out"
            yield Move(before[-1], words, estimate(row.out_hours), row.at or "", "out", part=row.id)
        if row.in_hours is not None:
            after = (*before, *_after(row.after, donor))
            words = f"Put the donor's {_name(row)} in"
            yield Move(f"in-part-{row.id}", words, estimate(row.in_hours), row.at or "", "in", after, part=row.id)

    if untimed:
        yield _untimed(untimed)


def _untimed(rows: Sequence[Component]) -> Move:
    """The parts that come across without hours."""
    named = shortened([_name(row) for row in rows], MOST_PARTS)
    many = "part whose hours are" if len(rows) == 1 else "parts whose hours are"
    words = f"Bring the donor's {len(rows)} {many} not written: {named}"
    assumed = f"hours to move {len(rows)} {'part' if len(rows) == 1 else 'parts'} not written, and not counted"
    return Move(UNTIMED, words, NO_TIME, "", "in", assumed=assumed)


def _name(row: Component) -> str:
    return f"{row.name} ({row.id})" if row.name else row.id
