"""Wire colours in four styles of code, and in words of many languages.

Styles: ``iec60757`` (BK, GNYE), ``din`` (sw, gnge), ``jis`` (B, LG) and ``sae``
(BLK, LT GRN). One code can mean two colours in two styles (GR, P, B), so a code
is read in the style its file declares; where the file declares none, only what
means one thing everywhere is taken. Words of any language are read in every
style, the codes first. Nothing is guessed: what can be two colours, or is
written with a doubt (``white or red``), is a colour, not known which.

The first colour is the base, those after it are stripes. The drawing colours
are the project's choice and come from no standard.

References
----------
IEC 60757:1983, codes for the designation of colours (text of GOST 28763-90).
DIN 47002 / IEC 60304 style abbreviations, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from harnesscheck.fields import COLOUR_CODES
from harnesscheck.trade import colour_words
from harnesscheck.trade.colour_grammar import (
    GUESS,
    MOST_TEXT,
    NO_BASE,
    OR,
    ColourReading,
    Word,
    likeliest,
    ways,
    words_of,
)
from harnesscheck.trade.colour_words import BARE, Means, Scheme, cut_short, joined, joined_letters
from harnesscheck.trade.tables import rows


@dataclass(frozen=True, slots=True)
class Colour:
    """A wire colour as written, and the plain English names it stands for (base first); None: not known."""

    text: str
    names: tuple[str, ...] | None


def read_colour(text: str, code: str | None) -> Colour | str:
    """Read a colour in one style, or in none declared; returns a sentence of what was expected otherwise.

    ``code`` is one of ``COLOUR_CODES``. A text that is a colour but may be more
    than one comes back with ``names=None``; ``colour_doubt`` says why.
    """
    written = _one_line(text)
    found = _ways(written, code)
    if not found:
        return _expected(written, code)
    names = {way.names for way in found}
    sure = len(names) == 1 and not any(way.doubt for way in found) and BARE not in next(iter(names))
    return Colour(written, found[0].names if sure else None)


def colour_doubt(colour: Colour, code: str | None) -> str:
    """Why the names of a colour are not known, and what to find out; nothing where they are."""
    if colour.names is not None:
        return ""
    found = _ways(colour.text, code)
    doubts = {way.doubt for way in found}
    means = list(dict.fromkeys(way.names for way in found))
    if means == [(BARE,)]:
        return "a wire without insulation has no colour"
    if NO_BASE in doubts:
        return "a stripe, and not the colour under it: which is the base?"
    if OR in doubts:
        return "one colour or the other: which is on the wire?"
    if GUESS in doubts:
        return f"{_meaning(means[0])}, written with a doubt: is it so on the wire?"
    return _which(colour, found)


def colour_text(names: Sequence[str], code: str | None) -> str:
    """Write names in a style, base/stripe; the English word where the style has no code for one.

    Reads back as the same names. Raises ValueError for a name that no table has.
    """
    return "/".join(_code_of(name, code) for name in names)


def same_colour(a: Colour | None, b: Colour | None) -> bool | None:
    """Whether two wires have the same colours in the same order; None where either is not known."""
    if a is None or b is None or a.names is None or b.names is None:
        return None
    return a.names == b.names


def srgb(name: str) -> str:
    """A drawing colour ``#RRGGBB`` for an English name, the project's choice. Raises KeyError for others."""
    return colour_words.colour_names()[name]


def colour_names() -> tuple[str, ...]:
    """Every English name the tables know."""
    return tuple(colour_words.colour_names())


def _one_line(text: str) -> str:
    return " ".join(text.split()) if len(text) <= MOST_TEXT else ""


def _ways(text: str, code: str | None) -> list[ColourReading]:
    """Every likely way to read a text: as it stands, else with words joined that a capital in them had parted."""
    found = _ways_of(words_of(text), code)
    return found or (_ways_of(words_of(text.lower()), code) if text != text.lower() else [])


def _ways_of(words: list[Word] | None, code: str | None) -> list[ColourReading]:
    if not words:
        return []
    for found in _passes(words, code):
        if found:
            return likeliest(found)
    return []


def _passes(words: list[Word], code: str | None) -> Iterator[set[ColourReading]]:
    """From the strictest way to read to the widest; the first that reads anything decides.

    No word of another language contradicts a code or an English word (a test
    looks through the tables), so these come first.
    """
    if code is not None:
        yield ways(words, colour_words.style(code))
    else:
        yield _in_every_style(words, declared=False)
    named = dict.fromkeys(name for word in words for name in colour_words.languages_of(word.text))
    yield set[ColourReading]().union(*(ways(words, colour_words.language(name)) for name in named))
    if code is None:
        yield ways(words, colour_words.every_scheme(), any_style=True)
        yield ways(words, colour_words.style("jis"), joined_letters, any_style=True)
    else:
        yield ways(words, colour_words.style(code), _word_of_any_language)
        found = ways(words, colour_words.style(code), joined_letters) if code == "jis" else set()
        yield found | _in_every_style(words) if found else found
    names = colour_words.languages()
    yield set[ColourReading]().union(*(ways(words, colour_words.language(name), cut_short) for name in names))
    own = colour_words.style(code) if code is not None else colour_words.every_scheme()
    yield ways(words, own, lambda key, _: cut_short(key, colour_words.all_words()), any_style=code is None)


def _in_every_style(words: list[Word], declared: bool = True) -> set[ColourReading]:
    styles = (colour_words.style(one, declared) for one in COLOUR_CODES)
    return set[ColourReading]().union(*(ways(words, scheme, any_style=not declared) for scheme in styles))


def _word_of_any_language(key: str, _: Scheme) -> Means:
    words = colour_words.all_words()
    return words.entry(key) or words.shades_in(key) or joined(key, words)


@cache
def _codes_of(code: str) -> Mapping[str, str]:
    return {row["english"]: row[code].split("|")[0] or row["english"] for row in rows("colours")}


def _code_of(name: str, code: str | None) -> str:
    if name not in colour_words.colour_names():
        raise ValueError(f"no colour is called {name!r}")
    return name if code is None else _codes_of(code)[name]


def _which(colour: Colour, found: Sequence[ColourReading]) -> str:
    """What a text can be, and in which style where that decides."""
    said: dict[str, list[str]] = {}
    for way in found:
        said.setdefault(_meaning(way.names), []).append(way.scheme if way.coded else "")
    coded = any(any(schemes) for schemes in said.values())
    ask = "which style are the codes of (colour-code)?" if coded else "which is it?"
    if len(said) == 1:
        words = words_of(colour.text) or ()
        doubtful = next(word.text for word in words if word.text in colour_words.doubtful_codes())
        usual, other = colour_words.doubtful_codes()[doubtful]
        return f"{doubtful.upper()} is {usual} to some and {other} to others: {ask}"
    phrases = [
        name + (f" ({', '.join(filter(None, schemes))})" if any(schemes) else "") for name, schemes in said.items()
    ]
    return f"can be {', '.join(phrases[:-1])} or {phrases[-1]}: {ask}"


def _meaning(names: Sequence[str]) -> str:
    return "/".join(names)


def _expected(text: str, code: str | None) -> str:
    """What was expected instead, and what the other styles would read, so that a wrong style shows itself."""
    if code is None:
        styles = f"{', '.join(COLOUR_CODES[:-1])} or {COLOUR_CODES[-1]}"
        return f"a colour in the {styles} code, or in words, base/stripe"
    sentence = f"a colour of the {code} code, base/stripe"
    for part in (text, *(piece.strip() for piece in text.replace("-", "/").split("/"))):
        if not _ways(part, code) and (readings := _readings_elsewhere(part, code)):
            return "; ".join((sentence, *readings))
    return sentence


def _readings_elsewhere(text: str, code: str) -> list[str]:
    """``in the jis and sae codes BR is brown``, one phrase for each meaning."""
    styles_of: dict[str, list[str]] = {}
    for other in COLOUR_CODES:
        for names in dict.fromkeys(way.names for way in (_ways(text, other) if other != code else ())):
            styles_of.setdefault(_meaning(names), []).append(other)
    return [f"in the {_listed(styles)} {text} is {meaning}" for meaning, styles in styles_of.items()]


def _listed(styles: Sequence[str]) -> str:
    if len(styles) == 1:
        return f"{styles[0]} code"
    return f"{', '.join(styles[:-1])} and {styles[-1]} codes"
