"""Natural order: numbers inside names compare as numbers, so that C2 comes before C10."""

from __future__ import annotations

import re

NaturalKey = tuple[tuple[str | int, ...], str]

_DIGITS = re.compile(r"([0-9]+)")


def natural_key(text: str) -> NaturalKey:
    """A sort key: text and numbers in turn, so that like meets like; a name comes before what goes on from it.

    Different texts have different keys: ``C02`` and ``C2`` are told apart at the end.
    """
    parts: list[str | int] = list(_DIGITS.split(text))
    parts[1::2] = map(int, parts[1::2])  # the odd places are the numbers
    return tuple(parts), text
