"""What burns in the other car and not in the donor: short circuits of its states, and volts above the rated.

A part is held against what arrives in the states of the other car. A load takes
half as much again as its rated volts: ISO 16750-2 tests 12 V electronics with 18 V and
24 V ones with 36 V (from memory, not read); above that it is damaged.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from harnesscheck.compare.context import Context
from harnesscheck.compare.finding.cavitywords import named
from harnesscheck.compare.finding.findings import NO_SPOT, Evidence, Spot
from harnesscheck.compare.finding.kinds import KindName, Severity
from harnesscheck.compare.works.causes import Place, Places
from harnesscheck.model.order import natural_key
from harnesscheck.network.behaviour.shorts import ShortCircuit, short_circuits
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
    places = Places(ctx.shell_behaviour)
    ours, theirs = ctx.component_map, {name: name for name in ctx.component_map.values()}
    before = short_circuits(ctx.donor_behaviour)
    known = {_key(short, ours) for short in before}
    shorted = any(short.diode is None for short in before)  # a file that shorts as it stands: nothing is new there
    for short in short_circuits(ctx.shell_behaviour):
        if _key(short, theirs) not in known and (short.diode is not None or not shorted):
            yield _stress(ctx, short, places)


def _key(short: ShortCircuit, names: dict[str, str]) -> frozenset[tuple[str, str]]:
    """A short by the switches, contacts and diodes it goes through, in the other car's words; "" for no pair."""
    return frozenset((one.sort, names.get(one.component, "")) for one in short.ports)


def _stress(ctx: Context, short: ShortCircuit, places: Places) -> Stress:
    back = {shell: donor for donor, shell in ctx.component_map.items()}
    on_way = [place for node in short.nodes for place in places.at.get(node, ())]
    diode = short.diode
    part = diode.component if diode is not None else _last_part(short)
    donor, shell = _spots(ctx, on_way)
    path = " > ".join(_words(short))
    fuses = ", ".join(f"{one.name} {one.rating_a:g} A" if one.rating_a else one.name for one in short.fuses)
    what = f"a short circuit; fuse {fuses} blows" if fuses else "a short circuit with no fuse on the way"
    words = {
        "part": f"the diode of {named(ctx.shell, part)}" if diode is not None else part,
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
    sure = not any(getattr(one, "likely", False) or "switch without positions" in one.why for one in short.way)
    kind: KindName = "feed-to-ground" if diode is None else "reversed"
    severity = Severity.INJURY if diode is None else Severity.DAMAGE
    components = back.get(part, ""), part
    return Stress(kind, severity, sure, words, donor, shell, components, evidence, frozenset(on_way))


def _words(short: ShortCircuit) -> Iterator[str]:
    yield short.source
    for one in short.way:
        if one.sort not in CONDUCTORS:
            yield one.component if one.name == one.component else f"{one.component} {one.name}"


def _last_part(short: ShortCircuit) -> str:
    return next((one.component for one in reversed(short.way) if one.component), short.source)


def _spots(ctx: Context, on_way: Sequence[Place]) -> tuple[Spot, Spot]:
    """Where to tell it: the harness cavity nearest to ground whose plug both cars have."""
    vehicle = ctx.shell.vehicle
    for connector, cavity in reversed(on_way):
        row = vehicle.connectors.get(connector)
        ours = ctx.donor_connectors(connector)
        if row is not None and row.component is None and ours:
            mine = min(ours, key=natural_key)
            return (
                Spot(mine, cavity, ctx.circuit(ctx.donor, mine, cavity)),
                Spot(connector, cavity, ctx.circuit(ctx.shell, connector, cavity)),
            )
    return NO_SPOT, NO_SPOT


def burns_at(rated_v: float, most_v: float) -> bool:
    """Whether a load of some rated volts is damaged by the most that arrives."""
    return most_v > WITHSTANDS * rated_v > 0
