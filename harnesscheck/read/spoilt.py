"""Names of cavities that a spreadsheet has made something else of before they were written as text.

``1-2`` becomes ``02.Jan`` or ``2-Jan`` when it is typed into a cell, ``1E1`` becomes
``1.00E+01``; saved as CSV, that is what stands there. Common practice, no source.
"""

from __future__ import annotations

import re
from functools import lru_cache

from harnesscheck.read.grids import DATE

CAVITIES = ("cavity", "cavities")
NUMBER = "what was typed; a spreadsheet has made a number of it (format the column as text)"
_MONTH = (
    "jan|gen|ene|led|sty|feb|fev|fév|únor|lut|mar|mär|mrz|mrt|mars|břez|apr|abr|avr|dub|kwi|mai|may|maj|mag|mei|květ"
    "|jun|jui|giu|červ|cze|jul|lug|lip|aug|ago|août|aou|srp|sie|sep|set|sept|zář|wrz|oct|okt|ott|out|říj|paź"
    "|nov|lis|dec|dez|dic|déc|pro|gru"
)
_DATE = re.compile(
    rf"(?:[0-9]{{1,2}}[.\- /]+(?:{_MONTH})[a-zéä]{{0,6}}\.?(?:[.\- /]+[0-9]{{2,4}})?"
    rf"|(?:{_MONTH})[a-zéä]{{0,6}}\.?[.\- /]+[0-9]{{2,4}}"
    r"|[0-9]{4}-[0-9]{2}-[0-9]{2}(?: .*)?|[0-9]{1,2}[./][0-9]{1,2}[./](?:[0-9]{2}|[0-9]{4}))",
    re.I,
)
_NUMBER = re.compile(r"[0-9]+[.,][0-9]+E[+-]?[0-9]+|[0-9]+E[+-][0-9]+", re.I)
_POWER = re.compile(r"[0-9]+E[0-9]+", re.I)


@lru_cache(maxsize=4096)
def spoilt(text: str) -> str:
    """What to do about a cavity that is a date or a number as a spreadsheet writes them; nothing for any other."""
    if text.isdigit():
        return ""
    if _DATE.fullmatch(text):
        return DATE
    return NUMBER if _NUMBER.fullmatch(text) else ""


def may_be_spoilt(text: str) -> bool:
    """``1E1``: a spreadsheet would make 10 of it; in a text it may be the cavity's name."""
    return _POWER.fullmatch(text) is not None
