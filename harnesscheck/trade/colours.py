"""Wire colours (being written)."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Colour:
    """A wire colour as written, and the plain English names it stands for (base first); None: not known."""

    text: str
    names: tuple[str, ...] | None
