"""The ring-out as text, as JSON and as a folder of sheets."""

from __future__ import annotations

import re
import textwrap
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cached_property
from typing import Any

from harnesscheck.bench.powerup import Check, PowerUp
from harnesscheck.bench.readings.causewords import Cause, NextStep, ToldReadings
from harnesscheck.bench.readings.filled import GOOD, JudgedReading, failing
from harnesscheck.bench.ringout.measurements import GOOD_OHM, GROUPS, PAIRS, REST, Measurement, Ringout, group_tests
from harnesscheck.bench.ringout.ringsheet import (
    Table,
    bus_words,
    load_table,
    not_proven_table,
    ohms_words,
    power_up_table,
    reading_table,
    table_csv,
    tie_table,
    unplug_table,
    workbook,
)
from harnesscheck.bench.ringout.underload import BusCheck, FeedCheck, bus_checks, feed_checks
from harnesscheck.bench.ringout.unplugging import (
    LOW,
    NOT_MEASURED,
    SORTS,
    STAYS,
    Unplugging,
    Unproven,
    not_proven,
    unplug_list,
)
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.report.document import validation_document
from harnesscheck.report.paragraphs import WIDTH, wrapped

CAUTION = (
    "Battery off before the first plug, negative first. Never an ohmmeter on restraint (airbag, belt tensioner) or "
    "high-voltage wiring: maker's procedure, licensed practice. The maker's manual and local rules stand above this."
)
_RIVALS_SHOWN = 4
_NAMES_SHOWN = 12


@dataclass(frozen=True)
class RingoutReport:
    """Everything about one car's ring-out. ``digest`` is that of its input files."""

    ringout: Ringout
    behaviour: Behaviour
    digest: str
    as_found: tuple[str, ...] = ()  # cuts, taps and bridges of the swap sheet, to be mended
    judged: tuple[JudgedReading, ...] = ()
    told: tuple[ToldReadings, ...] = ()
    passed_over: int = 0  # lines of an older sheet that fit no measurement
    older: bool = False

    @cached_property
    def unplug(self) -> tuple[Unplugging, ...]:
        """What to unplug first."""
        return unplug_list(self.ringout.looms, self.behaviour.circuit)

    @cached_property
    def open(self) -> tuple[Unproven, ...]:
        """What stays unproven; first what was found in the cars, which the sheet expects to be mended."""
        why = "the swap sheet says so: mend it first; the readings are those of sound wires"
        return (*(Unproven("as found", what, why) for what in self.as_found), *not_proven(self.ringout))

    @cached_property
    def power_up(self) -> PowerUp:
        """The first power-up."""
        return PowerUp(self.ringout.looms.study, self.ringout.looms, self.behaviour)

    @cached_property
    def checks(self) -> tuple[Check, ...]:
        """Its lines."""
        return self.power_up.checks()

    @cached_property
    def feeds(self) -> tuple[FeedCheck, ...]:
        """The feeds to load with a lamp."""
        return () if self.power_up.too_large else feed_checks(self.ringout.looms, self.behaviour)

    @cached_property
    def buses(self) -> tuple[BusCheck, ...]:
        """The data buses to read across."""
        return bus_checks(self.ringout.looms.study, self.behaviour.circuit)


# -- files


def ringout_tables(report: RingoutReport) -> dict[str, Table]:
    """Every table by the name of its sheet; those with nothing in them are left out."""
    tables = {
        "ring-out": reading_table(report.ringout, report.digest),
        "tie leads": tie_table(report.ringout),
        "unplug first": unplug_table(report.unplug),
        "not proven": not_proven_table(report.open),
        "feeds under load": load_table(report.feeds, report.buses),
        "first power-up": power_up_table(report.checks),
    }
    return {name: table for name, table in tables.items() if table}


def ringout_folder(report: RingoutReport) -> dict[str, bytes]:
    """File contents by name: each table as CSV, all of them as one workbook."""
    tables = ringout_tables(report)
    files = {_file_name(name): table_csv(table).encode("utf-8") for name, table in tables.items()}
    return {**files, "ringout.xlsx": workbook(tables)}


def _file_name(table: str) -> str:
    return "ringout.csv" if table == "ring-out" else f"ringout-{table.replace(' ', '-')}.csv"


# -- JSON


def ringout_document(report: RingoutReport, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """The ring-out as a report: ``measurements`` with from, to and expect; readings and explanations where given."""
    ringout = report.ringout
    document = validation_document(ringout.looms.study.vehicle, (), report.digest)
    reading = {one.measurement.number: one for one in report.judged}
    document.update(
        command="ringout",
        inputs=dict(inputs),
        coverage={
            "nets": len(ringout.tested),
            "pairs": ringout.pairs_in_all,
            "pairs-proven": ringout.pairs_proven,
            "continuity": len(ringout.continuity),
            "isolation": len(ringout.isolation),
        },
        digest=report.digest,
        plan=ringout.plan,
        measurements=[_measurement(ringout, one, reading.get(one.number)) for one in ringout.measurements],
        unplug=[asdict(one) for one in report.unplug],
    )
    document["not-proven"] = [asdict(one) for one in report.open]
    document["feeds-under-load"] = [_rounded(asdict(one)) for one in report.feeds]
    document["buses"] = [asdict(one) for one in report.buses]
    document["power-up"] = [asdict(one) for one in report.checks]
    document["rests-on"] = list(report.behaviour.circuit.assumptions)
    if report.judged:
        document["explanations"] = [_explained(one) for one in report.told]
    return document


def _rounded(row: dict[str, Any]) -> dict[str, Any]:
    return {name: round(value, 6) if isinstance(value, float) else value for name, value in row.items()}


def _measurement(ringout: Ringout, one: Measurement, judged: JudgedReading | None) -> dict[str, Any]:
    row: dict[str, Any] = {
        "number": one.number,
        "sort": one.sort,
        "place": one.place,
        "from": one.from_,
        "to": one.to,
        "expect": one.expect,
        "joined": one.joined,
        "likely": one.likely,
        "note": one.note,
    }
    if one.joined:
        row["limit-ohm"] = one.limit_ohm
    if len(one.a) > 1 or len(one.b) > 1:
        row["from-ends"] = [ringout.looms.names[node] for node in one.a]
        row["to-ends"] = [ringout.looms.names[node] for node in one.b]
    if judged is not None and judged.reading is not None:
        row["read"] = str(judged.reading)
        row["verdict"] = judged.verdict
    return row


def _explained(one: ToldReadings) -> dict[str, Any]:
    return {
        "lines": [judged.measurement.number for judged in one.wrong],
        "exhaustive": one.exhaustive,
        "explanations": [
            {"sort": c.sort, "faults": list(c.faults), "do": c.do, "weight": c.weight} for c in one.causes
        ],
        "next": [
            {
                "from": step.from_,
                "to": step.to,
                "place": step.place,
                "line": step.number or None,
                "results": [{"read": word, "leaves": list(left)} for word, left in step.results],
            }
            for step in one.next
        ],
    }


# -- text


def ringout_text(report: RingoutReport, *, lines: bool) -> str:
    """The list for the bench. ``lines`` prints every reading by place; else the sheets hold them."""
    ringout = report.ringout
    text = [f"Ring out: {ringout.looms.study.vehicle.name}", f"inputs {report.digest}", "", *wrapped(CAUTION), ""]
    text += [*_unplug_lines(report), *_plan_lines(ringout)]
    if lines:
        text += list(_reading_lines(ringout))
    text += [*_open_lines(report), *_after_lines(report)]
    return "\n".join(text) + "\n"


def _head(text: str) -> list[str]:
    return [text, "=" * len(text)]


def _unplug_lines(report: RingoutReport) -> Iterator[str]:
    yield from _head("UNPLUG FIRST")
    by_sort = {sort: [one for one in report.unplug if one.sort == sort] for sort in SORTS}
    for sort, parts in by_sort.items():
        if parts:
            yield from wrapped(f"{sort} ({len(parts)}): {parts[0].do}", "  ")
            yield from wrapped("; ".join(_part_words(one) for one in parts), "    ")
    shared = [f"{one.name}: {one.caution}" for one in report.unplug if one.caution]
    if shared:
        yield ""
        yield from wrapped("Restraint or high-voltage wiring is in one of their plugs too:", "  ")
        for text in shared:
            yield from wrapped(text, "    ")
    if not report.unplug:
        yield from wrapped("The file names no part: unplug whatever the looms' plugs go into, the battery first.", "  ")
    yield ""
    yield from wrapped("A part left in is read through: a lamp reads 0.5 to 2 ohm, and that is no short.", "  ")
    yield ""


def _part_words(one: Unplugging) -> str:
    """Name, id, and what a part would read that could be taken for a wire."""
    reads = ohms_words(one.reads_ohm) if one.reads_ohm is not None and one.sort in (LOW, STAYS) else ""
    words = ", ".join(filter(None, (one.component if one.component != one.name else "", reads)))
    return f"{one.name} ({words})" if words else one.name


def _plan_lines(ringout: Ringout) -> Iterator[str]:
    yield from _head("MEASURE")
    joints, apart = ringout.continuity, ringout.isolation
    if not ringout.measurements:
        yield from wrapped("Nothing yet: the file says of no wire where both of its ends are (to = ...).", "  ")
        yield ""
        return
    more = sum(one.limit_ohm > GOOD_OHM for one in joints)
    yield from wrapped(
        f"{len(joints)} readings of joints (one fewer than a net has ends): {GOOD_OHM:g} ohm or less.", "  "
    )
    if more:
        assumed = sorted({one.why for one in joints if one.why})
        rest = f" It rests on: {'; '.join(assumed)}." if assumed else ""
        yield from wrapped(
            f"{more} of them over long or thin wires may read more; the sheet says how much.{rest}", "  "
        )
    nets = len(ringout.tested)
    if ringout.plan == GROUPS:
        words = f"{len(apart)} tests with tie leads show {nets} nets apart (each test splits them by one binary digit)"
    elif ringout.plan == REST:
        words = f"{len(apart)} tests, each net against all others tied together"
    else:
        words = f"{len(apart)} readings between pairs of nets show these apart, of {ringout.pairs_in_all} pairs in all"
        if ringout.pairs_proven < ringout.pairs_in_all:
            words += f". With a kit of tie leads {group_tests(nets)} tests would show every pair (--with-tie-leads)"
    yield from wrapped(f"{words}. Apart is over 1 Mohm.", "  ")
    likely = sum(one.likely for one in ringout.measurements)
    if likely:
        yield from wrapped(
            f"{likely} expectations are likely only: the file does not say for certain what is joined.", "  "
        )
    if ringout.plan != PAIRS:
        yield from wrapped("Tie leads go on with both battery clamps off; count them on and off again.", "  ")
    places = Counter(one.place for one in ringout.measurements)
    yield from wrapped(f"One walk, {len(places)} places, meter on its lowest range, leads held together first.", "  ")
    yield ""


def _reading_lines(ringout: Ringout) -> Iterator[str]:
    place = None
    for one in ringout.measurements:
        if one.place != place:
            place = one.place
            yield from wrapped(place)
        yield f"  {one.number:>4}  {one.from_} - {one.to}: {one.expect}{'  (likely)' if one.likely else ''}"
    if place is not None:
        yield ""


def _open_lines(report: RingoutReport) -> Iterator[str]:
    """What stays unproven: what is left out by name, what is many by number."""
    yield from _head("NOT PROVEN BY ALL THIS")
    sorts: dict[tuple[str, str], list[str]] = {}
    for one in report.open:
        why = "pairs of nets without a line of their own" if one.sort == NOT_MEASURED else one.why
        sorts.setdefault((one.sort, why), []).append(one.what)
    for (sort, why), some in sorts.items():
        more = f" and {len(some) - _NAMES_SHOWN} more" if len(some) > _NAMES_SHOWN else ""
        yield from wrapped(f"{sort} ({len(some)}), {why}: {', '.join(some[:_NAMES_SHOWN])}{more}", "  ")
    yield ""


def _after_lines(report: RingoutReport) -> Iterator[str]:
    yield from _head("AFTER THE OHMS")
    yield from wrapped(
        f"A good reading does not prove a feed under load: {len(report.feeds)} feeds are loaded with a 21 W lamp and "
        "the drop is read (feeds under load).",
        "  ",
    )
    for bus in report.buses:
        expect, note = bus_words(bus)
        where = f" at {bus.at}, {bus.place}" if bus.at else ""
        yield from wrapped(f"Data bus{where}: {expect}, battery off; {note}.", "  ")
    if report.power_up.too_large:
        yield from wrapped(
            f"First power-up: {report.power_up.too_large}. The order stands in the README's safety chapter."
        )
        return
    steps = list(dict.fromkeys(one.step for one in report.checks))
    yield from wrapped(f"First power-up, in this order ({len(report.checks)} lines): {', '.join(steps)}.", "  ")
    assumed = report.behaviour.circuit.assumptions
    if assumed:
        yield from wrapped(f"Volts, amperes and drops rest on: {'; '.join(assumed)}.", "  ")


# -- results


def results_text(report: RingoutReport) -> str:
    """What the readings say: what is wrong and what explains it, what is still blank, what to measure next."""
    judged = [one for one in report.judged if one.verdict]
    counts = Counter(one.verdict for one in judged)
    text = [f"Ring out: {report.ringout.looms.study.vehicle.name}", f"inputs {report.digest}", ""]
    if report.older:
        text += wrapped(
            f"The sheet was made from other files; {report.passed_over} of its lines fit no measurement any more and "
            "are passed over.",
        )
    words = ", ".join(f"{number} {word}" for word, number in sorted(counts.items(), key=lambda item: -item[1]))
    text += wrapped(f"{len(judged)} of {len(report.judged)} lines measured: {words or 'none'}.")
    text.append("")
    for number, one in enumerate(report.told, start=1):
        text += [*_told_lines(number, one), ""]
    text += [*_found_lines(report), *_verdict_lines(report)]
    return "\n".join(text) + "\n"


def _found_lines(report: RingoutReport) -> Iterator[str]:
    """What the swap sheet says was found, where a wrong reading may come of it."""
    words = " ".join(fault for one in report.told for cause in one.causes for fault in cause.faults)
    met = [found for found in report.as_found if _is_named(found, words)]
    if met:
        yield from wrapped(f"The swap sheet says of these places: {'; '.join(met)}. Look there first.")
        yield ""


def _is_named(found: str, words: str) -> bool:
    """Whether a cavity that something was found at is among some words."""
    cavities = [part for part in found.split() if ":" in part[1:-1]]
    return any(re.search(rf"(?<![\w:.-]){re.escape(one)}(?![\w:])", words) for one in cavities)


def _told_lines(number: int, one: ToldReadings) -> Iterator[str]:
    joints = ", ".join(str(judged.measurement.number) for judged in one.wrong)
    yield from _head(f"{number}. LINE{'S' if len(one.wrong) > 1 else ''} {joints}"[:WIDTH])
    for judged in one.wrong:
        row = judged.measurement
        words = f"{row.number}  {row.from_} - {row.to}: read {judged.reading}, expected {row.expect}: {judged.verdict}"
        yield from textwrap.wrap(words, WIDTH, initial_indent="  ", subsequent_indent="      ")
    if one.choices:
        for some in one.choices:
            yield from _cause_lines(some)
    elif one.causes:
        yield from _cause_lines(one.causes)
    else:
        yield from wrapped("No three faults explain these together: measure them again, one at a time.", "  ")
    if not one.exhaustive:
        yield from wrapped("The search was cut short: there may be other explanations as simple.", "  ")
    for step in one.next:
        yield from _step_lines(step)


def _cause_lines(causes: Sequence[Cause]) -> Iterator[str]:
    head = "Explained by:" if len(causes) == 1 else f"One of these {len(causes)}, the likeliest first:"
    yield from wrapped(head, "  ")
    for cause in causes[:_RIVALS_SHOWN]:
        words = " AND ".join(cause.faults)
        yield from textwrap.wrap(words, WIDTH, initial_indent="  - ", subsequent_indent="    ")
    if len(causes) > _RIVALS_SHOWN:
        yield f"  - and {len(causes) - _RIVALS_SHOWN} more (--json lists them)"
    yield from wrapped(f"Do: {causes[0].do}", "  ")


def _step_lines(step: NextStep) -> Iterator[str]:
    line = f"line {step.number}, " if step.number else ""
    yield from wrapped(f"Measure next: {line}{step.from_} - {step.to} ({step.place})", "  ")
    for word, left in step.results:
        shown = "; or ".join(left[:3]) + (f"; or {len(left) - 3} more" if len(left) > 3 else "")
        yield from textwrap.wrap(f"{word}: {shown}", WIDTH, initial_indent="    ", subsequent_indent="      ")


def _verdict_lines(report: RingoutReport) -> Iterator[str]:
    blank = [one.measurement for one in report.judged if not one.verdict]
    wrong = failing(report.judged)
    if blank:
        first = ", ".join(str(one.number) for one in blank[:_NAMES_SHOWN])
        more = " …" if len(blank) > _NAMES_SHOWN else ""
        yield from wrapped(f"Not measured, so not proven: {len(blank)} lines ({first}{more}).")
    if not wrong and not blank:
        yield "Every reading is good."
        if report.ringout.plan == PAIRS:
            proven, pairs = report.ringout.pairs_proven, report.ringout.pairs_in_all
            yield from wrapped(f"Shown apart: {proven} of {pairs} pairs of nets. The others were not measured.")
    elif not wrong and (good := sum(one.verdict == GOOD for one in report.judged)):
        yield f"All {good} readings that were taken are good."
    yield from wrapped("What no reading proves stands in the sheet 'not proven'. Feeds are proven under load only.")
    yield ""
    yield from wrapped(CAUTION)
