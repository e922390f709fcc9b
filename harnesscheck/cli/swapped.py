"""The cars of a swap sheet: as the maker built them, as they were found, and the one that is built of both."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from harnesscheck.cli.shared import netlists, said_of, stop, stop_for
from harnesscheck.model.places import InputFault, Place
from harnesscheck.read.limits import Limits

if TYPE_CHECKING:
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.read.swap import SwapSheet

DONOR, SHELL = "donor", "shell"


def sheet_at(path: str) -> SwapSheet:
    """A swap sheet; its faults end the command."""
    from harnesscheck.read.swap import read_swap

    sheet = read_swap(path)
    if isinstance(sheet, list):
        stop(sheet)
    return sheet


def car_file(sheet: SwapSheet, car: str) -> str:
    """The file of the sheet's donor or shell, found from where the sheet is."""
    name = sheet.donor if car == DONOR else sheet.shell
    if name is None:
        stop_for(sheet.path, f"no {car}", f'{car} = "FILE", the netlist of the {car}')
    return str(Path(sheet.path).parent / name)


def which_car(sheet: SwapSheet, path: str) -> str:
    """Whether a file is the sheet's donor or its shell."""
    files = {car: name for car, name in ((DONOR, sheet.donor), (SHELL, sheet.shell)) if name is not None}
    for car in files:
        if Path(car_file(sheet, car)).resolve() == Path(path).resolve():
            return car
    listed = ", ".join(f"{car} {name}" for car, name in files.items()) or "no car at all"
    fault = InputFault(Place(path), "a file that the swap sheet does not name", f"one of {sheet.path}: {listed}")
    return stop([fault])


def found_car(vehicle: Vehicle, sheet: SwapSheet, car: str) -> Vehicle:
    """The car with what the sheet says it was found like."""
    from harnesscheck.assemble.asbuilt import as_built

    section = sheet.built_donor if car == DONOR else sheet.built_shell
    found = as_built(vehicle, section, sheet.path, car)
    if isinstance(found, list):
        stop(found)
    return found


@dataclass(frozen=True)
class BuiltCar:
    """The car that a sheet's choices give, out of whole cars and out of both as found."""

    whole: Vehicle
    found: Vehicle
    donor: Vehicle
    shell: Vehicle


def built_car(sheet: SwapSheet, limits: Limits) -> BuiltCar:
    """Read both cars of a sheet and put one together; faults end the command."""
    from harnesscheck.align import align
    from harnesscheck.assemble.assemble import assemble
    from harnesscheck.assemble.choice import Choice, ChoiceError
    from harnesscheck.network.sides import Study
    from harnesscheck.read import configure

    paths = [car_file(sheet, car) for car in (DONOR, SHELL)]
    donor, shell = (configure(one) for one in netlists(paths, limits))
    said, _ = said_of(sheet.path, donor, shell)
    pairs = align(Study(donor), Study(shell), said)
    choice = Choice(sheet.harness, sheet.parts)
    try:
        whole = assemble(donor, shell, pairs, choice)
        found = assemble(found_car(donor, sheet, DONOR), found_car(shell, sheet, SHELL), pairs, choice)
    except ChoiceError as error:
        stop(
            [InputFault(Place(sheet.path), str(fault), "a choice that a car can be built by") for fault in error.faults]
        )
    return BuiltCar(whole, found, donor, shell)
