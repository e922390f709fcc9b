"""A decision in words and as JSON."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.choice import DONOR
from harnesscheck.compare.finding.cautions import GENERAL
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.decide.flips import dominant, flips
from harnesscheck.decide.grounds import Grounds
from harnesscheck.decide.plan import Decision, Plan, WorkStep
from harnesscheck.decide.reasons import answer, answer_of, headline, proof
from harnesscheck.decide.schedule import Schedule, Task, schedule
from harnesscheck.decide.steps import BATTERY_OFF, CLOSE_UP, POWER
from harnesscheck.model.order import natural_key
from harnesscheck.model.shortened import shortened
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.document import envelope, finding_document
from harnesscheck.report.verdict import verdict_of
from harnesscheck.trade.sizes import with_unit

CAUTIONS = (
    "Battery off, negative first, and one named person to put it on again.",
    GENERAL,
    "Interlocks (start inhibit, inertia cut-off, brake lamp, bonnet) are never bridged. New feeds are fused at the "
    "source. Bare metal under every ground.",
    "Brake, steering and throttle wiring: the maker's own parts only.",
    "Local codes and inspection rules stand above this plan.",
)


ALL_D, ALL_S = "all D", "all S"
PLAIN = {ALL_D: "everything from the donor", ALL_S: "the shell keeps everything"}
FIRST, ANYWHERE, LAST = "first of all", "anywhere", "last of all"
DONOR_CAR = "donor car"
MOST_NOT_KNOWN = 12
MOST_LEFT = 12
SMALLER = {Severity.REWORK: "to rework", Severity.NOTE: "worth knowing"}


@dataclass(frozen=True)
class Decided:
    """A decision with what its report needs beside it."""

    decision: Decision
    donor: Study
    shell: Study
    pairs: Pairs
    people: int = 1
    hours_per_day: float = 8.0
    not_steps: tuple[str, ...] = ()  # names in [done] that are no step
    grounds: Grounds | None = None  # where the files do not allow a decision: what stands all the same


def timetable(decided: Decided, plan: Plan) -> Schedule:
    """Who does what when, by mean hours; what is done already takes no time."""
    tasks = [
        Task(step.id, 0.0 if step.done_h is not None else step.hours.mean_h, step.after, where(step))
        for step in plan.steps
    ]
    return schedule(tasks, decided.people)


def where(step: WorkStep) -> str:
    """The place of a step; what comes out of the donor is work at another car."""
    return f"{DONOR_CAR}, {step.at}" if step.at and step.is_at_donor else step.at


# -- words

REFUSED = (
    "These files do not say which harnesses to take: no battery and nothing behind it is known, so nothing could be "
    "tried."
)
REFUSED_PROOF = "No choice is made and none is proven; what can be said all the same stands below."


def answer_said(decided: Decided) -> tuple[str, str]:
    """The answer and whether it is proven; where the files allow none, that they do not."""
    best = decided.decision.best
    return (headline(best), proof(best)) if decided.grounds is None else (REFUSED, REFUSED_PROOF)


def hours_sentence(decided: Decided, plan: Plan) -> str:
    """How much work it is, and how long it takes with the people there are."""
    found = timetable(decided, plan)
    days = found.length_h / decided.hours_per_day
    people = f"{decided.people} people" if decided.people > 1 else "one person"
    done = sum(step.done_h for step in plan.steps if step.done_h is not None)
    so_far = f", {done:g} of them done" if done else ""
    rest = "the rest takes" if done else "it takes"
    return (
        f"Half of such jobs take less than {plan.spread.p50_h:g} hours of work{so_far}, nine in ten less than "
        f"{plan.spread.p90_h:g}. With {people} {rest} about {found.length_h:.1f} hours: "
        f"{_days(days)} of {decided.hours_per_day:g} hours."
    )


def _days(days: float) -> str:
    return f"{days:.1f} day{'' if round(days, 1) == 1 else 's'}"


LEFT_SAYS = "Here is the donor as its maker built it, there is the finished car."


def left_sentence(finding: Finding) -> str:
    """What a fault that is left is, where, and what it means."""
    parts = (finding.donor_component, finding.shell_component)
    spots = (str(spot) for spot in (finding.donor, finding.shell) if spot.connector)
    place = next((name for name in (*spots, *parts) if name), "the whole car")
    accepted = f" Accepted: {finding.accepted}" if finding.accepted else ""
    return f"{finding.severity.word}, {finding.kind.replace('-', ' ')} at {place}: {finding.text}{accepted}"


def columns(decision: Decision) -> list[tuple[str, Plan]]:
    """The plans shown side by side, each with a short name; both plain answers are among them where they are allowed.

    Seven at most, which is what fits in 80 columns.
    """
    found = [("best", decision.best)]
    pure = [plan for plan in (decision.all_donor, decision.all_shell) if plan is not None]
    others = [plan for plan in decision.plans[1:] if all(plan.labels != one.labels for one in pure)]
    room = 6 - sum(plan.labels != decision.best.labels for plan in pure)
    found += [(f"no. {at}", plan) for at, plan in enumerate(others[:room], start=2)]
    for name, plan in ((ALL_D, decision.all_donor), (ALL_S, decision.all_shell)):
        if plan is not None and plan.labels != decision.best.labels:
            found.append((name, plan))
    return found


def alternatives(decision: Decision) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The table of plans side by side: its head, and rows of a word and one cell a plan."""
    shown = columns(decision)
    plans = [plan for _, plan in shown]
    rows = [
        (group.id, *("donor" if plan.labels[group.id] == DONOR else "shell" for plan in plans))
        for group in decision.best.groups
    ]
    rows += [
        ("hours, 5 in 10 under", *(f"{plan.spread.p50_h:g}" for plan in plans)),
        ("hours, 9 in 10 under", *(f"{plan.spread.p90_h:g}" for plan in plans)),
        ("plugs re-pinned", *(str(plan.count("re-pin")) for plan in plans)),
        ("new wires, tails", *(str(plan.count("new-wire") + plan.count("tail")) for plan in plans)),
        ("adapter leads", *(str(plan.count("lead")) for plan in plans)),
        ("housings", *(str(plan.count("housing")) for plan in plans)),
        ("risks left", *(str(sum(one.severity < Severity.DEAD for one in plan.left)) for plan in plans)),
        ("circuits lost", *(str(len(plan.lost)) for plan in plans)),
        ("proven on paper", *("yes" if plan.proven else "no" for plan in plans)),
    ]
    return ("", *(name for name, _ in shown)), tuple(rows)


def weighed(decision: Decision) -> str:
    """How sure it is that nothing is better, and what the columns' names mean."""
    shown = "No other choice is cheaper" if decision.shown_best else "Not shown to be the best"
    choices = "one choice" if decision.labellings == 1 else f"{decision.labellings} choices"
    names = {name for name, _ in columns(decision)}
    plain = "; ".join(f"{name}: {means}" for name, means in PLAIN.items() if name in names)
    told = f" {plain}." if plain else ""
    return (
        f"{shown}: {choices} weighed, {decision.checked} put together and judged.{told} Risks burn or destroy "
        "something; a circuit lost stays dead."
    )


def by_place(decided: Decided, plan: Plan) -> list[tuple[str, list[WorkStep]]]:
    """The steps by place in the car, in the order in which work there begins.

    Before them what comes first of all, after them what comes last; both under a heading instead of a place.
    """
    start_h = {slot.task: slot.start_h for slot in timetable(decided, plan).slots}
    places: dict[str, list[WorkStep]] = {}
    for step in sorted(plan.steps, key=lambda step: (start_h[step.id], natural_key(step.id))):
        places.setdefault(_heading(step), []).append(step)
    return sorted(places.items(), key=lambda one: (one[0] == LAST) - (one[0] == FIRST))


def _heading(step: WorkStep) -> str:
    if step.id == BATTERY_OFF:
        return FIRST
    if step.id in (CLOSE_UP, POWER):
        return LAST
    return where(step) or (DONOR_CAR if step.is_at_donor else ANYWHERE)


def step_materials(step: WorkStep) -> str:
    """The wire that a step needs: size, colour, metres; empty where it needs none."""
    mends = step.mends
    if mends is None or mends.kind != "new-wire":
        return ""
    length = f"{mends.length_m:g} m" if mends.length_m is not None else ""
    return " ".join(word for word in ("wire", with_unit(mends.size), mends.colour, length) if word)


def schedule_sentences(decided: Decided, plan: Plan) -> Iterator[str]:
    """How long it takes, how far from best that can be, what it hangs on."""
    found = timetable(decided, plan)
    yield (
        f"{found.length_h:.1f} hours from start to end; however the work is given out, it cannot be less than "
        f"{found.least_h:.1f}. What the end hangs on, one after the other: {', '.join(found.critical)}."
    )
    shares = ", ".join(f"{name} ({share:.0%})" for name, share in dominant(plan))
    if shares:
        yield f"Most of what is uncertain about the hours is in {shares}."
    if decided.not_steps:
        yield f"[done] names no step of this plan: {', '.join(decided.not_steps)}."


def flip_sentences(decision: Decision) -> Iterator[str]:
    """The close calls."""
    for near in decision.near:
        hours = f"{abs(near.saved_h):.1f} hours {'less' if near.saved_h >= 0 else 'more'}"
        yield f"{near.what}, another answer would win, with {hours}. {answer_of(decision.best.groups, near.labels)}"
    for flip in flips(decision)[:5]:
        word = "more" if flip.from_h > flip.now_h else "less"
        yield (
            f"{flip.what}: at {flip.from_h:g} h or {word} instead of {flip.now_h:g} h another answer is as good: "
            f"{answer(flip.other)}"
        )


def rests_on(plan: Plan) -> Iterator[str]:
    """What the answer rests on, and what nobody wrote down where work is done."""
    yield from (text[:1].upper() + text[1:] + "." for text in plan.rests_on)
    if plan.not_known_at:
        yield (
            f"Nobody wrote down what is in {shortened(plan.not_known_at, MOST_NOT_KNOWN)}, on plugs that are worked "
            "on, in which the two cars meet, or of parts nothing in the donor's file turns on: ring these out before "
            "power is on."
        )
    smaller = Counter(one.severity for one in plan.findings if one.severity > Severity.DEAD)
    if smaller:
        told = " and ".join(f"{number} {SMALLER[severity]}" for severity, number in sorted(smaller.items()))
        yield f"Smaller things found on the finished car: {told}; compare the donor with finished-car.xml to see them."


# -- JSON


def _step(step: WorkStep) -> dict[str, Any]:
    mends = step.mends
    return {
        "id": step.id,
        "do": step.do,
        "connector": mends.connector if mends else "",
        "cavity": mends.cavity if mends else "",
        "to": mends.to if mends else "",
        "circuit": mends.circuit if mends else "",
        "size": mends.size if mends else "",
        "colour": mends.colour if mends else "",
        "length": mends.length_m if mends else None,
        "fuse": mends.fuse if mends else "",
        "at": step.at,
        "hours": [round(value, 3) for value in (step.counted.best_h, step.counted.likely_h, step.counted.worst_h)],
        "after": list(step.after),
    }


def plan_document(plan: Plan) -> dict[str, Any]:
    """One plan."""
    harness = {name: plan.labels[group.id] for group in plan.groups for name in group.donor}
    for group in plan.groups:
        if not group.donor:
            harness |= {f"shell:{name}": plan.labels[group.id] for name in group.shell}
    return {
        "harness": harness,
        "steps": [_step(step) for step in plan.steps],
        "proven": plan.proven,
        "rests_on": list(plan.rests_on),
        "hours": {"p50": plan.spread.p50_h, "p90": plan.spread.p90_h},
        "left": [finding_document(one) for one in plan.left],
        "not_known": list(plan.not_known_at),
    }


def decision_document(decided: Decided, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """The report of a decision."""
    decision = decided.decision
    best = decision.best
    said, proven = answer_said(decided)
    verdict = replace(verdict_of(best.findings, len(decided.pairs.connectors)), sentence=f"{said} {proven}")
    document = envelope(
        "decide",
        inputs,
        {"donor": decided.donor, "shell": decided.shell},
        pairs=decided.pairs,
        findings=best.findings,
        coverage={"labellings": decision.labellings, "checked": decision.checked, "best": decision.shown_best},
        verdict=verdict,
    )
    return {
        **document,
        "plan": plan_document(best),
        "alternatives": [
            *(plan_document(plan) for _, plan in columns(decision)[1:]),
            *([plan_document(decision.whole)] if decision.whole is not None else []),
        ],
        "flips": [
            {"what": one.what, "now": one.now_h, "from": one.from_h, "answer": answer(one.other)}
            for one in flips(decision)
        ],
        "near": [
            {
                "what": one.what,
                "saved": one.saved_h,
                "harness": dict(one.labels),
                "left": [finding_document(finding) for finding in one.left],
            }
            for one in decision.near
        ],
        "schedule": _schedule(decided, best),
        "grounds": _grounds(decided.grounds),
    }


def _grounds(grounds: Grounds | None) -> dict[str, list[str]]:
    """What stands and what is missing where the files do not allow a decision; empty lists where they do."""
    known = grounds or Grounds((), (), ())
    return {"stands": list(known.stands), "cannot": list(known.cannot), "ask": list(known.ask)}


def _schedule(decided: Decided, plan: Plan) -> dict[str, Any]:
    found = timetable(decided, plan)
    return {
        "people": decided.people,
        "hours": round(found.length_h, 3),
        "least": round(found.least_h, 3),
        "critical": list(found.critical),
        "slots": [
            {
                "step": slot.task,
                "person": slot.person,
                "from": round(slot.start_h, 3),
                "to": round(slot.end_h, 3),
            }
            for slot in found.slots
        ],
    }
