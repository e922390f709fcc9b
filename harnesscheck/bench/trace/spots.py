"""Where a probe goes: every node of a way as a place in the car that a person can find and reach."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Literal

from harnesscheck.bench.trace.ways import Way, WayHop
from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import DcCircuit

HARNESS: Final = "harness plug"
PART: Final = "part"
FUSE: Final = "fuse"
SPLICE: Final = "splice"
GROUND: Final = "ground"
POST: Final = "post"
CUT: Final = "cut end"
SpotSort = Literal["harness plug", "part", "fuse", "splice", "ground", "post", "cut end"]


@dataclass(frozen=True, slots=True)
class ProbeSpot:
    """One place to measure at.

    ``place`` is what the file calls it (``C12:4``, a splice, a ground point,
    ``battery.+``), ``at`` where it is in the car, ``sort`` one of this module's
    words, ``side`` how the probe gets there. ``fuse`` names the fuse it is an end of.
    """

    place: str
    sort: SpotSort
    at: str | None
    connector: str = ""
    cavity: str = ""
    terminal: str = ""
    fuse: str = ""
    note: str = ""

    @property
    def side(self) -> str:
        """Which side to probe."""
        if self.sort == FUSE:
            return f"test point on the back of fuse {self.fuse}"
        return _SIDES[self.sort] + (f" (the file says: {self.note})" if self.note else "")

    @property
    def reachable(self) -> bool:
        """Whether a probe gets there with everything plugged in."""
        return self.sort != PART


_BOLTED = frozenset({"fusible-link", "breaker"})
_SIDES = {
    HARNESS: "wire side, plug left in (back-probe)",
    PART: "inside the part: only with the plug off, on its pin",
    SPLICE: "at the joint; under tape, open it only if you must, and close it again",
    GROUND: "on the stud and on bare metal beside it",
    POST: "on the terminal itself",
    CUT: "at the cut end",
}


class Spots:
    """Names the nodes of one car's circuit."""

    def __init__(self, study: Study, circuit: DcCircuit) -> None:
        self.study = study
        self.circuit = circuit

    def node(self, end: str) -> int | None:
        """The circuit's node of a cavity, splice, ground point or terminal; None where the car has none."""
        index, node_of = self.study.index, self.circuit.node_of
        owner, colon, cavity = end.partition(":")
        if colon:
            found = index.cavity.get((owner, cavity))
        else:
            found = index.point.get(end)
            if found is None:
                component, _, terminal = end.rpartition(".")
                found = index.terminal.get((component, terminal))
        return None if found is None else node_of[found]

    @cached_property
    def terminals_at(self) -> dict[int, list[tuple[str, str]]]:
        """By circuit node: the terminals on it."""
        found: dict[int, list[tuple[str, str]]] = defaultdict(list)
        for key, node in self.study.index.terminal.items():
            found[self.circuit.node_of[node]].append(key)
        return found

    @cached_property
    def cavities_at(self) -> dict[int, list[tuple[str, str]]]:
        """By circuit node: the cavities on it."""
        found: dict[int, list[tuple[str, str]]] = defaultdict(list)
        for key, node in self.study.index.cavity.items():
            found[self.circuit.node_of[node]].append(key)
        return found

    def at(self, end: str) -> str | None:
        """Where in the car an end is, as the file says it."""
        return self.study.vehicle.place_at(end) or None

    def ends(self, hop: WayHop) -> tuple[str, str]:
        """What the two ends of an element are called, in the order it is walked."""
        element = hop.element
        if element.sort == "wire":
            first, second = hop.names
        elif element.sort == "contact":
            half, _, cavity = element.name.partition(":")
            first, second = element.name, f"{self.study.vehicle.mate_of[half]}:{cavity}"
        else:
            first, second = self._terminal(element.component, element.a), self._terminal(element.component, element.b)
        return (first, second) if hop.start == element.a else (second, first)

    def _terminal(self, component: str, node: int) -> str:
        for owner, terminal in self.terminals_at.get(node, ()):
            if owner == component:
                return f"{owner}.{terminal}"
        return self.circuit.names.get(node, component)

    def along(self, way: Way) -> tuple[ProbeSpot, ...]:
        """The place of every node of a way, one more than it has elements."""
        names = [self.ends(hop) for hop in way]
        spots = []
        for number in range(len(way) + 1):
            before = names[number - 1][1] if number else ""
            after = names[number][0] if number < len(way) else ""
            fuses = [self._blade(hop) for hop in way[max(0, number - 1) : number + 1]]
            spots.append(self.spot((before, after), next(filter(None, fuses), "")))
        return tuple(spots)

    def _blade(self, hop: WayHop) -> str:
        """The name of a fuse with test points on its back; links and breakers have none."""
        part = self.study.vehicle.components.get(hop.element.component)
        return hop.element.name if hop.sort == "fuse" and part is not None and part.kind not in _BOLTED else ""

    def spot(self, names: Sequence[str], fuse: str = "") -> ProbeSpot:
        """The place that goes by some names: a cavity before anything else."""
        known = [name for name in names if name]
        cavity = next((name for name in known if ":" in name), "")
        terminal = next((name for name in known if self._is_terminal(name)), "")
        if cavity:
            return self._cavity_spot(cavity, terminal, fuse)
        point = next((name for name in known if name in self.study.index.point), "")
        if point in self.study.vehicle.grounds:
            return ProbeSpot(point, GROUND, self.at(point))
        if point:
            sort: SpotSort = CUT if self._wires(point) < 2 else SPLICE
            row = self.study.vehicle.splices.get(point)
            return ProbeSpot(point, sort, self.at(point), note=(row.common.note if row is not None else None) or "")
        name = terminal or (known[0] if known else "")
        if fuse:
            return ProbeSpot(name, FUSE, self.at(name), terminal=name, fuse=fuse)
        return self._terminal_spot(name)

    def _terminal_spot(self, terminal: str) -> ProbeSpot:
        """A terminal seen from inside its part: its cavity where it has just one, else a post."""
        component, _, name = terminal.rpartition(".")
        node = self.study.index.terminal.get((component, name))
        cavities = self.cavities_at.get(self.circuit.node_of[node], []) if node is not None else []
        if len(cavities) == 1:
            return self._cavity_spot(":".join(cavities[0]), terminal, "")
        return ProbeSpot(terminal, PART if cavities else POST, self.at(terminal), terminal=terminal)

    def _cavity_spot(self, cavity: str, terminal: str, fuse: str) -> ProbeSpot:
        connector, _, name = cavity.partition(":")
        row = self.study.vehicle.connectors.get(connector)
        sort: SpotSort = HARNESS if row is None or row.component is None else FUSE if fuse else PART
        return ProbeSpot(cavity, sort, self.at(cavity), connector, name, terminal, fuse if sort == FUSE else "")

    def _is_terminal(self, name: str) -> bool:
        component, _, terminal = name.rpartition(".")
        return (component, terminal) in self.study.index.terminal

    def _wires(self, point: str) -> int:
        return len(self.study.index.wires_at.get(self.study.index.point[point], ()))


def wire_row(hop: WayHop) -> Pin | Wire | None:
    """The row of a wire; None for anything else."""
    row = hop.element.row
    return row if hop.sort == "wire" and isinstance(row, Pin | Wire) else None


def pieces_on(spots: Spots, nodes: Iterable[int]) -> set[int]:
    """The index's pieces that some circuit nodes are part of."""
    wanted, index = set(nodes), spots.study.index
    return {index.piece_of[node] for node in range(len(index.piece_of)) if spots.circuit.node_of[node] in wanted}


def terminals_on(spots: Spots, nodes: Sequence[int]) -> Iterator[tuple[str, str]]:
    """Every terminal on the nets of some circuit nodes."""
    index = spots.study.index
    nets = {index.net_of[piece] for piece in pieces_on(spots, nodes)}
    for net in sorted(nets):
        for piece in index.pieces_of[net]:
            yield from index.terminals_of[piece]
