"""``harnesscheck states``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from harnesscheck.cli.shared import (
    digest,
    limit_options,
    limits_of,
    netlists,
    say,
    stop,
    stop_for,
    write_out,
    write_report,
)
from harnesscheck.model.places import InputFault, Place

if TYPE_CHECKING:
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.read.limits import Limits
    from harnesscheck.report.states import Opened, TickSheet

BEFORE = {"donor": "donor-before", "shell": "shell-before", "assembled": "finished"}


@dataclass(frozen=True)
class _StatesCars:
    """The car to tell of by its word, the others of a swap beside it, and the files they came from."""

    word: str
    cars: Mapping[str, Vehicle]
    files: tuple[str, ...]
    inputs: dict[str, Any]  # what a JSON report says of the files


@click.command("states")
@click.argument("vehicle", type=click.Path(), metavar="VEHICLE|SWAP.toml")
@click.option("--swap", metavar="SWAP", help="A swap sheet: the car as it was found, and the others beside it.")
@click.option("--open", "opened", multiple=True, metavar="PLACE", help="Take out a fuse, ground, plug or contact.")
@click.option("--json", "json_file", metavar="FILE", help="Write the report as JSON; - is standard output.")
@click.option("-o", "--out", metavar="DIR", help="Write the report as a page, the tick sheets as CSV.")
@limit_options
def command(
    vehicle: str,
    swap: str | None,
    opened: tuple[str, ...],
    json_file: str | None,
    out: str | None,
    max_mb: int | None,
    max_depth: int | None,
    max_rows: int | None,
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
    from harnesscheck.report.blocks.terminal import terminal_text
    from harnesscheck.report.document import json_text
    from harnesscheck.report.states import TickSheet, odd_table, states_document, states_report, ticks_table

    found = _cars(vehicle, swap, limits_of(max_mb, max_depth, max_rows))
    sheets = {word: TickSheet(Behaviour(Study(car)), word) for word, car in found.cars.items()}
    sheet = sheets[found.word]
    try:
        for each in sheets.values():
            each.behaviour.conditions  # noqa: B018  worked out here, so that a car too large is one message
    except TooLargeError as why:
        stop_for(vehicle, str(why), "a car small enough to try every state")
    if opened:
        sheet = _with_open(vehicle, sheet, tuple(dict.fromkeys(opened)))
    if json_file is not None:
        write_out(json_file, json_text(states_document(sheet, found.inputs)), found.files)
    report = states_report(sheet, found.inputs)
    if out is not None:
        contents = {f"{BEFORE.get(word, 'states')}.csv": table_csv(ticks_table(each)) for word, each in sheets.items()}
        if sheet.opened is not None:
            contents["odd.csv"] = table_csv(odd_table(sheet.opened))
        write_report(out, report, contents, found.files, tell=json_file != "-")
    if json_file != "-":
        say(terminal_text(report), end="")


def _cars(path: str, swap: str | None, limits: Limits) -> _StatesCars:
    """The car or cars to work out."""
    from harnesscheck.cli.swapped import is_sheet, swap_at, which_car
    from harnesscheck.read import configure
    from harnesscheck.report.document import input_document

    if swap is not None and is_sheet(path):
        stop_for(path, f"{path} and --swap {swap}", "a netlist before --swap, or a swap sheet alone")
    if swap is None and not is_sheet(path):
        (netlist,) = netlists([path], limits)
        car = configure(netlist)
        return _StatesCars("vehicle", {"vehicle": car}, (path,), {"donor": input_document(car, digest(path))})
    both = swap_at(swap or path, limits)
    cars = {**both.found, "assembled": both.made.vehicle}
    return _StatesCars(
        which_car(both.sheet, path) if swap is not None else "assembled", cars, both.files, both.inputs()
    )


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
