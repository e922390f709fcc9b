"""``harnesscheck decide``."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from harnesscheck.api.cars import studies
from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.reading import DONOR, SHELL
from harnesscheck.api.swapped import Swap, swap_at
from harnesscheck.cli.asked import STDOUT, Asked, reports
from harnesscheck.cli.progress import progress
from harnesscheck.cli.shared import cars_and_sheet, refuse_input, say, write_out
from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.swapsheet import SwapSheet

if TYPE_CHECKING:
    from harnesscheck.api.reading import Reading
    from harnesscheck.decide.decide import DecisionQuestion
    from harnesscheck.decide.groups import ImpossibleError
    from harnesscheck.decide.plan import Decision, Plan
    from harnesscheck.report.decide import Decided


@click.command("decide")
@click.argument("cars", nargs=-1, type=click.Path(), metavar="DONOR SHELL | SWAP.toml")
@click.option("--swap", metavar="SWAP", help="A swap sheet: what is fixed, found and known of the two cars.")
@click.option("--people", type=click.IntRange(1, 1000), help="How many people work on it; the sheet's [crew] else.")
@click.option("--write-choice", "choice", metavar="SWAP", help="Write the swap sheet with this choice in it, anew.")
@reports("Write the report as one page, lists, work sheets, the finished car.", "plan", fails=True)
def command(
    cars: tuple[str, ...],
    swap: str | None,
    people: int | None,
    choice: str | None,
    asked: Asked,
) -> None:
    """Say of each harness whether to swap it or to keep the shell's own.

    The cheapest choice with its work, hours and lists, applied on paper and judged
    again; others beside it; what would change the answer. Where the files name no
    parts, it chooses nothing and says what would pay most to write down.

    --write-choice writes a new swap sheet that says which harness and part comes
    from which car: compare --swap, ringout, draw, trace, loads, states read it.
    """
    from harnesscheck.report.decide import decision_document
    from harnesscheck.report.decide_blocks import decision_report

    job = _job(cars, swap, asked.reading)
    _stop_without_harnesses(job)
    decided = _decided(job, people)
    contents: Mapping[str, bytes] = {}
    warnings: Sequence[str] = ()
    if asked.out is not None:
        from harnesscheck.report.decide_folder import decision_folder  # draws: not imported for a text

        report, contents, warnings = decision_folder(decided, job.shown)
    else:
        report = decision_report(decided, job.shown)
    chosen = _chosen(job, decided, choice) if choice is not None else ""
    asked.hand_out(report, lambda: decision_document(decided, job.shown), contents, job.files, warnings=warnings)
    if choice is not None:
        write_out(choice, chosen, job.files)
        if asked.json_file != STDOUT:
            say(f"wrote {choice}")
    asked.leave(decided.decision.best.findings)


def _chosen(job: _Job, decided: Decided, target: str) -> str:
    """The swap sheet with the choice in it; nothing is chosen where nothing could be tried."""
    import tomllib

    from harnesscheck.write.swapsheet import sheet_with_choice

    refuse_input(target, job.files)
    if decided.grounds is not None:
        stop_for(target, "no choice", f"one to write. {' '.join(decided.grounds.ask)}")
    sheet, made = job.swap.sheet if job.swap is not None else None, decided.decision.best.choice
    text = "\n".join(sheet.lines) if sheet is not None else ""
    said = {"harness": sheet.harness, "parts": sheet.parts} if sheet is not None else {}
    folder = Path(target).resolve().parent
    files = {car: _from_folder(name, folder) for car, name in zip((DONOR, SHELL), job.files, strict=False)}
    written = sheet_with_choice(text, files, {"harness": made.harness, "parts": made.parts}, said)
    try:
        tomllib.loads(written)
    except tomllib.TOMLDecodeError:
        stop_for(job.files[-1], "harness or parts on one line", "tables of their own, [harness] and [parts]")
    return written


def _from_folder(name: str, folder: Path) -> str:
    """A file's name as seen from a folder, with strokes that every system reads."""
    try:
        return Path(os.path.relpath(Path(name).resolve(), folder)).as_posix()
    except ValueError:  # on another drive
        return Path(name).resolve().as_posix()


@dataclass(frozen=True)
class _Job:
    """What is asked, the files it was read from, and what a JSON report says of them."""

    question: DecisionQuestion
    files: tuple[str, ...]
    shown: dict[str, Any]
    swap: Swap | None = None


def _job(cars: tuple[str, ...], sheet: str | None, reading: Reading) -> _Job:
    cars, sheet = cars_and_sheet(cars, sheet)
    if sheet is not None:
        swap = swap_at(sheet, reading, cars)
        return _Job(_question(swap), swap.files, swap.inputs(), swap)
    from harnesscheck.align.check import align_checked
    from harnesscheck.decide.decide import DecisionQuestion
    from harnesscheck.report.document import input_document

    donor, shell = studies(cars, reading)
    shown = {DONOR: input_document(donor.vehicle), SHELL: input_document(shell.vehicle)}
    return _Job(DecisionQuestion(donor, shell, align_checked(donor, shell, None)), cars, shown)


def _stop_without_harnesses(job: _Job) -> None:
    """A decision is about harnesses: a car that names none leaves nothing to decide."""
    expected = "harness = NAME on the plugs of each harness: without a name there is nothing to swap or to keep"
    faults = [
        InputFault(Place(path), "no harness", expected)
        for path, study in zip(job.files, (job.question.donor, job.question.shell), strict=False)
        if not any(row.harness for row in study.vehicle.netlist.connectors)
    ]
    if faults:
        stop(faults)


def _question(swap: Swap) -> DecisionQuestion:
    """What a swap sheet asks; a rate that there is not ends the command."""
    from harnesscheck.decide.decide import DecisionQuestion
    from harnesscheck.decide.groups import Wishes
    from harnesscheck.decide.work import Rates
    from harnesscheck.read.names import close_to

    sheet = swap.sheet
    rates = Rates(sheet.rates_h)
    wrong = [
        InputFault(
            sheet.place(("rates", name)),
            name,
            f"a rate: {', '.join(rates.names)}{close_to(name, rates.names)}",
        )
        for name in rates.unknown
    ]
    if wrong:
        stop(wrong)
    return DecisionQuestion(
        swap.donor,
        swap.shell,
        swap.pairs,
        swap.found[DONOR],
        swap.found[SHELL],
        Wishes(sheet.harness, sheet.parts, sheet.built_donor.condition, sheet.built_shell.condition),
        rates,
        sheet.dead_before,
        sheet.done_h,
    )


def _decided(job: _Job, people: int | None) -> Decided:
    from harnesscheck.decide.grounds import grounds_of
    from harnesscheck.decide.steps import unknown_steps
    from harnesscheck.report.decide import Decided

    question, sheet = job.question, job.swap.sheet if job.swap is not None else None
    decision = _accepted(_decision(job), sheet.accepted if sheet is not None else {})
    crew = sheet.crew if sheet is not None else None
    return Decided(
        decision,
        question.donor,
        question.shell,
        question.pairs,
        people or (crew.people if crew is not None and crew.people else 1),
        crew.hours_per_day if crew is not None and crew.hours_per_day else 8.0,
        unknown_steps(decision.best.steps, question.done_h),
        grounds_of(question.donor, question.shell, question.pairs, decision.best.groups),
    )


def _accepted(decision: Decision, reasons: Mapping[str, str]) -> Decision:
    """The same with the findings marked that a person can live with; a plan is no more proven by that."""
    from harnesscheck.compare.compare import accept

    def marked(plan: Plan) -> Plan:
        """The plan with its findings that the sheet accepts."""
        return replace(plan, findings=tuple(accept(plan.findings, reasons)))

    if not reasons:
        return decision
    return replace(
        decision,
        plans=tuple(map(marked, decision.plans)),
        all_donor=marked(decision.all_donor) if decision.all_donor is not None else None,
        all_shell=marked(decision.all_shell) if decision.all_shell is not None else None,
    )


def _decision(job: _Job) -> Decision:
    """The decision; wishes that cannot all be met end the command."""
    from harnesscheck.assemble.choice import ChoiceError
    from harnesscheck.decide.decide import decide
    from harnesscheck.decide.groups import ImpossibleError

    sheet = job.swap.sheet if job.swap is not None else SwapSheet(job.files[0])
    try:
        with progress("decide") as told:
            return decide(job.question, told)
    except ImpossibleError as error:
        stop(list(_impossible(sheet, error)))
    except ChoiceError as error:
        stop(error.in_sheet(sheet))


def _impossible(sheet: SwapSheet, error: ImpossibleError) -> list[InputFault]:
    """Each group that nothing is left for, at the first entry that takes something from it."""
    return [
        InputFault(sheet.place(keys), keys[-1] if keys else "", f"other wishes: {fault}")
        for keys, fault in zip(error.entries, error.faults, strict=True)
    ]
