"""The words of a trace: what lies between two spots, what a meter should read, what to take care of."""

from __future__ import annotations

from collections.abc import Sequence

from harnesscheck.bench.trace.spots import FUSE, Spots, wire_row
from harnesscheck.bench.trace.trace import TraceStep
from harnesscheck.bench.trace.ways import WayHop
from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import Branch
from harnesscheck.network.volts.lengths import Lengths
from harnesscheck.network.volts.resistances import plain, reason
from harnesscheck.trade.sizes import with_unit

CAUTIONS = (
    "Probe from the wire side beside the seal; never pierce insulation, never spread a socket with a probe tip. "
    "Volts with the plugs in, the meter's black lead on bare body metal; ohms only with the battery off and the part "
    "unplugged, never on a control unit. Use a meter, not a test lamp, on anything a module drives.",
    "Airbags, belt tensioners and high voltage (orange) are never measured from this list. No sparks near fuel. "
    "A blown fuse is replaced by its own rating, once; a bridge in its place burns the loom.",
    "This is an aid, not an approval: the maker's procedure, local law and inspection rules stand above it.",
)
_PARTS = {
    "fuse": "fuse", "joint": "joint inside", "resistor": "resistor", "switch": "switch", "key": "ignition switch",
    "make": "relay contact", "break": "relay contact", "output": "module output", "diode": "diode",
    "load": "load", "coil": "relay coil",
}  # fmt: skip


def volts_words(volts: float | None) -> str:
    """``11.7 V``; millivolts matter below 1 V; ``-`` where a spot is joined to nothing."""
    if volts is None:
        return "-"
    shown = abs(volts) if abs(volts) < 0.005 else volts
    return f"{shown:.2f} V" if abs(shown) < 1 else f"{shown:.1f} V"


def hop_words(study: Study, hop: WayHop) -> str:
    """One element between two spots: ``wire RD/WH 0.75 mm², 1.1 m, circuit RL``, ``fuse F8 10 A``."""
    row = wire_row(hop)
    if hop.sort == "wire":
        looks = wire_looks(study, hop)
        return looks if row is None or joins_by_case(row) else f"wire {looks}"
    element = hop.element
    if hop.sort == "contact":
        half, _, cavity = element.name.partition(":")
        return f"contact {half}:{cavity} with {study.vehicle.mate_of[half]}:{cavity}"
    part = study.vehicle.components.get(element.component)
    name = f"{part.name} ({element.component})" if part is not None and part.name else element.component
    rating = f" {element.rating_a:g} A" if isinstance(element, Branch) and element.rating_a else ""
    if hop.sort == "fuse" and element.name != element.component:
        return f"fuse {element.name}{rating} in {name}"
    inside = f", {element.name}" if element.name not in ("", "coil", element.component) else ""
    return f"{_PARTS.get(hop.sort, hop.sort)} {name}{rating}{inside}"


def is_likely(hop: WayHop) -> bool:
    """Whether an element rests on a rule or on a row that covers part of the build dates."""
    return isinstance(hop.element, Branch) and hop.element.likely


def joins_by_case(row: Pin | Wire) -> bool:
    """Whether a row joins a terminal through its case and is no wire at all."""
    return isinstance(row, Pin) and row.is_case


def wire_looks(study: Study, hop: WayHop) -> str:
    """What a wire looks like: colour, size, length, circuit."""
    row = wire_row(hop)
    if row is None:
        return "joined"
    if joins_by_case(row):
        return "no wire: through its case or bolted straight on"
    length = Lengths(study.vehicle).of(row, *hop.names)
    assumed = " (assumed)" if reason(length) else ""
    colour = row.colour.text if row.colour is not None else "colour not known"
    size = with_unit(row.size.text) if row.size is not None else ""
    words = [colour, size or "size not known", f"{plain(length):g} m{assumed}"]
    likely = " (likely: its far end is not written)" if is_likely(hop) else ""
    return ", ".join([*words, *([f"circuit {row.circuit}"] if row.circuit else [])]) + likely


def group_steps(steps: Sequence[TraceStep], *, upwards: bool) -> list[list[TraceStep]]:
    """Steps joined by a mated contact together: the two halves of one plug are one place to a person."""
    groups: list[list[TraceStep]] = []
    for number, step in enumerate(steps):
        hop = steps[number - 1].hop if upwards and number else step.hop
        if groups and hop is not None and hop.sort == "contact":
            groups[-1].append(step)
        else:
            groups.append([step])
    return groups


def probe_of(group: Sequence[TraceStep]) -> TraceStep:
    """Where a group is measured: on the fuse itself, else the first spot a probe reaches with all plugs in."""
    ranked = sorted(group, key=lambda step: (step.spot.sort != FUSE, not step.spot.reachable))
    return ranked[0]


def group_title(spots: Spots, group: Sequence[TraceStep]) -> str:
    """``RE1-AH:1 in RE1-A:1, roof, above shelf 1``, with the part it belongs to."""
    words = " in ".join(step.spot.place for step in group)
    part = next((part_words(spots.study, step.spot.terminal) for step in group if step.spot.terminal), "")
    at = next((step.spot.at for step in group if step.spot.at), None)
    return ", ".join(filter(None, (words, part, at)))


def part_words(study: Study, terminal: str) -> str:
    """``Reading lamp 1 terminal +`` for ``reading-lamp-1.+``."""
    component, _, name = terminal.rpartition(".")
    row = study.vehicle.components.get(component)
    return f"{(row.name if row is not None else None) or component} terminal {name}" if component else terminal
