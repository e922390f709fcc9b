"""Wires of the finished car that serve nothing: dead ends are taken off until every end left is of use.

A wire is of use when it lies on a way between two ends that are: a terminal of a
part, a ground point, or a place where the file does not tell what follows. What
is not known is never called useless.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from harnesscheck.assemble.assemble import Assembly
from harnesscheck.assemble.pairing import TAKEN_OVER
from harnesscheck.model.edits import STUB
from harnesscheck.model.records import Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.index import Index
from harnesscheck.network.graph.sides import Study


@dataclass(frozen=True, slots=True)
class DeadWire:
    """A wire that serves nothing, by both its ends as a netlist writes them."""

    start: str
    end: str
    row: Pin | Wire


def left_apart(assembly: Assembly, donor: Vehicle, shell: Vehicle, car: Vehicle) -> frozenset[str]:
    """Plugs of the finished car that had another half in their own car and have none now."""
    found = set()
    for pairs, own in ((assembly.from_donor, donor), (assembly.from_shell, shell)):
        for pair in pairs.connectors:
            if pair.why == TAKEN_OVER and pair.donor in own.mate_of and pair.shell not in car.mate_of:
                found.add(pair.shell)
    return frozenset(found)


def dead_wires(study: Study, apart: Collection[str] = ()) -> tuple[DeadWire, ...]:
    """The wires; ``apart`` are plugs of which it is known that nothing is plugged in. Restraint wiring never is one."""
    wires = list(_wires(study.vehicle, study.index))
    kept = _in_use({*(wire.nodes for wire in wires), *_mated(study.index)}, _anchors(study, apart))
    return tuple(
        DeadWire(wire.start, wire.row.to or "", wire.row)
        for wire in wires
        if wire.nodes not in kept and wire.loom and not _stays(study, wire)
    )


_Pair = tuple[int, int]  # two nodes of the index, the smaller first


@dataclass(frozen=True, slots=True)
class _Laid:
    """A wire with both its ends written; ``loom`` says that it is a harness's, and not a part's own."""

    nodes: _Pair
    start: str
    row: Pin | Wire
    loom: bool


def _wires(vehicle: Vehicle, index: Index) -> Iterator[_Laid]:
    for pin in vehicle.netlist.pins:
        if pin.to is None:
            continue
        far = _node(index, pin.to)
        if pin.connector is None:
            yield _Laid(_pair(index.terminal[pin.component or "", pin.terminal or ""], far), "", pin, False)
        else:
            start = f"{pin.connector}:{pin.cavity or ''}"
            loom = vehicle.connectors[pin.connector].component is None
            yield _Laid(_pair(_node(index, start), far), start, pin, loom)
    for wire in vehicle.netlist.wires:
        yield _Laid(_pair(_node(index, wire.from_), _node(index, wire.to)), wire.from_, wire, True)


def _node(index: Index, end: str) -> int:
    owner, colon, cavity = end.partition(":")
    return index.cavity[owner, cavity] if colon else index.point[end]


def _pair(a: int, b: int) -> _Pair:
    return (a, b) if a < b else (b, a)


def _mated(index: Index) -> Iterator[_Pair]:
    """The nodes of contacts that meet."""
    for mate in index.mates:
        first, second = ((half, mate.cavity) for half in mate.place)
        yield _pair(index.cavity[first], index.cavity[second])


def _anchors(study: Study, apart: Collection[str]) -> set[int]:
    """The nodes that are ends of use, or may be."""
    index, vehicle = study.index, study.vehicle
    found = {*index.terminal.values(), *(index.point[name] for name in vehicle.grounds if name in index.point)}
    for (connector, _), node in index.cavity.items():
        if vehicle.connectors[connector].component is not None:
            found.add(node)
    unsure = {piece for piece, why in index.open_at.items() if any(one not in apart for one in why)}
    unsure |= index.likely_pieces
    found |= {node for node, piece in enumerate(index.piece_of) if piece in unsure}
    return found


def _in_use(edges: Collection[_Pair], anchors: Collection[int]) -> set[_Pair]:
    """What is left of the edges when dead ends are taken off, one after the other."""
    at: Mapping[int, set[_Pair]] = defaultdict(set)
    for edge in edges:
        for node in edge:
            at[node].add(edge)
    left = set(edges)
    ends = [node for node, own in at.items() if len(own) == 1]
    while ends:
        node = ends.pop()
        if node in anchors or len(at[node]) != 1:
            continue
        edge = at[node].pop()
        left.discard(edge)
        other = edge[1] if edge[0] == node else edge[0]
        at[other].discard(edge)
        if len(at[other]) == 1:
            ends.append(other)
    return left


def _stays(study: Study, wire: _Laid) -> bool:
    """Whether a wire is not for stripping: a stub in a contact, which new wires are joined to, or restraint wiring."""
    points = (study.vehicle.splices.get(end) for end in (wire.start, wire.row.to or ""))
    return any(point is not None and point.name == STUB for point in points) or bool(study.hands_off.row(wire.row))
