"""What one car's wires, fuses and circuits carry, and whether it can take something else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from harnesscheck.bench.trace.safety import FUEL
from harnesscheck.compare.carries.fusecard import FuseSlot, fuse_card
from harnesscheck.compare.carries.loads import Loads, WireLoad
from harnesscheck.compare.carries.loadwords import wire_words
from harnesscheck.compare.carries.upgrade import Upgrade
from harnesscheck.compare.coverage import NEVER_JUDGED
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.finding.sentences import SENTENCES
from harnesscheck.model.shortened import shortened
from harnesscheck.network.behaviour.drops import Drop
from harnesscheck.network.volts.circuit import Port
from harnesscheck.network.volts.paths import Ways
from harnesscheck.report.blocks.vocabulary import (
    Answer,
    Caution,
    FindingCard,
    Listing,
    Paragraph,
    Passage,
    Report,
    Section,
    Table,
    paragraphs,
    passage,
    present,
    section,
    table,
)
from harnesscheck.report.cars import car_words
from harnesscheck.report.findings import finding_card, severity_section
from harnesscheck.report.fuses import short_card
from harnesscheck.report.stops import stop_block
from harnesscheck.trade.ampacity import BOOK

LAST_WORDS = (
    "Limits for lost volts are workshop practice; allowable currents are from the tables named. An aid, not an "
    "approval: the maker's procedure, local law and inspection rules stand above it."
)
LEAST_A = 0.001
SHOWN = 8  # rows of a table that a terminal has
MOST_NAMED = 6  # of one sort in a sentence
ALL_ROWS = "(the files that -o writes have them all)"


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


def loads_report(one: ToldLoads, inputs: Mapping[str, Any]) -> Report:
    """The whole report, worst first."""
    loads, asked = one.loads, one.asked
    vehicle = loads.behaviour.study.vehicle
    blocks = present(
        stop_block(loads.behaviour.study),
        _answer(one, asked.upgrade) if asked.upgrade is not None else None,
        Answer(_judged(one)),
        *_found(one),
        section("Fuses", short_card(one.card, _used(loads))),
        section("Wires", _wires(loads), says="the fullest"),
        section("Volts lost", _drops(loads), says="the worst"),
        _rests(loads),
        Caution((LAST_WORDS,)),
    )
    title = f"{vehicle.name}: what its wires and fuses carry"
    about = (("vehicle", car_words(vehicle)), *(("with", words) for words in asked.words))
    return Report(title, about, blocks, inputs)


def _answer(one: ToldLoads, upgrade: Upgrade) -> Section | None:
    count = len(upgrade.worse)
    answer = "Yes: nothing is worse than before, as far as the file tells."
    if count:
        answer = f"No: {count} {'thing is' if count == 1 else 'things are'} worse than before, told below."
    passed = ", ".join(_passed(one))
    return section(
        "Can it take it?",
        Answer(answer),
        _steps(upgrade) if count else None,
        Paragraph(
            f"The current also goes through {passed}: what their contacts may carry is not in the file. Look it up, "
            "for plugs and fuse holder as well."
        )
        if passed
        else None,
        Caution((FUEL,)) if _is_fuel(one) else None,
    )


def _steps(upgrade: Upgrade) -> Passage | None:
    head = "The smallest change that would do, solved again with it:"
    done = upgrade.steps and not upgrade.open
    return passage(
        Listing(tuple(map(str, upgrade.steps)), head, ordered=True)
        if upgrade.steps
        else Paragraph("No thicker wire and no other fuse mends it."),
        *paragraphs(f"Still worse: {judgement.finding.text}" for judgement in upgrade.open),
        Paragraph("With it nothing is worse than before.") if done else None,
    )


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


def _found(one: ToldLoads) -> Iterator[Section]:
    """Findings worst first; with something else in the car, those that were there before in one line each."""
    upgrade = one.asked.upgrade
    before = set[str]()
    if upgrade is not None:
        before = {finding.id for finding in one.findings} - {judgement.finding.id for judgement in upgrade.worse}
    told_kinds: set[str] = set()
    for severity in Severity:
        chosen = [each for each in one.findings if each.severity is severity and each.id not in before]
        cards = [_card(finding, told_kinds) for finding in chosen]
        if cards:
            yield severity_section(severity, *cards)
    if before:
        cards = [finding_card(finding) for finding in one.findings if finding.id in before]
        rows = tuple(f"{card.where}  {card.kind}  {card.circuits}  [{card.id}]" for card in cards)
        yield Section("Was so before", (Listing(rows),), "run it without --what-if to read them")


def _card(finding: Finding, told_kinds: set[str]) -> FindingCard:
    """A finding by its full place; what to do about its kind is said once."""
    said = finding.kind in told_kinds and finding.do == SENTENCES[finding.kind].do
    told_kinds.add(finding.kind)
    card = finding_card(finding)
    return replace(card, mark=card.where, assumed="; ".join(finding.evidence.assumed or ()), said=said)


NO_BATTERY = "there is no battery in the file"


def _judged(one: ToldLoads) -> str:
    """How much could be judged; what was not is never called fine."""
    loads = one.loads
    if not any(port.sort == "battery" for port in loads.behaviour.circuit.ports):
        batteries = [row for row in loads.behaviour.study.vehicle.netlist.components if row.kind == "battery"]
        why = f"of the battery {batteries[0].id} nobody wrote which terminal is +" if batteries else NO_BATTERY
        return f"Nothing could be judged: {why}, so no current can be worked out."
    wires = sum(1 for wire in loads.wires if wire.share is not None)
    fuses = sum(1 for fuse in loads.fuses if fuse.rating_a is not None)
    said = f"Judged: {wires} of {len(loads.wires)} wires, {fuses} of {len(loads.fuses)} fuses, "
    said += (
        f"{len({drop.load for drop in loads.drops if drop.load >= 0})} of {len(loads.behaviour.circuit.loads)} loads."
    )
    return said if one.findings else f"{said} None of them carries more than it may."


def _used(loads: Loads) -> dict[str, str]:
    """By slot how much of a fuse's rating is used for hours; ``short`` where only loads of short duty use it."""
    used = {}
    for fuse in loads.fuses:
        if fuse.use is not None:
            used[fuse.name] = "short" if fuse.nominal_a < LEAST_A <= fuse.worst_a else f"{fuse.use:.0%}"
    return used


def _wires(loads: Loads) -> Table | Paragraph:
    judged = sorted(
        (wire for wire in loads.wires if wire.share is not None), key=lambda one: (-(one.share or 0.0), one.wire)
    )
    rows = []
    for wire in judged:
        amps, allowed = counted(wire)
        share = f"{wire.share:.0%}" if wire.share is not None and wire.share < 100 else "over"
        rows.append((share, f"{amps:.1f} A", f"{allowed:.1f} A", wire_words(loads.branch(wire.wire))))
    if not rows:
        return Paragraph("No wire's size is known.")
    return table("Wires", ("#used", "#amps", "#allowed", "wire"), rows, most=SHOWN, noun="wires", where=ALL_ROWS)


def counted(wire: WireLoad) -> tuple[float, float]:
    """Amperes and what is allowed, for hours or for a moment, whichever is worse."""
    if wire.for_a_moment:
        return wire.worst_a, wire.rating.for_a_moment_a or 0.0
    return wire.steady_a, wire.rating.amps or 0.0


def _drops(loads: Loads) -> Table | Paragraph:
    rows = [
        (f"{drop.volts:.2f} V", f"{drop.limit_v:.2f} V", f"{drop.amps:.1f} A", drop.side, load_label(loads, drop))
        for drop in sorted(loads.drops, key=lambda one: (-one.volts / one.limit_v, one.load))
    ]
    if not rows:
        return Paragraph("No load works in any state.")
    names = ("#lost", "#limit", "#amps", "side", "load")
    return table("Volts lost", names, rows, most=SHOWN, noun="ways", where=ALL_ROWS)


def load_label(loads: Loads, drop: Drop) -> str:
    """A load's short name; the charging lead has none."""
    return loads.behaviour.circuit.loads[drop.load].label if drop.load >= 0 else "charging lead"


def _rests(loads: Loads) -> Section | None:
    assumed = (*loads.behaviour.circuit.assumptions, *_ratings_assumed(loads.wires), *_forms_assumed(loads))
    return section(
        "What this rests on",
        Paragraph(
            f"{len(loads.currents.states)} states solved; loads are taken as resistances. What a wire may carry is of "
            f"one table: {BOOK}."
        ),
        Listing(assumed or ("nothing",), "Assumed:"),
        Listing(tuple(not_judged(loads)), "Not judged:"),
    )


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
    return [*found, *NEVER_JUDGED]


def _some(names: Sequence[str]) -> str:
    return shortened(names, MOST_NAMED)


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
