"""The registry of finding kinds: severity, what each becomes when donor and shell change places, the sets it is in.

The tuple is fixed while the program runs. Tests hold it complete: every kind
has a producer, fixtures, a README paragraph, a schema entry and a mirror rule.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Flag, IntEnum, auto
from typing import Literal


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


KindName = Literal[
    "feed-to-ground", "restraint-altered", "unfused-feed", "feed-on-signal", "outputs-joined", "feeds-joined",
    "signal-grounded", "wrong-feed", "crossed", "missing-circuit", "ground-lost", "reversed", "dead-accessory",
    "dim-accessory", "relay-hunts", "wrong-key-position", "always-on", "sneak-path", "strap-missing", "bus-altered",
    "coded-part", "wire-overloaded", "fuse-too-big", "fuse-too-slow", "fuse-too-small", "volt-drop", "thinner-wire",
    "signal-mismatch", "no-mate", "housing-differs", "moved-pin", "orphaned", "mixed-bus", "spare", "extra-circuit",
    "recoloured", "not-documented", "doubtful-mates-disagree", "doubtful-class-contradicted",
    "doubtful-terminal-without-wire", "doubtful-circuit-in-pieces", "doubtful-wire-without-use",
    "doubtful-unfused-feed",
]  # fmt: skip
MaybeKind = KindName | Literal[""]
"""A kind, or "" where there is nothing to say."""


class Trait(Flag):
    """The sets a kind may be in; every rule that asks for more than one kind asks for one of these."""

    RELATIVE = auto()  # says how one car differs from the other; any other kind is of the finished car by itself
    GAIN = auto()  # at a plug or inside a harness: brings or joins what was apart, so that something else is lit
    LOSS = auto()  # takes away what was there
    OTHER_FEED = auto()  # fed, by something else
    LEFT_OVER = auto()  # a circuit that only one car has
    LACKING = auto()  # one side has nothing; cannot be of two nets that both exist
    BRIDGING = auto()  # a fault already where two contacts of one plug are joined
    SHORTING = auto()  # what joining two nets can do that is worse than making them one another's
    CUTTING = auto()  # explains why a load behind it is off, dim or backwards
    LIGHTING = auto()  # a load is on where it should not be
    EXCHANGE = auto()  # what each of two exchanged contacts of one load looks like by itself


NO_TRAIT = Trait(0)
SERIOUS = Trait.GAIN | Trait.LOSS


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of finding.

    ``severities`` are all it may take, its own first. ``mirror`` names what the
    same pair of cars may give at the same place with the sides exchanged; "" is
    nothing serious. A danger mirrors into itself: both ways round the same two
    hybrids are judged. Only what a car has as built is no change from it.
    """

    name: KindName
    severities: tuple[Severity, ...]
    mirror: tuple[MaybeKind, ...]
    traits: Trait = NO_TRAIT

    @property
    def severity(self) -> Severity:
        """Its usual severity."""
        return self.severities[0]


_INJURY, _DAMAGE, _DEAD, _REWORK, _NOTE = Severity
_MIXES = Trait.RELATIVE | Trait.GAIN | Trait.CUTTING
_BRIDGES = Trait.BRIDGING | Trait.SHORTING
_LOSES = Trait.RELATIVE | Trait.LOSS | Trait.CUTTING | Trait.EXCHANGE | Trait.LACKING
_USED: tuple[MaybeKind, ...] = (  # both cars use the contact, or one does not
    "crossed", "missing-circuit", "ground-lost", "bus-altered", "extra-circuit", "orphaned", "not-documented", "",
)  # fmt: skip

KINDS: tuple[Kind, ...] = (
    Kind("feed-to-ground", (_INJURY,), ("feed-to-ground",), _MIXES | _BRIDGES | Trait.EXCHANGE),
    Kind("restraint-altered", (_INJURY,), ("restraint-altered",), Trait.RELATIVE | Trait.SHORTING),
    Kind("unfused-feed", (_INJURY,), ("",)),
    Kind("feed-on-signal", (_DAMAGE, _DEAD), ("feed-on-signal",), _MIXES | _BRIDGES),
    Kind("outputs-joined", (_DAMAGE,), ("outputs-joined",), _MIXES | _BRIDGES),
    Kind("feeds-joined", (_DAMAGE,), ("feeds-joined",), _MIXES | _BRIDGES),
    Kind("signal-grounded", (_DEAD, _DAMAGE), ("signal-grounded",), _MIXES | _BRIDGES),
    Kind("wrong-feed", (_DEAD, _DAMAGE), ("wrong-feed",), _MIXES | Trait.OTHER_FEED | Trait.EXCHANGE),
    Kind("crossed", (_DEAD,), _USED, _MIXES | Trait.OTHER_FEED | Trait.EXCHANGE),
    Kind("missing-circuit", (_DEAD,), _USED, _LOSES),
    Kind("ground-lost", (_DEAD,), _USED, _LOSES),
    Kind("reversed", (_DEAD, _DAMAGE, _INJURY), ("reversed",), _MIXES),
    Kind("dead-accessory", (_DEAD,), ("always-on", "sneak-path", "wrong-key-position", "dead-accessory", "")),
    Kind("dim-accessory", (_DEAD,), ("sneak-path", "always-on", "")),
    Kind("relay-hunts", (_DEAD,), ("dead-accessory", "dim-accessory", "")),
    Kind(
        "wrong-key-position",
        (_DEAD, _DAMAGE, _INJURY, _NOTE),
        ("wrong-key-position", "always-on", "dead-accessory", ""),
        Trait.LIGHTING,
    ),
    Kind("always-on", (_DEAD, _DAMAGE, _INJURY), ("dead-accessory", "wrong-key-position"), Trait.LIGHTING),
    Kind(
        "sneak-path", (_DEAD, _DAMAGE, _INJURY), ("dead-accessory", "dim-accessory", "sneak-path", ""), Trait.LIGHTING
    ),
    Kind("strap-missing", (_DAMAGE,), ("",), Trait.CUTTING),
    Kind("bus-altered", (_DEAD,), _USED, Trait.RELATIVE | Trait.LOSS),
    Kind("coded-part", (_DEAD,), ("coded-part", "")),
    Kind("wire-overloaded", (_DAMAGE,), ("",)),
    Kind("fuse-too-big", (_DAMAGE,), ("", "fuse-too-small")),
    Kind("fuse-too-slow", (_DAMAGE,), ("",)),
    Kind("fuse-too-small", (_REWORK,), ("", "fuse-too-big")),
    Kind("volt-drop", (_REWORK,), ("",)),
    Kind("thinner-wire", (_REWORK, _NOTE), ("",), Trait.RELATIVE),
    Kind("signal-mismatch", (_REWORK,), ("signal-mismatch",), Trait.RELATIVE),
    Kind("no-mate", (_REWORK,), ("extra-circuit",), Trait.RELATIVE | Trait.CUTTING),
    Kind("housing-differs", (_REWORK,), ("housing-differs",), Trait.RELATIVE),
    Kind("moved-pin", (_REWORK,), ("moved-pin",), Trait.RELATIVE),
    Kind(
        "orphaned",
        (_REWORK,),
        (*_USED, "spare"),
        Trait.RELATIVE | Trait.LEFT_OVER | Trait.CUTTING | Trait.LACKING,
    ),
    Kind("mixed-bus", (_NOTE,), ("mixed-bus", "")),
    Kind("spare", (_NOTE,), ("spare", "orphaned", "extra-circuit", ""), Trait.LACKING),
    Kind("extra-circuit", (_NOTE,), (*_USED, "spare", "no-mate"), Trait.LEFT_OVER | Trait.LACKING),
    Kind("recoloured", (_NOTE,), ("recoloured", ""), Trait.RELATIVE),
    Kind("not-documented", (_NOTE,), _USED),
    Kind("doubtful-mates-disagree", (_REWORK,), ()),
    Kind("doubtful-class-contradicted", (_REWORK,), ()),
    Kind("doubtful-terminal-without-wire", (_REWORK, _NOTE), ()),
    Kind("doubtful-circuit-in-pieces", (_REWORK,), ()),
    Kind("doubtful-wire-without-use", (_NOTE,), ()),
    Kind("doubtful-unfused-feed", (_REWORK,), ()),
)

KIND: dict[KindName, Kind] = {kind.name: kind for kind in KINDS}
KIND_ORDER: dict[KindName, int] = {kind.name: number for number, kind in enumerate(KINDS)}


def kinds_of(traits: Trait) -> frozenset[KindName]:
    """The kinds that are in any of some sets."""
    return frozenset(kind.name for kind in KINDS if kind.traits & traits)
