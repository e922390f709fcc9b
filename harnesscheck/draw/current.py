"""Volts, amperes and what is live in one state of a car, for circuit sheets.

A wire is *live* where current flows in it or both its ends have half the battery's
volts and more, *sneak* where its current goes through two loads or coils in a row,
else *dead*. Volts are over the body, in V; currents in A.
"""

from __future__ import annotations

from harnesscheck.draw.blocks import DEAD, LIVE, SNEAK, BlockState, SwitchKey
from harnesscheck.draw.links import links_of
from harnesscheck.network.behaviour.states import Behaviour, Condition
from harnesscheck.network.graph.wiring import CAVITY, POINT, TERMINAL, DrawnWire, End
from harnesscheck.network.volts.paths import Ways
from harnesscheck.network.volts.solve import Solution

LEAST_A = 0.001  # a current no meter of a workshop shows
LIVE_SHARE = 0.5  # of the highest volts there are
_USING = frozenset({"load", "coil"})


def state_of(behaviour: Behaviour, condition: Condition) -> BlockState:
    """What to write beside contacts and wires in a condition; where something hunts, its last round.

    Ends joined to no source have no volts. Raises TooLargeError for a car that does not fit in memory.
    """
    solution = behaviour.state(condition).solution
    volts = _volts(behaviour, solution)
    amps = _amps(behaviour, solution)
    ways = Ways(behaviour.circuit)
    highest = max(volts.values(), default=0.0)
    looks: dict[DrawnWire, str] = {}
    judge = behaviour.study.hands_off
    for wire, (number, flow) in amps.items():
        if judge.row(behaviour.circuit.branches[number].row):
            continue
        ends = [volts.get(end, 0.0) for end in (wire.a, wire.b)]
        if flow >= LEAST_A:
            looks[wire] = SNEAK if _is_sneak(ways, solution, number) else LIVE
        else:
            looks[wire] = LIVE if highest > 0 and min(ends) >= LIVE_SHARE * highest else DEAD
    flows = {wire: flow for wire, (_, flow) in amps.items() if wire in looks}
    return BlockState(str(condition), volts, flows, looks, _closed(behaviour, condition, solution))


def _closed(behaviour: Behaviour, condition: Condition, solution: Solution) -> frozenset[SwitchKey]:
    """The switches and contacts that are closed, whether current flows in them or not."""
    worked = behaviour.closed(condition)
    written = {(row.component, f"{row.from_}-{row.to}") for row in behaviour.study.vehicle.netlist.insides}
    return frozenset(
        (port.component, port.name, port.words if (port.component, port.name) in written else frozenset())
        for number, port in enumerate(behaviour.circuit.ports)
        if number in worked
        or (port.sort in ("make", "break") and (port.component in solution.energised) == (port.sort == "make"))
    )


def _volts(behaviour: Behaviour, solution: Solution) -> dict[End, float]:
    """The volts of every end that is joined to a source."""
    index, node_of = behaviour.study.index, behaviour.circuit.node_of
    found: dict[End, float] = {}
    ends = [(End(CAVITY, *key), node) for key, node in index.cavity.items()]
    ends += [(End(TERMINAL, *key), node) for key, node in index.terminal.items()]
    ends += [(End(POINT, name), node) for name, node in index.point.items()]
    judge = behaviour.study.hands_off
    for end, node in ends:
        if judge.node(node):
            continue  # nobody holds a meter there
        volts = float(solution.volts[node_of[node]])
        if volts == volts:
            found[end] = round(volts, 6) + 0.0
    return found


def _amps(behaviour: Behaviour, solution: Solution) -> dict[DrawnWire, tuple[int, float]]:
    """The branch and the current of every wire the circuit has."""
    wire_of = {id(row): wire for wire in links_of(behaviour.study).wiring.conductors for row in wire.rows}
    found: dict[DrawnWire, tuple[int, float]] = {}
    for number, branch in enumerate(behaviour.circuit.branches):
        wire = wire_of.get(id(branch.row)) if branch.sort == "wire" else None
        if wire is not None:
            found[wire] = number, abs(float(solution.branch_amps[number]))
    return found


def _is_sneak(ways: Ways, solution: Solution, number: int) -> bool:
    """Whether a wire's current goes through two loads or coils in a row."""
    way = ways.through(solution, number)
    return way is not None and sum(hop.element.sort in _USING for hop in way.hops()) > 1
