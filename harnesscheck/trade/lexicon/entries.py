"""The lexicon: ``data/lexicon.csv`` as an index from folded words and phrases to concepts.

A row holds spellings of one meaning in one language (``|`` between them) and
the concepts they stand for, several where one word says several things
(``Rückfahrleuchte``: reverse, lamp). Concepts are small English words; two texts
mean the same where their concepts are the same. ``-`` is a word that says nothing
by itself (``of``, ``wire``).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import Any

from harnesscheck.trade.lexicon.spelling import spellings
from harnesscheck.trade.lexicon.tokens import DETAIL, NUMBER, VOLTS, WORD, tokens
from harnesscheck.trade.tables import rows

Concepts = tuple[str, ...]

FILLER: Concepts = ("-",)  # a word that says nothing by itself
LONGEST_PHRASE = 6  # words
_STEM = 4  # letters that must stay when an ending is taken off
_PART = 3  # letters of a part of a compound
_OF_NUMBER_CASE_GENDER = (  # in all the languages
    "iego ego ych ymi ami ach nej eho ene ens ers as os is es en er em et ow ov om am ej ie ia ii ou im ym"
    " a e i o u y s n"
)
_ENDINGS = frozenset(_OF_NUMBER_CASE_GENDER.split())
_LONGEST_ENDING = max(map(len, _ENDINGS))
_NEVER_IN_COMPOUNDS = frozenset({"unused", "doubt", "or", "for", "-", "terminal", "circuit", "via"})


@dataclass(frozen=True, slots=True)
class Lexicon:
    """All rows by folded spelling: single words, their stems, and phrases by the stems of their words in order."""

    words: dict[str, Concepts] = field(default_factory=dict)
    stems: dict[str, Concepts] = field(default_factory=dict)  # only where all words of a stem agree
    phrases: dict[tuple[str, ...], Concepts] = field(default_factory=dict)
    loose: dict[tuple[str, ...], Concepts] = field(default_factory=dict)  # stems sorted: any order
    phrased: set[str] = field(default_factory=set)  # the stems that phrases are made of
    parts: dict[str, Concepts] = field(default_factory=dict)  # words that may be a part of a compound
    terminals: dict[str, Concepts] = field(default_factory=dict)  # what numbers of DIN 72552 lead to
    clashes: list[str] = field(default_factory=list)  # spellings that two rows give two meanings


@lru_cache(maxsize=1 << 15)
def stem(word: str) -> str:
    """A word without its ending of number, case or gender, where enough of it stays."""
    for long in range(min(_LONGEST_ENDING, len(word) - _STEM), 0, -1):
        if word[-long:] in _ENDINGS:
            return word[:-long]
    return word


@cache
def lexicon() -> Lexicon:
    """The shipped lexicon, indexed on first use."""
    return index(rows("lexicon"))


def index(table: Iterable[Mapping[str, str]]) -> Lexicon:
    """Rows with ``words``, ``concepts`` and ``language`` as a lexicon; where rows contradict, the first holds."""
    made = Lexicon()
    phrases: list[tuple[tuple[str, ...], Concepts]] = []
    for spelling, concepts, language in _spelled(table):
        if language == "din":
            _put(made, made.terminals, spelling, concepts, spelling)
            continue
        words = words_of(spelling)
        if len(words) == 1:
            _put(made, made.words, words[0], concepts, spelling)
        elif words:
            phrases.append((words, concepts))
    _add_stems(made)
    made.parts.update(
        (word, concepts)
        for word, concepts in made.words.items()
        if len(word) >= (_PART if word.isascii() else 1) and word.isalpha() and not _NEVER_IN_COMPOUNDS & set(concepts)
    )
    for words, concepts in phrases:
        _add_phrase(made, words, concepts)
    return made


def _spelled(table: Iterable[Mapping[str, str]]) -> Iterator[tuple[str, Concepts, str]]:
    for row in table:
        concepts = tuple(row["concepts"].split())
        for written in row["words"].split("|"):
            for spelling in spellings(written.strip()):
                yield spelling, concepts, row["language"]


def words_of(spelling: str) -> tuple[str, ...]:
    """The words of a row's spelling as a text's are read; signs are no words."""
    if spelling.replace(" ", "").isalpha():
        return tuple(spelling.split())
    return tuple(token.text for token in tokens(spelling) if token.sort in (WORD, NUMBER, VOLTS, DETAIL))


def _put(made: Lexicon, into: dict[Any, Concepts], key: Any, concepts: Concepts, spelling: str) -> None:
    if into.setdefault(key, concepts) != concepts:
        made.clashes.append(f"{spelling!r} is {' '.join(into[key])} in one row, {' '.join(concepts)} in another")


def _add_stems(made: Lexicon) -> None:
    agreed: dict[str, Concepts | None] = {}
    for word, concepts in made.words.items():
        if not word.isalpha():
            continue
        root = stem(word)
        agreed[root] = concepts if agreed.get(root, concepts) == concepts else None
    made.stems.update({root: concepts for root, concepts in agreed.items() if concepts is not None})


def _add_phrase(made: Lexicon, words: tuple[str, ...], concepts: Concepts) -> None:
    """A phrase in its order; in any order too, unless a word of it alone says what the phrase does not mean."""
    telling = [word for word in words if made.words.get(word) != FILLER]
    if len(telling) < 2:  # "no wire": all its words are needed
        telling = list(words)
    key = tuple(stem(word) for word in telling)
    _put(made, made.phrases, key, concepts, " ".join(words))
    made.phrased.update(key)
    alone = {one for word in words for one in made.words.get(word, ())}
    if not alone & _TELLING - set(concepts):
        made.loose.setdefault(tuple(sorted(key)), concepts)


# What makes a class: a phrase that has such a word and means another thing holds in its own order only.
_TELLING = frozenset(
    {"ground", "feed", "live", "permanent", "run", "accessory", "start", "battery", "return", "unused"}
)
