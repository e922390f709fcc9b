"""``harnesscheck loads``."""

from __future__ import annotations

import click

from harnesscheck.api.loads import loads
from harnesscheck.cli.asked import Asked, reports


@click.command("loads")
@click.argument("vehicle", type=click.Path(), metavar="VEHICLE|SWAP.toml")
@click.option("--what-if", "changes", multiple=True, metavar="ROW.FIELD=VALUE", help="Try a value: fuel-pump.amps=16.")
@click.option("--replace", "parts", multiple=True, metavar="PART=FILE", help="Try a part's data from another file.")
@reports("Write the report as a page, all its rows as CSV.", fails=True)
def command(
    vehicle: str,
    changes: tuple[str, ...],
    parts: tuple[str, ...],
    asked: Asked,
) -> None:
    """Hold what VEHICLE's wires and fuses carry against what they may.

    Wires against their currents, fuses against their wires and loads, volts lost
    on the way to every load. With --what-if or --replace: whether the car can
    take it, and the smallest change that would do. Of a swap sheet, the car that
    it puts together.
    """
    asked.answer(loads(vehicle, what_if=changes, replace=parts, reading=asked.reading))
