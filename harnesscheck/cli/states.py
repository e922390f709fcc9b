"""``harnesscheck states``."""

from __future__ import annotations

import click

from harnesscheck.api.states import states
from harnesscheck.cli.asked import Asked, reports


@click.command("states")
@click.argument("vehicle", type=click.Path(), metavar="VEHICLE|SWAP.toml")
@click.option("--swap", metavar="SWAP", help="A swap sheet: the car as it was found, and the others beside it.")
@click.option("--open", "opened", multiple=True, metavar="PLACE", help="Take out a fuse, ground, plug or contact.")
@reports("Write the report as a page, the tick sheets as CSV.")
def command(
    vehicle: str,
    swap: str | None,
    opened: tuple[str, ...],
    asked: Asked,
) -> None:
    """Say which load of VEHICLE is on in which key position, with which control.

    Of a swap sheet, the car that it puts together; -o then writes the sheets of
    both cars before and of the finished one. With --open G2 or --open F12: what
    goes odd if that ground is rusty or that fuse is out.
    """
    asked.answer(states(vehicle, opened=opened, swap=swap, reading=asked.reading))
