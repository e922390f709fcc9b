"""``harnesscheck draw``."""

from __future__ import annotations

import click

from harnesscheck.api.draw import draw
from harnesscheck.api.reading import Reading
from harnesscheck.cli.asked import reads
from harnesscheck.cli.shared import say, write_files


@click.command("draw")
@click.argument("vehicle", type=click.Path(), metavar="VEHICLE|SWAP.toml")
@click.argument("targets", nargs=-1, required=True)
@click.option("--beside", metavar="SHELL", help="A second car: draw both, with only what differs inked strongly.")
@click.option("--format", "form", type=click.Choice(["svg", "png", "pdf"]), default="svg", help="What to write (svg).")
@click.option("-o", "--out", default=".", metavar="DIR", help="The folder to write to (this one).")
@click.option("--mating", is_flag=True, help="Draw a connector's face from the mating side instead of the wire side.")
@click.option("--crosswalk", metavar="FILE", help="With --beside: a swap sheet's [crosswalk].")
@click.option("--state", metavar="WORDS", help='Volts and amperes in a state: "run light-switch=dipped".')
@reads
def command(
    vehicle: str,
    targets: tuple[str, ...],
    beside: str | None,
    form: str,
    out: str,
    mating: bool,
    crosswalk: str | None,
    state: str | None,
    reading: Reading,
) -> None:
    """Draw TARGETS of VEHICLE for the workbench.

    A target is a connector (its face; with --beside the two faces of the meeting
    place), a circuit or component (its circuit sheet), words of what a circuit is
    for ("left brake lamp"), or the word overview.
    With --state a circuit sheet carries volts and amperes; what is live is
    thick, what is dead thin, a sneak path dashed. Of a swap sheet, the car that it
    puts together.
    """
    drawn = draw(vehicle, *targets, beside=beside, crosswalk=crosswalk, mating=mating, state=state, reading=reading)
    contents = drawn.contents(form)
    write_files(out, contents, drawn.files)
    for name in contents:
        say(f"wrote {out}/{name}")
