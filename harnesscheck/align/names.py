"""Which equal ids of two cars are to be trusted.

Makers give a number to another plug in another year. A pair of equal ids is
*doubtful* where its wires lead to other plugs and what is known of the housing,
place or owner speaks against it as well. Where many are, ids as a whole are
worth nothing, and none is taken on trust.
"""

from __future__ import annotations

from harnesscheck.align.byname import SAME_NAME
from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.model.records import Connector
from harnesscheck.network.sides import Study

MANY = 0.25  # share of doubtful ids from which no id is trusted
FEW_WIRES = 0.34  # share of wires that lead to the same plugs below which a pair is looked at


def doubtful_names(donor: Study, shell: Study, named: Pairs) -> frozenset[str]:
    """The donor connectors whose equal id is not to be taken on trust."""
    same = [pair for pair in named.connectors if pair.why == SAME_NAME]
    partner = {pair.donor: pair.shell for pair in named.connectors}
    doubtful = [pair.donor for pair in same if _contradicted(donor, shell, pair, partner)]
    alike = len(donor.vehicle.connectors.keys() & shell.vehicle.connectors.keys())
    refused = alike - len(named.connectors)  # what cannot be the same plug at all speaks against the rest too
    if len(doubtful) + refused > MANY * max(alike, 1):
        return frozenset(pair.donor for pair in same)
    return frozenset(doubtful)


def _contradicted(donor: Study, shell: Study, pair: Pair, partner: dict[str, str]) -> bool:
    a, b = donor.vehicle.connectors[pair.donor], shell.vehicle.connectors[pair.shell]
    against = _facts_against(donor, shell, a, b)
    return against > 0 and _wires_agree(donor, shell, pair, partner) < FEW_WIRES


def _facts_against(donor: Study, shell: Study, a: Connector, b: Connector) -> int:
    """How many of size, half, place, housing and owner are known in both and differ."""
    known = [
        (a.cavities and len(a.cavities), b.cavities and len(b.cavities)),
        (a.half, b.half),
        (a.at, b.at),
        (a.housing_colour, b.housing_colour),
        (a.keyway, b.keyway),
    ]
    if a.component is not None and b.component is not None:
        mine, yours = donor.vehicle.components[a.component], shell.vehicle.components[b.component]
        known.append((mine.kind, yours.kind))
    return sum(x is not None and y is not None and x != y for x, y in known)


def _wires_agree(donor: Study, shell: Study, pair: Pair, partner: dict[str, str]) -> float:
    """The share of cavities used in both whose wires lead to a plug of the same name; 1 where none is."""
    mine = {cavity: _far(donor, pair.donor, cavity) for cavity in donor.index.cavities(pair.donor)}
    compared = agree = 0
    for cavity, far in mine.items():
        there = _far(shell, pair.shell, cavity)
        known = {partner[id] for id in far if id in partner}
        if known and there:
            compared += 1
            agree += not known.isdisjoint(there)
    return agree / compared if compared else 1.0


def _far(study: Study, connector: str, cavity: str) -> set[str]:
    """The plugs at the other ends of the wire in a cavity."""
    piece = study.index.piece(connector, cavity)
    if piece is None:
        return set()
    return {other for other, _ in study.index.cavities_of[piece] if other != connector}
