"""Does not charge: alternator, charging lead, and the excitation through the charge lamp."""

from __future__ import annotations

import math

from harnesscheck.bench.symptoms.plans import Diagnosis, MeasurementPlan, MeterAnswer, MeterQuestion
from harnesscheck.bench.trace.spots import Spots
from harnesscheck.network.behaviour.states import Behaviour, Condition

EXCITATION = ("D+", "L", "61")
RIGHT_V = (13.8, 14.6)  # at the battery, engine running; common practice, no source
LEAD_LOST_V, GROUND_LOST_V = 0.4, 0.2  # workshop practice, no source


def alternators(behaviour: Behaviour) -> tuple[str, ...]:
    """The car's alternators."""
    return tuple(row.id for row in behaviour.study.vehicle.netlist.components if row.kind == "alternator")


def charge_plan(behaviour: Behaviour, alternator: str) -> MeasurementPlan:
    """The tree for one alternator, its volts from the circuit's solution."""
    spots = Spots(behaviour.study, behaviour.circuit)
    at = spots.at(f"{alternator}.")
    excited = next((name for name in EXCITATION if (alternator, name) in behaviour.study.index.terminal), None)
    b_plus = f"{alternator}.B+"
    running_v = _volts(behaviour, spots, b_plus, "running")
    battery = next((row for row in behaviour.study.vehicle.netlist.components if row.kind == "battery"), None)
    intro = (
        "Belts, fans and hot parts: sleeves tight, leads clear, nobody in line with the belt. Never take a battery "
        "clamp off with the engine running: the surge burns modules.",
        f"The lead from B+ is not fused on most cars: battery off before its nut is touched. Computed: {running_v} at "
        "B+ with the engine running.",
    )
    low = MeterQuestion(
        b_plus,
        at,
        "engine at a fast idle: volts from B+ to the alternator's case",
        (
            MeterAnswer(f"good: {running_v}, more than at the battery", _lead_verdict()),
            MeterAnswer("bad: no more than at the battery", _excitation(behaviour, spots, alternator, excited, at)),
        ),
    )
    root = MeterQuestion(
        "battery",
        battery.at if battery is not None else None,
        "engine at a fast idle, lights on: volts from post to post",
        (
            MeterAnswer(
                f"good: {RIGHT_V[0]} to {RIGHT_V[1]} V",
                Diagnosis("it charges", "Look for a drain instead: --symptom drains."),
            ),
            MeterAnswer(f"bad: under {RIGHT_V[0]} V", low),
            MeterAnswer(
                f"bad: over {RIGHT_V[1]} V",
                Diagnosis(
                    "the regulator lets it overcharge", "Change regulator or alternator; check its ground first."
                ),
            ),
        ),
    )
    return MeasurementPlan("charge", intro, root)


def _lead_verdict() -> Diagnosis:
    return Diagnosis(
        "the charging lead or the engine's ground loses it",
        f"Under load measure B+ to battery + (at most {LEAD_LOST_V} V) and alternator case to battery - (at most "
        f"{GROUND_LOST_V} V): clean the joint that loses more.",
    )


def _excitation(
    behaviour: Behaviour, spots: Spots, alternator: str, excited: str | None, at: str | None
) -> MeterQuestion | Diagnosis:
    """Key on, engine standing: the charge lamp's current must reach the field."""
    if excited is None:
        return Diagnosis(
            "the alternator itself, or what tells it to charge", "The file has no D+, L or 61: maker's test."
        )
    name = f"{alternator}.{excited}"
    standing_v = _volts(behaviour, spots, name, "run")
    arrives = Diagnosis(
        "brushes, field or regulator: excitation arrives and nothing comes out",
        "Field across brushes a few ohms (maker's value); mend or change the alternator.",
    )
    lost = Diagnosis(
        "the excitation does not arrive: charge lamp, its fuse, or the wire to it",
        f"Trace {name} with --symptom dead. A charge lamp left out or a LED in its place starves many alternators.",
    )
    unplugged = MeterQuestion(
        name,
        at,
        "key at run, engine standing, its plug off: volts from the plug's contact to the body",
        (MeterAnswer("good: battery volts through the lamp", arrives), MeterAnswer("bad: 0 V", lost)),
    )
    return MeterQuestion(
        name,
        at,
        "key at run, engine standing, plugged in: volts to the body, and look at the charge lamp",
        (
            MeterAnswer(f"good: {standing_v}, lamp lit", arrives),
            MeterAnswer("bad: 0 V, or battery volts, or lamp dark", unplugged),
        ),
    )


def _volts(behaviour: Behaviour, spots: Spots, terminal: str, stage: str) -> str:
    node = spots.node(terminal)
    volts = float(behaviour.state(Condition(stage)).solution.volts[node]) if node is not None else math.nan
    return "volts not known" if math.isnan(volts) else f"{volts:.1f} V"
