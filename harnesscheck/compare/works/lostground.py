"""A ground wire that several loads share and that the other car has not: one cause for what each of them does.

Loads that share a lost ground feed each other: each glows by another's switch. The
missing wire is what is to be mended, so it is told, and what the loads do stands with it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.compare.context import Context, plugs_of
from harnesscheck.compare.finding.cavitywords import named
from harnesscheck.compare.finding.findings import Evidence, Spot
from harnesscheck.compare.finding.kinds import KIND, KindName, Severity
from harnesscheck.compare.works.function import FunctionChange
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.model.shortened import shortened
from harnesscheck.model.vehicle import Vehicle

_FROM_IT: frozenset[KindName] = frozenset({"sneak-path", "dim-accessory", "dead-accessory"})
NAMED = 6  # parts named in a sentence


@dataclass(frozen=True, slots=True)
class _LostGround:
    """The donor's parts whose ground is gone, and the donor's wires to the body that held it."""

    parts: tuple[str, ...]
    wires: tuple[Pin | Wire, ...]


def with_lost_grounds(ctx: Context, changes: Sequence[FunctionChange]) -> tuple[FunctionChange, ...]:
    """The changes, those that a lost ground wire makes gathered under the wire; worse ones stand for themselves."""
    left, found = list(changes), []
    for lost in _lost_grounds(ctx):
        under = [one for one in left if _is_from(one, lost)]
        if len(under) > 1:
            left = [one for one in left if one not in under]
            found.append(_change(ctx, lost, under))
    return (*found, *left)


def _is_from(one: FunctionChange, lost: _LostGround) -> bool:
    return one.kind in _FROM_IT and one.severity >= Severity.DEAD and not one.parts.isdisjoint(lost.parts)


def _change(ctx: Context, lost: _LostGround, under: Sequence[FunctionChange]) -> FunctionChange:
    names = shortened([named(ctx.donor, part) for part in lost.parts], NAMED)
    wires = " and ".join(_wire_words(row) for row in lost.wires)
    loads = [f"{one.donor_component}: {one.kind}, {one.words.get('state', '')}" for one in under]
    shell = ctx.component_map.get(lost.parts[0], "")
    donor, there = plugs_of(ctx, lost.parts[0], shell)
    text = f"Ground wire {wires} here is missing there: {names} have no ground but through each other and through "
    text += (
        f"what they share a feed with ({', '.join(sorted({one.donor_component for one in under}, key=natural_key))})."
    )
    circuit = next((row.circuit for row in lost.wires if row.circuit), "")
    return FunctionChange(
        "ground-lost",
        KIND["ground-lost"].severity,
        all(ctx.pairs.component[part].sure for part in lost.parts),
        {},
        Spot(donor.connector, "", circuit or ""),
        there,
        lost.parts[0],
        shell,
        Evidence(shown={"missing": wires, "parts": list(lost.parts)}, loads=tuple(sorted(loads, key=natural_key))),
        frozenset(lost.parts).union(*(one.parts for one in under)),
        text,
    )


def _wire_words(row: Pin | Wire) -> str:
    more = ", ".join(filter(None, (row.circuit, f"{row.size.text} mm²" if row.size is not None else None)))
    return f"{_start(row)} to {row.to}" + (f" ({more})" if more else "")


def _lost_grounds(ctx: Context) -> Iterator[_LostGround]:
    """Nets of the other car on no metal, of which two parts or more are on metal by wire in the donor."""
    ours, theirs = ctx.donor.index, ctx.shell.index
    body = {ours.net_of[piece] for piece in ours.ground_pieces}
    body_there = {theirs.net_of[piece] for piece in theirs.ground_pieces}
    groups: dict[int, list[tuple[str, str]]] = defaultdict(list)
    for (component, terminal), node in ours.terminal.items():
        other = theirs.terminal.get((ctx.component_map.get(component, ""), terminal))
        if other is None or ours.net_of[ours.piece_of[node]] not in body:
            continue
        if ctx.donor.vehicle.components[component].kind == "battery":
            continue
        net = theirs.net_of[theirs.piece_of[other]]
        if net not in body_there and not any(piece in theirs.open_at for piece in theirs.pieces_of[net]):
            groups[net].append((component, terminal))
    for _, ends in sorted(groups.items()):
        parts = tuple(sorted({component for component, _ in ends}, key=natural_key))
        wires = _wires_to_metal(ctx, ends)
        if len(parts) > 1 and wires:
            yield _LostGround(parts, wires)


def _wires_to_metal(ctx: Context, ends: Sequence[tuple[str, str]]) -> tuple[Pin | Wire, ...]:
    """The donor's wires to the body that all of some terminals share; none where each has its own."""
    vehicle = ctx.donor.vehicle
    at: dict[str, list[tuple[str, Pin | Wire]]] = defaultdict(list)
    rows: tuple[Pin | Wire, ...] = (*vehicle.netlist.pins, *vehicle.netlist.wires)
    for row in rows:
        start = _start(row)
        if row.to is not None:
            at[start].append((row.to, row))
            at[row.to].append((start, row))
    reached = [_ends_at_metal(vehicle, at, _first_ends(vehicle, *end)) for end in ends]
    shared = set(reached[0]).intersection(*reached[1:])
    return tuple(row for number, row in reached[0].items() if number in shared)


def _start(row: Pin | Wire) -> str:
    if isinstance(row, Wire):
        return row.from_
    return f"{row.connector}:{row.cavity}" if row.connector is not None else f"{row.component}.{row.terminal}"


def _first_ends(vehicle: Vehicle, component: str, terminal: str) -> Iterator[str]:
    """Where the wires of a part's terminal start: the cavities of its plugs, or the terminal itself."""
    yield f"{component}.{terminal}"
    for plug in vehicle.connectors_of.get(component, ()):
        for pin in vehicle.pins_of.get(plug.id, ()):
            if pin.terminal == terminal:
                yield f"{plug.id}:{pin.cavity}"


def _ends_at_metal(
    vehicle: Vehicle, at: Mapping[str, Sequence[tuple[str, Pin | Wire]]], starts: Iterable[str]
) -> dict[int, Pin | Wire]:
    """The wires that end at a ground point, of all that are reached without passing one; by the row's identity."""
    found: dict[int, Pin | Wire] = {}
    queue = list(starts)
    seen = set(queue)
    for end in queue:
        plug, colon, cavity = end.partition(":")
        mate = vehicle.mate_of.get(plug) if colon else None
        beyond = [f"{mate}:{cavity}"] if mate is not None else []
        for other, row in at.get(end, ()):
            if other in vehicle.grounds:
                found[id(row)] = row
            else:
                beyond.append(other)
        queue += (one for one in dict.fromkeys(beyond) if one not in seen)
        seen.update(beyond)
    return found
