"""``harnesscheck identify``."""

from __future__ import annotations

import click

from harnesscheck.api.identify import identify
from harnesscheck.api.seenwires import MOST_WIRES
from harnesscheck.cli.asked import Asked, reports


@click.command("identify")
@click.argument("vehicles", nargs=-1, required=True, metavar="VEHICLE...", type=click.Path())
@click.option("--cavities", type=click.IntRange(1, MOST_WIRES), help="How many cavities its housing has.")
@click.option(
    "--wires",
    metavar="COLOURS",
    help='The colours of its wires, with commas between: "BK/WH,RD,GN/YE". ? is a wire that cannot be read, '
    "- an empty cavity.",
)
@click.option("--in-order", is_flag=True, help="The wires are those of cavity 1, 2, 3 and so on.")
@click.option("--housing-colour", metavar="COLOUR", help="The colour of its housing.")
@click.option("--half", type=click.Choice(["pins", "sockets"]), help="Whether it holds pins or sockets.")
@click.option("--at", metavar="PLACE", help="Where in the car it lies.")
@reports("Write the report as a page with the face of the likeliest plug.")
def command(
    vehicles: tuple[str, ...],
    cavities: int | None,
    wires: str | None,
    in_order: bool,
    housing_colour: str | None,
    half: str | None,
    at: str | None,
    asked: Asked,
) -> None:
    """Name a loose plug: which plug of the VEHICLES has these cavities and wires?

    Say what you see, in any order; a mistaken colour or a torn wire does no harm.
    """
    found = identify(
        vehicles,
        cavities=cavities,
        wires=wires or "",
        in_order=in_order,
        housing_colour=housing_colour,
        half=half,
        at=at,
        reading=asked.reading,
    )
    asked.answer(found)
