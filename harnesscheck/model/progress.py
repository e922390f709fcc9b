"""What long work calls to tell how far it is; whoever does not care hands it ``silent``."""

from __future__ import annotations

from collections.abc import Callable

Told = Callable[[str], None]


def silent(_: str) -> None:
    """Tell nobody."""
