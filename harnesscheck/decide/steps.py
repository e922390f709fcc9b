"""All steps of a plan in order: battery off, out, in, mend, ring out, first power; each with what must be before it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from harnesscheck.compare.finding.cautions import guarded
from harnesscheck.decide.holds import Hold, plugs_of
from harnesscheck.decide.hours import Estimate
from harnesscheck.decide.moves import Move
from harnesscheck.decide.plan import WorkStep
from harnesscheck.decide.work import Repair
from harnesscheck.network.graph.sides import Study

HOLD = Estimate(0.3, 0.5, 1.0)  # h, for the licensed person; common practice, no source
BATTERY_OFF, CLOSE_UP, POWER = "battery-off", "ring-out", "first-power-up"
_WORD = re.compile(r"[^A-Za-z0-9.]+")


def all_steps(
    moves: Sequence[Move], work: Sequence[Repair], done_h: Mapping[str, float], car: Study, stops: Sequence[Hold] = ()
) -> tuple[WorkStep, ...]:
    """The steps; ids do not change with the order of files or of findings. ``done_h`` is by step id.

    ``car`` is the one that is put together; ``stops`` are its hold points.
    """
    known = {move.id for move in moves}
    steps = [
        WorkStep(
            BATTERY_OFF, "Battery off, negative first; name the person who may put it on again", Estimate(0.1, 0.1, 0.2)
        )
    ]
    steps += [step for stop in stops for step in _opening(stop)]
    for move in moves:
        after = tuple(name for name in move.after if name in known)
        held = tuple(f"open-{stop.hazard}" for stop in stops if move.id in stop.moves)
        steps.append(WorkStep(move.id, move.do, move.hours, move.at, (BATTERY_OFF, *held, *after), move=move))
    placed = tuple(move.id for move in moves if move.way == "in") or (BATTERY_OFF,)
    taken: set[str] = set()
    before: dict[str, str] = {}
    for one in work:
        id = _free(_id(one), taken)
        chain = (before[one.connector],) if one.connector in before else ()
        plugs = plugs_of(one, car)
        held = tuple(f"open-{stop.hazard}" for stop in stops if plugs & stop.plugs)
        do = guarded(one.do, *((car, plug) for plug in sorted(plugs)))
        steps.append(WorkStep(id, do, one.hours, one.at, (*placed, *held, *chain), one))
        if one.connector:
            before[one.connector] = id
    mending = tuple(step.id for step in steps if step.mends is not None)
    steps.append(
        WorkStep(
            CLOSE_UP,
            "Ring out what was worked on by the list (ring-out-first), before any module is plugged in",
            Estimate(0.3, 0.5, 1.0).times(max(1.0, len(mending) / 4)),
            "",
            (*placed, *mending),
        )
    )
    closing = [WorkStep(f"close-{one.hazard}", one.closes, HOLD, "", (CLOSE_UP,)) for one in stops]
    steps += closing
    steps.append(
        WorkStep(
            POWER,
            "First power-up by the list: 21 W lamp in series, key off, fuse by fuse",
            Estimate(1.0, 1.5, 3.0),
            "",
            (CLOSE_UP, *(step.id for step in closing)),
        )
    )
    return tuple(replace(step, done_h=done_h.get(step.id)) for step in steps)


def _opening(stop: Hold) -> Iterator[WorkStep]:
    """The waiting time, or the making dead, and then the opening."""
    wait = f"wait-{stop.hazard}"
    yield WorkStep(wait, stop.waits, Estimate(0.2, 0.3, 0.5), "", (BATTERY_OFF,))
    yield WorkStep(f"open-{stop.hazard}", stop.opens, HOLD, "", (wait,))


def _id(one: Repair) -> str:
    name = one.connector or one.to
    words = ["" if name.startswith(f"{one.kind}-") else one.kind, name, one.cavity if one.kind != "re-pin" else ""]
    return _WORD.sub("-", "-".join(word for word in words if word))


def _free(wish: str, taken: set[str]) -> str:
    name, count = wish, 1
    while name in taken:
        count += 1
        name = f"{wish}-{count}"
    taken.add(name)
    return name


def unknown_steps(steps: Iterable[WorkStep], done_h: Mapping[str, float]) -> tuple[str, ...]:
    """Names in ``[done]`` that are no step of a plan."""
    ids = {step.id for step in steps}
    return tuple(name for name in done_h if name not in ids)
