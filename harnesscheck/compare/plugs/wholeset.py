"""Restraint and high voltage as one set: all its parts and looms are only known to work from one car.

Which rows are of a set is asked of each car's judge. Sensors, coding and firing
currents are in no wiring file, so that two sets that look the same are two sets.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from harnesscheck.assemble.assemble import Assembly
from harnesscheck.assemble.choice import DONOR, SHELL
from harnesscheck.assemble.pairing import TAKEN_OVER
from harnesscheck.compare.finding.cautions import listed, mixed_words, whole_set
from harnesscheck.compare.finding.findings import NO_SPOT, Evidence, Finding
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.model.records import Component, Harness, Netlist
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.hands_off import HAZARDS, Mark, Marks


@dataclass(frozen=True, slots=True)
class HazardSet:
    """The parts and looms of one car that are one set, by id, in natural order."""

    mark: Mark
    parts: tuple[str, ...]
    harnesses: tuple[str, ...]

    @property
    def members(self) -> tuple[str, ...]:
        """Parts, then looms."""
        return (*self.parts, *self.harnesses)


def sets_of(study: Study) -> tuple[HazardSet, ...]:
    """The sets of a car: at most one a hazard."""
    judge = study.hands_off
    found = []
    for mark in judge.all:
        parts, harnesses = (_with(mark.hazard, rows.items()) for rows in (judge.parts, judge.harnesses_joined))
        found.append(HazardSet(mark, parts, harnesses))
    return tuple(found)


def _with(hazard: str, rows: Iterable[tuple[str, Marks]]) -> tuple[str, ...]:
    return tuple(name for name, marks in rows if any(mark.hazard == hazard for mark in marks))


def _taken(set_: HazardSet, components: Iterable[str], harnesses: Iterable[str]) -> tuple[str, ...]:
    ours = {*components} & {*set_.parts}, {*harnesses} & {*set_.harnesses}
    return tuple(name for name in set_.members if name in ours[0] or name in ours[1])


def mixed_sets(donor: Study, shell: Study, made: Assembly) -> Iterator[Finding]:
    """One finding for every set of which the car that is put together has some from the one and some from the other.

    So is one of which it has some and lacks others, with nothing of the other car's.
    """
    cars = ((DONOR, donor, made.from_donor), (SHELL, shell, made.from_shell))
    for hazard in HAZARDS:
        kept: dict[str, tuple[str, ...]] = {}
        lost: dict[str, tuple[str, ...]] = {}
        marks: list[Mark] = []
        for car, study, pairs in cars:
            for one in (each for each in sets_of(study) if each.mark.hazard == hazard):
                components = (pair.donor for pair in pairs.components if pair.why == TAKEN_OVER)
                harnesses = (pair.donor for pair in pairs.harnesses if pair.why == TAKEN_OVER)
                kept[car] = _taken(one, components, harnesses)
                lost[car] = tuple(name for name in one.members if name not in kept[car])
                marks.append(one.mark)
        used = [car for car, names in kept.items() if names]
        if len(used) == 2 or (len(used) == 1 and lost[used[0]]):
            yield _mixed(max(marks, key=lambda mark: mark.known), kept, lost if len(used) == 1 else {}, donor)


def _mixed(mark: Mark, kept: dict[str, tuple[str, ...]], lost: dict[str, tuple[str, ...]], donor: Study) -> Finding:
    of = [f"from the {car}: {listed(names)}" for car, names in kept.items() if names]
    of += [f"left out: {listed(names)}" for car, names in lost.items() if names and kept.get(car)]
    part = next((name for name in kept.get(DONOR, ()) if name in donor.vehicle.components), "")
    return _finding(mark, "; ".join(of), part, kept)


def _finding(mark: Mark, of: str, part: str, kept: Mapping[str, tuple[str, ...]]) -> Finding:
    certainty = Certainty.KNOWN if mark.known else Certainty.LIKELY
    do = whole_set((mark,))
    evidence = Evidence(mixed=kept, hands_off=(mark,))
    text = mixed_words(mark, of)
    # The hazard tells the two sets apart, where no part is known.
    return Finding(
        "restraint-altered", Severity.INJURY, certainty, NO_SPOT, NO_SPOT, part, mark.hazard, text, do, evidence
    )


# -- a finished car as a file


def with_origins(car: Netlist, donor: Study, shell: Study, made: Assembly) -> Netlist:
    """The car with ``was`` on the parts and looms of its sets, so that its file tells from which car each is."""
    was: dict[str, str] = {}
    for word, study, pairs in ((DONOR, donor, made.from_donor), (SHELL, shell, made.from_shell)):
        members = {name for one in sets_of(study) for name in one.members}
        for pair in (*pairs.components, *pairs.harnesses):
            if pair.why == TAKEN_OVER and pair.donor in members:
                was[pair.shell] = f"{word}:{pair.donor}"

    def marked(row: Component) -> Component:
        """The part with the name it had."""
        return replace(row, common=replace(row.common, was=was[row.id])) if row.id in was else row

    def of_loom(row: Harness) -> Harness:
        """The harness with the name it had."""
        return replace(row, common=replace(row.common, was=was[row.id])) if row.id in was else row

    return replace(car, components=tuple(map(marked, car.components)), harnesses=tuple(map(of_loom, car.harnesses)))


def mixed_by_origin(study: Study) -> Iterator[Finding]:
    """A finding for every set of a car whose file says that its members came from two cars."""
    vehicle = study.vehicle
    for one in sets_of(study):
        kept: dict[str, tuple[str, ...]] = {}
        for name in one.members:
            row = vehicle.components.get(name) or vehicle.harnesses.get(name)
            car, colon, _ = ((row.common.was if row is not None else None) or "").partition(":")
            if colon and car in (DONOR, SHELL):
                kept[car] = (*kept.get(car, ()), name)
        if len(kept) > 1:
            of = "; ".join(f"from the {car}: {listed(names)}" for car, names in sorted(kept.items()))
            part = next((name for names in kept.values() for name in names if name in vehicle.components), "")
            yield _finding(one.mark, of, part, kept)
