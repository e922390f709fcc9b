"""``harnesscheck explain``."""

from __future__ import annotations

import click

from harnesscheck.api.faults import stop_for_unknown
from harnesscheck.cli.shared import say
from harnesscheck.fields import dashed


@click.command("explain")
@click.argument("kinds", nargs=-1, metavar="[KIND...]")
def command(kinds: tuple[str, ...]) -> None:
    """Say what a KIND of finding means, what to do and how to check it with a meter.

    Without a KIND all of them are listed, worst first.
    """
    from harnesscheck.compare.finding.kinds import KINDS, Kind
    from harnesscheck.report.blocks.terminal import terminal_text
    from harnesscheck.report.manual import kinds_report

    by_name: dict[str, Kind] = {kind.name: kind for kind in KINDS}
    for text in kinds:
        if dashed(text) not in by_name:
            stop_for_unknown("explain", text, "a kind of finding", by_name)
    say(terminal_text(kinds_report([by_name[dashed(text)] for text in kinds])), end="")
