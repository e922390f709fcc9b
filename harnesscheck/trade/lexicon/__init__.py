"""What people's own words beside a wire mean, in many languages. Ask here and nowhere else.

``understand`` gives a text's class, concepts, misprints and hazards, ``sameness`` whether two
texts name one circuit, ``hazards_in`` the words of restraint and high voltage alone.
"""

from harnesscheck.trade.lexicon.classes import EMPTY
from harnesscheck.trade.lexicon.hazards import HIGH_VOLTAGE, RESTRAINT, hazards_in
from harnesscheck.trade.lexicon.meaning import Meaning, is_unused, understand
from harnesscheck.trade.lexicon.sameness import Sameness, sameness

__all__ = [
    "EMPTY",
    "HIGH_VOLTAGE",
    "RESTRAINT",
    "Meaning",
    "Sameness",
    "hazards_in",
    "is_unused",
    "sameness",
    "understand",
]
