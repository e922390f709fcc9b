"""``harnesscheck decide``."""

from __future__ import annotations

import click

from harnesscheck.api.decide import Decision, decide
from harnesscheck.cli.asked import STDOUT, Asked, reports
from harnesscheck.cli.progress import progress
from harnesscheck.cli.shared import cars_and_sheet, refuse_input, say


@click.command("decide")
@click.argument("cars", nargs=-1, type=click.Path(), metavar="DONOR SHELL | SWAP.toml")
@click.option("--swap", metavar="SWAP", help="A swap sheet: what is fixed, found and known of the two cars.")
@click.option("--people", type=click.IntRange(1, 1000), help="How many people work on it; the sheet's [crew] else.")
@click.option(
    "--done", metavar="FILE", help="What bench.html exported: hours that steps took, beside the [done] sheet."
)
@click.option("--write-choice", "choice", metavar="SWAP", help="Write the swap sheet with this choice in it, anew.")
@reports("Write the report as one page, bench.html to work by, lists, the finished car.", "plan", fails=True)
def command(
    cars: tuple[str, ...],
    swap: str | None,
    people: int | None,
    done: str | None,
    choice: str | None,
    asked: Asked,
) -> None:
    """Say of each harness whether to swap it or to keep the shell's own.

    The cheapest choice with its work, hours and lists, applied on paper and judged
    again; others beside it; what would change the answer. Where the files name no
    parts, it chooses nothing and says what would pay most to write down.

    --write-choice writes a new swap sheet that says which harness and part comes
    from which car: compare --swap, ringout, draw, trace, loads, states read it.
    """
    given, sheet = cars_and_sheet(cars, swap)
    with progress("decide") as told:
        found = decide(*given, swap=sheet, people=people, done=done, reading=asked.reading, told=told)
    asked.show(found, also={choice: _chosen(found, choice).encode("utf-8")} if choice is not None else None)
    if choice is not None and asked.json_file != STDOUT:
        say(f"wrote {choice}")
    asked.leave(found.findings)


def _chosen(found: Decision, target: str) -> str:
    """The swap sheet with the choice in it; no file goes over an input."""
    refuse_input(target, found.files)
    return found.sheet_text(target)
