"""``harnesscheck validate``."""

from __future__ import annotations

import click

from harnesscheck.cli.shared import (
    digest,
    fail_on_option,
    leave,
    limit_options,
    limits_of,
    netlists,
    say,
    write_out,
)


@click.command("validate")
@click.argument("vehicle", type=click.Path())
@click.option("--json", "json_file", metavar="FILE", help="Write the report as JSON; - is standard output.")
@fail_on_option
@limit_options
def command(
    vehicle: str,
    json_file: str | None,
    fail_on: str | None,
    max_mb: int | None,
    max_depth: int | None,
    max_rows: int | None,
) -> None:
    """Check the netlist VEHICLE.

    Broken rules of the format are printed all at once, with their places. A
    sound file is then looked through for wiring that makes no sense.
    """
    from harnesscheck.compare.doubtful import doubts
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.read import configure
    from harnesscheck.report.document import json_text, validation_document
    from harnesscheck.report.text import validation_text

    (netlist,) = netlists([vehicle], limits_of(max_mb, max_depth, max_rows))
    study = Study(configure(netlist))
    found = doubts(study)
    if json_file is not None:
        document = validation_document(study.vehicle, found, digest(vehicle))
        write_out(json_file, json_text(document), [vehicle])
    if json_file != "-":
        say(validation_text(study, found), end="")
        if not netlist.pins:
            say("No pin is written yet: there was nothing to look through.")
    leave(found, fail_on)
