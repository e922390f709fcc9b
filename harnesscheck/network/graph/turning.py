"""Loads that may be turned round: a lamp, a heater, a fuse, a plain relay coil. Not motors, not electronics.

Common practice, no source: a suppression diode across a coil takes the freedom away.
"""

from __future__ import annotations

from collections import defaultdict

from harnesscheck.model.records import Component
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.graph.sides import Study

TURNABLE = frozenset({*FUSES, "lamp", "heater", "resistor", "solenoid"})
COIL = frozenset({"85", "86"})


def may_turn(component: Component) -> bool:
    """Whether a two-terminal part of this kind works either way round, as far as the file says."""
    return component.polar is False or (component.kind in TURNABLE and component.polar is None)


def is_wired_both_ways(study: Study, component: Component) -> bool:
    """Whether a motor's two ends can each be fed and each be grounded: turned round it runs the other way."""
    index = study.index
    names = index.terminals_by_part.get(component.id, ()) if component.kind == "motor" else ()
    if len(names) != 2:
        return False
    nodes = [index.terminal[component.id, name] for name in names]
    reached = [study.net_side(index.net_of[index.piece_of[node]]).reached for node in nodes]
    return all(one is not None and bool(one.feed_maybe) and bool(one.ground_maybe) for one in reached)


def turnable_ends(study: Study) -> frozenset[tuple[str, str]]:
    """Every terminal (component, name) of a load whose two ends may be exchanged."""
    terminals: dict[str, list[str]] = defaultdict(list)
    for component, terminal in study.index.terminal:
        terminals[component].append(terminal)
    ends: set[tuple[str, str]] = set()
    for row in study.vehicle.netlist.components:
        names = set(terminals.get(row.id, ()))
        if row.kind == "relay" and names >= COIL:
            names = set() if diode_across(study, row) else set(COIL)
        elif len(names) != 2 or not may_turn(row) or is_wired_both_ways(study, row):
            names = set()
        ends |= {(row.id, name) for name in names}
    return frozenset(ends)


def diode_across(study: Study, component: Component) -> bool:
    """A suppression diode inside the relay, or one wired across its coil."""
    rows = study.vehicle.insides_of.get(component.id, ())
    if any(row.diode and {row.from_, row.to} == COIL for row in rows):
        return True
    index = study.index
    nodes = [index.terminal.get((component.id, name)) for name in ("85", "86")]
    coil = {index.net_of[index.piece_of[node]] for node in nodes if node is not None}
    return any(
        element.sort == "diode" and {index.net_of[element.a], index.net_of[element.b]} == coil
        for element in study.reach.elements
    )
