"""A plug that somebody types: a line for each cavity, its number first, then the colour, then what it is for."""

from __future__ import annotations

import csv
import io
import re

from harnesscheck.trade.colours import read_colour

HEADING = ("cavity", "colour", "function")
_CAVITY = re.compile(r"(?=.*[0-9A-Z])[A-Za-z]{0,3}[0-9]{0,4}[a-z]?[.:)]?")
_APART = re.compile(r"\s*[,;\t|]\s*")
_MOST_WORDS = 5  # of a colour: "light blue with green stripe"


def typed_table(text: str, colour_code: str | None = None) -> str | None:
    """The CSV table that lines without a heading stand for; None where some line does not start with a cavity.

    What is before the first word that is no part of a colour is the colour. A line without any
    sign between its parts, and without a colour, has a function only.
    """
    rows = [_row(line.strip(), colour_code) for line in text.splitlines() if line.strip()]
    told = [row for row in rows if row is not None]
    if not told or len(told) < len(rows):
        return None
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerows([HEADING, *told])
    return out.getvalue()


def _row(line: str, colour_code: str | None) -> tuple[str, str, str] | None:
    cavity, *cells = map(str, _APART.split(line))
    if not cells:
        cavity, _, rest = line.partition(" ")
        cells = [*_colour_and_rest(rest.split(), colour_code)]
    if not cavity or not _CAVITY.fullmatch(cavity):
        return None
    colour, *function = (*cells, "")
    return cavity.rstrip(".:)"), colour, ", ".join(filter(None, function))


def _colour_and_rest(words: list[str], colour_code: str | None) -> tuple[str, str]:
    """The longest beginning that names a colour, and the rest."""
    for count in range(min(_MOST_WORDS, len(words)), 0, -1):
        beginning = " ".join(words[:count])
        if not isinstance(read_colour(beginning, colour_code), str):
            return beginning, " ".join(words[count:])
    return "", " ".join(words)
