"""What a function's text means: its class, its concepts, what was not understood, what in it is dangerous."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache

from harnesscheck.trade.lexicon.classes import EMPTY, judge
from harnesscheck.trade.lexicon.entries import stem
from harnesscheck.trade.lexicon.hazards import RESTRAINT, hazards_of
from harnesscheck.trade.lexicon.reading import read
from harnesscheck.trade.lexicon.spelling import fold, spellings
from harnesscheck.trade.tables import rows

_WORDS = re.compile(r"\w+")


@dataclass(frozen=True, slots=True)
class Meaning:
    """A text understood, as far as it is.

    ``class_`` is a class of the file format, ``empty`` for a cavity that the
    text calls unused, or None. ``maybe`` are all classes the words speak of,
    doubted ones too. ``corrected`` holds (written, taken for) of misprints, ``hazards``
    (restraint or high-voltage, the words that say so).
    """

    text: str
    class_: str | None
    maybe: tuple[str, ...]
    concepts: tuple[str, ...]
    unknown: tuple[str, ...]
    corrected: tuple[tuple[str, str], ...]
    hazards: tuple[tuple[str, str], ...]


NOTHING_SAID = Meaning("", None, (), (), (), (), ())


def understand(text: str | None) -> Meaning:
    """What a text means; nothing where nothing is written."""
    return NOTHING_SAID if not text else _understand(text)


def is_unused(text: str) -> bool:
    """Whether a text says that a cavity is not used, in words and not with a dash.

    Quick for a text that does not speak of it: every row of a table is asked.
    """
    words = _stems(text)
    starts = _unused_by_first_word()
    speaks = any(words[at : at + len(one)] == one for at, word in enumerate(words) for one in starts.get(word, ()))
    return speaks and understand(text).class_ == EMPTY


def _stems(text: str) -> list[str]:
    return [stem(word) for word in _WORDS.findall(fold(text))]


@cache
def _unused_by_first_word() -> dict[str, list[list[str]]]:
    """The words of every spelling of "not used" as stems, by the first of them."""
    found: dict[str, list[list[str]]] = {}
    for row in rows("lexicon"):
        if row["concepts"] in ("unused", "reserve"):
            for written in row["words"].split("|"):
                for spelling in spellings(written):
                    words = _stems(spelling)
                    found.setdefault(words[0], []).append(words)
    return found


@lru_cache(maxsize=1 << 16)
def _understand(text: str) -> Meaning:
    reading = read(text)
    hazards = hazards_of(reading)
    judged = judge(reading)
    class_ = hazards[0][0] if hazards else judged.class_
    assert not hazards or class_ in (RESTRAINT, "high-voltage")
    return Meaning(text, class_, judged.maybe, reading.concepts, reading.unknown, reading.corrected, hazards)
