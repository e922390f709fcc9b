"""What was probably meant by a name nobody has."""

from __future__ import annotations

from collections.abc import Collection

_MANY = 5000  # comparing one name with more of them takes too long


def close_to(text: str, names: Collection[str]) -> str:
    """The nearest of the names as `` (C12?)``, or nothing."""
    from difflib import get_close_matches  # needed for a fault only

    close = get_close_matches(text, [name for name in names if name != text], n=1) if len(names) <= _MANY else []
    return f" ({close[0]}?)" if close else ""
