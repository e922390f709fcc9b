"""``harnesscheck ringout``."""

from __future__ import annotations

import click

from harnesscheck.api.ringout import ringout
from harnesscheck.cli.asked import Asked, reports


@click.command("ringout")
@click.argument("vehicle", type=click.Path(), metavar="VEHICLE|SWAP.toml")
@click.option("--with-tie-leads", is_flag=True, help="There is a kit of tie leads: tests of two groups tied together.")
@click.option("--each-against-rest", is_flag=True, help="With a kit: more tests, but a bad one names the net.")
@click.option(
    "--results", metavar="FILE", help="The filled-in sheet (CSV, workbook, JSON of bench.html): what is wrong."
)
@click.option("--accept-older", is_flag=True, help="With --results: take a sheet made from other files.")
@reports("Write the report as a page, bench.html to work by, and the sheets to fill in.")
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
    found = ringout(
        vehicle,
        with_tie_leads=with_tie_leads,
        each_against_rest=each_against_rest,
        results=results,
        accept_older=accept_older,
        reading=asked.reading,
    )
    asked.answer(found)
