"""From which car a step of an assembled car is: every row remembers the file it was read from."""

from __future__ import annotations

from collections.abc import Mapping

from harnesscheck.bench.ways import Way
from harnesscheck.model.places import Source
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.sides import Study

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


def _car(file: Source, sources: Mapping[Source, str]) -> str:
    return sources.get(file, NEW)
