"""The car or cars to speak of: files, swap sheets that name them, or cars that a program holds already."""

from __future__ import annotations

import os
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeAlias

from harnesscheck.api.faults import stop_for
from harnesscheck.api.reading import DONOR, SHELL, Reading, is_sheet, netlists
from harnesscheck.model.records import Netlist
from harnesscheck.model.vehicle import Vehicle

if TYPE_CHECKING:
    from harnesscheck.api.swapped import Swap
    from harnesscheck.network.graph.sides import Study

VEHICLE, ASSEMBLED = "vehicle", "assembled"
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


@dataclass(frozen=True)
class GivenCar:
    """The one car to speak of: a netlist's, or one that a swap sheet names or puts together.

    ``word`` is vehicle, donor, shell or assembled.
    """

    path: str
    word: str
    netlist: Vehicle | None
    swap: Swap | None

    @property
    def vehicle(self) -> Vehicle:
        """The car as it is: as the sheet says it was found, or put together of two so found."""
        if self.swap is None:
            assert self.netlist is not None
            return self.netlist
        return self.swap.made.vehicle if self.word == ASSEMBLED else self.swap.found[self.word]

    @property
    def whole(self) -> Vehicle:
        """The car as its maker built it, or put together of two so built."""
        if self.swap is None:
            assert self.netlist is not None
            return self.netlist
        if self.word == ASSEMBLED:
            return self.swap.whole
        return (self.swap.donor if self.word == DONOR else self.swap.shell).vehicle

    @property
    def other(self) -> Vehicle | None:
        """The sheet's other car, as its maker built it; None of a netlist alone and of a car put together."""
        if self.swap is None or self.word == ASSEMBLED:
            return None
        return (self.swap.shell if self.word == DONOR else self.swap.donor).vehicle

    @property
    def files(self) -> tuple[str, ...]:
        """All files read for it: the netlist, or donor, shell and sheet."""
        return (self.path,) if self.swap is None else self.swap.files

    @property
    def digests(self) -> tuple[str, ...]:
        """The digest of what was read of each of them."""
        return (self.vehicle.netlist.digest,) if self.swap is None else self.swap.digests

    @cached_property
    def inputs(self) -> Mapping[str, Any]:
        """What a JSON report says of them."""
        from harnesscheck.report.document import input_document

        if self.swap is not None:
            return self.swap.inputs()
        return {DONOR: input_document(self.vehicle)}


def given_car(car: AnyCar, reading: Reading, swap: FilePath | None = None) -> GivenCar:
    """The car of a netlist; with a swap sheet beside it that car as found; of a sheet alone the one put together."""
    sheet, path = sheet_of(car), file_of(car)
    if swap is not None and sheet is not None:
        stop_for(path, f"{path} and --swap {os.fspath(swap)}", "a netlist before --swap, or a swap sheet alone")
    if swap is None and sheet is None:
        return GivenCar(path, VEHICLE, vehicles([car], reading)[0], None)
    from harnesscheck.api.swapped import swap_at, which_car

    both = swap_at(os.fspath(path if swap is None else swap), reading)
    return GivenCar(path, ASSEMBLED if swap is None else which_car(both.sheet, path), None, both)


def sheet_and_cars(donor: AnyCar, shell: AnyCar | None, swap: FilePath | None) -> tuple[tuple[AnyCar, ...], str | None]:
    """The two cars, none where a swap sheet given alone names them, and that sheet."""
    if shell is not None:
        return (donor, shell), None if swap is None else os.fspath(swap)
    if swap is not None or (sheet := sheet_of(donor)) is None:
        expected = f"{DONOR} and {SHELL}, or a swap sheet alone"
        stop_for(file_of(donor), "one car", expected)
    return (), sheet
