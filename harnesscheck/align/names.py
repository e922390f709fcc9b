"""Which equal ids of two cars are to be trusted.

Makers give a number to another plug in another year. Where every pair of equal ids
is borne out by its wires, ids are taken as they stand. As soon as one is
contradicted, those whose wires do not clearly bear them out become evidence among
other evidence; where many are contradicted, all do.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.align.byname import SAME_NAME
from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.model.records import Connector, Pin, Wire
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.graph.sides import Study

MANY = 0.25  # share of contradicted ids from which no id is taken as it stands
FEW_WIRES = 0.34  # share of wires leading to plugs of the same ids below which an id is contradicted
MOST_WIRES = 0.75  # share from which it is borne out
_Circuits = tuple[tuple[str, frozenset[str]], ...]
ENDS_OF_A_NET = 8  # a wire with more ends leads anywhere and bears nothing out


@dataclass(frozen=True, slots=True)
class Doubts:
    """The donor connectors whose equal id is only evidence; ``worthless`` if ids as a whole are."""

    connectors: frozenset[str]
    worthless: bool


def doubts(donor: Study, shell: Study, named: Pairs) -> Doubts:
    """Look at every pair of equal ids. Linear in the wires."""
    same = [pair for pair in named.connectors if pair.why == SAME_NAME]
    partner = {pair.donor: pair.shell for pair in named.connectors}
    agree = {pair.donor: _wires_agree(donor, shell, pair, partner) for pair in same}
    agree |= dict.fromkeys(_renumbered_fuses(donor, shell, same), 0.0)
    borne_out = {pair.donor: _joint_agrees(donor, shell, pair, partner, agree) for pair in same}
    against = {pair.donor for pair in same if _contradicted(donor, shell, pair, borne_out[pair.donor])}
    alike = len(donor.vehicle.connectors.keys() & shell.vehicle.connectors.keys())
    refused = alike - len(partner)  # what cannot be the same plug at all speaks against the rest too
    if len(against) + max(refused, 0) > MANY * max(alike, 1):
        return Doubts(frozenset(agree), True)
    if not against:
        return Doubts(frozenset(), False)
    weak = {id for id, share in borne_out.items() if share is None or share < MOST_WIRES}
    return Doubts(frozenset(against | weak), False)


def _renumbered_fuses(donor: Study, shell: Study, same: Sequence[Pair]) -> set[str]:
    """The donor's plugs on fuses whose circuits the shell has on a fuse of another number, and none of them here."""
    ours, theirs = _circuits_on_fuses(donor), _circuits_on_fuses(shell)
    where = {circuits: plug for plug, circuits in theirs.items()}
    return {
        pair.donor
        for pair in same
        if (mine := ours.get(pair.donor)) is not None
        and (yours := theirs.get(pair.shell)) is not None
        and where.get(mine, pair.shell) != pair.shell
        and not {name for _, names in mine for name in names} & {name for _, names in yours for name in names}
    }


def _circuits_on_fuses(study: Study) -> dict[str, _Circuits]:
    """The circuits' names by cavity of every harness plug on a fuse of its own of which each wire has one."""
    vehicle = study.vehicle
    found: dict[str, _Circuits] = {}
    for half, mate in vehicle.mate_of.items():
        part = vehicle.components.get(vehicle.connectors[mate].component or "")
        if part is None or part.kind not in FUSES:
            continue
        named = [
            (cavity, frozenset(row.circuit for row in _rows(study, half, cavity) if row.circuit))
            for cavity in sorted(study.index.cavities(half))
        ]
        if named and all(names for _, names in named):
            found[half] = tuple(named)
    return found


def _rows(study: Study, connector: str, cavity: str) -> Sequence[Pin | Wire]:
    node = study.index.cavity.get((connector, cavity))
    return () if node is None else study.index.wires_at.get(node, ())


def _joint_agrees(
    donor: Study, shell: Study, pair: Pair, partner: Mapping[str, str], agree: Mapping[str, float | None]
) -> float | None:
    """A component's half has no wires of its own: its mate's speak for it. Halves of two joints are no pair."""
    mate, other = donor.vehicle.mate_of.get(pair.donor, ""), shell.vehicle.mate_of.get(pair.shell)
    if mate in partner and other is not None and partner[mate] != other:
        return 0.0
    if donor.vehicle.connectors[pair.donor].component is None:
        return agree[pair.donor]
    return agree.get(mate)


def _contradicted(donor: Study, shell: Study, pair: Pair, share: float | None) -> bool:
    if share is not None:
        return share < FEW_WIRES
    a, b = donor.vehicle.connectors[pair.donor], shell.vehicle.connectors[pair.shell]
    return _facts_against(donor, shell, a, b) > 1


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


def _wires_agree(donor: Study, shell: Study, pair: Pair, partner: Mapping[str, str]) -> float | None:
    """The share of cavities used in both whose wires lead to plugs of the same ids; None where none tells."""
    compared = agree = 0
    if donor.vehicle.connectors[pair.donor].component is not None:
        return None
    for cavity in donor.index.cavities(pair.donor):
        far, there = _far(donor, pair.donor, cavity), _far(shell, pair.shell, cavity)
        known = {partner[id] for id in far if id in partner}
        if known and there:
            compared += 1
            agree += not known.isdisjoint(there)
    return agree / compared if compared else None


def _far(study: Study, connector: str, cavity: str) -> list[str]:
    """The plugs at the other ends of the wire in a cavity."""
    piece = study.index.piece(connector, cavity)
    ends = study.index.cavities_of[piece] if piece is not None else []
    return [other for other, _ in ends if other != connector] if len(ends) <= ENDS_OF_A_NET else []
