"""A ring-out as blocks: what to unplug and measure; of a filled-in sheet what is wrong, why, and what comes next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from harnesscheck.bench.readings.causewords import Cause, NextStep, ToldReadings
from harnesscheck.bench.readings.filled import GOOD, failing
from harnesscheck.bench.ringout.measurements import GOOD_OHM, GROUPS, PAIRS, REST, Measurement, Ringout, group_tests
from harnesscheck.bench.ringout.powerup import MOST_DANGERS
from harnesscheck.bench.ringout.ringsheet import bus_words, ohms_words
from harnesscheck.bench.ringout.unplugging import LOW, NOT_MEASURED, SORTS, STAYS, Unplugging
from harnesscheck.model.shortened import shortened
from harnesscheck.report.blocks.vocabulary import (
    AnyBlock,
    BriefOrFull,
    Caution,
    Facts,
    Listing,
    Paragraph,
    Passage,
    Report,
    RowGroup,
    Section,
    Table,
    heads,
    paragraphs,
    passage,
    present,
    section,
)
from harnesscheck.report.ringout import RingoutReport, finding_words
from harnesscheck.report.stops import stop_block
from harnesscheck.report.verdict import BUILT_SENTENCE

CAUTION = (
    "Battery off before the first plug, negative first. Never an ohmmeter on restraint (airbag, belt tensioner) or "
    "high-voltage wiring: maker's procedure, licensed practice. The maker's manual and local rules stand above this."
)
_RIVALS_SHOWN = 4
_NAMES_SHOWN = 12


def ringout_report(report: RingoutReport, inputs: Mapping[str, Any], *, lines: bool) -> Report:
    """The list for the bench. ``lines`` prints every reading by place on a terminal; else the sheets hold them."""
    return _report(report, ringout_parts(report, lines=lines), inputs)


def ringout_parts(report: RingoutReport, *, lines: bool, sheet: bool = False) -> tuple[AnyBlock, ...]:
    """The blocks of the list for the bench; with ``sheet`` without the readings, which stand on a sheet beside it."""
    readings = _readings(report.ringout)
    told = BriefOrFull((readings,) if lines and readings is not None else (), present(readings))
    return present(
        stop_block(report.ringout.looms.study), _dangers(report), Caution((CAUTION,)), _unplug(report),
        _measure(report.ringout), None if sheet else told, _open(report), _after(report),
    )  # fmt: skip


def _dangers(report: RingoutReport) -> Caution | None:
    """What forbids to power a car up as it would be, before anything else is said."""
    if not report.dangers:
        return None
    worst = min(one.severity for one in report.dangers)
    texts = [finding_words(one) for one in report.dangers[:MOST_DANGERS]]
    more = len(report.dangers) - MOST_DANGERS
    rest = [f"and {more} more: compare --swap lists them all"] if more > 0 else []
    after = "The readings below are what this car's wires give if nothing is mended: they do not make it safe."
    return Caution((BUILT_SENTENCE[worst], *texts, *rest, after), urgent=True)


def _report(report: RingoutReport, blocks: tuple[AnyBlock, ...], inputs: Mapping[str, Any]) -> Report:
    vehicle = report.ringout.looms.study.vehicle
    about = (("Ring out", vehicle.name), ("inputs", report.digest))
    return Report(f"Ring out: {vehicle.name}", about, blocks, inputs)


def _unplug(report: RingoutReport) -> Section | None:
    by_sort = {sort: [one for one in report.unplug if one.sort == sort] for sort in SORTS}
    rows = tuple(
        (f"{sort} ({len(parts)})", f"{parts[0].do}: {'; '.join(map(_part_words, parts))}")
        for sort, parts in by_sort.items()
        if parts
    )
    shared = tuple(f"{one.name}: {one.caution}" for one in report.unplug if one.caution)
    none = "The file names no part: unplug whatever the looms' plugs go into, the battery first."
    return section(
        "Unplug first",
        BriefOrFull((Facts(rows),), (_unplug_table(report.unplug),)) if rows else Paragraph(none),
        passage(Listing(shared), head="Restraint or high-voltage wiring is in one of their plugs too:")
        if shared
        else None,
        passage(Paragraph("A part left in is read through: a lamp reads 0.5 to 2 ohm, and that is no short.")),
    )


def _unplug_table(parts: Sequence[Unplugging]) -> Table:
    """Part by part, where it is and which plugs it has; what is to be done or left stands in every row."""
    groups = tuple(
        RowGroup(
            sort,
            tuple(
                (_part_words(one), one.place, " ".join(one.plugs), "; ".join(filter(None, (one.do, one.caution))))
                for one in some
            ),
        )
        for sort, some in groupby(parts, key=lambda one: one.sort)
    )
    return Table("Unplug first", heads("part", "place", "plugs", "do"), groups)


def _part_words(one: Unplugging) -> str:
    """Name, id, and what a part would read that could be taken for a wire."""
    reads = ohms_words(one.reads_ohm) if one.reads_ohm is not None and one.sort in (LOW, STAYS) else ""
    words = ", ".join(filter(None, (one.component if one.component != one.name else "", reads)))
    return f"{one.name} ({words})" if words else one.name


def _measure(ringout: Ringout) -> Section | None:
    if not ringout.measurements:
        nothing = "Nothing yet: the file says of no wire where both of its ends are (to = ...)."
        return section("Measure", Paragraph(nothing))
    return section("Measure", Listing(tuple(_plan_words(ringout))))


def _plan_words(ringout: Ringout) -> Iterator[str]:
    joints = ringout.continuity
    yield f"{len(joints)} readings of joints (one fewer than a net has ends): {GOOD_OHM:g} ohm or less."
    if more := sum(one.limit_ohm > GOOD_OHM for one in joints):
        assumed = sorted({one.why for one in joints if one.why})
        rest = f" It rests on: {'; '.join(assumed)}." if assumed else ""
        yield f"{more} of them over long or thin wires may read more; the sheet says how much.{rest}"
    yield f"{_apart_words(ringout)}. Apart is over 1 Mohm."
    likely = sum(one.likely for one in ringout.measurements)
    if likely:
        yield f"{likely} expectations are likely only: the file does not say for certain what is joined."
    if ringout.plan != PAIRS:
        yield "Tie leads go on with both battery clamps off; count them on and off again."
    places = Counter(one.place for one in ringout.measurements)
    yield f"One walk, {len(places)} places, meter on its lowest range, leads held together first."


def _apart_words(ringout: Ringout) -> str:
    nets, apart = len(ringout.tested), len(ringout.isolation)
    if ringout.plan == GROUPS:
        return f"{apart} tests with tie leads show {nets} nets apart (each test splits them by one binary digit)"
    if ringout.plan == REST:
        return f"{apart} tests, each net against all others tied together"
    words = f"{apart} readings between pairs of nets show these apart, of {ringout.pairs_in_all} pairs in all"
    if ringout.pairs_proven < ringout.pairs_in_all:
        words += f". With a kit of tie leads {group_tests(nets)} tests would show every pair (--with-tie-leads)"
    return words


def _readings(ringout: Ringout) -> Section | None:
    """Every reading in the order of the walk, place by place."""
    groups = tuple(
        RowGroup(place, tuple(map(_reading, some)))
        for place, some in groupby(ringout.measurements, key=lambda one: one.place)
    )
    columns = heads("#line", "from", "to", "expect")
    return section("Line by line", Table("Readings", columns, groups)) if groups else None


def _reading(one: Measurement) -> tuple[str, ...]:
    return str(one.number), one.from_, one.to, one.expect + (" (likely)" if one.likely else "")


def _open(report: RingoutReport) -> Section | None:
    """What stays unproven: what is left out by name, what is many by number."""
    sorts: dict[tuple[str, str], list[str]] = {}
    for one in report.open:
        why = "pairs of nets without a line of their own" if one.sort == NOT_MEASURED else one.why
        sorts.setdefault((one.sort, why), []).append(one.what)
    items = tuple(
        f"{sort} ({len(some)}), {why}: {shortened(some, _NAMES_SHOWN)}" for (sort, why), some in sorts.items()
    )
    return section("Not proven by all this", Listing(items)) if items else None


def _after(report: RingoutReport) -> Section | None:
    return section("After the ohms", Listing(tuple(_after_words(report))))


def _after_words(report: RingoutReport) -> Iterator[str]:
    yield (
        f"A good reading does not prove a feed under load: {len(report.feeds)} feeds are loaded with a 21 W lamp and "
        "the drop is read (feeds under load)."
    )
    for bus in report.buses:
        expect, note = bus_words(bus)
        where = f" at {bus.at}, {bus.place}" if bus.at else ""
        yield f"Data bus{where}: {expect}, battery off; {note}."
    if report.power_up.too_large:
        yield f"First power-up: {report.power_up.too_large}. The order stands in the README's safety chapter."
        return
    steps = list(dict.fromkeys(one.step for one in report.checks))
    yield f"First power-up, in this order ({len(report.checks)} lines): {', '.join(steps)}."
    assumed = report.behaviour.circuit.assumptions
    if assumed:
        yield f"Volts, amperes and drops rest on: {'; '.join(assumed)}."


# -- results


def results_report(report: RingoutReport, inputs: Mapping[str, Any]) -> Report:
    """What the readings say: what is wrong and what explains it, what is still blank, what to measure next."""
    judged = [one for one in report.judged if one.verdict]
    counts = Counter(one.verdict for one in judged)
    words = ", ".join(f"{number} {word}" for word, number in sorted(counts.items(), key=lambda item: -item[1]))
    older = (
        f"The sheet was made from other files; {report.passed_over} of its lines fit no measurement any more and are "
        "passed over."
    )
    blocks = present(
        stop_block(report.ringout.looms.study),
        passage(
            Paragraph(older) if report.older else None,
            Paragraph(f"{len(judged)} of {len(report.judged)} lines measured: {words or 'none'}."),
        ),
        *(_told(number, one) for number, one in enumerate(report.told, start=1)),
        _found(report),
        passage(*paragraphs(_verdict_words(report))),
        Caution((CAUTION,)),
    )
    return _report(report, blocks, inputs)


def _found(report: RingoutReport) -> Passage | None:
    """What the swap sheet says was found, where a wrong reading may come of it."""
    named = {place for one in report.told for cause in one.causes for place in cause.places}
    met = [found.words for found in report.as_found if found.ends & named]
    return (
        passage(Paragraph(f"The swap sheet says of these places: {'; '.join(met)}. Look there first.")) if met else None
    )


def _told(number: int, one: ToldReadings) -> Section | None:
    """Lines that are wrong together: what was read, what explains it, what to measure next."""
    joints = [str(judged.measurement.number) for judged in one.wrong]
    lines = ", ".join(joints) if len(joints) <= _NAMES_SHOWN else shortened(joints, _NAMES_SHOWN)
    rows = tuple(
        (f"{row.number}  {row.from_} - {row.to}", f"read {judged.reading}, expected {row.expect}: {judged.verdict}")
        for judged in one.wrong
        for row in (judged.measurement,)
    )
    causes = one.choices or ((one.causes,) if one.causes else ())
    none = "No three faults explain these together: measure them again, one at a time."
    cut = "The search was cut short: there may be other explanations as simple."
    return section(
        f"{number}. line{'s' if len(joints) > 1 else ''} {lines}",
        Facts(rows),
        *(block for some in causes for block in _causes(some)),
        Paragraph(none) if not causes else None,
        Paragraph(cut) if not one.exhaustive else None,
        *(_next(step) for step in one.next),
        id=f"wrong-{number}",
    )


def _causes(causes: Sequence[Cause]) -> Iterator[AnyBlock]:
    head = "Explained by:" if len(causes) == 1 else f"One of these {len(causes)}, the likeliest first:"
    items = tuple(" AND ".join(cause.faults) for cause in causes)
    yield Listing(items, head, most=_RIVALS_SHOWN, where="(--json lists them)")
    yield Paragraph(f"Do: {causes[0].do}")


def _next(step: NextStep) -> Passage | None:
    line = f"line {step.number}, " if step.number else ""
    rows = tuple(
        (word, "; or ".join(left[:3]) + (f"; or {len(left) - 3} more" if len(left) > 3 else ""))
        for word, left in step.results
    )
    return passage(Facts(rows), head=f"Measure next: {line}{step.from_} - {step.to} ({step.place})")


def _verdict_words(report: RingoutReport) -> Iterator[str]:
    blank = [str(one.measurement.number) for one in report.judged if not one.verdict]
    wrong = failing(report.judged)
    if blank:
        yield f"Not measured, so not proven: {len(blank)} lines ({shortened(blank, _NAMES_SHOWN)})."
    if not wrong and not blank:
        yield "Every reading is good."
        if report.ringout.plan == PAIRS:
            proven, pairs = report.ringout.pairs_proven, report.ringout.pairs_in_all
            yield f"Shown apart: {proven} of {pairs} pairs of nets. The others were not measured."
    elif not wrong and (good := sum(one.verdict == GOOD for one in report.judged)):
        yield f"All {good} readings that were taken are good."
    yield "What no reading proves stands in the sheet 'not proven'. Feeds are proven under load only."
