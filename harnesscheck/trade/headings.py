"""What the heading of a table's column says, in many languages; data in ``headings``.

A heading is a few words (``Wire colour``, ``Pin-Nr.``, ``Couleur du fil``,
``Leitungsquerschnitt [mm²]``), each of which stands for something (``means`` of
the data); what a word of several sorts says is decided by the order below: a
``pin function`` is a function, a ``circuit number`` a circuit. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from harnesscheck.trade.lexicon.spelling import BOUNDARY, fold, spellings
from harnesscheck.trade.tables import rows

UNITS: Mapping[str, str] = {
    "mm2": "mm²", "awg": "AWG", "millimetre": "mm", "centimetre": "cm", "metre": "m", "foot": "ft", "inch": "in",
}  # fmt: skip
_ORDER = (
    "idle", "housing", "colour", "size", "gauge", "length", "note", "function", "signal", "circuit", "to",
    "part-number", "keyway", "year", "harness", "pin", "terminal", "connector", "component", "at", "wire", "name",
    "number", "code",
)  # fmt: skip
_BESIDE = frozenset(("fill", "insulation", *UNITS))  # says nothing of its own
_TELLING = frozenset(("colour", "size", "gauge", "length"))  # two of them are two columns in one
_SHORTEST_CUT = 3
_LINKS = ("", "s", "n", "en", "es", "e")  # letters between the parts of a compound
_LONGEST_PHRASE = 3
_MOST_TEXT = 100
_LONGEST_ENDING = 2  # letters by which a word that is declined is longer than its entry, ``kontaktu``
_SHORTEST_STEM = 5
_NO_HEADING = re.compile(r"[:;|,=<>]")  # between columns, not in the heading of one
_TOKENS = re.compile(r"[^\W_]+°?|#")


@dataclass(frozen=True, slots=True)
class Heading:
    """What a column holds, as one of the data's ``means``, all that its words mean, and the unit it names."""

    means: str
    words: frozenset[str]
    unit: str = ""


@lru_cache(maxsize=4096)
def read_heading(text: str) -> Heading | None:
    """What a heading says; None where a word of it is not known, or where it says nothing, or two things."""
    if len(text) > _MOST_TEXT or _NO_HEADING.search(text.rstrip(": ")):
        return None
    tokens = _TOKENS.findall(fold(text).replace(BOUNDARY, " ").replace("^", ""))
    meant = _meanings(tokens)
    if not meant:
        return None
    units = [UNITS[one] for one in meant if one in UNITS]
    words = frozenset(meant)
    telling = (words & _TELLING) - ({"gauge"} if "size" in words else set())
    if len(set(units)) > 1 or len(telling) > 1:
        return None
    means = next((one for one in _ORDER if one in words), "")
    if not means and units and "insulation" not in words:
        means = "size" if units[0] in ("mm²", "AWG") else ""
    return Heading(means, words - _BESIDE, units[0] if units else "") if means else None


def heading_words() -> tuple[str, ...]:
    """Every word that a heading may have, as the data writes it."""
    return tuple(dict.fromkeys(word for row in rows("headings") for word in row["written"].split("|")))


def _meanings(tokens: list[str]) -> list[str]:
    """What the words mean, the longest phrase first; nothing where one is not known."""
    meant: list[str] = []
    at = 0
    while at < len(tokens):
        for count in range(min(_LONGEST_PHRASE, len(tokens) - at), 0, -1):
            found = _phrases().get(" ".join(tokens[at : at + count]), ())
            if not found and count == 1:
                found = _of_word(tokens[at])
            if found:
                meant += found
                at += count
                break
        else:
            return []
    return meant


def _of_word(word: str) -> tuple[str, ...]:
    """A word that is no entry: one made of two, ``kabelfarbe``, without its end, ``descr``, or declined."""
    for at in range(len(word) - 1, 0, -1):
        first = _phrases().get(word[:at])
        for link in _LINKS if first else ():
            rest = word[at:].removeprefix(link)
            if word[at:].startswith(link) and (last := _phrases().get(rest)) and _may_join(word[:at], rest):
                return (*first, *last) if first else ()
    if len(word) < _SHORTEST_CUT or not word.isalpha():
        return ()
    whole = {means for entry, means in _phrases().items() if entry.startswith(word) and " " not in entry}
    for end in range(1, _LONGEST_ENDING + 1):
        if not whole and len(word) - end >= _SHORTEST_STEM and word[:-end] in _phrases():
            whole = {_phrases()[word[:-end]]}
    return next(iter(whole)) if len(whole) == 1 else ()


def _may_join(*parts: str) -> bool:
    return all(len(part) >= _SHORTEST_CUT or not part.isascii() or part in ("nr", "no") for part in parts)


@cache
def _phrases() -> Mapping[str, tuple[str, ...]]:
    """Entries by their folded words; an entry that two languages use for two things means the one that stands first."""
    found: dict[str, tuple[str, ...]] = {}
    for row in rows("headings"):
        for written in row["written"].split("|"):
            for spelling in spellings(written.replace("-", " ")):
                key = " ".join(_TOKENS.findall(spelling.replace("^", "")))
                found.setdefault(key, (row["means"],))
    return found
