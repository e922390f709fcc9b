"""Wire colours as a person sees them in a plug, typed one after the other."""

from __future__ import annotations

import re
from collections.abc import Sequence

from harnesscheck.api.faults import stop
from harnesscheck.fields import COLOUR_CODES
from harnesscheck.model.places import InputFault, Place
from harnesscheck.model.vehicle import Vehicle

ColourNames = tuple[str, ...]
UNREADABLE, EMPTY = "?", "-"
MOST_WIRES = 500  # of one plug; more is no plug but a file pasted in


def seen_wires(text: str, code: str | None, cars: Sequence[Vehicle], asked: str) -> tuple[ColourNames | None, ...]:
    """Each wire's colour names, None for one that cannot be read, () for an empty cavity.

    ``asked`` is where they were said. Without a style said, the files' own is tried, then what means one thing in
    every style. Raises InputError with every fault.
    """
    words = [" ".join(word.split()) for word in re.split("[,;]", text)] if text.strip() else []
    if len(words) > MOST_WIRES:
        stop([InputFault(Place(asked), f"{len(words)} wires", f"at most {MOST_WIRES}")])
    own = {car.netlist.header.colour_code for car in cars}
    codes = [code] if code is not None else [*(own if len(own) == 1 else ()), None]
    faults: list[InputFault] = []
    for style in dict.fromkeys(codes):
        read = [_wire(word, style, f"{asked}, wire {number}") for number, word in enumerate(words, 1)]
        wrong = [one for one in read if isinstance(one, InputFault)]
        if not wrong:
            return tuple(one for one in read if not isinstance(one, InputFault))
        faults = faults or wrong
    return stop(faults)


def _wire(word: str, code: str | None, asked: str) -> ColourNames | InputFault | None:
    from harnesscheck.trade.colours import read_colour

    if word == UNREADABLE:
        return None
    if word.casefold() in (EMPTY, "--", "empty"):
        return ()
    place = Place(asked)
    if not word:
        return InputFault(place, word, f"a colour; {UNREADABLE} for one that cannot be read, {EMPTY} for empty")
    colour = read_colour(word, code)
    if isinstance(colour, str):
        return InputFault(place, word, colour + ("; say --colour-code" if "; in the" in colour else ""))
    if colour.names is None:
        return InputFault(
            place, word, f"a colour that means one thing in every style ({_readings(word)}); or --colour-code"
        )
    return colour.names


def _readings(word: str) -> str:
    """``jis: black``: what the styles make of a doubtful code."""
    from harnesscheck.trade.colours import Colour, read_colour

    read = {code: read_colour(word, code) for code in COLOUR_CODES}
    return ", ".join(f"{code}: {'/'.join(c.names)}" for code, c in read.items() if isinstance(c, Colour) and c.names)
