"""Which connector, component, circuit of the donor is which of the shell."""

from __future__ import annotations

from harnesscheck.align.byname import Crosswalk
from harnesscheck.align.engine import align
from harnesscheck.align.pairs import Pairs

__all__ = ["Crosswalk", "Pairs", "align"]
