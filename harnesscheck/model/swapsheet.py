"""A swap sheet as records: what the person doing the swap knows, has decided and has found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Hours = tuple[float, ...]  # one number, or best, likely, worst
Entries = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class CrosswalkSection:
    """Certain knowledge, donor to shell. ``connector`` may hold single cavities (``S12S:4`` to ``S13:9``) as well."""

    connector: Entries = field(default_factory=dict)
    component: Entries = field(default_factory=dict)
    circuit: Entries = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class FoundTap:
    """A wire somebody joined on to another."""

    at: str
    what: str


@dataclass(frozen=True, slots=True)
class BuiltSection:
    """One car as found: wires cut, tapped and bridged, colours seen, and the state a harness is in."""

    cut: tuple[str, ...] = ()
    tap: tuple[FoundTap, ...] = ()
    bridge: tuple[tuple[str, str], ...] = ()
    seen: Entries = field(default_factory=dict)
    condition: Entries = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Crew:
    """Who does the work."""

    people: int | None = None
    hours_per_day: float | None = None


@dataclass(frozen=True, slots=True)
class SwapSheet:
    """A swap sheet. What it leaves out is empty, or None."""

    path: str
    donor: str | None = None
    shell: str | None = None
    parts: Entries = field(default_factory=dict)
    harness: Entries = field(default_factory=dict)
    crosswalk: CrosswalkSection = CrosswalkSection()
    built_donor: BuiltSection = BuiltSection()
    built_shell: BuiltSection = BuiltSection()
    dead_before: tuple[str, ...] = ()
    accepted: Entries = field(default_factory=dict)
    rates_h: Mapping[str, Hours] = field(default_factory=dict)
    crew: Crew = Crew()
    done_h: Mapping[str, float] = field(default_factory=dict)
