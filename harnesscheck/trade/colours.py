"""Wire colours in four styles of code, and in plain English.

Styles: ``iec60757`` (BK, GNYE), ``din`` (sw, gnge), ``jis`` (B, LG) and ``sae``
(BLK, LT GRN). One code can mean two colours in two styles (GR, P, B), so a code
is read in the style its file declares; where the file declares none, only what
means one thing everywhere is taken. Nothing is guessed.

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
from itertools import permutations

from harnesscheck.fields import COLOUR_CODES
from harnesscheck.trade.tables import rows

MAX_COLOURS = 3  # a base and two stripes; more is not seen on a wire
_MAX_TEXT = 60  # longer text is no colour, and is not searched for one
_OTHER_WORDS = {"gray": "grey", "purple": "violet"}
_JOINING = ("iec60757", "din")  # styles whose two-letter codes are also written without a separator
_DOUBTFUL = ""  # stands for the colour of a code that means different colours to different people

Table = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Colour:
    """A wire colour as written, and the plain English names it stands for (base first); None: not known."""

    text: str
    names: tuple[str, ...] | None


def read_colour(text: str, code: str | None) -> Colour | str:
    """Read a colour in one style, or in none declared; returns a sentence of what was expected otherwise.

    ``code`` is one of ``COLOUR_CODES``. With ``code=None`` a text that some
    style knows but that does not mean the same everywhere comes back with
    ``names=None``: it is a colour, not known which.
    """
    written = " ".join(text.split()) if len(text) <= _MAX_TEXT else ""
    names = _names(written, code)
    if names is None:
        return _expected(written, code)
    return Colour(written, None if _DOUBTFUL in names else names)


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
    return _drawing_colours()[name]


def colour_names() -> tuple[str, ...]:
    """Every English name the tables know."""
    return tuple(_drawing_colours())


def _names(text: str, code: str | None) -> tuple[str, ...] | None:
    """The names, ``_DOUBTFUL`` among them where a code is ambiguous; None where that style has no such."""
    table = _table_of_any_style() if code is None else _table_of(code)
    return _split(text.lower(), table, MAX_COLOURS)


def _split(key: str, table: Table, most: int) -> tuple[str, ...] | None:
    """Read the whole as one entry, else split it at the first separator that leaves colours on both sides."""
    if key in table:
        return table[key] if len(table[key]) <= most else None
    if most == 1:
        return None
    for separator in "/- ":
        for at in (place for place, letter in enumerate(key) if letter == separator):
            base = table.get(key[:at].strip())
            stripes = _split(key[at + 1 :].strip(), table, most - len(base)) if base else None
            if base and stripes:
                return base + stripes
    return None


@cache
def _table_of(code: str) -> Table:
    """Every entry of one style in lower case: its codes, joined codes, and the English words."""
    table: dict[str, tuple[str, ...]] = {}
    for row in rows("colours"):
        for written in filter(None, (row["english"], *row[code].split("|"))):
            table.update((spelling, (row["english"],)) for spelling in _spellings(written.lower()))
    table.update((word, (name,)) for word, name in _OTHER_WORDS.items())
    if code in _JOINING:
        table.update(_joined(code))
    return table


def _spellings(written: str) -> Iterator[str]:
    """``light green`` is also written light-green and lightgreen."""
    yield written
    if " " in written:
        yield written.replace(" ", "-")
        yield written.replace(" ", "")


def _joined(code: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Two codes of two letters without separator, such as GNYE."""
    codes = [(one.lower(), row["english"]) for row in rows("colours") for one in row[code].split("|") if one]
    for (first, base), (second, stripe) in permutations(codes, 2):
        yield first + second, (base, stripe)


@cache
def _table_of_any_style() -> Table:
    """Every entry of every style; doubtful where styles disagree or the entry is listed as ambiguous."""
    readings: dict[str, set[tuple[str, ...]]] = {}
    for code in COLOUR_CODES:
        for key, names in _table_of(code).items():
            readings.setdefault(key, set()).add(names)
    ambiguous = {row["code"].lower() for row in rows("colour_ambiguities")}
    return {
        key: (_DOUBTFUL,) if len(names) > 1 or key in ambiguous else next(iter(names))
        for key, names in readings.items()
    }


@cache
def _drawing_colours() -> Mapping[str, str]:
    return {row["english"]: row["srgb"] for row in rows("colours")}


@cache
def _codes_of(code: str) -> Mapping[str, str]:
    return {row["english"]: row[code].split("|")[0] or row["english"] for row in rows("colours")}


def _code_of(name: str, code: str | None) -> str:
    if name not in _drawing_colours():
        raise ValueError(f"no colour is called {name!r}")
    return name if code is None else _codes_of(code)[name]


def _expected(text: str, code: str | None) -> str:
    """What was expected instead, and what the other styles would read, so that a wrong style shows itself."""
    if code is None:
        styles = f"{', '.join(COLOUR_CODES[:-1])} or {COLOUR_CODES[-1]}"
        return f"a colour in the {styles} code, or in English, base/stripe"
    sentence = f"a colour of the {code} code, base/stripe"
    for part in (text, *(piece.strip() for piece in text.replace("-", "/").split("/"))):
        if _names(part, code) is None and (readings := _readings_elsewhere(part, code)):
            return "; ".join((sentence, *readings))
    return sentence


def _readings_elsewhere(text: str, code: str) -> list[str]:
    """``in the jis and sae codes BR is brown``, one phrase for each meaning."""
    styles_of: dict[str, list[str]] = {}
    for other in COLOUR_CODES:
        names = None if other == code else _names(text, other)
        if names is not None:
            styles_of.setdefault("/".join(names), []).append(other)
    return [f"in the {_listed(styles)} {text} is {meaning}" for meaning, styles in styles_of.items()]


def _listed(styles: Sequence[str]) -> str:
    if len(styles) == 1:
        return f"{styles[0]} code"
    return f"{', '.join(styles[:-1])} and {styles[-1]} codes"
