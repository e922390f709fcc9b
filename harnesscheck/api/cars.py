"""The car or cars to speak of: files, swap sheets that name them, or cars that a program holds already."""

from __future__ import annotations

import os
import warnings
from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeAlias

from harnesscheck.api.faults import stop_for
from harnesscheck.api.reading import DONOR, SHELL, Reading, is_sheet, netlists
from harnesscheck.model.records import Netlist
from harnesscheck.model.vehicle import Vehicle

if TYPE_CHECKING:
    from harnesscheck.network.graph.sides import Study

FilePath: TypeAlias = "str | os.PathLike[str]"
AnyCar: TypeAlias = "FilePath | Netlist | Vehicle"


def warned(text: str) -> None:
    """Tell a program of texts that were not read for certain, as a warning."""
    warnings.warn(text, UserWarning, stacklevel=2)


READING = Reading(told=warned)
"""How a program's files are read where it does not say otherwise."""


def vehicles(cars: Sequence[AnyCar], reading: Reading) -> list[Vehicle]:
    """Some cars; those that are files are read, and the faults of all of them raised at once."""
    from harnesscheck.read import configure

    read = iter(netlists([os.fspath(car) for car in cars if isinstance(car, (str, os.PathLike))], reading))
    found = []
    for car in cars:
        if isinstance(car, Vehicle):
            found.append(Vehicle(car.netlist))  # whatever a subclass adds, cars are equal by their rows
        else:
            found.append(configure(car if isinstance(car, Netlist) else next(read)))
    return found


def studies(cars: Sequence[AnyCar], reading: Reading) -> list[Study]:
    """The same, studied."""
    from harnesscheck.network.graph.sides import Study

    return [Study(car) for car in vehicles(cars, reading)]


def listed(cars: AnyCar | Sequence[AnyCar]) -> tuple[AnyCar, ...]:
    """One car, or several, as several."""
    return (cars,) if isinstance(cars, (str, os.PathLike, Netlist, Vehicle)) else tuple(cars)


def file_of(car: AnyCar) -> str:
    """The file that a car is, or was read from."""
    if isinstance(car, (str, os.PathLike)):
        return os.fspath(car)
    return (car if isinstance(car, Netlist) else car.netlist).header.file.path


def sheet_of(car: AnyCar) -> str | None:
    """The swap sheet that a name is; None for a car."""
    path = os.fspath(car) if isinstance(car, (str, os.PathLike)) else ""
    return path if is_sheet(path) else None


def sheet_and_cars(donor: AnyCar, shell: AnyCar | None, swap: FilePath | None) -> tuple[tuple[AnyCar, ...], str | None]:
    """The two cars, none where a swap sheet given alone names them, and that sheet."""
    if shell is not None:
        return (donor, shell), None if swap is None else os.fspath(swap)
    if swap is not None or (sheet := sheet_of(donor)) is None:
        expected = f"{DONOR} and {SHELL}, or a swap sheet alone"
        stop_for(file_of(donor), "one car", expected)
    return (), sheet
