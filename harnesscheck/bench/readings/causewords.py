"""Explanations and next steps in words a mechanic uses."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from harnesscheck.bench.readings.explanations import FaultGroup, explain
from harnesscheck.bench.readings.filled import APART_, BETWEEN_, JOINED_, PART_, JudgedReading
from harnesscheck.bench.readings.loomfaults import CROSSED, LEFT_IN, OPEN, SHORTED, Bench, Fault, Faults
from harnesscheck.bench.readings.nextreading import Next, next_readings
from harnesscheck.bench.ringout.looms import CONTACT, PLUG, STUD
from harnesscheck.compare.finding.cavitywords import named
from harnesscheck.model.order import natural_key

_RESULT = {JOINED_: "0.5 ohm or less", PART_: "0.5 to 2 ohm, or more, through a part", APART_: "over 1 Mohm"}


@dataclass(frozen=True, slots=True)
class Cause:
    """One rival: its faults in words, and what to do. ``weight`` orders rivals, ``places`` are the ends it is at."""

    sort: str
    faults: tuple[str, ...]
    do: str
    weight: float
    places: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class NextStep:
    """One more reading in words; ``results`` are what it may show and what that leaves."""

    from_: str
    to: str
    place: str
    number: int
    results: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class ToldReadings:
    """A group of wrong readings: the lines, the causes best first, the next steps. ``choices``: independent choices."""

    wrong: tuple[JudgedReading, ...]
    causes: tuple[Cause, ...]
    choices: tuple[tuple[Cause, ...], ...]
    exhaustive: bool
    next: tuple[NextStep, ...]


def told(bench: Bench) -> tuple[ToldReadings, ...]:
    """Every wrong reading explained."""
    return tuple(_told(bench, group) for group in explain(bench))


def _told(bench: Bench, group: FaultGroup) -> ToldReadings:
    bad = {bench.measured[number].seen for number in group.wrong}
    causes = tuple(
        Cause(
            _sort(one.faults),
            faults_words(bench, one.faults, bad),
            _do(bench, one.faults),
            one.weight,
            frozenset(place for fault in one.faults for place in _places(bench, fault)),
        )
        for one in group.explanations
    )
    choices = tuple(
        tuple(Cause(fault.sort, (fault_words(bench, fault, bad),), _do(bench, (fault,)), 1.0) for fault in some)
        for some in group.factors
    )
    wrong = tuple(bench.measured[number] for number in group.wrong)
    steps = tuple(_step(bench, one, bad) for one in next_readings(bench, group))
    return ToldReadings(wrong, causes, choices if len(choices) > 1 else (), group.exhaustive, steps)


def _places(bench: Bench, fault: Fault) -> Iterator[str]:
    """The ends that the words of a fault name."""
    looms = bench.looms
    if fault.sort == OPEN:
        edge = looms.edges[fault.a]
        yield from (looms.names[edge.a], looms.names[edge.b])
    elif fault.sort == CROSSED:
        yield from (looms.names[fault.a], looms.names[fault.b])
    elif not fault.part:
        yield from (_first_end(bench, node) for node in (fault.a, fault.b))


def _first_end(bench: Bench, node: int) -> str:
    """What a net goes by: the first of its ends."""
    ends = bench.looms.ends_of_net[bench.looms.net_of[node]]
    return bench.looms.names[ends[0] if ends else node]


def _sort(faults: Faults) -> str:
    return " + ".join(fault.sort for fault in faults)


def faults_words(bench: Bench, faults: Faults, seen: Collection[str] = ()) -> tuple[str, ...]:
    """Some faults that are there together; contacts that went round in a ring are told as one."""
    crossed = [fault for fault in faults if fault.sort == CROSSED]
    shared = {node for fault in crossed for node in (fault.a, fault.b) if sum(node in (o.a, o.b) for o in crossed) > 1}
    ring = [fault for fault in crossed if {fault.a, fault.b} & shared]
    words = [fault_words(bench, fault, seen) for fault in faults if fault not in ring]
    if ring:
        looms, moved = bench.looms, bench.scene(tuple(ring)).moved
        sits = sorted(f"{looms.names[face]} holds the wire of {looms.names[wire]}" for face, wire in moved.items())
        words.append(f"contacts of {looms.connector_of[ring[0].a]} in each other's cavities: {', '.join(sits)}")
    return tuple(words)


def fault_words(bench: Bench, fault: Fault, seen: Collection[str] = ()) -> str:
    """One fault as a person would say it."""
    looms = bench.looms
    if fault.sort == OPEN:
        return _open_words(bench, fault, bool({PART_, BETWEEN_}.intersection(seen)) and APART_ not in seen)
    if fault.sort == CROSSED:
        plug = looms.connector_of[fault.a]
        both = f"{looms.names[fault.a]} and {looms.names[fault.b]}"
        return f"{both} crossed: each contact sits in the other's cavity of {plug}"
    if fault.sort == SHORTED:
        verb = "touch" if BETWEEN_ not in seen else "leak into each other (moisture, a chafed wire)"
        unsure = {looms.net_of[fault.a], looms.net_of[fault.b]} & looms.unwritten
        rightly = "; or rightly so: the file does not say where a wire of them ends" if unsure else ""
        return f"{net_words(bench, fault.a)} and {net_words(bench, fault.b)} {verb}{rightly}"
    if not fault.part:
        return f"something left plugged in between {net_words(bench, fault.a)} and {net_words(bench, fault.b)}"
    row = looms.study.vehicle.components[fault.part]
    return f"{named(looms.study, row.id)} left plugged in" + (f", {row.at}" if row.at else "")


def _open_words(bench: Bench, fault: Fault, bad: bool) -> str:
    looms = bench.looms
    edge = looms.edges[fault.a]
    what = "bad joint" if bad else "open"
    if edge.sort == CONTACT:
        kept_off = ", ".join(looms.never_probed(looms.connector_of[edge.a])[:3])
        caution = f" (look only: {kept_off} must not be probed)" if kept_off else ""
        return f"{looms.names[edge.a]} {what}: contact pushed back, crimp, or it sits in another cavity{caution}"
    if edge.sort == PLUG:
        return f"{edge.name} {what}: the two contacts do not touch"
    if edge.sort == STUD:
        return f"{edge.name} {what}: eyelet loose, or no bare metal under it"
    never = "; or never there: the file only takes it to be so" if edge.likely else ""
    return f"{edge.name} {what}: broken or cut{never}"


def net_words(bench: Bench, node: int) -> str:
    """A net by its circuits and the first end of it."""
    looms = bench.looms
    net = looms.net_of[node]
    if looms.is_metal(net):
        return "the body"
    circuits = {edge.row.circuit for n in looms.nodes_of[net] for edge in looms.wires_at(n) if edge.row is not None}
    named = sorted(filter(None, circuits), key=natural_key)
    first = _first_end(bench, node)
    return f"{'/'.join(named[:2])} ({first})" if named else first


def _do(bench: Bench, faults: Faults) -> str:
    """What to do about some faults."""
    sorts = {fault.sort for fault in faults}
    if sorts == {CROSSED}:
        return "Compare both cavities' colours with the sheet; put the contacts where they belong, then measure again."
    if sorts == {LEFT_IN}:
        return "Unplug it and measure again."
    if sorts == {OPEN}:
        return "Look at the contact, pull gently at the wire, follow it; mend it, then measure again."
    if sorts == {SHORTED}:
        return "Look where both run side by side: plugs, splices, edges of metal. Mend it, then measure again."
    return "Mend one, measure its lines again, then the other."


def _step(bench: Bench, one: Next, seen: Collection[str]) -> NextStep:
    looms = bench.looms
    results = tuple(
        (_RESULT[word], tuple("; ".join(faults_words(bench, faults, seen)) for faults in left))
        for word, left in one.outcomes
    )
    last = max((*one.a, *one.b), key=looms.walk_key)
    return NextStep(_tied(bench, one.a), _tied(bench, one.b), looms.places[last], one.number, results)


def _tied(bench: Bench, nodes: Sequence[int]) -> str:
    names = [_point_words(bench, node) for node in nodes]
    return names[0] if len(names) == 1 else "tied together: " + ", ".join(names)


def _point_words(bench: Bench, node: int) -> str:
    looms = bench.looms
    key = looms.connector_of[node], looms.cavity_of[node]
    if node in looms.metals.values():
        return f"{looms.names[node]} (bare metal)"
    return looms.names[node] if looms.face.get(key) == node or not key[0] else f"{looms.names[node]} at its back"
