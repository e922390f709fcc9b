"""Which colours a written word or code may stand for: codes by style, words by language.

A *scheme* is what one person writes in: the codes of one style together with
English words, or the words of one language. Keys are folded as
``lexicon.spelling`` does it. Data: ``colours`` (codes), ``colour_words``,
``colour_grammar``, each row with its language and source; a new word is a row there.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache

from harnesscheck.fields import COLOUR_CODES
from harnesscheck.trade.lexicon.spelling import fold, spellings
from harnesscheck.trade.tables import rows

Names = tuple[str, ...]
Means = tuple[Names, ...]  # what one entry may stand for, each as base and stripes

LIGHT, DARK = "light", "dark"
BARE = "bare"  # no insulation: it is said of wires, and is no colour
SHORTEST_CUT = 3  # letters of a word from which it is known though its end is missing
MOST_WORDS = 3  # of one entry, "cor de rosa"
_LETTERS_OF = {"iec60757": "en", "sae": "en", "jis": "en", "din": "de"}  # words that go with the codes of a style
_JOINED_BY = {"iec60757": 2, "din": 2, "sae": 3}  # letters of the codes that are written one behind the other
_ONE_COLOUR_TWICE = frozenset((("green", "yellow"), ("yellow", "green")))


@dataclass(slots=True)
class Scheme:
    """The entries of one style or language, what light and dark are called before and after a colour, and joints."""

    name: str
    codes: dict[str, Names] = field(default_factory=dict)
    words: dict[str, Means] = field(default_factory=dict)
    before: dict[str, str] = field(default_factory=dict)
    after: dict[str, str] = field(default_factory=dict)
    joints: dict[str, str] = field(default_factory=dict)
    accented: set[str] = field(default_factory=set)  # short words that are known by an accent: blå is not bla

    def entry(self, key: str) -> Means:
        """What a code or a word stands for; nothing where it is neither."""
        code = self.codes.get(key)
        return (code,) if code is not None else self.words.get(key, ())

    def shade(self, key: str, of: str) -> Means:
        """``green`` said to be light: a colour of its own, where there is such a one."""
        shades = (f"{of} {names[0]}" for names in self.entry(key) if len(names) == 1)
        return tuple((shade,) for shade in shades if shade in colour_names())

    def shades_in(self, key: str) -> Means:
        """``hellblau``, ``ltgrn``, ``azulclaro``: light or dark, and a colour, in one word."""
        starts = [(self.before[word], key.removeprefix(word)) for word in self.before if key.startswith(word)]
        ends = [(self.after[word], key.removesuffix(word)) for word in self.after if key.endswith(word)]
        found = (
            shade
            for of, rest in (*starts, *ends)
            if len(rest) > 1 or not rest.isascii()  # LR is no light red
            for shade in self.shade(rest, of)
        )
        return tuple(dict.fromkeys(found))


@cache
def colour_names() -> Mapping[str, str]:
    """Every English name the tables know, with the colour it is drawn in."""
    return {row["english"]: row["srgb"] for row in rows("colours")}


@cache
def style(code: str, declared: bool = True) -> Scheme:
    """The codes of one of ``COLOUR_CODES``, and the words that stand beside them.

    ``L-`` and ``D-`` are light and dark in styles where they are no codes; in a
    style that is only a guess they may be both.
    """
    scheme = Scheme(code)
    for row in rows("colours"):
        names = (row["english"],)
        scheme.words.update((spelling, (names,)) for spelling in _spaced(row["english"]))
        for written in filter(None, row[code].split("|")):
            scheme.codes.update((spelling, names) for spelling in _spaced(fold(written.lower())))
    for language in dict.fromkeys(("en", _LETTERS_OF[code])):
        _add_words(scheme, language)
    if declared and code not in ("iec60757", "sae"):
        for letter in ("l", "d"):
            scheme.before.pop(letter, None)
    return scheme


@cache
def language(name: str) -> Scheme:
    """The words of one language."""
    scheme = Scheme(name)
    _add_words(scheme, name)
    return scheme


@cache
def all_words() -> Scheme:
    """The words of all languages, for a text that mixes them; joints of one letter are left out."""
    scheme = Scheme("words")
    for name in languages():
        own = language(name)
        for key, means in own.words.items():
            scheme.words[key] = tuple(dict.fromkeys((*scheme.words.get(key, ()), *means)))
        for mine, theirs in ((scheme.before, own.before), (scheme.after, own.after), (scheme.joints, own.joints)):
            mine.update((key, does) for key, does in theirs.items() if len(key) > 1)
    return scheme


@cache
def every_scheme() -> Scheme:
    """All words and the codes of all styles, each with all that it means in any."""
    words = all_words()
    scheme = Scheme("mixed", {}, dict(words.words), words.before, words.after, words.joints)
    styles = [style(code) for code in COLOUR_CODES]
    for key in sorted({key for one in styles for key in one.codes}):
        scheme.words[key] = tuple(dict.fromkeys(one.codes[key] for one in styles if key in one.codes))
    return scheme


@cache
def languages() -> tuple[str, ...]:
    """The languages that have words here, English first."""
    return tuple(dict.fromkeys(row["language"] for row in rows("colour_words")))


@cache
def languages_of(key: str) -> tuple[str, ...]:
    """The languages that have this word of a colour or a part of one, as it stands or as two words joined."""
    whole = tuple(_languages_by_word().get(key, ()))
    if whole or (key.isascii() and len(key) < SHORTEST_CUT):
        return whole
    return tuple(name for name in languages() if language(name).shades_in(key) or joined(key, language(name)))


@cache
def doubtful_codes() -> Mapping[str, tuple[str, str]]:
    """Codes that mean different colours to different people whatever the style tables say: usual and other meaning."""
    return {row["code"].lower(): (row["usual"], row["other"]) for row in rows("colour_ambiguities")}


def joined(key: str, scheme: Scheme) -> Means:
    """Two colours written as one word: ``gnye``, ``blkred``, ``gulgrön``.

    Of two words only green and yellow, and black or white with another, are
    surely a base and a stripe; else it may be a shade, ``rotbraun``: nothing is known.
    """
    letters = _JOINED_BY.get(scheme.name)
    if letters and len(key) == 2 * letters:
        first, second = scheme.codes.get(key[:letters]), scheme.codes.get(key[letters:])
        if first and second and first != second:
            return (first + second,)
    pairs = [
        base + stripe
        for at in range(3, len(key) - 2)
        for base in scheme.words.get(key[:at], ())
        for stripe in scheme.words.get(key[at:], ())
        if len(base) == len(stripe) == 1 and base != stripe
    ]
    return tuple(dict.fromkeys(pair for pair in pairs if _are_apart(pair)))


def joined_letters(key: str, scheme: Scheme) -> Means:
    """Two codes of one letter, ``BW`` in the Japanese style; only for a text that nothing else reads."""
    if len(key) != 2 or key[0] == key[1] or key[0] not in scheme.codes or key[1] not in scheme.codes:
        return ()
    return (scheme.codes[key[0]] + scheme.codes[key[1]],)


def cut_short(key: str, scheme: Scheme) -> Means:
    """What a word of a scheme without its end may be, ``rou`` or ``noi``."""
    if len(key) < SHORTEST_CUT or not key.isalpha():
        return ()
    means = (one for word, ones in scheme.words.items() if word.startswith(key) for one in ones)
    return tuple(dict.fromkeys(means))


def _are_apart(pair: Names) -> bool:
    return pair in _ONE_COLOUR_TWICE or (not {"black", "white"}.isdisjoint(pair) and "grey" not in pair)


def _spaced(written: str) -> Iterator[str]:
    """``light green`` is also written lightgreen; a hyphen is no more than a blank."""
    key = fold(written)
    yield key
    if " " in key:
        yield key.replace(" ", "")


def _add_words(scheme: Scheme, name: str) -> None:
    for row in _rows_of("colour_words", name):
        means = tuple((one,) for one in row["means"].split("|"))
        for written in row["written"].split("|"):
            if len(written) <= SHORTEST_CUT and not written.isascii():
                scheme.accented.add(fold(written))
            for key in (spaced for spelling in spellings(written) for spaced in _spaced(spelling)):
                scheme.words[key] = tuple(dict.fromkeys((*scheme.words.get(key, ()), *means)))
    for row in _rows_of("colour_grammar", name):
        does, _, side = row["does"].partition("-")
        into = {"before": scheme.before, "after": scheme.after}.get(side, scheme.joints)
        for written in row["written"].split("|"):
            into.update((key, does) for key in spellings(written))


@cache
def _rows_of(table: str, name: str) -> tuple[Mapping[str, str], ...]:
    return tuple(row for row in rows(table) if row["language"] == name)


@cache
def _languages_by_word() -> Mapping[str, Mapping[str, None]]:
    found: dict[str, dict[str, None]] = {}
    for name in languages():
        scheme = language(name)
        for key in (*scheme.words, *scheme.before, *scheme.after):
            for word in key.split():
                found.setdefault(word, {})[name] = None
    return found
