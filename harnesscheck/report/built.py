"""Words for a car that is built of two: which harness and part is of which, and what was found cut or bridged."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from harnesscheck.compare.built import BuiltComparison
from harnesscheck.model.shortened import shortened
from harnesscheck.model.swapsheet import SwapSheet

FEW = 12  # names in a line; more are counted
HERE_AND_THERE = (
    '"here" is the donor as its maker built it, "there" the car as it will be built. Only what will be plugged '
    "together so is judged."
)


def built_facts(result: BuiltComparison) -> Iterator[tuple[str, str]]:
    """What stands above the report of a car that is built."""
    sheet = result.sheet
    yield "car", f"as it will be built by {sheet.path}: {result.shell.vehicle.name}"
    for car in ("donor", "shell"):
        yield f"Harnesses of the {car}", _names(id for id, origin in result.harness.items() if origin == car)
    ours = sum(origin == "donor" for origin in result.parts.values())
    theirs = [id for id, origin in result.parts.items() if origin == "shell"]
    yield "Parts of the donor", f"{ours}; of the shell: {_names(theirs)}"
    out = [id for table in (result.harness, result.parts) for id, origin in table.items() if origin == "none"]
    if out:
        yield "Left out", _names(out)
    found = [one.words for one in found_notes(sheet)]
    if found:
        yield "As found", "; ".join(found)


@dataclass(frozen=True, slots=True)
class FoundNote:
    """One thing that was found done to a car, and the ends it was done at."""

    words: str
    ends: frozenset[str]


def found_notes(sheet: SwapSheet) -> Iterator[FoundNote]:
    """What a swap sheet says was cut, tapped and bridged in either car."""
    for car, section in (("donor", sheet.built_donor), ("shell", sheet.built_shell)):
        yield from (FoundNote(f"{car}: {end} cut", frozenset({end})) for end in section.cut)
        yield from (FoundNote(f"{car}: {tap.at} tapped ({tap.what})", frozenset({tap.at})) for tap in section.tap)
        yield from (FoundNote(f"{car}: {a} and {b} bridged", frozenset({a, b})) for a, b in section.bridge)


def _names(ids: Iterable[str]) -> str:
    return shortened([id.removeprefix("shell:") for id in ids], FEW) or "none"
