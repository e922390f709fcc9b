"""``harnesscheck find``."""

from __future__ import annotations

import click

from harnesscheck.api.find import find
from harnesscheck.cli.asked import Asked, reports


@click.command("find")
@click.argument("vehicles", nargs=-1, required=True, metavar="VEHICLE...", type=click.Path())
@click.argument("words", metavar="WORDS")
@reports("Write the report as a page.")
def command(vehicles: tuple[str, ...], words: str, asked: Asked) -> None:
    """Find a wire of one car, or of two, by what you see or know of it.

    WORDS are a colour, a size, a place, a plug, a part, a circuit, or what it
    is for, in any order: "violet/red behind the dash". With two cars it is
    said what the other one has in the same place.
    """
    asked.answer(find(vehicles, words, reading=asked.reading), page_only=True)
