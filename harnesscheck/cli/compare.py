"""``harnesscheck compare``."""

from __future__ import annotations

import click

from harnesscheck.cli.shared import (
    dead_before_of,
    digest,
    fail_on_option,
    leave,
    limit_options,
    limits_of,
    netlists,
    said_of,
    say,
    stop,
    write_files,
    write_out,
)
from harnesscheck.model.places import InputFault


@click.command("compare")
@click.argument("donor", type=click.Path())
@click.argument("shell", type=click.Path())
@click.option("--json", "json_file", metavar="FILE", help="Write the report as JSON; - is standard output.")
@click.option("-o", "--out", metavar="DIR", help="Write the report as a page with its drawings into a folder.")
@click.option("--crosswalk", metavar="FILE", help="A swap sheet, or a file with its [crosswalk] and [accepted].")
@click.option("--since", "older", metavar="FILE", help="An older JSON report: say what is new, gone, unchanged.")
@click.option("--notes", is_flag=True, help="Print every note in full.")
@fail_on_option
@limit_options
def command(
    donor: str,
    shell: str,
    json_file: str | None,
    out: str | None,
    crosswalk: str | None,
    older: str | None,
    notes: bool,
    fail_on: str | None,
    max_mb: int | None,
    max_depth: int | None,
    max_rows: int | None,
) -> None:
    """Hold DONOR against SHELL, worst first.

    Each is a netlist of a whole car, or of one plug: an XML file, a folder of
    tables, a workbook or one CSV file.
    """
    from harnesscheck.align.check import align_checked
    from harnesscheck.compare.compare import compare
    from harnesscheck.network.sides import Study
    from harnesscheck.read import configure
    from harnesscheck.report.document import comparison_document, json_text
    from harnesscheck.report.since import read_report, since
    from harnesscheck.report.text import comparison_text

    inputs = [path for path in (donor, shell, crosswalk, older) if path is not None]
    ours, theirs = (
        Study(configure(netlist)) for netlist in netlists([donor, shell], limits_of(max_mb, max_depth, max_rows))
    )
    said, accepted = said_of(crosswalk, ours.vehicle, theirs.vehicle)
    before = read_report(older) if older is not None else None
    if isinstance(before, InputFault):
        stop([before])
    dead = dead_before_of(crosswalk, ours.vehicle, theirs.vehicle)
    result = compare(ours, theirs, align_checked(ours, theirs, said), accepted, dead_before=dead)
    changes = since(result.findings, before) if before is not None else None
    digests = [digest(donor), digest(shell)] if json_file or out else []
    if json_file is not None:
        write_out(json_file, json_text(comparison_document(result, digests, changes)), inputs)
    if out is not None:
        from harnesscheck.report.folder import comparison_folder

        contents, warnings = comparison_folder(result, digests)
        write_files(out, contents, inputs)
        for warning in warnings:
            say(warning, err=True)
    if json_file != "-":
        if out is not None:
            say(f"wrote {out}/report.html\n")
        say(comparison_text(result, notes=notes, since=changes), end="")
    leave(result.findings, fail_on)
