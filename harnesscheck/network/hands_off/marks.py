"""A mark: what is restraint or high voltage, how well that is founded, and why."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from harnesscheck.trade.lexicon import HIGH_VOLTAGE, RESTRAINT

HAZARDS = (RESTRAINT, HIGH_VOLTAGE)


@dataclass(frozen=True, slots=True, order=True)
class Mark:
    """That something is restraint or high voltage: known or only suspected, and why, in words."""

    hazard: str
    known: bool
    why: str

    @property
    def level(self) -> str:
        """``known`` or ``suspected``."""
        return "known" if self.known else "suspected"


Marks = tuple[Mark, ...]  # at most one a hazard, restraint first
NO_MARKS: Marks = ()


def together(marks: Iterable[Mark]) -> Marks:
    """The best founded mark of each hazard; of equals the first."""
    best: dict[str, Mark] = {}
    for mark in marks:
        held = best.get(mark.hazard)
        if held is None or (mark.known and not held.known):
            best[mark.hazard] = mark
    return tuple(best[hazard] for hazard in HAZARDS if hazard in best)
