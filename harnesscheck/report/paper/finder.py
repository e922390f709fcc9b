"""Every wire of a car by its colour: what a person sees leads to what it is."""

from __future__ import annotations

from collections import defaultdict

from harnesscheck.compare.finding.cautions import leave
from harnesscheck.lists.wiresearch import function_of, place_of
from harnesscheck.model.order import natural_key
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.graph.wiring import DrawnWire, wiring_of
from harnesscheck.network.hands_off import together
from harnesscheck.report.blocks.vocabulary import RowGroup, Table, heads
from harnesscheck.trade.sizes import with_unit

NOT_KNOWN = "colour not known"


def colour_finder(study: Study) -> Table:
    """A group a colour, in its order a wire a row: ends, size, circuit, what it is for, where it starts."""
    by_colour: dict[str, list[DrawnWire]] = defaultdict(list)
    for wire in wiring_of(study).conductors:
        by_colour[wire.colour.text if wire.colour is not None else NOT_KNOWN].append(wire)
    groups = tuple(
        RowGroup(colour, tuple(_row(study, wire) for wire in sorted(by_colour[colour], key=_order)))
        for colour in sorted(by_colour, key=lambda text: (text == NOT_KNOWN, natural_key(text)))
    )
    return Table("Wires by colour", heads("from", "to", "size", "circuit", "for", "place"), groups)


def _order(wire: DrawnWire) -> tuple[object, ...]:
    return natural_key(str(wire.a)), natural_key(str(wire.b)), wire.circuit or ""


def _row(study: Study, wire: DrawnWire) -> tuple[str, ...]:
    marks = together((*study.hands_off.end(str(wire.a)), *study.hands_off.end(str(wire.b))))
    for_ = leave(marks) if marks else function_of(study, wire)
    size = with_unit(wire.size.text) if wire.size is not None else "?"
    places = dict.fromkeys(filter(None, (place_of(study, wire.a), place_of(study, wire.b))))
    return str(wire.a), str(wire.b), size, wire.circuit or "?", for_, " - ".join(places)
