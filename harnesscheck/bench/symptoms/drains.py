"""What drains the battery overnight: millivolts across every fuse, and what they mean."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import groupby

from harnesscheck.bench.symptoms.plans import Diagnosis, MeasurementPlan, MeterAnswer, MeterQuestion
from harnesscheck.bench.trace.spots import Spots
from harnesscheck.bench.trace.trace import Trace
from harnesscheck.model.order import natural_key
from harnesscheck.network.behaviour.states import Behaviour, Condition
from harnesscheck.network.volts.circuit import Branch
from harnesscheck.trade.fuses import fuse, fuse_form

SLEEP_LIMIT_A = 0.05  # what a car may draw asleep; common practice, no source
SLEEP_MIN = "20 to 40 minutes"
LIVE_V = 1.0


@dataclass(frozen=True, slots=True)
class FuseDraw:
    """A fuse that is live with the key off: its draw as the file has it, everything awake, and its millivolts.

    ``limit_mv`` is what the whole car's allowed draw would show across it.
    ``published`` says that its resistance is a data sheet's.
    """

    name: str
    at: str | None
    rating_a: float | None
    amps: float
    millivolts: float
    limit_mv: float
    published: bool


def fuse_draws(behaviour: Behaviour) -> tuple[FuseDraw, ...]:
    """Every fuse live with the key off, nothing switched on; by place in the car, then by name."""
    solution = behaviour.state(Condition("off")).solution
    spots = Spots(behaviour.study, behaviour.circuit)
    found = []
    for number, branch in enumerate(behaviour.circuit.branches):
        volts = float(solution.volts[branch.a])
        if branch.sort == "fuse" and not math.isnan(volts) and volts > LIVE_V:
            amps = abs(float(solution.branch_amps[number]))
            found.append(_draw(spots, branch, amps))
    return tuple(sorted(found, key=lambda one: (natural_key(one.at or "~"), natural_key(one.name))))


def _draw(spots: Spots, branch: Branch, amps: float) -> FuseDraw:
    form = fuse_form(getattr(branch.row, "type", None) or "")
    known = fuse(form, branch.rating_a) if form and branch.rating_a else None
    return FuseDraw(
        name=branch.name,
        at=spots.at(f"{branch.component}."),
        rating_a=branch.rating_a,
        amps=round(amps, 6),
        millivolts=round(1000 * amps * branch.ohm, 3),
        limit_mv=round(1000 * SLEEP_LIMIT_A * branch.ohm, 3),
        published=known is not None and known.cold_resistance_ohm is not None,
    )


def drains_plan(found: Trace) -> MeasurementPlan:
    """First the whole draw, then fuse by fuse without pulling any: pulling one wakes what sleeps behind it."""
    draws = fuse_draws(found.behaviour)
    intro = (
        f"Key off and out, doors shut, bonnet latch closed by hand. Wait {SLEEP_MIN}: modules fall asleep one by one. "
        "Do not open a door or pull a fuse meanwhile, that wakes them and the wait begins again.",
        "Clip meter round the negative lead; or, with nothing switched on, a meter in series on its 10 A range, put "
        "in before the clamp comes off. Never crank or switch on through the meter.",
    )
    pull = Diagnosis(
        "that fuse's circuit draws it",
        "Pull this one fuse: the draw must fall. Then unplug what it feeds one by one (trace the fuse for the list).",
    )
    nothing = Diagnosis(
        "the fuses carry no more than they may",
        "Look at what no fuse feeds: alternator (a warm one draws through its diodes), starter lead, added wires.",
    )
    fuses = MeterQuestion(
        "fuses",
        None,
        "millivolts across the two test points on each fuse's back, box by box, as in the table",
        (MeterAnswer("none above its limit", nothing), MeterAnswer("one above its limit", pull)),
    )
    root = MeterQuestion(
        "battery",
        _battery_at(found),
        "current in the negative lead, after the wait",
        (
            MeterAnswer(
                f"good: at most {1000 * SLEEP_LIMIT_A:.0f} mA",
                Diagnosis("nothing drains it asleep", "Charge and test the battery; measure again after a night."),
            ),
            MeterAnswer(f"bad: more than {1000 * SLEEP_LIMIT_A:.0f} mA", fuses),
        ),
    )
    return MeasurementPlan("drains", intro, root, _table(draws))


def _battery_at(found: Trace) -> str | None:
    return next((one.at for one in found.study.vehicle.components.values() if one.kind == "battery"), None)


def _table(draws: tuple[FuseDraw, ...]) -> tuple[str, ...]:
    """By place, one line a fuse: its limit asleep, and what the file's parts draw awake with the key off."""
    lines = ["   fuse      rating    asleep, at most     awake, by the file"]
    for at, group in groupby(draws, key=lambda one: one.at):
        lines.append(at or "place not known")
        for one in group:
            rating = f"{one.rating_a:g} A" if one.rating_a else "?"
            mark = " " if one.published else "*"
            limit, awake = f"{one.limit_mv:8.2f} mV{mark}", f"{one.amps:8.3f} A = {one.millivolts:.2f} mV"
            lines.append(f"   {one.name:9} {rating:8} {limit}     {awake}")
    lines.append(
        f"Limit: {1000 * SLEEP_LIMIT_A:.0f} mA for the whole car times the fuse's cold resistance (common practice, "
        "no source). * no data sheet value: taken as 75 mV at its rating. mV = mA × Ω."
    )
    return tuple(lines)
