"""What the swap sheet says was done to the wires of a chain: cuts, taps, bridges, colours seen."""

from __future__ import annotations

from collections.abc import Iterator

from harnesscheck.bench.symptoms.breaks import suspect_words
from harnesscheck.bench.trace.spots import Spots
from harnesscheck.bench.trace.trace import Trace, TraceStep
from harnesscheck.bench.trace.ways import WayHop
from harnesscheck.model.swapsheet import BuiltSection
from harnesscheck.model.vehicle import Vehicle


def said_of_chain(found: Trace, section: BuiltSection, car: str) -> tuple[str, ...]:
    """Every entry of ``[built.CAR]`` that stands on the chain, in the order of the current."""
    spots = Spots(found.study, found.behaviour.circuit)
    lines: list[str] = []
    for number, hop in enumerate(found.hops):
        ends = {name for end in spots.ends(hop) for name in _both_halves(found.study.vehicle, end)}
        if hop.sort == "wire":
            lines += _cuts(found, section, car, number, hop, ends)
    places = {name for step in found.steps for name in _both_halves(found.study.vehicle, step.spot.place)}
    lines += [f"{tap.at} is tapped, says [built.{car}]: {tap.what}" for tap in section.tap if tap.at in places]
    for one, other in section.bridge:
        if one in places or other in places:
            lines.append(f"{one} is bridged with {other}, says [built.{car}]")
    lines += [
        f"{end} has a wire of colour {colour}, says [built.{car}]"
        for end, colour in section.seen.items()
        if end in places
    ]
    return tuple(lines)


def _both_halves(vehicle: Vehicle, end: str) -> Iterator[str]:
    yield end
    connector, colon, cavity = end.partition(":")
    if colon and connector in vehicle.mate_of:
        yield f"{vehicle.mate_of[connector]}:{cavity}"


def _cuts(found: Trace, section: BuiltSection, car: str, number: int, hop: WayHop, ends: set[str]) -> Iterator[str]:
    for end in section.cut:
        if end in ends and _is_of_harness(found.study.vehicle, end, hop):
            at = Spots(found.study, found.behaviour.circuit).at(end)
            where = f"{end} ({at})" if at else end
            reads = _reads(found.steps[number], found.steps[number + 1])
            yield f"THE BREAK: {suspect_words(found, hop)} is cut at {where}, says [built.{car}].{reads}"


def _is_of_harness(vehicle: Vehicle, end: str, hop: WayHop) -> bool:
    """Whether the cut at a plug half is on this wire: the half itself, or a part's half, whose wire is the other's."""
    connector = vehicle.connectors.get(end.partition(":")[0])
    return end in hop.names or (connector is not None and connector.component is not None)


def _reads(before: TraceStep, after: TraceStep) -> str:
    if before.found_v is None and after.found_v is None:
        return ""
    values = [f"{step.found_v or 0.0:.1f} V at {step.spot.place}" for step in (before, after)]
    return f" As found: {' and '.join(values)}."
