"""A finding, what it rests on, its order and its name.

The id is a digest of kind, places and circuit only, so that it outlives edits
that move lines or files and can be written into ``[accepted]``.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass, field
from enum import StrEnum
from typing import Any

from harnesscheck.compare.finding.cautions import marks_document
from harnesscheck.compare.finding.kinds import KIND, KIND_ORDER, Certainty, KindName, Severity
from harnesscheck.compare.finding.sentences import SENTENCES
from harnesscheck.model.order import natural_key
from harnesscheck.network.hands_off import Marks


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


class Hybrid(StrEnum):
    """Which parts of which cars are judged together; the value is what a report calls it."""

    DONOR_HALF = "donor's harness on the shell's half"
    SHELL_HALF = "shell's harness on the donor's half"
    PLUG_ONLY = "plug"
    AS_BUILT = "shell as built"
    WIRING = "shell's wiring"


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What a finding rests on; None, empty or False is nothing said.

    ``fuse`` are the fuses a feed comes through, empty where there is none on the way.
    ``apart`` are the two halves that are not together, the first None where the car
    has none. ``shown`` is told in the report and steers nothing.
    """

    hybrid: Hybrid | None = None  # the one that is worse
    effect: Severity | None = None  # what a part that is fed backwards comes to
    joined: str = ""  # the car that joins the two in which it is so, where it is worse than the cars as they are
    shown: Mapping[str, Any] = field(default_factory=dict)
    differences: tuple[str, ...] = ()
    places: tuple[tuple[Spot, Spot], ...] | None = None  # in the donor and in the shell
    live: bool | None = None
    live_key_off: bool | None = None
    fuse: tuple[str, ...] | None = None
    assumed: tuple[str, ...] | None = None
    read_at: tuple[str, ...] | None = None  # file and line
    lost_in: Spot = NO_SPOT  # the wire most volts are lost in; ``shown`` has it among the numbers
    lost_by_design: bool = False  # that wire is a resistance wire: its file gives it ohms
    repinned_together: bool = False
    donor_share: float | None = None  # how near its limit the donor's is, 1 at the limit
    apart: tuple[str | None, str] | None = None
    loads: tuple[str, ...] = ()  # what it does to the loads behind it
    as_found: bool = False  # gone once what was found cut, tapped or bridged is mended
    hands_off: Marks = ()  # of the plugs it is at: who may open them
    mixed: Mapping[str, tuple[str, ...]] | None = None  # by car, the members of a set that must be of one car

    @property
    def judged_for(self) -> str:
        """The hybrid in words, after what a part that is fed backwards comes to."""
        hybrid = self.joined or str(self.hybrid or "")
        return f"{self.effect.word}: {hybrid}" if self.effect is not None else hybrid

    def to_json(self) -> dict[str, Any]:
        """The object that a report writes: what is said, always in one order."""
        return dict(self._rows())

    def _rows(self) -> Iterator[tuple[str, Any]]:
        held = self.donor_share is not None
        if self.judged_for and not held:
            yield "hybrid", self.judged_for
        yield from self.shown.items()
        if self.places is not None:
            yield "differences", list(self.differences)
            yield "places", [{"donor": asdict(donor), "shell": asdict(shell)} for donor, shell in self.places]
        if self.live is not None:
            yield from (("live", self.live), ("live_key_off", self.live_key_off))
        if self.fuse is not None:
            yield "fuse", list(self.fuse) or None
        for name in ("assumed", "read_at"):
            if getattr(self, name) is not None:
                yield name, list(getattr(self, name))
        if self.repinned_together:
            yield "repinned_together", True
        if held:
            yield from (("hybrid", self.judged_for), ("donor_share", self.donor_share))
        if self.apart is not None:
            yield "apart", list(self.apart)
        if self.loads:
            yield "loads", list(self.loads)
        if self.as_found:
            yield "as_found", True
        if self.mixed is not None:
            yield "mixed", {car: list(names) for car, names in self.mixed.items()}
        if self.hands_off:
            yield "hands_off", marks_document(self.hands_off)


@dataclass(frozen=True, slots=True)
class Finding:
    """One fact about two cars (or one) that the reader should act on."""

    kind: KindName
    severity: Severity
    certainty: Certainty
    donor: Spot
    shell: Spot
    donor_component: str = ""
    shell_component: str = ""
    text: str = ""
    do: str = ""
    evidence: Evidence = field(default_factory=Evidence)
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
            natural_key(place.connector or self.donor_component or self.shell_component),
            natural_key(place.cavity),
            KIND_ORDER[self.kind],
            natural_key(self.shell.connector),
            natural_key(self.shell.cavity),
            self.text,
        )


def make_finding(
    kind: KindName,
    certainty: Certainty,
    donor: Spot = NO_SPOT,
    shell: Spot = NO_SPOT,
    words: Mapping[str, str] | None = None,
    parts: tuple[str, str] = ("", ""),
    evidence: Evidence | None = None,
    severity: Severity | None = None,
    text: str = "",
    do: str = "",
) -> Finding:
    """A finding with its kind's words: the only place where one is made.

    ``words`` fill the placeholders of the kind's sentence; ``parts`` are the donor's
    and the shell's component. Severity, sentence (``text``) and what to do are the kind's unless given.
    """
    sentences = SENTENCES[kind]
    return Finding(
        kind,
        KIND[kind].severity if severity is None else severity,
        certainty,
        donor,
        shell,
        *parts,
        text or sentences.says.format_map(words or {}),
        do or sentences.do,
        evidence or Evidence(),
    )


def capital(text: str) -> str:
    """A sentence's first letter."""
    return text[:1].upper() + text[1:]


def _spot_text(spot: Spot) -> tuple[str, str, str]:
    return spot.connector, spot.cavity, spot.circuit


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
