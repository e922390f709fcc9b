"""``harnesscheck validate``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import click

from harnesscheck.cli.asked import Asked, reports
from harnesscheck.cli.shared import netlists_and_remarks


@click.command("validate")
@click.argument("vehicle", type=click.Path())
@reports("Write the report as a page into a folder.", fails=True)
def command(vehicle: str, asked: Asked) -> None:
    """Check the netlist VEHICLE.

    Broken rules of the format are printed all at once, with their places. A
    sound file is then looked through for wiring that makes no sense. What a
    column and every function was taken for, and what could not be read for
    certain, is said too.
    """
    from harnesscheck.compare.doubtful import doubts
    from harnesscheck.compare.understood import functions_read
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.read import configure
    from harnesscheck.report.document import envelope, input_document
    from harnesscheck.report.how_read import how_read_document
    from harnesscheck.report.understood import understood_document
    from harnesscheck.report.validate import validation_report

    ((netlist, how),) = netlists_and_remarks([vehicle], asked.limits)
    study = Study(configure(netlist))
    found, functions = doubts(study), functions_read(study)
    inputs = {"donor": input_document(study.vehicle)}

    def document() -> Mapping[str, Any]:
        """The JSON body, made only where it is asked for."""
        body = {"reading": how_read_document(how), "functions": understood_document(functions)}
        return envelope("validate", inputs, {"donor": study}, findings=found) | body

    asked.hand_out(validation_report(study, found, inputs, how, functions), document, {}, [vehicle])
    asked.leave(found)
