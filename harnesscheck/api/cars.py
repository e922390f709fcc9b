"""The car or cars that a command is given: netlists, or a swap sheet that names them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from harnesscheck.api.faults import stop_for
from harnesscheck.api.reading import DONOR, Reading, is_sheet, netlists
from harnesscheck.api.swapped import Swap, swap_at, which_car

if TYPE_CHECKING:
    from harnesscheck.model.vehicle import Vehicle
    from harnesscheck.network.graph.sides import Study

VEHICLE, ASSEMBLED = "vehicle", "assembled"


def studies(paths: Sequence[str], reading: Reading) -> list[Study]:
    """Some netlists as studied cars; the faults of all end the command."""
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.read import configure

    return [Study(configure(netlist)) for netlist in netlists(paths, reading)]


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

    def inputs(self) -> dict[str, Any]:
        """What a JSON report says of them."""
        from harnesscheck.report.document import input_document

        if self.swap is not None:
            return self.swap.inputs()
        return {DONOR: input_document(self.vehicle)}


def given_car(path: str, reading: Reading, swap: str | None = None) -> GivenCar:
    """The car of a netlist; with a swap sheet beside it that car as found; of a sheet alone the one put together."""
    from harnesscheck.read import configure

    if swap is not None and is_sheet(path):
        stop_for(path, f"{path} and --swap {swap}", "a netlist before --swap, or a swap sheet alone")
    if swap is None and not is_sheet(path):
        (netlist,) = netlists([path], reading)
        return GivenCar(path, VEHICLE, configure(netlist), None)
    both = swap_at(swap or path, reading)
    return GivenCar(path, ASSEMBLED if swap is None else which_car(both.sheet, path), None, both)
