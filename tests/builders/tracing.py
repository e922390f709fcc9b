"""Cars and short cuts for the tests of tracing."""

from __future__ import annotations

from functools import cache

from builders.demo import demo_study
from harnesscheck.bench.symptoms.plans import Diagnosis, MeasurementPlan, MeterQuestion
from harnesscheck.bench.trace.targets import Target, targets
from harnesscheck.bench.trace.trace import Trace, trace
from harnesscheck.network.behaviour.states import Behaviour, Condition


@cache
def demo(name: str = "donor") -> Behaviour:
    """One of the example vans, ready to be solved."""
    return Behaviour(demo_study(name))


def only(behaviour: Behaviour, text: str) -> Target:
    """The one target a text means."""
    (found,) = targets(behaviour.study, behaviour.circuit, text)
    return found


def traced(behaviour: Behaviour, text: str, asked: Condition | None = None) -> Trace:
    """The trace of a target."""
    return trace(behaviour, only(behaviour, text), asked)


def places(found: Trace) -> list[str]:
    """The spots of a trace in order."""
    return [step.spot.place for step in found.steps]


def walked(plan: MeasurementPlan, choose: dict[str, str] | None = None) -> tuple[Diagnosis, int]:
    """Follow a plan: at each place the answer that begins with what is chosen there, else the first; and how far."""
    node: MeterQuestion | Diagnosis = plan.root
    steps = 0
    while isinstance(node, MeterQuestion):
        wanted = (choose or {}).get(node.place, "")
        node = next(answer.next for answer in node.answers if answer.reading.startswith(wanted))
        steps += 1
    return node, steps
