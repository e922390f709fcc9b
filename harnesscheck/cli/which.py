"""``harnesscheck which``."""

from __future__ import annotations

from collections.abc import Sequence

import click

from harnesscheck.api.which import which
from harnesscheck.cli.asked import Asked, reports


@click.command("which")
@click.argument("folder", type=click.Path())
@click.option("--model-year", type=click.IntRange(1900, 2100), help="The model year of the car.")
@click.option(
    "--seen",
    metavar="WIRES",
    multiple=True,
    help='Colours seen in a plug, cavity by cavity: "C12: BK/WH,RD,-,GN"; ? cannot be read, - is empty.',
)
@reports("Write the report as a page.")
def command(folder: str, model_year: int | None, seen: tuple[str, ...], asked: Asked) -> None:
    """Say which of the netlists in FOLDER a car is of.

    Say what you know of it: --model-year, --built, --option it has, --without
    what it has not, --seen. A file is out only where it says otherwise. Of the
    rest it is said which plug to look at, and what each file has there.
    """
    reading = asked.reading
    built = reading.built[0][1] if reading.built else None
    if len(reading.built) > 1:
        raise click.UsageError("one --built: a month, or the first and the last (2013-08..2013-12)")
    found = which(
        folder,
        model_year=model_year,
        built=built,
        options=_names(reading.options),
        without=_names(reading.without),
        seen=seen,
        reading=reading,
    )
    asked.answer(found, page_only=True)


def _names(given: Sequence[tuple[str, str]]) -> list[str]:
    """Names of options with commas or blanks between."""
    return [name for _, text in given for name in text.replace(",", " ").split()]
