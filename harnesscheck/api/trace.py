"""One circuit followed with a meter: what a target means, the car it is followed on, and what to measure next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from harnesscheck.api.cars import READING, AnyCar, FilePath
from harnesscheck.api.faults import stop_for
from harnesscheck.api.given import ASSEMBLED, given_car
from harnesscheck.api.reading import Reading
from harnesscheck.api.result import Folder, Result

if TYPE_CHECKING:
    from harnesscheck.bench.symptoms.plans import MeasurementPlan
    from harnesscheck.bench.trace.targets import Target
    from harnesscheck.model.places import Source
    from harnesscheck.model.swapsheet import SwapSheet
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.network.behaviour.states import Behaviour, Condition
    from harnesscheck.report.blocks.vocabulary import Report
    from harnesscheck.report.traced import Traced


@dataclass(frozen=True, repr=False)
class Trace(Result):
    """Every contact from a part up to the battery and down to the ground. ``to_frame`` gives its points, volts in V."""

    ROWS: ClassVar[tuple[str, ...]] = ("points",)
    traced: Traced
    files: tuple[str, ...]
    inputs: Mapping[str, Any]
    digest: str
    plan: MeasurementPlan | None = None
    symptom: str | None = None

    @cached_property
    def report(self) -> Report:
        """The answer as blocks, without drawings."""
        from harnesscheck.report.trace import trace_report

        return trace_report(self.traced, self.inputs)

    def folder(self) -> Folder:
        """The page, the sheet as text, the tree of a complaint as drawings."""
        from harnesscheck.report.trace import trace_report
        from harnesscheck.report.trace_folder import trace_folder, tree_drawn

        tree = tree_drawn(self.traced, self.plan, self.digest) if self.plan is not None else []
        report = trace_report(self.traced, self.inputs, tree)
        return Folder(report, trace_folder(self.traced, report, self.symptom or "", tree))

    @cached_property
    def _document(self) -> Mapping[str, Any]:
        from harnesscheck.report.trace import trace_document

        return trace_document(self.traced, self.inputs)


def trace(
    car: AnyCar,
    target: str,
    *,
    key: str | None = None,
    state: str | None = None,
    swap: FilePath | None = None,
    symptom: str | None = None,
    reading: Reading = READING,
) -> Trace:
    """Follow a target of a car up to the feed and down to the ground.

    ``car`` is a file, a car, or a swap sheet, whose car is then put together; with ``swap`` beside it the car is as
    that sheet says it was found. ``target`` is a cavity (C12:4), part, terminal, circuit, splice, ground point, fuse
    or words; ``key`` a key position or ``state`` key and controls, by default where its load works; ``symptom`` a
    complaint (dead, dim, always-on, blows-fuse, drains, charge). Raises InputError, also where the target may be
    several things or the words of a state are not this car's.

    >>> found = trace("harness_demo/donor.xml", "FP")
    >>> found.to_dict()["complete"]
    True
    """
    from harnesscheck.network.volts.solve import TooLargeError

    cars = _cars(car, swap, reading)
    try:
        traced = _traced(cars, target, _TraceAsked(key, state, symptom))
        plan = _plan(cars.path, traced, symptom) if symptom is not None else None
    except TooLargeError as error:
        stop_for(cars.path, str(error), "a car whose circuit fits in memory")
    return Trace(_with_plan(traced, plan), cars.files, cars.inputs, " + ".join(cars.digests), plan, symptom)


@dataclass(frozen=True, slots=True)
class _TraceAsked:
    """What a person asks for besides the target."""

    key: str | None
    state: str | None
    symptom: str | None


@dataclass(frozen=True)
class _TracedCars:
    """The car to trace, as the maker built it and as found, and what else is known of it.

    ``word`` is vehicle, donor, shell or assembled; ``other`` the sheet's other car.
    """

    path: str
    word: str
    whole: Vehicle
    files: tuple[str, ...]
    digests: tuple[str, ...]  # of what was read of each
    inputs: Mapping[str, Any]  # what a JSON report says of the files
    found: Vehicle | None = None
    other: Vehicle | None = None
    sheet: SwapSheet | None = None
    sources: dict[Source, str] = field(default_factory=dict)


def _cars(car: AnyCar, swap: FilePath | None, reading: Reading) -> _TracedCars:
    given = given_car(car, reading, swap)
    cars = _TracedCars(given.path, given.word, given.whole, given.files, given.digests, given.inputs)
    if given.swap is None:
        return cars
    cars = replace(cars, found=given.vehicle, sheet=given.swap.sheet)
    if given.word == ASSEMBLED:
        from harnesscheck.bench.trace.swapped import sources_of

        return replace(cars, sources=sources_of(given.swap.donor.vehicle, given.swap.shell.vehicle))
    return replace(cars, other=given.other)


def _traced(cars: _TracedCars, text: str, asked: _TraceAsked) -> Traced:
    """The trace of the target on the whole car, the car as found beside it."""
    from harnesscheck.bench.trace.trace import as_found
    from harnesscheck.bench.trace.trace import trace as trace_target
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.report.tracing import told

    behaviour = Behaviour(Study(cars.whole))
    if cars.found is not None and _is_only_found(behaviour, cars.found, text):
        cars = replace(cars, whole=cars.found)
        behaviour = Behaviour(Study(cars.whole))
    condition = _condition(behaviour, asked.state, asked.key)
    found = trace_target(behaviour, _target(cars.path, behaviour, text, asked.symptom), condition)
    other = Study(cars.other) if cars.other is not None else None
    traced = told(found, cars.word, asked=condition is not None, other=other, circuits=_circuits(cars))
    if cars.found is not None and cars.found != cars.whole and not found.stop:
        traced = _beside(cars, replace(traced, trace=as_found(found, Behaviour(Study(cars.found))), found=True))
    if cars.sources:
        from harnesscheck.bench.trace.swapped import cars_of

        traced = replace(traced, cars=cars_of(behaviour.study, found.hops, cars.sources))
    return traced


def _is_only_found(behaviour: Behaviour, found: Vehicle, text: str) -> bool:
    """Whether a target, say the end of a cut wire, is there only on the car as it was found."""
    from harnesscheck.bench.trace.targets import targets
    from harnesscheck.network.behaviour.states import Behaviour as OfCar
    from harnesscheck.network.graph.sides import Study

    if targets(behaviour.study, behaviour.circuit, text):
        return False
    as_it_is = OfCar(Study(found))
    return bool(targets(as_it_is.study, as_it_is.circuit, text))


def _circuits(cars: _TracedCars) -> dict[str, str]:
    """What a circuit of this car is called in the sheet's other car, where the sheet says so."""
    if cars.sheet is None:
        return {}
    said = cars.sheet.crosswalk.circuit
    return {b: a for a, b in said.items()} if cars.word == "shell" else dict(said)


def _beside(cars: _TracedCars, traced: Traced) -> Traced:
    """The trace with what the swap sheet says was done to its wires."""
    from harnesscheck.bench.trace.swapped import said_of_chain

    assert cars.sheet is not None
    sections = {"donor": cars.sheet.built_donor, "shell": cars.sheet.built_shell}
    words = [cars.word] if cars.word in sections else list(sections)
    if cars.sources:
        from harnesscheck.bench.trace.swapped import in_built_car

        sections = {word: in_built_car(one, cars.whole, word, cars.sources) for word, one in sections.items()}
    lines = [line for word in words for line in said_of_chain(traced.trace, sections[word], word)]
    note = "NOW is what is read on the car as the swap sheet says it was found; where it is not written, the same."
    return replace(traced, breaks=tuple(lines), notes=(*traced.notes, note))


def _plan(path: str, traced: Traced, symptom: str) -> MeasurementPlan | None:
    """The plan for a complaint; none where nothing may be measured, a message where there can be none."""
    from harnesscheck.bench.symptoms.symptoms import NoPlan, plan_for

    if traced.trace.stop:
        return None
    try:
        return plan_for(traced.trace, symptom)
    except NoPlan as why:
        stop_for(path, f"{traced.trace.target.name} --symptom {symptom}", str(why))


def _with_plan(traced: Traced, plan: MeasurementPlan | None) -> Traced:
    from harnesscheck.report.plan_text import plan_document, plan_section

    return traced if plan is None else replace(traced, sections=(plan_section(plan),), tree=plan_document(plan))


def _target(path: str, behaviour: Behaviour, text: str, symptom: str | None) -> Target:
    """The one thing a text means; otherwise a message with all it may mean, or with names like it."""
    from harnesscheck.bench.trace.targets import close_names, targets

    found = targets(behaviour.study, behaviour.circuit, text)
    if symptom == "charge" and len({one.name.rpartition(".")[0] for one in found}) == 1:
        found = found[:1]  # any terminal of the alternator will do
    if len(found) > 1:
        listed = "".join(f"\n  {one.name:24} {one.words}" for one in found)
        stop_for(path, text, f"one of the {len(found)} things it may mean:{listed}")
    if not found:
        close = close_names(behaviour.study, text)
        hint = f"; close to it: {', '.join(close)}" if close else ""
        expected = "a cavity (C12:4), part, terminal, circuit, splice, ground point or fuse of this car"
        stop_for(path, text, expected + hint)
    return found[0]


def _condition(behaviour: Behaviour, state: str | None, key: str | None) -> Condition | None:
    """The condition that was asked for; a message for words that the car does not have."""
    from harnesscheck.bench.trace.conditions import WrongState, read_condition

    if state is None:
        state = key
    elif key is not None:
        stop_for("--key", key, "--key or --state, not both")
    if state is None:
        return None
    found = read_condition(behaviour.circuit, state)
    if isinstance(found, WrongState):
        stop_for("--state", found.read, found.expected)
    return found
