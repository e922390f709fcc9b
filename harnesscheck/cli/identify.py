"""``harnesscheck identify``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from harnesscheck.api.faults import stop
from harnesscheck.api.reading import netlists
from harnesscheck.cli.asked import Asked, reports
from harnesscheck.cli.shared import colour_code
from harnesscheck.fields import COLOUR_CODES
from harnesscheck.model.places import InputFault, Place

if TYPE_CHECKING:
    from harnesscheck.align.identify import ColourNames, PlugQuestion
    from harnesscheck.model.vehicle import Vehicle

UNREADABLE, EMPTY = "?", "-"
MOST_IN_CONTACT = 2  # wires, a double crimp; common practice, no source
MOST_WIRES = 500  # of one plug; more is no plug but a file pasted in


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
    from harnesscheck.align.identify import PlugQuestion, identify
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.read import configure
    from harnesscheck.report.document import input_document
    from harnesscheck.report.identify import BestPlug, identify_document, identify_report

    cars = [configure(netlist) for netlist in netlists(vehicles, asked.reading)]
    seen = _wires(wires or "", colour_code(), cars)
    question = PlugQuestion(
        seen if in_order else tuple(names for names in seen if names != ()),
        cavities,
        _housing(housing_colour, cars),
        at,
        in_order,
        half,
    )
    _count(question)
    answer = identify(cars, question)
    best = BestPlug(answer.candidates[0], Study(cars[answer.candidates[0].number])) if answer.candidates else None
    inputs = {"vehicles": [input_document(car) for car in cars]}
    if asked.out is not None and best is not None:
        best = best.drawn(cars[best.candidate.number].netlist.digest)
    report = identify_report(cars, question, answer, best, inputs)
    drawn = best.files if asked.out is not None and best is not None else {}
    asked.hand_out(report, lambda: identify_document(cars, answer, best, inputs), drawn, vehicles)


def _wires(text: str, code: str | None, cars: Sequence[Vehicle]) -> tuple[ColourNames | None, ...]:
    """Each wire's colour names, None for one that cannot be read, () for an empty cavity.

    Without a style said, the files' own is tried, then what means one thing in every style.
    """
    words = [" ".join(word.split()) for word in re.split("[,;]", text)] if text.strip() else []
    if len(words) > MOST_WIRES:
        stop([InputFault(Place("--wires"), f"{len(words)} wires", f"at most {MOST_WIRES}")])
    own = {car.netlist.header.colour_code for car in cars}
    codes = [code] if code is not None else [*(own if len(own) == 1 else ()), None]
    faults: list[InputFault] = []
    for style in dict.fromkeys(codes):
        read = [_wire(word, number, style) for number, word in enumerate(words, 1)]
        wrong = [one for one in read if isinstance(one, InputFault)]
        if not wrong:
            return tuple(one for one in read if not isinstance(one, InputFault))
        faults = faults or wrong
    return stop(faults)


def _wire(word: str, number: int, code: str | None) -> ColourNames | InputFault | None:
    from harnesscheck.trade.colours import read_colour

    if word == UNREADABLE:
        return None
    if word.casefold() in (EMPTY, "--", "empty"):
        return ()
    place = Place(f"--wires, wire {number}")
    if not word:
        return InputFault(place, word, f"a colour; {UNREADABLE} for one that cannot be read, {EMPTY} for empty")
    colour = read_colour(word, code)
    if isinstance(colour, str):
        return InputFault(place, word, colour + ("; say --colour-code" if "; in the" in colour else ""))
    if colour.names is None:
        return InputFault(
            place, word, f"a colour that means one thing in every style ({_readings(word)}); or --colour-code"
        )
    return colour.names


def _readings(word: str) -> str:
    """``jis: black``: what the styles make of a doubtful code."""
    from harnesscheck.trade.colours import Colour, read_colour

    read = {code: read_colour(word, code) for code in COLOUR_CODES}
    return ", ".join(f"{code}: {'/'.join(c.names)}" for code, c in read.items() if isinstance(c, Colour) and c.names)


def _housing(text: str | None, cars: Sequence[Vehicle]) -> str | None:
    """The colour as the files write it, else as an English word; what is no colour at all is a fault."""
    from harnesscheck.trade.colours import Colour, read_colour

    if not text:
        return None
    known = {
        row.housing_colour.casefold(): row.housing_colour
        for car in cars
        for row in car.netlist.connectors
        if row.housing_colour
    }
    colour = read_colour(text, None)
    english = colour.names[0] if isinstance(colour, Colour) and colour.names else None
    for word in (text, english):
        if word is not None and word.casefold() in known:
            return known[word.casefold()]
    if english is None:
        stop(
            [
                InputFault(
                    Place("--housing-colour"), text, f"a colour; the files have {', '.join(sorted(known)) or 'none'}"
                )
            ]
        )
    return english


def _count(question: PlugQuestion) -> None:
    """Something must be seen. Wires in order cannot be more than cavities; without order two may share each contact."""
    count = len(question.wires)
    if not (count or question.cavities or question.housing_colour or question.at):
        seen = 'what you see of the plug, such as --cavities 6 --wires "BK/WH,RD"'
        stop([InputFault(Place("identify"), "nothing", seen)])
    if question.in_order and not count:
        stop([InputFault(Place("--in-order"), "no wires", "--wires as well, from cavity 1 on")])
    if question.cavities is None:
        return
    if question.in_order and count > question.cavities:
        stop(
            [InputFault(Place("--wires"), f"{count} wires", f"at most {question.cavities}, as many as --cavities says")]
        )
    if count > MOST_IN_CONTACT * question.cavities:
        cavities = "1 cavity" if question.cavities == 1 else f"{question.cavities} cavities"
        most = f"at most {MOST_IN_CONTACT} in a contact: count the cavities again (--cavities), or the wires"
        stop([InputFault(Place("--wires"), f"{count} wires in {cavities}", most)])
