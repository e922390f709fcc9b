"""Names in a sentence, cut off where they are too many."""

from __future__ import annotations

from collections.abc import Sequence


def shortened(names: Sequence[str], most: int, between: str = ", ") -> str:
    """The first names of some, and how many more there are.

    >>> shortened(["a", "b", "c"], 2), shortened(["a", "b"], 2)
    ('a, b and 1 more', 'a, b')
    """
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return between.join(names[:most]) + more
