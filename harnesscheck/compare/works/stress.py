"""What burns in the other car and not in the donor: short circuits of its states, and volts above the rated.

A part is held against what arrives in the states of the other car. A load takes
half as much again as its rated volts: ISO 16750-2 tests 12 V electronics with 18 V and
24 V ones with 36 V (from memory, not read); above that it is damaged.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from harnesscheck.assemble.pairing import TAKEN_OVER
from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.cavitywords import named
from harnesscheck.compare.finding.findings import NO_SPOT, Evidence, Spot
from harnesscheck.compare.finding.kinds import KindName, Severity
from harnesscheck.compare.works.causes import Place, Places, places_of
from harnesscheck.compare.works.mapped import controls
from harnesscheck.model.order import natural_key
from harnesscheck.network.behaviour.shorts import ShortCircuit, parts_on_shorts, short_circuits
from harnesscheck.network.behaviour.states import Behaviour, Condition
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import Branch, Port
from harnesscheck.network.volts.paths import CONDUCTORS

WITHSTANDS = 1.5  # of its rated volts


@dataclass(frozen=True, slots=True)
class Stress:
    """One thing that burns: its kind and severity, the words of its sentence, places in both cars, parts."""

    kind: KindName
    severity: Severity
    sure: bool
    words: dict[str, str]
    donor: Spot
    shell: Spot
    components: tuple[str, str]
    evidence: Evidence
    places: frozenset[Place]  # of the other car, on the way


def new_shorts(ctx: Context) -> Iterator[Stress]:
    """The short circuits of the other car's states that the donor's states do not have."""
    places = ctx.shell.kept(places_of)
    ours, theirs = ctx.component_map, {name: name for name in ctx.component_map.values()}
    before = ctx.donor.kept(_shorts_of)
    by_wire = any(not short.parts for short in before)
    seen = _key(parts_on_shorts(ctx.donor_behaviour, [short.condition for short in before]), ours)
    for short in short_circuits(ctx.shell_behaviour):
        key = _key(short.parts, theirs)
        if not (key <= seen if key else by_wire) and not _in_donor(ctx, short, key):
            yield _stress(ctx, short, places)


def _in_donor(ctx: Context, short: ShortCircuit, key: frozenset[tuple[str, str]]) -> bool:
    """Whether the donor shorts through the same parts, put into the same state; it may not have been tried yet."""
    donor, shell = ctx.donor_behaviour, ctx.shell_behaviour
    shared = controls(donor.circuit, shell.circuit, ctx.pairs.component).shared
    back = {theirs: ours for ours, theirs in shared.items()}
    settings = tuple(sorted(back[one] for one in short.condition.settings if one in back))
    same = Condition(short.condition.stage, settings)
    return bool(key) and key <= _key(parts_on_shorts(donor, [same]), ctx.component_map)


def _shorts_of(study: Study) -> tuple[ShortCircuit, ...]:
    return short_circuits(study.kept(Behaviour))


def _key(parts: Iterable[Branch | Port], names: dict[str, str]) -> frozenset[tuple[str, str]]:
    """Fuses, switches, contacts and diodes in the other car's words; "" for no pair."""
    return frozenset((one.sort, names.get(one.component, "")) for one in parts)


def _stress(ctx: Context, short: ShortCircuit, places: Places) -> Stress:
    back = {shell: donor for donor, shell in ctx.component_map.items()}
    on_way = [place for node in short.nodes for place in places.at.get(node, ())]
    diode = short.suppressor if short.fuses else None  # with no fuse the wires burn, not the diode alone
    part = diode.component if diode is not None else _last_part(short)
    donor, shell = _spots(ctx, on_way, part)
    path = " > ".join(_words(short))
    fuses = ", ".join(f"{one.name} {one.rating_a:g} A" if one.rating_a else one.name for one in short.fuses)
    what = f"a short circuit; fuse {fuses} blows" if fuses else "a short circuit with no fuse on the way"
    words = {
        "part": _diode_words(ctx, part) if diode is not None else part,
        "was_within": "it blocks",
        "now": f"with {short.condition} it conducts {short.amps:.0f} A, {what}"
        if diode is not None
        else f"the body with {short.condition}, {path}",
        "own": f"The feed of {short.source}",
        "fuse": what,
    }
    evidence = Evidence(
        shown={"state": str(short.condition), "path": list(_words(short)), "amps": round(short.amps, 1)},
        fuse=tuple(one.name for one in short.fuses),
    )
    kind: KindName = "feed-to-ground" if diode is None else "reversed"
    severity = Severity.INJURY if diode is None else Severity.DAMAGE
    components = back.get(part, ""), part
    return Stress(kind, severity, short.is_written, words, donor, shell, components, evidence, frozenset(on_way))


def _diode_words(ctx: Context, part: str) -> str:
    name = named(ctx.shell, part)
    return name if ctx.shell.vehicle.components[part].kind == "diode" else f"The diode of {name}"


def _words(short: ShortCircuit) -> Iterator[str]:
    yield short.source
    for one in short.way:
        if one.sort not in CONDUCTORS:
            yield one.component if one.name == one.component else f"{one.component} {one.name}"


def _last_part(short: ShortCircuit) -> str:
    return next((one.component for one in reversed(short.way) if one.component), short.source)


def _spots(ctx: Context, on_way: Sequence[Place], part: str) -> tuple[Spot, Spot]:
    """Where to tell it: a harness cavity that both cars have, best an in-line plug in which they meet, next a part's
    in which they do, next the plug of the part itself, next the one nearest to ground.
    """
    vehicle = ctx.shell.vehicle
    taken = {pair.donor for pair in ctx.pairs.connectors if pair.why == TAKEN_OVER}  # none in cars as they are
    best: tuple[tuple[bool, bool, bool, int], str, Place] | None = None
    for number, (connector, cavity) in enumerate(on_way):
        row = vehicle.connectors.get(connector)
        ours = ctx.donor_connectors(connector)
        if row is None or row.component is not None or not ours:
            continue
        mine = min(ours, key=natural_key)
        mate = vehicle.connectors.get(vehicle.mate_of.get(connector, ""))
        meets = (mine in taken) != (ctx.donor.vehicle.mate_of.get(mine) in taken)
        in_line = mate is not None and mate.component is None
        at_part = mate is not None and mate.component == part
        rank = (meets and in_line, meets, at_part, number)
        best = max(best or (rank, "", ("", "")), (rank, mine, (connector, cavity)))
    if best is None:
        return NO_SPOT, NO_SPOT
    _, mine, (connector, cavity) = best
    return (
        Spot(mine, cavity, ctx.circuit(ctx.donor, mine, cavity)),
        Spot(connector, cavity, ctx.circuit(ctx.shell, connector, cavity)),
    )


def burns_at(rated_v: float, most_v: float) -> bool:
    """Whether a load of some rated volts is damaged by the most that arrives."""
    return most_v > WITHSTANDS * rated_v > 0
