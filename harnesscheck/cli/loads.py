"""``harnesscheck loads``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from harnesscheck.cli.shared import (
    digest,
    fail_on_option,
    leave,
    limit_options,
    limits_of,
    netlists,
    say,
    stop,
    stop_for,
    write_out,
    write_report,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from typing import Any

    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.read.limits import Limits


@click.command("loads")
@click.argument("vehicle", type=click.Path(), metavar="VEHICLE|SWAP.toml")
@click.option("--what-if", "changes", multiple=True, metavar="ROW.FIELD=VALUE", help="Try a value: fuel-pump.amps=16.")
@click.option("--replace", "parts", multiple=True, metavar="PART=FILE", help="Try a part's data from another file.")
@click.option("--json", "json_file", metavar="FILE", help="Write the report as JSON; - is standard output.")
@click.option("-o", "--out", metavar="DIR", help="Write the report as a page, all its rows as CSV.")
@fail_on_option
@limit_options
def command(
    vehicle: str,
    changes: tuple[str, ...],
    parts: tuple[str, ...],
    json_file: str | None,
    out: str | None,
    fail_on: str | None,
    max_mb: int | None,
    max_depth: int | None,
    max_rows: int | None,
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
    from harnesscheck.report.blocks.terminal import terminal_text
    from harnesscheck.report.document import json_text
    from harnesscheck.report.loads import LoadsAsked, loads_report, told
    from harnesscheck.report.loads_data import loads_document, loads_files

    limits = limits_of(max_mb, max_depth, max_rows)
    car, files, said = _car(vehicle, limits)
    inputs = [*files, *(part.partition("=")[2] for part in parts)]
    now = _changed(car, changes, parts, limits)
    try:
        loads, asked = loads_of(Behaviour(Study(now))), LoadsAsked()
        if changes or parts:
            before = loads_of(Behaviour(Study(car)))
            asked = LoadsAsked((*parts, *changes), upgrade(before, loads), _targets(changes, parts))
    except TooLargeError as error:
        stop_for(vehicle, f"a car of {error}", "one that can be solved in memory")
    one = told(loads, load_findings(loads), asked)
    shown = said() if json_file is not None or out is not None else {}
    if json_file is not None:
        write_out(json_file, json_text(loads_document(one, shown)), inputs)
    report = loads_report(one, shown)
    if out is not None:
        write_report(out, report, loads_files(one), inputs, tell=json_file != "-")
    if json_file != "-":
        say(terminal_text(report), end="")
    leave(one.findings, fail_on)


def _car(path: str, limits: Limits) -> tuple[Vehicle, Sequence[str], Callable[[], Mapping[str, Any]]]:
    """The car of a file, or the one a swap sheet puts together; the files read, and what a report says of them."""
    from harnesscheck.cli.swapped import is_sheet, swap_at
    from harnesscheck.read import configure
    from harnesscheck.report.document import input_document

    if is_sheet(path):
        swap = swap_at(path, limits)
        return swap.made.vehicle, swap.files, swap.inputs
    car = configure(netlists([path], limits)[0])
    return car, [path], lambda: {"donor": input_document(car, digest(path))}


def _changed(car: Vehicle, changes: Sequence[str], parts: Sequence[str], limits: Limits) -> Vehicle:
    """The car with other parts in it, then with other values; every fault is said before leaving."""
    from harnesscheck.compare.carries.whatif import changed, read_change, replaced
    from harnesscheck.model.places import InputFault, Place

    faults: list[InputFault] = []
    for text in parts:
        part, equals, path = text.partition("=")
        if not (equals and path):
            faults.append(InputFault(Place("--replace"), text, "a part and a file, as fuel-pump=bigger-pump.xml"))
            continue
        result = replaced(car, part, path, netlists([path], limits)[0])
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
