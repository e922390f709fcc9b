"""A text as the concepts of its words, in their order, with what was not understood and what was misprinted."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from harnesscheck.trade.lexicon.entries import LONGEST_PHRASE, Concepts, Lexicon, lexicon, stem
from harnesscheck.trade.lexicon.tokens import (
    BREAK,
    DETAIL,
    DOUBT,
    JOINT,
    MINUS,
    NUMBER,
    PLUS,
    VOLTS,
    WORD,
    Token,
    tokens,
)
from harnesscheck.trade.terminals import feed_class

_LONG_WORD = 6  # letters from which one wrong letter, or a compound, is understood
_LINKS = ("", "s", "n", "en", "es", "er", "e", "o")  # letters between the parts of a compound
_MOST_PARTS = 4
_SIGNS = {PLUS: ("plus",), MINUS: ("minus",), JOINT: ("/",), BREAK: (",",), DOUBT: ("doubt",)}
_OF_TERMINAL = {
    "permanent": ("permanent", "feed"), "run": ("run", "feed"), "accessory": ("accessory", "feed"),
    "start": ("start", "feed"), "feed": ("feed",), "ground": ("ground",),
}  # fmt: skip
_TOUCH_VOLTS = 60.0  # direct volts above which a circuit is high voltage, UN Regulation No. 100
_CAR_VOLTS = (11.0, 60.0)


@dataclass(frozen=True, slots=True)
class Hit:
    """Some words of a text and the concepts they stand for; ``,`` and ``/`` stand for the signs themselves."""

    words: str
    concepts: Concepts


@dataclass(frozen=True, slots=True)
class Reading:
    """The hits of a text in their order, words nobody knows, and (written, taken for) of misprints."""

    hits: tuple[Hit, ...]
    unknown: tuple[str, ...] = ()
    corrected: tuple[tuple[str, str], ...] = ()

    @property
    def concepts(self) -> tuple[str, ...]:
        """All concepts in the order of the words."""
        return tuple(one for hit in self.hits for one in hit.concepts)


@lru_cache(maxsize=1 << 16)
def read(text: str) -> Reading:
    """What the words of a text stand for."""
    reader = _Reader(lexicon())
    reader.take(reader.spread(tokens(text)))
    return Reading(tuple(reader.hits), tuple(reader.unknown), tuple(reader.corrected))


class _Reader:
    """Goes through the tokens of one text; the longest phrase that fits is taken first."""

    def __init__(self, known: Lexicon) -> None:
        self.known = known
        self.hits: list[Hit] = []
        self.unknown: list[str] = []
        self.corrected: list[tuple[str, str]] = []

    def spread(self, written: Sequence[Token]) -> list[Token]:
        """Words with capitals or numbers inside as several tokens, where the whole is no word."""
        out: list[Token] = []
        for token in written:
            out += self._pieces(token) if token.sort == WORD else [token]
        return out

    def _pieces(self, token: Token) -> list[Token]:
        if self._word(token.text) is not None:
            return [token]
        if token.parts and (self._compound(token.text) is None):
            return [piece for part in token.parts for piece in self._pieces(Token(WORD, part))]
        split = re.fullmatch(r"([a-z]+)(\d+)([a-z]?)", token.text)
        if split is None:
            return [token]
        name, digits, letter = split.groups()
        if self._word(name) is None:
            return [Token(DETAIL, token.text)]
        concepts = self._word(name) or ()
        if "terminal" in concepts:
            return [Token(WORD, name), Token(WORD if letter else NUMBER, digits + letter)]
        if len(name) == 1:
            return [Token(DETAIL, token.text)]
        tail = [Token(WORD, letter)] if letter else []
        return [Token(WORD, name), Token(NUMBER, digits.lstrip("0") or "0"), *tail]

    def take(self, row: Sequence[Token]) -> None:
        """Turns the tokens into hits."""
        at = 0
        while at < len(row):
            token = row[at]
            if token.sort in (WORD, NUMBER):
                at = self._phrase(row, at) or self._terminal(row, at) or self._joined(row, at) or self._single(row, at)
                continue
            if token.sort == VOLTS:
                self._hit(token.text, _of_volts(token.text))
            elif token.sort in _SIGNS:
                self._hit(token.text, _SIGNS[token.sort])
            elif re.fullmatch(r"[a-z]\d+[a-z]?", token.text):
                self._hit(token.text, (f"@{token.text}",))
            at += 1

    def _hit(self, words: str, concepts: Concepts) -> None:
        self.hits.append(Hit(words, concepts))

    def _phrase(self, row: Sequence[Token], at: int) -> int | None:
        """The longest phrase that starts here; words that say nothing may stand between its words."""
        ends: list[int] = []
        key: list[str] = []
        listed = LONGEST_PHRASE  # how many of them stand without a comma
        for end in range(at, len(row)):
            if row[end].text == "," and end > at:
                listed = min(listed, len(key))
                continue
            if row[end].sort not in (WORD, NUMBER) or len(key) == LONGEST_PHRASE:
                break
            filler = self.known.words.get(row[end].text) == ("-",)
            if filler and end == at:
                break
            if not filler:
                key.append(stem(row[end].text))
                ends.append(end)
        for size in range(len(key), 1, -1):
            words = tuple(key[:size])
            concepts = self.known.loose.get(tuple(sorted(words)))
            if size <= listed:
                concepts = self.known.phrases.get(words) or concepts
            if concepts is not None:
                end = ends[size - 1] + 1
                self._hit(" ".join(token.text for token in row[at:end] if token.text != ","), concepts)
                return end
        return None

    def _terminal(self, row: Sequence[Token], at: int) -> int | None:
        """A number after a word for terminal, or beside a plus sign."""
        if row[at].sort == WORD and "terminal" in (self._word(row[at].text) or ()):
            if at + 1 < len(row) and row[at + 1].sort in (WORD, NUMBER):
                concepts = self.of_terminal(row[at + 1].text)
                if concepts is not None:
                    self._hit(f"{row[at].text} {row[at + 1].text}", concepts)
                    return at + 2
            return None
        beside = [row[one].sort for one in (at - 1, at + 1) if 0 <= one < len(row)]
        if PLUS in beside or row[at].sort == WORD:
            concepts = self.of_terminal(row[at].text) if row[at].text[:1].isdigit() else None
            if concepts is not None and (row[at].sort == WORD or "feed" in concepts):
                self._hit(row[at].text, concepts)
                return at + 1
        return None

    def of_terminal(self, number: str) -> Concepts | None:
        """What a terminal number stands for: its class by DIN 72552 and what it leads to; None for no such number."""
        led = self.known.terminals.get(number, ())
        class_ = feed_class(number)
        if class_ is None and not led:
            return None
        return (*_OF_TERMINAL.get(class_ or "", ()), *led)

    def _joined(self, row: Sequence[Token], at: int) -> int | None:
        """Two or three words that are one word written together, ``pre-tensioner``."""
        for size in (3, 2):
            pieces = row[at : at + size]
            if len(pieces) < size or any(one.sort != WORD for one in pieces):
                continue
            whole = "".join(one.text for one in pieces)
            hyphens = all(one.hyphen for one in pieces[:-1])
            if not hyphens and (len(whole) < _LONG_WORD or all(self._word(one.text) for one in pieces)):
                continue
            concepts = self._word(whole)
            if concepts is not None and concepts != ("-",):
                self._hit(whole, concepts)
                return at + size
        return None

    def _single(self, row: Sequence[Token], at: int) -> int:
        token = row[at]
        if token.sort == NUMBER:
            self._hit(token.text, (f"#{token.text}",))
            return at + 1
        concepts = self._word(token.text) or self._compound(token.text) or self._corrected(token.text)
        if concepts is not None:
            self._hit(token.text, concepts)
        elif len(token.text) == 1:
            self._hit(token.text, (f"#{token.text}",))
        else:
            self.unknown.append(token.text)
            self._hit(token.text, ("unknown",))
        return at + 1

    def _word(self, word: str) -> Concepts | None:
        exact = self.known.words.get(word)
        if exact is not None or len(word) <= 4 or not word.isalpha():
            return exact
        root = stem(word)
        return self.known.words.get(root) or self.known.stems.get(root)

    def _compound(self, word: str) -> Concepts | None:
        """The concepts of the parts of a compound, as few parts as will do."""
        if len(word) < _LONG_WORD or not word.isalpha():
            return None
        parts = split_compound(word)
        return None if parts is None else tuple(one for part in parts for one in self.known.parts[part])

    def _corrected(self, word: str) -> Concepts | None:
        """The concepts of the one word that differs by a single letter."""
        near = nearest(word) if len(word) >= _LONG_WORD and word.isalpha() else None
        if near is None:
            return None
        self.corrected.append((word, near))
        return self.known.words[near]


@lru_cache(maxsize=1 << 14)
def split_compound(word: str) -> tuple[str, ...] | None:
    """The fewest known words, the longest first among as few, that a word is put together of; None where none are."""
    parts = lexicon().parts
    best: dict[int, tuple[str, ...]] = {0: ()}
    for start in range(len(word) - 2):
        before = best.get(start)
        if before is None or len(before) == _MOST_PARTS:
            continue
        for end in range(start + 3, len(word) + 1):
            part = word[start:end]
            if part not in parts:
                continue
            for link in _LINKS:
                stop = end + len(link)
                if word.startswith(link, end) and (stop < len(word) or not link):
                    better = (*before, part)
                    if stop not in best or _rank(better) < _rank(best[stop]):
                        best[stop] = better
    found = best.get(len(word))
    return found if found is not None and len(found) > 1 else None


def _rank(parts: tuple[str, ...]) -> tuple[int, int]:
    return len(parts), -min(len(part) for part in parts)


@lru_cache(maxsize=1 << 14)
def nearest(word: str) -> str | None:
    """The lexicon's word that is one wrong, missing, extra or swapped letter away; None where several meanings are."""
    from rapidfuzz.distance import OSA
    from rapidfuzz.process import extract

    words = lexicon().words
    long = [one for one in words if len(one) >= _LONG_WORD and abs(len(one) - len(word)) <= 1 and one.isalpha()]
    found = [one for one, _, _ in extract(word, long, scorer=OSA.distance, score_cutoff=1, limit=None)]
    meant = {words[one] for one in found}
    return min(found) if len(meant) == 1 else None


def _of_volts(text: str) -> Concepts:
    numbers = [float(one.replace(",", ".")) for one in re.findall(r"\d+(?:[.,]\d+)?", text)]
    if len(numbers) > 1:
        return ("volts",) if min(numbers) >= _CAR_VOLTS[0] else ("signal",)
    if numbers[0] == 0:
        return ("ground",)
    if numbers[0] > _TOUCH_VOLTS:
        return ("high-voltage",)
    return ("volts",) if numbers[0] >= _CAR_VOLTS[0] else ("low-volts",)
