"""The registry of finding kinds: severity, and what each becomes when donor and shell change places.

The tuple is fixed while the program runs. Tests hold it complete: every kind
has a producer, fixtures, a README paragraph, a schema entry and a mirror rule.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum


class Severity(IntEnum):
    """How bad; the smaller the worse, so that sorting puts the worst first."""

    INJURY = 0
    DAMAGE = 1
    DEAD = 2
    REWORK = 3
    NOTE = 4

    @property
    def word(self) -> str:
        """The word used in files and on paper."""
        return self.name.lower()


class Certainty(IntEnum):
    """How well a finding is founded; the larger the weaker."""

    KNOWN = 0
    LIKELY = 1
    NOT_KNOWN = 2

    @property
    def word(self) -> str:
        """The word used in files and on paper."""
        return self.name.lower().replace("_", " ")


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of finding.

    ``severities`` are all it may take, its own first. ``mirror`` names what the
    same pair of cars may give at the same place with the sides exchanged; "" is
    silence.
    """

    name: str
    severities: tuple[Severity, ...]
    mirror: tuple[str, ...]

    @property
    def severity(self) -> Severity:
        """Its usual severity."""
        return self.severities[0]


_INJURY, _DAMAGE, _DEAD, _REWORK, _NOTE = Severity
_FEEDING = ("wrong-feed", "crossed", "feeds-joined", "feed-on-signal", "missing-circuit", "unfused-feed")
_ABSENT = ("extra-circuit", "orphaned", "spare", "no-mate", "")

KINDS: tuple[Kind, ...] = (
    Kind("feed-to-ground", (_INJURY,), ("feed-to-ground", "crossed", "ground-lost")),
    Kind("restraint-altered", (_INJURY,), ("restraint-altered",)),
    Kind("unfused-feed", (_INJURY,), ("", "wrong-feed", "feeds-joined")),
    Kind("feed-on-signal", (_DAMAGE, _DEAD), ("feed-on-signal", "crossed", "missing-circuit", "wrong-feed")),
    Kind("outputs-joined", (_DAMAGE,), ("outputs-joined", "crossed", "missing-circuit")),
    Kind("feeds-joined", (_DAMAGE,), ("feeds-joined", "missing-circuit", "orphaned", "crossed", "")),
    Kind("signal-grounded", (_DEAD, _DAMAGE), ("signal-grounded", "crossed", "missing-circuit", "ground-lost")),
    Kind("wrong-feed", (_DEAD,), _FEEDING),
    Kind("crossed", (_DEAD,), ("crossed", "missing-circuit", "feed-to-ground", *_FEEDING, "")),
    Kind("missing-circuit", (_DEAD,), (*_ABSENT, "missing-circuit", "crossed", "moved-pin")),
    Kind("ground-lost", (_DEAD,), (*_ABSENT, "crossed")),
    Kind("reversed", (_DEAD, _DAMAGE), ("reversed",)),
    Kind("strap-missing", (_DAMAGE,), ("",)),
    Kind("bus-altered", (_DEAD,), ("bus-altered", *_ABSENT)),
    Kind("coded-part", (_DEAD,), ("coded-part", "")),
    Kind("thinner-wire", (_REWORK, _NOTE), ("",)),
    Kind("signal-mismatch", (_REWORK,), ("signal-mismatch",)),
    Kind("no-mate", (_REWORK,), ("extra-circuit", "no-mate")),
    Kind("housing-differs", (_REWORK,), ("housing-differs",)),
    Kind("moved-pin", (_REWORK,), ("moved-pin",)),
    Kind("orphaned", (_REWORK,), ("orphaned", "extra-circuit", "missing-circuit", "spare", "")),
    Kind("mixed-bus", (_NOTE,), ("mixed-bus",)),
    Kind("spare", (_NOTE,), ("spare", "extra-circuit")),
    Kind("extra-circuit", (_NOTE,), ("missing-circuit", "ground-lost", "bus-altered", "no-mate", "orphaned")),
    Kind("recoloured", (_NOTE,), ("recoloured",)),
    Kind("not-documented", (_NOTE,), ("not-documented",)),
    Kind("doubtful-mates-disagree", (_REWORK,), ()),
    Kind("doubtful-class-contradicted", (_REWORK,), ()),
    Kind("doubtful-terminal-without-wire", (_REWORK, _NOTE), ()),
    Kind("doubtful-circuit-in-pieces", (_REWORK,), ()),
    Kind("doubtful-wire-without-use", (_NOTE,), ()),
    Kind("doubtful-unfused-feed", (_REWORK,), ()),
)

KIND: dict[str, Kind] = {kind.name: kind for kind in KINDS}
KIND_ORDER: dict[str, int] = {kind.name: number for number, kind in enumerate(KINDS)}
