"""Can this circuit take it: what gets worse with something else in the car, and the smallest change that would do.

Every step is solved again: the worst fault is mended by the next wire size that is
made, or the next fuse rating, until nothing is worse than before; then every step
that turns out not to be needed is taken back. Restraint and high-voltage wiring is
never touched. A step can be written as a ``--what-if``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from harnesscheck.compare.carries.loadfindings import Judgement, judgements
from harnesscheck.compare.carries.loads import HOLDS, FuseLoad, Loads, loads_of
from harnesscheck.compare.carries.loadwords import size_words
from harnesscheck.compare.carries.whatif import Change, changed
from harnesscheck.model.places import InputFault
from harnesscheck.model.records import Inside, Pin, Wire
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.behaviour.states import Behaviour, Condition
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import Branch
from harnesscheck.network.volts.ratings import rating_of
from harnesscheck.trade.fuses import CONTINUOUS_USE, standard_ratings_a
from harnesscheck.trade.sizes import Size, next_size

WORSE_BY = 1.1  # a limit that was passed before and is passed by a tenth more is worse; less is the same fault
MOST_STEPS = 40
NEAR = 0.5  # of a limit


@dataclass(frozen=True, slots=True)
class UpgradeStep:
    """One wire or fuse exchanged for the next that is made; ``was`` and ``now`` as written."""

    change: Change
    what: str
    was: str
    now: str

    def __str__(self) -> str:
        """In words."""
        return f"{self.what}: {self.was} -> {self.now}"


@dataclass(frozen=True)
class Upgrade:
    """What got worse, and what would do: ``after`` is the car with the steps, ``open`` what is still worse then."""

    worse: tuple[Judgement, ...]
    steps: tuple[UpgradeStep, ...]
    open: tuple[Judgement, ...]
    after: Loads


def upgrade(before: Loads, now: Loads) -> Upgrade:
    """What is worse now than before, and the smallest change that would mend it."""
    known = KnownCar(before)
    worse = known.worse(now)
    found = Upgrade(worse, (), worse, now)
    for conditions in (_binding(now), now.behaviour.conditions) if worse else ():
        steps = _search(known, now, worse, conditions)
        after = _judged(_with(now.behaviour.study.vehicle, steps), None)
        found = Upgrade(worse, tuple(steps), known.worse(after), after)
        if not found.open:
            break
    return found


def _search(
    known: KnownCar, now: Loads, worse: Sequence[Judgement], conditions: Sequence[Condition]
) -> list[UpgradeStep]:
    """Steps that mend what they can, judged in some conditions only."""
    vehicle, loads, left = now.behaviour.study.vehicle, now, worse
    steps: list[UpgradeStep] = []
    while left and len(steps) < MOST_STEPS:
        taken = next(filter(None, (list(_steps(known, loads, one)) for one in sorted(left, key=_urgency))), [])
        if not taken:
            break
        steps += taken
        loads = _judged(_with(vehicle, _merged(steps)), conditions)
        left = known.worse(loads)
    return _needed(vehicle, _merged(steps), known, conditions, len(left))


def _binding(loads: Loads) -> tuple[Condition, ...]:
    """The conditions in which loads are read or something comes near its limit: enough to judge a step by."""
    numbers = {drop.state for drop in loads.drops}
    for fuse in loads.fuses:
        numbers |= {fuse.nominal_at, fuse.steady_at, fuse.worst_at}
    for wire in loads.wires:
        if wire.share is None or wire.share > NEAR:
            numbers |= {wire.steady_at, wire.worst_at}
    return tuple(loads.state(number).condition for number in sorted(numbers))


class KnownCar:
    """What was wrong with a car before, so that only what got worse is said.

    What was wrong is worse only when it passes its limit by ``WORSE_BY`` more.
    """

    def __init__(self, before: Loads) -> None:
        self.badness: dict[Key, float] = {}
        for one in judgements(before):
            key = key_of(before, one)
            self.badness[key] = max(self.badness.get(key, 0.0), one.badness)
        self.share: dict[str, float] = {}
        for wire in before.wires:
            name = before.branch(wire.wire).name
            self.share[name] = max(self.share.get(name, 0.0), wire.share or 0.0)

    def worse(self, loads: Loads) -> tuple[Judgement, ...]:
        """The judgements of a car that are worse than they were."""
        return tuple(one for one in judgements(loads) if self._is_worse(loads, one))

    def _is_worse(self, loads: Loads, one: Judgement) -> bool:
        if one.finding.kind == "wire-overloaded":
            return any(self.is_worse_wire(loads, wire) for wire in one.wires)
        known = self.badness.get(key_of(loads, one), 0.0)
        return one.badness > (known * WORSE_BY if known > 1 else 0.0)

    def is_worse_wire(self, loads: Loads, wire: int) -> bool:
        """Whether a wire is overloaded that was not, or by much more than it was."""
        share = loads.wire_at[wire].share or 0.0
        known = self.share.get(loads.branch(wire).name, 0.0)
        return share > (known * WORSE_BY if known > 1 else 1.0)


Key = tuple[str, str, str, str]


def key_of(loads: Loads, one: Judgement) -> Key:
    """What a judgement is about, in words that the same car with other data shares."""
    circuit = loads.behaviour.circuit
    fuse = circuit.branches[one.fuse].name if one.fuse >= 0 else ""
    load = circuit.loads[one.load].label if one.load >= 0 and not fuse else ""
    return one.finding.kind, fuse, load, one.side


def _urgency(one: Judgement) -> tuple[int, float]:
    """Fuses before wires, wires before drops: what is mended first helps what comes after."""
    order = ("fuse-too-small", "wire-overloaded", "fuse-too-big", "fuse-too-slow", "volt-drop")
    return order.index(one.finding.kind), -one.badness


def _judged(vehicle: Vehicle, conditions: Sequence[Condition] | None) -> Loads:
    return loads_of(Behaviour(Study(vehicle)), conditions)


def _with(vehicle: Vehicle, steps: Sequence[UpgradeStep]) -> Vehicle:
    for step in steps:
        result = changed(vehicle, step.change)
        assert not isinstance(result, InputFault), result
        vehicle = result
    return vehicle


# -- one step


def _steps(known: KnownCar, loads: Loads, one: Judgement) -> Iterator[UpgradeStep]:
    """The exchanges that mend a judgement, or bring it nearer to it."""
    kind = one.finding.kind
    if kind == "fuse-too-small":
        yield from _bigger_fuse(loads, next(fuse for fuse in loads.fuses if fuse.fuse == one.fuse))
    elif kind == "wire-overloaded":
        for wire in filter(lambda wire: known.is_worse_wire(loads, wire), one.wires):
            load = loads.wire_at[wire]
            yield from _thicker(loads, wire, max(load.steady_a, load.worst_a if load.for_a_moment else 0.0))
    elif kind == "fuse-too-big":
        fuse = next(fuse for fuse in loads.fuses if fuse.fuse == one.fuse)
        for short in fuse.shorts:
            alone = loads.wire_at[short.guard.wire].rating.alone_a
            if alone is not None and fuse.rating_a is not None and alone < fuse.rating_a < short.amps:
                yield from _thicker(loads, short.guard.wire, 0.0, alone_a=fuse.rating_a)
    elif kind == "fuse-too-slow":
        yield from _thicker(loads, one.wires[0], 0.0)
    else:
        drop = next(drop for drop in loads.drops if (drop.load, drop.side) == (one.load, one.side))
        wires = [hop for hop in drop.hops if hop.element.sort == "wire"]
        for hop in sorted(wires, key=lambda hop: -hop.drop_v):
            taken = list(_thicker(loads, _number(loads, hop.element), 0.0))
            if taken:
                yield from taken
                return


def _number(loads: Loads, element: object) -> int:
    return next(number for number, one in enumerate(loads.behaviour.circuit.branches) if one is element)


def _bigger_fuse(loads: Loads, fuse: FuseLoad) -> Iterator[UpgradeStep]:
    """The smallest standard rating that suits the load."""
    if fuse.form is None or fuse.rating_a is None or _is_special(loads, None, fuse.component):
        return
    least = max(fuse.nominal_a / CONTINUOUS_USE, fuse.steady_a, fuse.worst_a / HOLDS, fuse.rating_a * 1.001)
    rating = next((one for one in standard_ratings_a(fuse.form) if one >= least * (1 - 1e-6)), None)
    if rating is not None:
        change = Change(_fuse_target(loads.branch(fuse.fuse)), "rating", f"{rating:g}")
        if _can_be_made(loads, change):
            yield UpgradeStep(change, f"fuse {fuse.name}", f"{fuse.rating_a:g} A", f"{rating:g} A")


def _fuse_target(branch: Branch) -> str:
    return branch.row.id or branch.component if isinstance(branch.row, Inside) else branch.component


def _thicker(loads: Loads, wire: int, amps: float, *, alone_a: float = 0.0) -> Iterator[UpgradeStep]:
    """The next size that is made, and that carries so much; nothing for restraint wiring or an unknown size."""
    branch = loads.branch(wire)
    row = branch.row
    if not isinstance(row, Pin | Wire) or row.size is None or _is_special(loads, row, ""):
        return
    if row.ohms is not None and not (amps or alone_a):
        return  # a resistance wire loses as much, whatever its size
    size: Size | None = next_size(row.size)
    while size is not None:
        rating = rating_of(loads.behaviour.study, replace(row, size=size))
        if (rating.amps or 0.0) >= amps and (rating.alone_a or 0.0) >= alone_a:
            break
        size = next_size(size)
    name = " to ".join(branch.ends) if branch.sort == "wire" else branch.name
    if size is not None and _can_be_made(loads, Change(name, "size", size.text)):
        was, now = (size_words(replace(row, size=one)) for one in (row.size, size))
        yield UpgradeStep(Change(name, "size", size.text), f"wire {name}", was, now)


def _can_be_made(loads: Loads, change: Change) -> bool:
    return not isinstance(changed(loads.behaviour.study.vehicle, change), InputFault)


def _is_special(loads: Loads, row: Pin | Wire | None, component: str) -> bool:
    judge = loads.behaviour.study.hands_off
    return bool(judge.row(row) or judge.part(component))


# -- as few and as small as will do


def _merged(steps: Sequence[UpgradeStep]) -> list[UpgradeStep]:
    """One step a wire or fuse, from what it was at first to what it came to."""
    found: dict[tuple[str, str], UpgradeStep] = {}
    for step in steps:
        key = step.change.target, step.change.field
        found[key] = replace(step, was=found[key].was) if key in found else step
    return list(found.values())


def _needed(
    vehicle: Vehicle, steps: list[UpgradeStep], known: KnownCar, conditions: Sequence[Condition], left: int
) -> list[UpgradeStep]:
    """Without the steps that turn out not to be needed, the last first."""
    for step in reversed(list(steps)):
        fewer = [one for one in steps if one is not step]
        if len(known.worse(_judged(_with(vehicle, fewer), conditions))) <= left:
            steps = fewer
    return steps
