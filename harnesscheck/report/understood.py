"""The table of functions: what each was taken for, and what in it was not understood. Blocks and JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from harnesscheck.compare.understood import FunctionRead, Look
from harnesscheck.report.blocks.vocabulary import Paragraph, Section, section, table

_SHOWN = 80  # lines in a terminal beside those to look at; page and JSON have them all
_CLASSES = {"empty": "not used", "high-voltage": "high voltage"}


def understood_section(found: Sequence[FunctionRead]) -> Section | None:
    """A table of the functions, what needs a look first; nothing where no function is written."""
    if not found:
        return None
    look = sum(one.look is not Look.NONE for one in found)
    says = (
        f"{len(found)} texts, {look} of them to look at, those first. A class typed in the file always wins: where a "
        "line is wrong, give its circuit a class."
    )
    rows = [(one.place, one.text, class_words(one), note_of(one)) for one in found]
    names = ("place", "function", "taken for", "to look at")
    return section(
        "What the functions were taken for",
        Paragraph(says),
        table("", names, rows, most=look + _SHOWN, noun="functions", where="in the JSON report"),
    )


def class_words(one: FunctionRead) -> str:
    """The class that counts, in words; a typed one says so."""
    if one.class_ is None:
        return "no class"
    name = _CLASSES.get(one.class_, one.class_)
    return f"{name} (typed)" if one.typed else name


def note_of(one: FunctionRead) -> str:
    """Why it needs a look, in a few words."""
    said, notes = one.meaning, []
    if one.look is Look.HAZARD:
        notes += [f"'{words}' says {_CLASSES.get(hazard, hazard)}" for hazard, words in said.hazards]
    if one.look is Look.DOUBTED_RAIL:
        how = "its plug is out of bounds, leave it to the licensed person" if one.out_of_bounds else "ring it out"
        notes.append(f"may be {' or '.join(_CLASSES.get(name, name) for name in said.maybe)}: {how}")
    if one.look is Look.OVERRULED:
        notes.append(f"its words say {_CLASSES.get(said.class_ or '', said.class_)}")
    if said.unknown:
        notes.append("not understood: " + ", ".join(said.unknown))
    notes += [f"'{written}' read as '{meant}'" for written, meant in said.corrected]
    return "; ".join(notes)


def understood_document(found: Sequence[FunctionRead]) -> list[dict[str, Any]]:
    """The same for the JSON report, one entry a text."""
    return [
        {
            "function": one.text,
            "place": one.place,
            "rows": one.rows,
            "class": one.class_,
            "typed": one.typed is not None,
            "may-be": list(one.meaning.maybe),
            "not-understood": list(one.meaning.unknown),
            "read-as": [list(pair) for pair in one.meaning.corrected],
            "hazards": [hazard for hazard, _ in one.meaning.hazards],
            "look": one.look.name.lower().replace("_", "-"),
        }
        for one in found
    ]
