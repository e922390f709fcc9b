"""Whether plug halves fit: two of one sort that are to do the same job, and two that are to plug together.

What is not written fits, not known.
"""

from __future__ import annotations

from dataclasses import dataclass

from harnesscheck.model.records import Connector


@dataclass(frozen=True, slots=True)
class Fit:
    """How two connectors' housings disagree; empty text where nothing known does."""

    cavities: str = ""
    others: str = ""

    @property
    def text(self) -> str:
        """All that disagrees, for one sentence."""
        return "; ".join(part for part in (self.cavities, self.others) if part)


def fit(donor: Connector, shell: Connector) -> Fit:
    """Compare the donor's half with its partner: cavity names, half, keyway."""
    others = []
    if donor.half and shell.half and donor.half != shell.half:
        others.append(f"holds {donor.half} here, {shell.half} there")
    return Fit(_cavities(donor, shell), "; ".join((*others, *_keyway(donor, shell))))


def misfit(half: Connector, mate: Connector) -> str:
    """What keeps two halves from plugging together; empty where nothing known does."""
    reasons = [f"both hold {half.half}"] if half.half and half.half == mate.half else []
    cavities = _cavities(half, mate)
    return "; ".join((*reasons, *((cavities,) if cavities else ()), *_keyway(half, mate)))


def _cavities(here: Connector, there: Connector) -> str:
    if here.cavities is None or there.cavities is None or set(here.cavities) == set(there.cavities):
        return ""
    a, b = len(here.cavities), len(there.cavities)
    return f"{a}-way here, {b}-way there" if a != b else "the cavities are named otherwise"


def _keyway(here: Connector, there: Connector) -> tuple[str, ...]:
    if not (here.keyway and there.keyway) or here.keyway == there.keyway:
        return ()
    return (f"keyway {here.keyway} here, {there.keyway} there",)
