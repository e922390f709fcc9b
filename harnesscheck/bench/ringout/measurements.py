"""Ring out: which readings prove that the looms are joined as the file says, and nothing else is.

A net of k ends needs k - 1 continuity readings. That n nets are apart is shown by

* ``groups``: ⌈log2 n⌉ tests with a kit of tie leads. The nets are numbered from 0;
  test b holds all whose number has bit b against all others. Two nets differ in some
  bit, so every short shows in some test [1]_.
* ``rest``: n tests with a kit, each net against all others tied together.
* ``pairs``: without tying, readings between pairs; only these pairs are proven apart:
  feeds against ground, steady feeds that share a plug, neighbours in a plug.

References
----------
.. [1] W. H. Kautz, "Testing for faults in wiring networks", IEEE Transactions on
   Computers C-23 (1974), pp. 358-363: named from memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import combinations, pairwise

from harnesscheck.bench.ringout.looms import Looms, looms_of, ohms_from
from harnesscheck.model.order import NaturalKey, natural_key
from harnesscheck.network.graph.sides import FEEDS, STEADY_FEEDS, Label, Study
from harnesscheck.network.volts.circuit import DcCircuit
from harnesscheck.network.volts.lumping import BODY
from harnesscheck.trade.colours import Colour

GOOD_OHM = 0.5  # at most, for a joint; workshop practice, no source
ISOLATED_OHM = 1e6  # above it two nets are apart; workshop practice, no source
LEADS_OHM = 0.2  # a plain meter's leads and the probes' contacts; common practice, no source
MARGIN = 1.25  # copper warmer than 20 °C, tolerance of the wire; common practice, no source
CONTINUITY, ISOLATION = "continuity", "isolation"
PAIRS, GROUPS, REST = "pairs", "groups", "rest"
AT_THE_KIT = "where the tie leads come together"


@dataclass(frozen=True, slots=True)
class Measurement:
    """One reading in ohms between two ends, or two sets of ends each tied together.

    ``joined`` says what is expected: at most ``limit_ohm``, or above ``ISOLATED_OHM``.
    ``place`` is where one stands; ``why`` is what of the limit was assumed; ``likely``
    that the file does not say for certain what is joined.
    """

    number: int
    sort: str
    place: str
    a: tuple[int, ...]
    b: tuple[int, ...]
    from_: str
    to: str
    joined: bool
    limit_ohm: float = GOOD_OHM
    likely: bool = False
    why: str = ""
    note: str = ""

    @property
    def expect(self) -> str:
        """What should be read, in words that a spreadsheet leaves alone."""
        return f"{self.limit_ohm:g} ohm or less" if self.joined else "over 1 Mohm"


@dataclass(frozen=True, slots=True)
class Ringout:
    """What to measure on one car, in the order of one walk.

    ``tested`` are the nets that are held apart, those that only a saw would part as one
    set (metal parts on one another, what a part that stays in joins); ``ties`` gives
    the ends that the tie leads of each set go to.
    """

    looms: Looms
    plan: str
    measurements: tuple[Measurement, ...]
    tested: tuple[tuple[int, ...], ...]
    ties: tuple[tuple[int, ...], ...]

    @property
    def continuity(self) -> tuple[Measurement, ...]:
        """The readings that prove joints."""
        return tuple(one for one in self.measurements if one.joined)

    @property
    def isolation(self) -> tuple[Measurement, ...]:
        """The readings that prove nets apart."""
        return tuple(one for one in self.measurements if not one.joined)

    @property
    def pairs_in_all(self) -> int:
        """How many pairs of nets there are."""
        return math.comb(len(self.tested), 2)

    @property
    def pairs_proven(self) -> int:
        """How many of them the isolation readings, all good, prove apart."""
        return len(self.isolation) if self.plan == PAIRS else self.pairs_in_all


def group_tests(nets: int) -> int:
    """How many two-group tests show that so many nets are apart: ⌈log2 n⌉.

    >>> [group_tests(n) for n in (0, 1, 2, 3, 4, 5, 256, 257)]
    [0, 0, 1, 2, 2, 3, 8, 9]
    """
    return max(nets - 1, 0).bit_length()


def ring_out(study: Study, plan: str = PAIRS, circuit: DcCircuit | None = None) -> Ringout:
    """The readings of one car. ``plan`` is ``pairs``, ``groups`` or ``rest``."""
    looms = looms_of(study, circuit)
    planner = _Planner(looms)
    rows = [*planner.continuity(), *planner.isolation(plan)]
    order = sorted(rows, key=lambda one: _walk(looms, one))
    numbered = tuple(
        replace(one, number=number, note=_with_caution(looms, one)) for number, one in enumerate(order, start=1)
    )
    return Ringout(looms, plan, numbered, planner.tested, planner.ties)


def _with_caution(looms: Looms, row: Measurement) -> str:
    """The note, which cavities beside a probe are never probed, and which plug stays in while it is."""
    ends = (*row.a, *row.b) if len(row.a) == len(row.b) == 1 else ()
    plugs = tuple(dict.fromkeys(looms.connector_of[node] for node in ends))
    names = [name for plug in plugs for name in looms.never_probed(plug)]
    few = ", ".join(names[:3]) + (" and others" if len(names) > 3 else "")
    held = ", ".join(plug for plug in plugs if looms.study.hands_off.is_shared(plug))
    stays = f"{held} stays plugged in, from the back" if held else ""
    return "; ".join(filter(None, (row.note, stays, f"keep off {few} (restraint or high voltage)" if names else "")))


def _walk(looms: Looms, row: Measurement) -> tuple[object, ...]:
    """Place by place in natural order, metal first; at a place joints before isolation; kit tests last, as made."""
    if row.place == AT_THE_KIT:
        return (2, row.number)
    later = max(looms.walk_key(node) for node in (*row.a, *row.b) if looms.places[node] == row.place)
    key = natural_key(row.place)
    return (int(later[0]), key, not row.joined, natural_key(row.from_), natural_key(row.to))


class _Planner:
    """Gathers the readings of one car."""

    def __init__(self, looms: Looms) -> None:
        self.looms = looms
        self.study = looms.study

    # -- joints

    def continuity(self) -> Iterator[Measurement]:
        """k - 1 readings for every net of k ends: along the walk, on the body from the nearest metal part."""
        for net, ends in enumerate(self.looms.ends_of_net):
            if len(ends) < 2:
                continue
            metals = [node for node in ends if node in self.metals]
            if metals:
                yield from self._to_metal(ends, metals)
                continue
            for here, there in pairwise(ends):
                yield self._joint(here, there, ohms_from(self.looms, here)[there], net)

    @cached_property
    def metals(self) -> frozenset[int]:
        """The nodes of body, engine and other metal."""
        return frozenset(self.looms.metals.values())

    def _to_metal(self, ends: Sequence[int], metals: Sequence[int]) -> Iterator[Measurement]:
        reached = {metal: ohms_from(self.looms, metal) for metal in metals}
        first = self.looms.metals.get(BODY, metals[0])
        first = first if first in reached else metals[0]
        for end in ends:
            if end == first:
                continue
            from_ = (
                first
                if end in self.metals
                else min(metals, key=lambda one: (round(reached[one][end][0], 9), self.looms.walk_key(one)))
            )
            yield self._joint(end, from_, reached[from_][end], self.looms.net_of[end])

    def _joint(self, a: int, b: int, way: tuple[float, str, bool], net: int) -> Measurement:
        ohm, why, likely = way
        limit = limit_ohm(ohm)
        note = self.wire_words(a if b in self.metals else b)
        return Measurement(
            0,
            CONTINUITY,
            self._place(a, b),
            (a,),
            (b,),
            self.name(a),
            self.name(b),
            True,
            limit,
            likely,
            why if limit > GOOD_OHM else "",
            note,
        )

    # -- isolation

    @cached_property
    def tested(self) -> tuple[tuple[int, ...], ...]:
        """The nets that are held apart, those that nothing can part as one; not those that may lead anywhere."""
        looms = self.looms
        classes: dict[int, list[int]] = {}
        for net, ends in enumerate(looms.ends_of_net):
            if ends and not (len(ends) == 1 and net in looms.unwritten):
                classes.setdefault(looms.together[net], []).append(net)
        ordered = [tuple(sorted(nets, key=self._net_key)) for nets in classes.values()]
        return tuple(sorted(ordered, key=lambda nets: self._net_key(nets[0])))

    def _net_key(self, net: int) -> tuple[bool, NaturalKey, NaturalKey]:
        return self.looms.walk_key(self._tie(net))

    @cached_property
    def ties(self) -> tuple[tuple[int, ...], ...]:
        """Where the tie leads of each tested set go: bare metal where there is any, else the walk's first end."""
        return tuple(tuple(self._tie(net) for net in nets) for nets in self.tested)

    def _tie(self, net: int) -> int:
        ends = self.looms.ends_of_net[net]
        body = self.looms.metals.get(BODY)
        return body if body in ends else next((node for node in ends if node in self.metals), ends[0])

    def isolation(self, plan: str) -> Iterator[Measurement]:
        """The readings that hold nets apart, by plan."""
        if plan == GROUPS:
            yield from self._groups()
        elif plan == REST:
            yield from self._each_against_rest()
        else:
            yield from self._pairs()

    def _groups(self) -> Iterator[Measurement]:
        for bit in range(group_tests(len(self.tested))):
            ones = tuple(tie for number, ties in enumerate(self.ties) if number >> bit & 1 for tie in ties)
            zeros = tuple(tie for number, ties in enumerate(self.ties) if not number >> bit & 1 for tie in ties)
            yield self._tied(bit + 1, ones, zeros, f"group {bit + 1}, tied 1", f"group {bit + 1}, tied 0")

    def _each_against_rest(self) -> Iterator[Measurement]:
        for number, ties in enumerate(self.ties if len(self.ties) > 1 else ()):
            rest = tuple(tie for others in (*self.ties[:number], *self.ties[number + 1 :]) for tie in others)
            yield self._tied(number + 1, ties, rest, self.name(ties[0]), "all others tied")

    def _tied(self, number: int, a: tuple[int, ...], b: tuple[int, ...], from_: str, to: str) -> Measurement:
        likely = any(self.looms.net_of[node] in self.looms.unwritten for node in (*a, *b))
        note = f"{len(a)} against {len(b)} ends"
        return Measurement(number, ISOLATION, AT_THE_KIT, a, b, from_, to, False, likely=likely, note=note)

    def _pairs(self) -> Iterator[Measurement]:
        looms = self.looms
        tested = {net for nets in self.tested for net in nets}
        seen: set[tuple[int, int]] = set()
        for a, b, note in self._wanted_pairs():
            nets = looms.net_of[a], looms.net_of[b]
            key = min(nets), max(nets)
            if key in seen or not set(key) <= tested or looms.together[key[0]] == looms.together[key[1]]:
                continue
            seen.add(key)
            likely = bool(looms.unwritten & set(key))
            place, names = self._place(a, b), (self.name(a), self.name(b))
            yield Measurement(0, ISOLATION, place, (a,), (b,), *names, False, likely=likely, note=note)

    def _wanted_pairs(self) -> Iterator[tuple[int, int, str]]:
        """Neighbours first: where both are ends of one plug, one stands still to measure."""
        yield from self._neighbours()
        feeds = [net for nets in self.tested for net in nets if self._label(net) in FEEDS]
        for net in feeds:
            for ground in self.grounds:
                yield self._tie(net), self._tie(ground), "feed against ground"
        steady = [net for net in feeds if self._label(net) in STEADY_FEEDS]
        for one, other in combinations(steady, 2):
            shared = self._plugs(one) & self._plugs(other)
            if shared:
                yield self._tie(one), self._tie(other), f"feeds, both in {self._named(min(shared, key=natural_key))}"

    def _neighbours(self) -> Iterator[tuple[int, int, str]]:
        """Cavities next to each other by name in one plug half, measured there where both are ends."""
        for connector in sorted({name for name, _ in self.looms.face}, key=natural_key):
            faces = [self.looms.face.get((connector, name)) for name in self._cavities(connector)]
            for here, there in pairwise(faces):
                if here is not None and there is not None and self._probed(here) and self._probed(there):
                    yield self._nearest(here), self._nearest(there), f"neighbours in {self._named(connector)}"

    def _named(self, connector: str) -> str:
        """A plug as a note names it: one that only the licensed person opens stays in, whatever else is in it."""
        stays = self.study.hands_off.plug(connector)
        return f"{connector}, which stays plugged in" if stays else connector

    def _cavities(self, connector: str) -> list[str]:
        return sorted(self.study.index.cavities(connector), key=natural_key)

    def _probed(self, face: int) -> bool:
        return bool(self.looms.ends_of_net[self.looms.net_of[face]])

    def _nearest(self, face: int) -> int:
        """The face itself where it is an end, else an end of its net."""
        net = self.looms.net_of[face]
        return face if face in self.looms.ends_of_net[net] else self._tie(net)

    @cache  # noqa: B019 - one planner a car
    def _plugs(self, net: int) -> frozenset[str]:
        return frozenset(filter(None, (self.looms.connector_of[node] for node in self.looms.nodes_of[net])))

    @cached_property
    def grounds(self) -> tuple[int, ...]:
        """The tested nets that are metal parts."""
        return tuple(net for nets in self.tested for net in nets if self.looms.is_metal(net))

    def _label(self, net: int) -> Label | None:
        """What a net is with everything plugged in; None for metal parts and bare splices."""
        nodes = [node for node in self.looms.nodes_of[net] if self.looms.connector_of[node]]
        if net in self.grounds or not nodes:
            return None
        found = self.study.index.net(self.looms.connector_of[nodes[0]], self.looms.cavity_of[nodes[0]])
        return self.study.net_side(found).label if found is not None else None

    # -- words

    def name(self, node: int) -> str:
        """What a person calls an end."""
        looms = self.looms
        if node in self.metals:
            return f"{looms.names[node]} (bare metal)"
        return looms.names[node]

    def _place(self, a: int, b: int) -> str:
        """Where one stands: at the later of both ends; bare metal is met everywhere."""
        held = [node for node in (a, b) if node not in self.metals] or [a, b]
        return self.looms.places[max(held, key=self.looms.walk_key)]

    def wire_words(self, node: int) -> str:
        """Circuit, colour and size of the wire behind an end."""
        for edge in self.looms.wires_at(node):
            row = edge.row
            if row is not None:
                colour = row.colour.text if isinstance(row.colour, Colour) else ""
                size = f"{row.size.area_mm2:g} mm2" if row.size is not None else ""
                return " ".join(filter(None, (row.circuit or "", colour, size)))
        return ""


def limit_ohm(path_ohm: float) -> float:
    """The most a good joint may read: 0.5 Ω, more where its copper alone comes near that.

    >>> limit_ohm(0.02), limit_ohm(0.24), limit_ohm(0.4), limit_ohm(1.0)
    (0.5, 0.5, 0.7, 1.5)
    """
    return max(GOOD_OHM, math.ceil(round((path_ohm * MARGIN + LEADS_OHM) * 10, 6)) / 10)
