"""Whether what was recognised in a cell can be relied on; what cannot is not known, and its readings are kept.

A recogniser takes one letter for another (0 and O, 1 and l, 5 and S, 8 and B) and loses
thin strokes. Nothing is put right here: a person is asked. The pairs and the least score: our choice.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from harnesscheck.trade.colours import Colour, read_colour
from harnesscheck.trade.lexicon import understand
from harnesscheck.trade.sizes import read_size

LEAST_SCORE = 0.80  # of a recogniser, from which a cell is taken without a question
_LEAST_OF_NUMBER = 0.90
_LOOKALIKES = re.compile(r"[0-9][OolISBZ](?![\w])|(?<!\w)[OolISBZ][0-9]|[0-9][OolI][0-9]")
_LAST_FIGURE = re.compile(r"[0-9]{2,}[0158]")
_STROKE = re.compile(r"[/\-]")


def doubt_of(field: str, text: str, score: float, readings: Sequence[str], colour_code: str | None) -> str:
    """Why a recognised cell cannot be relied on; nothing where it can."""
    if any(other != text for other in readings):
        return "read twice, and not alike"
    if score < (_LEAST_OF_NUMBER if field in ("cavity", "size") else LEAST_SCORE):
        return "read badly"
    if field == "cavity":
        return "" if re.fullmatch(r"[A-Z]{0,2}[0-9]{1,3}(?:-[A-Z]{0,2}[0-9]{1,3})?", text) else "may be other letters"
    if field == "colour":
        read = read_colour(text, colour_code)
        return "" if isinstance(read, Colour) else "no colour"
    if field == "size":
        return "no size" if isinstance(read_size(text.replace(",", ".")), str) else ""
    if field in ("circuit", "to"):
        return "a letter or a figure" if _LOOKALIKES.search(text) else ""
    said = understand(text)
    if said.corrected:
        return "read as a misprint"
    return "a letter or a figure" if _LOOKALIKES.search(text) else ""


def lost_strokes(colours: Sequence[str], colour_code: str | None) -> set[str]:
    """Those of a column's colours that are two colours without a stroke, where the others are written with one."""
    if not any(_STROKE.search(one) for one in colours):
        return set()
    return {one for one in colours if not _STROKE.search(one) and _is_two(one, colour_code)}


def perhaps_letters(names: Sequence[str]) -> set[str]:
    """Those of a column's names whose last figure may be a letter: three figures or more where most names have letters.

    Two figures are a terminal's number: 15, 30, 31.
    """
    lettered = sum(any(sign.isalpha() for sign in name) for name in names)
    return {name for name in names if _LAST_FIGURE.fullmatch(name)} if 2 * lettered > len(names) else set()


def _is_two(text: str, colour_code: str | None) -> bool:
    read = read_colour(text, colour_code)
    return isinstance(read, Colour) and (read.names is None or len(read.names) > 1)


def out_of_order(names: Sequence[str]) -> set[int]:
    """The places of those cavities that do not go on from the ones before: all that keep the rest from rising.

    What rises is a longest run of rising numbers within one letter.
    """
    numbers = [
        (int(match[2]), match[1]) if (match := re.fullmatch(r"([A-Z]*)([0-9]+)", one)) else None for one in names
    ]
    best: list[tuple[int, int]] = []  # length and predecessor
    for at, here in enumerate(numbers):
        length, before = 0, -1
        for earlier in range(at):
            there = numbers[earlier]
            if here and there and (there[1] != here[1] or there[0] < here[0]) and best[earlier][0] > length:
                length, before = best[earlier][0], earlier
        best.append((length + 1 if here else 0, before))
    if not best:
        return set()
    at = max(range(len(best)), key=lambda one: (best[one][0], -one))
    kept = set()
    while at >= 0:
        kept.add(at)
        at = best[at][1]
    return {number for number in range(len(names)) if number not in kept}
