"""A swap sheet as records: what the person doing the swap knows, has decided and has found."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from harnesscheck.model.places import Place

Hours = tuple[float, ...]  # one number, or best, likely, worst
Entries = Mapping[str, str]
_KEY = re.compile(r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([\w-]+))\s*=""")
TABLE_HEADER = re.compile(r"\s*\[+\s*([^\[\]]+?)\s*\]+\s*(?:#.*)?")


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
    digest: str = field(default="", compare=False)  # twelve hexadecimal digits over the sheet's bytes
    lines: tuple[str, ...] = field(default=(), repr=False, compare=False)  # as they were read, for the places of faults

    def place(self, keys: tuple[str, ...]) -> Place:
        """Where an entry (``("built", "donor", "cut", "C1:4")``) stands, as near as can be told; the file for none."""
        return Place(self.path, line_of(self.lines, keys)) if keys else Place(self.path)


def line_of(lines: Iterable[str], path: tuple[str, ...]) -> int:
    """The line of a TOML text that a key stands on, as near as it can be told; 0 where it cannot."""
    table: tuple[str, ...] = ()
    current: tuple[str, ...] = ()  # the table or key that a line is part of
    near = depth = 0
    for number, line in enumerate(lines, start=1):
        header, key = TABLE_HEADER.fullmatch(line), _KEY.match(line)
        if header:
            table = current = tuple(part.strip().strip("\"'") for part in header[1].split("."))
        elif key:
            current = (*table, key[1] or key[2] or key[3] or "")
        inside = path[: len(current)] == current
        if inside and len(current) > depth:
            near, depth = number, len(current)
        if inside and near and not header and depth < len(path) and path[-1] in line:
            return number
    return near
