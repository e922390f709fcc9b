"""What one car's wires, fuses and circuits carry, and whether it can take something else: text, 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from harnesscheck.compare.carries.fusecard import FuseSlot, fuse_card
from harnesscheck.compare.carries.loads import Loads, WireLoad
from harnesscheck.compare.carries.loadwords import wire_words
from harnesscheck.compare.carries.upgrade import Upgrade
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Certainty, Severity
from harnesscheck.network.volts.circuit import Port
from harnesscheck.network.volts.drops import Drop
from harnesscheck.network.volts.paths import Ways
from harnesscheck.report.fuses import card_lines
from harnesscheck.report.page import SIGN_MEANS
from harnesscheck.report.paragraphs import WIDTH, wrapped

LAST_WORDS = (
    "Limits for lost volts are workshop practice; allowable currents are from the tables named. An aid, not an "
    "approval: the maker's procedure, local law and inspection rules stand above it."
)
LEAST_A = 0.001
SHOWN = 8  # rows of a table on paper; all are in the files


@dataclass(frozen=True, slots=True)
class LoadsAsked:
    """What was put into the car, in words, and what came of it; nothing where it was judged as it is."""

    words: tuple[str, ...] = ()
    upgrade: Upgrade | None = None
    targets: tuple[str, ...] = ()  # components that were changed


@dataclass(frozen=True, slots=True)
class ToldLoads:
    """Everything a report says of one car."""

    loads: Loads
    findings: tuple[Finding, ...]
    card: tuple[FuseSlot, ...]
    asked: LoadsAsked


def told(loads: Loads, findings: Sequence[Finding], asked: LoadsAsked | None = None) -> ToldLoads:
    """One car's report, to be written in any form."""
    return ToldLoads(loads, tuple(findings), fuse_card(loads.behaviour, loads.feeds), asked or LoadsAsked())


def heading(words: str) -> list[str]:
    """A heading and the line under it."""
    return [words, "=" * len(words)]


def loads_text(one: ToldLoads) -> str:
    """The whole report, worst first."""
    vehicle = one.loads.behaviour.study.vehicle
    path = vehicle.netlist.header.file.path
    lines = wrapped(f"vehicle: {vehicle.name}" + (f" ({path})" if path and path != vehicle.name else ""))
    lines += [line for words in one.asked.words for line in wrapped(f"with {words}")]
    lines.append("")
    if one.asked.upgrade is not None:
        lines += [*_answer(one), ""]
    lines += list(_found(one))
    lines += [*heading("FUSES"), *card_lines(one.card, _used(one.loads)), ""]
    lines += [*heading("WIRES, the fullest"), *_wire_lines(one.loads), ""]
    lines += [*heading("VOLTS LOST, the worst"), *_drop_lines(one.loads), ""]
    lines += _rests_on(one.loads)
    return "\n".join(lines) + "\n"


def _answer(one: ToldLoads) -> Iterator[str]:
    upgrade = one.asked.upgrade
    assert upgrade is not None
    yield from heading("CAN IT TAKE IT?")
    if not upgrade.worse:
        yield from wrapped("Yes: nothing is worse than before, as far as the file tells.")
    else:
        count = len(upgrade.worse)
        things = "thing is" if count == 1 else "things are"
        yield from wrapped(f"No: {count} {things} worse than before, told below.")
        yield ""
        yield from _steps(upgrade)
    passed = _passed(one)
    if passed:
        yield from wrapped(
            f"The current also goes through {', '.join(passed)}: what their contacts may carry is not in the file. "
            "Look it up, for plugs and fuse holder as well."
        )
    if _is_fuel(one):
        yield from wrapped(
            "Fuel system: relieve the pressure, no flame or spark, fresh air; the maker's procedure and local law "
            "stand above this list."
        )


def _steps(upgrade: Upgrade) -> Iterator[str]:
    if upgrade.steps:
        yield "The smallest change that would do, solved again with it:"
        for number, step in enumerate(upgrade.steps, 1):
            yield from wrapped(f"{number}. {step}", "  ")
    else:
        yield from wrapped("No thicker wire and no other fuse mends it.")
    for judgement in upgrade.open:
        yield from wrapped(f"Still worse: {judgement.finding.text}", "  ")
    if upgrade.steps and not upgrade.open:
        yield "With it nothing is worse than before."


def _passed(one: ToldLoads) -> list[str]:
    """The switches and relays that the changed parts' current goes through."""
    loads, found = one.loads, dict[str, None]()
    circuit, ways = loads.behaviour.circuit, Ways(loads.behaviour.circuit)
    for drop in loads.drops:
        if drop.load >= 0 and circuit.loads[drop.load].component in one.asked.targets:
            way = ways.of(loads.state(drop.state).solution, drop.load)
            for hop in way.hops() if way is not None else ():
                if isinstance(hop.element, Port) and hop.element.sort in ("key", "switch", "make", "break", "output"):
                    found[hop.element.component] = None
    return list(found)


def _is_fuel(one: ToldLoads) -> bool:
    rows = one.loads.behaviour.study.vehicle.components
    return any(target in rows and rows[target].system == "fuel" for target in one.asked.targets)


def _found(one: ToldLoads) -> Iterator[str]:
    """Findings worst first; with something else in the car, those that were there before in one line each."""
    upgrade = one.asked.upgrade
    before = set[str]()
    if upgrade is not None:
        before = {finding.id for finding in one.findings} - {judgement.finding.id for judgement in upgrade.worse}
    shown = [finding for finding in one.findings if finding.id not in before]
    yield from wrapped(_judged(one))
    yield ""
    told_kinds: set[str] = set()
    for severity in Severity:
        chosen = [finding for finding in shown if finding.severity is severity]
        if chosen:
            yield from heading(f"{severity.word.upper()} - {SIGN_MEANS[severity]}")
            for finding in chosen:
                yield from _finding_lines(finding, first=finding.kind not in told_kinds)
                told_kinds.add(finding.kind)
            yield ""
    if before:
        yield from heading("WAS SO BEFORE (run it without --what-if to read them)")
        for finding in one.findings:
            if finding.id in before:
                yield from wrapped(f"{_place(finding)}  {finding.kind}  {finding.donor.circuit}  [{finding.id}]", "  ")
        yield ""


def _judged(one: ToldLoads) -> str:
    """How much could be judged; what was not is never called fine."""
    loads = one.loads
    if not any(port.sort == "battery" for port in loads.behaviour.circuit.ports):
        return "Nothing could be judged: there is no battery in the file, so no current can be worked out."
    wires = sum(1 for wire in loads.wires if wire.share is not None)
    fuses = sum(1 for fuse in loads.fuses if fuse.rating_a is not None)
    said = f"Judged: {wires} of {len(loads.wires)} wires, {fuses} of {len(loads.fuses)} fuses, "
    said += (
        f"{len({drop.load for drop in loads.drops if drop.load >= 0})} of {len(loads.behaviour.circuit.loads)} loads."
    )
    return said if one.findings else f"{said} None of them carries more than it may."


def _place(finding: Finding) -> str:
    return str(finding.donor) if finding.donor.connector else finding.donor_component


def _finding_lines(finding: Finding, *, first: bool) -> Iterator[str]:
    """A finding; what to do about its kind is said once."""
    doubt = "" if finding.certainty is Certainty.KNOWN else f" ({finding.certainty.word})"
    yield from wrapped(f"{_place(finding)}  {finding.kind}{doubt}  {finding.donor.circuit}  [{finding.id}]", "  ")
    yield from wrapped(finding.text, "     ")
    if finding.evidence.get("assumed"):
        yield from wrapped(f"Assumed: {'; '.join(finding.evidence['assumed'])}", "     ")
    if first or finding.do.startswith("STOP"):
        yield from wrapped(f"Do: {finding.do}", "     ")


def _used(loads: Loads) -> dict[str, str]:
    """By slot how much of a fuse's rating is used for hours; ``short`` where only loads of short duty use it."""
    used = {}
    for fuse in loads.fuses:
        if fuse.use is not None:
            used[fuse.name] = "short" if fuse.nominal_a < LEAST_A <= fuse.worst_a else f"{fuse.use:.0%}"
    return used


def _wire_lines(loads: Loads) -> Iterator[str]:
    judged = sorted(
        (wire for wire in loads.wires if wire.share is not None), key=lambda one: (-(one.share or 0.0), one.wire)
    )
    for wire in judged[:SHOWN]:
        name = wire_words(loads.branch(wire.wire))
        share = f"{wire.share:.0%}" if wire.share is not None and wire.share < 100 else "over"
        amps, allowed = counted(wire)
        yield f"  {share:>5}  {amps:6.1f} A of {allowed:6.1f} A  {name}"[:WIDTH]
    if not judged:
        yield "  No wire's size is known."


def counted(wire: WireLoad) -> tuple[float, float]:
    """Amperes and what is allowed, for hours or for a moment, whichever is worse."""
    if wire.for_a_moment:
        return wire.worst_a, wire.rating.for_a_moment_a or 0.0
    return wire.steady_a, wire.rating.amps or 0.0


def _drop_lines(loads: Loads) -> Iterator[str]:
    for drop in sorted(loads.drops, key=lambda one: (-one.volts / one.limit_v, one.load))[:SHOWN]:
        name = load_label(loads, drop)
        yield f"  {drop.volts:5.2f} V of {drop.limit_v:4.2f} V  {drop.amps:6.1f} A  {drop.side:8} {name}"[:WIDTH]
    if not loads.drops:
        yield "  No load works in any state."


def load_label(loads: Loads, drop: Drop) -> str:
    """A load's short name; the charging lead has none."""
    return loads.behaviour.circuit.loads[drop.load].label if drop.load >= 0 else "charging lead"


def _rests_on(loads: Loads) -> list[str]:
    lines = heading("WHAT THIS RESTS ON")
    circuit = loads.behaviour.circuit
    lines += wrapped(f"{len(loads.currents.states)} states solved; loads are taken as resistances.", "  ")
    lines.append("Assumed:")
    for text in [*circuit.assumptions, *_ratings_assumed(loads.wires), *_forms_assumed(loads)] or ["nothing"]:
        lines += wrapped(f"- {text}", "  ")
    lines.append("Not judged:")
    for text in not_judged(loads) or ["nothing that is in the file"]:
        lines += wrapped(f"- {text}", "  ")
    return [*lines, "", *wrapped(LAST_WORDS)]


def _ratings_assumed(wires: Sequence[WireLoad]) -> list[str]:
    """What was assumed of how wires lie, and of how many; most often first."""
    counts: dict[str, int] = {}
    for wire in wires:
        for text in wire.rating.assumed if wire.rating.area_mm2 is not None else ():
            counts[text] = counts.get(text, 0) + 1
    ordered = sorted(counts.items(), key=lambda item: (-item[1], item[0]))
    return [f"{text} ({count} wires)" if count > 1 else f"{text} (1 wire)" for text, count in ordered]


def _forms_assumed(loads: Loads) -> Iterator[str]:
    names = [fuse.name for fuse in loads.fuses if fuse.form_assumed]
    if names:
        yield f"form not written, so the blade made in that rating: {_some(names)}"


def not_judged(loads: Loads) -> list[str]:
    """What cannot be said, and why."""
    circuit = loads.behaviour.circuit
    found = [*_why_not_wires(loads), *_why_not_fuses(loads)]
    driven = {guard.wire for guard in loads.feeds.guards if guard.driven}
    if driven:
        found.append(f"fuse against {len(driven)} wires behind outputs of modules: what those limit is not in the file")
    pwm = [load.label for load in circuit.loads if load.pwm]
    if pwm:
        found.append(f"fed in pulses, not judged by direct current: {_some(pwm)}")
    idle = [circuit.loads[number].label for number in loads.behaviour.not_exercised]
    if idle:
        found.append(f"turned on by nothing: {_some(idle)}")
    found += [f"{component}: {why}" for component, why in circuit.unjudged]
    return found


def _some(names: Sequence[str], most: int = 6) -> str:
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more


def _why_not_wires(loads: Loads) -> Iterator[str]:
    groups: dict[str, list[str]] = {}
    for wire in loads.wires:
        if wire.rating.why_not:
            groups.setdefault(wire.rating.why_not, []).append(loads.branch(wire.wire).name)
    for why, names in groups.items():
        yield f"{len(names)} {'wire' if len(names) == 1 else 'wires'}, {why}: {_some(names)}"


def _why_not_fuses(loads: Loads) -> Iterator[str]:
    unrated = [fuse.name for fuse in loads.fuses if fuse.rating_a is None]
    if unrated:
        yield f"fuses without a rating: {_some(unrated)}"
    unfed = [loads.branch(number).name for number in loads.feeds.unfed]
    if unfed:
        yield f"fuses that no battery reaches: {_some(unfed)}"
    groups: dict[str, list[str]] = {}
    for fuse in loads.fuses:
        for why in dict.fromkeys(short.why_not for short in fuse.shorts if short.why_not and fuse.rating_a):
            groups.setdefault(why, []).append(fuse.name)
    for why, names in groups.items():
        yield f"whether a far-end short blows {_some(names)} in time: {why}"
