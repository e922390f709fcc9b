"""``harnesscheck convert``."""

from __future__ import annotations

from pathlib import Path

import click

from harnesscheck.cli.shared import limit_options, limits_of, netlists, refuse_input, say, stop_for


@click.command("convert")
@click.argument("source", type=click.Path())
@click.argument("target", type=click.Path())
@limit_options
def command(source: str, target: str, max_mb: int | None, max_depth: int | None, max_rows: int | None) -> None:
    """Write the netlist SOURCE as TARGET.

    A TARGET that ends in .xml is written as XML, any other as a folder of CSV
    tables. Nothing is lost either way; the source is never overwritten.
    """
    from harnesscheck.write.tables import write_tables
    from harnesscheck.write.xml import write_xml

    (netlist,) = netlists([source], limits_of(max_mb, max_depth, max_rows))
    refuse_input(target, [source])
    write = write_xml if target.lower().endswith(".xml") else write_tables
    try:
        write(netlist, Path(target))
    except OSError as error:
        stop_for(target, error.strerror or str(error), "a place that can be written")
    say(f"wrote {target}")
