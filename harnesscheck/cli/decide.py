"""``harnesscheck decide``."""

from __future__ import annotations

from pathlib import Path
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
    write_files,
    write_out,
)
from harnesscheck.cli.swapped import DONOR, SHELL, car_file, found_car, said_of, sheet_at
from harnesscheck.model.places import InputFault, Place

if TYPE_CHECKING:
    from harnesscheck.align.pairs import Pairs
    from harnesscheck.decide.decide import Question
    from harnesscheck.decide.groups import Wishes
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.network.sides import Study
    from harnesscheck.read.limits import Limits
    from harnesscheck.read.swap import SwapSheet
    from harnesscheck.report.decide import Decided


@click.command("decide")
@click.argument("cars", nargs=-1, required=True, type=click.Path(), metavar="SWAP.toml | DONOR SHELL")
@click.option("--json", "json_file", metavar="FILE", help="Write the plan as JSON; - is standard output.")
@click.option("-o", "--out", metavar="DIR", help="Write the report as one page, lists, work sheets, the finished car.")
@click.option("--people", type=click.IntRange(1, 1000), help="How many people work on it; the sheet's [crew] else.")
@fail_on_option
@limit_options
def command(
    cars: tuple[str, ...],
    json_file: str | None,
    out: str | None,
    people: int | None,
    fail_on: str | None,
    max_mb: int | None,
    max_depth: int | None,
    max_rows: int | None,
) -> None:
    """Swap each harness or keep the shell's own?

    The cheapest choice with its work, hours and lists, applied on paper and judged
    again; others beside it; what would change the answer.
    """
    from harnesscheck.report.decide import decision_document, decision_text
    from harnesscheck.report.document import input_document, json_text

    sheet, paths = _inputs(cars)
    decided = _decided(sheet, paths, limits_of(max_mb, max_depth, max_rows), people)
    inputs = [*paths, *([sheet.path] if sheet is not None else [])]
    if json_file is not None:
        studies = {DONOR: decided.donor, SHELL: decided.shell}
        shown = {
            car: input_document(studies[car].vehicle, digest(path)) for car, path in zip(studies, paths, strict=True)
        }
        write_out(json_file, json_text(decision_document(decided, shown)), inputs)
    if out is not None:
        from harnesscheck.report.decide_folder import decision_folder

        contents, warnings = decision_folder(decided, [digest(path) for path in inputs])
        for text in warnings:
            say(text, err=True)
        write_files(out, contents, inputs)
        for name in contents if json_file != "-" else ():
            say(f"wrote {out}/{name}")
    if json_file != "-":
        say(decision_text(decided), end="")
    leave(decided.decision.best.findings, fail_on)


def _inputs(cars: tuple[str, ...]) -> tuple[SwapSheet | None, list[str]]:
    """The swap sheet, if one was given, and the two cars' files."""
    if len(cars) == 1 and Path(cars[0]).suffix.lower() == ".toml":
        sheet = sheet_at(cars[0])
        return sheet, [car_file(sheet, car) for car in (DONOR, SHELL)]
    if len(cars) != 2:
        raise click.UsageError("give one swap sheet (SWAP.toml), or the two cars: DONOR SHELL")
    return None, list(cars)


def _decided(sheet: SwapSheet | None, paths: list[str], limits: Limits, people: int | None) -> Decided:
    from harnesscheck.align.check import align_checked
    from harnesscheck.decide.decide import decide
    from harnesscheck.decide.groups import ImpossibleError
    from harnesscheck.decide.steps import unknown_steps
    from harnesscheck.network.sides import Study
    from harnesscheck.read import configure
    from harnesscheck.report.decide import Decided

    donor, shell = (Study(configure(one)) for one in netlists(paths, limits))
    said, _ = said_of(sheet.path if sheet is not None else None, donor.vehicle, shell.vehicle)
    pairs = align_checked(donor, shell, said)
    question = _question(sheet, donor, shell, pairs)
    where = sheet.path if sheet is not None else paths[0]
    try:
        decision = decide(question)
    except ImpossibleError as error:
        stop([InputFault(Place(where), fault, "wishes that leave something to choose") for fault in error.faults])
    crew = sheet.crew if sheet is not None else None
    return Decided(
        decision,
        donor,
        shell,
        pairs,
        people or (crew.people if crew is not None and crew.people else 1),
        crew.hours_per_day if crew is not None and crew.hours_per_day else 8.0,
        unknown_steps(decision.best.steps, question.done_h),
    )


def _question(sheet: SwapSheet | None, donor: Study, shell: Study, pairs: Pairs) -> Question:
    from harnesscheck.decide.decide import Question
    from harnesscheck.decide.work import Rates

    if sheet is None:
        return Question(donor, shell, pairs)
    rates = Rates(sheet.rates_h)
    faults = [InputFault(Place(sheet.path), name, f"a rate: {', '.join(rates.names)}") for name in rates.unknown]
    wishes = _wishes(sheet, donor.vehicle, shell.vehicle, faults)
    if faults:
        stop(faults)
    return Question(
        donor,
        shell,
        pairs,
        found_car(donor.vehicle, sheet, DONOR),
        found_car(shell.vehicle, sheet, SHELL),
        wishes,
        rates,
        sheet.dead_before,
        sheet.done_h,
    )


def _wishes(sheet: SwapSheet, donor: Vehicle, shell: Vehicle, faults: list[InputFault]) -> Wishes:
    """What the sheet fixes; a name that neither car has is a fault."""
    from harnesscheck.decide.groups import Wishes

    known = (
        (sheet.harness, {*donor.harnesses, *shell.harnesses}, "a harness of one of the cars in [harness]"),
        (sheet.parts, {*donor.components, *shell.components}, "a component of one of the cars in [parts]"),
        (sheet.built_donor.condition, set(donor.harnesses), "a harness of the donor in [built.donor] condition"),
        (sheet.built_shell.condition, set(shell.harnesses), "a harness of the shell in [built.shell] condition"),
    )
    for entries, names, expected in known:
        faults += [
            InputFault(Place(sheet.path), name, expected)
            for name in entries
            if not _is_glob(name) and name.removeprefix("shell:") not in names
        ]
    return Wishes(sheet.harness, sheet.parts, sheet.built_donor.condition, sheet.built_shell.condition)


def _is_glob(name: str) -> bool:
    return any(sign in name for sign in "*?[")
