"""Natural order: numbers inside names compare as numbers, so that C2 comes before C10."""

from __future__ import annotations

import re

NaturalKey = tuple[tuple[int, int, str], ...]

_PARTS = re.compile(r"([0-9]+)")


def natural_key(text: str) -> NaturalKey:
    """A sort key; different texts have different keys (``C02`` and ``C2`` are told apart at the end)."""
    parts = _PARTS.split(text)
    keys = [(0, 0, part) if number % 2 == 0 else (1, int(part), "") for number, part in enumerate(parts)]
    return (*keys, (2, 0, text))
