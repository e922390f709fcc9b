"""What is doubtful about one car, and how much of it is documented."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from harnesscheck.compare.coverage import car_coverage
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.compare.understood import FunctionRead
from harnesscheck.lists.nextcavities import NextCavity
from harnesscheck.lists.rungs import next_sentence
from harnesscheck.network.graph.sides import Study
from harnesscheck.read.remarks import HowRead
from harnesscheck.report.blocks.vocabulary import (
    Answer,
    AnyBlock,
    Listing,
    Paragraph,
    Report,
    Section,
    present,
    section,
)
from harnesscheck.report.cars import car_words
from harnesscheck.report.findings import by_plug, finding_card, severity_section
from harnesscheck.report.how_read import how_read_section
from harnesscheck.report.stops import hands_off_section, stop_block
from harnesscheck.report.understood import understood_section
from harnesscheck.report.verdict import verdict_of


def validation_report(
    study: Study,
    findings: Sequence[Finding],
    inputs: Mapping[str, Any],
    how: HowRead,
    functions: Sequence[FunctionRead] = (),
    write_next: Sequence[NextCavity] | None = None,
) -> Report:
    """Worst first, by plug; then how the file was read, and what its words were taken for.

    ``write_next`` are the cavities to write down next, where they were asked for: they come first.
    """
    vehicle, car = study.vehicle, car_coverage(study)
    sections: list[AnyBlock] = [
        severity_section(severity, *by_plug(chosen, vehicle, vehicle, finding_card))
        for severity in Severity
        if (chosen := [one for one in findings if one.severity is severity])
    ]
    counts = tuple(verdict_of(findings, 1).counts.items()) if findings else ()
    rests = Paragraph(
        f"{car.documented} of {car.cavities} cavities documented ({car.percent} %), {car.connectors} plug halves, "
        f"{car.components} components; the other half of {car.unmated} plugs is not in the file."
    )
    sections += present(how_read_section(how), understood_section(functions), Section("What this rests on", (rests,)))
    sections.append(Section("What would tell more", (Paragraph(next_sentence({"this file": study})),)))
    first = _next(write_next) if write_next is not None else None
    answer = Answer(f"No rule of the file format is broken. {_found(study, findings)}", counts=counts)
    blocks = (*present(stop_block(study), answer, first, hands_off_section(study)), *sections)
    return Report(f"{vehicle.name}: what is doubtful in its file", (("vehicle", car_words(vehicle)),), blocks, inputs)


def _next(chosen: Sequence[NextCavity]) -> Section | None:
    """Which cavities to write down next, and what each settles."""
    cars = {one.car for one in chosen}
    lines = tuple(f"{one.car}'s {one.sentence}" if len(cars) > 1 else one.sentence for one in chosen)
    nothing = Paragraph("Of every cavity somebody wrote down what is in it: none is left to ask for.")
    return section("Write down next, the most telling first", Listing(lines) if lines else nothing, id="next")


def _found(study: Study, findings: Sequence[Finding]) -> str:
    if not study.vehicle.netlist.pins:
        return "No pin is written yet: there was nothing to look through."
    if not findings and not car_coverage(study).documented:
        return "The form is still empty: no cavity says anything yet, so there was nothing to look through."
    if not findings:
        return "Nothing doubtful was found in the wiring."
    return f"{len(findings)} thing{' is' if len(findings) == 1 else 's are'} doubtful in the wiring."
