"""A car's wiring proven with a meter: what to measure, and a filled-in sheet read back and explained."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from os import fspath
from typing import TYPE_CHECKING, Any, ClassVar

from harnesscheck.api.cars import READING, AnyCar, FilePath
from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.given import given_car
from harnesscheck.api.reading import Reading
from harnesscheck.api.result import Folder, Result

if TYPE_CHECKING:
    from harnesscheck.bench.readings.filled import FilledSheet
    from harnesscheck.compare.finding.findings import Finding
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.report.blocks.vocabulary import Report
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


@dataclass(frozen=True, repr=False)
class Ringout(Result):
    """What to measure in one walk through the car, or what filled-in readings mean.

    ``to_frame`` gives a row a measurement.
    """

    ROWS: ClassVar[tuple[str, ...]] = ("measurements",)
    found: RingoutReport
    files: tuple[str, ...]
    inputs: Mapping[str, Any]
    is_read_back: bool = False

    @cached_property
    def report(self) -> Report:
        """The answer as blocks, every measurement in it."""
        return self._report(lines=True)

    def folder(self) -> Folder:
        """The page, the page to work by, the sheets to fill in, the check lists of the car."""
        from harnesscheck.report.benchpage import FILE, bench_page
        from harnesscheck.report.checklists import checklist_files
        from harnesscheck.report.ringout import ringout_folder

        more = {} if self.is_read_back else checklist_files(self.found.ringout.looms.study)
        if not self.is_read_back:
            more[FILE] = bench_page(self.found, self.found.digest)
        return Folder(self._report(lines=False), ringout_folder(self.found) | more)

    def _report(self, *, lines: bool) -> Report:
        from harnesscheck.report.ringout_blocks import results_report, ringout_report

        if self.is_read_back:
            return results_report(self.found, self.inputs)
        return ringout_report(self.found, self.inputs, lines=lines)

    @cached_property
    def _document(self) -> Mapping[str, Any]:
        from harnesscheck.report.ringout import ringout_document

        return ringout_document(self.found, self.inputs)


def ringout(
    car: AnyCar,
    *,
    with_tie_leads: bool = False,
    each_against_rest: bool = False,
    results: FilePath | None = None,
    accept_older: bool = False,
    reading: Reading = READING,
) -> Ringout:
    """Say what proves with a meter that a car's wiring is what the file says; of a swap sheet the car it makes.

    ``with_tie_leads`` plans for a kit of leads that tie nets together, ``each_against_rest`` for one net against all
    others. ``results`` is a filled-in sheet (ohms), which is explained; ``accept_older`` takes one made from other
    files. Raises InputError with every fault.

    >>> found = ringout("harness_demo/swap.toml", results="harness_demo/ringout-filled.csv")
    >>> found.is_read_back, len(found.found.told) > 0
    (True, True)
    """
    from harnesscheck.bench.ringout.measurements import GROUPS, PAIRS, REST

    given = car_of(car, reading, judged=results is None)
    sheet = _sheet(fspath(results), reading) if results is not None else None
    plan = REST if each_against_rest else GROUPS if with_tie_leads else PAIRS
    files = (*given.paths, *([fspath(results)] if results is not None else []))
    return Ringout(_report(given, plan, sheet, accept_older), files, given.inputs, sheet is not None)


def _sheet(path: str, reading: Reading) -> FilledSheet:
    from harnesscheck.bench.readings.filled import read_sheet

    sheet = read_sheet(path, reading.limits)
    if isinstance(sheet, list):
        stop(sheet)
    return sheet


def rung_out(car: RingoutCar) -> RingoutReport:
    """What there is to measure in a car, without any readings yet."""
    from harnesscheck.bench.ringout.measurements import PAIRS

    return _report(car, PAIRS, None, accept_older=False)


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


def car_of(car: AnyCar, reading: Reading, *, judged: bool = False) -> RingoutCar:
    """The car of a netlist, or the one that a swap sheet puts together; raises InputError with every fault.

    With ``judged`` its dangers are looked for too. Of a swap sheet it is the car as it
    should be once what was found cut or bridged is mended.
    """
    from harnesscheck.api.swapped import built_of
    from harnesscheck.compare.doubtful import doubts
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.report.built import found_notes

    given = given_car(car, reading)
    if given.swap is None:
        found = doubts(Study(given.vehicle)) if judged else ()
        return RingoutCar(given.vehicle, given.files, given.digests, given.inputs, dangers=dangerous(found))
    files, digests = ((sheet, donor, shell) for donor, shell, sheet in (given.swap.files, given.swap.digests))
    return RingoutCar(
        given.whole,
        files,
        digests,
        given.inputs,
        tuple(found_notes(given.swap.sheet)),
        dangerous(built_of(given.swap).findings if judged else ()),
    )


def dangerous(found: Sequence[Finding]) -> tuple[Finding, ...]:
    """What burns or hurts, worst first."""
    from harnesscheck.compare.finding.kinds import Severity

    return tuple(one for one in found if one.severity <= Severity.DAMAGE and not one.accepted)
