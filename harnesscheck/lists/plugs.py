"""Every plug that comes apart, once: which half is named, what it goes into, where it is, what its flag says."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from harnesscheck.compare.finding.cautions import leave
from harnesscheck.lists.listtable import UNPLACED
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Component, Connector
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.hands_off import Marks


@dataclass(frozen=True, slots=True)
class MatedPlug:
    """A mated pair by the half that is a harness's; ``part`` is what the other half sits on, where it sits on one."""

    half: Connector
    mate: Connector
    part: Component | None
    place: str
    marks: Marks

    @property
    def part_name(self) -> str:
        """What a person calls the part."""
        return (self.part.name or self.part.id) if self.part is not None else ""

    def flag(self, words: str) -> str:
        """The text for the flag on both halves: to be left alone, else some words."""
        return leave(self.marks) if self.marks else words


def mated_plugs(
    study: Study, harnesses: Collection[str | None] | None = None, *, loom: bool = False
) -> Iterator[MatedPlug]:
    """Every mated pair once, in the natural order of its halves, by the half of one of some harnesses, or of any.

    With ``loom`` a plug of which nobody wrote where it is counts as where its harness is.
    """
    vehicle = study.vehicle
    done: set[str] = set()
    for row in sorted(vehicle.netlist.connectors, key=lambda row: (row.component is not None, natural_key(row.id))):
        mate = vehicle.mate_of.get(row.id)
        if mate is None or row.id in done or (harnesses is not None and row.harness not in harnesses):
            continue
        done |= {row.id, mate}
        other = vehicle.connectors[mate]
        place = vehicle.place_of(row.id, loom=loom) or UNPLACED
        yield MatedPlug(row, other, vehicle.components.get(other.component or ""), place, study.hands_off.plug(row.id))


def by_place(study: Study) -> Iterator[tuple[str, list[MatedPlug]]]:
    """All mated pairs of a car, place by place."""
    places: dict[str, list[MatedPlug]] = defaultdict(list)
    for plug in mated_plugs(study):
        places[plug.place].append(plug)
    yield from sorted(places.items(), key=lambda item: (item[0] == UNPLACED, natural_key(item[0])))
