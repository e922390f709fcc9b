"""How long a wire is: as written, else along the loom by the table of places, else assumed.

Lengths are in m. A wire's ends lie where their connectors, splices or ground
points are ``at``; the table ``places`` gives the stretches of loom between such
places, and the shortest way along them is the wire's length.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from functools import cache, cached_property

from harnesscheck.model.records import Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.volts.resistances import DEFAULT_LENGTH_M, STRAP_LENGTH_M, Defaulted, Quantity


class Lengths:
    """The lengths of one car's wires."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        self._along = cache(self._shortest_m)

    def of(self, row: Pin | Wire, a: str, b: str) -> Quantity:
        """The length of the wire a row writes, between two ends (``C7:3``, a splice, a ground point)."""
        if row.length is not None:
            return row.length
        here, there = self._place(a), self._place(b)
        along_m = self._along(here, there) if here and there and self._stretches else None
        if along_m is not None:
            return along_m
        if self._is_ground(a) and self._is_ground(b):
            return Defaulted(STRAP_LENGTH_M, f"strap length not written: {STRAP_LENGTH_M:g} m assumed")
        return Defaulted(DEFAULT_LENGTH_M, f"wire length not written: {DEFAULT_LENGTH_M:g} m assumed")

    def _is_ground(self, end: str) -> bool:
        return end in self.vehicle.grounds

    def _place(self, end: str) -> str:
        """Where in the car an end is: two spellings of a place are one."""
        return _folded(self.vehicle.place_at(end))

    @cached_property
    def _stretches(self) -> dict[str, list[tuple[str, float]]]:
        found: dict[str, list[tuple[str, float]]] = defaultdict(list)
        for run in self.vehicle.netlist.runs:
            here, there = _folded(run.from_), _folded(run.to)
            found[here].append((there, run.length))
            found[there].append((here, run.length))
        return found

    def _shortest_m(self, a: str, b: str) -> float | None:
        """Dijkstra's shortest way between two places; None where the table does not join them."""
        best = {a: 0.0}
        queue = [(0.0, a)]
        while queue:
            far_m, here = heapq.heappop(queue)
            if here == b:
                return far_m
            if far_m > best[here]:
                continue
            for there, length_m in self._stretches.get(here, ()):
                if far_m + length_m < best.get(there, float("inf")):
                    best[there] = far_m + length_m
                    heapq.heappush(queue, (far_m + length_m, there))
        return None


def _folded(place: str) -> str:
    return " ".join(place.casefold().split())
