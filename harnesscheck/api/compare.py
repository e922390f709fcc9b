"""Two cars held against each other, or the donor against the car that a swap sheet puts together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from os import fspath
from typing import TYPE_CHECKING, Any

from harnesscheck.api.cars import READING, AnyCar, FilePath, file_of, sheet_and_cars, studies
from harnesscheck.api.faults import stop
from harnesscheck.api.reading import Reading
from harnesscheck.api.result import Folder, Result
from harnesscheck.model.places import InputFault
from harnesscheck.model.progress import Told, silent

if TYPE_CHECKING:
    from harnesscheck.align.pairs import Pairs
    from harnesscheck.compare.compare import Comparison as Compared
    from harnesscheck.compare.finding.findings import Finding
    from harnesscheck.report.blocks.vocabulary import Report
    from harnesscheck.report.since import Since
    from harnesscheck.report.verdict import Verdict


@dataclass(frozen=True, repr=False)
class Comparison(Result):
    """What a compare found.

    ``since`` is what is new and gone since an older report; with ``notes`` a text has every note in full.
    """

    compared: Compared
    files: tuple[str, ...]
    since: Since | None = None
    notes: bool = False

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found, worst first."""
        return tuple(self.compared.findings)

    @property
    def pairs(self) -> Pairs:
        """Which row of the donor is which of the shell."""
        return self.compared.pairs

    @cached_property
    def verdict(self) -> Verdict:
        """The answer in one sentence, and the counts behind it."""
        from harnesscheck.report.verdict import verdict_for

        return verdict_for(self.compared)

    @cached_property
    def report(self) -> Report:
        """The answer as blocks, without drawings."""
        from harnesscheck.report.comparison import comparison_report

        return comparison_report(self.compared, self._inputs, notes=self.notes, since=self.since)

    def folder(self) -> Folder:
        """The report with its drawings, the map of fuses, every drawing by itself."""
        from harnesscheck.report.folder import comparison_folder

        return Folder(*comparison_folder(self.compared, self._inputs, notes=self.notes, since=self.since))

    @cached_property
    def _inputs(self) -> Mapping[str, Any]:
        from harnesscheck.report.document import comparison_inputs

        return comparison_inputs(self.compared)

    @cached_property
    def _document(self) -> Mapping[str, Any]:
        from harnesscheck.report.document import comparison_document

        return comparison_document(self.compared, self.since)


def compare(
    donor: AnyCar,
    shell: AnyCar | None = None,
    *,
    swap: FilePath | None = None,
    crosswalk: FilePath | None = None,
    since: FilePath | None = None,
    notes: bool = False,
    reading: Reading = READING,
    told: Told = silent,
) -> Comparison:
    """Hold a donor against a shell, worst first; of a swap sheet the donor against the car that it puts together.

    ``donor`` and ``shell`` are files or cars; a swap sheet alone names both, with ``swap`` they stand in for its own.
    ``crosswalk`` is a file with [crosswalk] and [accepted]; ``since`` an older JSON report. ``told`` is called
    with how far it is. Raises InputError with every fault.

    >>> found = compare("harness_demo/plug-donor.csv", "harness_demo/plug-shell.csv")
    >>> found.verdict.worst.word, found.findings[0].kind
    ('injury', 'feed-to-ground')
    """
    from harnesscheck.report.since import read_report
    from harnesscheck.report.since import since as changes

    cars, sheet = sheet_and_cars(donor, shell, swap)
    before = read_report(fspath(since)) if since is not None else None
    found, files = _built(sheet, cars, reading) if sheet is not None else _held(cars, crosswalk, reading, told)
    if isinstance(before, InputFault):
        stop([before])
    beside = tuple(fspath(path) for path in (crosswalk, since) if path is not None)
    changed = changes(found.findings, before) if before is not None else None
    return Comparison(found, (*files, *beside), changed, notes)


def _held(
    cars: tuple[AnyCar, ...], crosswalk: FilePath | None, reading: Reading, told: Told
) -> tuple[Compared, tuple[str, ...]]:
    """Two cars as they are, every plug both ways round; and their files."""
    from harnesscheck.align.check import align_checked
    from harnesscheck.api.swapped import said_of
    from harnesscheck.compare.joined import compare_joined

    ours, theirs = studies(cars, reading)
    said, sheet = said_of(crosswalk, ours.vehicle, theirs.vehicle)
    pairs = align_checked(ours, theirs, said)
    accepted, dead = (sheet.accepted, sheet.dead_before) if sheet is not None else ({}, ())
    return compare_joined(ours, theirs, pairs, accepted, dead, told), tuple(map(file_of, cars))


def _built(path: str, cars: tuple[AnyCar, ...], reading: Reading) -> tuple[Compared, tuple[str, ...]]:
    """The donor against the car that a swap sheet puts together; and the files of both, and the sheet."""
    from harnesscheck.api.swapped import built_of, swap_at

    swap = swap_at(path, reading, cars)
    return built_of(swap), swap.files
