"""``harnesscheck loads``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from harnesscheck.api.cars import given_car
from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.reading import netlists
from harnesscheck.cli.asked import Asked, reports

if TYPE_CHECKING:
    from collections.abc import Sequence

    from harnesscheck.api.reading import Reading
    from harnesscheck.model.vehicle import Vehicle


@click.command("loads")
@click.argument("vehicle", type=click.Path(), metavar="VEHICLE|SWAP.toml")
@click.option("--what-if", "changes", multiple=True, metavar="ROW.FIELD=VALUE", help="Try a value: fuel-pump.amps=16.")
@click.option("--replace", "parts", multiple=True, metavar="PART=FILE", help="Try a part's data from another file.")
@reports("Write the report as a page, all its rows as CSV.", fails=True)
def command(
    vehicle: str,
    changes: tuple[str, ...],
    parts: tuple[str, ...],
    asked: Asked,
) -> None:
    """Hold what VEHICLE's wires and fuses carry against what they may.

    Wires against their currents, fuses against their wires and loads, volts lost
    on the way to every load. With --what-if or --replace: whether the car can
    take it, and the smallest change that would do. Of a swap sheet, the car that
    it puts together.
    """
    from harnesscheck.compare.carries.loadfindings import load_findings
    from harnesscheck.compare.carries.loads import loads_of
    from harnesscheck.compare.carries.upgrade import upgrade
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.network.volts.solve import TooLargeError
    from harnesscheck.report.loads import LoadsAsked, loads_report, told
    from harnesscheck.report.loads_data import loads_document, loads_files

    given = given_car(vehicle, asked.reading)
    car = given.vehicle
    now = _changed(car, changes, parts, asked.reading)
    try:
        loads, tried = loads_of(Behaviour(Study(now))), LoadsAsked()
        if changes or parts:
            before = loads_of(Behaviour(Study(car)))
            tried = LoadsAsked((*parts, *changes), upgrade(before, loads), _targets(changes, parts))
    except TooLargeError as error:
        stop_for(vehicle, f"a car of {error}", "one that can be solved in memory")
    one, shown = told(loads, load_findings(loads), tried), given.inputs()
    inputs = [*given.files, *(part.partition("=")[2] for part in parts)]
    files = loads_files(one) if asked.out is not None else {}
    asked.hand_out(loads_report(one, shown), lambda: loads_document(one, shown), files, inputs)
    asked.leave(one.findings)


def _changed(car: Vehicle, changes: Sequence[str], parts: Sequence[str], reading: Reading) -> Vehicle:
    """The car with other parts in it, then with other values; every fault is said before leaving."""
    from harnesscheck.compare.carries.whatif import changed, read_change, replaced
    from harnesscheck.model.places import InputFault, Place

    faults: list[InputFault] = []
    for text in parts:
        part, equals, path = text.partition("=")
        if not (equals and path):
            faults.append(InputFault(Place("--replace"), text, "a part and a file, as fuel-pump=bigger-pump.xml"))
            continue
        result = replaced(car, part, path, netlists([path], reading, overlaid=False)[0])
        if isinstance(result, InputFault):
            faults.append(result)
        else:
            car = result
    for text in changes:
        change = read_change(text)
        result = change if isinstance(change, InputFault) else changed(car, change)
        if isinstance(result, InputFault):
            faults.append(result)
        else:
            car = result
    if faults:
        stop(faults)
    return car


def _targets(changes: Sequence[str], parts: Sequence[str]) -> tuple[str, ...]:
    """The components that were changed, as far as they are components."""
    named = [text.partition("=")[0].rpartition(".")[0].partition("/")[0] for text in changes]
    return tuple(dict.fromkeys([*named, *(text.partition("=")[0] for text in parts)]))
