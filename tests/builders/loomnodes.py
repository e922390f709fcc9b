"""Between our looms' numbers and the simulation's nodes."""

from __future__ import annotations

from builders.simulated import Fault, Node, Row, Simulated
from harnesscheck.bench.readings import loomfaults as readings_faults
from harnesscheck.bench.ringout.looms import Looms
from harnesscheck.bench.ringout.measurements import Measurement, Ringout


def node_of(looms: Looms, number: int) -> Node:
    """The simulation's node of one of ours."""
    key = looms.connector_of[number], looms.cavity_of[number]
    if key[0]:
        return ("face" if looms.face[key] == number else "wire", *key)
    name = looms.names[number]
    if number in looms.metals.values():
        return ("metal", name)
    part, dot, terminal = name.rpartition(".")
    return ("terminal", part, terminal) if dot and part in looms.study.vehicle.components else ("point", name)


def row_of(looms: Looms, one: Measurement) -> Row:
    """A measurement in the simulation's nodes."""
    return Row(tuple(node_of(looms, n) for n in one.a), tuple(node_of(looms, n) for n in one.b), one.joined)


def rows_of(ringout: Ringout) -> list[Row]:
    """All measurements of a ring-out."""
    return [row_of(ringout.looms, one) for one in ringout.measurements]


def fault_of(simulated: Simulated, looms: Looms, fault: readings_faults.Fault) -> Fault | None:
    """A fault that was found, in the simulation's words; None for a part left in."""
    if fault.sort == readings_faults.OPEN:
        edge = looms.edges[fault.a]
        return ("open", frozenset((node_of(looms, edge.a), node_of(looms, edge.b))))
    if fault.sort == readings_faults.CROSSED:
        return ("crossed", frozenset((node_of(looms, fault.a), node_of(looms, fault.b))))
    if fault.sort == readings_faults.SHORTED:
        return ("shorted", frozenset(simulated.net_of[node_of(looms, node)] for node in (fault.a, fault.b)))
    return None
