"""Hold points: before a loom or plug with restraint or high-voltage wiring is touched, and before it goes live again.

Common practice, no source: the work stops there until the person who may do it has
done it by the maker's procedure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields

from harnesscheck.compare.finding.cautions import hold_closes, hold_opens, hold_waits
from harnesscheck.decide.moves import Move
from harnesscheck.decide.work import Repair
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.hands_off import HAZARDS, Mark


@dataclass(frozen=True, slots=True)
class Hold:
    """What one hazard asks for: three sentences, and the ids of the moves, and the work, that wait for it."""

    hazard: str
    waits: str
    opens: str
    closes: str
    moves: frozenset[str]
    plugs: frozenset[str]  # of the car that is put together; work at them waits


def holds(donor: Study, shell: Study, car: Study, moves: Sequence[Move], work: Iterable[Repair]) -> tuple[Hold, ...]:
    """The hold points of a plan, restraint first; none where nothing of the kind is moved or worked at."""
    worked = {plug for one in work for plug in plugs_of(one, car)}
    found = []
    for hazard in HAZARDS:
        behind: dict[str, dict[str, Mark]] = {}
        for move in moves:
            study = donor if move.car == "donor" else shell
            plugs = dict(_plugs(study, move, hazard))
            if plugs:
                behind[move.id] = plugs
        at = {plug: mark for plug in worked for mark in car.hands_off.plug(plug) if mark.hazard == hazard}
        marks = {name: mark for plugs in (*behind.values(), at) for name, mark in plugs.items()}
        if marks:
            mark = max(marks.values(), key=lambda one: one.known)
            names = tuple(marks)
            found.append(
                Hold(
                    hazard,
                    hold_waits(mark),
                    hold_opens(mark, names),
                    hold_closes(mark, names),
                    frozenset(behind),
                    frozenset(at),
                )
            )
    return tuple(found)


def _plugs(study: Study, move: Move, hazard: str) -> Iterator[tuple[str, Mark]]:
    """The plugs of a harness or part that is moved which only the licensed person opens."""
    vehicle = study.vehicle
    for name, marks in study.hands_off.plugs.items():
        row = vehicle.connectors[name]
        if (move.harness and row.harness == move.harness) or (move.part and row.component == move.part):
            yield from ((name, mark) for mark in marks if mark.hazard == hazard)


def plugs_of(one: Repair, car: Study) -> frozenset[str]:
    """The plugs of the car that a piece of work is done at."""
    names = {one.connector}
    for edit in one.edits:
        values = (getattr(edit, field.name) for field in fields(edit))
        names |= {value.partition(":")[0] for value in values if isinstance(value, str)}
    return frozenset(names & car.vehicle.connectors.keys())
