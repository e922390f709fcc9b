"""Wires that a feed reaches with no fuse on the path from the battery.

Left out, common practice, no source: battery to first fuse, fusible link, starter
contact, alternator. A plain junction is judged by what hangs on it.
"""

from __future__ import annotations

from dataclasses import dataclass

from harnesscheck.model.records import Component
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.graph.index import UNKNOWN
from harnesscheck.network.graph.sides import Study

EXEMPT = frozenset({*FUSES, "battery", "alternator", "connector-only"})


@dataclass(frozen=True, slots=True)
class UnfusedEnd:
    """Where an unfused feed ends: a part's terminal, or a contact with nothing known behind it.

    ``terminal`` is empty where only the plug is known, ``component`` where not even
    the part is. ``spot`` is the harness cavity; empty for a terminal without a plug.
    """

    component: str
    terminal: str
    spot: tuple[str, str]
    sure: bool


def unfused_pieces(study: Study) -> list[int]:
    """The pieces that battery + reaches through wires, plugs and contacts that may close, but no fuse."""
    reach = study.reach
    zone = sorted(reach.sources)
    seen = set(zone)
    for here in zone:
        for other, edge in reach.steps[here]:
            blocked = edge >= 0 and (reach.elements[edge].sort == "fuse" or not reach.elements[edge].maybe)
            if other not in seen and other not in reach.grounds and not blocked:
                seen.add(other)
                zone.append(other)
    return zone


def unfused_ends(study: Study) -> list[UnfusedEnd]:
    """Every end that a feed reaches unfused and should not, in order of part and terminal."""
    index = study.index
    boxes = {element.component for element in study.reach.elements if element.sort == "fuse"}
    found: list[UnfusedEnd] = []
    for piece in unfused_pieces(study):
        for component, terminal in index.terminals_of[piece]:
            row = study.vehicle.components[component]
            if component not in boxes and not _may_be_unfused(study, row):
                found.append(UnfusedEnd(component, terminal, _plug(study, component, piece), row.kind is not None))
        if not index.terminals_of[piece]:
            found += _open_ends(study, piece, boxes)
    return sorted(found, key=lambda end: (end.component, end.terminal, end.spot))


def _open_ends(study: Study, piece: int, boxes: set[str]) -> list[UnfusedEnd]:
    """Contacts of a piece with a part behind them of which no terminal is known, or nothing at all."""
    vehicle, index, found = study.vehicle, study.index, []
    for connector, cavity in index.cavities_of[piece]:
        mate = vehicle.mate_of.get(connector)
        unwritten = mate is not None and index.state(mate, cavity) == UNKNOWN
        row = vehicle.connectors[mate if mate is not None and unwritten else connector]
        owner = vehicle.components.get(row.component or "")
        if owner is not None and owner.id not in boxes and not _may_be_unfused(study, owner):
            found.append(UnfusedEnd(owner.id, "", (connector if unwritten else mate or connector, cavity), False))
        elif owner is None and (mate is None or unwritten):
            found.append(UnfusedEnd("", "", (connector, cavity), False))
    return found


def _plug(study: Study, component: str, piece: int) -> tuple[str, str]:
    """The harness cavity at a component's terminal."""
    for connector, cavity in study.index.cavities_of[piece]:
        if study.vehicle.connectors[connector].component == component:
            return study.vehicle.mate_of.get(connector, connector), cavity
    return "", ""


def _may_be_unfused(study: Study, component: Component) -> bool:
    """Battery, fuse, link, alternator, starter and its contact, and what is restraint or high voltage."""
    if component.kind in EXEMPT or study.hands_off.part(component.id):
        return True
    terminals = {name for owner, name in study.index.terminal if owner == component.id}
    words = f"{component.id} {component.name or ''} {component.system or ''}".casefold()
    return "50" in terminals or "starter" in words
