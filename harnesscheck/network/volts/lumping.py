"""Build the circuit of a car: wires, contacts and metal parts here, components in ``network.volts.consumers``.

Ground points on one metal part are one node; other metal parts are joined by the
straps written as wires. ``opened`` takes things out: a fuse, a ground point, a
connector (unplugged), or a cavity (``C12:4``, its contact).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from harnesscheck.model.records import Circuit as CircuitRow
from harnesscheck.model.records import Harness, Pin, Wire
from harnesscheck.network.graph.index import UnionFind
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import Branch, DcCircuit
from harnesscheck.network.volts.consumers import Drafted, draft_components
from harnesscheck.network.volts.lengths import Lengths
from harnesscheck.network.volts.resistances import (
    MIN_CONTACT_OHM,
    WIRE_DEGC,
    Quantity,
    contact_ohm,
    plain,
    reason,
    wire_ohm,
)

BODY = "body"


def circuit_of(study: Study, opened: Collection[str] = ()) -> DcCircuit:
    """The circuit of a studied car, with what ``opened`` names taken out. Linear in the car's rows."""
    draft = Drafted(study, frozenset(opened))
    for ground in study.vehicle.netlist.grounds:
        if ground.id not in draft.opened:
            draft.merge(study.index.point[ground.id], draft.metal(ground.on or BODY))
    for branch in _wires(study, draft):
        draft.branches.append(branch)
    for branch in _contacts(study, draft.opened):
        draft.branches.append(branch)
    draft_components(draft)
    return _numbered(draft)


def _wires(study: Study, draft: Drafted) -> Iterator[Branch]:
    """Every wire as a branch; crimps and pins without a plug only merge nodes."""
    index, lengths = study.index, Lengths(study.vehicle)
    far_ends: set[int] = set()
    for pin in study.vehicle.netlist.pins:
        node = _pin_node(study, pin)
        if pin.to is not None:
            far_ends.add(_end(study, pin.to))
            here = f"{pin.connector}:{pin.cavity}" if pin.connector else f"{pin.component}.{pin.terminal}"
            if pin.is_case:
                ohm: Quantity = MIN_CONTACT_OHM
            else:
                ohm = _wire_ohm(study, lengths, pin, here, pin.to)
            yield _branch(pin, (here, pin.to), (node, _end(study, pin.to)), ohm)
        if pin.connector is not None and pin.terminal is not None:
            component = study.vehicle.connectors[pin.connector].component
            if component is not None:
                draft.merge(node, index.terminal[component, pin.terminal])
    for wire in study.vehicle.netlist.wires:
        ohm = _wire_ohm(study, lengths, wire, wire.from_, wire.to)
        nodes = _end(study, wire.from_), _end(study, wire.to)
        yield _branch(wire, (wire.from_, wire.to), nodes, ohm)
    yield from _likely_wires(study, lengths, far_ends)


def _likely_wires(study: Study, lengths: Lengths, far_ends: set[int]) -> Iterator[Branch]:
    """Pins of one circuit in one harness with no far end written are joined, likely (see ``network.graph.index``)."""
    groups: dict[tuple[str, str], list[Pin]] = defaultdict(list)
    for pin in study.vehicle.netlist.pins:
        if pin.to is not None or pin.circuit is None or pin.connector is None:
            continue
        harness = study.vehicle.connectors[pin.connector].harness
        if harness is not None and _pin_node(study, pin) not in far_ends:
            groups[harness, pin.circuit].append(pin)
    for pins in groups.values():
        first = f"{pins[0].connector}:{pins[0].cavity}"
        for pin in pins[1:]:
            here = f"{pin.connector}:{pin.cavity}"
            ohm = _wire_ohm(study, lengths, pin, here, first)
            nodes = _pin_node(study, pin), _pin_node(study, pins[0])
            yield _branch(pin, (here, first), nodes, ohm, likely=True)


def _branch(
    row: Pin | Wire, ends: tuple[str, str], nodes: tuple[int, int], ohm: Quantity, *, likely: bool = False
) -> Branch:
    why, likely = reason(ohm), likely or row.common.partial
    return Branch("wire", "", " - ".join(ends), *nodes, plain(ohm), why, likely, row=row, ends=ends)


def _wire_ohm(study: Study, lengths: Lengths, row: Pin | Wire, a: str, b: str) -> Quantity:
    grounds = study.vehicle.grounds
    degc = ambient_degc(study, row)
    strap = a in grounds and b in grounds
    return wire_ohm(row, lengths.of(row, a, b), WIRE_DEGC if degc is None else degc, strap=strap)


def holders(study: Study, row: Pin | Wire) -> tuple[Pin | Wire | CircuitRow | Harness, ...]:
    """The rows that may say how a wire lies: its own, its circuit's, its harness's."""
    vehicle = study.vehicle
    if isinstance(row, Pin):
        connector = vehicle.connectors.get(row.connector or "")
        harness = connector.harness if connector is not None else None
    else:
        splice = vehicle.splices.get(row.from_) or vehicle.splices.get(row.to)
        harness = row.harness or (splice.harness if splice is not None else None)
    found: list[Pin | Wire | CircuitRow | Harness] = [row]
    circuit, loom = vehicle.circuits.get(row.circuit or ""), vehicle.harnesses.get(harness or "")
    if circuit is not None:
        found.append(circuit)
    if loom is not None:
        found.append(loom)
    return tuple(found)


def ambient_degc(study: Study, row: Pin | Wire) -> float | None:
    """The temperature around a wire, where its row, circuit or harness gives one."""
    for holder in holders(study, row):
        ambient: float | None = getattr(holder, "ambient", None)
        if ambient is not None:
            return ambient
    return None


def _pin_node(study: Study, pin: Pin) -> int:
    if pin.connector is not None:
        return study.index.cavity[pin.connector, pin.cavity or ""]
    return study.index.terminal[pin.component or "", pin.terminal or ""]


def _end(study: Study, end: str) -> int:
    owner, colon, cavity = end.partition(":")
    return study.index.cavity[owner, cavity] if colon else study.index.point[end]


def _contacts(study: Study, opened: frozenset[str]) -> Iterator[Branch]:
    """Every pair of mated cavities that both hold something."""
    vehicle, index = study.vehicle, study.index
    held: dict[str, list[str]] = defaultdict(list)
    for connector, cavity in index.cavity:
        held[connector].append(cavity)
    for row in vehicle.netlist.connectors:
        mate = row.mates
        if mate is None or (vehicle.connectors[mate].mates == row.id and mate < row.id) or opened & {row.id, mate}:
            continue
        for cavity in held.get(row.id, ()):
            other = index.cavity.get((mate, cavity))
            if other is not None and not opened & {f"{row.id}:{cavity}", f"{mate}:{cavity}"}:
                node = index.cavity[row.id, cavity]
                ohm = contact_ohm(_area_mm2(study, node, other))
                yield Branch("contact", "", f"{row.id}:{cavity}", node, other, ohm, likely=row.common.partial)


def _area_mm2(study: Study, *nodes: int) -> float | None:
    areas = [row.size.area_mm2 for node in nodes for row in study.index.wires_at.get(node, ()) if row.size is not None]
    return max(areas, default=None)


def _numbered(draft: Drafted) -> DcCircuit:
    """The circuit with merged nodes as one, counted from 0; joints of a node with itself are left out."""
    body = draft.metal(BODY)
    sets = UnionFind(draft.count)
    for a, b in draft.merges:
        sets.union(a, b)
    node = sets.numbered()
    branches: list[Branch] = []
    branch_at: dict[int, int] = {}
    for number, branch in enumerate(draft.branches):
        if node[branch.a] != node[branch.b]:
            branch_at[number] = len(branches)
            branches.append(replace(branch, a=node[branch.a], b=node[branch.b]))
    return DcCircuit(
        vehicle=draft.study.vehicle,
        count=max(node) + 1,
        node_of=tuple(node[: len(draft.study.index.piece_of)]),
        body=node[body],
        references=tuple(dict.fromkeys(node[one] for one in (body, *draft.negatives))),
        branches=tuple(branches),
        ports=tuple(
            replace(port, a=node[port.a], b=node[port.b]) for port in draft.ports if node[port.a] != node[port.b]
        ),
        loads=tuple(replace(one, branch=branch_at[one.branch]) for one in draft.loads if one.branch in branch_at),
        coils=tuple(replace(one, branch=branch_at[one.branch]) for one in draft.coils if one.branch in branch_at),
        modules=tuple(replace(one, pairs=tuple((node[a], node[b]) for a, b in one.pairs)) for one in draft.modules),
        unjudged=tuple(draft.unjudged),
        names=_names(draft, node),
    )


def _names(draft: Drafted, node: Sequence[int]) -> dict[int, str]:
    """What a person calls each node: a metal part, ground point, splice, terminal, else a cavity."""
    index = draft.study.index
    names: dict[int, str] = {}
    for text, at in draft.metals.items():
        names.setdefault(node[at], text)
    for text, at in index.point.items():
        names.setdefault(node[at], text)
    for (component, terminal), at in index.terminal.items():
        names.setdefault(node[at], f"{component}.{terminal}")
    for (connector, cavity), at in index.cavity.items():
        names.setdefault(node[at], f"{connector}:{cavity}")
    return names
