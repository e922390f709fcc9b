"""``harnesscheck ringout``."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from harnesscheck.api.cars import given_car
from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.swapped import built_of
from harnesscheck.cli.asked import Asked, reports

if TYPE_CHECKING:
    from harnesscheck.api.reading import Reading
    from harnesscheck.bench.readings.filled import FilledSheet
    from harnesscheck.compare.finding.findings import Finding
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.report.built import FoundNote
    from harnesscheck.report.ringout import RingoutReport


@dataclass(frozen=True)
class RingoutCar:
    """The car to ring out, the files it came from, what JSON says of them."""

    vehicle: Vehicle
    paths: tuple[str, ...]
    digests: tuple[str, ...]  # of what was read of each
    inputs: Mapping[str, Any]
    as_found: tuple[FoundNote, ...] = ()  # what the swap sheet says was cut, tapped, bridged
    dangers: tuple[Finding, ...] = ()  # what burns or hurts in it once it is put together

    @property
    def digest(self) -> str:
        """One digest of all its files."""
        if len(self.digests) == 1:
            return self.digests[0]
        return hashlib.sha256(" ".join(self.digests).encode()).hexdigest()[:12]


@click.command("ringout")
@click.argument("vehicle", type=click.Path(), metavar="VEHICLE|SWAP.toml")
@click.option("--with-tie-leads", is_flag=True, help="There is a kit of tie leads: tests of two groups tied together.")
@click.option("--each-against-rest", is_flag=True, help="With a kit: more tests, but a bad one names the net.")
@click.option("--results", metavar="FILE", help="The filled-in sheet (CSV or workbook): what is wrong and why.")
@click.option("--accept-older", is_flag=True, help="With --results: take a sheet made from other files.")
@reports("Write the report as a page, and the sheets to fill in.")
def command(
    vehicle: str,
    with_tie_leads: bool,
    each_against_rest: bool,
    results: str | None,
    accept_older: bool,
    asked: Asked,
) -> None:
    """Prove with a meter that the wiring is what the file says.

    What to unplug first, what to measure in one walk through the car, what stays
    unproven, feeds under load, the first power-up. Of a swap sheet, the car that
    it puts together. With --results, a filled-in sheet is read back and explained.

    Why so many readings: that a net of k ends is one takes k - 1 readings; that n
    nets are apart takes a reading for every two of them, or with a kit of tie leads
    as few as log2 n, two groups tied together each time. Without ties only the
    pairs measured are proven, and the sheet says which are not. All is unplugged
    first: a lamp left in reads 0.5 to 2 ohm. A good reading of ohms does not prove
    a feed under load: feeds are loaded with a lamp, and the drop is read.
    """
    from harnesscheck.bench.ringout.measurements import GROUPS, PAIRS, REST
    from harnesscheck.report.checklists import checklist_files
    from harnesscheck.report.ringout import ringout_document, ringout_folder
    from harnesscheck.report.ringout_blocks import results_report, ringout_report

    car = car_of(vehicle, asked.reading, judged=results is None)
    sheet = _sheet(results, asked.reading) if results is not None else None
    plan = REST if each_against_rest else GROUPS if with_tie_leads else PAIRS
    report = _report(car, plan, sheet, accept_older)
    inputs = [*car.paths, *([results] if results else [])]
    if sheet is not None:
        shown = results_report(report, car.inputs)
    else:
        shown = ringout_report(report, car.inputs, lines=asked.out is None)
    contents = ringout_folder(report) if asked.out is not None else {}
    if asked.out is not None and sheet is None:
        contents |= checklist_files(report.ringout.looms.study)
    asked.hand_out(shown, lambda: ringout_document(report, car.inputs), contents, inputs)


def _sheet(path: str, reading: Reading) -> FilledSheet:
    from harnesscheck.bench.readings.filled import read_sheet

    sheet = read_sheet(path, reading.limits)
    if isinstance(sheet, list):
        stop(sheet)
    return sheet


def _report(car: RingoutCar, plan: str, sheet: FilledSheet | None, accept_older: bool) -> RingoutReport:
    from harnesscheck.bench.readings.causewords import told
    from harnesscheck.bench.readings.filled import matched
    from harnesscheck.bench.readings.loomfaults import Bench
    from harnesscheck.bench.ringout.measurements import ring_out
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.report.ringout import RingoutReport

    study = Study(car.vehicle)
    behaviour = Behaviour(study)
    if sheet is None:
        ringout = ring_out(study, plan, behaviour.circuit)
        return RingoutReport(ringout, behaviour, car.digest, car.as_found, dangers=car.dangers)
    older = sheet.digest != car.digest
    if older and not accept_older:
        expected = f"a sheet made from these files ({car.digest}); --accept-older takes it all the same"
        stop_for(sheet.path, f"inputs {sheet.digest}", expected)
    ringout = ring_out(study, sheet.plan, behaviour.circuit)
    found = matched(ringout, sheet, older=older)
    if isinstance(found, list):
        stop(found)
    judged, passed_over = found
    explained = told(Bench(ringout, behaviour.circuit, judged))
    return RingoutReport(
        ringout, behaviour, car.digest, car.as_found, judged, explained, passed_over, older, car.dangers
    )


def car_of(path: str, reading: Reading, *, judged: bool = False) -> RingoutCar:
    """The car of a netlist, or the one that a swap sheet puts together; leaves with every fault.

    With ``judged`` its dangers are looked for too. Of a swap sheet it is the car as it
    should be once what was found cut or bridged is mended.
    """
    from harnesscheck.compare.doubtful import doubts
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.report.built import found_notes

    given = given_car(path, reading)
    if given.swap is None:
        found = doubts(Study(given.vehicle)) if judged else ()
        return RingoutCar(given.vehicle, given.files, given.digests, given.inputs(), dangers=_dangerous(found))
    files, digests = ((sheet, donor, shell) for donor, shell, sheet in (given.swap.files, given.swap.digests))
    return RingoutCar(
        given.whole,
        files,
        digests,
        given.inputs(),
        tuple(found_notes(given.swap.sheet)),
        _dangerous(built_of(given.swap).findings if judged else ()),
    )


def _dangerous(found: Sequence[Finding]) -> tuple[Finding, ...]:
    """What burns or hurts, worst first."""
    from harnesscheck.compare.finding.kinds import Severity

    return tuple(one for one in found if one.severity <= Severity.DAMAGE and not one.accepted)
