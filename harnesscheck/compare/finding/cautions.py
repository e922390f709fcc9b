"""What is said of restraint and high-voltage wiring, in one place: every report, list and drawing asks here.

Three sorts of words: the full *stop* at the top of what is about such wiring, the
*shared plug*'s sentence where ordinary contacts sit beside such ones, and the few
words that fit into a column. Restraint words for restraint, high-voltage words
for high voltage, both where both; a suspect is treated so until shown otherwise.

Common practice, no source; the maker's procedure and local rules stand above it.
The waiting time without a manual is from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from harnesscheck.model.order import natural_key
from harnesscheck.model.shortened import shortened
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.hands_off import Mark, Marks, together
from harnesscheck.trade.lexicon import HIGH_VOLTAGE, RESTRAINT

RESTRAINT_CAUTION = (
    "Restraint wiring (airbags, belt tensioners): stop. No meter, no test lamp, no unplugging, no cutting, no "
    "splicing, no re-pinning from our lists: only a licensed person, by the maker's procedure, battery off and the "
    "waiting time of the maker's manual first (without one, at least 10 minutes)."
)
HIGH_VOLTAGE_CAUTION = (
    "High voltage (orange cables) kills: stop. No meter and no hands from our lists: only people trained and "
    "authorised for it, by the maker's procedure, once it is isolated and the absence of voltage is proved."
)
CAUTION: Mapping[str, str] = {RESTRAINT: RESTRAINT_CAUTION, HIGH_VOLTAGE: HIGH_VOLTAGE_CAUTION}
GENERAL = (  # what every car gets, once a report
    "Airbags, belt tensioners, high voltage (orange): never from our lists; maker's procedure, licensed people."
)
USED_PARTS = (
    "Used restraint parts may be forbidden or out of date where you live: ask before you fit any, and look at the "
    "date on each."
)
LEAVE = {
    RESTRAINT: "LEAVE ALONE: restraint; only a licensed person, maker's procedure, battery off and waiting time first",
    HIGH_VOLTAGE: "LEAVE ALONE: high voltage; only trained and authorised people, maker's procedure, isolated first",
}
_NAMES = {RESTRAINT: "restraint (airbag, belt tensioner)", HIGH_VOLTAGE: "high voltage"}
_WHO = {RESTRAINT: "a licensed person", HIGH_VOLTAGE: "a person trained and authorised for high voltage"}
_MOST = 12  # plugs named in one sentence
_UNTIL = "treat it as such until it is shown otherwise"


def stop(marks: Marks, where: str = "") -> tuple[str, ...]:
    """The full stop, one sentence a hazard; ``where`` names what is meant."""
    return tuple(_stop(mark, where) for mark in marks)


def _stop(mark: Mark, where: str) -> str:
    if mark.known:
        return f"STOP: {where}. {CAUTION[mark.hazard]}" if where else f"STOP. {CAUTION[mark.hazard]}"
    may = f"STOP: {where or 'this'} may be {_NAMES[mark.hazard]} ({mark.why}): {_UNTIL}."
    return f"{may} {CAUTION[mark.hazard]}"


def short_stop(mark: Mark) -> str:
    """One line of a drawing: it fits across an upright page."""
    who_may = "a licensed person" if mark.hazard == RESTRAINT else "people trained and authorised"
    name = "restraint (airbag)" if mark.hazard == RESTRAINT else "high voltage"
    if not mark.known:
        return f"STOP: may be {name}, treat as such until shown otherwise: no meter, not opened but by {who_may}"
    return f"STOP: {name}: no meter, no unplugging, no work; only {who_may}, by the maker's procedure"


def hazard_words(marks: Marks) -> str:
    """``restraint (airbag, belt tensioner)``, with ``suspected`` before it where it is only that."""
    return " and ".join(("" if mark.known else "suspected ") + _NAMES[mark.hazard] for mark in marks)


def who(marks: Marks) -> str:
    """The person who may: licensed for restraint, trained and authorised for high voltage."""
    return " and ".join(_WHO[mark.hazard] for mark in marks)


def leave(marks: Marks) -> str:
    """The few words of a column: leave alone, who may, how."""
    words = [LEAVE[mark.hazard] for mark in marks]
    doubt = "" if all(mark.known for mark in marks) else f" (suspected: {_UNTIL})"
    return "; ".join(words) + doubt


def shared_plug(study: Study, connector: str) -> str:
    """What is said wherever an ordinary contact of a shared plug is worked on; empty for any other plug."""
    marks = study.hands_off.plug(connector)
    if not marks:
        return ""
    cavities = ", ".join(study.hands_off.cavities(connector)[:_MOST])
    held = f"{connector} holds {hazard_words(marks)} wiring" + (f" (cavity {cavities})" if cavities else "")
    doubt = "" if all(mark.known for mark in marks) else f"; {_UNTIL}"
    return f"{held}{doubt}: it is opened, unplugged and re-pinned only by {who(marks)}, by the maker's procedure."


def whole_set(marks: Marks) -> str:
    """What is to be done where a set differs: it is taken whole, and who may touch it."""
    used = USED_PARTS if any(mark.hazard == RESTRAINT for mark in marks) else ""
    said = ("Take the complete set of one car, looms and parts.", used, *stop(marks))
    return " ".join(filter(None, said))


def mixed_words(mark: Mark, of: str) -> str:
    """What is wrong with a set that is put together of two cars."""
    may = "" if mark.known else "suspected "
    return (
        f"The {may}{_NAMES[mark.hazard]} set is mixed or not complete ({of}): it is only known to work as the complete "
        "set of one car, parts and looms."
    )


def hold_waits(mark: Mark) -> str:
    """The step of waiting, or of making dead."""
    if mark.hazard == RESTRAINT:
        wait = (
            "battery and any memory saver off, then wait as long as the maker's manual says (without one, at least 10 "
            "minutes)"
        )
        return f"Hold point, restraint (airbag, belt tensioner): {wait}; nobody touches such wiring before"
    dead = "isolated by the maker's procedure, the absence of voltage proved, locked against switching on"
    return f"Hold point, high voltage: {dead}; only a person trained and authorised for it; nobody else touches it"


def hold_opens(mark: Mark, plugs: Iterable[str]) -> str:
    """The step of opening such plugs."""
    until = "" if mark.known else f" (suspected: {_UNTIL})"
    how = "after the waiting time" if mark.hazard == RESTRAINT else "once it is isolated and proved dead"
    return (
        f"Hold point, {_NAMES[mark.hazard]}{until}: {_WHO[mark.hazard]} opens these plugs by the maker's procedure, "
        f"{how}; nobody else: {listed(plugs)}"
    )


def hold_closes(mark: Mark, plugs: Iterable[str]) -> str:
    """The step of closing them."""
    look = ", and sees the warning lamp go out after first power" if mark.hazard == RESTRAINT else ""
    return (
        f"Hold point, {_NAMES[mark.hazard]}: {_WHO[mark.hazard]} closes and locks these plugs by the maker's "
        f"procedure, battery off{look}; nobody else: {listed(plugs)}"
    )


def guarded(text: str, *at: tuple[Study, str]) -> str:
    """What is to be done at some plugs, with who opens those that are shared with such wiring."""
    more = dict.fromkeys(said for study, plug in at if (said := shared_plug(study, plug)))
    return f"{text.rstrip()} {' '.join(more)}" if more else text


def marks_of(studies: Iterable[Study], connectors: Iterable[str | None]) -> Marks:
    """The marks of some plugs in some cars."""
    return together(mark for study in studies for one in connectors for mark in study.hands_off.plug(one))


def car_stop(*studies: Study) -> tuple[str, ...]:
    """The block at the top of whatever is about whole cars: which plugs nobody touches from the lists; () for most."""
    return plugs_stop([(study, list(study.hands_off.plugs), list(study.hands_off.parts)) for study in studies])


def plugs_stop(of: Sequence[tuple[Study, Iterable[str], Iterable[str]]]) -> tuple[str, ...]:
    """The stop for some plugs and parts of some cars, one sentence a hazard."""
    found = []
    for hazard in (RESTRAINT, HIGH_VOLTAGE):
        plugs: dict[str, Mark] = {}
        parts: dict[str, None] = {}
        shared: dict[str, None] = {}
        for study, connectors, components in of:
            judge = study.hands_off
            for one in connectors:
                mark = _of_hazard(judge.plug(one), hazard)
                if mark is not None:
                    plugs.setdefault(one, mark)
                    shared |= {one: None} if judge.is_shared(one) else {}
            parts |= {study.vehicle.called(one): None for one in components if _of_hazard(judge.part(one), hazard)}
        if plugs or parts:
            found.append(_where(hazard, plugs, shared, list(parts)))
    return tuple(found)


def _of_hazard(marks: Marks, hazard: str) -> Mark | None:
    return next((mark for mark in marks if mark.hazard == hazard), None)


def _where(hazard: str, plugs: Mapping[str, Mark], shared: Iterable[str], parts: Sequence[str]) -> str:
    known = [one for one, mark in plugs.items() if mark.known]
    suspected = [one for one, mark in plugs.items() if not mark.known]
    text = f"STOP. {CAUTION[hazard]}"
    if parts:
        text += f" Parts: {listed(parts)}."
    if known:
        text += f" Plugs: {listed(known)}."
    if suspected:
        why = plugs[suspected[0]].why
        text += f" Suspected ({why}), to be treated as {_NAMES[hazard]} until shown otherwise: {listed(suspected)}."
    some = list(shared)
    if some:
        text += f" Ordinary contacts share {listed(some)}: measured with the plug in if need be; only "
        text += f"{_WHO[hazard]} opens it."
    return text


def listed(names: Iterable[str]) -> str:
    """Names in natural order, the first dozen, and how many more."""
    every = sorted(dict.fromkeys(names), key=natural_key)
    return shortened(every, _MOST)


def marks_document(marks: Marks) -> list[dict[str, Any]]:
    """``hands_off`` as JSON has it: hazard, level, reason."""
    return [{"hazard": mark.hazard, "level": mark.level, "reason": mark.why} for mark in marks]


def hands_off_document(study: Study) -> dict[str, Any]:
    """Everything of a car that is never touched, with the reasons; empty for an ordinary car."""
    judge = study.hands_off
    if not judge.any:
        return {}
    return {
        "parts": [{"component": name, "marks": marks_document(marks)} for name, marks in judge.parts.items()],
        "plugs": [
            {
                "connector": name,
                "shared": judge.is_shared(name),
                "cavities": list(judge.cavities(name)),
                "marks": marks_document(marks),
            }
            for name, marks in judge.plugs.items()
        ],
        "harnesses": [{"harness": name, "marks": marks_document(marks)} for name, marks in judge.harnesses.items()],
    }
