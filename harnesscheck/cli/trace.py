"""``harnesscheck trace``."""

from __future__ import annotations

import click

from harnesscheck.api.trace import trace
from harnesscheck.bench.symptoms import SYMPTOMS
from harnesscheck.cli.asked import Asked, reports
from harnesscheck.fields import KEY_POSITIONS


@click.command("trace")
@click.argument("vehicle", type=click.Path(), metavar="VEHICLE|SWAP.toml")
@click.argument("target")
@click.option(
    "--key", type=click.Choice(KEY_POSITIONS), help="Trace with the key here instead of where the load works."
)
@click.option("--state", metavar="WORDS", help='Key and controls: "run light-switch=side"; running for the engine.')
@click.option("--swap", metavar="SWAP", help="A swap sheet: the car as it was found, and what the other car has.")
@click.option("--symptom", type=click.Choice(SYMPTOMS), help="Say which measurement comes next for this complaint.")
@reports("Write the sheet as page and text, the tree of --symptom as drawings.", "trace")
def command(
    vehicle: str,
    target: str,
    key: str | None,
    state: str | None,
    swap: str | None,
    symptom: str | None,
    asked: Asked,
) -> None:
    """Follow TARGET of VEHICLE up to the feed and down to the ground.

    TARGET is a cavity (C12:4), a part, a part's terminal (fuel-pump.+), a circuit,
    a splice, a ground point, a fuse, or what a wire is for, looks like or where it
    is ("left brake lamp"). Where several things answer to it they are listed. Of a
    swap sheet, the car that it puts together.
    """
    found = trace(vehicle, target, key=key, state=state, swap=swap, symptom=symptom, reading=asked.reading)
    asked.answer(found)
