"""The one car that a question is about: a netlist's, or one that a swap sheet names or puts together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from os import fspath
from typing import TYPE_CHECKING, Any

from harnesscheck.api.cars import AnyCar, FilePath, file_of, sheet_of, vehicles
from harnesscheck.api.faults import stop_for
from harnesscheck.api.reading import DONOR, Reading
from harnesscheck.api.swapped import Swap, swap_at, which_car

if TYPE_CHECKING:
    from harnesscheck.model.vehicle import Vehicle

VEHICLE, ASSEMBLED = "vehicle", "assembled"


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
        stop_for(path, f"{path} and --swap {fspath(swap)}", "a netlist before --swap, or a swap sheet alone")
    if swap is None and sheet is None:
        return GivenCar(path, VEHICLE, vehicles([car], reading)[0], None)
    both = swap_at(fspath(path if swap is None else swap), reading)
    return GivenCar(path, ASSEMBLED if swap is None else which_car(both.sheet, path), None, both)
