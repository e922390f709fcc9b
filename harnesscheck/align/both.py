"""Two cars as one set of integer arrays, so that whatever is worked out is worked out for both alike.

Rows of the donor come first, rows of the shell behind them. *Holes* are cavities
that hold something, *ends* are terminals of components; both say which piece
they are on. Text is replaced by numbers that are equal for equal words; rows stand in
natural order, whatever their order in a file.
Names that a maker chose (ids, functions) stand apart, in ``names``: they are evidence
of another sort.

Needs numpy, imported by the functions.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]
    Hashes = NDArray[np.uint64]
    Floats = NDArray[np.float64]
    Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of one sort in both cars: ids of the donor's, then of the shell's, each in natural order."""

    ids: tuple[str, ...]
    donors: int

    @property
    def count(self) -> int:
        """Rows of both cars."""
        return len(self.ids)


@dataclass(frozen=True)
class Both:
    """See the module's text. -1 is none or not known in every array of row numbers or words.

    ``facts`` and ``part_facts`` hold, by field, one word a connector or component.
    ``hole_colour`` and ``hole_size`` are sums over the wires in the cavity, 0 not known.
    ``names`` holds numbers that are equal for equal texts, 0 not known: ``id`` and
    ``name`` of connectors, ``part id`` and ``part name`` of components, ``circuit`` and
    ``function`` of holes.
    """

    connectors: Rows
    components: Rows
    harnesses: Rows
    pieces: int
    donor_pieces: int
    owner: Ints  # component of each connector
    loom: Ints  # harness of each connector
    mate: Ints  # the connector each one is plugged into
    facts: Mapping[str, Ints]
    part_facts: Mapping[str, Ints]
    hole_connector: Ints
    hole_cavity: Ints
    hole_piece: Ints
    hole_colour: Hashes
    hole_size: Hashes
    end_component: Ints
    end_terminal: Ints
    end_role: Ints
    end_piece: Ints
    ground: Ints  # per piece: the word of its ground's metal part and place, -1 no ground
    inside: Hashes  # per component: what is joined inside
    names: Mapping[str, Hashes]
    words: Sequence[str]

    @cached_property
    def hole_range(self) -> tuple[Ints, Ints]:
        """Per connector: its first hole, and how many it has."""
        import numpy as np

        count = np.bincount(self.hole_connector, minlength=self.connectors.count)
        return np.cumsum(count) - count, count

    @cached_property
    def _hole_key(self) -> Ints:
        return self.hole_connector * (len(self.words) + 1) + self.hole_cavity

    def hole_at(self, connector: Ints, cavity: Ints) -> Ints:
        """The hole of each connector and cavity name, -1 where there is none."""
        import numpy as np

        wanted = connector * (len(self.words) + 1) + cavity
        if not self._hole_key.size:
            return np.full(len(wanted), -1)
        at = np.minimum(np.searchsorted(self._hole_key, wanted), self._hole_key.size - 1)
        return np.where(self._hole_key[at] == wanted, at, -1)


CONNECTOR_FACTS = ("count", "half", "keyway", "housing_colour", "at")
COMPONENT_FACTS = ("kind", "at", "amps", "watts", "rating", "key")


def scramble(values: Hashes) -> Hashes:
    """A well-mixed 64-bit hash of each value (the finaliser of SplitMix64; Steele, Lea, Flood 2014)."""
    import numpy as np

    x = values + np.uint64(0x9E3779B97F4A7C15)
    x = (x ^ (x >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    x = (x ^ (x >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return x ^ (x >> np.uint64(31))
