"""Gathers input faults while reading goes on."""

from __future__ import annotations

import hashlib
from typing import NoReturn

from harnesscheck.model.places import InputFault, Place
from harnesscheck.read.remarks import Remarks

MOST_FAULTS = 10_000  # a file with more is not one of ours, and listing it would fill the memory


class StopReading(Exception):
    """Raised inside the readers when nothing more can be read; why is the last fault of the list."""


class Faults:
    """Every fault found so far, and what else is to be said about the file."""

    def __init__(self) -> None:
        self.found: list[InputFault] = []
        self.remarks = Remarks()
        self.contents = hashlib.sha256()  # of the bytes of every file, in the order in which they were read

    def __bool__(self) -> bool:
        return bool(self.found)

    def add(self, place: Place, read: str, expected: str, other: Place | None = None) -> None:
        """Note one fault; raises ``StopReading`` when there are too many to list."""
        if len(self.found) >= MOST_FAULTS:
            self.found.append(InputFault(place, "more faults", f"a netlist with fewer than {MOST_FAULTS}"))
            raise StopReading
        self.found.append(InputFault(place, read, expected, other))

    def raise_if_full(self) -> None:
        """Go on stopping where there are too many faults to list."""
        if len(self.found) > MOST_FAULTS:
            raise StopReading

    def stop(self, place: Place, read: str, expected: str) -> NoReturn:
        """Note a fault after which nothing more can be read."""
        self.add(place, read, expected)
        raise StopReading

    @property
    def digest(self) -> str:
        """Twelve hexadecimal digits over the bytes of all that was read."""
        return self.contents.hexdigest()[:12]

    def in_order(self) -> list[InputFault]:
        """The faults by place, those of one place in the order they were found."""
        return sorted(self.found, key=lambda fault: fault.place)
