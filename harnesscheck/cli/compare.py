"""``harnesscheck compare``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import click

from harnesscheck.api.cars import studies
from harnesscheck.api.faults import stop
from harnesscheck.api.swapped import built_of, said_of, swap_at
from harnesscheck.cli.asked import Asked, reports
from harnesscheck.cli.progress import progress
from harnesscheck.cli.shared import cars_and_sheet
from harnesscheck.model.places import InputFault

if TYPE_CHECKING:
    from harnesscheck.api.reading import Reading
    from harnesscheck.compare.compare import Comparison


@click.command("compare")
@click.argument("cars", nargs=-1, type=click.Path(), metavar="DONOR SHELL | SWAP.toml")
@click.option("--crosswalk", metavar="FILE", help="A swap sheet, or a file with its [crosswalk] and [accepted].")
@click.option("--swap", metavar="SWAP", help="A swap sheet: judge the car that it puts together, and no other plugs.")
@click.option("--since", "older", metavar="FILE", help="An older JSON report: say what is new, gone, unchanged.")
@click.option("--notes", is_flag=True, help="Print every note in full.")
@reports("Write the report as a page with its drawings into a folder.", fails=True)
def command(
    cars: tuple[str, ...],
    crosswalk: str | None,
    swap: str | None,
    older: str | None,
    notes: bool,
    asked: Asked,
) -> None:
    """Hold DONOR against SHELL, worst first.

    Each is a netlist of a whole car, or of one plug: an XML file, a folder of
    tables, a workbook or one CSV file. With --swap, or a swap sheet alone, the
    donor is held against the car that the sheet puts together: only what will be
    plugged together is judged. The sheet names both cars; DONOR SHELL given as
    well stand in for those.
    """
    from harnesscheck.report.comparison import comparison_report
    from harnesscheck.report.document import comparison_document, comparison_inputs
    from harnesscheck.report.since import read_report, since

    pair, swap = cars_and_sheet(cars, swap)
    if swap is not None and crosswalk is not None:
        raise click.UsageError("--crosswalk or --swap, not both: a swap sheet has its own [crosswalk]")
    before = read_report(older) if older is not None else None
    result, files = _built(swap, pair, asked.reading) if swap is not None else _held(pair, crosswalk, asked.reading)
    if isinstance(before, InputFault):
        stop([before])
    inputs = [*files, *(path for path in (crosswalk, older) if path is not None)]
    changes = since(result.findings, before) if before is not None else None
    shown = comparison_inputs(result)
    contents: Mapping[str, bytes] = {}
    warnings: Sequence[str] = ()
    if asked.out is not None:
        from harnesscheck.report.folder import comparison_folder  # draws: not imported for a text

        report, contents, warnings = comparison_folder(result, shown, notes=notes, since=changes)
    else:
        report = comparison_report(result, shown, notes=notes, since=changes)

    def document() -> Mapping[str, Any]:
        """The JSON body, made only where it is asked for."""
        return comparison_document(result, changes)

    asked.hand_out(report, document, contents, inputs, warnings=warnings, page_only=True)
    asked.leave(result.findings)


def _held(cars: tuple[str, ...], crosswalk: str | None, reading: Reading) -> tuple[Comparison, tuple[str, ...]]:
    """Two cars as they are, every plug both ways round; and their files."""
    from harnesscheck.align.check import align_checked
    from harnesscheck.compare.joined import compare_joined

    ours, theirs = studies(cars, reading)
    said, sheet = said_of(crosswalk, ours.vehicle, theirs.vehicle)
    pairs = align_checked(ours, theirs, said)
    accepted, dead = (sheet.accepted, sheet.dead_before) if sheet is not None else ({}, ())
    with progress("compare") as told:
        return compare_joined(ours, theirs, pairs, accepted, dead, told), cars


def _built(path: str, cars: tuple[str, ...], reading: Reading) -> tuple[Comparison, tuple[str, ...]]:
    """The donor against the car that a swap sheet puts together; and the files of both, and the sheet."""
    swap = swap_at(path, reading, cars)
    return built_of(swap), swap.files
