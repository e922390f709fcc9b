"""What a colour and a place alone make suspect: yellow plugs where restraint parts sit, thick orange cables.

Common practice: the plugs and wires of restraint systems are yellow, no source.
Orange covers high voltage: UN Regulation No. 100. The thickness from which an
orange wire is no ordinary one is our choice: nothing in a 12 V car's
orange wiring carries so much. The place words are from memory.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache

from harnesscheck.trade.colours import read_colour
from harnesscheck.trade.lexicon.spelling import fold, spellings
from harnesscheck.trade.tables import rows

THICK_MM2 = 16.0
_YELLOW = (
    "yellow|gelb|jaune|amarillo|giallo|amarelo|geel|gul|keltainen|żółty|zolty|žlutý|žltý|sárga|sarı|жёлтый|желтый"
    "|galben|κίτρινο|yel|ye"
)  # from memory


@lru_cache(maxsize=1 << 12)
def is_yellow(housing_colour: str) -> bool:
    """Whether a housing's colour, a free text, says yellow (``yellow``, ``YE``, ``light yellow``, ``gelb``)."""
    read = read_colour(housing_colour, None)
    if not isinstance(read, str) and read.names is not None:
        return read.names[0] == "yellow"
    return any(word in _yellow_words() for word in re.findall(r"[^\W\d_]+", fold(housing_colour)))


@cache
def _yellow_words() -> frozenset[str]:
    return frozenset(way for word in _YELLOW.split("|") for way in spellings(word))


@lru_cache(maxsize=1 << 12)
def restraint_place(text: str) -> str:
    """Which usual place of restraint parts a place in the car is, in English; empty where it is none."""
    folded = " ".join(re.findall(r"[^\W_]+", fold(text).replace("-", " ")))
    for words, place in _places():
        if words.search(folded):
            return place
    return ""


@cache
def _places() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Patterns of all words with their place; long words are found inside compounds and before endings too."""
    found = []
    for row in rows("restraint_places"):
        ways = [way.replace("-", " ") for word in row["words"].split("|") for way in spellings(word)]
        ends = [rf"{re.escape(way)}" if len(way) > 5 else rf"\b{re.escape(way)}\b" for way in ways]
        found.append((re.compile("|".join(ends)), row["place"]))
    return tuple(found)
