"""A wire found by what a person sees or knows of it: colour, size, place, plug, part, circuit, or words.

A question is words as people say them ("violet/red behind the dash"). Each of its
terms is one of those things, or may be several; a wire that answers every term
comes before one that answers most. A term that nothing in any car answers is no
reason to find nothing: it is told.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

from harnesscheck.align.pairs import Pairs
from harnesscheck.fields import KEY_POSITIONS
from harnesscheck.model.order import natural_key
from harnesscheck.network.graph.reach import BITS
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.graph.wiring import CAVITY, POINT, TERMINAL, DrawnWire, End, node_of, wiring_of
from harnesscheck.trade.colours import Colour, read_colour
from harnesscheck.trade.lexicon import understand
from harnesscheck.trade.lexicon.spelling import fold
from harnesscheck.trade.sizes import Size, read_size

_LONGEST_COLOUR = 6  # words: "violet with a light red stripe"
_UNKNOWN, _SIGNS = "unknown", frozenset({"-", "/", ","})  # concepts that say nothing of a wire
_SAME_AREA = 0.02  # of the larger: two ways of writing one size
_LINKING = frozenset({"a", "an", "the", "wire", "wires", "cable", "in", "at", "on", "of", "to", "is", "where", "with"})


@dataclass(frozen=True, slots=True)
class Term:
    """One thing asked for, as written and as what it may be meant: a colour's names, an area, words."""

    text: str
    colour: tuple[str, ...] | None = None
    area_mm2: float | None = None

    @property
    def words(self) -> str:
        """The text as it is looked for in other texts."""
        return fold(self.text)


@dataclass(frozen=True, slots=True)
class FoundWire:
    """A wire that answers a question: of which car (by number), and the terms it does not answer."""

    car: int
    wire: DrawnWire
    missed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SearchAnswer:
    """The wires that answer most, all alike in how many terms that is; the terms that nothing answers."""

    terms: tuple[Term, ...]
    found: tuple[FoundWire, ...]
    unanswered: tuple[str, ...] = ()


def read_question(text: str, codes: Sequence[str | None] = (None,)) -> tuple[Term, ...]:
    """The terms of a question. ``codes`` are the styles that a colour's code may be of."""
    words = [word for word in re.split(r"[\s;]+|,(?!\d)", text.replace(" / ", "/").strip()) if word]
    terms: list[Term] = []
    at = 0
    while at < len(words):
        long, term = _longest(words[at:], codes)
        at += long
        if term is not None:
            terms.append(term)
    return tuple(terms)


def _longest(words: Sequence[str], codes: Sequence[str | None]) -> tuple[int, Term | None]:
    """The term that some words begin with, and how many of them it takes."""
    for long in range(min(len(words), _LONGEST_COLOUR), 0, -1):
        text = " ".join(words[:long])
        colour = _colour(text, codes) if words[0].casefold() not in _LINKING else None
        if colour is not None:
            return long, Term(text, colour=colour, area_mm2=_area(text) if long == 1 else None)
    pair = " ".join(words[:2])
    if len(words) > 1 and re.fullmatch(r"[\d.,/]+ ?(mm2|mm²|awg)|awg ?\d+", pair.casefold()):
        return 2, Term(pair, area_mm2=_area(pair))
    if words[0].casefold() in _LINKING or understand(words[0]).concepts == ("-",):
        return 1, None
    return 1, Term(words[0], area_mm2=_area(words[0]))


def _colour(text: str, codes: Sequence[str | None]) -> tuple[str, ...] | None:
    for code in codes:
        colour = read_colour(text, code)
        if isinstance(colour, Colour) and colour.names:
            return colour.names
    return None


def _area(text: str) -> float | None:
    size = read_size(text.replace(",", "."))
    return size.area_mm2 if isinstance(size, Size) else None


def search(cars: Sequence[Study], terms: Sequence[Term], but: Collection[DrawnWire] = ()) -> SearchAnswer:
    """The wires of some cars that answer the terms: all of them where any wire does, else as many as any does.

    ``but`` are wires that are not looked at.
    """
    answers = [
        (number, wire, [_answers(ends, term) for term in terms])
        for number, study in enumerate(cars)
        for wire in wiring_of(study).conductors
        if wire not in but
        for ends in (_Wire(study, wire),)
    ]
    answered = [any(each[at] for _, _, each in answers) for at in range(len(terms))]
    asked = [at for at, one in enumerate(answered) if one]
    most = max((sum(each[at] for at in asked) for _, _, each in answers), default=0)
    found = [
        FoundWire(number, wire, tuple(terms[at].text for at in asked if not each[at]))
        for number, wire, each in answers
        if most and sum(each[at] for at in asked) == most
    ]
    unanswered = tuple(term.text for term, one in zip(terms, answered, strict=True) if not one)
    return SearchAnswer(tuple(terms), tuple(sorted(found, key=_order)), unanswered)


def called(study: Study, text: str) -> tuple[str, ...]:
    """What words of what a wire is for, looks like or where it is may mean: circuits, else contacts, by name.

    Nothing where some word is answered by no wire, or what is asked looks like a name and not
    like words; one where it is all that is written of it.
    """
    if not (len(text.split()) > 1 or text.replace("/", "").isalpha()):
        return ()
    header = study.vehicle.netlist.header
    answer = search([study], read_question(text, (header.colour_code, None)))
    if answer.unanswered or any(one.missed for one in answer.found):
        return ()
    wires = [one.wire for one in answer.found]
    so_called = [wire for wire in wires if fold(function_of(study, wire)) == fold(text)]
    return tuple(dict.fromkeys(name for wire in so_called or wires if (name := _name_of(wire))))


def function_of(study: Study, wire: DrawnWire) -> str:
    """What a wire is for: by its row, else by its circuit."""
    circuit = study.vehicle.circuits.get(wire.circuit or "")
    return wire.function or (circuit.function if circuit is not None else None) or ""


def _name_of(wire: DrawnWire) -> str:
    """The name to ask for a wire by: its circuit, else an end that has a name; empty where it has neither."""
    ends = [str(end) for end in (wire.a, wire.b) if end.sort in (CAVITY, POINT)]
    return wire.circuit or next(iter(ends), "")


def alike(cars: Sequence[Study], wire: DrawnWire, own: Collection[DrawnWire]) -> tuple[FoundWire, ...]:
    """The wires of some cars that are called or coloured as one is; ``own`` are those that are joined to it anyway."""
    terms = [term for term in read_question(function_of(cars[0], wire)) if term.colour is None]
    colour = wire.colour
    if colour is not None and colour.names:
        terms.append(Term(colour.text, colour=colour.names))
    return search(cars, terms, own).found if terms else ()


def _order(found: FoundWire) -> tuple[object, ...]:
    return found.car, natural_key(str(found.wire.a)), natural_key(str(found.wire.b))


@dataclass(frozen=True)
class _Wire:
    """What can be asked of a wire: names by which it is called, and texts that speak of it."""

    study: Study
    wire: DrawnWire

    @cached_property
    def names(self) -> frozenset[str]:
        """Circuit, plugs, contacts, parts, points, harness: whole names only."""
        vehicle, found = self.study.vehicle, [self.wire.circuit or ""]
        for end in (self.wire.a, self.wire.b):
            found += [str(end), end.owner]
            found += [
                *_parts_at(self.study, end),
                *([vehicle.mate_of.get(end.owner, "")] if end.sort == CAVITY else ()),
            ]
            row = vehicle.connectors.get(end.owner) if end.sort == CAVITY else None
            found += [row.harness or ""] if row is not None else []
        return frozenset(fold(name) for name in found if name)

    @cached_property
    def texts(self) -> tuple[str, ...]:
        """Functions, names in words, places and notes."""
        vehicle, wire = self.study.vehicle, self.wire
        circuit = vehicle.circuits.get(wire.circuit or "")
        found = [wire.function, circuit.function if circuit is not None else None]
        found += [row.common.note for row in wire.rows]
        for end in (wire.a, wire.b):
            found += [place_of(self.study, end), _called(self.study, end)]
            found += [vehicle.components[part].name for part in _parts_at(self.study, end)]
        return tuple(dict.fromkeys(text for text in found if text))


def _answers(wire: _Wire, term: Term) -> bool:
    """Whether a wire is what a term asks for, in any of the ways that it can be meant."""
    if term.words in wire.names:
        return True
    if _is_colour(wire.wire.colour, term) or _is_size(wire.wire.size, term):
        return True
    return term.colour is None and any(_speaks_of(text, term) for text in wire.texts)


def _is_colour(colour: Colour | None, term: Term) -> bool:
    """Whether it is the colour asked for; one colour alone asks for a base."""
    if term.colour is None or colour is None or colour.names is None:
        return False
    return colour.names == term.colour or (len(term.colour) == 1 and term.colour[0] == colour.names[0])


def _is_size(size: Size | None, term: Term) -> bool:
    if term.area_mm2 is None or size is None:
        return False
    return abs(size.area_mm2 - term.area_mm2) <= _SAME_AREA * max(size.area_mm2, term.area_mm2)


def _speaks_of(text: str, term: Term) -> bool:
    """Whether a text has the term's word, or says what it says in other words or another language."""
    if term.words in _words(text):
        return True
    if term.area_mm2 is not None:
        return False
    meant = _meant(term.text)
    return bool(meant) and meant <= set(understand(text).concepts)


@lru_cache(maxsize=1 << 14)
def _words(text: str) -> frozenset[str]:
    """The words of a text as they are compared; many wires share one text."""
    return frozenset(re.findall(r"[\w.+-]+", fold(text)))


@lru_cache(maxsize=1 << 8)
def _meant(text: str) -> frozenset[str]:
    """What a term says in any language; nothing where part of it is not understood."""
    concepts = frozenset(understand(text).concepts) - _SIGNS
    return frozenset() if _UNKNOWN in concepts else concepts


def place_of(study: Study, end: End) -> str:
    """Where in the car an end is; empty where that is not written."""
    return study.vehicle.place_at(f"{end.owner}.{end.name}" if end.sort == TERMINAL else str(end), loom=True)


def _called(study: Study, end: End) -> str:
    vehicle = study.vehicle
    row = vehicle.connectors.get(end.owner) or vehicle.splices.get(end.owner) or vehicle.grounds.get(end.owner)
    return (row.name or "") if row is not None and end.sort in (CAVITY, POINT) else ""


def _parts_at(study: Study, end: End) -> tuple[str, ...]:
    """The component behind a contact, or that a bare end is of."""
    vehicle = study.vehicle
    if end.sort == TERMINAL:
        return (end.owner,) if end.owner in vehicle.components else ()
    halves = (end.owner, vehicle.mate_of.get(end.owner, "")) if end.sort == CAVITY else ()
    owners = [vehicle.connectors[half].component for half in halves if half in vehicle.connectors]
    return tuple(owner for owner in owners if owner is not None)


def part_at(study: Study, end: End) -> str:
    """The part an end leads into, in words; empty for an in-line plug or a point."""
    parts = _parts_at(study, end)
    return (study.vehicle.components[parts[0]].name or parts[0]) if parts else ""


def live_words(study: Study, wire: DrawnWire) -> str:
    """When a wire is live as the car is built, in a few words; not known where the file has no battery."""
    nodes = [node for end in (wire.a, wire.b) if (node := node_of(study.index, end)) is not None]
    if not nodes or not study.reach.sources:
        return "live or not: not known"
    reached = study.reach.reached(study.index.piece_of[nodes[0]])
    if reached.grounded:
        return "ground"
    sure = [key for key, bit in zip(KEY_POSITIONS, BITS, strict=True) if reached.feed_sure & bit]
    maybe = [key for key, bit in zip(KEY_POSITIONS, BITS, strict=True) if reached.feed_maybe & bit]
    if sure:
        return "live with the key off" if "off" in sure else f"live with the key at {_listed(sure)}"
    if maybe:
        when = "whatever the key" if len(maybe) == len(KEY_POSITIONS) else f"with the key at {_listed(maybe)}"
        return f"live when a switch, a relay or a module feeds it, {when}"
    return "not live in any key position"


def _listed(keys: Sequence[str]) -> str:
    return keys[0] if len(keys) == 1 else f"{', '.join(keys[:-1])} or {keys[-1]}"


def there(study: Study, contacts: Iterable[str]) -> Iterator[str]:
    """What a car has at some contacts, given as ``C12:4``: colour, size and circuit of each wire there."""
    for name in contacts:
        connector, _, cavity = name.partition(":")
        wires = wiring_of(study).at.get(End(CAVITY, connector, cavity), ())
        said = [f"{wire.words}{f', circuit {wire.circuit}' if wire.circuit else ''}" for wire in wires]
        yield f"{name}: {'; '.join(said) if said else 'no wire written'}"


def counterparts(wire: DrawnWire, pairs: Pairs) -> tuple[str, ...]:
    """The contacts of another car that are a wire's ends, by the pairs that lead there."""
    ends = (end for end in (wire.a, wire.b) if end.sort == CAVITY and end.owner in pairs.connector)
    return tuple(pairs.cavity_of(str(end)) for end in ends)
