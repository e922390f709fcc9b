"""The cars of a swap sheet, read one way by every command: as their makers built them, as found, and put together."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from os import fspath
from pathlib import Path
from typing import TYPE_CHECKING, Any

from harnesscheck.api.cars import AnyCar, FilePath, file_of, studies
from harnesscheck.api.faults import stop, stop_for
from harnesscheck.api.reading import DONOR, SHELL, Reading
from harnesscheck.model.paths import real_path
from harnesscheck.model.places import InputFault, Place

if TYPE_CHECKING:
    from harnesscheck.align import Crosswalk
    from harnesscheck.align.pairs import Pairs
    from harnesscheck.assemble.assemble import Assembly
    from harnesscheck.compare.built import BuiltComparison
    from harnesscheck.model.swapsheet import SwapSheet
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.network.graph.sides import Study


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
    path = Path(sheet.path).parent / name
    if not os.path.lexists(path):
        stop([InputFault(sheet.place((car,)), name, f"{car}: a file that is there, seen from this one")])
    return str(path)


def which_car(sheet: SwapSheet, path: str) -> str:
    """Whether a file is the sheet's donor or its shell."""
    files = {car: name for car, name in ((DONOR, sheet.donor), (SHELL, sheet.shell)) if name is not None}
    for car, name in files.items():
        if real_path(Path(sheet.path).parent / name) == real_path(path):
            return car
    listed = ", ".join(f"{car} {name}" for car, name in files.items()) or "no car at all"
    fault = InputFault(Place(path), "a file that the swap sheet does not name", f"one of {sheet.path}: {listed}")
    return stop([fault])


def said_of(path: FilePath | None, donor: Vehicle, shell: Vehicle) -> tuple[Crosswalk | None, SwapSheet | None]:
    """The crosswalk of a swap sheet and the sheet itself; an entry that names no row ends the command."""
    if path is None:
        return None, None
    sheet = sheet_at(fspath(path))
    faults = [*_wrong_pairs(sheet, donor, shell), *_wrong_dead(sheet, donor, shell)]
    if faults:
        stop(faults)
    return crosswalk_in(sheet), sheet


def crosswalk_in(sheet: SwapSheet) -> Crosswalk:
    """What a sheet says for certain of which row is which."""
    from harnesscheck.align import Crosswalk

    return Crosswalk(sheet.crosswalk.connector, sheet.crosswalk.component, sheet.crosswalk.circuit)


@dataclass(frozen=True)
class Swap:
    """A swap sheet with both cars. What does not fit together ends the command as soon as it is asked for."""

    sheet: SwapSheet
    paths: Mapping[str, str]  # by donor, shell
    donor: Study
    shell: Study
    found: Mapping[str, Vehicle]  # both as the sheet says they were found

    @cached_property
    def pairs(self) -> Pairs:
        """Which row is which, with what speaks against the sheet's crosswalk."""
        from harnesscheck.align.check import align_checked

        return align_checked(self.donor, self.shell, crosswalk_in(self.sheet))

    @cached_property
    def made(self) -> Assembly:
        """The car that the sheet's choices give, out of both as found."""
        return self._made(self.found[DONOR], self.found[SHELL])

    @cached_property
    def mended(self) -> Assembly:
        """The car that the sheet's choices give, out of both as their makers built them."""
        return self._made(self.donor.vehicle, self.shell.vehicle)

    @property
    def whole(self) -> Vehicle:
        """That car's rows."""
        return self.mended.vehicle

    @property
    def is_altered(self) -> bool:
        """Whether the sheet says that anything was found cut, tapped, bridged or of another colour."""
        return self.found != {DONOR: self.donor.vehicle, SHELL: self.shell.vehicle}

    def _made(self, donor: Vehicle, shell: Vehicle) -> Assembly:
        from harnesscheck.assemble.assemble import assembly
        from harnesscheck.assemble.choice import Choice, ChoiceError

        try:
            return assembly(donor, shell, self.pairs, Choice(self.sheet.harness, self.sheet.parts))
        except ChoiceError as error:
            return stop(error.in_sheet(self.sheet))

    @property
    def files(self) -> tuple[str, ...]:
        """All files that the command reads for it: donor, shell, sheet."""
        return self.paths[DONOR], self.paths[SHELL], self.sheet.path

    @property
    def digests(self) -> tuple[str, str, str]:
        """The digest of what was read of each of them."""
        return self.donor.vehicle.netlist.digest, self.shell.vehicle.netlist.digest, self.sheet.digest

    def inputs(self) -> dict[str, Any]:
        """What a JSON report says of them."""
        from harnesscheck.report.document import input_document, sheet_document

        cars = {DONOR: self.donor.vehicle, SHELL: self.shell.vehicle}
        return {car: input_document(cars[car]) for car in cars} | {"swap": sheet_document(self.sheet)}


def swap_at(path: str, reading: Reading, cars: Sequence[AnyCar] = ()) -> Swap:
    """Read a swap sheet and its two cars, or the two given; all faults of the cars, then all that they cannot be."""
    from harnesscheck.assemble.asbuilt import both_as_built

    sheet = sheet_at(path)
    given = cars or _files_of(sheet)
    paths = dict(zip((DONOR, SHELL), map(file_of, given), strict=True))
    donor, shell = studies(given, reading)
    found = both_as_built(donor.vehicle, shell.vehicle, sheet)
    faults = [*_wrong_names(sheet, donor.vehicle, shell.vehicle), *(found if isinstance(found, list) else ())]
    if faults or isinstance(found, list):
        stop(sorted(faults, key=lambda fault: fault.place))
    return Swap(sheet, paths, donor, shell, dict(zip((DONOR, SHELL), found, strict=True)))


def built_of(swap: Swap) -> BuiltComparison:
    """The donor against the car that a swap sheet puts together."""
    from harnesscheck.compare.built import compare_built

    whole = swap.mended if swap.is_altered else None
    return compare_built(swap.donor, swap.shell, swap.pairs, swap.made, swap.sheet, whole)


def _files_of(sheet: SwapSheet) -> tuple[str, str]:
    missing = [car for car, name in ((DONOR, sheet.donor), (SHELL, sheet.shell)) if name is None]
    if missing:
        stop(
            [InputFault(Place(sheet.path), f"no {car}", f'{car} = "FILE", the netlist of the {car}') for car in missing]
        )
    return car_file(sheet, DONOR), car_file(sheet, SHELL)


# -- names that the cars do not have


def _wrong_names(sheet: SwapSheet, donor: Vehicle, shell: Vehicle) -> Iterator[InputFault]:
    """Every entry of a sheet that names nothing in the cars."""
    yield from _wrong_pairs(sheet, donor, shell)
    yield from _wrong_dead(sheet, donor, shell)
    known = (
        (("harness",), sheet.harness, {*donor.harnesses, *shell.harnesses}, "a harness of one of the cars"),
        (("parts",), sheet.parts, {*donor.components, *shell.components}, "a component of one of the cars"),
        (("built", DONOR, "condition"), sheet.built_donor.condition, set(donor.harnesses), "a harness of the donor"),
        (("built", SHELL, "condition"), sheet.built_shell.condition, set(shell.harnesses), "a harness of the shell"),
    )
    for table, entries, names, expected in known:
        for name in entries:
            if not _is_glob(name) and name.removeprefix("shell:") not in names:
                yield _fault(sheet, (*table, name), f"{expected} in [{'.'.join(table)}]")


def _wrong_pairs(sheet: SwapSheet, donor: Vehicle, shell: Vehicle) -> Iterator[InputFault]:
    said = crosswalk_in(sheet)
    for table, entries, ours, theirs in (
        ("connector", said.connectors, donor.connectors, shell.connectors),
        ("component", said.component, donor.components, shell.components),
    ):
        for a, b in entries.items():
            for name, known, car in ((a, ours, DONOR), (b, theirs, SHELL)):
                if name not in known:
                    where = ("crosswalk", table, a)
                    yield _fault(sheet, where, f"a {table} of the {car} in [crosswalk]", name)


def _wrong_dead(sheet: SwapSheet, donor: Vehicle, shell: Vehicle) -> Iterator[InputFault]:
    for name in sheet.dead_before:
        if name not in donor.components and name not in shell.components:
            yield _fault(sheet, ("before", "dead", name), "a component of either car in [before]")


def _fault(sheet: SwapSheet, keys: tuple[str, ...], expected: str, name: str = "") -> InputFault:
    return InputFault(sheet.place(keys), name or keys[-1], expected)


def _is_glob(name: str) -> bool:
    return any(sign in name for sign in "*?[")
