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

    def _place(self, end: str) -> str | None:
        """Where in the car an end is, as the file calls the place."""
        vehicle = self.vehicle
        connector = vehicle.connectors.get(end.partition(":")[0])
        if connector is not None:
            owner = vehicle.components.get(connector.component or "")
            return connector.at or (owner.at if owner is not None else None)
        point = vehicle.splices.get(end) or vehicle.grounds.get(end)
        return point.at if point is not None else None

    @cached_property
    def _stretches(self) -> dict[str, list[tuple[str, float]]]:
        found: dict[str, list[tuple[str, float]]] = defaultdict(list)
        for run in self.vehicle.netlist.runs:
            found[run.from_].append((run.to, run.length))
            found[run.to].append((run.from_, run.length))
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
