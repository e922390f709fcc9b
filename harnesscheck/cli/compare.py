"""``harnesscheck compare``."""

from __future__ import annotations

import click

from harnesscheck.api.compare import compare
from harnesscheck.cli.asked import Asked, reports
from harnesscheck.cli.progress import progress
from harnesscheck.cli.shared import cars_and_sheet


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
    given, sheet = cars_and_sheet(cars, swap)
    if crosswalk is not None and (sheet is not None or len(given) == 1):
        raise click.UsageError("--crosswalk or --swap, not both: a swap sheet has its own [crosswalk]")
    with progress("compare") as told:
        found = compare(
            *given, swap=sheet, crosswalk=crosswalk, since=older, notes=notes, reading=asked.reading, told=told
        )
    asked.answer(found, page_only=True)
