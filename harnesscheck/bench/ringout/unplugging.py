"""What is unplugged before a meter touches the looms, and what stays unproven after the last good reading.

A part left in joins nets through itself: a lamp reads 0.5 to 2 Ω, a fuse next to
nothing, a module anything. So every part is named; those with a low-ohm path say
what they would read.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from harnesscheck.bench.ringout.looms import (
    CONTACT,
    NO_PLACE,
    PART,
    PLUG,
    Looms,
    held_parts,
    special_parts,
    staying_parts,
)
from harnesscheck.bench.ringout.measurements import PAIRS, Ringout
from harnesscheck.bench.trace.safety import AT_THE_BATTERY
from harnesscheck.compare.finding.cautions import leave, shared_plug, who
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Component
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.hands_off import together
from harnesscheck.network.volts.circuit import DcCircuit

NOT_MEASURED = "not measured"
COLD_SHARE = 0.1  # a filament lamp's cold resistance over its hot one, about; common practice, no source
LOW_OHM = 100.0  # a path below this may be taken for a wire with a bad joint
BATTERY, LEAVE, HELD, STAYS, MODULE, SOURCE, FUSE, LOW, OTHER = (
    "battery", "leave alone", "shared plug", "stays in", "module", "starter, alternator", "fuse", "low ohms", "other",
)  # fmt: skip
SORTS = (BATTERY, LEAVE, HELD, STAYS, MODULE, SOURCE, FUSE, LOW, OTHER)


@dataclass(frozen=True, slots=True)
class Unplugging:
    """One part to unplug, or to leave alone. ``reads_ohm`` is what it reads when it is left in, where known."""

    sort: str
    component: str
    name: str
    place: str
    plugs: tuple[str, ...]
    do: str
    reads_ohm: float | None = None
    caution: str = ""  # restraint or high-voltage wiring in one of its plugs


@dataclass(frozen=True, slots=True)
class Unproven:
    """Something that good readings everywhere do not prove, and why."""

    sort: str
    what: str
    why: str


def unplug_list(looms: Looms, circuit: DcCircuit) -> tuple[Unplugging, ...]:
    """Every part by name, in the order to do it: battery, what is left alone, electronics, the rest by place."""
    study = looms.study
    low = _low_ohm_paths(circuit)
    staying, special = frozenset(staying_parts(study)), frozenset(special_parts(study))
    found = [_unplug(looms, row, low.get(row.id), staying, special) for row in study.vehicle.netlist.components]

    def key(one: Unplugging) -> tuple[object, ...]:
        """By sort, place and part."""
        return SORTS.index(one.sort), one.place == NO_PLACE, natural_key(one.place), natural_key(one.component)

    return tuple(sorted(found, key=key))


def _low_ohm_paths(circuit: DcCircuit) -> dict[str, float]:
    """By component, the least Ω between two of its terminals; a lamp's cold, a closed contact next to nothing."""
    lamps = {load.branch for load in circuit.loads if load.kind == "lamp"}
    found: dict[str, float] = {}
    for number, branch in enumerate(circuit.branches):
        if branch.component:
            ohm = branch.ohm * (COLD_SHARE if number in lamps else 1)
            found[branch.component] = min(ohm, found.get(branch.component, ohm))
    for port in circuit.ports:
        if port.sort in ("key", "switch", "break", "field"):
            found[port.component] = min(port.ohm, found.get(port.component, port.ohm))
    return found


def _unplug(
    looms: Looms, row: Component, ohm: float | None, staying: frozenset[str], special: frozenset[str]
) -> Unplugging:
    vehicle = looms.study.vehicle
    plugs = tuple(sorted((one.id for one in vehicle.connectors_of.get(row.id, ())), key=natural_key))
    held = held_parts(looms.study).get(row.id, ())
    sort = HELD if held and row.id not in special and row.kind != "battery" else _sort_of(row, ohm, staying, special)
    words = {
        BATTERY: "both clamps off, negative first; one named person puts them on again, last of all",
        LEAVE: leave(looms.study.hands_off.part(row.id)),
        HELD: _held_words(looms, held, plugs),
        STAYS: "cannot be taken off its loom: what it joins cannot be told apart",
        MODULE: "unplug every plug; a meter's current does not belong in electronics",
        SOURCE: "unplug or unbolt, insulate the cable's end",
        FUSE: "pull it, or unbolt the link",
        LOW: "unplug",
        OTHER: "unplug",
    }[sort]
    caution = " ".join(shared_plug(looms.study, plug) for plug in held)
    caution = " ".join(filter(None, (AT_THE_BATTERY if sort == BATTERY else "", caution)))
    reads = ohm if sort in (STAYS, SOURCE, FUSE, LOW) and row.kind != "battery" else None
    return Unplugging(sort, row.id, row.name or row.id, row.at or NO_PLACE, plugs, words, reads, caution)


def _held_words(looms: Looms, held: Sequence[str], plugs: Sequence[str]) -> str:
    """What is unplugged of a part with a shared plug: the others."""
    if not held:
        return ""
    others = [plug for plug in plugs if plug not in held]
    judge = looms.study.hands_off
    person = who(together(mark for plug in held for mark in judge.plug(plug)))
    stays = f"{', '.join(held)} stays plugged in, only {person} takes it off, by the maker's procedure"
    return f"{stays}; unplug {', '.join(others)}" if others else stays


def _sort_of(row: Component, ohm: float | None, staying: frozenset[str], special: frozenset[str]) -> str:
    if row.id in special:
        return LEAVE
    if row.kind == "battery":
        return BATTERY
    if row.id in staying:
        return STAYS
    if row.kind == "module":
        return MODULE
    if row.kind == "alternator" or (row.system == "starting" and row.kind in ("motor", "relay", "solenoid")):
        return SOURCE
    if row.kind in FUSES:
        return FUSE
    return LOW if ohm is not None and ohm < LOW_OHM else OTHER


def not_proven(ringout: Ringout) -> tuple[Unproven, ...]:
    """What the readings leave open, most dangerous first. Pairs that are not measured are counted by net."""
    looms = ringout.looms
    found = [*_left_out(looms), *_staying(looms), *_unwritten(looms), *_unreached(looms)]
    if ringout.plan == PAIRS:
        found += _unmeasured(ringout)
    found.append(
        Unproven("under load", "every feed and ground", "a strand that is left reads 0.1 ohm and carries no lamp")
    )
    found.append(Unproven("inside parts", "modules, relays, switches, motors", "they are unplugged and not measured"))
    return tuple(found)


def _left_out(looms: Looms) -> Iterator[Unproven]:
    for component in special_parts(looms.study):
        row = looms.study.vehicle.components[component]
        yield Unproven("left out", f"{row.name or row.id} ({row.id})", "restraint or high voltage: never probed")
    cavities = {looms.names[node] for net in looms.left_out for node in looms.nodes_of[net] if looms.cavity_of[node]}
    cavities |= {looms.names[node] for node in looms.shunned if looms.cavity_of[node]}
    for name in sorted(cavities, key=natural_key):
        yield Unproven("left out", name, "on restraint or high-voltage wiring, or joined with it: never probed")


def _staying(looms: Looms) -> Iterator[Unproven]:
    for component in staying_parts(looms.study):
        row = looms.study.vehicle.components[component]
        yield Unproven("stays in", f"{row.name or row.id} ({row.id})", "its nets cannot be shown to be apart")


def _unwritten(looms: Looms) -> Iterator[Unproven]:
    for net in sorted(looms.unwritten - looms.left_out):
        names = [looms.names[node] for node in looms.ends_of_net[net]]
        if names:
            why = "the file does not say where a wire of it ends: ring it out by hand against everything"
            plugs = dict.fromkeys(looms.connector_of[node] for node in looms.ends_of_net[net])
            held = " ".join(text for plug in plugs if (text := shared_plug(looms.study, plug)))
            why = f"the file does not say where a wire of it ends. {held}" if held else why
            yield Unproven("not written", ", ".join(sorted(names, key=natural_key)), why)


def _unreached(looms: Looms) -> Iterator[Unproven]:
    """Wires that no reading depends on: on the way to no end, or beside another way."""
    bridges = bridges_of(looms)
    for number, edge in enumerate(looms.edges):
        shunned = {edge.a, edge.b} & looms.shunned or looms.net_of[edge.a] in looms.left_out
        if edge.sort in (CONTACT, PLUG, PART) or bridges.get(number) or shunned:
            continue
        if number in bridges:
            yield Unproven("no reading", edge.name, "it leads to no contact that a probe reaches")
        else:
            yield Unproven("no reading", edge.name, "another way lies beside it: take one off at a time to measure")


def bridges_of(looms: Looms) -> dict[int, bool]:
    """The edges without another way beside them, and whether there is an end on both sides.

    Depth-first search, Tarjan's low-link values, without recursion.
    """
    ends = {node for some in looms.ends_of_net for node in some}
    entered: dict[int, int] = {}
    low: dict[int, int] = {}
    below: dict[int, int] = {}
    found: dict[int, bool] = {}
    for nodes in looms.nodes_of:
        root = nodes[0]
        total = sum(node in ends for node in nodes)
        entered[root] = low[root] = len(entered)
        below[root] = root in ends
        stack = [(root, -1, iter(looms.edges_at[root]))]
        bridges: list[tuple[int, int]] = []
        while stack:
            here, came, edges = stack[-1]
            number = next(edges, None)
            if number is None:
                stack.pop()
                if stack:
                    parent = stack[-1][0]
                    low[parent] = min(low[parent], low[here])
                    below[parent] += below[here]
                    if low[here] > entered[parent]:
                        bridges.append((came, below[here]))
                continue
            edge = looms.edges[number]
            there = edge.b if edge.a == here else edge.a
            if number == came:
                continue
            if there in entered:
                low[here] = min(low[here], entered[there])
                continue
            entered[there] = low[there] = len(entered)
            below[there] = int(there in ends)
            stack.append((there, number, iter(looms.edges_at[there])))
        found |= {number: 0 < count < total for number, count in bridges}
    return found


def _unmeasured(ringout: Ringout) -> Iterator[Unproven]:
    """By net, what it was measured apart from; all others are not proven."""
    looms = ringout.looms
    against: dict[int, list[str]] = {}
    for row in ringout.isolation:
        against.setdefault(looms.net_of[row.a[0]], []).append(row.to)
        against.setdefault(looms.net_of[row.b[0]], []).append(row.from_)
    others = len(ringout.tested) - 1
    for nets, ties in zip(ringout.tested, ringout.ties, strict=True):
        names = [name for net in nets for name in against.get(net, ())]
        if len(names) < others:
            shown = ", ".join(sorted(names, key=natural_key)) or "nothing"
            why = f"apart from {len(names)} of {others} other nets only: {shown}"
            yield Unproven(NOT_MEASURED, looms.names[ties[0]], why)
