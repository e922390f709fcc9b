"""A decision as text for the terminal, as JSON, and as files: lists, work sheets, the finished car's netlist."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.choice import DONOR
from harnesscheck.compare.findings import Finding
from harnesscheck.compare.kinds import Severity
from harnesscheck.decide.flips import dominant, flips
from harnesscheck.decide.lists import Table, lists
from harnesscheck.decide.plan import Decision, Plan, Step
from harnesscheck.decide.reasons import answer, proof, reasons
from harnesscheck.decide.schedule import Schedule, Task, schedule
from harnesscheck.model.order import natural_key
from harnesscheck.network.sides import Study
from harnesscheck.report.document import alignment_document, finding_document, verdict_document
from harnesscheck.report.since import FORMAT
from harnesscheck.report.text import wrapped
from harnesscheck.report.verdict import verdict_of
from harnesscheck.write.tables import csv_text

SAFETY = (
    "Battery off, negative first, and one named person to put it on again.",
    "Airbags, belt tensioners and orange high-voltage wiring: nothing here is work on them. Stop, the maker's "
    "procedure, a person licensed for it.",
    "Interlocks (start inhibit, inertia cut-off, brake lamp, bonnet) are never bridged. New feeds are fused at the "
    "source. Bare metal under every ground.",
    "Brake, steering and throttle wiring: the maker's own parts only.",
    "Local codes and inspection rules stand above this plan.",
)


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


def timetable(decided: Decided, plan: Plan) -> Schedule:
    """Who does what when, by mean hours; what is done already takes no time."""
    tasks = [
        Task(step.id, 0.0 if step.done_h is not None else step.hours.mean_h, step.after, step.at) for step in plan.steps
    ]
    return schedule(tasks, decided.people)


# -- text


def decision_text(decided: Decided) -> str:
    """The whole answer."""
    decision, best = decided.decision, decided.decision.best
    lines = [f"donor: {decided.donor.vehicle.name}", f"shell: {decided.shell.vehicle.name}", ""]
    lines += wrapped(answer(best))
    lines += wrapped(proof(best))
    lines += wrapped(_hours_sentence(decided, best))
    lines += _headed("WHY", [line for one in reasons(decision) for line in _bullet(one)])
    if best.left:
        lines += _headed("WHAT IS LEFT", [line for one in best.left for line in _left_lines(one)])
    lines += _headed("ALTERNATIVES SIDE BY SIDE", list(_alternatives(decision)))
    lines += _headed("THE WORK, BY PLACE", list(_work_lines(best)))
    lines += _headed("WHO DOES WHAT WHEN", list(_schedule_lines(decided, best)))
    lines += _headed("WHAT WOULD CHANGE THE ANSWER", list(_flip_lines(decision)))
    lines += _headed("WHAT THE PROOF RESTS ON", [line for one in best.rests_on for line in _bullet(one)])
    lines += _headed("BEFORE ANYBODY STARTS", [line for one in SAFETY for line in _bullet(one)])
    return "\n".join(lines).rstrip("\n") + "\n"


def _bullet(text: str) -> list[str]:
    first, *others = wrapped(text, "    ")
    return [f"  - {first[4:]}", *others]


def _headed(title: str, lines: Sequence[str]) -> list[str]:
    return [title, "=" * len(title), *lines, ""] if lines else []


def _hours_sentence(decided: Decided, plan: Plan) -> str:
    found = timetable(decided, plan)
    days = found.length_h / decided.hours_per_day
    people = f"{decided.people} people" if decided.people > 1 else "one person"
    return (
        f"Half of such jobs take less than {plan.spread.p50_h:g} hours of work, nine in ten less than "
        f"{plan.spread.p90_h:g}. With {people} it takes about {found.length_h:.1f} h, {days:.1f} days."
    )


def _left_lines(finding: Finding) -> Iterator[str]:
    yield from wrapped(f"{finding.severity.word} {finding.kind} at {finding.donor}: {finding.text}", "  ")
    if finding.kind == "coded-part":
        yield from wrapped("The engine will not run with a coded set of two cars.", "     ")


def _columns(decision: Decision) -> list[tuple[str, Plan]]:
    columns = [("best", decision.best)]
    columns += [(f"no. {at}", plan) for at, plan in enumerate(decision.plans[1:], start=2)]
    for name, plan in (("donor", decision.all_donor), ("shell", decision.all_shell)):
        if plan is not None and all(plan.labels != other.labels for _, other in columns):
            columns.append((name, plan))
    return columns[:7]


def alternatives(decision: Decision) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The table of plans side by side: its head, and rows of a word and one cell a plan."""
    columns = _columns(decision)
    plans = [plan for _, plan in columns]
    rows = [
        (group.id, *("donor" if plan.labels[group.id] == DONOR else "shell" for plan in plans))
        for group in decision.best.groups
    ]
    rows += [
        ("hours, half", *(f"{plan.spread.p50_h:g}" for plan in plans)),
        ("hours, 9 in 10", *(f"{plan.spread.p90_h:g}" for plan in plans)),
        ("re-pinned plugs", *(str(plan.count("re-pin")) for plan in plans)),
        ("new wires", *(str(plan.count("new-wire") + plan.count("tail") + plan.count("lead")) for plan in plans)),
        ("housings", *(str(plan.count("housing")) for plan in plans)),
        ("risks left", *(str(sum(one.severity < Severity.DEAD for one in plan.left)) for plan in plans)),
        ("circuits lost", *(str(len(plan.lost)) for plan in plans)),
        ("proven", *("yes" if plan.proven else "no" for plan in plans)),
    ]
    return ("", *(name for name, _ in columns)), tuple(rows)


def _alternatives(decision: Decision) -> Iterator[str]:
    head, rows = alternatives(decision)
    first = max(len(row[0]) for row in rows)
    width = max(6, *(len(cell) for row in (head, *rows) for cell in row[1:]))
    for row in (head, *rows):
        yield "  " + f"{row[0]:<{first}}  " + " ".join(f"{cell:>{width}}" for cell in row[1:])
    yield ""
    shown = "No other choice is cheaper" if decision.shown_best else "Not shown to be the best"
    yield from wrapped(
        f"{shown}: {decision.labellings} choices weighed, {decision.checked} put together and judged.", "  "
    )


def by_place(plan: Plan) -> list[tuple[str, list[Step]]]:
    """The steps by place in the car; what has none comes first."""
    places: dict[str, list[Step]] = {}
    for step in plan.steps:
        places.setdefault(step.at, []).append(step)
    return sorted(places.items(), key=lambda one: natural_key(one[0]))


def _work_lines(plan: Plan) -> Iterator[str]:
    for place, steps in by_place(plan):
        yield place or "anywhere"
        for step in steps:
            done = f"done in {step.done_h:g} h" if step.done_h is not None else f"{step.hours.mean_h:.1f} h"
            first, *others = wrapped(f"{step.do} ({done}) [{step.id}]", "      ")
            yield from (f"  [ ] {first[6:]}", *others)
            if step.mends is not None:
                wire = " ".join(one for one in (step.mends.size, step.mends.colour) if one)
                if step.mends.kind == "new-wire" and wire:
                    yield f"      wire {wire}, {step.mends.length_m:g} m"


def _schedule_lines(decided: Decided, plan: Plan) -> Iterator[str]:
    found = timetable(decided, plan)
    for slot in found.slots:
        if slot.end_h > slot.start_h:
            yield f"  {slot.start_h:6.1f} - {slot.end_h:5.1f} h  person {slot.person}  {slot.task}"
    yield ""
    yield from wrapped(
        f"{found.length_h:.1f} h in all; no order of work takes less than {found.least_h:.1f} h. The chain that "
        f"decides: {', '.join(found.critical)}.",
        "  ",
    )
    shares = ", ".join(f"{name} {share:.0%}" for name, share in dominant(plan))
    if shares:
        yield from wrapped(f"What dominates the spread: {shares}.", "  ")
    if decided.not_steps:
        yield from wrapped(f"[done] names no step of this plan: {', '.join(decided.not_steps)}.", "  ")


def _flip_lines(decision: Decision) -> Iterator[str]:
    for flip in flips(decision)[:5]:
        word = "more" if flip.from_h > flip.now_h else "less"
        yield from _bullet(
            f"{flip.what}: at {flip.from_h:g} h or {word} instead of {flip.now_h:g} h: {answer(flip.other)}"
        )


# -- JSON


def _step(step: Step) -> dict[str, Any]:
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
    }


def decision_document(decided: Decided, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """The report of a decision."""
    decision = decided.decision
    best = decision.best
    return {
        "format": FORMAT,
        "command": "decide",
        "inputs": dict(inputs),
        "alignment": alignment_document(decided.pairs),
        "findings": [finding_document(one) for one in best.findings],
        "coverage": {"labellings": decision.labellings, "checked": decision.checked, "best": decision.shown_best},
        "verdict": verdict_document(verdict_of(best.findings, len(decided.pairs.connectors))),
        "plan": plan_document(best),
        "alternatives": [plan_document(plan) for _, plan in _columns(decision)[1:]],
        "flips": [
            {"what": one.what, "now": one.now_h, "from": one.from_h, "answer": answer(one.other)}
            for one in flips(decision)
        ],
    }


# -- files


def decision_files(decided: Decided) -> dict[str, bytes]:
    """Lists and work sheets as CSV, and the finished car as a netlist."""
    from harnesscheck.write.xml import xml_text

    best = decided.decision.best
    files = {f"{table.name}.csv": _csv(table) for table in lists(best, decided.donor, decided.shell)}
    files["work.csv"] = _csv(_work_table(decided, best))
    files["finished-car.xml"] = xml_text(best.car.netlist).encode("utf-8")
    return files


def _csv(table: Table) -> bytes:
    return csv_text(table.columns, [dict(row) for row in table.rows]).encode("utf-8")


def _work_table(decided: Decided, plan: Plan) -> Table:
    slots = {slot.task: slot for slot in timetable(decided, plan).slots}
    rows = tuple(
        {
            "place": place,
            "step": step.id,
            "do": step.do,
            "hours": f"{step.hours.mean_h:.2f}",
            "person": str(slots[step.id].person),
            "from-hour": f"{slots[step.id].start_h:.1f}",
            "after": " ".join(step.after),
            "initials": "",
        }
        for place, steps in by_place(plan)
        for step in steps
    )
    columns = ("place", "step", "do", "hours", "person", "from-hour", "after", "initials")
    return Table("work", "Every step by place, with room for initials", columns, rows)
