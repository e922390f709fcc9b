"""What to measure next: the reading that splits the rival explanations most evenly.

Rivals weigh as their explanations do; the reading chosen leaves the least weight in the
heaviest outcome. A line of the sheet that is still blank goes before a probe
at the back of a plug. Many rival shorts are halved at a time: the one ends of half
of them tied together against the other ends.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from harnesscheck.bench.readings.explanations import Explanation, FaultGroup, weight_of
from harnesscheck.bench.readings.filled import APART_, JOINED_, PART_
from harnesscheck.bench.readings.loomfaults import LEFT_IN, OPEN, SHORTED, Bench, Fault, Faults
from harnesscheck.bench.ringout.looms import PLUG
from harnesscheck.model.order import natural_key

MOST_RIVALS = 60
MOST_POINTS = 40


@dataclass(frozen=True, slots=True)
class Next:
    """One more reading. ``outcomes`` says which rivals each result leaves: joined, part, apart."""

    a: tuple[int, ...]
    b: tuple[int, ...]
    number: int  # of a blank line of the sheet, else 0
    outcomes: tuple[tuple[str, tuple[Faults, ...]], ...]


def next_readings(bench: Bench, group: FaultGroup) -> tuple[Next, ...]:
    """For each independent choice of a group that is still open, the next reading."""
    rivals: list[tuple[Faults, ...]] = [tuple((fault,) for fault in some) for some in group.factors]
    rivals = rivals or [tuple(one.faults for one in group.explanations)]
    found = (_next(bench, group, some[:MOST_RIVALS]) for some in rivals if len(some) > 1)
    return tuple(one for one in found if one is not None)


def _next(bench: Bench, group: FaultGroup, rivals: Sequence[Faults]) -> Next | None:
    halved = _halved(bench, rivals)
    if halved is not None:
        return halved
    ranked = [Explanation(one, weight_of(bench, frozenset(one))) for one in rivals]
    scenes = [bench.scene(one.faults) for one in ranked]
    best: tuple[tuple[object, ...], Next] | None = None
    for a, b, number in _candidates(bench, group, rivals):
        outcomes: dict[str, list[int]] = {}
        for at, scene in enumerate(scenes):
            outcomes.setdefault(scene.relation(*(scene.behind(node) for node in (a, b))), []).append(at)
        if len(outcomes) < 2:
            continue
        heaviest = max(sum(ranked[at].weight for at in some) for some in outcomes.values())
        behind = sum(_is_behind(bench, node) for node in (a, b))
        apart = bench.looms.places[a] != bench.looms.places[b]
        names = (natural_key(bench.looms.names[a]), natural_key(bench.looms.names[b]))
        key = (round(heaviest, 6), not number, behind, apart, *names)
        if best is None or key < best[0]:
            left = tuple(
                (word, tuple(rivals[at] for at in outcomes[word]))
                for word in (JOINED_, PART_, APART_)
                if word in outcomes
            )
            best = key, Next((a,), (b,), number, left)
    return best[1] if best is not None else None


def _is_behind(bench: Bench, node: int) -> bool:
    """Whether a node is reached at the back of a plug only."""
    looms = bench.looms
    key = looms.connector_of[node], looms.cavity_of[node]
    return bool(key[0]) and looms.face.get(key) != node


def _candidates(bench: Bench, group: FaultGroup, rivals: Sequence[Faults]) -> Iterator[tuple[int, int, int]]:
    """Blank lines about the nets in question, then pairs of the points that the rivals and the readings name."""
    looms = bench.looms
    nets = {net for faults in rivals for fault in faults for net in bench.nets_of(fault)}
    for row in bench.blank:
        if len(row.a) == len(row.b) == 1 and {looms.net_of[row.a[0]], looms.net_of[row.b[0]]} & nets:
            yield row.a[0], row.b[0], row.number
    points: dict[int, None] = {}
    for number in group.wrong:
        row = bench.measured[number].measurement
        if len(row.a) == len(row.b) == 1:
            points.update(dict.fromkeys((row.a[0], row.b[0])))
    for faults in rivals:
        for fault in faults:
            points.update(dict.fromkeys(_points(bench, fault)))
    for a, b in combinations(list(points)[:MOST_POINTS], 2):
        yield a, b, 0


def _points(bench: Bench, fault: Fault) -> Iterator[int]:
    """Where a probe can go near a fault: cavities, at their backs where the plug is mated, and metal."""
    looms = bench.looms
    around: tuple[int, ...]
    if fault.sort == OPEN:
        edge = looms.edges[fault.a]
        around = (edge.a, edge.b)
    elif fault.sort == LEFT_IN and fault.part:
        around = tuple(face for pair in bench.joints_of.get(fault.part, ()) for face in pair)
    else:
        around = (fault.a, fault.b)
        yield from (
            looms.ends_of_net[looms.net_of[node]][0] for node in around if looms.ends_of_net[looms.net_of[node]]
        )
    behind = (looms.wire_side.get((looms.connector_of[node], looms.cavity_of[node]), node) for node in around)
    for node in (*around, *behind):
        if node in looms.shunned or looms.net_of[node] in looms.left_out:
            continue
        mated = any(looms.edges[number].sort == PLUG for number in looms.edges_at[node])
        if node in looms.metals.values() or (looms.connector_of[node] and not mated):
            yield node


def _halved(bench: Bench, rivals: Sequence[Faults]) -> Next | None:
    """Half of many rival shorts, their one ends tied together against their other ends."""
    shorts = [faults[0] for faults in rivals if len(faults) == 1 and faults[0].sort == SHORTED]
    if len(shorts) != len(rivals) or len(shorts) < 3 or not bench.tied:
        return None
    half, rest = shorts[: len(shorts) // 2], shorts[len(shorts) // 2 :]
    sides = bench.sides(next(n for n in bench.tied if bench.measured[n].seen != APART_))
    looms = bench.looms
    ones: dict[int, None] = {}
    zeros: dict[int, None] = {}
    for fault in half:
        for node in (fault.a, fault.b):
            for tie, side in sides.get(looms.net_of[node], ())[:1]:
                (ones if side else zeros)[tie] = None
    if not ones or not zeros:
        return None
    outcomes = ((JOINED_, tuple((one,) for one in half)), (APART_, tuple((one,) for one in rest)))
    return Next(tuple(ones), tuple(zeros), 0, outcomes)
