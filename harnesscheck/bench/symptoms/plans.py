"""A plan of measurements as a tree of questions, the same for every complaint."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What is wrong, and what to do about it."""

    text: str
    do: str = ""
    places: tuple[str, ...] = ()  # between which the fault lies


@dataclass(frozen=True, slots=True)
class MeterAnswer:
    """One thing a measurement may say, and where that leads."""

    reading: str
    next: MeterQuestion | Diagnosis


@dataclass(frozen=True, slots=True)
class MeterQuestion:
    """One measurement: where, how, and its answers, the good one first."""

    place: str
    at: str | None
    how: str
    answers: tuple[MeterAnswer, ...]


@dataclass(frozen=True, slots=True)
class MeasurementPlan:
    """A tree with what stands before it: what to set, how sure it is, what it costs."""

    complaint: str
    intro: tuple[str, ...]
    root: MeterQuestion | Diagnosis
    notes: tuple[str, ...] = ()


def questions(plan: MeasurementPlan) -> list[MeterQuestion]:
    """Every question in the order of its number: the first one, then each answer's in turn, deep before wide."""
    return list(_questions(plan.root))


def _questions(node: MeterQuestion | Diagnosis) -> Iterator[MeterQuestion]:
    if isinstance(node, MeterQuestion):
        yield node
        for answer in node.answers:
            yield from _questions(answer.next)


def verdicts(plan: MeasurementPlan) -> list[Diagnosis]:
    """Every verdict in the order the questions lead to them."""
    return list(_verdicts(plan.root))


def _verdicts(node: MeterQuestion | Diagnosis) -> Iterator[Diagnosis]:
    if isinstance(node, Diagnosis):
        yield node
        return
    for answer in node.answers:
        yield from _verdicts(answer.next)
