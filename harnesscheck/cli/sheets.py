"""``harnesscheck sheets``."""

from __future__ import annotations

import click

from harnesscheck.api.reading import Reading
from harnesscheck.api.sheets import LABELS, PAPERS, sheets
from harnesscheck.cli.asked import reads
from harnesscheck.cli.progress import progress
from harnesscheck.cli.shared import cars_and_sheet, refuse_input, say, write_files


@click.command("sheets")
@click.argument("cars", nargs=-1, metavar="DONOR SHELL|SWAP.toml")
@click.option("--swap", metavar="SWAP", help="A swap sheet: what is fixed, found and known of the two cars.")
@click.option("-o", "--out", default="job.pdf", metavar="FILE", help="The PDF to write (job.pdf).")
@click.option("--only", metavar="SHEET", multiple=True, help="A sheet to print, by its name; several times for more.")
@click.option("--paper", type=click.Choice(PAPERS), default="a4", help="The paper (a4).")
@click.option("--labels", type=click.Choice(LABELS), help="The size of the labels (those of the paper).")
@click.option("--car", default="", metavar="TEXT", help="What stands at every foot: which car this is.")
@click.option("--date", default="", metavar="TEXT", help="The date at every foot, as you write it.")
@click.option("--people", type=click.IntRange(1, 1000), help="How many people work on it; the sheet's [crew] else.")
@reads
def command(
    cars: tuple[str, ...],
    swap: str | None,
    out: str,
    only: tuple[str, ...],
    paper: str,
    labels: str | None,
    car: str,
    date: str,
    people: int | None,
    reading: Reading,
) -> None:
    """Print the whole job as one PDF, to take under the car.

    The answer on a page or two, then what to work by, with initials and date. The
    choice is the one that decide makes.

    Sheets: cover, left (what is left wrong), overview, meetings (plugs where the
    cars differ), circuits, leads (adapter leads to make), unplug, work (by place),
    pull (save from the leftover car), shopping, ring-out, power-up, fuses,
    colours (wires by colour), labels (to print and cut).
    """
    given, sheet = cars_and_sheet(cars, swap)
    refuse_input(out, [*given, *([sheet] if sheet is not None else [])])
    with progress("sheets") as told:
        made = sheets(
            *given, swap=sheet, only=only, paper=paper, labels=labels, car=car, date=date, people=people,
            reading=reading, told=told,
        )  # fmt: skip
    write_files(None, {}, made.files, also={out: made.pdf})
    say(f"wrote {out}")
