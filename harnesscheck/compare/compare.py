"""Compare two aligned cars: every difference becomes a finding with its words, certainty and evidence.

Order of work: meeting places cavity by cavity, wires of unchanged circuits,
shorts inside the shell that no plug explains, then whole parts. Whatever touches
a restraint or high-voltage part is gathered into one finding a part.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.fit import fit
from harnesscheck.assemble.standin import StoodIn
from harnesscheck.compare.carries.worse import Carried, carried
from harnesscheck.compare.context import Context, plug_of
from harnesscheck.compare.coverage import Coverage, Unjudged, coverage_of
from harnesscheck.compare.finding.cautions import guarded, hazard_words, whole_set
from harnesscheck.compare.finding.cavitywords import end_words, fuse_words, named, place_words, side_words
from harnesscheck.compare.finding.findings import (
    NO_SPOT,
    Evidence,
    Finding,
    Hybrid,
    Spot,
    capital,
    in_order,
    least,
    make_finding,
)
from harnesscheck.compare.finding.kinds import SERIOUS, Certainty, Severity, kinds_of
from harnesscheck.compare.plugs.cavities import Difference, differences, partner
from harnesscheck.compare.plugs.earth import with_other_earth
from harnesscheck.compare.plugs.echoes import by_half, settled, severity_of, where
from harnesscheck.compare.plugs.joins import SHORTING, Join, joins
from harnesscheck.compare.plugs.meetings import Meeting, meetings, reporting_half
from harnesscheck.compare.plugs.parts import PartChange, part_changes
from harnesscheck.compare.plugs.restraint import (
    Altered,
    Key,
    altered_parts,
    altered_wires,
    burnt_along_a_line,
    gathered,
    is_special,
    part_of,
    plug_is_special,
    told,
    touched,
)
from harnesscheck.compare.plugs.wholeset import mixed_by_origin
from harnesscheck.compare.plugs.wires import WireChange, wire_changes
from harnesscheck.compare.works.bridged import without_bridged
from harnesscheck.compare.works.function import FunctionChange, Functions, functions
from harnesscheck.compare.works.lostground import with_lost_grounds
from harnesscheck.compare.works.polarity import settle_polarity
from harnesscheck.compare.works.stress import Stress, new_shorts
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import AnyRecord
from harnesscheck.model.shortened import shortened
from harnesscheck.network.graph.elements import OFF
from harnesscheck.network.graph.index import PASSING
from harnesscheck.network.graph.sides import FEEDS, Label, Side, Study
from harnesscheck.network.hands_off import Marks, together
from harnesscheck.network.volts.solve import TooLargeError

_SERIOUS = kinds_of(SERIOUS)
STILL_WORKS = 0.6  # of its reference volts a load does something, slowly or dimly; common practice, no source
MOST_DIFFERENCES = 6  # of a restraint part, in one sentence
MOST_CARRIED = 6  # circuits of a plug, in one sentence
_Restrained = dict[Key, list[Altered]]


@dataclass(frozen=True, slots=True)
class Comparison:
    """What a compare gives: findings worst first, and how much of the cars could be judged."""

    donor: Study
    shell: Study
    pairs: Pairs
    findings: tuple[Finding, ...]
    coverage: Coverage

    @property
    def word(self) -> str:
        """What the second car is called."""
        return "shell"


def compare(
    donor: Study,
    shell: Study,
    pairs: Pairs,
    accepted: Mapping[str, str] | None = None,
    built: Mapping[str, tuple[Hybrid, ...]] | None = None,
    dead_before: Collection[str] = (),
    *,
    electrical: bool = True,
    carrying: bool = True,
) -> Comparison:
    """Compare two studied cars. ``accepted`` maps finding ids to the reason a person gave; never for injury.

    ``built`` says by donor half which hybrids will be built, where ``shell`` is the
    car that is put together; without it every plug is judged both ways round.
    ``dead_before`` names parts that did not work before anything was touched.
    Without ``electrical`` only the wiring is compared, not what works; without ``carrying`` not what wires carry.
    """
    ctx = Context(donor, shell, pairs, built)
    raw: list[Finding] = []
    restrained: _Restrained = defaultdict(list)
    places = [one for one in meetings(ctx) if ctx.hybrids(one.half) and (one.paired or ctx.lone != "shell")]
    differing = [one for meeting in places for one in settle_polarity(ctx, meeting, list(differences(ctx, meeting)))]
    kept, shorts = settled(ctx, differing, list(joins(ctx)))
    short_at = [(join, where(ctx, join, differing) or ("", "")) for join in shorts]
    named_worse = {spot for join, spot in short_at if join.kind in SHORTING}
    kept_at = by_half(kept)
    for meeting in places:
        for finding, special in _at(ctx, meeting, kept_at.get(meeting.half, []), named_worse):
            if special:
                restrained[part_of(ctx, finding)].append(told(finding))
            else:
                raw.append(finding)
                for part, altered in burnt_along_a_line(ctx, finding):
                    restrained[part].append(altered)
        _gather_wires(ctx, meeting, kept_at.get(meeting.half, []), restrained)
    raw += _shell_only(ctx) if ctx.lone != "donor" else ()
    raw += _shorts(ctx, [one for one in short_at if one[0].kind in SHORTING], restrained)
    if not ctx.lone:
        raw += _outside_restraint(ctx, map(_part_finding, part_changes(ctx)), restrained)
    if electrical:
        burning = _burning(ctx)
        raw = [one for one in raw if not _is_through_diode(one, burning)]
        raw += _outside_restraint(ctx, _told_of(burning, in_order(raw)), restrained)
    works = functions(ctx, in_order(raw), dead_before) if electrical else Functions()
    works = replace(works, changes=with_lost_grounds(ctx, works.changes))
    raw = without_bridged(ctx, raw, works.changes)
    raw = [_with_loads(finding, works.consequences.get(finding.id, ())) for finding in raw]
    raw += _outside_restraint(ctx, map(_function_finding, works.changes), restrained)
    raw += _shorts(ctx, [one for one in short_at if not _is_told_by_loads(one[0], works)], restrained)
    raw = with_other_earth(ctx, raw, {one.donor_component for one in works.changes if one.kind == "reversed"})
    carries = _carried(ctx, works, raw) if electrical and carrying else Carried()
    raw = _without_lost_in_wires(raw, carries.findings)
    raw += _outside_restraint(ctx, carries.findings, restrained)
    raw += _restraints(ctx, restrained)
    raw += [finding for study in (ctx.donor, ctx.shell) for finding in mixed_by_origin(study)]
    found = [_with_hands_off(ctx, one) for one in in_order(raw)]
    coverage = coverage_of(ctx, (*works.unjudged, *carries.unjudged))
    return Comparison(donor, shell, pairs, tuple(accept(found, accepted or {})), coverage)


def _burning(ctx: Context) -> tuple[Stress, ...]:
    """The short circuits of the other car's states."""
    if not (ctx.donor.reach.sources and ctx.shell.reach.sources):
        return ()
    try:
        return tuple(new_shorts(ctx))
    except TooLargeError:  # told where what works is judged
        return ()


def _is_through_diode(finding: Finding, burning: Sequence[Stress]) -> bool:
    """Whether what a plug says of a short, of a diode, or of a line that a diode ties to the body is told as what
    it is: a short through a diode alone.
    """
    at = finding.shell.connector, finding.shell.cavity
    if finding.kind == "reversed":
        return any(one.kind == "reversed" and one.components[1] == finding.shell_component for one in burning)
    is_tie = finding.kind in ("feed-to-ground", "crossed")
    return is_tie and {one.kind for one in burning if at in one.places} == {"reversed"}


def _told_of(burning: Sequence[Stress], told: Sequence[Finding]) -> Iterator[Finding]:
    """The short circuits of the other car's states, where no short is told of on the way already."""
    at_shorts = {
        (one.shell.connector, one.shell.cavity) for one in told if one.kind in ("feed-to-ground", "unfused-feed")
    }
    backwards = {
        (one.shell.connector, one.shell.cavity)
        for one in told
        if one.kind == "reversed" and one.severity <= Severity.DAMAGE
    }
    for one in burning:
        if (at_shorts if one.kind == "feed-to-ground" else backwards) & one.places:
            continue
        certainty = least(one.sure)
        yield make_finding(
            one.kind, certainty, one.donor, one.shell, one.words, one.components, one.evidence, one.severity
        )


def _carried(ctx: Context, works: Functions, told_of: Sequence[Finding]) -> Carried:
    """What the other car's wires and fuses stand worse, where nothing that is dead or worse is told of already.

    Nor are volts told that are lost in a wire of which something is told: that finding is what to mend.
    """
    dull = {change.donor_component for change in works.changes if change.kind != "dim-accessory"}
    try:
        worse = carried(ctx.donor_behaviour, ctx.shell_behaviour, ctx.pairs, dull, ctx.word)
    except TooLargeError:
        return Carried((), (Unjudged("what the wires carry: the cars do not fit in memory"),))
    told_of = _without_lost_in_wires(told_of, worse.findings)
    dim = {one.donor_component for one in told_of if one.kind == "dim-accessory"}
    dead = {one.shell for one in told_of if one.severity <= Severity.DEAD and one.shell.connector}
    mended = {
        one.shell for one in (*told_of, *worse.findings) if one.severity <= Severity.REWORK and one.kind != "volt-drop"
    }
    kept = [
        one
        for one in worse.findings
        if one.shell not in dead
        and not (one.kind == "volt-drop" and one.donor_component in dim)
        and not (one.evidence.lost_in.connector and one.evidence.lost_in in mended)
    ]
    return Carried(tuple(kept), worse.unjudged)


def lost_in_wires(carried: Sequence[Finding]) -> frozenset[str]:
    """The donor's parts whose volts are lost in a wire that is named, and is no resistance by itself."""
    drops = (one for one in carried if one.kind == "volt-drop" and one.evidence.lost_in != NO_SPOT)
    return frozenset(one.donor_component for one in drops if not one.evidence.lost_by_design)


def _without_lost_in_wires(found: Iterable[Finding], carried: Sequence[Finding]) -> list[Finding]:
    """The findings but for loads that are only dim, and told better as the volts that are lost in a wire."""
    thin = lost_in_wires(carried)
    return [one for one in found if not (one.donor_component in thin and _is_only_dim(one))]


def _is_only_dim(finding: Finding) -> bool:
    """Whether a load still does something, slowly or dimly."""
    shown = finding.evidence.shown
    return finding.kind == "dim-accessory" and abs(shown["volts"]) >= STILL_WORKS * abs(shown["reference_v"])


def _with_hands_off(ctx: Context, finding: Finding) -> Finding:
    """A finding at a plug that holds restraint or high-voltage wiring too, with who may open it."""
    at = ((ctx.donor, finding.donor.connector), (ctx.shell, finding.shell.connector))
    marks = together(mark for study, plug in at for mark in study.hands_off.plug(plug))
    if not marks:
        return finding
    do = finding.do if finding.kind == "restraint-altered" else guarded(finding.do, *at)
    return replace(finding, do=do, evidence=replace(finding.evidence, hands_off=marks))


def _with_loads(finding: Finding, loads: Sequence[str]) -> Finding:
    """A finding at a plug with what it does to the loads behind it."""
    return replace(finding, evidence=replace(finding.evidence, loads=tuple(loads))) if loads else finding


def _is_told_by_loads(join: Join, works: Functions) -> bool:
    """Whether a join is told already: as a short, or by what a load on both of its nets does."""
    parts = [{terminal.component for terminal in side.terminals} for side in join.sides]
    return join.kind in SHORTING or any(all(part & change.parts for part in parts) for change in works.changes)


def _outside_restraint(ctx: Context, found: Iterable[Finding], restrained: _Restrained) -> Iterator[Finding]:
    """The findings about other parts; those about restraint and high voltage go to their part."""
    for finding in found:
        if is_special(ctx.donor, finding.donor_component) or is_special(ctx.shell, finding.shell_component):
            restrained[part_of(ctx, finding)].append(told(finding))
        else:
            yield finding


def accept(findings: Iterable[Finding], accepted: Mapping[str, str]) -> Iterator[Finding]:
    """The findings, those with a reason to live with them marked; never an injury."""
    for finding in findings:
        reason = accepted.get(finding.id, "")
        yield (replace(finding, accepted=reason) if reason and finding.severity is not Severity.INJURY else finding)


def _at(
    ctx: Context, meeting: Meeting, found: list[Difference], named_worse: Collection[tuple[str, str]]
) -> Iterator[tuple[Finding, bool]]:
    """The findings of one meeting place; the flag says that restraint or high voltage is touched.

    ``named_worse`` are the spots at which a short is told of instead.
    """
    if not meeting.paired:
        yield _no_mate(ctx, meeting), _all_special(ctx, meeting)
        for one in found:
            if one.kind == "moved-pin":
                yield _cavity_finding(ctx, one), touched(ctx, (meeting.half, one.cavity), one.shell)
        return
    housing = _housing(ctx, meeting)
    if housing is not None:
        yield housing, _all_special(ctx, meeting)
    for difference in found:
        if difference.kind not in _SERIOUS or (meeting.half, difference.cavity) not in named_worse:
            yield _cavity_finding(ctx, difference), touched(ctx, (meeting.half, difference.cavity), difference.shell)
    for cavity, there in _same_circuits(ctx, meeting, found):
        if not touched(ctx, (meeting.half, cavity), there):
            for change in wire_changes(ctx, (meeting.half, cavity), there):
                yield _wire_finding(ctx, meeting, cavity, there, change), False


def _same_circuits(ctx: Context, meeting: Meeting, found: list[Difference]) -> Iterator[tuple[str, tuple[str, str]]]:
    """The cavities in which nothing serious was found, each with where the shell has its circuit."""
    if meeting.shell_half is None:
        return
    moved = {difference.cavity: difference.shell for difference in found if difference.kind == "moved-pin"}
    other_circuit = {difference.cavity for difference in found if difference.kind in _SERIOUS} - moved.keys()
    for cavity in ctx.donor.index.cavities(meeting.half):
        if cavity not in other_circuit:
            yield cavity, moved.get(cavity) or partner(ctx, meeting, cavity)


def _gather_wires(ctx: Context, meeting: Meeting, found: list[Difference], restrained: _Restrained) -> None:
    """Whatever differs on the wires of restraint circuits goes to their parts."""
    for cavity, there in _same_circuits(ctx, meeting, found):
        if touched(ctx, (meeting.half, cavity), there):
            for part, altered in altered_wires(ctx, meeting, (meeting.half, cavity), there):
                restrained[part].append(altered)


def _all_special(ctx: Context, meeting: Meeting) -> bool:
    """Whether a plug is a restraint or high-voltage part's, or carries nothing else."""
    return plug_is_special(ctx.donor, meeting.half)


def _no_mate(ctx: Context, meeting: Meeting) -> Finding:
    row = ctx.donor.vehicle.connectors[meeting.half]
    count = f"{len(row.cavities)}-way " if row.cavities else ""
    owner = _owner(ctx.donor, meeting.half, meeting.mate)
    serves = f" of {named(ctx.donor, owner)}" if owner else ""
    text = f"{count}plug {meeting.half}{place_words(ctx.donor, meeting.half)}{serves} has no partner in the {ctx.word}"
    carried = shortened(list(_carried_by(ctx.donor, meeting)), MOST_CARRIED)
    text += f"; it carries {carried}" if carried else ""
    certainty = Certainty.NOT_KNOWN if ctx.lone else Certainty.KNOWN  # the shell's plug may go by another name
    return make_finding("no-mate", certainty, Spot(meeting.half), Spot(), {"text": text}, (owner, ""))


def _carried_by(study: Study, meeting: Meeting) -> Iterator[str]:
    """What a plug carries, cavity by cavity, in a person's words where there are any."""
    halves = [half for half in (meeting.half, meeting.mate) if half]
    for cavity in dict.fromkeys(name for half in halves for name in study.index.cavities(half)):
        rows = [pin for half in halves for pin in study.vehicle.pins_of.get(half, ()) if pin.cavity == cavity]
        circuits = [study.vehicle.circuits.get(pin.circuit or "") for pin in rows]
        told = [*(pin.function for pin in rows), *(one.function for one in circuits if one is not None)]
        said = next((text for text in (*told, *(pin.circuit for pin in rows)) if text), "")
        if said:
            yield f"{said} ({cavity})"


def _owner(study: Study, *connectors: str | None) -> str:
    for connector in connectors:
        row = study.vehicle.connectors.get(connector or "")
        if row is not None and row.component is not None:
            return row.component
    return ""


def _housing(ctx: Context, meeting: Meeting) -> Finding | None:
    if meeting.shell_half is None:
        return None
    differs = fit(ctx.donor.vehicle.connectors[meeting.half], ctx.shell.vehicle.connectors[meeting.shell_half])
    if not differs.text:
        return None
    return make_finding(
        "housing-differs",
        least(meeting.sure),
        Spot(meeting.half),
        Spot(meeting.shell_half),
        {"text": differs.text},
        (_owner(ctx.donor, meeting.mate), _owner(ctx.shell, meeting.shell_mate)),
    )


def _cavity_finding(ctx: Context, one: Difference) -> Finding:
    """Words, component and evidence for a difference at one cavity."""
    own_study, now_study = ctx.donor, ctx.shell
    component = _concerned(ctx, one)
    consumer = component or end_words(ctx.donor, one.own)
    words = {
        "own": capital(side_words(own_study, one.was if _feeds_a_reference(one) else one.own)),
        "was": capital(side_words(own_study, one.was)),
        "was_within": side_words(own_study, one.was),
        "now": side_words(now_study, one.now),
        "fuse": _what_blows(ctx, one),
        "part": named(ctx.donor, consumer) if component else consumer or "what hangs on it",
        "from": f"{one.meeting.half}:{one.cavity}",
        "to": ":".join(one.shell) if one.shell[1] else one.shell[0] or "nothing",
        "live": ", live with the key off" if _live(one) == "off" else ", live with the key on" if _live(one) else "",
        "list": "",
        "hazard": "",
        "burns": ": it may burn, ring it out first" if _may_burn(one.was, one.now) else "",
        "text": f"{one.cavity}: {side_words(own_study, one.was)} here, {side_words(now_study, one.now)} there",
    }
    donor = Spot(one.meeting.half, one.cavity, ctx.circuit(ctx.donor, one.meeting.half, one.cavity))
    shell = Spot(*one.shell, ctx.circuit(ctx.shell, *one.shell)) if one.shell[0] else Spot()
    sure = one.sure and not _rests_on_stand_ins(ctx, one)
    certainty = Certainty.NOT_KNOWN if one.kind == "not-documented" else least(sure)
    return make_finding(
        one.kind,
        certainty,
        donor,
        shell,
        words,
        (component, ctx.component_map.get(component, "") or _owner(ctx.shell, one.meeting.shell_mate)),
        _evidence(ctx, one),
        severity_of(ctx, one),
    )


def _rests_on_stand_ins(ctx: Context, one: Difference) -> bool:
    """Whether of a half at the place only the other half of its plug was typed."""
    shell_half = one.shell[0]
    places = (
        (ctx.donor, (one.meeting.half, one.meeting.mate)),
        (ctx.shell, (shell_half, ctx.shell.vehicle.mate_of.get(shell_half))),
    )
    return any(half in study.kept(StoodIn).halves for study, halves in places for half in halves)


def _feeds_a_reference(one: Difference) -> bool:
    """Whether what a part is fed with here would face a module's few volts there: the shell's part burns on it."""
    return one.kind == "feed-on-signal" and one.was.label in FEEDS and one.now.label is Label.REFERENCE


def _may_burn(was: Side, now: Side) -> bool:
    """Whether one side is a feed or a ground and nobody knows what the other is."""
    rails = FEEDS | {Label.GROUND}
    one, other = (was, now) if was.label in rails else (now, was)
    return one.label in rails and other.label is Label.NOT_KNOWN


def _concerned(ctx: Context, one: Difference) -> str:
    """The donor's component a difference concerns: what would be kept, where that is what it is about."""
    owner = _owner(ctx.donor, one.meeting.mate)
    through = ctx.donor.vehicle.components[owner].kind in (*PASSING, None) if owner else True
    return (_consumer(one) or owner) if through else owner


def _consumer(one: Difference) -> str:
    """The component at an in-line plug: what hangs on the side that is kept, else on what it faced."""
    for side in (one.own, one.was):
        if side.label not in FEEDS and side.label is not Label.GROUND and side.terminals:
            return min((t.component for t in side.terminals), key=natural_key)
    return ""


def _live(one: Difference) -> str:
    for side in (one.own, one.now, one.was):
        if side.label in FEEDS and side.reached is not None:
            return "off" if side.reached.feed_sure & OFF else "on"
    return ""


def _what_blows(ctx: Context, one: Difference) -> str:
    return _blows((ctx.donor, one.own), (ctx.shell, one.now), (ctx.donor, one.was))


def _blows(*sides: tuple[Study, Side]) -> str:
    """Which fuse a short of the first side that is fed blows, if any."""
    fed = next(((study, side) for study, side in sides if side.label in FEEDS), None)
    if fed is None or not fed[1].supplies:
        return "a short circuit; its fuse is not known"
    if "unfused" in fed[1].supplies:
        return "a short circuit with no fuse on the way"
    return f"a short circuit; fuse {fuse_words(fed[0], fed[1].supplies)} blows"


def _evidence(ctx: Context, one: Difference) -> Evidence:
    live = _live(one)
    is_loose_end = one.kind == "orphaned"
    feeding = next((side for side in (one.own, one.now) if side.label in FEEDS), None)
    fuses = feeding.supplies if feeding is not None else ()
    rows = [*ctx.wires(ctx.donor, one.meeting.half, one.cavity)[:1]]
    rows += ctx.wires(ctx.shell, *one.shell)[:1] if one.shell[0] else ()
    return Evidence(
        hybrid=one.hybrid,
        effect=one.effect,
        shown={
            "kept": side_words(ctx.donor, one.own),
            "faced": side_words(ctx.donor, one.was),
            "faces": side_words(ctx.shell, one.now),
        },
        live=bool(live) if is_loose_end else None,
        live_key_off=live == "off" if is_loose_end else None,
        fuse=tuple(name for name in fuses if name != "unfused") if fuses else None,
        read_at=tuple(str(row.place) for row in rows),
        repinned_together=_together(ctx, one),
    )


def _together(ctx: Context, one: Difference) -> bool:
    """Whether the shell re-pinned both halves: no fault for as long as both come from one car."""
    return one.kind == "moved-pin" and one.meeting.mate is not None and one.to is not None


def _wire_finding(ctx: Context, meeting: Meeting, cavity: str, there: tuple[str, str], change: WireChange) -> Finding:
    donor = Spot(meeting.half, cavity, ctx.circuit(ctx.donor, meeting.half, cavity))
    shell = Spot(*there, ctx.circuit(ctx.shell, *there))
    rows: list[AnyRecord] = [
        *ctx.wires(ctx.donor, meeting.half, cavity)[:1],
        *ctx.wires(ctx.shell, *there)[:1],
    ]
    return make_finding(
        change.kind,
        least(change.sure and meeting.sure),
        donor,
        shell,
        {"text": change.text},
        (_owner(ctx.donor, meeting.mate), _owner(ctx.shell, meeting.shell_mate)),
        Evidence(read_at=tuple(str(row.place) for row in rows)),
        Severity.NOTE if change.suits else None,
    )


def _shell_only(ctx: Context) -> Iterator[Finding]:
    """Plugs of the shell that the donor has no partner for: one note a plug."""
    vehicle = ctx.shell.vehicle
    paired = {pair.shell for pair in ctx.pairs.connectors}
    for connector in sorted(vehicle.connectors, key=natural_key):
        mate = vehicle.mate_of.get(connector)
        if connector in paired or mate in paired or reporting_half(vehicle, connector) != connector:
            continue
        owner = _owner(ctx.shell, mate, connector)
        if is_special(ctx.shell, owner):
            continue  # told with its part
        what = f"plug {connector}{place_words(ctx.shell, connector)}"
        what += f" of {named(ctx.shell, owner)}" if owner else ""
        certainty = Certainty.KNOWN if connector in vehicle.pins_of else Certainty.NOT_KNOWN
        yield make_finding("extra-circuit", certainty, Spot(), Spot(connector), {"now": capital(what)}, ("", owner))


def _shorts(ctx: Context, shorts: list[tuple[Join, tuple[str, str]]], restrained: _Restrained) -> Iterator[Finding]:
    for join, spot in shorts:
        finding = _short_finding(ctx, join, spot)
        if join.kind == "restraint-altered":
            restrained[part_of(ctx, finding)].append(told(finding))
        else:
            yield finding


def _short_finding(ctx: Context, join: Join, spot: tuple[str, str]) -> Finding:
    a, b = join.sides
    pair = ctx.pairs.connector.get(spot[0])
    shell = (pair.shell, spot[1]) if pair is not None else ("", "")
    words = {
        "own": capital(side_words(ctx.donor, b)),
        "was": f"{capital(side_words(ctx.donor, b))}, apart from {side_words(ctx.donor, a)}",
        "now": f"{side_words(ctx.donor, a)}: joined inside the {ctx.word}'s wiring",
        "fuse": _blows((ctx.donor, a), (ctx.donor, b)),
        "part": end_words(ctx.donor, b),
        "list": f"joined with another circuit inside the {ctx.word}'s wiring",
        "hazard": "Restraint or high-voltage",
    }
    component = min((t.component for t in b.terminals), key=natural_key, default="")
    return make_finding(
        join.kind,
        least(join.sure),
        Spot(*spot, ctx.circuit(ctx.donor, *spot) if spot[0] else ""),
        Spot(*shell, ctx.circuit(ctx.shell, *shell) if shell[0] else ""),
        words,
        (component, ctx.component_map.get(component, "")),
        Evidence(hybrid=Hybrid.AS_BUILT, shown={"joined": [side_words(ctx.donor, a), side_words(ctx.donor, b)]}),
        severity_of(ctx, join),
    )


def _part_finding(change: PartChange) -> Finding:
    return make_finding(
        change.kind,
        change.certainty,
        change.donor,
        change.shell,
        {"text": capital(change.text)},
        (change.donor_component, change.shell_component),
        change.evidence,
        do=change.do,
    )


def _function_finding(change: FunctionChange) -> Finding:
    words = dict.fromkeys(("before", "drain", "lost", "why", "had", "now", "path", "volts", "was_within"), "")
    if change.kind == "reversed":
        words |= {"was_within": f"+{change.words['had']}", "now": change.words["now"]}
    return make_finding(
        change.kind,
        least(change.sure),
        change.donor,
        change.shell,
        words | ({"part": change.words["part"]} if change.kind == "reversed" else change.words),
        (change.donor_component, change.shell_component),
        change.evidence,
        change.severity,
        change.text,
        change.do,
    )


def _restraints(ctx: Context, restrained: _Restrained) -> Iterator[Finding]:
    """One finding a restraint or high-voltage part, with what differs and where, and nothing to move."""
    for key, altered in ({} if ctx.lone else altered_parts(ctx)).items():
        restrained[key].extend(altered)
    for (donor, shell), items, certainty in gathered(restrained):
        part = named(ctx.donor, donor) if donor else named(ctx.shell, shell) if shell else "circuit"
        texts = list(dict.fromkeys(one.text for one in items))
        shown = shortened(texts, MOST_DIFFERENCES, "; ")
        places = [(one.donor, one.shell) for one in items if (one.donor, one.shell) != (NO_SPOT, NO_SPOT)]
        evidence = Evidence(differences=tuple(texts), places=tuple(places))
        spots = (_place(ctx.donor, donor), _place(ctx.shell, shell))
        if not (donor or shell):  # a circuit no part is known of
            spots = (items[0].donor, items[0].shell)
        marks = together((*ctx.donor.hands_off.part(donor), *ctx.shell.hands_off.part(shell)))
        marks = marks or together(mark for one in items for mark in _marks_at(ctx, one))
        words = {"part": part, "list": shown, "hazard": capital(hazard_words(marks)) or "Restraint or high-voltage"}
        if not any(mark.known for mark in marks):
            certainty = max(certainty, Certainty.LIKELY)
        do = whole_set(marks)
        yield make_finding("restraint-altered", certainty, *spots, words, (donor, shell), evidence, do=do)


def _marks_at(ctx: Context, one: Altered) -> Marks:
    """The marks at the contacts of something that differs, in both cars."""
    spots = ((ctx.donor, one.donor), (ctx.shell, one.shell))
    return together(mark for study, spot in spots for mark in study.hands_off.contact(spot.connector, spot.cavity))


def _place(study: Study, name: str) -> Spot:
    """The plug of a restraint part, or the circuit where no part is known."""
    is_circuit = bool(name) and name not in study.vehicle.components
    return Spot(circuit=name) if is_circuit else plug_of(study, name)
