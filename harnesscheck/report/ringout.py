"""Everything about a ring-out: its tables as files, and as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import cached_property
from typing import Any

from harnesscheck.bench.readings.causewords import ToldReadings
from harnesscheck.bench.readings.filled import JudgedReading
from harnesscheck.bench.ringout.measurements import Measurement, Ringout
from harnesscheck.bench.ringout.powerup import Check, PowerUp
from harnesscheck.bench.ringout.ringsheet import (
    HEAD_LINES,
    load_table,
    not_proven_table,
    power_up_table,
    reading_table,
    tie_table,
    unplug_table,
)
from harnesscheck.bench.ringout.underload import BusCheck, FeedCheck, bus_checks, feed_checks
from harnesscheck.bench.ringout.unplugging import (
    Unplugging,
    Unproven,
    not_proven,
    unplug_list,
)
from harnesscheck.compare.coverage import NEVER_JUDGED
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.report.built import FoundNote
from harnesscheck.report.document import envelope
from harnesscheck.write.spreadsheets import Grid, grid_csv, workbook


@dataclass(frozen=True)
class RingoutReport:
    """Everything about one car's ring-out. ``digest`` is that of its input files."""

    ringout: Ringout
    behaviour: Behaviour
    digest: str
    as_found: tuple[FoundNote, ...] = ()  # cuts, taps and bridges of the swap sheet, to be mended
    judged: tuple[JudgedReading, ...] = ()
    told: tuple[ToldReadings, ...] = ()
    passed_over: int = 0  # lines of an older sheet that fit no measurement
    older: bool = False
    dangers: tuple[Finding, ...] = ()  # what burns or hurts in the car as it would be, worst first

    @cached_property
    def unplug(self) -> tuple[Unplugging, ...]:
        """What to unplug first."""
        return unplug_list(self.ringout.looms, self.behaviour.circuit)

    @cached_property
    def open(self) -> tuple[Unproven, ...]:
        """What stays unproven; first what was found in the cars, which the sheet expects to be mended."""
        why = "the swap sheet says so: mend it first; the readings are those of sound wires"
        never = (Unproven("not judged", text, "no reading of this list tells") for text in NEVER_JUDGED)
        return (*(Unproven("as found", one.words, why) for one in self.as_found), *not_proven(self.ringout), *never)

    @cached_property
    def power_up(self) -> PowerUp:
        """The first power-up."""
        texts = [finding_words(one) for one in self.dangers]
        return PowerUp(self.ringout.looms.study, self.ringout.looms, self.behaviour, texts)

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


def finding_words(one: Finding) -> str:
    """A danger in one line: where, which kind, what happens."""
    place = one.donor if one.donor.connector else one.shell
    where = f"{place} " if place.connector else ""
    return f"{where}{one.kind}: {one.text}"


# -- files


def ringout_tables(report: RingoutReport) -> dict[str, Grid]:
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
    files = {_file_name(name): grid_csv(table).encode("utf-8") for name, table in tables.items()}
    return {**files, "ringout.xlsx": workbook(tables, {"ring-out": HEAD_LINES})}


def _file_name(table: str) -> str:
    return "ringout.csv" if table == "ring-out" else f"ringout-{table.replace(' ', '-')}.csv"


# -- JSON


def ringout_document(report: RingoutReport, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """The ring-out as a report: ``measurements`` with from, to and expect; readings and explanations where given."""
    ringout = report.ringout
    document = envelope("ringout", inputs, {"donor": ringout.looms.study}, findings=report.dangers)
    reading = {one.measurement.number: one for one in report.judged}
    document.update(
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
