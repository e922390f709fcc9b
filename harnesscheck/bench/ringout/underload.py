"""Feeds under load and data buses: what ohms alone do not prove.

A strand that is left reads 0.1 Ω and carries no lamp, so feeds are loaded with a 21 W
lamp and the drop from the battery is read. The drop to expect is the lamp's current
through the best way from the battery (hot copper and a margin on top for the
limit); the margin is common practice, no source.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from harnesscheck.bench.ringout.looms import NO_PLACE, Looms, special_parts
from harnesscheck.model.order import natural_key
from harnesscheck.network.behaviour.states import Behaviour, Condition, State
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.graph.sides import STEADY_FEEDS, Label, Study
from harnesscheck.network.volts.circuit import PASSING, SOURCES, DcCircuit

LAMP_W, LAMP_V = 21.0, 12.0
LAMP_A = LAMP_W / LAMP_V  # what a 21 W lamp draws
LEAST_LIMIT_V, MARGIN, METER_V, STEP_V = 0.1, 1.25, 0.05, 0.05
TERMINATOR_OHM = (100.0, 140.0)  # 120 Ω nominal at each end of the bus: ISO 11898-2
FEED_KEY = {
    Label.PERMANENT: "off", Label.ACCESSORY: "accessory", Label.RUN: "run", Label.START: "start",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class FeedCheck:
    """A feed to be loaded with a 21 W lamp: the contact, its fuse, when it is live, the drop to expect in V."""

    place: str
    at: str
    part: str
    fuses: tuple[str, ...]
    key: str
    drop_v: float
    limit_v: float


@dataclass(frozen=True, slots=True)
class BusCheck:
    """A data bus across whose pair the terminators read ``ohm``; ``stop`` says why it is left alone."""

    bus: str
    place: str
    at: str
    terminators: tuple[str, ...]
    ohm: float | None
    stop: str = ""


def fuses_kept_out(looms: Looms) -> frozenset[str]:
    """The fuses with restraint or high-voltage wiring at one of their ends, as the one judge has it."""
    judge, index = looms.study.hands_off, looms.study.index
    nets = {
        net
        for net, pieces in enumerate(index.pieces_of)
        for piece in pieces
        for node in index.nodes_of[piece]
        if judge.node(node)
    }
    return frozenset(
        one.name
        for one in looms.study.reach.elements
        if one.sort == "fuse" and {index.net_of[one.a], index.net_of[one.b]} & nets
    )


# -- feeds under load


def feed_checks(looms: Looms, behaviour: Behaviour) -> tuple[FeedCheck, ...]:
    """Every steady feed at a part's plug, by place. Raises TooLargeError for a car that does not fit in memory."""
    kept_out = fuses_kept_out(looms)
    ends = sorted((end for some in looms.ends_of_net for end in some), key=looms.walk_key)
    fed = [end for end in ends if _is_fed(looms, end, kept_out)]
    ohms = {key: _ohms(behaviour.circuit, behaviour.state(Condition(key))) for key in FEED_KEY.values()} if fed else {}
    checks = (_feed_check(looms, behaviour.circuit, ohms, end) for end in fed)
    return tuple(check for check in checks if check is not None)


def _is_fed(looms: Looms, end: int, kept_out: Collection[str]) -> bool:
    """Whether a part that is no fuse gets a steady feed there."""
    study, connector = looms.study, looms.connector_of[end]
    row = study.vehicle.connectors.get(study.vehicle.mate_of.get(connector, ""))
    owner = study.vehicle.components.get(row.component or "") if row is not None else None
    if owner is None or owner.kind in FUSES or looms.is_metal(looms.net_of[end]):  # what is on the body brings no feed
        return False
    side = study.side(connector, looms.cavity_of[end])
    return side.label in STEADY_FEEDS and not side.declared and not set(kept_out) & set(side.supplies)


def _feed_check(looms: Looms, circuit: DcCircuit, ohms: dict[str, dict[int, float]], end: int) -> FeedCheck | None:
    study, cavity = looms.study, (looms.connector_of[end], looms.cavity_of[end])
    side = study.side(*cavity)
    owner = study.vehicle.components[study.vehicle.connectors[study.vehicle.mate_of[cavity[0]]].component or ""]
    key = FEED_KEY[side.label]
    ohm = ohms[key].get(circuit.node_of[study.index.cavity[cavity]])
    if ohm is None:
        return None
    drop_v = LAMP_A * ohm
    limit_v = max(LEAST_LIMIT_V, math.ceil((drop_v * MARGIN + METER_V) / STEP_V - 1e-9) * STEP_V)
    return FeedCheck(looms.places[end], looms.names[end], owner.name or owner.id, side.supplies, key, drop_v, limit_v)


def _ohms(circuit: DcCircuit, state: State) -> dict[int, float]:
    """Ω of the best way from a battery's plus to every node, over what passes a feed in a state."""
    at: dict[int, list[tuple[int, float]]] = {}
    for branch in circuit.branches:
        if branch.sort in PASSING:
            at.setdefault(branch.a, []).append((branch.b, branch.ohm))
            at.setdefault(branch.b, []).append((branch.a, branch.ohm))
    for number in state.solution.closed:
        port = circuit.ports[number]
        if port.sort not in SOURCES and port.sort not in ("diode", "field"):
            at.setdefault(port.a, []).append((port.b, port.ohm))
            at.setdefault(port.b, []).append((port.a, port.ohm))
    found: dict[int, float] = {}
    queue = [(0.0, port.a) for port in circuit.ports if port.sort == "battery"]
    while queue:
        ohm, here = heapq.heappop(queue)
        if here in found or here in circuit.references:
            continue
        found[here] = ohm
        for there, more in at.get(here, ()):
            if there not in found:
                heapq.heappush(queue, (ohm + more, there))
    return found


# -- data bus


def bus_checks(study: Study, circuit: DcCircuit) -> tuple[BusCheck, ...]:
    """Every documented data bus of two lines: where to read its terminators, battery off, modules in."""
    lines: dict[str, dict[str, set[int]]] = {}
    index, circuits = study.index, study.vehicle.circuits
    for piece, names in enumerate(index.circuits_of):
        for name in names:
            row = circuits.get(name)
            if row is not None and row.bus and row.signal == "can":
                lines.setdefault(row.bus, {}).setdefault(name, set()).add(index.net_of[piece])
    found = []
    for bus, nets in sorted(lines.items()):
        pair = sorted(set().union(*nets.values()))
        if len(nets) == len(pair) == 2:
            found.append(_bus_check(study, circuit, bus, pair))
    return tuple(found)


def _bus_check(study: Study, circuit: DcCircuit, bus: str, pair: Sequence[int]) -> BusCheck:
    index, ohms = study.index, dict[str, float]()
    of_part = {branch.component: branch.ohm for branch in circuit.branches if branch.sort == "resistor"}
    for element in study.reach.elements:
        if element.sort == "resistor" and {index.net_of[element.a], index.net_of[element.b]} == set(pair):
            ohm = of_part.get(element.component, math.inf)
            if TERMINATOR_OHM[0] <= ohm <= TERMINATOR_OHM[1]:
                ohms[element.component] = ohm
    at, place, stop = _bus_plug(study, pair)
    across_ohm = 1 / sum(1 / ohm for ohm in ohms.values()) if ohms else None
    return BusCheck(bus, place, at, tuple(sorted(ohms, key=natural_key)), across_ohm, stop)


def _bus_plug(study: Study, pair: Sequence[int]) -> tuple[str, str, str]:
    """The plug that shows both lines, a bare socket before a module's; why not where it is left out."""
    index, vehicle = study.index, study.vehicle
    special = set(special_parts(study))
    if any(t.component in special for net in pair for t in study.net_side(net).terminals):
        return "", "", "a restraint or high-voltage part is on this bus: maker's procedure"
    shown: dict[str, dict[int, str]] = {}
    for net in pair:
        for piece in index.pieces_of[net]:
            for connector, cavity in index.cavities_of[piece]:
                shown.setdefault(connector, {})[net] = cavity

    def key(name: str) -> tuple[object, ...]:
        """Sockets first, then plugs of parts, each in natural order."""
        owner = vehicle.components.get(vehicle.connectors[name].component or "")
        socket = owner is not None and owner.kind == "connector-only"
        return not socket, owner is None, natural_key(name)

    best = min((name for name, nets in shown.items() if len(nets) == 2), key=key, default="")
    if not best:
        return "", "", "no plug holds both lines"
    at = " and ".join(f"{best}:{shown[best][net]}" for net in pair)
    return at, vehicle.place_of(best, loom=True) or NO_PLACE, ""
