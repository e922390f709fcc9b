"""A finding, its order and its name.

The id is a digest of kind, places and circuit only, so that it outlives edits
that move lines or files and can be written into ``[accepted]``.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from harnesscheck.compare.finding.kinds import KIND, KIND_ORDER, Certainty, Severity

_DIGITS = re.compile(r"(\d+)")


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a finding is in one car; empty text where that car has nothing there."""

    connector: str = ""
    cavity: str = ""
    circuit: str = ""

    def __str__(self) -> str:
        """``C12:4``, ``C12``, or a dash."""
        return f"{self.connector}:{self.cavity}" if self.cavity else self.connector or "-"


NO_SPOT = Spot()


@dataclass(frozen=True, slots=True)
class Finding:
    """One fact about two cars (or one) that the reader should act on."""

    kind: str
    severity: Severity
    certainty: Certainty
    donor: Spot
    shell: Spot
    donor_component: str = ""
    shell_component: str = ""
    text: str = ""
    do: str = ""
    evidence: Mapping[str, Any] = field(default_factory=dict)
    accepted: str = ""  # the reason a person gave for living with it

    @property
    def id(self) -> str:
        """Ten hexadecimal digits of SHA-256 over kind, both places and circuits."""
        parts = (self.kind, *_spot_text(self.donor), *_spot_text(self.shell), *self._component_text())
        return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()[:10]

    def _component_text(self) -> tuple[str, ...]:
        """Components tell findings apart only where no connector does."""
        return () if self.donor.connector or self.shell.connector else (self.donor_component, self.shell_component)

    @property
    def order(self) -> tuple[Any, ...]:
        """Severity, certainty, natural order of place, kind."""
        place = self.donor if self.donor.connector else self.shell
        return (
            self.severity,
            self.certainty,
            natural(place.connector or self.donor_component or self.shell_component),
            natural(place.cavity),
            KIND_ORDER[self.kind],
            natural(self.shell.connector),
            natural(self.shell.cavity),
            self.text,
        )


def _spot_text(spot: Spot) -> tuple[str, str, str]:
    return spot.connector, spot.cavity, spot.circuit


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """A sort key in which numbers inside names count as numbers: C2 before C10."""
    return tuple(
        (0, int(part), "") if part.isdigit() and part.isascii() else (1, 0, part)
        for part in _DIGITS.split(text)
        if part
    )


def least(*grounds: Certainty | bool) -> Certainty:
    """The certainty of a finding: the least of what it rests on. False counts as likely, True as known.

    >>> least(True, Certainty.LIKELY).word
    'likely'
    """
    return max(
        (
            (Certainty.KNOWN if ground else Certainty.LIKELY) if isinstance(ground, bool) else ground
            for ground in grounds
        ),
        default=Certainty.KNOWN,
    )


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Findings worst first; of two with one id, the first stays."""
    unique: dict[str, Finding] = {}
    for finding in sorted(findings, key=lambda finding: finding.order):
        assert finding.severity in KIND[finding.kind].severities, finding
        unique.setdefault(finding.id, finding)
    return list(unique.values())
