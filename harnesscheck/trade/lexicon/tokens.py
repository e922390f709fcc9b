"""A function's text as tokens: words, numbers, signs, and what is a detail only (sizes, fuses, places in a list).

Common practice, no source: how manuals and people write sizes (``1.5 mm²``,
``AWG 16``), fuses (``F12 15A``), numbers (``no. 2``, ``#2``), terminals and
short forms with dots or strokes (``n.c.``, ``N/C``, ``w/``).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from harnesscheck.trade.lexicon.spelling import BOUNDARY, fold

WORD, NUMBER, PLUS, MINUS, VOLTS, DETAIL, BREAK, JOINT, DOUBT = (
    "word", "number", "plus", "minus", "volts", "detail", "break", "joint", "doubt",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Token:
    """One piece of a text: its sort, its folded spelling, and whether the next piece is joined to it by a hyphen.

    ``parts`` are the pieces of a word that is written as one with capitals
    inside. A break (comma, bracket, dash between words) ends a phrase; a joint
    (``/``, ``,``) may also join two things.
    """

    sort: str
    text: str
    parts: tuple[str, ...] = ()
    hyphen: bool = False


_NUMBER = r"\d+(?:[.,]\d+)?"
_FUSE_RATINGS = frozenset(
    (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 100.0)
)  # A, the usual ones, from memory

_PATTERN = re.compile(
    rf"""
    (?P<size>{_NUMBER}\s*(?:q?mm2?|mm\^2|sq\.?\s*mm|q\s?mm)(?![a-z])|awg\s*{_NUMBER}|{_NUMBER}\s*(?:awg|gauge|ga)(?![a-z]))
    |(?P<volts>(?<![a-z0-9.]){_NUMBER}(?:\s*[-/]\s*{_NUMBER})?\s*(?:v(?:olts?|oltios?|dc|ac|cc)?|volta|voltti[a]?)\.?(?![a-z0-9]))
    |(?P<amps>(?<![a-z0-9.]){_NUMBER}\s*(?:amps?|ampere|amperes|a)(?![a-z0-9]))
    |(?P<measure>(?<![a-z0-9.]){_NUMBER}\s*(?:w(?:atts?)?|k?ω|k?ohms?|k?hz|kw|ma|%|degc|°c?|psi|bar|kpa)(?![a-z0-9]))
    |(?P<dotted>(?<![a-z0-9])(?:[a-z]\.){{2,}}[a-z]?(?![a-z0-9]))
    |(?P<stroke>(?<![a-z0-9/])[a-z]/[a-z]?(?![a-z0-9/]))
    |(?P<count>(?:\#|(?<![a-z0-9])(?:no|nr|n|num|numero)\s?[.°º]\s?|(?<![a-z0-9])(?:no|nr|num|nro)\s)(?=\d))
    |(?P<elided>(?<![a-z])(?:[ldnsm]|dell|all|dall|nell|sull|qu)'(?=[a-z]))
    |(?P<word>(?:[^\W_]|{BOUNDARY})+)
    |(?P<plus>\+(?:\s?ve(?![a-z]))?)|(?P<negative>-\s?ve(?![a-z]))|(?P<minus>-)|(?P<joint>[/&|,;:=])|(?P<bracket>[()\[\]<>{{}}"])|(?P<doubt>\?)
    """,
    re.VERBOSE,
)


def tokens(text: str) -> list[Token]:
    """The tokens of a text in their order. Blanks, points and whatever says nothing are left out."""
    folded = fold(text)
    found: list[Token] = []
    for match in _PATTERN.finditer(folded):
        token = _TOKENS[match.lastgroup or "word"](folded, match)
        if token is not None:
            found.append(token)
    return found


def _word(folded: str, match: re.Match[str]) -> Token:
    parts = tuple(part for part in match.group().split(BOUNDARY) if part)
    whole = "".join(parts)
    if whole.isdigit():
        return Token(NUMBER, whole.lstrip("0") or "0")
    hyphen = re.match(r"-(?=[a-z0-9])", folded[match.end() :]) is not None
    return Token(WORD, whole, parts if len(parts) > 1 else (), hyphen)


def _amps(folded: str, match: re.Match[str]) -> Token:
    """``15A`` is a fuse's rating; other numbers with an ``a`` are terminals, and so is what follows a word for one."""
    number = re.match(_NUMBER, match.group())
    assert number is not None
    spelled = "amp" in match.group()
    before = re.search(
        r"(?:kl|klemm?e?|klamma|plint|terminal|term|borne|morsetto|zacisk|svorka|klemma|linha|linea|ligne)\.?\s*$",
        folded[: match.start()],
    )
    if not spelled and (before or float(number.group().replace(",", ".")) not in _FUSE_RATINGS):
        return Token(WORD, match.group().replace(" ", ""))
    return Token(DETAIL, match.group())


def _minus(folded: str, match: re.Match[str]) -> Token | None:
    """A dash is a minus sign at an end of text or brackets, or stuck to one word only; else it divides or joins."""
    before, after = folded[: match.start()], folded[match.end() :]
    opens, closes = not before.strip(" (["), not after.strip(" )]")
    if re.match(r"\s*[)\],;/]", after) or closes:
        return Token(MINUS, "-")
    if opens and not before:
        return Token(MINUS, "-")
    if opens or re.search(r"[(\[]\s*$", before):
        return Token(MINUS, "-") if re.match(r"\S", after) else Token(BREAK, "-")
    if before[-1:].isspace() != after[:1].isspace():
        return Token(MINUS, "-")
    return Token(BREAK, "-") if after[:1].isspace() else None


_TOKENS: dict[str, Callable[[str, re.Match[str]], Token | None]] = {
    "size": lambda _, match: Token(DETAIL, match.group()),
    "volts": lambda _, match: Token(VOLTS, match.group()),
    "amps": _amps,
    "measure": lambda _, match: Token(DETAIL, match.group()),
    "dotted": lambda _, match: Token(WORD, match.group().replace(".", "")),
    "stroke": lambda _, match: Token(WORD, match.group()),
    "count": lambda _, match: None,
    "word": _word,
    "elided": lambda _, match: None,
    "negative": lambda _, match: Token(MINUS, "-"),
    "plus": lambda _, match: Token(PLUS, "+"),
    "minus": _minus,
    "joint": lambda _, match: Token(JOINT, match.group()),
    "bracket": lambda _, match: Token(BREAK, match.group()),
    "doubt": lambda _, match: Token(DOUBT, "?"),
}
