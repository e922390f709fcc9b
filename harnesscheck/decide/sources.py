"""Where a new wire can start: ends in a harness that do what a contact needs.

A ground is any stud of the body. A steady feed is one with the same key positions
behind one fuse; anything else must lead to the very terminals the contact met
in the donor. Restraint and high voltage are never a source. Where the harness
has none, the wire is led through free cavities of an in-line plug from the next.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from harnesscheck.compare.context import Context
from harnesscheck.model.edits import LOOSE_ENDS, AddWire, Conductor, Edit, Tap
from harnesscheck.model.order import natural_key
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.index import EMPTY
from harnesscheck.network.graph.sides import FEEDS, NOTHING, Label, Side
from harnesscheck.trade.fuses import protection_for_wire

HARNESSES_CROSSED = 3
METRIC_MM2 = (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0)  # IEC 60228 nominal areas
_UNFUSED = "unfused"


@dataclass(frozen=True, slots=True)
class WireSource:
    """An end to start from, the fuse behind it, and the free cavities it is led through, from the source on."""

    end: str
    fuse: str
    through: tuple[tuple[str, str], ...] = ()  # (end on the source's side, end on the other side)

    def edits(self, to: str, conductor: Conductor) -> tuple[Edit, ...]:
        """The wires that lead from here to a free cavity; the first is tapped on where a contact is in use here."""
        ends = [self.end, *(end for hop in self.through for end in hop), to]
        first, *others = zip(ends[::2], ends[1::2], strict=True)
        start = Tap(*first, conductor) if ":" in self.end else AddWire(*first, conductor)
        return (start, *(AddWire(near, far, conductor) for near, far in others))


class Sources:
    """Finds sources in one car."""

    def __init__(self, ctx: Context, unplugged: frozenset[str] = frozenset()) -> None:
        self.ctx = ctx
        self._unplugged = unplugged
        self.car = ctx.shell
        self.vehicle = ctx.shell.vehicle
        self._known: dict[tuple[str | None, Side], tuple[str, str] | None] = {}

    def best(self, harness: str | None, was: Side) -> WireSource | None:
        """The nearest source for what a contact met in the donor, or None."""
        seen: set[str | None] = set()
        front: list[tuple[str | None, tuple[tuple[str, str], ...]]] = [(harness, ())]
        for _ in range(HARNESSES_CROSSED):
            for here, through in front:
                found = self._in(here, was)
                if found is not None:
                    return WireSource(found[0], found[1], through)
            seen.update(here for here, _ in front)
            front = [step for here, through in front for step in self._next(here, through, seen)]
        return None

    def _next(
        self, harness: str | None, through: tuple[tuple[str, str], ...], seen: set[str | None]
    ) -> Iterator[tuple[str | None, tuple[tuple[str, str], ...]]]:
        """The harnesses behind in-line plugs that have a cavity free in both halves."""
        for other, hop in self._hops.get(harness, ()):
            if other not in seen:
                yield other, (hop, *through)

    @cached_property
    def _hops(self) -> Mapping[str | None, list[tuple[str | None, tuple[str, str]]]]:
        """By harness: the harnesses behind its in-line plugs, and the free cavities there (far, near)."""
        found: dict[str | None, list[tuple[str | None, tuple[str, str]]]] = defaultdict(list)
        rows = self.vehicle.connectors
        for id in sorted(rows, key=natural_key):
            other = rows.get(self.vehicle.mate_of.get(id, ""))
            if other is None or rows[id].component is not None or other.component is not None:
                continue
            cavity = self._free_cavity(id, other.id) if rows[id].harness != other.harness else None
            if cavity is not None:
                found[rows[id].harness].append((other.harness, (f"{other.id}:{cavity}", f"{id}:{cavity}")))
        return found

    def _free_cavity(self, half: str, mate: str) -> str | None:
        index = self.car.index
        for cavity in sorted(index.cavities(half), key=natural_key):
            if index.state(half, cavity) == EMPTY and index.state(mate, cavity) == EMPTY:
                return cavity
        return None

    def _in(self, harness: str | None, was: Side) -> tuple[str, str] | None:
        """The best end in one harness and the fuse behind it."""
        if (harness, was) not in self._known:
            self._known[harness, was] = self._stud(harness) if was.label is Label.GROUND else self._end(harness, was)
        return self._known[harness, was]

    def _end(self, harness: str | None, was: Side) -> tuple[str, str] | None:
        found = []
        mapped = {self.ctx.circuit_map.get(name) for name in was.circuits}
        for side, ends in self._ends.get(harness, ()):
            if self._serves(was, side):
                own = bool(mapped & set(side.circuits))
                found += [(not own, ":" in end, natural_key(end), end, side) for end in ends]
        if not found:
            return None
        *_, end, side = min(found, key=lambda one: one[:3])
        return end, next(iter(side.supplies), "") if side.label in FEEDS else ""

    def _serves(self, was: Side, side: Side) -> bool:
        """Whether an end does what a contact met in the donor, for sure."""
        if was.label in FEEDS and (side.label is not was.label or len(side.supplies) != 1 or _UNFUSED in side.supplies):
            return False
        if side.likely or (side.open and not self._only_unplugged(side)):
            return False
        same, certain = self.ctx.same_function(was, replace(side, open=False))
        return bool(same) and certain and self._carries(was, side)

    def _only_unplugged(self, side: Side) -> bool:
        """Whether all that is not known of a side is what its plugs would meet, and those are in nothing."""
        open_at = self.car.index.open_at
        return all(why in self._unplugged for piece in side.pieces for why in open_at.get(piece, ()))

    def _carries(self, was: Side, side: Side) -> bool:
        """Whether the fuse before a feed is no smaller than the donor's was."""
        if was.label not in FEEDS or not was.supplies:
            return True
        needed = fuse_rating_a(self.ctx.donor.vehicle, was.supplies[0])
        given = fuse_rating_a(self.vehicle, side.supplies[0])
        return needed is None or (given is not None and given >= needed)

    def _stud(self, harness: str | None) -> tuple[str, str] | None:
        """A ground point of the body, one that the harness uses already before others."""
        used = {end for row in self.vehicle.netlist.pins if row.to and self._harness_of(row.connector) == harness
                for end in (row.to,)}  # fmt: skip
        studs = [row for row in self.vehicle.netlist.grounds if row.on in (None, "body")]
        studs = [row for row in studs if self._is_grounded(row.id)]
        if not studs:
            return None
        return min(studs, key=lambda row: (row.id not in used, natural_key(row.id))).id, ""

    def _is_grounded(self, ground: str) -> bool:
        node = self.car.index.point.get(ground)
        return node is not None and self.car.reach.reached(self.car.index.piece_of[node], None).grounded

    def _harness_of(self, connector: str | None) -> str | None:
        row = self.vehicle.connectors.get(connector or "")
        return row.harness if row is not None else None

    @cached_property
    def _ends(self) -> Mapping[str | None, list[tuple[Side, list[str]]]]:
        """By harness: what each of its pieces does, with the splices and contacts that are on it."""
        index = self.car.index
        ends: dict[tuple[str | None, int], list[str]] = defaultdict(list)
        for row in self.vehicle.netlist.splices:
            if row.id in index.point and row.name not in LOOSE_ENDS:
                ends[row.harness, index.piece_of[index.point[row.id]]].append(row.id)
        for (connector, cavity), node in index.cavity.items():
            own = self.vehicle.connectors.get(connector)
            if own is not None and own.component is None:
                ends[own.harness, index.piece_of[node]].append(f"{connector}:{cavity}")
        found: dict[str | None, list[tuple[Side, list[str]]]] = defaultdict(list)
        for (harness, piece), names in ends.items():
            side = self.car.piece_side(piece, None)
            if side.label not in NOTHING and side.label not in (Label.RESTRAINT, Label.NOT_KNOWN):
                found[harness].append((side, names))
        return found


def fuse_rating_a(vehicle: Vehicle, fuse: str) -> float | None:
    """The rating of a fuse that is a component, or one inside a box; None where it is not written."""
    row = vehicle.components.get(fuse)
    if row is not None:
        return row.rating
    return next((one.fuse for one in vehicle.netlist.insides if one.id == fuse and one.fuse is not None), None)


def wire_area_mm2(least_mm2: float, fuse_a: float | None) -> float:
    """The thinnest standard wire that is no thinner, and that the fuse protects where its rating is known."""
    for area in METRIC_MM2:
        limit = protection_for_wire(area)
        if area >= least_mm2 and (fuse_a is None or (limit is not None and fuse_a <= limit.fuse_a)):
            return area
    return max(least_mm2, METRIC_MM2[-1])
