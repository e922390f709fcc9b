"""What a function's text means: its class, its concepts, what was not understood, what in it is dangerous."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from harnesscheck.trade.lexicon.classes import EMPTY, judge
from harnesscheck.trade.lexicon.hazards import RESTRAINT, hazards_of
from harnesscheck.trade.lexicon.reading import read


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
    """Whether a text says that a cavity is not used, in words and not with a dash."""
    return not text.isdigit() and understand(text).class_ == EMPTY


@lru_cache(maxsize=1 << 16)
def _understand(text: str) -> Meaning:
    reading = read(text)
    hazards = hazards_of(reading)
    judged = judge(reading)
    class_ = hazards[0][0] if hazards else judged.class_
    assert not hazards or class_ in (RESTRAINT, "high-voltage")
    return Meaning(text, class_, judged.maybe, reading.concepts, reading.unknown, reading.corrected, hazards)
