"""``harnesscheck columns``."""

from __future__ import annotations

import click

from harnesscheck.cli.shared import say, stop_for_unknown


@click.command("columns")
@click.argument("tables", nargs=-1, metavar="[TABLE...]")
def command(tables: tuple[str, ...]) -> None:
    """Say what every column of a TABLE asks for, with an example: pins, connectors, components ...

    Without a TABLE all of them are explained.
    """
    from harnesscheck.fields import ROWS
    from harnesscheck.report.blocks.terminal import terminal_text
    from harnesscheck.report.manual import columns_report

    by_name = {row.table: row for row in ROWS}
    for text in tables:
        if text not in by_name:
            stop_for_unknown("columns", text, "a table", by_name)
    say(terminal_text(columns_report([by_name[text] for text in tables] or ROWS)), end="")
