"""From which car a step of an assembled car is: every row remembers the file it was read from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from harnesscheck.bench.trace.ways import Way
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
