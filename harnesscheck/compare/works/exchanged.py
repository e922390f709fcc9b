"""Two loads that change places: each works in the other car exactly where the other one does here."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import TYPE_CHECKING

from harnesscheck.compare.works.motion import said_of
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.volts.circuit import Load

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_ON_THE_ROAD = frozenset(
    {"stop", "tail", "beam", "turn", "fog", "reverse", "plate", "head", "sidelight", "daytime", "hazard"}
)


def exchanged(numbers: Sequence[int], ours: NDArray[np.int8], theirs: NDArray[np.int8]) -> Iterator[tuple[int, int]]:
    """The pairs, of some loads, that have changed places; rows are conditions, columns loads, 0 is off."""
    taken: set[int] = set()
    for a, b in combinations(numbers, 2):
        if taken & {a, b} or (ours[:, a] == ours[:, b]).all():
            continue
        if (theirs[:, a] == ours[:, b]).all() and (theirs[:, b] == ours[:, a]).all():
            taken |= {a, b}
            yield a, b


def is_road_lamp(vehicle: Vehicle, load: Load) -> bool:
    """Whether a load is a lamp by which others on the road know what a car does."""
    is_lamp = "lamp" in (vehicle.components[load.component].kind, load.kind)
    return is_lamp and not _ON_THE_ROAD.isdisjoint(said_of(vehicle, load))
