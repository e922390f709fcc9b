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
    nothing serious. A danger mirrors into itself: both ways round the same two
    hybrids are judged. Only what a car has as built is no change from it.
    """

    name: str
    severities: tuple[Severity, ...]
    mirror: tuple[str, ...]

    @property
    def severity(self) -> Severity:
        """Its usual severity."""
        return self.severities[0]


_INJURY, _DAMAGE, _DEAD, _REWORK, _NOTE = Severity
_USED = ("crossed", "missing-circuit", "ground-lost", "bus-altered")  # both cars use the contact, or one does not
_ABSENT = ("extra-circuit", "orphaned", "not-documented", "")

KINDS: tuple[Kind, ...] = (
    Kind("feed-to-ground", (_INJURY,), ("feed-to-ground",)),
    Kind("restraint-altered", (_INJURY,), ("restraint-altered",)),
    Kind("unfused-feed", (_INJURY,), ("",)),
    Kind("feed-on-signal", (_DAMAGE, _DEAD), ("feed-on-signal",)),
    Kind("outputs-joined", (_DAMAGE,), ("outputs-joined",)),
    Kind("feeds-joined", (_DAMAGE,), ("feeds-joined",)),
    Kind("signal-grounded", (_DEAD, _DAMAGE), ("signal-grounded",)),
    Kind("wrong-feed", (_DEAD,), ("wrong-feed",)),
    Kind("crossed", (_DEAD,), (*_USED, *_ABSENT)),
    Kind("missing-circuit", (_DEAD,), (*_USED, *_ABSENT)),
    Kind("ground-lost", (_DEAD,), (*_USED, *_ABSENT)),
    Kind("reversed", (_DEAD, _DAMAGE), ("reversed",)),
    Kind("dead-accessory", (_DEAD,), ("always-on", "sneak-path", "wrong-key-position", "dead-accessory", "")),
    Kind("dim-accessory", (_DEAD,), ("sneak-path", "always-on", "")),
    Kind("relay-hunts", (_DEAD,), ("dead-accessory", "dim-accessory", "")),
    Kind("wrong-key-position", (_DEAD, _DAMAGE, _INJURY), ("wrong-key-position", "always-on", "dead-accessory")),
    Kind("always-on", (_DEAD, _DAMAGE, _INJURY), ("dead-accessory", "wrong-key-position")),
    Kind("sneak-path", (_DEAD, _DAMAGE, _INJURY), ("dead-accessory", "dim-accessory", "sneak-path", "")),
    Kind("strap-missing", (_DAMAGE,), ("",)),
    Kind("bus-altered", (_DEAD,), (*_USED, *_ABSENT)),
    Kind("coded-part", (_DEAD,), ("coded-part", "")),
    Kind("wire-overloaded", (_DAMAGE,), ("",)),
    Kind("fuse-too-big", (_DAMAGE,), ("", "fuse-too-small")),
    Kind("fuse-too-slow", (_DAMAGE,), ("",)),
    Kind("fuse-too-small", (_REWORK,), ("", "fuse-too-big")),
    Kind("volt-drop", (_REWORK,), ("",)),
    Kind("thinner-wire", (_REWORK, _NOTE), ("",)),
    Kind("signal-mismatch", (_REWORK,), ("signal-mismatch",)),
    Kind("no-mate", (_REWORK,), ("extra-circuit",)),
    Kind("housing-differs", (_REWORK,), ("housing-differs",)),
    Kind("moved-pin", (_REWORK,), ("moved-pin",)),
    Kind("orphaned", (_REWORK,), (*_USED, *_ABSENT, "spare")),
    Kind("mixed-bus", (_NOTE,), ("mixed-bus", "")),
    Kind("spare", (_NOTE,), ("spare", "orphaned", "extra-circuit", "")),
    Kind("extra-circuit", (_NOTE,), (*_USED, *_ABSENT, "spare", "no-mate")),
    Kind("recoloured", (_NOTE,), ("recoloured", "")),
    Kind("not-documented", (_NOTE,), (*_USED, *_ABSENT)),
    Kind("doubtful-mates-disagree", (_REWORK,), ()),
    Kind("doubtful-class-contradicted", (_REWORK,), ()),
    Kind("doubtful-terminal-without-wire", (_REWORK, _NOTE), ()),
    Kind("doubtful-circuit-in-pieces", (_REWORK,), ()),
    Kind("doubtful-wire-without-use", (_NOTE,), ()),
    Kind("doubtful-unfused-feed", (_REWORK,), ()),
)

KIND: dict[str, Kind] = {kind.name: kind for kind in KINDS}
KIND_ORDER: dict[str, int] = {kind.name: number for number, kind in enumerate(KINDS)}
