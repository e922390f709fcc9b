"""Which connector, component, circuit of the donor is which of the shell."""

from __future__ import annotations

from harnesscheck.align.byname import Crosswalk, pairs_by_name
from harnesscheck.align.pairs import Pairs
from harnesscheck.network.sides import Study

__all__ = ["Crosswalk", "Pairs", "align"]


def align(donor: Study, shell: Study, crosswalk: Crosswalk | None = None) -> Pairs:
    """Pair the rows of two cars. A person's crosswalk always wins."""
    return pairs_by_name(donor.vehicle, shell.vehicle, crosswalk)
