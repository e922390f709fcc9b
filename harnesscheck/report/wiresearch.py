"""The wires that answer a question: as text, page and JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from harnesscheck.align.pairs import Pairs
from harnesscheck.assemble.pairing import turned_round
from harnesscheck.compare.finding.cautions import leave, plugs_stop
from harnesscheck.lists.wiresearch import (
    FoundWire,
    SearchAnswer,
    Term,
    counterparts,
    function_of,
    live_words,
    part_at,
    place_of,
    there,
)
from harnesscheck.model.shortened import shortened
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.graph.wiring import CAVITY, DrawnWire, End, wiring_of
from harnesscheck.network.hands_off import together
from harnesscheck.report.blocks.vocabulary import (
    Answer,
    Caution,
    Facts,
    Folded,
    Listing,
    Passage,
    Report,
    Section,
    left_out,
    present,
    section,
)
from harnesscheck.report.cars import car_words
from harnesscheck.report.document import envelope

MOST_NAMED = 4  # wires of one circuit in the other car
MOST_SHOWN = 12  # wires in a terminal; page and JSON have them all


@dataclass(frozen=True)
class WiresAsked:
    """The cars, the question as typed, the answer, and how the two cars are paired, where there are two."""

    cars: Sequence[Study]
    text: str
    answer: SearchAnswer
    pairs: Pairs | None = None

    @cached_property
    def _pairs_from(self) -> tuple[Pairs, Pairs]:
        """The pairs that lead from either car to the other."""
        pairs = self.pairs or Pairs()
        return pairs, turned_round(pairs)

    def elsewhere(self, found: FoundWire) -> tuple[str, ...]:
        """What the other car has where this wire ends; nothing where there is no other."""
        contacts = counterparts(found.wire, self._pairs_from[found.car])
        return tuple(there(self.cars[1 - found.car], contacts)) if contacts else ()

    def circuit_elsewhere(self, found: FoundWire) -> str:
        """Where the other car has a wire's circuit, wire by wire; empty where it has none, or there is no other car."""
        pair = self._pairs_from[found.car].circuit.get(found.wire.circuit or "")
        if pair is None:
            return ""
        wires = wiring_of(self.cars[1 - found.car]).of_circuit.get(pair.shell, ())
        said = [f"{one.words}, {one.a} to {one.b}" for one in wires]
        return f"{pair.shell}: {shortened(said, MOST_NAMED, '; ')}" if said else ""


def wires_report(asked: WiresAsked, inputs: Mapping[str, Any]) -> Report:
    """The answer in a sentence, what stops a person first, then wire by wire."""
    several = len(asked.cars) > 1
    about = [(f"car {at}" if several else "car", car_words(car.vehicle)) for at, car in enumerate(asked.cars, 1)]
    stops = plugs_stop([(car, _plugs(asked, at), ()) for at, car in enumerate(asked.cars)])
    stop = Caution(stops, urgent=True) if stops else None
    blocks = present(stop, Answer(_sentence(asked)), _understood(asked.answer.terms), *_sections(asked))
    return Report(f"Wires: {asked.text}", tuple(about), blocks, inputs)


def _plugs(asked: WiresAsked, car: int) -> list[str]:
    """The plugs of one car that the wires found end in."""
    ends = [end for one in asked.answer.found if one.car == car for end in (one.wire.a, one.wire.b)]
    return list(dict.fromkeys(end.owner for end in ends if end.sort == CAVITY))


def _sentence(asked: WiresAsked) -> str:
    answer = asked.answer
    count = len(answer.found)
    unanswered = ", ".join(f"'{text}'" for text in answer.unanswered)
    nothing = f" Nothing in the files answers to {unanswered}." if unanswered else ""
    if not count:
        return f"No wire is found.{nothing}"
    wires = "1 wire answers" if count == 1 else f"{count} wires answer"
    missed = sorted({text for one in answer.found for text in one.missed})
    if missed:
        return f"No wire answers to all of it; {wires} to all but one or other of {', '.join(missed)}.{nothing}"
    return f"{wires}.{nothing}"


def _understood(terms: Sequence[Term]) -> Listing | None:
    """What a colour or a size was read as; all other terms are looked for as they are."""
    said = [f"{one.text}: the colour {'/'.join(one.colour)}" for one in terms if one.colour]
    said += [f"{one.text}: {one.area_mm2:g} mm², or a name" for one in terms if one.area_mm2 and not one.colour]
    return Listing(tuple(said), head="Taken for") if said else None


def _sections(asked: WiresAsked) -> Iterator[Section | None]:
    for at, car in enumerate(asked.cars):
        wires = [_wire(asked, one) for one in asked.answer.found if one.car == at]
        title = f"Car {at + 1}: {car.vehicle.name}" if len(asked.cars) > 1 else "Wires"
        shown, rest = wires[:MOST_SHOWN], wires[MOST_SHOWN:]
        folded = Folded(left_out(len(rest), "wires", "on the page that -o writes"), tuple(rest)) if rest else None
        yield section(title, *shown, folded)


def _wire(asked: WiresAsked, found: FoundWire) -> Passage:
    study, wire = asked.cars[found.car], found.wire
    function = function_of(study, wire)
    rows = [("Circuit", f"{wire.circuit}{f' ({function})' if function else ''}")] if wire.circuit or function else []
    rows += [(f"End {word}", _end_words(study, end)) for word, end in (("one", wire.a), ("two", wire.b))]
    rows.append(("Live", _live(study, wire)))
    if asked.pairs is not None:
        rows.append(("In the same place there", "; ".join(asked.elsewhere(found)) or "no plug that is its partner"))
        circuit_there = asked.circuit_elsewhere(found)
        rows += [("Its circuit there", circuit_there)] if circuit_there else []
    if found.missed:
        rows.append(("Does not answer to", ", ".join(found.missed)))
    doubt = " (its far end is likely only)" if wire.likely else ""
    return Passage((Facts(tuple(rows)),), head=f"{wire.words}: {wire.a} to {wire.b}{doubt}")


def _live(study: Study, wire: DrawnWire) -> str:
    """When it is live; of what is never touched only that."""
    marks = together(mark for row in wire.rows for mark in study.hands_off.row(row))
    return leave(marks) if marks else live_words(study, wire)


def _end_words(study: Study, end: End) -> str:
    where, part = place_of(study, end), part_at(study, end)
    mate = study.vehicle.mate_of.get(end.owner, "") if end.sort == CAVITY else ""
    said = [str(end), f"into {part}" if part else f"plugged to {mate}" if mate else "", where]
    return ", ".join(filter(None, said))


def wires_document(asked: WiresAsked, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """The JSON document: the question as understood, every wire."""
    cars = {"donor": asked.cars[0]} | ({"shell": asked.cars[1]} if len(asked.cars) > 1 else {})
    document = envelope("find", inputs, cars, pairs=asked.pairs)
    document["asked"] = [
        {"text": one.text, "colour": list(one.colour) if one.colour else None, "size-mm2": one.area_mm2}
        for one in asked.answer.terms
    ]
    document["unanswered"] = list(asked.answer.unanswered)
    document["found"] = [_wire_document(asked, one) for one in asked.answer.found]
    return document


def _wire_document(asked: WiresAsked, found: FoundWire) -> dict[str, Any]:
    study, wire = asked.cars[found.car], found.wire
    return {
        "car": found.car + 1,
        "from": str(wire.a),
        "to": str(wire.b),
        "circuit": wire.circuit,
        "colour": wire.colour.text if wire.colour is not None else None,
        "size": wire.size.text if wire.size is not None else None,
        "places": [place_of(study, end) for end in (wire.a, wire.b)],
        "parts": [part_at(study, end) for end in (wire.a, wire.b)],
        "live": _live(study, wire),
        "other-car": list(asked.elsewhere(found)),
        "circuit-there": asked.circuit_elsewhere(found),
        "missed": list(found.missed),
        "likely": wire.likely,
    }
