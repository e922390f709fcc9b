"""Two cars that nobody has decided about yet: what would happen in every car that joins one loom to the rest.

Two cars as they are say where they differ. What a difference does is only known
of a car in which both sides of it meet: for each group of harnesses the car in
which it alone is the donor's, the car in which it alone is the shell's, and the
two in which all harnesses are of one car and the parts of the other. Each is put
together, whatever the housings, and judged as a car that a person chose would be;
a place's finding is the worst of what any of them says.

What a joined car says of a contact counts where the cars meet there. Elsewhere it
only passes on what is told where they meet.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.assemble.assemble import Assembly, assembly
from harnesscheck.assemble.choice import DONOR, SHELL, Choice, ChoiceError
from harnesscheck.assemble.groups import HarnessGroup, harness_groups
from harnesscheck.assemble.owners import Owners
from harnesscheck.assemble.pairing import TAKEN_OVER
from harnesscheck.compare.built import judged_car, taken_over
from harnesscheck.compare.compare import Comparison, accept, compare
from harnesscheck.compare.coverage import Unjudged
from harnesscheck.compare.finding.findings import Finding, Spot, in_order
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.plugs.facing import RANK
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study

MOST_ROWS = 600  # pins of both cars: each joined car takes as long to judge as the two cars as they are
TOO_LARGE = "the cars that join one harness, or the parts, of either car to the other: too large; use --swap"
FACING_KINDS = frozenset(RANK) - {""}
_WORK = frozenset({"no-mate", "housing-differs", "moved-pin", "coded-part", "restraint-altered"})
"""What two cars as they are say as well as any joined one."""


@dataclass(frozen=True, slots=True)
class JoinedChoice:
    """A car that joins the two: what it is called, the choice that gives it, whether parts meet harnesses in it."""

    words: str
    choice: Choice
    by_parts: bool = False


def joined_choices(groups: Iterable[HarnessGroup]) -> Iterator[JoinedChoice]:
    """Every group alone of the donor, alone of the shell; then all harnesses of one car with the other's parts."""
    told = tuple(groups)
    seen: set[frozenset[tuple[str, str]]] = set()
    for one in told if len(told) > 1 else ():
        for car, other in ((DONOR, SHELL), (SHELL, DONOR)):
            said = {name: car if group is one else other for group in told for name in _names(group)}
            if frozenset(said.items()) not in seen:  # of two groups each is alone where the other is
                seen.add(frozenset(said.items()))
                yield JoinedChoice(f"the {car}'s {_called(one)} harness and the {other}'s others", Choice(said))
    for car, other in ((SHELL, DONOR), (DONOR, SHELL)):
        said = dict.fromkeys((name for group in told for name in _names(group)), car)
        yield JoinedChoice(f"the {other}'s parts on the {car}'s harnesses", Choice(said, {"*": other}), by_parts=True)


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
) -> Comparison:
    """Compare two cars, and judge every car that joins one group of harnesses, or the parts, of one to the other."""
    plain = compare(donor, shell, pairs, dead_before=dead_before)
    if len(donor.vehicle.netlist.pins) + len(shell.vehicle.netlist.pins) > MOST_ROWS:
        coverage = replace(plain.coverage, unjudged=(*plain.coverage.unjudged, Unjudged(TOO_LARGE)))
        return replace(plain, findings=tuple(accept(plain.findings, accepted or {})), coverage=coverage)
    found = list(plain.findings)
    for one in joined_choices(harness_groups(Owners(donor.vehicle), Owners(shell.vehicle), pairs)):
        found += _of_joined(donor, shell, pairs, one, dead_before)
    return replace(plain, findings=tuple(accept(_worst(found), accepted or {})))


def _of_joined(
    donor: Study, shell: Study, pairs: Pairs, one: JoinedChoice, dead_before: Collection[str]
) -> Iterator[Finding]:
    """What is wrong with one joined car, in the two cars' own names."""
    try:
        made = assembly(donor.vehicle, shell.vehicle, pairs, one.choice, any_housing=True)
    except ChoiceError:
        return  # what cannot leave its harness is not joined so
    names, plugs = _InShell(pairs, made), _joined_plugs(donor.vehicle, made, one)
    for finding in judged_car(donor, shell, made, dead_before).findings:
        if finding.severity > Severity.DEAD or finding.kind in _WORK or finding.evidence.apart is not None:
            continue
        if finding.kind in FACING_KINDS and finding.donor.cavity and finding.donor.connector not in plugs:
            continue
        yield replace(
            finding,
            shell=names.spot(finding.shell),
            shell_component=names.component(finding.shell_component),
            text=f"{finding.text} So it is with {one.words}.",
            evidence=replace(finding.evidence, joined=one.words),
        )


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
