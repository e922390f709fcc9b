"""``harnesscheck columns``."""

from __future__ import annotations

import click

from harnesscheck.api.faults import stop_for_unknown
from harnesscheck.cli.shared import say

SWAP_SHEET = "swap-sheet"


@click.command("columns")
@click.argument("tables", nargs=-1, metavar="[TABLE...]")
def command(tables: tuple[str, ...]) -> None:
    """Say what every column of a TABLE asks for, with an example: pins, connectors, components ...

    Without a TABLE all of them are explained. swap-sheet is what a swap sheet
    may say, with the usual hours of work.
    """
    from harnesscheck.fields import ROWS
    from harnesscheck.report.blocks.terminal import terminal_text
    from harnesscheck.report.manual import columns_report, swap_sheet_report

    by_name = {row.table: row for row in ROWS}
    for text in tables:
        if text not in by_name and text != SWAP_SHEET:
            stop_for_unknown("columns", text, "a table", [*by_name, SWAP_SHEET])
    if SWAP_SHEET in tables:
        say(terminal_text(swap_sheet_report()), end="")
        tables = tuple(text for text in tables if text != SWAP_SHEET)
        if not tables:
            return
    say(terminal_text(columns_report([by_name[text] for text in tables] or ROWS)), end="")
