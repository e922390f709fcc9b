"""A piece of work that mends something, with its hours, and the rates hours are made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from harnesscheck.decide.hours import NO_TIME, Estimate, estimate
from harnesscheck.fields import dashed
from harnesscheck.model.edits import Edit
from harnesscheck.trade.rates import RATES_H

RepairKind = Literal["re-pin", "insulate", "new-wire", "housing", "lead", "tail", "strap", "unplug", "fuse"]


@dataclass(frozen=True, slots=True)
class Rates:
    """Hours for one piece of each sort of work; ``said`` are a person's own."""

    said: Mapping[str, Sequence[float]] = field(default_factory=dict)

    def of(self, name: str, times: float = 1.0) -> Estimate:
        """A piece of work, ``times`` over."""
        own = {dashed(key): hours for key, hours in self.said.items()}
        return estimate(own.get(name, RATES_H[name])).times(times)

    @property
    def names(self) -> tuple[str, ...]:
        """Every sort of work there is a rate for."""
        return tuple(RATES_H)

    @property
    def unknown(self) -> tuple[str, ...]:
        """What a person gave hours for that is no sort of work."""
        return tuple(key for key in self.said if dashed(key) not in RATES_H)


@dataclass(frozen=True, slots=True)
class Repair:
    """One step at the bench: what to do, the edits that do it on paper, and what it is to remove.

    ``connector``, ``cavity``, ``to`` are in the finished car's words; ``length_m``,
    ``size``, ``colour``, ``fuse`` describe a new wire and what protects it.
    ``serves`` names the findings it is to remove, ``assumed`` what it rests on.
    """

    kind: RepairKind
    do: str
    edits: tuple[Edit, ...]
    hours: Estimate = NO_TIME
    connector: str = ""
    cavity: str = ""
    to: str = ""
    circuit: str = ""
    size: str = ""
    colour: str = ""
    length_m: float | None = None
    fuse: str = ""
    at: str = ""
    serves: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    plug: str = ""  # the donor's, that is cut off with its tail
