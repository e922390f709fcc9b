"""Which pole of the battery a car's body is: nearly always the minus, in old cars the plus.

Told from the wires: a battery whose plus is on a ground point while its minus, wired, is
not, has the plus for its ground. Where both are, that is a short circuit.
"""

from __future__ import annotations

from typing import Literal

from harnesscheck.model.order import natural_key
from harnesscheck.network.graph.sides import Study

Earth = Literal["positive", "negative", ""]


def earth_of(study: Study) -> tuple[Earth, str]:
    """The pole that is the body, with the battery that tells it; "" where no battery is on it by one pole alone."""
    rows = (row for row in study.vehicle.netlist.components if row.kind == "battery")
    for battery in sorted((row.id for row in rows), key=natural_key):
        if is_of_positive_earth(study, battery):
            return "positive", battery
        if _is_on_body(study, battery, "-") and not _is_on_body(study, battery, "+"):
            return "negative", battery
    return "", ""


def is_of_positive_earth(study: Study, battery: str) -> bool:
    """Whether a battery's plus is the car's ground: it is on the body, and its minus, wired, is on neither."""
    index = study.index
    plus, minus = (index.terminal.get((battery, name)) for name in ("+", "-"))
    if plus is None or minus is None or index.piece_of[plus] not in study.reach.grounded.ways:
        return False
    ours, other = (index.net_of[index.piece_of[node]] for node in (minus, plus))
    wired = len(index.pieces_of[ours]) > 1 or len(index.nodes_of[index.piece_of[minus]]) > 1
    return wired and ours != other and ours not in {index.net_of[piece] for piece in index.ground_pieces}


def _is_on_body(study: Study, battery: str, pole: str) -> bool:
    index = study.index
    node = index.terminal.get((battery, pole))
    return node is not None and index.net_of[index.piece_of[node]] in {
        index.net_of[piece] for piece in index.ground_pieces
    }
