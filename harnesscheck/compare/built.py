"""A car that is put together, held against the donor: what its plugs do as they will really be mated.

A harness half that faces a half of the same car meets what it always met, unless
it carries a part of the donor: there the part's own plug tells whether the
harness brings what the part had. What a plug of the shell still has exactly as
the shell's maker built it is no difference that the swap makes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.assemble.assemble import Assembly
from harnesscheck.assemble.choice import DONOR, NONE, SHELL
from harnesscheck.assemble.fit import misfit
from harnesscheck.assemble.pairing import TAKEN_OVER
from harnesscheck.assemble.standin import StoodIn
from harnesscheck.compare.compare import Comparison, accept, compare
from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.cavitywords import named, place_words
from harnesscheck.compare.finding.findings import Evidence, Finding, Hybrid, Spot, capital, in_order, make_finding
from harnesscheck.compare.finding.kinds import Certainty, Trait, kinds_of
from harnesscheck.compare.finding.sentences import SENTENCES
from harnesscheck.compare.jobs import with_jobs
from harnesscheck.compare.plugs.meetings import reporting_half
from harnesscheck.compare.plugs.restraint import is_special
from harnesscheck.compare.plugs.wholeset import mixed_sets
from harnesscheck.model.order import natural_key
from harnesscheck.model.swapsheet import SwapSheet
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Label, Study

AS_FOUND = "It is so only as the cars were found: mended, it is gone."
HALF_KNOWN = "Its other half is in no file: so it would be, were that of the other car."
RELATIVE = kinds_of(Trait.RELATIVE)


@dataclass(frozen=True, slots=True)
class Apart:
    """A plug of the donor (half and mate) and its halves in the car; ``here`` is None where the car has none."""

    half: str
    mate: str
    here: str | None
    there: str


@dataclass(frozen=True, slots=True)
class BuiltComparison(Comparison):
    """The donor against the car that is built; ``shell`` is that car.

    ``harness`` and ``parts`` say by id (``shell:ID`` for what only the shell has) which
    car each comes from: donor, shell, or none. ``base`` is the shell as its maker built it.
    """

    base: Study
    sheet: SwapSheet
    harness: Mapping[str, str]
    parts: Mapping[str, str]

    @property
    def word(self) -> str:
        """What the second car is called."""
        return "car"


def taken_over(assembly: Assembly, donor: Vehicle) -> frozenset[str]:
    """The donor's connectors that are in the assembled car."""
    return frozenset(pair.donor for pair in assembly.from_donor.connectors if pair.why == TAKEN_OVER) & frozenset(
        donor.connectors
    )


def built_hybrids(donor: Vehicle, ours: frozenset[str]) -> Mapping[str, tuple[Hybrid, ...]]:
    """By donor half, the hybrid that is built; ``ours`` are the donor's connectors that are taken."""
    built: dict[str, tuple[Hybrid, ...]] = {}
    for half in donor.connectors:
        if reporting_half(donor, half) != half:
            continue
        mate = donor.mate_of.get(half)
        mine, theirs = half in ours, mate in ours
        at_part = mate is not None and donor.connectors[mate].component is not None
        if mine and not theirs and mate is not None:
            built[half] = (Hybrid.DONOR_HALF,)
        elif at_part or (theirs and not mine):
            built[half] = (Hybrid.SHELL_HALF,)
    return built


def compare_built(
    donor: Study, shell: Study, pairs: Pairs, made: Assembly, sheet: SwapSheet, whole: Assembly | None = None
) -> BuiltComparison:
    """Hold a car that is put together against the donor as its maker built it.

    ``made`` may be of both cars as found, ``whole`` is then the same of whole cars:
    what only the car as found has is said to be so. ``donor``, ``shell`` and their
    ``pairs`` are of whole cars. A plug that was together in the donor and is not in
    the car is among the findings, as dead. Of the sheet, what was dead before and
    what is accepted are heeded.
    """
    result = _compared(donor, shell, made, sheet)
    findings = result.findings
    if whole is not None:
        known = {one.id for one in _compared(donor, shell, whole, sheet).findings}
        findings = tuple(one if one.id in known else _as_found(one) for one in findings)
    findings = tuple(in_order((*findings, *_of_half_known_plugs(donor, shell, pairs, made))))
    return replace(
        result,
        pairs=replace(result.pairs, against=pairs.against),
        findings=tuple(accept(with_jobs(findings, result.pairs, result.word), sheet.accepted)),
    )


def _of_half_known_plugs(donor: Study, shell: Study, pairs: Pairs, made: Assembly) -> Iterator[Finding]:
    """What a plain compare says of plugs whose other half is in no file: it may be of either car.

    Where no plug has its other half written, that is all that can be said. A car that
    is all of one, with its plugs written, meets nothing of the other.
    """
    ours, theirs = taken_over(made, donor.vehicle), _taken(made.from_shell.connectors)
    if donor.vehicle.mate_of and shell.vehicle.mate_of and not (ours and theirs):
        return
    halves = {id for id in donor.vehicle.connectors if id not in donor.vehicle.mate_of}
    if not halves:
        return
    found = compare(donor, shell, pairs, electrical=False)
    for one in with_jobs(found.findings, pairs):
        if one.donor.connector in halves:
            certainty = max(one.certainty, Certainty.LIKELY)
            yield replace(one, certainty=certainty, text=f"{one.text} {HALF_KNOWN}")


def _as_found(finding: Finding) -> Finding:
    """A finding that is gone once what was found cut, tapped or bridged is mended."""
    do = f"Mend what was found. Otherwise: {finding.do[:1].lower()}{finding.do[1:]}"
    return replace(finding, text=f"{finding.text} {AS_FOUND}", do=do, evidence=replace(finding.evidence, as_found=True))


def judged_car(
    donor: Study,
    shell: Study,
    made: Assembly,
    dead_before: Collection[str] = (),
    plugs: Collection[str] | None = None,
) -> Comparison:
    """A car that is put together against the donor: what the swap changes in it, and what is so in any case.

    ``plugs`` are the donor's halves to look at contact by contact, and what wires carry is left out; None: all.
    """
    ours = taken_over(made, donor.vehicle)
    built = built_hybrids(donor.vehicle, ours)
    if plugs is not None:
        built = {half: hybrids for half, hybrids in built.items() if half in plugs}
    pairs = _known_to(donor.vehicle, made.from_donor)
    donor = donor.kept(StoodIn).study
    found = compare(donor, Study(made.vehicle), pairs, None, built, dead_before, carrying=plugs is None)
    ctx = Context(donor, found.shell, pairs, built)
    origin = _BuiltOrigin(ctx, shell, made.from_shell)
    kept = [one for one in found.findings if origin.is_told(one)]
    kept += (dead_plug(ctx, one) for one in apart(ctx) if not origin.was_apart(one))
    kept += _loose_plugs(ctx, ours)
    kept += split_sets(donor.vehicle, shell.vehicle, made)
    kept += mixed_sets(donor, shell, made)
    return replace(found, findings=tuple(in_order(kept)))


def _known_to(donor: Vehicle, pairs: Pairs) -> Pairs:
    """The pairs of what the donor has as its maker built it: a tap that was found in it brings a plug of its own."""
    return replace(
        pairs,
        connectors=tuple(one for one in pairs.connectors if one.donor in donor.connectors),
        components=tuple(one for one in pairs.components if one.donor in donor.components),
    )


def _compared(donor: Study, shell: Study, made: Assembly, sheet: SwapSheet) -> BuiltComparison:
    found = judged_car(donor, shell, made, sheet.dead_before)
    return BuiltComparison(
        donor,
        found.shell,
        made.from_donor,
        found.findings,
        found.coverage,
        shell,
        sheet,
        _from_where(made.from_donor.harnesses, made.from_shell.harnesses, donor.vehicle.harnesses),
        _from_where(made.from_donor.components, made.from_shell.components, donor.vehicle.components),
    )


def apart(ctx: Context) -> Iterator[Apart]:
    """Mated halves of the donor whose counterparts in the car are not."""
    donor, car = ctx.donor.vehicle, ctx.shell.vehicle
    for half, mate in sorted(donor.mate_of.items(), key=lambda one: natural_key(one[0])):
        if reporting_half(donor, half) != half:
            continue
        here, there = (_in_car(ctx, name) for name in (half, mate))
        if here is not None and there is not None:
            if car.mate_of.get(here) is None and car.mate_of.get(there) is None:
                yield Apart(half, mate, here, there)
        elif there is not None and donor.connectors[mate].component is not None and car.mate_of.get(there) is None:
            yield Apart(half, mate, None, there)


def _in_car(ctx: Context, connector: str) -> str | None:
    pair = ctx.pairs.connector.get(connector)
    return pair.shell if pair is not None and pair.shell in ctx.shell.vehicle.connectors else None


def dead_plug(ctx: Context, one: Apart) -> Finding:
    """What it means that a plug is apart: everything on it is dead."""
    car = ctx.shell.vehicle
    part = ctx.donor.vehicle.connectors[one.mate].component or ""
    if one.here is None:
        text = f"no harness of the car has a plug for it: {named(ctx.donor, part)} is not connected"
    else:
        why = misfit(car.connectors[one.here], car.connectors[one.there])
        text = f"{one.here} and {one.there} cannot be plugged together" + (f": {why}" if why else "")
    return make_finding(
        "missing-circuit",
        Certainty.KNOWN,
        Spot(one.half),
        Spot(one.here or ""),
        parts=(part, ctx.component_map.get(part, "")),
        evidence=Evidence(apart=(one.here, one.there)),
        text=f"{capital(text)}.",
        do=SENTENCES["no-mate"].do,
    )


def _loose_plugs(ctx: Context, ours: frozenset[str]) -> Iterator[Finding]:
    """Plugs of the donor's harnesses whose part was left out, so that nothing is on them."""
    donor, car = ctx.donor.vehicle, ctx.shell.vehicle
    for half in sorted(ours, key=natural_key):
        mate, here = donor.mate_of.get(half), ctx.pairs.connector[half].shell
        part = donor.connectors[mate].component if mate is not None else None
        if part is None or mate in ours or here in car.mate_of or is_special(ctx.donor, part):
            continue
        words = f"Plug {half}{place_words(ctx.donor, half)} has nothing on it: {named(ctx.donor, part)} is left out"
        spots, do = (Spot(half), Spot(here)), SENTENCES["orphaned"].do
        yield make_finding("no-mate", Certainty.KNOWN, *spots, {"text": words}, (part, ""), do=do)


# -- where the rows of the car are from


def _taken(pairs: tuple[Pair, ...]) -> dict[str, str]:
    """The car's row by the row that was taken over."""
    return {pair.donor: pair.shell for pair in pairs if pair.why == TAKEN_OVER}


def _from_where(ours: tuple[Pair, ...], theirs: tuple[Pair, ...], known: Collection[str]) -> dict[str, str]:
    """By the donor's id which car a row is of, by ``shell:ID`` those that only the shell has; ``known`` may be out."""
    mine, yours = _taken(ours), _taken(theirs)
    partner = {pair.donor: pair.shell for pair in ours}
    found = {id: DONOR if id in mine else SHELL if id in partner else NONE for id in (*known, *partner)}
    paired = set(partner.values())
    return found | {f"shell:{id}": SHELL for id, here in yours.items() if here not in paired}


class _BuiltOrigin:
    """Which findings of a built car are told: not what the shell has exactly as its maker built it."""

    def __init__(self, ctx: Context, shell: Study, from_shell: Pairs) -> None:
        self.ctx, self.car, self.shell = ctx, ctx.shell, shell
        self.plug = {here: id for id, here in _taken(from_shell.connectors).items()}  # the shell's, by the car's id
        self.part = {here: id for id, here in _taken(from_shell.components).items()}
        self.ours = frozenset(_taken(ctx.pairs.connectors))  # the donor's plugs that are in the car
        restraints = [id for id in self.car.vehicle.components if is_special(self.car, id)]
        self.restraint_is_the_shells = all(id in self.part for id in restraints)

    def is_told(self, finding: Finding) -> bool:
        """Whether a finding is about something that the swap changed, or that is so in any case."""
        kind, spot = finding.kind, finding.shell
        if kind == "coded-part":
            return False  # told set by set: only here it is known which part is of which car
        if kind == "mixed-bus":
            return self._joins_both_cars(finding.donor.connector)
        if kind not in RELATIVE or (kind == "restraint-altered" and not self.restraint_is_the_shells):
            return True
        if spot.connector:
            return not self._is_as_in_shell(spot.connector, spot.cavity)
        return kind != "no-mate" or bool(self._halves(finding.donor.connector) & self.ours)

    def was_apart(self, one: Apart) -> bool:
        """Whether a plug was apart in the shell already, with nothing of the donor on either side."""
        return all(
            half is None or (half in self.plug and self.plug[half] not in self.shell.vehicle.mate_of)
            for half in (one.here, one.there)
        )

    def _halves(self, connector: str) -> set[str]:
        return {connector, self.ctx.donor.vehicle.mate_of.get(connector, connector)}

    def _is_as_in_shell(self, connector: str, cavity: str) -> bool:
        """Whether both halves are the shell's, mated as they were, on nets that are what they were."""
        back, mate = self.plug.get(connector), self.car.vehicle.mate_of.get(connector)
        if back is None or (None if mate is None else self.plug.get(mate, "")) != self.shell.vehicle.mate_of.get(back):
            return False
        cavities = [cavity] if cavity else self.car.index.cavities(connector)
        return all(self._is_same_net((connector, name), (back, name)) for name in cavities)

    def _is_same_net(self, here: tuple[str, str], there: tuple[str, str]) -> bool:
        """Whether a net has the same terminals of the same parts, fed and grounded alike."""
        now, then = self.car.index.net(*here), self.shell.index.net(*there)
        if now is None or then is None:
            return now is None and then is None
        a, b = self.car.net_side(now), self.shell.net_side(then)
        if (a.label, a.reached, a.open) != (b.label, b.reached, b.open):
            return False
        ends = {(self.part.get(one.component), one.name) for one in a.terminals}
        return a.label is Label.GROUND or ends == {(one.component, one.name) for one in b.terminals}

    def _joins_both_cars(self, plug: str) -> bool:
        """Whether modules of both cars are on the data nets of a plug of the donor."""
        here = self.ctx.pairs.connector.get(plug)
        if here is None:
            return True
        nets = {self.car.index.net(here.shell, name) for name in self.car.index.cavities(here.shell)} - {None}
        data = [side for net in nets if net is not None and (side := self.car.net_side(net)).label is Label.DATA]
        of_shell = {one.component in self.part for side in data for one in side.terminals if one.role == "data"}
        return len(of_shell) != 1


# -- coded sets


def split_sets(donor: Vehicle, shell: Vehicle, made: Assembly) -> Iterator[Finding]:
    """Sets of parts coded to each other of which the car has some and lacks others.

    A set of the shell does not count where the donor's parts, of whole sets, are in
    the places of all that is missing: nothing is asked of what is left of it.
    """
    ours, theirs = _taken(made.from_donor.components), _taken(made.from_shell.components)
    split = {tag: (kept, lost) for tag, kept, lost in _sets(donor, ours) if kept and lost}
    for tag, (kept, lost) in split.items():
        yield _split(tag, DONOR, kept, lost, lost[0], made.from_donor.component.get(lost[0]))
    stand_ins = {
        pair.donor
        for pair in made.from_shell.components
        if pair.why != TAKEN_OVER and not _is_of(pair.shell, ours, donor, split.keys())
    }
    for tag, kept, lost in _sets(shell, theirs):
        if kept and any(id not in stand_ins for id in lost):
            yield _split(tag, SHELL, kept, lost, "", Pair("", theirs[kept[0]], 1.0, ""))


def _is_of(here: str, ours: Mapping[str, str], donor: Vehicle, tags: Collection[str]) -> bool:
    """Whether a part of the car is the donor's and of one of some coded sets."""
    return any(now == here and donor.components[id].coded in tags for id, now in ours.items())


def _sets(car: Vehicle, taken: Mapping[str, str]) -> Iterator[tuple[str, list[str], list[str]]]:
    """By tag the parts of a coded set that were taken, and those that were not."""
    sets: dict[str, list[str]] = defaultdict(list)
    for row in car.netlist.components:
        if row.coded:
            sets[row.coded].append(row.id)
    for tag in sorted(sets, key=natural_key):
        members = sorted(sets[tag], key=natural_key)
        yield tag, [id for id in members if id in taken], [id for id in members if id not in taken]


def _split(tag: str, car: str, kept: list[str], lost: list[str], donor: str, here: Pair | None) -> Finding:
    words = f"Of the {car}'s coded set '{tag}' the car has {', '.join(kept)}, but not {', '.join(lost)}"
    parts, evidence = (donor, here.shell if here is not None else ""), Evidence(shown={"kept": kept, "lost": lost})
    return make_finding("coded-part", Certainty.KNOWN, words={"text": words}, parts=parts, evidence=evidence)
