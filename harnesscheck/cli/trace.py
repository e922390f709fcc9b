"""``harnesscheck trace``."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from harnesscheck.cli.shared import (
    digest,
    limit_options,
    limits_of,
    netlists,
    say,
    stop_for,
    write_out,
)

if TYPE_CHECKING:
    from harnesscheck.bench.targets import Target
    from harnesscheck.network.states import Behaviour, Condition
    from harnesscheck.report.traced import Traced

KEYS = ("off", "accessory", "run", "start")
SYMPTOMS = ("dead", "dim", "always-on", "blows-fuse", "drains", "charge")


@click.command("trace")
@click.argument("vehicle", type=click.Path())
@click.argument("target")
@click.option("--key", type=click.Choice(KEYS), help="Trace with the key here instead of where the load works.")
@click.option("--state", metavar="WORDS", help='Key and controls: "run light-switch=side"; running for the engine.')
@click.option("--symptom", type=click.Choice(SYMPTOMS), help="Say which measurement comes next for this complaint.")
@click.option("--json", "json_file", metavar="FILE", help="Write the trace as JSON; - is standard output.")
@limit_options
def command(
    vehicle: str,
    target: str,
    key: str | None,
    state: str | None,
    symptom: str | None,
    json_file: str | None,
    max_mb: int | None,
    max_depth: int | None,
    max_rows: int | None,
) -> None:
    """Follow TARGET of VEHICLE up to the feed and down to the ground.

    TARGET is a cavity (C12:4), a part, a part's terminal (fuel-pump.+), a circuit,
    a splice, a ground point or a fuse. Where several things answer to it they are
    listed.
    """
    from harnesscheck.bench.trace import trace
    from harnesscheck.network.sides import Study
    from harnesscheck.network.states import Behaviour
    from harnesscheck.read import configure
    from harnesscheck.report.document import json_text
    from harnesscheck.report.trace import trace_document, trace_text
    from harnesscheck.report.tracing import told

    (netlist,) = netlists([vehicle], limits_of(max_mb, max_depth, max_rows))
    behaviour = Behaviour(Study(configure(netlist)))
    asked = _condition(behaviour, state, key)
    wanted = _target(vehicle, behaviour, target, symptom)
    traced = told(trace(behaviour, wanted, asked), "vehicle", asked=asked is not None)
    if symptom is not None:
        traced = _planned(vehicle, traced, symptom)
    if json_file is not None:
        document = trace_document(traced, {"donor": {"file": vehicle, "digest": digest(vehicle)}})
        write_out(json_file, json_text(document), [vehicle])
    if json_file != "-":
        say(trace_text(traced), end="")


def _planned(path: str, traced: Traced, symptom: str) -> Traced:
    """The trace with the plan for a complaint under it; a message where there can be none."""
    from harnesscheck.bench.symptoms import NoPlan, plan_for
    from harnesscheck.report.plan_text import plan_document, plan_section

    if traced.trace.stop:
        return traced
    try:
        plan = plan_for(traced.trace, symptom)
    except NoPlan as why:
        stop_for(path, f"{traced.trace.target.name} --symptom {symptom}", str(why))
    return replace(traced, sections=(plan_section(plan),), tree=plan_document(plan))


def _target(path: str, behaviour: Behaviour, text: str, symptom: str | None) -> Target:
    """The one thing a text means; otherwise a message with all it may mean, or with names like it."""
    from harnesscheck.bench.targets import close_names, targets

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
    from harnesscheck.bench.conditions import WrongState, read_condition

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
