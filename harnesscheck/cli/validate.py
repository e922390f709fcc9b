"""``harnesscheck validate``."""

from __future__ import annotations

import click

from harnesscheck.cli.shared import (
    digest,
    fail_on_option,
    leave,
    limit_options,
    limits_of,
    netlists_and_remarks,
    say,
    write_out,
    write_report,
)


@click.command("validate")
@click.argument("vehicle", type=click.Path())
@click.option("--json", "json_file", metavar="FILE", help="Write the report as JSON; - is standard output.")
@click.option("-o", "--out", metavar="DIR", help="Write the report as a page into a folder.")
@fail_on_option
@limit_options
def command(
    vehicle: str,
    json_file: str | None,
    out: str | None,
    fail_on: str | None,
    max_mb: int | None,
    max_depth: int | None,
    max_rows: int | None,
) -> None:
    """Check the netlist VEHICLE.

    Broken rules of the format are printed all at once, with their places. A
    sound file is then looked through for wiring that makes no sense. What a
    column and every function was taken for, and what could not be read for
    certain, is said too.
    """
    from harnesscheck.compare.doubtful import doubts
    from harnesscheck.compare.understood import functions_read
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.read import configure
    from harnesscheck.report.blocks.terminal import terminal_text
    from harnesscheck.report.document import envelope, input_document, json_text
    from harnesscheck.report.how_read import how_read_document
    from harnesscheck.report.understood import understood_document
    from harnesscheck.report.validate import validation_report

    ((netlist, how),) = netlists_and_remarks([vehicle], limits_of(max_mb, max_depth, max_rows))
    study = Study(configure(netlist))
    found, functions = doubts(study), functions_read(study)
    inputs = {"donor": input_document(study.vehicle, digest(vehicle))}
    if json_file is not None:
        document = envelope("validate", inputs, {"donor": study}, findings=found)
        document |= {"reading": how_read_document(how), "functions": understood_document(functions)}
        write_out(json_file, json_text(document), [vehicle])
    report = validation_report(study, found, inputs, how, functions)
    if out is not None:
        write_report(out, report, {}, [vehicle], tell=json_file != "-")
    if json_file != "-":
        say(terminal_text(report), end="")
    leave(found, fail_on)
