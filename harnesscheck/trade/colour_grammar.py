"""Every way to read what somebody wrote for a colour: base, stripes, light and dark, and words of doubt.

A text is read in one scheme at a time (see ``colour_words``). A way takes all of
it: what is left over makes no colour. Between base and stripe stands a sign, a
blank or a word (``with``, ``tracer``); between ``light`` and its colour a blank,
a hyphen, a point or nothing. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from harnesscheck.trade.colour_words import (
    BARE,
    MOST_WORDS,
    Means,
    Names,
    Scheme,
    all_words,
    cut_short,
    doubtful_codes,
    joined,
)
from harnesscheck.trade.lexicon.spelling import BOUNDARY, fold

MAX_COLOURS = 3  # a base and two stripes; more is not seen on a wire
MOST_TEXT = 60  # longer text is no colour, and is not searched for one
_MOST_TOKENS = 12
OR, GUESS, NO_BASE, CODE = "or", "guess", "no base", "doubtful code"  # why a way to read is not sure
_WEAK = ("", " ", "-", ".", BOUNDARY)
_STRONG = ("/", "|", ",", ";", "&", "_", ":", "\\")
_PIECES = re.compile(r"([^\W\d_]+)")
_BRACKETS = str.maketrans("()[]", "    ")

More = Callable[[str, Scheme], Means]


@dataclass(frozen=True, slots=True)
class ColourReading:
    """One way to read a text: the colours, why it is not sure (or nothing), and the scheme it was read in."""

    names: Names
    doubt: str
    scheme: str
    mixed: bool = False  # a code of one letter beside a word: seldom meant
    coded: bool = False  # by the codes of a style


@dataclass(frozen=True, slots=True)
class Word:
    """A piece of a text, the sign before it, whether a stroke is tied to its end (``w/``), whether accents are told."""

    text: str
    gap: str
    stroke: bool = False
    accents: bool = False


def words_of(text: str) -> list[Word] | None:
    """The text as words with signs between; None where it holds a sign or figure that no colour has."""
    folded = fold(text).translate(_BRACKETS)
    doubtful = "?" in folded
    edge = " .,;/-" if doubtful else " .,;"
    pieces = _PIECES.split(folded.replace("?", " ").strip(edge + BOUNDARY))
    gaps, texts = pieces[::2], pieces[1::2]
    if not texts or len(texts) > _MOST_TOKENS or gaps[0] or gaps[-1].strip():
        return None
    words = [
        Word(one, _sign(gap), after.startswith("/") and gap.endswith(" "), not text.isascii())
        for one, gap, after in zip(texts, gaps, gaps[1:], strict=False)
    ]
    if any(word.gap not in _WEAK and word.gap not in _STRONG for word in words):
        return None
    return [*words, Word("?", " ")] if doubtful else words


def ways(words: Sequence[Word], scheme: Scheme, more: More = joined, any_style: bool = False) -> set[ColourReading]:
    """Every way to read the words in one scheme; ``more`` reads a word that is none of its entries.

    With ``any_style`` nobody has said which style the codes are of.
    """
    return set(_Parser(words, scheme, more, any_style).from_word(0, (), frozenset()))


def likeliest(found: Iterable[ColourReading]) -> list[ColourReading]:
    """Without what is read more simply in another way: one-letter codes among words, one colour as base and stripe."""
    kept = sorted(found, key=lambda way: (way.names, way.doubt, way.scheme))
    for is_odd in (_is_mixed, _is_repeated):
        kept = [way for way in kept if way.doubt == OR or not is_odd(way)] or kept
    return kept


def _is_mixed(way: ColourReading) -> bool:
    return way.mixed


def _is_repeated(way: ColourReading) -> bool:
    return any(one == other for one, other in zip(way.names, way.names[1:], strict=False))


def _sign(gap: str) -> str:
    """What stands between two words, without blanks and the points of short forms; two signs are told by being two."""
    stripped = gap.strip()
    return stripped.strip(". ") or stripped[:1] or (" " if gap else "")


class _Parser:
    """Goes from word to word; ``marks`` are the joints passed so far."""

    def __init__(self, words: Sequence[Word], scheme: Scheme, more: More, any_style: bool) -> None:
        self._words = words
        self._scheme = scheme
        self._more = more
        self._any_style = any_style

    def from_word(self, at: int, names: Names, marks: frozenset[str]) -> Iterator[ColourReading]:
        """The ways to read the words from one on."""
        if at == len(self._words):
            if names:
                yield self._way(names, marks)
            return
        mark = self._joint(at, bool(names))
        if mark:
            yield from self.from_word(at + 1, names, marks | {mark})
        for count, means, is_code in self._colours(at):
            for colours in means:
                if OR in marks or len(names) + len(colours) <= MAX_COLOURS:
                    seen = marks | self._marks_of(at, count, is_code)
                    yield from self.from_word(at + count, names + colours, seen)

    def _joint(self, at: int, between: bool) -> str:
        """What the word does there besides being a colour; nothing where it does nothing."""
        word = self._words[at]
        if word.text == "?":
            return GUESS
        last = at + 1 == len(self._words)
        does = self._scheme.joints.get(word.text, "")
        if word.stroke and word.gap == " " and f"{word.text}/" in self._scheme.joints:
            does = "with"
        if does in ("stripe", "plain", "doubt"):
            return does
        apart = word.gap == " " and not last and self._words[at + 1].gap in (" ", "/")
        return does if between and not last and (apart or does != OR) else ""

    def _colours(self, at: int) -> Iterator[tuple[int, Means, bool]]:
        """The colours that begin there: how many words they take, what they may be, whether by a code.

        An entry of several words hides what its words are alone.
        """
        for count in range(min(MOST_WORDS, len(self._words) - at), 1, -1):
            words = self._words[at : at + count]
            if all(word.gap in _WEAK for word in words[1:]):
                texts = [word.text for word in words]
                if entry := self._scheme.entry(" ".join(texts)):
                    yield count, entry, False
                    return
                if shaded := self._shaded(texts):
                    yield count, shaded, False
        text = self._words[at].text
        means = self._scheme.entry(text) or self._scheme.shades_in(text) or self._more(text, self._scheme)
        if text in self._scheme.accented and not self._words[at].accents:
            means = tuple(dict.fromkeys((*means, *cut_short(text, all_words()))))
        if means:
            yield 1, means, text in self._scheme.codes

    def _shaded(self, texts: Sequence[str]) -> Means:
        scheme = self._scheme
        before, after = scheme.before.get(texts[0]), scheme.after.get(texts[-1])
        return (scheme.shade(" ".join(texts[1:]), before) if before else ()) or (
            scheme.shade(" ".join(texts[:-1]), after) if after else ()
        )

    def _marks_of(self, at: int, count: int, is_code: bool) -> set[str]:
        text = self._words[at].text
        marks = {"letter" if is_code and len(text) == 1 else "word" if len(text) > 2 or count > 1 else "short"}
        if is_code:
            marks.add("code")
        if is_code and self._any_style and text in doubtful_codes():
            marks.add(CODE)
        return marks

    def _way(self, names: Names, marks: frozenset[str]) -> ColourReading:
        striped = not marks.isdisjoint(("with", "stripe", "on"))
        if "on" in marks and len(names) == 2:
            names = names[::-1]
        doubts = {
            OR: OR in marks,
            GUESS: GUESS in marks or "doubt" in marks,
            NO_BASE: (striped and len(names) == 1) or ("on" in marks and len(names) > 2) or BARE in names[1:],
            CODE: CODE in marks,
        }
        doubt = next((word for word, is_so in doubts.items() if is_so), "")
        return ColourReading(names, doubt, self._scheme.name, {"letter", "word"} <= marks, "code" in marks)
