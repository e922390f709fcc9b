"""``harnesscheck validate``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import click

from harnesscheck.api.reading import netlists, netlists_and_remarks
from harnesscheck.cli.asked import Asked, reports

if TYPE_CHECKING:
    from harnesscheck.api.reading import Reading
    from harnesscheck.lists.nextcavities import NextCavity
    from harnesscheck.network.graph.sides import Study


@click.command("validate")
@click.argument("vehicle", type=click.Path())
@click.option("--next", "next_", is_flag=True, help="Say which few cavities to write down next, and what each settles.")
@click.option("--beside", metavar="SHELL", help="With --next: a second car; what a compare of both left open counts.")
@reports("Write the report as a page into a folder.", fails=True)
def command(vehicle: str, next_: bool, beside: str | None, asked: Asked) -> None:
    """Check the netlist VEHICLE.

    Broken rules of the format are printed all at once, with their places. A
    sound file is then looked through for wiring that makes no sense. What a
    column and every function was taken for, and what could not be read for
    certain, is said too.

    With --next the cavities are named that settle most open questions: each is the
    one that settles most of what those before it leave, so that any number of
    them settles at least 63 % of what the best choice of as many would.
    """
    from harnesscheck.compare.doubtful import doubts
    from harnesscheck.compare.understood import functions_read
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.read import configure
    from harnesscheck.report.document import envelope, input_document
    from harnesscheck.report.how_read import how_read_document
    from harnesscheck.report.understood import understood_document
    from harnesscheck.report.validate import validation_report

    ((netlist, how),) = netlists_and_remarks([vehicle], asked.reading)
    study = Study(configure(netlist))
    found, functions = doubts(study), functions_read(study)
    inputs = {"donor": input_document(study.vehicle)}
    chosen = _next(study, beside, asked.reading) if next_ or beside is not None else None

    def document() -> Mapping[str, Any]:
        """The JSON body, made only where it is asked for."""
        body = {"reading": how_read_document(how), "functions": understood_document(functions)}
        if chosen is not None:
            body["next"] = [
                {"car": one.car, "place": one.place, "gain": one.gain, "settles": list(one.settles)} for one in chosen
            ]
        return envelope("validate", inputs, {"donor": study}, findings=found) | body

    report = validation_report(study, found, inputs, how, functions, chosen)
    asked.hand_out(report, document, {}, [vehicle, *([beside] if beside is not None else [])])
    asked.leave(found)


def _next(study: Study, beside: str | None, reading: Reading) -> tuple[NextCavity, ...]:
    """The cavities to write down next: of one car, or of two with what their compare left open."""
    from harnesscheck.lists.nextcavities import next_cavities

    if beside is None:
        return next_cavities({"vehicle": study})
    from harnesscheck.align.check import align_checked
    from harnesscheck.compare.compare import compare
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.read import configure

    (netlist,) = netlists([beside], reading, overlaid=False)
    other = Study(configure(netlist))
    found = compare(study, other, align_checked(study, other, None), electrical=False).findings
    return next_cavities({"donor": study, "shell": other}, found)
