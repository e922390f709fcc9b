"""A text as the concepts of its words, in their order, with what was not understood and what was misprinted."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from harnesscheck.trade.lexicon.entries import FILLER, LONGEST_PHRASE, Concepts, Lexicon, lexicon, stem
from harnesscheck.trade.lexicon.settling import Hit, settled
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
_SHORT_WORD = 4  # letters from which a missing letter is
_LINKS = ("", "s", "n", "en", "es", "er", "e", "o")  # letters between the parts of a compound
_MOST_PARTS = 4
_SIGNS = {PLUS: ("plus",), MINUS: ("minus",), JOINT: ("/",), BREAK: (",",), DOUBT: ("doubt",)}
_OF_TERMINAL = {
    "permanent": ("permanent", "feed"), "run": ("run", "feed"), "accessory": ("accessory", "feed"),
    "start": ("start", "feed"), "feed": ("feed",), "ground": ("ground",),
}  # fmt: skip
_HEADS = frozenset({"feed", "live", "ground"})
_MAY_FOLLOW = frozenset({"-", "feed", "plus", "minus", "line", "contact", "body", "left", "right", "front", "rear"})
_TOUCH_VOLTS = 60.0  # direct volts above which a circuit is high voltage, UN Regulation No. 100
_CAR_VOLTS = (11.0, 60.0)


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
    reader = _PhraseReader(lexicon())
    reader.take(reader.spread(tokens(text)))
    return Reading(tuple(settled(reader.hits, reader.of_terminal)), tuple(reader.unknown), tuple(reader.corrected))


class _PhraseReader:
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
        """The longest phrase that starts here; words that say nothing and commas may stand between its words."""
        if stem(row[at].text) not in self.known.phrased:
            return None
        run = self._run(row, at)
        told = [one for one in run if not self._is_filler(row[one])]
        if told[:1] == [at]:
            for size in range(len(told), 1, -1):
                concepts = self._concepts_of_phrase(row, told[:size])
                if concepts is not None:
                    return self._take_phrase(row, at, told[size - 1], concepts)
        for size in range(min(len(run), 3), 1, -1):
            concepts = self._concepts_of_phrase(row, run[:size])
            if concepts is not None:
                return self._take_phrase(row, at, run[size - 1], concepts)
        return None

    def _run(self, row: Sequence[Token], at: int) -> list[int]:
        """The places of the words from here to a sign other than a comma; as many as the longest phrase has."""
        found: list[int] = []
        for place in range(at, len(row)):
            if row[place].sort in (WORD, NUMBER):
                if not self._may_be_in_phrase(row[place]):
                    break
                found.append(place)
            elif row[place].text != ",":
                break
        return found[: LONGEST_PHRASE + 3]

    def _may_be_in_phrase(self, token: Token) -> bool:
        return stem(token.text) in self.known.phrased or self._is_filler(token)

    def _is_filler(self, token: Token) -> bool:
        return self.known.words.get(token.text) == FILLER

    def _concepts_of_phrase(self, row: Sequence[Token], places: Sequence[int]) -> Concepts | None:
        """A phrase in its order; in any order where its row allows it, and with commas between only so."""
        words = tuple(stem(row[one].text) for one in places)
        loose = self.known.loose.get(tuple(sorted(words)))
        listed = any(token.text == "," for token in row[places[0] : places[-1]])
        return loose if listed else self.known.phrases.get(words) or loose

    def _take_phrase(self, row: Sequence[Token], at: int, last: int, concepts: Concepts) -> int:
        self._hit(" ".join(token.text for token in row[at : last + 1] if token.text != ","), concepts)
        return last + 1

    def _terminal(self, row: Sequence[Token], at: int) -> int | None:
        """A terminal: a number after a word for terminal or line, or one with a letter, ``87a``."""
        said = self._word(row[at].text) or ()
        if row[at].sort == WORD and {"terminal", "line"} & set(said):
            follows = row[at + 1] if at + 1 < len(row) else None
            if follows is None or follows.sort not in (WORD, NUMBER):
                return None
            concepts = self.of_terminal(follows.text)
            if concepts is None or ("line" in said and follows.sort == WORD):
                return None
            self._hit(f"{row[at].text} {follows.text}", concepts)
            return at + 2
        if row[at].sort == WORD and row[at].text[:1].isdigit():
            concepts = self.of_terminal(row[at].text)
            if concepts is not None:
                self._hit(row[at].text, concepts)
                return at + 1
        return None

    def of_terminal(self, number: str) -> Concepts | None:
        """What a terminal stands for: its class by DIN 72552 and what it leads to; None for no such terminal."""
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
        if (len(word) < _LONG_WORD and word.isascii()) or not word.isalpha():
            return None
        parts = split_compound(word)
        return None if parts is None else _headed([self.known.parts[part] for part in parts])

    def _corrected(self, word: str) -> Concepts | None:
        """The concepts of the one word that differs by a single letter."""
        near = nearest(word) if len(word) >= _SHORT_WORD and word.isalpha() else None
        if near is None:
            return None
        self.corrected.append((word, near))
        return self.known.words[near]


@lru_cache(maxsize=1 << 14)
def split_compound(word: str) -> tuple[str, ...] | None:
    """The fewest known words, the longest first among as few, that a word is put together of; None where none are."""
    parts = lexicon().parts
    best: dict[int, tuple[str, ...]] = {0: ()}
    least = 3 if word.isascii() else 1
    for start in range(len(word) - least + 1):
        before = best.get(start)
        if before is None or len(before) == _MOST_PARTS:
            continue
        for end in range(start + least, len(word) + 1):
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


def _headed(parts: list[Concepts]) -> Concepts:
    """The concepts of a compound; what says feed or ground says so as its last part only: a voltage sensor is none."""
    found: list[str] = []
    for at, concepts in enumerate(parts):
        heads = {one for later in parts[at + 1 :] for one in later} - _MAY_FOLLOW
        found += [f"of-{one}" if heads and one in _HEADS else one for one in concepts]
    return tuple(found)


@lru_cache(maxsize=1 << 14)
def nearest(word: str) -> str | None:
    """The lexicon's word that is one wrong, missing, extra or swapped letter away; None where several meanings are."""
    from rapidfuzz.distance import OSA
    from rapidfuzz.process import extract

    words = lexicon().words
    least = _LONG_WORD if len(word) >= _LONG_WORD else len(word) + 1  # of a short word a letter may only be missing
    near = [one for size in range(max(least, len(word) - 1), len(word) + 2) for one in _of_length(size)]
    found = [one for one, _, _ in extract(word, near, scorer=OSA.distance, score_cutoff=1, limit=None)]
    meant = {words[one] for one in found}
    return min(found) if len(meant) == 1 else None


@cache
def _of_length(size: int) -> tuple[str, ...]:
    """The lexicon's words of so many letters."""
    return tuple(word for word in lexicon().words if len(word) == size and word.isalpha())


def _of_volts(text: str) -> Concepts:
    numbers = [float(one.replace(",", ".")) for one in re.findall(r"\d+(?:[.,]\d+)?", text)]
    if len(numbers) > 1:
        return ("volts",) if min(numbers) >= _CAR_VOLTS[0] else ("signal",)
    if numbers[0] == 0:
        return ("ground",)
    if numbers[0] > _TOUCH_VOLTS:
        return ("high-voltage",)
    return ("volts",) if numbers[0] >= _CAR_VOLTS[0] else ("low-volts",)
