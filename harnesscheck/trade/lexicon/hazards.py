"""Restraint and high voltage by words: which words of a text say that it is dangerous.

Common practice, no source; the words are from memory, in the lexicon. A word
that says so wins over every other, however long the text, in brackets or with a
question mark. Words that only look alike (air suspension bag, drive belt
tensioner, tyre inflator) stand in the lexicon as what they are. Whatever is
plugged to the restraint computer counts: its lamp, the buckle switch, the seat
mat, crash sensors; the lamp or chime of a plain seat belt does not.
"""

from __future__ import annotations

from functools import lru_cache

from harnesscheck.trade.lexicon.reading import Reading, read
from harnesscheck.trade.lexicon.settling import Hit

RESTRAINT, HIGH_VOLTAGE = "restraint", "high-voltage"

# Two concepts in one text that say it together.
_TOGETHER = (
    ("belt", "tensioner"),
    ("seat-belt", "tensioner"),
    ("impact", "sensor"),
    ("impact", "signal"),
    ("impact", "output"),
    ("impact", "data"),
)
_REMINDS = frozenset({"lamp", "warning", "chime", "reminder", "indicator"})  # all that a plain belt has
_WORKS = frozenset({"switch", "sensor", "tensioner"})  # a reminder's own switch is the buckle's


def hazards_of(reading: Reading) -> tuple[tuple[str, str], ...]:
    """(hazard, the words that say so) of a text that was read; each hazard once."""
    found: dict[str, str] = {}
    for hit in reading.hits:
        for hazard in (RESTRAINT, HIGH_VOLTAGE):
            if hazard in hit.concepts:
                found.setdefault(hazard, hit.words)
    if RESTRAINT not in found:
        words = _together(reading.hits)
        if words:
            found[RESTRAINT] = words
    return tuple(sorted(found.items(), key=lambda item: item[0] != RESTRAINT))


def _together(hits: tuple[Hit, ...]) -> str:
    by_concept = {concept: hit.words for hit in reversed(hits) for concept in hit.concepts}
    for pair in _TOGETHER:
        if all(one in by_concept for one in pair):
            return " ".join(dict.fromkeys(by_concept[one] for one in pair))
    if "seat-belt" in by_concept and (not _REMINDS & by_concept.keys() or _WORKS & by_concept.keys()):
        return by_concept["seat-belt"]
    return ""


@lru_cache(maxsize=1 << 16)
def hazards_in(text: str) -> tuple[tuple[str, str], ...]:
    """(hazard, the words that say so) of any text: a function, a part's name, a note.

    Hazards are ``restraint`` and ``high-voltage``, each at most once; nothing for an ordinary text.
    """
    return hazards_of(read(text))
