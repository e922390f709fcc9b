"""What a line above a table says of the plug: ``Connector C15 (20-way, green), left front pillar``.

Words for a connector and for its ways are those of column headings, a housing's
colour those of wires. Which part of a line is what: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from harnesscheck.fields import HALVES
from harnesscheck.read.pinrows import is_colour
from harnesscheck.read.values import Wrong, read_name
from harnesscheck.trade.choices import choice_meant
from harnesscheck.trade.headings import read_heading

_LONGEST = 160  # characters of a title; more is prose
_ID = re.compile(r"(?<![\w/])(?:[A-Z]{1,4}[-./]?[0-9]{1,4}(?:[-./]?[A-Z0-9]{1,3})?|[A-Z]{1,2}-?[A-Z])(?![\w])")
_NUMBER = re.compile(r"(?<![\w.,])[0-9]{1,4}[A-Z]?(?![\w.,])")
_WAYS = re.compile(r"(?<![\w.])([0-9]{1,3})[\s\u00a0-]*([^\W\d]+)", re.I)
_PARTS = re.compile(r"[,;()\[\]|·•:]+|\s[-–—/]\s|\s[-–—]\B")
_CONTACT = re.compile(r"(?:kontakt)(?=\s+[A-Z]{1,3}[0-9]{1,4}(?:\s*$|\s*[,(;:]|\s+[-–—]\s))", re.I)
"""In Swedish, Danish, Norwegian a column of pins or, where its name comes next, a plug; common practice, no source."""
_WORDS = re.compile(r"[^\W\d_]+")
_BESIDE = re.compile(
    r"(?:tab(?:le|elle|leau|la|ella|el|ulka)?|fig(?:ure|\.)?|page|seite|p|s|sheet|blatt|chapter|section)?\.?\s*"
    r"[0-9]*(?:[.-][0-9]+)*|(?:continued|cont|cont'd|fortsetzung|forts|suite|continuación|segue|vervolg|forts\.)\.?",
    re.I,
)
_BEFORE_PLACE = re.compile(r"^(?:at|in the|on the|located|lage|an der|am|im|side|of|for|de|du|la|der|the)\s+", re.I)


@dataclass(frozen=True, slots=True)
class PlugTitle:
    """What is said of a plug; empty where it is not said."""

    id: str = ""
    cavities: str = ""
    housing_colour: str = ""
    half: str = ""
    at: str = ""
    text: str = ""


NO_TITLE = PlugTitle()


def plug_titles(text: str) -> list[PlugTitle]:
    """Every plug that a line names, from left to right; nothing for a line that names none."""
    line = " ".join(text.split())
    if not line or len(line) > _LONGEST:
        return []
    said = _said_of(line)
    names = _ids(line)
    return [replace(said, id=name, text=line) for name in names if not isinstance(read_name(name), Wrong)]


def title_above(lines: Sequence[str]) -> PlugTitle:
    """The plug that the lines above a table speak of: the nearest that names one, with what the lines below it add."""
    for at in range(len(lines) - 1, -1, -1):
        titles = plug_titles(lines[at])
        if titles:
            found = titles[0]
            for line in lines[at + 1 :]:
                more = _said_of(line) if len(line) <= _LONGEST else NO_TITLE
                if more.cavities or more.housing_colour:
                    found = replace(
                        found,
                        cavities=found.cavities or more.cavities,
                        housing_colour=found.housing_colour or more.housing_colour,
                        half=found.half or more.half,
                        at=found.at or more.at,
                    )
            return found
    return NO_TITLE


def is_connector_word(word: str) -> bool:
    """Whether a word is one for a connector in any language."""
    said = read_heading(word)
    return said is not None and said.means == "connector"


def _ids(line: str) -> list[str]:
    """Names of plugs in a line: behind a word for a connector, or at the line's start, or nothing beside them."""
    found = [(match.start(), match.group()) for match in _ID.finditer(line) if not _is_way(line, match.start())]
    words = [(match.end(), match.group()) for match in _WORDS.finditer(line) if is_connector_word(match.group())]
    if not words and (match := _CONTACT.match(line)):
        words = [(match.end(), match.group())]
    if words:
        behind = [name for at, name in found if at >= words[0][0]] or [name for _, name in found]
        if behind:
            return list(dict.fromkeys(behind))
        numbers = [match.group() for end, _ in words if (match := _NUMBER.match(line, end + 1))]
        return numbers[:1]
    if found and found[0][0] == 0 and (len(line.split()) <= 1 or len(_PARTS.split(line)) > 1 or _WAYS.search(line)):
        return list(dict.fromkeys(name for _, name in found[:2]))
    return []


def _is_way(line: str, at: int) -> bool:
    return bool(_WAYS.match(line, at)) and _ways(line[at:]) != ""


def _ways(line: str) -> str:
    """How many cavities a text gives: a number before a word for them."""
    for match in _WAYS.finditer(line):
        said = read_heading(match[2])
        if said is not None and said.means == "pin" and 0 < int(match[1]) <= 999:
            return match[1]
    return ""


def _said_of(line: str) -> PlugTitle:
    """Ways, colour, half and place that a line gives."""
    ways = _ways(line)
    colour = half = ""
    places: list[str] = []
    for part in filter(None, (one.strip(" .-–—") for one in _PARTS.split(line))):
        meant = choice_meant("half", part.casefold())
        if not half and meant in HALVES:
            half = meant
        elif not colour and not _ID.fullmatch(part) and is_colour(part):
            colour = part
        elif rest := _place(part):
            places.append(rest)
    return PlugTitle("", ways, colour, half, ", ".join(places))


def _place(part: str) -> str:
    """What is left of a part without names, ways and words of headings."""
    rest = _ID.sub(" ", part)
    rest = _WAYS.sub(lambda match: " " if _ways(match.group()) else match.group(), rest)
    rest = " ".join(word for word in rest.split() if not is_connector_word(word.strip(".:")))
    rest = _BEFORE_PLACE.sub("", rest.strip(" -–—"))
    if _BESIDE.fullmatch(rest) or not _WORDS.search(rest) or read_heading(rest) is not None:
        return ""
    words = _WORDS.findall(rest)
    known = sum(read_heading(word) is not None for word in words)
    return "" if known * 2 >= len(words) + 1 else rest
