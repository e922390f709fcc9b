"""A trace on a car that a swap sheet puts together: which car each element is of, and what the sheet says was found.

Every row remembers the file it was read from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from harnesscheck.bench.trace.elementwords import element_words
from harnesscheck.bench.trace.spots import Spots
from harnesscheck.bench.trace.trace import Trace, TraceStep
from harnesscheck.bench.trace.ways import Way, WayHop
from harnesscheck.model.places import Source
from harnesscheck.model.records import Connector
from harnesscheck.model.swapsheet import BuiltSection
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.graph.sides import Study

NEW = "new"


def sources_of(donor: Vehicle, shell: Vehicle) -> dict[Source, str]:
    """The files of each car; one that both were read from says nothing."""
    files = {car: {row.file for row in one.netlist.rows()} for car, one in (("donor", donor), ("shell", shell))}
    both = files["donor"] & files["shell"]
    return {file: car for car, own in files.items() for file in own - both if file.path}


def cars_of(study: Study, hops: Way, sources: Mapping[Source, str]) -> dict[str, str]:
    """By an element's name: donor, shell, ``donor in shell`` at a plug of both; new where neither has it."""
    vehicle = study.vehicle
    found = {}
    for hop in hops:
        element = hop.element
        if hop.sort == "contact":
            half = element.name.partition(":")[0]
            cars = [_car(vehicle.connectors[one].file, sources) for one in (half, vehicle.mate_of[half])]
            found[element.name] = cars[0] if cars[0] == cars[1] else " in ".join(cars)
        elif element.row is not None:
            found[element.name] = _car(element.row.file, sources)
        elif element.component in vehicle.components:
            found[element.name] = _car(vehicle.components[element.component].file, sources)
    return found


def in_built_car(section: BuiltSection, built: Vehicle, car: str, sources: Mapping[Source, str]) -> BuiltSection:
    """What a sheet says of one car's cavities, under the names the built car has for them; the rest left out."""
    rows = built.netlist.connectors
    names = {(row.common.was or "").partition(":")[2]: row.id for row in rows if _was_of(row, car)}
    own = {row.id for row in rows if row.common.was is None and sources.get(row.file) == car}

    def named(end: str) -> str | None:
        """A cavity as the assembled car names it; None where it is not there."""
        connector, _, cavity = end.partition(":")
        found = names.get(connector, connector if connector in own else None)
        return f"{found}:{cavity}" if found is not None else None

    bridges = [(named(one), named(other)) for one, other in section.bridge]
    return BuiltSection(
        cut=tuple(one for end in section.cut if (one := named(end)) is not None),
        tap=tuple(replace(tap, at=one) for tap in section.tap if (one := named(tap.at)) is not None),
        bridge=tuple((one, other) for one, other in bridges if one is not None and other is not None),
        seen={one: colour for end, colour in section.seen.items() if (one := named(end)) is not None},
        condition=section.condition,
    )


def _was_of(row: Connector, car: str) -> bool:
    return row.common.was is not None and row.common.was.startswith(f"{car}:")


def _car(file: Source, sources: Mapping[Source, str]) -> str:
    return sources.get(file, NEW)


# -- what was found cut, tapped, bridged


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
            yield f"THE BREAK: {element_words(found.study, hop)} is cut at {where}, says [built.{car}].{reads}"


def _is_of_harness(vehicle: Vehicle, end: str, hop: WayHop) -> bool:
    """Whether the cut at a plug half is on this wire: the half itself, or a part's half, whose wire is the other's."""
    connector = vehicle.connectors.get(end.partition(":")[0])
    return end in hop.names or (connector is not None and connector.component is not None)


def _reads(before: TraceStep, after: TraceStep) -> str:
    if before.found_v is None and after.found_v is None:
        return ""
    values = [f"{step.found_v or 0.0:.1f} V at {step.spot.place}" for step in (before, after)]
    return f" As found: {' and '.join(values)}."
