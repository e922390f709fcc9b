"""What concerns whole parts, buses and metal: coding, terminators, straps, senders, unfused wires."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from harnesscheck.compare.context import Context, plug_of, plugs_of
from harnesscheck.compare.finding.cavitywords import named
from harnesscheck.compare.finding.findings import NO_SPOT, Evidence, Spot
from harnesscheck.compare.finding.kinds import Certainty, KindName
from harnesscheck.compare.finding.sentences import LOST_SHIELD, LOST_SHIELD_DO
from harnesscheck.compare.plugs.shields import LostShield, lost_shields
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Component
from harnesscheck.model.shortened import shortened
from harnesscheck.network.graph.index import UnionFind
from harnesscheck.network.graph.sides import Label, Side, Study
from harnesscheck.network.graph.unfused import EXEMPT, UnfusedEnd, unfused_ends, unfused_pieces

MOST_NAMED = 4  # circuits of one shield, in one sentence
CODING_SHARE = 0.1  # of resistance; resistors of 5 % on both sides differ by less; common practice, no source
TERMINATORS = 2  # ends of a CAN bus; ISO 11898-2
TERMINATOR_OHMS = (100.0, 140.0)  # 120 Ω nominal at each end, 60 Ω across both


@dataclass(frozen=True, slots=True)
class PartChange:
    """A difference that belongs to a part rather than to one cavity."""

    kind: KindName
    certainty: Certainty
    text: str
    donor: Spot = NO_SPOT
    shell: Spot = NO_SPOT
    donor_component: str = ""
    shell_component: str = ""
    evidence: Evidence = field(default_factory=Evidence)
    do: str = ""  # instead of the kind's own


def part_changes(ctx: Context) -> Iterator[PartChange]:
    """Every difference of this sort."""
    yield from _coded(ctx)
    yield from _senders(ctx)
    yield from map(_unshielded, lost_shields(ctx))
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
        moving = sorted((row.id for row in members if row.id in partner), key=natural_key)
        staying = [row.id for row in members if row.id not in partner]
        for member in staying if moving else ():
            text = (
                f"{named(ctx.shell, member)} of the coded set '{tag}' has no counterpart in the donor, "
                f"while {', '.join(moving)} would come from the donor"
            )
            yield PartChange("coded-part", Certainty.KNOWN, text, shell_component=member)


def _senders(ctx: Context) -> Iterator[PartChange]:
    """The same sender with another scale, or switch coded in other ohms: the gauge lies, the module misreads."""
    for pair in ctx.pairs.components:
        a, b = ctx.donor.vehicle.components[pair.donor], ctx.shell.vehicle.components[pair.shell]
        for text in (*_scales(a, b), *_codings(ctx, a, b)):
            yield PartChange(
                "signal-mismatch",
                Certainty.KNOWN if pair.sure else Certainty.LIKELY,
                f"{named(ctx.donor, a.id)}: {text}",
                *plugs_of(ctx, a.id, b.id),
                a.id,
                b.id,
            )


def _unshielded(one: LostShield) -> PartChange:
    """A shield that only one car has."""
    where = "here, in none there" if one.is_donors else "there, in none here"
    what = shortened(one.circuits, MOST_NAMED) or str(one.donor)
    text = LOST_SHIELD.format(what=what, shield=one.name, where=where)
    certainty = Certainty.KNOWN if one.sure else Certainty.LIKELY
    return PartChange("signal-mismatch", certainty, text, one.donor, one.shell, do=LOST_SHIELD_DO)


def _scales(a: Component, b: Component) -> Iterator[str]:
    for name in ("curve", "pulses"):
        ours, theirs = getattr(a, name), getattr(b, name)
        if ours is not None and theirs is not None and ours.split() != theirs.split():
            yield f"{name} {ours} here, {theirs} there"
    if a.ohms and b.ohms and a.kind == b.kind == "sensor" and _differ(a.ohms, b.ohms):
        yield f"{a.ohms:g} Ω here, {b.ohms:g} Ω there"


def _differ(a_ohm: float, b_ohm: float) -> bool:
    return abs(a_ohm - b_ohm) > CODING_SHARE * max(a_ohm, b_ohm)


def _codings(ctx: Context, a: Component, b: Component) -> Iterator[str]:
    """Positions of one switch that are told by other ohms."""
    ours, theirs = _ohms_by_position(ctx.donor, a), _ohms_by_position(ctx.shell, b)
    differ = [
        f"{' or '.join(when)} {ours[when, ends]:g} Ω here, {theirs[when, ends]:g} Ω there"
        for when, ends in ours.keys() & theirs.keys()
        if _differ(ours[when, ends], theirs[when, ends])
    ]
    if differ:
        yield "; ".join(sorted(differ, key=natural_key))


def _ohms_by_position(study: Study, part: Component) -> dict[tuple[tuple[str, ...], frozenset[str]], float]:
    """By positions and the two terminals, the resistance a switch has there."""
    rows = study.vehicle.insides_of.get(part.id, ())
    return {
        (row.when, frozenset((row.from_, row.to))): row.ohms
        for row in rows
        if row.when and row.ohms is not None and part.kind == "switch" and row.load is None
    }


def _metals(ctx: Context, study: Study) -> tuple[dict[str, str], bool]:
    """The metal part of every ground point, and whether all are written.

    Where one car does not say, the same ground point of the other does; else it is the body.
    """
    both = {pair.shell: pair.donor for pair in ctx.pairs.grounds}
    if study is ctx.donor:
        both = {donor: shell for shell, donor in both.items()}
    others = (ctx.shell if study is ctx.donor else ctx.donor).vehicle.grounds
    metals, sure = {}, True
    for row in study.vehicle.netlist.grounds:
        other = others.get(both.get(row.id, ""))
        said = row.on or (other.on if other is not None else None)
        sure = sure and (row.on is not None or said is None)
        metals[row.id] = said or "body"
    return metals, sure


def _strapped(study: Study, metals: Mapping[str, str]) -> dict[str, bool]:
    """For every metal part with a ground point: whether a strap joins it to the battery's negative or the body."""
    index = study.index
    numbers = {metal: number for number, metal in enumerate(sorted(set(metals.values())))}
    count = len(numbers)
    sets = UnionFind(count + len(index.nodes_of))
    for ground, metal in metals.items():
        sets.union(numbers[metal], count + index.piece_of[index.point[ground]])
    for mate in index.mates:
        sets.union(count + mate.a, count + mate.b)
    roots = {
        sets.find(count + index.piece_of[node])
        for (component, terminal), node in index.terminal.items()
        if terminal == "-" and study.vehicle.components[component].kind == "battery"
    }
    if not roots & {sets.find(number) for number in numbers.values()} and "body" in numbers:
        roots = {sets.find(numbers["body"])}  # where the battery's own ground is not known
    return {metal: sets.find(number) in roots for metal, number in numbers.items()} if roots else {}


def _straps(ctx: Context) -> Iterator[PartChange]:
    """A metal part that carries returns and has lost the cable to the rest of the car."""
    (ours, ours_sure), (theirs, theirs_sure) = _metals(ctx, ctx.donor), _metals(ctx, ctx.shell)
    before, after = _strapped(ctx.donor, ours), _strapped(ctx.shell, theirs)
    for metal in sorted(metal for metal, joined in before.items() if joined and after.get(metal) is False):
        points = sorted((name for name, other in theirs.items() if other == metal), key=natural_key)
        text = f"{metal}: a strap joins it to the battery's negative here, none there; grounds {', '.join(points)}"
        first = min((name for name, other in ours.items() if other == metal), key=natural_key)
        spots = Spot(first), Spot(points[0])
        certainty = Certainty.KNOWN if ours_sure and theirs_sure else Certainty.LIKELY
        yield PartChange("strap-missing", certainty, text, *spots, evidence=Evidence(shown={"metal": metal}))


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
    return {pair: sorted(resistors, key=natural_key) for pair, resistors in found.items()}


def _buses(ctx: Context) -> Iterator[PartChange]:
    ours, theirs = _data_nets(ctx.donor), _data_nets(ctx.shell)
    ends, other_ends = _terminators(ctx.donor, ours), _terminators(ctx.shell, theirs)
    shell_net = _matched_nets(ctx, ours)
    for pair, resistors in sorted(ends.items(), key=lambda item: sorted(item[0])):
        target = frozenset(shell_net[net] for net in pair if net in shell_net)
        there = other_ends.get(target, [])
        joined = there if ctx.built is not None else [*resistors, *(one for one in there if one not in ctx.retained)]
        if len(resistors) != TERMINATORS or len(target) != 2:
            continue
        if len(there) != TERMINATORS or len(joined) != TERMINATORS:
            text = f"{_bus_name(ctx.donor, pair)}: {_count(resistors)} here, {_count(there)} there"
            if len(joined) != TERMINATORS and ctx.built is None:
                text += f"; the donor's parts on the shell's harness make it {len(joined)}"
            text += f"; a bus has {TERMINATORS}, 60 Ω across it"
            part = next((one for one in resistors if ctx.component_map.get(one) not in there), resistors[0])
            certainty = Certainty.KNOWN if there else Certainty.LIKELY
            spots = plugs_of(ctx, part, ctx.component_map.get(part, ""))
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
    names = sorted({name for net in nets for name in study.net_side(net).circuits}, key=natural_key)
    return f"data bus {' / '.join(names[:2])}" if names else "data bus"


def _mixed(ctx: Context, nets: dict[int, Side], shell_net: dict[int, int]) -> Iterator[PartChange]:
    """One note a data line that would join modules of both cars."""
    partner = {pair.shell for pair in ctx.pairs.components}
    for net, side in sorted(nets.items()):
        other = shell_net.get(net)
        if other is None:
            continue
        ours = sorted({t.component for t in side.terminals if t.role == "data"}, key=natural_key)
        theirs = [t.component for t in ctx.shell.net_side(other).terminals if t.role == "data"]
        foreign = sorted({name for name in theirs if name not in partner}, key=natural_key)
        if ours and (len(ours) > 1 or foreign):
            names = ", ".join(ours[:4]) + (f"; only in the {ctx.word}: {', '.join(foreign)}" if foreign else "")
            text = f"{_bus_name(ctx.donor, frozenset({net}))} would join modules of both cars: {names}"
            circuit = side.circuits[0] if side.circuits else ""
            donor = plug_of(ctx.donor, ours[0])
            yield PartChange("mixed-bus", Certainty.NOT_KNOWN, text, Spot(donor.connector, "", circuit))


def _unfused(ctx: Context) -> Iterator[PartChange]:
    """A wire of the shell that a feed reaches without a fuse, where the donor's is fused or does not exist."""
    ours = {(ctx.component_map.get(end.component, ""), end.terminal) for end in unfused_ends(ctx.donor)}
    pieces = set(unfused_pieces(ctx.donor))
    back = {pair.shell: pair.donor for pair in ctx.pairs.components}
    halves = {pair.shell: pair.donor for pair in ctx.pairs.connectors}
    for end in unfused_ends(ctx.shell):
        half = (halves.get(end.spot[0], ""), end.spot[1])
        if (end.component and (end.component, end.terminal) in ours) or ctx.donor.index.piece(*half) in pieces:
            continue
        part = _part_at(ctx, end, back, half[0])
        if part is not None and part.kind in EXEMPT and not (end.component and end.sure):
            continue  # what the shell's file does not say, the donor's does
        what = f"{named(ctx.shell, end.component)} terminal {end.terminal or 'not known'}" if end.component else "it"
        yield PartChange(
            "unfused-feed",
            Certainty.KNOWN if end.sure else Certainty.LIKELY,
            f"{what} is fed with no fuse on the way from the battery",
            Spot(*half, ctx.circuit(ctx.donor, *half)) if half[0] else NO_SPOT,
            Spot(*end.spot, ctx.circuit(ctx.shell, *end.spot)),
            back.get(end.component, "") or (part.id if part is not None else ""),
            end.component,
            Evidence(fuse=()),
        )


def _part_at(ctx: Context, end: UnfusedEnd, back: Mapping[str, str], half: str) -> Component | None:
    """The donor's part that an unfused end of the shell belongs to, by the part or by its plug."""
    row = ctx.donor.vehicle.connectors.get(ctx.donor.vehicle.mate_of.get(half, ""))
    owner = back.get(end.component) or (row.component if row is not None else None)
    return ctx.donor.vehicle.components.get(owner or "")
