"""Which netlist of a family a car is of: as text, page and JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from harnesscheck.model.shortened import shortened
from harnesscheck.report.blocks.vocabulary import Answer, Caution, Listing, Paragraph, Report, present, table
from harnesscheck.report.document import envelope, input_document
from harnesscheck.yard.family import Candidate, Fits, TellingPlace

MOST_NAMED = 6


@dataclass(frozen=True)
class WhichAnswer:
    """The netlists, those that apply first; places that tell the rest apart; what does not go together."""

    candidates: tuple[Candidate, ...]
    places: tuple[TellingPlace, ...]
    disagreement: str = ""
    unread: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def which_report(answer: WhichAnswer) -> Report:
    """The files that are left, where to look, why the others are out."""
    rows = [(one.file, one.fits.value, one.vehicle.name, _why(one)) for one in answer.candidates]
    unread = tuple(f"{file}: {shortened(faults, 2, '; ')}" for file, faults in answer.unread.items())
    blocks = present(
        Caution((answer.disagreement,), "Look again", urgent=True) if answer.disagreement else None,
        Answer(_sentence(answer)),
        Listing(tuple(map(_look, answer.places)), head="Look at", ordered=True) if answer.places else None,
        Paragraph("No plug that may be opened tells them apart; the part numbers on the looms may.")
        if len(_left(answer)) > 1 and not answer.places
        else None,
        table("The netlists", ("file", "answer", "car", "why"), rows),
        Listing(unread, head="Could not be read") if unread else None,
    )
    return Report("Which netlist", (), blocks, {})


def _left(answer: WhichAnswer) -> list[Candidate]:
    return [one for one in answer.candidates if one.fits is not Fits.NO]


def _sentence(answer: WhichAnswer) -> str:
    left = _left(answer)
    if not left:
        return "None of these netlists is of that car: each says otherwise in something."
    sure = [one.file for one in left if one.fits is Fits.YES]
    if len(left) == 1:
        return f"{left[0].file} {'is of that car' if sure else 'may be of that car; all others are out'}."
    named = shortened([one.file for one in left], MOST_NAMED)
    return f"{len(left)} netlists are left: {named}. Look at the car to tell them apart."


def _why(one: Candidate) -> str:
    return "; ".join(one.against or one.left_open)


def _look(place: TellingPlace) -> str:
    """``C12:3 (left sill): violet/red in a.xml, b.xml; empty in c.xml``."""
    by_sight: dict[str, list[str]] = {}
    for file, sight in place.shows.items():
        by_sight.setdefault(sight or "not written", []).append(file)
    spot = f"{place.connector}:{place.cavity}" if place.cavity else f"whether there is a plug {place.connector}"
    at = f" ({place.at})" if place.at else ""
    return f"{spot}{at}: " + "; ".join(f"{sight} in {shortened(files, 3)}" for sight, files in by_sight.items())


def which_document(answer: WhichAnswer) -> Mapping[str, Any]:
    """The JSON document."""
    inputs = {"vehicles": [input_document(one.vehicle) for one in answer.candidates]}
    document = envelope("which", inputs, {})
    document["candidates"] = [
        {"file": one.file, "answer": one.fits.value, "against": list(one.against), "open": list(one.left_open)}
        for one in answer.candidates
    ]
    document["tell-apart"] = [
        {"connector": one.connector, "cavity": one.cavity, "at": one.at, "shows": dict(one.shows)}
        for one in answer.places
    ]
    document["warnings"] = [answer.disagreement] if answer.disagreement else []
    document["unread"] = [{"file": file, "faults": list(faults)} for file, faults in answer.unread.items()]
    return document
