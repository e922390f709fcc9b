"""``harnesscheck crosswalk``."""

from __future__ import annotations

import click

from harnesscheck.api.cars import studies
from harnesscheck.api.reading import Reading
from harnesscheck.api.swapped import said_of
from harnesscheck.cli.asked import reads
from harnesscheck.cli.shared import say, write_out


@click.command("crosswalk")
@click.argument("donor", type=click.Path())
@click.argument("shell", type=click.Path())
@click.option("-o", "--out", "target", default="-", metavar="FILE", help="Write it to a file; - is standard output.")
@click.option("--crosswalk", metavar="FILE", help="What is known for certain already; it is kept.")
@reads
def command(
    donor: str,
    shell: str,
    target: str,
    crosswalk: str | None,
    reading: Reading,
) -> None:
    """Propose which plug, part and circuit of DONOR is which of SHELL.

    The proposal is a swap sheet's [crosswalk]: correct it and hand it to the
    other commands with --crosswalk.
    """
    from harnesscheck.align.check import align_checked
    from harnesscheck.report.crosswalk import crosswalk_text
    from harnesscheck.report.pairing import contradiction_text

    ours, theirs = studies([donor, shell], reading)
    said, _ = said_of(crosswalk, ours.vehicle, theirs.vehicle)
    pairs = align_checked(ours, theirs, said)
    text = crosswalk_text(ours.vehicle, theirs.vehicle, pairs)
    write_out(target, text, [path for path in (donor, shell, crosswalk) if path is not None])
    if target != "-":
        say(f"wrote {target}")
    for one in pairs.against:
        say(f"speaks against your crosswalk: {contradiction_text(one)}", err=True)
