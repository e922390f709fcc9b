"""Everything a trace's report is made from: the chain, the car as found, loose ends, the tree of measurements."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from harnesscheck.bench.trace.orphans import Liveness
from harnesscheck.bench.trace.spots import ProbeSpot
from harnesscheck.bench.trace.trace import Trace
from harnesscheck.bench.trace.ways import WayHop
from harnesscheck.lists.looseends import LooseEnd
from harnesscheck.network.graph.sides import Study
from harnesscheck.report.blocks.vocabulary import Section


@dataclass(frozen=True)
class Traced:
    """What is told of one target. ``cars`` says by an element's name from which car it is.

    ``found`` says that the steps hold what is read on the car as it was found.
    """

    trace: Trace
    word: str  # donor, shell, assembled, vehicle
    car_name: str
    asked: bool = False  # a condition was asked for
    found: bool = False
    alarms: tuple[str, ...] = ()  # said before anything else
    notes: tuple[str, ...] = ()
    breaks: tuple[str, ...] = ()
    net: tuple[ProbeSpot, ...] = ()
    net_wires: tuple[WayHop, ...] = ()
    ends: tuple[LooseEnd, ...] = ()
    live: Liveness | None = None
    functions: tuple[str, ...] = ()
    once_fed: tuple[str, ...] = ()
    alike: tuple[str, ...] = ()  # wires called or coloured as a loose one is, in both cars
    other_study: Study | None = None
    cars: Mapping[str, str] = field(default_factory=dict)
    sections: tuple[Section, ...] = ()
    tree: Any = None
