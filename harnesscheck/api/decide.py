"""Which harnesses to swap: the question as files and sheets put it, and the decision with all that is shown of it."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from harnesscheck.api.cars import READING, AnyCar, FilePath, file_of, sheet_and_cars, studies
from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.reading import DONOR, SHELL, Reading
from harnesscheck.api.result import Folder, Result
from harnesscheck.model.paths import real_path
from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.progress import Told, silent
from harnesscheck.model.swapsheet import SwapSheet

if TYPE_CHECKING:
    from harnesscheck.api.swapped import Swap
    from harnesscheck.compare.finding.findings import Finding
    from harnesscheck.decide.decide import DecisionQuestion
    from harnesscheck.decide.groups import ImpossibleError
    from harnesscheck.decide.plan import Decision as Choice
    from harnesscheck.decide.plan import Plan
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.report.blocks.vocabulary import Report
    from harnesscheck.report.decide import Decided


@dataclass(frozen=True, repr=False)
class Decision(Result):
    """The choice with its work, hours and lists; other plans beside it. ``to_frame`` gives the steps of the best."""

    ROWS: ClassVar[tuple[str, ...]] = ("plan", "steps")
    decided: Decided
    files: tuple[str, ...]
    inputs: Mapping[str, Any]
    sheet: SwapSheet | None = None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is left in the finished car of the best plan, worst first."""
        return tuple(self.best.findings)

    @property
    def best(self) -> Plan:
        """The plan that is proposed."""
        return self.decided.decision.best

    @property
    def plans(self) -> tuple[Plan, ...]:
        """The plans kept, the best first."""
        return tuple(self.decided.decision.plans)

    @property
    def car(self) -> Vehicle:
        """The finished car of the best plan."""
        return self.best.car

    @property
    def is_refused(self) -> bool:
        """Whether the files do not allow a choice: then none is made, and ``report`` says what to write down."""
        return self.decided.grounds is not None

    @cached_property
    def report(self) -> Report:
        """The answer as blocks, without drawings."""
        from harnesscheck.report.decide_blocks import decision_report

        return decision_report(self.decided, self.inputs)

    def folder(self) -> Folder:
        """The page, lists, work sheets and the finished car."""
        from harnesscheck.report.decide_folder import decision_folder

        return Folder(*decision_folder(self.decided, self.inputs))

    def sheet_text(self, target: FilePath) -> str:
        """The swap sheet with the choice in it, as it is to stand in the file ``target``.

        Raises InputError where nothing was chosen, or the target is an input.
        """
        return _chosen(self, os.fspath(target))

    @cached_property
    def _document(self) -> Mapping[str, Any]:
        from harnesscheck.report.decide import decision_document

        return decision_document(self.decided, self.inputs)


def decide(
    donor: AnyCar,
    shell: AnyCar | None = None,
    *,
    swap: FilePath | None = None,
    people: int | None = None,
    done: FilePath | None = None,
    reading: Reading = READING,
    told: Told = silent,
) -> Decision:
    """Say of each harness whether to swap it or to keep the shell's own.

    The choice is applied on paper and the finished car judged again.
    ``donor`` and ``shell`` are files or cars, or a swap sheet stands alone; ``people`` is how many work on it (the
    sheet's [crew], else 1), ``done`` an export of the bench page, whose hours come before those of the sheet's [done].
    ``told`` is called with how far it is. Raises InputError with every fault, among them
    wishes of a sheet that cannot all be met.

    >>> plan = decide("harness_demo/yard/van-04.xml", "harness_demo/shell.xml")
    >>> plan.is_refused, plan.to_dict()["plan"]["proven"]
    (False, True)
    """
    job = _job(donor, shell, swap, reading)
    if done is not None:
        job = _with_done(job, os.fspath(done), reading)
    _stop_without_harnesses(job)
    sheet = job.swap.sheet if job.swap is not None else None
    return Decision(_decided(job, people, told), job.files, job.shown, sheet)


def _with_done(job: _Job, path: str, reading: Reading) -> _Job:
    """The same with the steps that the bench page says are done."""
    from harnesscheck.read.benchfile import read_bench_file

    read = read_bench_file(path, reading.limits)
    if isinstance(read, list):
        stop(read)
    hours = {**job.question.done_h, **read.done_h}
    return replace(job, question=replace(job.question, done_h=hours), files=(*job.files, path))


def _chosen(made: Decision, target: str) -> str:
    """The swap sheet with the choice in it; nothing is chosen where nothing could be tried."""
    import tomllib

    from harnesscheck.api.writing import refuse_input
    from harnesscheck.write.swapsheet import sheet_with_choice

    refuse_input(target, made.files)
    if made.decided.grounds is not None:
        stop_for(target, "no choice", f"one to write. {' '.join(made.decided.grounds.ask)}")
    sheet, choice = made.sheet, made.best.choice
    text = "\n".join(sheet.lines) if sheet is not None else ""
    said = {"harness": sheet.harness, "parts": sheet.parts} if sheet is not None else {}
    folder = real_path(target).parent
    files = {car: _from_folder(name, folder) for car, name in zip((DONOR, SHELL), made.files, strict=False)}
    written = sheet_with_choice(text, files, {"harness": choice.harness, "parts": choice.parts}, said)
    try:
        tomllib.loads(written)
    except tomllib.TOMLDecodeError:
        stop_for(
            sheet.path if sheet is not None else made.files[-1],
            "harness or parts on one line",
            "tables of their own, [harness] and [parts]",
        )
    return written


def _from_folder(name: str, folder: Path) -> str:
    """A file's name as seen from a folder, with strokes that every system reads."""
    try:
        return Path(os.path.relpath(real_path(name), folder)).as_posix()
    except ValueError:  # on another drive
        return real_path(name).as_posix()


@dataclass(frozen=True)
class _Job:
    """What is asked, the files it was read from, and what a JSON report says of them."""

    question: DecisionQuestion
    files: tuple[str, ...]
    shown: dict[str, Any]
    swap: Swap | None = None


def _job(donor: AnyCar, shell: AnyCar | None, swap: FilePath | None, reading: Reading) -> _Job:
    cars, sheet = sheet_and_cars(donor, shell, swap)
    if sheet is not None:
        from harnesscheck.api.swapped import swap_at

        both = swap_at(sheet, reading, cars)
        return _Job(_question(both), both.files, both.inputs(), both)
    from harnesscheck.align.check import align_checked
    from harnesscheck.decide.decide import DecisionQuestion
    from harnesscheck.report.document import input_document

    ours, theirs = studies(cars, reading)
    shown = {DONOR: input_document(ours.vehicle), SHELL: input_document(theirs.vehicle)}
    question = DecisionQuestion(ours, theirs, align_checked(ours, theirs, None))
    return _Job(question, tuple(map(file_of, cars)), shown)


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
    """What a swap sheet asks; a rate that there is not is a fault."""
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


def _decided(job: _Job, people: int | None, told: Told) -> Decided:
    from harnesscheck.decide.grounds import grounds_of
    from harnesscheck.decide.steps import unknown_steps
    from harnesscheck.report.decide import Decided

    question, sheet = job.question, job.swap.sheet if job.swap is not None else None
    decision = _accepted(_decision(job, told), sheet.accepted if sheet is not None else {})
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


def _accepted(decision: Choice, reasons: Mapping[str, str]) -> Choice:
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


def _decision(job: _Job, told: Told) -> Choice:
    """The decision; wishes that cannot all be met are faults."""
    from harnesscheck.assemble.choice import ChoiceError
    from harnesscheck.decide.decide import decide as decide_swap
    from harnesscheck.decide.groups import ImpossibleError

    sheet = job.swap.sheet if job.swap is not None else SwapSheet(job.files[0])
    try:
        return decide_swap(job.question, told)
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
