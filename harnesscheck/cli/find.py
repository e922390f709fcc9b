"""``harnesscheck find``."""

from __future__ import annotations

import click

from harnesscheck.api.cars import studies
from harnesscheck.api.faults import stop_for
from harnesscheck.cli.asked import Asked, reports
from harnesscheck.cli.shared import colour_code


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
    from harnesscheck.lists.wiresearch import read_question, search
    from harnesscheck.report.document import input_document
    from harnesscheck.report.wiresearch import WiresAsked, wires_document, wires_report

    if len(vehicles) > 2:
        stop_for("find", f"{len(vehicles)} cars", "one car or two, then the words in quotation marks")
    cars = studies(vehicles, asked.reading)
    own = {car.vehicle.netlist.header.colour_code for car in cars}
    styles = [colour_code()] if colour_code() is not None else [*sorted(own - {None}, key=str), None]
    terms = read_question(words, styles)
    if not terms:
        stop_for("find", words, 'something to look for, such as "violet/red behind the dash"')
    pairs = None
    if len(cars) == 2:
        from harnesscheck.align import align

        pairs = align(cars[0], cars[1])
    answer = WiresAsked(cars, words, search(cars, terms), pairs)
    inputs = {"vehicles": [input_document(car.vehicle) for car in cars]}
    asked.hand_out(wires_report(answer, inputs), lambda: wires_document(answer, inputs), {}, vehicles, page_only=True)
