"""What a car is made of as a bag of hashed words, so that thousands of cars are told apart without aligning them.

A word is one fact that the alignment goes by: a housing with its cavities, a contact's place and colours, what its wire
is for, a part with its rating; names count too, by themselves. Cars that share rare words are alike.
"""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from harnesscheck.align.both import scramble
from harnesscheck.model.vehicle import Vehicle

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

VERSION = 1  # of the words below: fingerprints of another version are made anew
PRIME = 2**61 - 1
BREAK = "\x1f"


@dataclass(frozen=True, eq=False)
class Fingerprint:
    """The words of a car: 64-bit hashes in ascending order, and how often each occurs. Two arrays of one length."""

    words: NDArray[np.uint64]
    counts: NDArray[np.float32]


def fingerprint(vehicle: Vehicle) -> Fingerprint:
    """The fingerprint of a car; linear in its rows, the same on every machine and for every order of rows."""
    import numpy as np

    counted = Counter(_words(vehicle))
    words = scramble(np.fromiter(map(_number, counted), dtype=np.uint64, count=len(counted)))
    counts = np.fromiter(counted.values(), dtype=np.float32, count=len(counted))
    order = np.argsort(words)
    return Fingerprint(words[order], counts[order])


def packed(one: Fingerprint) -> bytes:
    """A fingerprint as bytes."""
    import numpy as np

    file = io.BytesIO()
    np.savez(file, words=one.words, counts=one.counts)
    return file.getvalue()


def unpacked(data: bytes) -> Fingerprint:
    """The fingerprint that bytes stand for."""
    import numpy as np

    with np.load(io.BytesIO(data), allow_pickle=False) as arrays:
        return Fingerprint(arrays["words"], arrays["counts"])


def _number(word: str) -> int:
    """A word's bytes as one number modulo the Mersenne prime 2^61 - 1."""
    return int.from_bytes(word.encode(), "little") % PRIME


def _words(vehicle: Vehicle) -> Iterator[str]:
    functions = {row.id: row.function for row in vehicle.circuits.values()}
    shapes = {}
    for row in vehicle.connectors.values():
        part = vehicle.components.get(row.component or "")
        size = "" if row.cavities is None else len(row.cavities)
        shapes[row.id] = shape = f"{size}{BREAK}{row.half}{BREAK}{row.keyway}"
        yield f"plug{BREAK}{shape}{BREAK}{row.housing_colour}{BREAK}{part.kind if part is not None else ''}"
        yield f"id{BREAK}{row.id}{BREAK}{size}"
    for part in vehicle.components.values():
        yield f"part{BREAK}{part.kind}{BREAK}{part.rating}{BREAK}{part.amps}{BREAK}{part.watts}"
        yield f"part id{BREAK}{part.id}"
    for pin in vehicle.netlist.pins:
        colour = "/".join((pin.colour.names if pin.colour is not None else None) or ())
        at = f"{shapes.get(pin.connector or '', '')}{BREAK}{pin.cavity}{BREAK}"
        use = pin.function or functions.get(pin.circuit or "")
        yield f"contact{BREAK}{at}{colour}"
        if use is not None:
            yield f"use{BREAK}{at}{use}"
        yield f"circuit{BREAK}{pin.circuit}{BREAK}{colour}{BREAK}{pin.size.text if pin.size is not None else ''}"
        yield f"pin{BREAK}{pin.connector}{BREAK}{pin.cavity}{BREAK}{pin.circuit}"
