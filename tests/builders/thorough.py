"""How much of a law that takes long is tried: a fixed part of it in the ordinary run, all with ``THOROUGH=1``."""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import TypeVar

Each = TypeVar("Each")
THOROUGH = bool(os.environ.get("THOROUGH"))


def part_of(each: Iterable[Each], every: int) -> list[Each]:
    """Every so many-th, the first among them; all of them in a thorough run."""
    return list(each)[:: 1 if THOROUGH else every]
