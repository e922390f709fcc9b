"""``harnesscheck states``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import click

from harnesscheck.api.cars import ASSEMBLED, GivenCar, given_car
from harnesscheck.api.faults import stop, stop_for
from harnesscheck.cli.asked import Asked, reports
from harnesscheck.model.places import InputFault, Place

if TYPE_CHECKING:
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.report.states import Opened, TickSheet

BEFORE = {"donor": "donor-before", "shell": "shell-before", "assembled": "finished"}


@click.command("states")
@click.argument("vehicle", type=click.Path(), metavar="VEHICLE|SWAP.toml")
@click.option("--swap", metavar="SWAP", help="A swap sheet: the car as it was found, and the others beside it.")
@click.option("--open", "opened", multiple=True, metavar="PLACE", help="Take out a fuse, ground, plug or contact.")
@reports("Write the report as a page, the tick sheets as CSV.")
def command(
    vehicle: str,
    swap: str | None,
    opened: tuple[str, ...],
    asked: Asked,
) -> None:
    """Say which load of VEHICLE is on in which key position, with which control.

    Of a swap sheet, the car that it puts together; -o then writes the sheets of
    both cars before and of the finished one. With --open G2 or --open F12: what
    goes odd if that ground is rusty or that fuse is out.
    """
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.network.volts.solve import TooLargeError
    from harnesscheck.report.blocks.sheets import table_csv
    from harnesscheck.report.states import TickSheet, odd_table, states_document, states_report, ticks_table

    given = given_car(vehicle, asked.reading, swap)
    sheets = {word: TickSheet(Behaviour(Study(car)), word) for word, car in _cars(given).items()}
    sheet = sheets[given.word]
    try:
        for each in sheets.values():
            each.behaviour.conditions  # noqa: B018  worked out here, so that a car too large is one message
    except TooLargeError as why:
        stop_for(vehicle, str(why), "a car small enough to try every state")
    if opened:
        sheet = _with_open(vehicle, sheet, tuple(dict.fromkeys(opened)))
    inputs = given.inputs()
    contents = {}
    if asked.out is not None:
        contents = {f"{BEFORE.get(word, 'states')}.csv": table_csv(ticks_table(each)) for word, each in sheets.items()}
        if sheet.opened is not None:
            contents["odd.csv"] = table_csv(odd_table(sheet.opened))
    asked.hand_out(states_report(sheet, inputs), lambda: states_document(sheet, inputs), contents, given.files)


def _cars(given: GivenCar) -> Mapping[str, Vehicle]:
    """By word the car to tell of, and the others of a swap beside it."""
    if given.swap is None:
        return {given.word: given.vehicle}
    return {**given.swap.found, ASSEMBLED: given.swap.made.vehicle}


def _with_open(path: str, sheet: TickSheet, names: tuple[str, ...]) -> TickSheet:
    """The sheet with what goes odd when something is taken out; a name of nothing is a fault."""
    from harnesscheck.network.behaviour.odd import openable
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.report.states import TickSheet

    known = openable(sheet.behaviour)
    wrong = [name for name in names if name not in known]
    if wrong:
        expected = "--open with a fuse, a part, a ground point, a plug (C12) or a contact (C12:4) of this car"
        stop([InputFault(Place(path), name, expected) for name in wrong])
    taken = Behaviour(sheet.behaviour.study, names)
    return TickSheet(sheet.behaviour, sheet.word, _opened(names, sheet.behaviour, taken))


def _opened(names: tuple[str, ...], sound: Behaviour, taken: Behaviour) -> Opened:
    from harnesscheck.network.behaviour.odd import odd, shaken
    from harnesscheck.report.states import Opened

    return Opened(names, odd(sound, taken), shaken(sound, taken))
