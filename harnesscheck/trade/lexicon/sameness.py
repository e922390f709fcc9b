"""Whether two functions' texts name the same circuit: same, different, or not told apart.

Texts are compared by their concepts, so languages, short forms, plurals and the
order of words do not matter. ``same`` is said only where nothing in either text
speaks against it; ``different`` only where both texts are understood; left is
never right, high never low, 1 never 2.
"""

from __future__ import annotations

from enum import Enum
from functools import lru_cache

from harnesscheck.trade.lexicon.classes import EMPTY
from harnesscheck.trade.lexicon.meaning import Meaning, understand
from harnesscheck.trade.lexicon.settling import concept_set
from harnesscheck.trade.lexicon.spelling import fold


class Sameness(Enum):
    """The answer to whether two texts name one circuit."""

    SAME = "same"
    DIFFERENT = "different"
    NOT_TOLD = "not told apart"


# Of each set a circuit is one only.
_EXCLUSIVE = tuple(
    concept_set(words)
    for words in (
        "left right", "front rear", "driver passenger", "high low", "up down", "open close", "lock unlock",
        "inner outer", "upper lower", "slow fast", "input output", "first second third", "upstream downstream",
        "can-hs can-ms can-ls", "can lin k-line l-line flexray most j1850",
    )
)  # fmt: skip
_SAYS_NO_CIRCUIT = concept_set(
    "- , / line for on circuit pin terminal contact signal electric body module vehicle fuse fuse-box engine"
)
_POLES = frozenset({"plus", "minus"})
_ANOTHER_WIRE = concept_set("relay coil heater switch warning fault gauge trigger output input lock unlock")
_TWO_SPEEDS = frozenset({"wiper", "fan"})  # whose high is their fast
_STEADY = frozenset({"permanent", "run", "accessory", "start"})
_OF_SUPPLY = concept_set(
    "feed live volts plus battery permanent run accessory start ignition key switched low-volts reference sensor"
)
_OF_GROUND = concept_set("ground minus return-lead battery feed")


@lru_cache(maxsize=1 << 16)
def sameness(a: str, b: str) -> Sameness:
    """Whether two texts name the same circuit; the order of the two says nothing."""
    one, two = understand(a), understand(b)
    if "doubt" in one.concepts + two.concepts:
        return Sameness.NOT_TOLD
    if fold(a).split() == fold(b).split():
        return Sameness.SAME
    ours, theirs = _kind(one), _kind(two)
    if ours != theirs:
        return _across_classes(one, two)
    if ours == EMPTY:
        return Sameness.SAME
    return _within_class(one, two)


def _kind(meaning: Meaning) -> str | None:
    """The class as far as it tells circuits apart; a text need not say that it is a signal."""
    return None if meaning.class_ == "signal" else meaning.class_


def _across_classes(one: Meaning, two: Meaning) -> Sameness:
    """Texts of two classes, or one of them of none: different where both are understood."""
    if _kind(one) is not None and _kind(two) is not None:
        close = {one.class_, two.class_}
        if close <= _STEADY | {"feed"} and "feed" in close:
            return Sameness.NOT_TOLD  # a feed of no key position may be any of them
        return Sameness.DIFFERENT
    known, other = (one, two) if _kind(one) is not None else (two, one)
    if other.class_ is not None:
        return Sameness.DIFFERENT  # a signal is no ground, no feed
    if other.unknown or known.unknown or known.class_ in other.maybe:
        return Sameness.NOT_TOLD
    ours, theirs = _things(known), _things(other)
    nested = Sameness.NOT_TOLD if ours else Sameness.DIFFERENT  # "ground" and "horn"; but not "horn ground" and "horn"
    return _by_things(ours, theirs, nested=nested, equal=Sameness.NOT_TOLD)


def _within_class(one: Meaning, two: Meaning) -> Sameness:
    """Two texts of one class, or of none: by what they name."""
    a, b = _things(one), _things(two)
    if one.unknown or two.unknown:
        apart = _excluded(a, b) or _numbers_differ(a, b)
        return Sameness.DIFFERENT if apart else Sameness.NOT_TOLD
    if one.class_ == "ground":
        return Sameness.SAME if a == b or not (a and b) else Sameness.NOT_TOLD  # all grounds are the body's
    if one.class_ in _STEADY or one.class_ == "return":
        shared = a & b
        nested = Sameness.SAME if shared <= {"shield"} and shared in (a, b) else Sameness.NOT_TOLD  # one names no part
        return _by_things(a, b, nested=nested, equal=Sameness.SAME)
    return _by_things(a, b, nested=Sameness.NOT_TOLD, equal=Sameness.SAME)


def _by_things(a: frozenset[str], b: frozenset[str], nested: Sameness, equal: Sameness) -> Sameness:
    if a == b:
        return equal
    if _excluded(a, b) or _numbers_differ(a, b):
        return Sameness.DIFFERENT
    if not (a <= b or b <= a) or (a ^ b) & _ANOTHER_WIRE:
        return Sameness.DIFFERENT
    return nested


def _excluded(a: frozenset[str], b: frozenset[str]) -> bool:
    """Whether both name one of a set, and not the same; poles are told only where both name one."""
    return any(a & some and b & some and a & some != b & some for some in (*_EXCLUSIVE, _POLES))


def _numbers_differ(a: frozenset[str], b: frozenset[str]) -> bool:
    ours, theirs = ({one for one in some if one.startswith("#")} for some in (a, b))
    return bool(ours and theirs and ours != theirs)


def _things(meaning: Meaning) -> frozenset[str]:
    """What a text names beside its class."""
    said = frozenset(one for one in meaning.concepts if not one.startswith("@")) - _SAYS_NO_CIRCUIT
    if said & _TWO_SPEEDS:
        said = frozenset({"high": "fast", "low": "slow"}.get(one, one) for one in said)
    if "can" in said:
        said = frozenset({"plus": "high", "minus": "low"}.get(one, one) for one in said)
    if meaning.class_ in _STEADY or meaning.class_ in ("feed", "reference"):
        return said - _OF_SUPPLY
    if meaning.class_ in ("ground", "return"):
        return said - _OF_GROUND - {"return", "sensor"}
    return said
