"""What people write where a field has a few fixed words: female for sockets, ja for yes. Data: ``choice_words``."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from harnesscheck.trade.lexicon.spelling import fold, spellings
from harnesscheck.trade.tables import rows


def choice_meant(field: str, text: str) -> str:
    """The fixed word of that field (or yes, no) that a person's word stands for; any other text as it stands."""
    words = _words()
    key = fold(text)
    return words.get((field, key)) or (words.get(("", key)) if field != "half" else None) or text


@cache
def _words() -> Mapping[tuple[str, str], str]:
    return {
        (row["field"], key): row["means"]
        for row in rows("choice_words")
        for word in row["written"].split("|")
        for key in spellings(word)
    }
