"""What a hit means beside its neighbours: ``B`` with a plus, a bare 15 or 30 among supplies, the number of a fuse."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

Concepts = tuple[str, ...]
ConceptSet = frozenset[str]


def concept_set(names: str) -> ConceptSet:
    """Concepts written in a row, as the set they are."""
    return frozenset(names.split())


@dataclass(frozen=True, slots=True)
class Hit:
    """Some words of a text and the concepts they stand for; ``,`` and ``/`` stand for the signs themselves."""

    words: str
    concepts: Concepts


_SIGNS = frozenset({",", "/", "-", "doubt", "line"})
_SUPPLIES = _SIGNS | concept_set(
    "plus minus feed live volts battery permanent run accessory start ignition ground body terminal key"
)
_BESIDE_A_BLINKER = _SIGNS | concept_set(
    "left right front rear lamp side trailer switch relay feed ground warning indicator high low - for inner outer"
)
_NUMBERED = {"fuse": "@f", "circuit": "@", "pin": "@p"}  # their number says which, not what


def settled(hits: Sequence[Hit], of_terminal: Callable[[str], Concepts | None]) -> list[Hit]:
    """The hits with each one's neighbours taken into account."""
    found = list(hits)
    bare = all(set(hit.concepts) <= _SUPPLIES or _number(hit) or hit.concepts == ("#b",) for hit in found)
    blinks = all(set(hit.concepts) <= _BESIDE_A_BLINKER or _number(hit) for hit in found)
    for at, hit in enumerate(found):
        beside = {one for near in (at - 1, at + 1) if 0 <= near < len(found) for one in found[near].concepts}
        before = found[at - 1].concepts if at else ()
        number = _number(hit)
        if hit.concepts == ("#b",) and beside & {"plus", "minus"}:
            found[at] = Hit(hit.words, ("battery",))
        elif blinks and "indicator" in hit.concepts:
            found[at] = Hit(hit.words, ("turn", "lamp"))  # a British indicator, where it indicates nothing else
        elif number and before and before[0] in _NUMBERED:
            found[at] = Hit(hit.words, (_NUMBERED[before[0]] + number,))
        elif number and (bare or beside & {"plus"}) and not beside & {"volts"}:
            concepts = of_terminal(number)
            if concepts is not None and set(concepts) & _SUPPLIES:
                found[at] = Hit(hit.words, concepts)
    return found


def _number(hit: Hit) -> str:
    """The number of a hit that is nothing but one."""
    only = hit.concepts[0] if len(hit.concepts) == 1 else ""
    return only[1:] if only.startswith("#") and only[1:].isdigit() else ""
