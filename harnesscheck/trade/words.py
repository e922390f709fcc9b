"""What a wire is, read from the words somebody wrote beside it.

Common practice, no source: every rule here is a habit of the trade. Only
wording that cannot be mistaken is read; everything else is None, not known. A
class read from words is a claim of the file, never a proof.

A rule must match the whole text; what stands in brackets may add detail. A word
of doubt anywhere, in brackets too, makes the rule silent: a ``switched`` ground
may be no ground, a feed through a ``relay`` may be no battery feed. Rules that
contradict each other make the answer None. Only restraint wording is looked
for anywhere and wins over everything, because it must not be missed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

_MAX_TEXT = 120  # longer text is a remark, not a function


@dataclass(frozen=True, slots=True)
class _Rule:
    """A text that a pattern of ``says`` matches as a whole is of the class, but for a word of ``doubt``."""

    class_: str
    says: tuple[str, ...]
    doubt: str


# Pieces of patterns. A word holds no stroke and no comma, which join two things.
_BEFORE = r"(?:[a-z0-9-]+ ){0,4}"
_AFTER = r"(?: (?:to|for) (?:the )?[a-z0-9-]+(?: [a-z0-9-]+){0,3})?"
_PLUS = r"\+(?: ?ve| ?(?:12|24) ?v)?"
_FEED = rf"(?:positive|plus|feed|supply|live|power|hot|(?:12|24) ?v|{_PLUS})"
_GROUND = r"(?:ground|earth|gnd|grd)"
_METAL = r"(?:wire|lead|cable|strap|stud|point|connection)"
_PINS = r"(?:pins?|contacts?|cavity|cavities) [0-9]+(?:[-, &]+(?:and )?[0-9]+)*"
_BATTERY = r"(?:battery|batt|bat)"
_BUS_SIDE = r"(?:high|low|hi|lo|h|l|\+|-)"

# Words of doubt.
_DENIED = "not? non without unless fault short open lost maybe possibly probably vs versus"
_UNSURE = f"{_DENIED} or"
_SWITCHED = "switch switches switched switching control controlled relay coil trigger triggered when if via through"
_MEASURED = "sense sensing sensors? senders? monitor detect detection reference"
_SWITCHED_AT_GROUND = (
    "solenoid injectors? valve horn warning indicator tell-?tale inhibit"
    " interior courtesy dome map door boot trunk glove charge oil"
)
_NO_RAIL = "relay coil output controlled? key when via through lamps? lights? saver spare standby 5v"
_WITH_KEY = "switched ign ignition(?!.switch) acc accessory run running start"

_RULES = (
    _Rule(
        "restraint",
        (
            r"(?:.*[^a-z0-9])?(?:air ?-?bags?|srs|squibs?|pre-?tensioners?|seat ?belt tensioners?"
            r"|(?:supplemental|passive) restraints?|restraint (?:system|module|control|unit|sensor))"
            r"(?:[^a-z0-9].*)?",
        ),
        "suspension compressor levell?ing (?:no|non|without).air.?bags?",
    ),
    _Rule(
        "data",
        (
            rf"{_BEFORE}can[ -]?(?:bus )?{_BUS_SIDE}(?: bus)?",
            rf"{_BEFORE}(?:can ?-?bus|lin(?: bus)?|flexray(?: bus)?(?: {_BUS_SIDE})?)",
            rf"{_BEFORE}(?:[kl][ -]line|serial data(?: link)?|j1850(?: bus)?(?: ?{_BUS_SIDE})?)",
        ),
        f"{_UNSURE} beam level fan lamps? lights? oil fuel water",
    ),
    _Rule(
        "ground",
        (rf"{_BEFORE}{_GROUND}(?: {_METAL})?(?: g?[0-9]{{1,3}}[a-z]?)?",),
        f"{_UNSURE} {_SWITCHED} {_MEASURED} {_SWITCHED_AT_GROUND} signal(?!.(?:ground|gnd|earth)$)"
        " request speakers? audio virtual floating rare clearance to from until and over above below under"
        " the feed supply live positive side output input",
    ),
    _Rule(
        "ground",
        (
            rf"{_GROUND}(?: return)? to (?:the )?(?:towing )?(?:chassis|body|engine|frame|vehicle|battery)",
            rf"{_GROUND}(?: return)?(?: for [a-z0-9-]+(?: [a-z0-9-]+){{0,3}})?",
        ),
        f"{_UNSURE} {_SWITCHED} {_MEASURED} solenoid injectors? valve horn speakers? on and activate operate",
    ),
    _Rule(
        "ground",
        (rf"(?:common )?(?:{_GROUND} )?return for (?:all )?(?:lamps|{_PINS})",),
        f"{_UNSURE} {_SWITCHED} {_MEASURED} signal fuel speakers?",
    ),
    _Rule("ground", (rf"{_BATTERY} ?(?:negative|minus|- ?ve|-)",), f"{_UNSURE} {_SWITCHED} {_MEASURED}"),
    _Rule(
        "permanent",
        (
            rf"{_BEFORE}(?:unswitched|permanent|permanently|constant|always) (?:battery )?{_FEED}{_AFTER}",
            rf"(?:(?:main|fused|direct) )?{_BATTERY} ?(?:positive|plus|feed|supply|live|{_PLUS}){_AFTER}",
            r"b ?\+|kl\.? ?30|(?:hot|live) at all times",
        ),
        f"{_UNSURE} {_NO_RAIL} {_WITH_KEY} {_MEASURED}",
    ),
    _Rule(
        "run",
        (
            rf"(?:ignition|ign)(?: ?-?switched)?(?: battery)? ?{_FEED}{_AFTER}",
            rf"switched (?:battery )?(?:positive|live){_AFTER}",
            r"kl\.? ?15|(?:hot|live) in run(?: (?:and|or) start)?",
        ),
        f"{_DENIED} {_NO_RAIL} {_MEASURED} switch starter acc accessory permanent unswitched",
    ),
    _Rule(
        "accessory",
        (
            rf"(?:accessory|acc) {_FEED}{_AFTER}",
            r"kl\.? ?75|(?:hot|live) in (?:acc|accessory)(?: (?:and|or) run)?",
        ),
        f"{_DENIED} {_NO_RAIL} {_MEASURED} delayed delay retained socket outlet unswitched ignition",
    ),
    _Rule(
        "start",
        (
            r"starter(?: (?:solenoid|control|solenoid (?:control|feed)|signal))?",
            r"(?:start|crank|cranking) (?:feed|signal)|kl\.? ?50|(?:hot|live) in start",
        ),
        f"{_UNSURE} relay inhibit inhibitor interlock ground earth return",
    ),
)


def class_of_words(text: str | None) -> str | None:
    """permanent, accessory, run, start, ground, data or restraint, for wording that cannot be mistaken.

    None where nothing is written, where the wording leaves a doubt, and for
    anything that is none of these.
    """
    if text is None or len(text) > _MAX_TEXT or "?" in text:
        return None
    whole = " ".join(text.lower().replace("_", " ").split())
    core = " ".join(re.sub(r"\([^()]*\)", " ", whole).split())
    found = {
        class_
        for class_, says, doubt in _compiled()
        if (says.fullmatch(core) or says.fullmatch(whole)) and not doubt.search(whole)
    }
    if "restraint" in found:
        return "restraint"
    return found.pop() if len(found) == 1 else None


@cache
def _compiled() -> tuple[tuple[str, re.Pattern[str], re.Pattern[str]], ...]:
    """The rules as patterns, made on first use; a word of doubt counts only as a whole word."""
    return tuple(
        (
            rule.class_,
            re.compile("|".join(rule.says)),
            re.compile(rf"(?<![a-z0-9])(?:{'|'.join(rule.doubt.split())})(?![a-z0-9])"),
        )
        for rule in _RULES
    )
