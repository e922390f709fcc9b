"""Where a mark ends: at the ground, and at a feed or a data line that ordinary parts share."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.graph.index import Index
from harnesscheck.network.graph.reach import Reach
from harnesscheck.trade.terminals import feed_class

RAIL_ROLES = frozenset({"supply", "ground", "source"})

_SUPPLIERS = FUSES | {"switch", "relay"}
_RAIL_CLASSES = frozenset({"permanent", "accessory", "run", "start", "feed", "ground"})


class Trunks:
    """Which nets of a car are trunks, for marked parts that may grow more."""

    def __init__(self, vehicle: Vehicle, index: Index, reach: Reach, parts: Collection[str]) -> None:
        self._vehicle = vehicle
        self._index = index
        self._reach = reach
        self._parts = parts
        self._fed = self._fed_by_ordinary_sources()

    def is_trunk(self, net: int, by_part: bool) -> bool:
        """Whether a net is the ground, or a feed or data line that ordinary parts share."""
        index = self._index
        pieces = index.pieces_of[net]
        if any(piece in index.ground_pieces or piece in self._reach.grounded.ways for piece in pieces):
            return True
        ends = [end for piece in pieces for end in index.terminals_of[piece]]
        others = [end for end in ends if end[0] not in self._parts]
        consumers = [name for name, _ in others if self._vehicle.components[name].kind not in _SUPPLIERS]
        if self.is_rail(pieces, ends):
            return bool(consumers)
        return by_part and bool(consumers) and self._is_data(pieces, ends)

    def is_rail(self, pieces: Iterable[int], ends: Iterable[tuple[str, str]]) -> bool:
        """Whether a net is a feed or a ground: by reach, by its circuit's class or number, by the terminals on it."""
        index = self._index
        for piece in pieces:
            if piece in self._fed:
                return True
            for name in index.circuits_of[piece]:
                row = self._vehicle.circuits.get(name)
                if (row is not None and row.class_ in _RAIL_CLASSES) or feed_class(name) is not None:
                    return True
        return any(self._index.role(*end) in RAIL_ROLES for end in ends)

    def _fed_by_ordinary_sources(self) -> frozenset[int]:
        """The pieces that an ordinary battery or alternator may feed, through anything but a load or the ground."""
        index, reach = self._index, self._reach
        grounded = reach.grounded.ways
        special = {index.piece_of[node] for (name, _), node in index.terminal.items() if name in self._parts}
        found = {piece for piece in reach.sources if piece not in special and piece not in grounded}
        queue = list(found)
        for here in queue:
            for other, _ in reach.steps[here]:
                if other not in found and other not in grounded:
                    found.add(other)
                    queue.append(other)
        return frozenset(found)

    def _is_data(self, pieces: Iterable[int], ends: Iterable[tuple[str, str]]) -> bool:
        rows = [self._vehicle.circuits.get(name) for piece in pieces for name in self._index.circuits_of[piece]]
        if any(row is not None and (row.class_ == "data" or row.bus or row.signal in ("can", "lin")) for row in rows):
            return True
        return any(self._index.role(*end) == "data" for end in ends)
