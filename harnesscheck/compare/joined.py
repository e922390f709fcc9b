"""Two cars that nobody has decided about yet: what would happen in every car that joins one loom to the rest.

Two cars as they are say where they differ. What a difference does is only known
of a car in which both sides of it meet: for each group of harnesses the car in
which it alone is the donor's, the car in which it alone is the shell's, and the
two in which all harnesses are of one car and the parts of the other. Each is put
together, whatever the housings, and judged as a car that a person chose would be;
a place's finding is the worst of what any of them says.

In large cars groups that do not meet each other are joined at once: in every car
some are the donor's and the rest the shell's, so that each plug between two groups is
judged both ways round in some car. What two such joints do to each other is then
told as well, and what one of them alone would do can hide behind another.

What a joined car says of a contact counts where the cars meet there. Elsewhere it
only passes on what is told where they meet.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, count
from math import comb

from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.assemble.assemble import Assembly, assembly
from harnesscheck.assemble.choice import DONOR, SHELL, Choice, ChoiceError
from harnesscheck.assemble.groups import HarnessGroup, harness_groups
from harnesscheck.assemble.owners import Owners
from harnesscheck.assemble.pairing import TAKEN_OVER
from harnesscheck.compare.built import judged_car, taken_over
from harnesscheck.compare.compare import Comparison, accept, compare, lost_in_wires
from harnesscheck.compare.context import Context
from harnesscheck.compare.coverage import Unjudged
from harnesscheck.compare.finding.findings import Finding, Spot, in_order
from harnesscheck.compare.finding.kinds import KindName, Severity
from harnesscheck.compare.jobs import with_jobs
from harnesscheck.compare.plugs.facing import RANK
from harnesscheck.model.order import natural_key
from harnesscheck.model.progress import Told, silent
from harnesscheck.model.shortened import shortened
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Label, Study

MOST_ROWS = 600  # pins of both cars: up to here every group is joined alone
SEVERAL = (
    "each harness joined alone to the other car, and what its wires carry then: in cars as large as these several "
    "are joined at once; use --swap"
)
MOST_NAMED = 4  # harnesses of one joined car, in one sentence
FACING_KINDS = frozenset(RANK) - {""}
_WORK = frozenset({"no-mate", "housing-differs", "moved-pin", "coded-part", "restraint-altered"})
"""What two cars as they are say as well as any joined one."""


@dataclass(frozen=True, slots=True)
class JoinedChoice:
    """A car that joins the two: what it is called, the choice that gives it, whether parts meet harnesses in it."""

    words: str
    choice: Choice
    by_parts: bool = False


def joined_choices(groups: Sequence[HarnessGroup]) -> Iterator[JoinedChoice]:
    """Every group alone of the donor, alone of the shell; then all harnesses of one car with the other's parts."""
    seen: set[frozenset[tuple[str, str]]] = set()
    for one in groups if len(groups) > 1 else ():
        for car, other in ((DONOR, SHELL), (SHELL, DONOR)):
            said = {name: car if group is one else other for group in groups for name in _names(group)}
            if frozenset(said.items()) not in seen:  # of two groups each is alone where the other is
                seen.add(frozenset(said.items()))
                yield JoinedChoice(f"the {car}'s {_called(one)} harness and the {other}'s others", Choice(said))
    yield from _parts_choices(groups)


def _parts_choices(groups: Sequence[HarnessGroup]) -> Iterator[JoinedChoice]:
    """All harnesses of one car with the other's parts."""
    for car, other in ((SHELL, DONOR), (DONOR, SHELL)):
        said = dict.fromkeys((name for group in groups for name in _names(group)), car)
        yield JoinedChoice(f"the {other}'s parts on the {car}'s harnesses", Choice(said, {"*": other}), by_parts=True)


def gathered_choices(groups: Sequence[HarnessGroup], meeting: Collection[frozenset[int]]) -> Iterator[JoinedChoice]:
    """As few cars as may be in which every two groups that meet are once of either car, both ways round.

    ``meeting`` are the places in ``groups`` of two that share a plug. Groups that share
    none are coloured alike; no colour's set of cars holds another's (Sperner 1928, from
    memory), so of two colours each is the donor's in some car in which the other is the shell's.
    """
    colours = _coloured(len(groups), meeting)
    kinds = max(colours, default=0) + 1
    cars = next(number for number in count(2) if comb(number, number // 2) >= kinds)
    donors = list(combinations(range(cars), cars // 2))
    for car in range(cars if kinds > 1 else 0):
        ours = [group for group, colour in zip(groups, colours, strict=True) if car in donors[colour]]
        said = {name: DONOR if group in ours else SHELL for group in groups for name in _names(group)}
        named = shortened([_called(group) for group in ours], MOST_NAMED)
        yield JoinedChoice(f"the donor's {named} and the shell's other harnesses", Choice(said))
    yield from _parts_choices(groups)


def all_joined_choices(donor: Vehicle, shell: Vehicle, pairs: Pairs) -> Iterator[JoinedChoice]:
    """The cars that join two: groups of harnesses alone, in large cars several at once; then the parts."""
    owners = Owners(donor), Owners(shell)
    groups = harness_groups(*owners, pairs)
    if _is_large(donor, shell):
        return gathered_choices(groups, _meeting(groups, *owners))
    return joined_choices(groups)


def _is_large(donor: Vehicle, shell: Vehicle) -> bool:
    return len(donor.netlist.pins) + len(shell.netlist.pins) > MOST_ROWS


def _coloured(groups: int, meeting: Collection[frozenset[int]]) -> list[int]:
    """A colour for every group, another than those it meets have; those that meet most are coloured first."""
    near = {one: {other for pair in meeting if one in pair for other in pair if other != one} for one in range(groups)}
    colours: dict[int, int] = {}
    for one in sorted(near, key=lambda one: (-len(near[one]), one)):
        taken = {colours.get(other) for other in near[one]}
        colours[one] = next(colour for colour in count() if colour not in taken)
    return [colours[one] for one in range(groups)]


def _meeting(groups: Sequence[HarnessGroup], donor: Owners, shell: Owners) -> set[frozenset[int]]:
    """The places of two groups that share a plug in either car."""
    found: set[frozenset[int]] = set()
    for owners, names in ((donor, [group.donor for group in groups]), (shell, [group.shell for group in groups])):
        at = {name: place for place, own in enumerate(names) for name in own}
        harness = owners.of_connector
        for half, mate in owners.vehicle.mate_of.items():
            if half in harness and mate in harness and at[harness[half]] != at[harness[mate]]:
                found.add(frozenset({at[harness[half]], at[harness[mate]]}))
    return found


def _called(group: HarnessGroup) -> str:
    return group.id.removeprefix("shell:")


def _names(group: HarnessGroup) -> tuple[str, ...]:
    """What a choice calls the harnesses of a group."""
    return group.donor or tuple(f"shell:{name}" for name in group.shell)


def compare_joined(
    donor: Study,
    shell: Study,
    pairs: Pairs,
    accepted: Mapping[str, str] | None = None,
    dead_before: Collection[str] = (),
    how_far: Told = silent,
) -> Comparison:
    """Compare two cars, and judge every car that joins one group of harnesses, or the parts, of one to the other.

    ``how_far`` hears how far it is.
    """
    how_far("the two cars as they are")
    plain = compare(donor, shell, pairs, dead_before=dead_before)
    if Context(donor, shell, pairs).lone:  # nobody wrote down what it could be joined to
        return replace(plain, findings=tuple(accept(with_jobs(plain.findings, pairs), accepted or {})))
    is_large = _is_large(donor.vehicle, shell.vehicle)
    choices = all_joined_choices(donor.vehicle, shell.vehicle, pairs)
    found = list(plain.findings)
    thin = lost_in_wires(plain.findings)
    differing = {one.donor.connector for one in found if one.donor.cavity and one.kind != "recoloured"}
    parted = parted_plugs(donor.vehicle, pairs)
    for number, one in enumerate(choices, start=1):
        how_far(f"joined car {number}, {one.words}")
        told = [
            each
            for each in _of_joined(donor, shell, pairs, one, dead_before, parted, differing if is_large else None)
            if not (each.kind == "dim-accessory" and each.donor_component in thin)
            if not (one.by_parts and _echoes(donor, each, plain.findings))
        ]
        found += _first_causes(told, differing) if is_large else told
    unjudged = (*plain.coverage.unjudged, *([Unjudged(SEVERAL)] if is_large else ()))
    if parted:
        named = shortened(sorted(parted, key=natural_key), MOST_NAMED)
        unjudged += (Unjudged(f"what works where a plug meets two, or two meet one: {named}; an adapter joins them"),)
    coverage = replace(plain.coverage, unjudged=unjudged)
    return replace(plain, findings=tuple(accept(with_jobs(_worst(found), pairs), accepted or {})), coverage=coverage)


def _of_joined(
    donor: Study,
    shell: Study,
    pairs: Pairs,
    one: JoinedChoice,
    dead_before: Collection[str],
    parted: frozenset[str],
    differing: Collection[str] | None,
) -> Iterator[Finding]:
    """What is wrong with one joined car, in the two cars' own names."""
    try:
        made = assembly(donor.vehicle, shell.vehicle, pairs, one.choice, any_housing=True)
    except ChoiceError:
        return  # what cannot leave its harness is not joined so
    names, plugs = _InShell(pairs, made), _joined_plugs(donor.vehicle, made, one)
    judged = judged_car(donor, shell, made, dead_before, differing)
    parted = parted & plugs
    grave = [
        finding
        for finding in judged.findings
        if finding.severity <= Severity.DEAD and finding.kind not in _WORK and finding.evidence.apart is None
        if not (parted and _lacks_other_half(finding, parted))
    ]
    told = [finding for finding in grave if finding.donor.connector in plugs or not _is_contact(finding)]
    told += [each for each in grave if each not in told and not _follows(judged.shell, each, told)]
    for finding in told:
        yield replace(
            finding,
            shell=names.spot(finding.shell),
            shell_component=names.component(finding.shell_component),
            text=f"{finding.text} So it is with {one.words}.",
            evidence=replace(finding.evidence, joined=one.words),
        )


def parted_plugs(donor: Vehicle, pairs: Pairs) -> frozenset[str]:
    """The donor's plugs, both halves, that are several in the shell, or of which several are one there.

    Such a plug goes into none of them as it is: what it lacks there is in the other one.
    """
    shared = Counter(pair.shell for pair in pairs.connectors)
    found = {pair.donor for pair in pairs.connectors if shared[pair.shell] > 1}
    for here, there in pairs.cavities.items():
        connector = here.partition(":")[0]
        pair = pairs.connector.get(connector)
        if pair is not None and there.partition(":")[0] != pair.shell:
            found.add(connector)
    return frozenset(found | {donor.mate_of[one] for one in found if one in donor.mate_of})


def _lacks_other_half(finding: Finding, parted: Collection[str]) -> bool:
    """Whether a finding may only tell that a plug which became several was joined to one of them."""
    return finding.donor.connector in parted or (not finding.donor.cavity and finding.severity is Severity.DEAD)


def _is_contact(finding: Finding) -> bool:
    """Whether a finding is about what faces what in one cavity."""
    return finding.kind in FACING_KINDS and bool(finding.donor.cavity)


def _follows(car: Study, finding: Finding, told: Iterable[Finding]) -> bool:
    """Whether something at least as bad is told on the same net of a joined car."""
    net = car.index.net(finding.shell.connector, finding.shell.cavity)
    return any(
        other.severity <= finding.severity and net == car.index.net(other.shell.connector, other.shell.cavity)
        for other in told
        if _is_contact(other)
    )


def _echoes(donor: Study, finding: Finding, plain: Iterable[Finding]) -> bool:
    """Whether a part's contact only passes on what two cars as they are tell at a contact between looms.

    The looms of one car by themselves are no joint of two: the plug between them, at which its circuits cross, is
    told of in the cars as they are, and what it does is seen again at every part.
    """
    net = donor.index.net(finding.donor.connector, finding.donor.cavity)
    if not _is_contact(finding) or finding.severity is not Severity.DEAD or net is None:
        return False
    if donor.net_side(net).label is Label.GROUND:  # the body is everybody's net and explains nothing
        return False
    return any(
        other.kind == finding.kind
        and other.severity <= finding.severity
        and other.donor != finding.donor
        and _is_in_line(donor.vehicle, other.donor.connector)
        and donor.index.net(other.donor.connector, other.donor.cavity) == net
        for other in plain
        if _is_contact(other)
    )


def _is_in_line(vehicle: Vehicle, half: str) -> bool:
    """Whether a plug is between two looms."""
    mate = vehicle.mate_of.get(half)
    return mate is not None and all(vehicle.connectors[one].component is None for one in (half, mate))


def _first_causes(found: Iterable[Finding], differing: Collection[str]) -> Iterator[Finding]:
    """What several joints at once do: at the plugs where the cars differ; and of loads one finding a kind, the worst.

    At other plugs, and at the loads that follow, only what such a plug does is seen again.
    """
    by_kind: dict[KindName, list[Finding]] = {}
    for one in found:
        if one.donor.cavity:
            if one.donor.connector in differing:
                yield one
        else:
            by_kind.setdefault(one.kind, []).append(one)
    for first, *others in (in_order(some) for some in by_kind.values()):
        parts = shortened(list(dict.fromkeys(one.donor_component or one.donor.connector for one in others)), MOST_NAMED)
        yield replace(first, text=f"{first.text} Likewise: {parts}.") if parts else first


def _joined_plugs(donor: Vehicle, made: Assembly, one: JoinedChoice) -> frozenset[str]:
    """The donor's plugs, both halves, of which one half only is in a joined car: in line, or those on parts."""
    ours = taken_over(made, donor)
    found: set[str] = set()
    for half, mate in donor.mate_of.items():
        at_part = any(donor.connectors[name].component is not None for name in (half, mate))
        if (half in ours) != (mate in ours) and at_part == one.by_parts:
            found |= {half, mate}
    return frozenset(found)


class _InShell:
    """The shell's names for what stands in a joined car."""

    def __init__(self, pairs: Pairs, made: Assembly) -> None:
        self._plugs = _back(made.from_shell.connectors, made.from_donor.connectors, pairs.connectors)
        self._parts = _back(made.from_shell.components, made.from_donor.components, pairs.components)

    def spot(self, spot: Spot) -> Spot:
        """A place by the shell's own name for it."""
        return replace(spot, connector=self._plugs.get(spot.connector, "")) if spot.connector else spot

    def component(self, component: str) -> str:
        """A part by the shell's own name for it."""
        return self._parts.get(component, "")


def _back(theirs: Iterable[Pair], ours: Iterable[Pair], pairs: Iterable[Pair]) -> dict[str, str]:
    """The shell's row by the joined car's: its own, or the partner of the donor's."""
    partner = {pair.donor: pair.shell for pair in pairs}
    found = {pair.shell: partner.get(pair.donor, "") for pair in ours if pair.why == TAKEN_OVER}
    return found | {pair.shell: pair.donor for pair in theirs if pair.why == TAKEN_OVER}


def _worst(found: Iterable[Finding]) -> list[Finding]:
    """Of each contact the worst facing, of everything else the worst of one kind and place."""
    best: dict[tuple[str, ...], Finding] = {}
    for one in found:
        key = _place(one)
        known = best.get(key)
        if known is None or _order(one) < _order(known):
            best[key] = one
    return in_order(best.values())


def _place(one: Finding) -> tuple[str, ...]:
    if one.kind in FACING_KINDS and one.donor.cavity:
        return one.donor.connector, one.donor.cavity
    return one.kind, one.donor.connector, one.donor.cavity, one.shell.connector, one.shell.cavity, one.donor_component


def _order(one: Finding) -> tuple[int, int]:
    return one.severity, RANK.index(one.kind) if one.kind in FACING_KINDS else 0
