"""What concerns whole parts, buses and metal: coding, terminators, straps, senders, unfused wires."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from harnesscheck.compare.context import SPECIAL, Context
from harnesscheck.compare.findings import NO_SPOT, Spot, natural
from harnesscheck.compare.kinds import Certainty
from harnesscheck.compare.words import named
from harnesscheck.model.records import Component
from harnesscheck.network.elements import FUSES
from harnesscheck.network.index import UnionFind
from harnesscheck.network.sides import Label, Side, Study

TERMINATORS = 2  # ends of a CAN bus; ISO 11898-2
TERMINATOR_OHMS = (100.0, 140.0)  # 120 Ω nominal at each end, 60 Ω across both


@dataclass(frozen=True, slots=True)
class PartChange:
    """A difference that belongs to a part rather than to one cavity."""

    kind: str
    certainty: Certainty
    text: str
    donor: Spot = NO_SPOT
    shell: Spot = NO_SPOT
    donor_component: str = ""
    shell_component: str = ""
    evidence: dict[str, Any] = field(default_factory=dict)


def part_changes(ctx: Context) -> Iterator[PartChange]:
    """Every difference of this sort."""
    yield from _coded(ctx)
    yield from _senders(ctx)
    yield from _straps(ctx)
    yield from _buses(ctx)
    yield from _unfused(ctx)


def _coded(ctx: Context) -> Iterator[PartChange]:
    """A coded set is split when the shell's member has no partner and others of the set come from the donor."""
    partner = {pair.shell: pair.donor for pair in ctx.pairs.components}
    sets: dict[str, list[Component]] = defaultdict(list)
    for row in ctx.shell.vehicle.netlist.components:
        if row.coded:
            sets[row.coded].append(row)
    for row in ctx.donor.vehicle.netlist.components:
        other = ctx.shell.vehicle.components.get(ctx.component_map.get(row.id, ""))
        if row.coded and other is not None and other.coded != row.coded and row.coded in sets:
            text = f"{named(ctx.donor, row.id)} is coded to the set '{row.coded}' here, its partner there is not"
            yield PartChange("coded-part", Certainty.KNOWN, text, donor_component=row.id, shell_component=other.id)
    for tag, members in sorted(sets.items()):
        moving = [row.id for row in members if row.id in partner]
        staying = [row.id for row in members if row.id not in partner]
        for member in staying if moving else ():
            text = (
                f"{named(ctx.shell, member)} of the coded set '{tag}' has no counterpart in the donor, "
                f"while {', '.join(moving)} would come from the donor"
            )
            yield PartChange("coded-part", Certainty.KNOWN, text, shell_component=member)


def _plug_of(study: Study, component: str) -> Spot:
    """The harness plug of a component, for naming a place."""
    for row in study.vehicle.connectors_of.get(component, ()):
        return Spot(study.vehicle.mate_of.get(row.id, row.id))
    return Spot()


def _senders(ctx: Context) -> Iterator[PartChange]:
    """The same sender with another scale makes the gauge lie."""
    for pair in ctx.pairs.components:
        a, b = ctx.donor.vehicle.components[pair.donor], ctx.shell.vehicle.components[pair.shell]
        for name in ("curve", "pulses"):
            ours, theirs = getattr(a, name), getattr(b, name)
            if ours is not None and theirs is not None and ours.split() != theirs.split():
                yield PartChange(
                    "signal-mismatch",
                    Certainty.KNOWN if pair.sure else Certainty.LIKELY,
                    f"{named(ctx.donor, a.id)}: {name} {ours} here, {theirs} there",
                    _plug_of(ctx.donor, a.id),
                    _plug_of(ctx.shell, b.id),
                    a.id,
                    b.id,
                )


def _strapped(study: Study) -> dict[str, bool]:
    """For every metal part with a ground point: whether a strap joins it to the battery's negative or the body."""
    index = study.index
    metals = {row.on or "body" for row in study.vehicle.netlist.grounds}
    numbers = {metal: number for number, metal in enumerate(sorted(metals))}
    count = len(numbers)
    sets = UnionFind(count + len(index.nodes_of))
    for row in study.vehicle.netlist.grounds:
        sets.union(numbers[row.on or "body"], count + index.piece_of[index.point[row.id]])
    for mate in index.mates:
        sets.union(count + mate.a, count + mate.b)
    roots = {
        sets.find(count + index.piece_of[node])
        for (component, terminal), node in index.terminal.items()
        if terminal == "-" and study.vehicle.components[component].kind == "battery"
    }
    if not roots and "body" in numbers:
        roots = {sets.find(numbers["body"])}
    return {metal: sets.find(number) in roots for metal, number in numbers.items()} if roots else {}


def _straps(ctx: Context) -> Iterator[PartChange]:
    """A metal part that carries returns and has lost the cable to the rest of the car."""
    before, after = _strapped(ctx.donor), _strapped(ctx.shell)
    for metal in sorted(metal for metal, joined in before.items() if joined and after.get(metal) is False):
        grounds = [row.id for row in ctx.shell.vehicle.netlist.grounds if (row.on or "body") == metal]
        ours = [row.id for row in ctx.donor.vehicle.netlist.grounds if (row.on or "body") == metal]
        text = f"{metal}: a strap joins it to the battery's negative here, none there; grounds {', '.join(grounds)}"
        spots = Spot(min(ours, key=natural)), Spot(min(grounds, key=natural))
        yield PartChange("strap-missing", Certainty.KNOWN, text, *spots, evidence={"metal": metal})


def _data_nets(study: Study) -> dict[int, Side]:
    return {net: side for net in range(len(study.index.pieces_of)) if (side := study.net_side(net)).label is Label.DATA}


def _terminators(study: Study, nets: dict[int, Side]) -> dict[frozenset[int], list[str]]:
    """The documented terminating resistors across every pair of data nets."""
    found: dict[frozenset[int], list[str]] = defaultdict(list)
    net_of = study.index.net_of
    ohms = {row.id: row.ohms for row in study.vehicle.netlist.components}
    inside = {(row.component, row.from_, row.to): row.ohms for row in study.vehicle.netlist.insides}
    low, high = TERMINATOR_OHMS
    for element in study.reach.elements:
        pair = frozenset((net_of[element.a], net_of[element.b]))
        if element.sort != "resistor" or len(pair) != 2 or not pair <= nets.keys():
            continue
        values = [value for (component, *_), value in inside.items() if component == element.component and value]
        value = ohms.get(element.component) or (values[0] if values else None)
        if value is None or low <= value <= high:
            found[pair].append(element.component)
    return found


def _buses(ctx: Context) -> Iterator[PartChange]:
    ours, theirs = _data_nets(ctx.donor), _data_nets(ctx.shell)
    ends, other_ends = _terminators(ctx.donor, ours), _terminators(ctx.shell, theirs)
    shell_net = _matched_nets(ctx, ours)
    for pair, resistors in sorted(ends.items(), key=lambda item: sorted(item[0])):
        target = frozenset(shell_net[net] for net in pair if net in shell_net)
        there = other_ends.get(target, [])
        joined = [*resistors, *(one for one in there if one not in ctx.retained)]
        if len(resistors) != TERMINATORS or len(target) != 2:
            continue
        if len(there) != TERMINATORS or len(joined) != TERMINATORS:
            text = f"{_bus_name(ctx.donor, pair)}: {_count(resistors)} here, {_count(there)} there"
            if len(joined) != TERMINATORS:
                text += f"; the donor's parts on the shell's harness make it {len(joined)}"
            text += f"; a bus has {TERMINATORS}, 60 Ω across it"
            part = next((one for one in resistors if ctx.component_map.get(one) not in there), resistors[0])
            certainty = Certainty.KNOWN if there else Certainty.LIKELY
            spots = _plug_of(ctx.donor, part), _plug_of(ctx.shell, ctx.component_map.get(part, ""))
            yield PartChange("bus-altered", certainty, text, *spots, part, ctx.component_map.get(part, ""))
    yield from _mixed(ctx, ours, shell_net)


def _count(resistors: list[str]) -> str:
    return f"{len(resistors)} terminators ({', '.join(resistors)})" if resistors else "no terminator"


def _matched_nets(ctx: Context, nets: dict[int, Side]) -> dict[int, int]:
    """The shell's net that most of a donor net's retained terminals are on."""
    matched: dict[int, int] = {}
    index = ctx.shell.index
    for net, side in nets.items():
        votes: dict[int, int] = defaultdict(int)
        for key in ctx.donor_key(side):
            node = index.terminal.get(key)
            if node is not None:
                votes[index.net_of[index.piece_of[node]]] += 1
        if votes:
            matched[net] = max(votes, key=lambda other: (votes[other], -other))
    return matched


def _bus_name(study: Study, nets: frozenset[int]) -> str:
    names = sorted({name for net in nets for name in study.net_side(net).circuits}, key=natural)
    return f"data bus {' / '.join(names[:2])}" if names else "data bus"


def _mixed(ctx: Context, nets: dict[int, Side], shell_net: dict[int, int]) -> Iterator[PartChange]:
    """One note a data line that would join modules of both cars."""
    partner = {pair.shell for pair in ctx.pairs.components}
    for net, side in sorted(nets.items()):
        other = shell_net.get(net)
        if other is None:
            continue
        ours = sorted({t.component for t in side.terminals if t.role == "data"}, key=natural)
        theirs = [t.component for t in ctx.shell.net_side(other).terminals if t.role == "data"]
        foreign = sorted({name for name in theirs if name not in partner}, key=natural)
        if len(ours) > 1 or foreign:
            names = ", ".join(ours[:4]) + (f"; only in the shell: {', '.join(foreign)}" if foreign else "")
            text = f"{_bus_name(ctx.donor, frozenset({net}))} would join modules of both cars: {names}"
            circuit = side.circuits[0] if side.circuits else ""
            donor = _plug_of(ctx.donor, ours[0])
            yield PartChange("mixed-bus", Certainty.NOT_KNOWN, text, Spot(donor.connector, "", circuit))


def _unfused_ends(study: Study) -> dict[tuple[str, str], int]:
    """Terminals that a feed reaches with no fuse on the path, but for those that may be: see the finding's text."""
    reach, index = study.reach, study.index
    zone = sorted(reach.sources)
    seen = set(zone)
    for here in zone:
        for other, edge in reach.steps[here]:
            blocked = edge >= 0 and (reach.elements[edge].sort == "fuse" or not reach.elements[edge].maybe)
            if other not in seen and other not in reach.grounds and not blocked:
                seen.add(other)
                zone.append(other)
    boxes = {element.component for element in reach.elements if element.sort == "fuse"}
    return {
        (component, terminal): piece
        for piece in zone
        for component, terminal in index.terminals_of[piece]
        if component not in boxes and not _may_be_unfused(study, study.vehicle.components[component])
    }


def _may_be_unfused(study: Study, component: Component) -> bool:
    """Battery, fuse, link, alternator, starter and its contact; a plain junction is judged by what hangs on it."""
    if component.kind in (*FUSES, "battery", "alternator", "connector-only"):
        return True
    terminals = {pin.terminal for pin in _pins(study, component.id)}
    words = f"{component.id} {component.name or ''} {component.system or ''}".casefold()
    return "50" in terminals or "starter" in words or component.system in SPECIAL


def _pins(study: Study, component: str) -> list[Any]:
    rows = study.vehicle.connectors_of.get(component, ())
    pins = [pin for row in rows for pin in study.vehicle.pins_of.get(row.id, ())]
    return [*pins, *study.vehicle.loose_pins_of.get(component, ())]


def unfused_ends(study: Study) -> dict[tuple[str, str], tuple[str, str]]:
    """The harness cavity at every terminal a feed reaches unfused, by component and terminal."""
    index = study.index
    spots: dict[tuple[str, str], tuple[str, str]] = {}
    for (component, terminal), piece in sorted(_unfused_ends(study).items()):
        for connector, cavity in index.cavities_of[piece]:
            if study.vehicle.connectors[connector].component == component:
                spots[component, terminal] = (study.vehicle.mate_of.get(connector, connector), cavity)
                break
        else:
            spots[component, terminal] = ("", "")
    return spots


def _unfused(ctx: Context) -> Iterator[PartChange]:
    """A wire of the shell that a feed reaches without a fuse, where the donor's is fused or does not exist."""
    ours = set(unfused_ends(ctx.donor))
    mapped = {(ctx.component_map[c], t): (c, t) for c, t in ctx.donor.index.terminal if c in ctx.component_map}
    halves = {pair.shell: pair.donor for pair in ctx.pairs.connectors}
    for (component, terminal), (connector, cavity) in unfused_ends(ctx.shell).items():
        donor = mapped.get((component, terminal))
        if donor is not None and donor in ours:
            continue
        half = halves.get(connector, "")
        text = f"{named(ctx.shell, component)} terminal {terminal} is fed with no fuse on the way from the battery"
        yield PartChange(
            "unfused-feed",
            Certainty.KNOWN,
            text,
            Spot(half, cavity if half else "", ctx.circuit(ctx.donor, half, cavity) if half else ""),
            Spot(connector, cavity, ctx.circuit(ctx.shell, connector, cavity)),
            donor[0] if donor else "",
            component,
            {"fuse": None},
        )
