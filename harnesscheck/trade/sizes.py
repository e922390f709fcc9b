"""Wire sizes (being written)."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Size:
    """A wire size as written, and its copper cross-section."""

    text: str
    area_mm2: float
