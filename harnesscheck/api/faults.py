"""What cannot be read or answered, raised with every fault and its place."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NoReturn

from harnesscheck.model.places import InputFault, Place


class InputError(ValueError):
    """Input that cannot be used; ``faults`` has every fault with its place, what was read, what was expected."""

    def __init__(self, faults: Sequence[InputFault]) -> None:
        super().__init__("\n".join(map(str, faults)))
        self.faults = tuple(faults)

    def __reduce__(self) -> tuple[type[InputError], tuple[tuple[InputFault, ...]]]:
        return type(self), (self.faults,)


def stop(faults: Sequence[InputFault]) -> NoReturn:
    """Raise InputError with every fault."""
    raise InputError(faults)


def stop_for(path: str, read: str, expected: str) -> NoReturn:
    """One fault of a whole file."""
    stop([InputFault(Place(path), read, expected)])


def stop_for_unknown(command: str, read: str, what: str, names: Collection[str]) -> NoReturn:
    """A name that a command does not know: the one that may be meant, else all there are."""
    from harnesscheck.read.names import close_to

    stop_for(command, read, what + (close_to(read, names) or ": " + ", ".join(names)))
