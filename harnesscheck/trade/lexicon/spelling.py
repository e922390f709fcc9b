"""A text of any of the lexicon's languages in plain small letters, so that one word has one spelling.

Accents and capitals go, Cyrillic becomes Latin, all dashes are one dash. Where a
language writes a letter in two ways (``ü`` or ``ue``), ``spellings`` gives both;
the lexicon is indexed by all of them, a text is folded in one way only.
"""

from __future__ import annotations

import re
import unicodedata

BOUNDARY = "\x01"  # stands where a small letter meets a capital in one word, "FuelPump"

_LETTERS = str.maketrans(
    {
        "ß": "ss", "ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ı": "i", "ð": "d", "þ": "th",
        "–": "-", "—": "-", "−": "-", "‐": "-", "‑": "-", "’": "'", "‘": "'", "´": "'", "`": "'", "″": '"',
        "×": "x", "·": ".", "…": " ", "\u00ad": "", "µ": "u", "μ": "u", "\u2126": "ω",
    }
)  # fmt: skip
_CYRILLIC = str.maketrans(
    {
        "а": "a", "б": "b", "в": "v", "г": "g", "д": "d", "е": "e", "ж": "zh", "з": "z", "и": "i", "к": "k",
        "л": "l", "м": "m", "н": "n", "о": "o", "п": "p", "р": "r", "с": "s", "т": "t", "у": "u", "ф": "f",
        "х": "kh", "ц": "ts", "ч": "ch", "ш": "sh", "щ": "shch", "ъ": "", "ы": "y", "ь": "", "э": "e", "ю": "yu",
        "я": "ya", "і": "i", "є": "e", "ґ": "g",
    }
)  # fmt: skip
_TWO_WAYS = (str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe"}),)
_CAMEL = re.compile(r"(?<=[a-zà-öø-ÿ])(?=[A-ZÀ-ÖØ-Þ])")
_SCRIPTS = re.compile(r"(?<=[a-z0-9])(?=[\u3040-\u9fff])|(?<=[\u3040-\u9fff])(?=[a-z0-9])")
_MARKS = re.compile("[\u0300-\u036f]+")  # of Latin letters, by far the most
_VOICED = "\u3099\u309a"  # marks that make another kana: they stay


def fold(text: str) -> str:
    """The text in small plain letters; where a word has a capital inside, ``BOUNDARY`` marks it."""
    small = _CAMEL.sub(BOUNDARY, text).casefold()
    if small.isascii():
        return small
    plain = _MARKS.sub("", unicodedata.normalize("NFKD", small.translate(_LETTERS))).translate(_LETTERS)
    if plain.isascii():
        return plain.casefold()
    kept = (one for one in plain.translate(_CYRILLIC) if one in _VOICED or not unicodedata.combining(one))
    return _SCRIPTS.sub(BOUNDARY, unicodedata.normalize("NFC", "".join(kept)).casefold())


def spellings(word: str) -> tuple[str, ...]:
    """A lexicon word in every way that it is folded to: ``für`` as ``fur`` and ``fuer``."""
    small = word.casefold()
    if small.isascii():
        return (small,)
    others = [other for way in _TWO_WAYS if (other := small.translate(way)) != small]
    return tuple(dict.fromkeys(fold(one) for one in (small, *others)))
