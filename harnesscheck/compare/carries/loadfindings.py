"""Findings of one car's loads: what is overloaded, what no fuse protects in time, where volts are lost.

One fault is told once: overloaded wires behind one fuse are one finding, so are all
wires a fuse is too big for, and all loads that lose their volts in one place.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from harnesscheck.compare.carries.loads import HOLDS, FuseLoad, Loads, ShortAtEnd, WireLoad
from harnesscheck.compare.carries.loadwords import (
    assumptions,
    condition_words,
    drop_words,
    fuse_text,
    load_words,
    terminal_spot,
    way_rows,
    wire_spot,
    wire_words,
)
from harnesscheck.compare.carries.rated import volts_findings
from harnesscheck.compare.finding.cautions import guarded, stop
from harnesscheck.compare.finding.cavitywords import named
from harnesscheck.compare.finding.findings import (
    NO_SPOT,
    Evidence,
    Finding,
    Spot,
    capital,
    in_order,
    least,
    make_finding,
)
from harnesscheck.compare.finding.kinds import KindName
from harnesscheck.compare.finding.sentences import SENTENCES
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.behaviour.drops import FEED, Drop
from harnesscheck.network.behaviour.shorts import ShortCircuit, short_circuits
from harnesscheck.network.hands_off import together
from harnesscheck.network.volts.circuit import Branch
from harnesscheck.network.volts.paths import Hop, Way, Ways
from harnesscheck.network.volts.ratings import SHORT_S, Rating
from harnesscheck.trade.fuses import CONTINUOUS_USE

ROUNDING = 1e-6
MINUTE_S = 60.0
ALTERNATOR_HOLDS = "the alternator holds its volts whatever it gives"


@dataclass(frozen=True)
class Judgement:
    """A finding and what it is about, so that two cars can be held against each other.

    ``fuse`` and ``load`` are numbers (branch, load), -1 where it is about none;
    ``badness`` is how far the limit is passed, 1 at the limit. ``side`` is a drop's.
    """

    finding: Finding
    words: str  # its sentence as a part of another
    badness: float
    fuse: int = -1
    load: int = -1
    wires: tuple[int, ...] = ()
    side: str = ""


def load_findings(loads: Loads) -> tuple[Finding, ...]:
    """Everything wrong with what one car's wiring carries, worst first; of a short's own wires the short alone."""
    shorts = short_circuits(loads.behaviour)
    branches = loads.behaviour.circuit.branches
    shorted = {id(one) for short in shorts for one in short.way}
    others = (one.finding for one in judgements(loads) if not any(id(branches[n]) in shorted for n in one.wires))
    return tuple(in_order([*(_short(loads, short) for short in shorts), *volts_findings(loads), *others]))


def _short(loads: Loads, short: ShortCircuit) -> Finding:
    """A short circuit of one car: the state, the way, and which fuse blows."""
    study = loads.behaviour.study
    spots = [Spot(*key) for key, node in study.index.cavity.items() if _node(loads, node) in short.nodes]
    spots = [one for one in spots if study.vehicle.connectors[one.connector].component is None]
    spot = min(spots, key=lambda one: (natural_key(one.connector), natural_key(one.cavity)), default=NO_SPOT)
    fuses = ", ".join(fuse_text(one.name, one.rating_a) for one in short.fuses)
    ports = ", ".join(f"{one.component} {one.name}" for one in short.ports)
    words = {
        "own": f"Battery + of {named(study, short.source)}",
        "now": f"the body{f' through {ports}' if ports else ', joined by wire alone,'} with {short.condition}",
        "fuse": f"a short circuit; fuse {fuses} blows" if fuses else "a short circuit with no fuse on the way",
    }
    evidence = Evidence(shown={"state": str(short.condition), "amps": round(short.amps, 1)})
    component = short.ports[-1].component if short.ports else short.source
    return make_finding("feed-to-ground", least(short.is_written), spot, NO_SPOT, words, (component, ""), evidence)


def _node(loads: Loads, node: int) -> int:
    return loads.behaviour.circuit.node_of[node]


def judgements(loads: Loads) -> tuple[Judgement, ...]:
    """The findings of one car with what they are about, in no particular order."""
    return tuple(_Judge(loads).all())


class _Judge:
    def __init__(self, loads: Loads) -> None:
        self.loads = loads
        self.study = loads.behaviour.study
        self.circuit = loads.behaviour.circuit
        self.ways = Ways(self.circuit)
        self.fuse_of: dict[int, int] = {}
        for guard in loads.feeds.guards:
            self.fuse_of.setdefault(guard.wire, guard.fuse)

    def all(self) -> Iterator[Judgement]:
        """Every judgement of a car: overloaded wires, fuses, lost volts."""
        yield from self._overloaded()
        for fuse in self.loads.fuses:
            yield from self._fuse(fuse)
        yield from self._drops()

    # -- wires

    def _overloaded(self) -> Iterator[Judgement]:
        """One finding for all overloaded wires that one fuse guards, or that one load's current goes through."""
        groups: dict[tuple[int, int], list[WireLoad]] = defaultdict(list)
        for wire in self.loads.wires:
            if wire.share is not None and wire.share > 1 + ROUNDING:
                fuse = self.fuse_of.get(wire.wire, -1)
                groups[fuse, -1 if fuse >= 0 else self._strongest(self._way(wire))].append(wire)
        for (fuse, _), wires in groups.items():
            yield self._wire_judgement(wires, fuse)

    def _way(self, wire: WireLoad) -> Way | None:
        state = self.loads.state(wire.worst_at if wire.for_a_moment else wire.steady_at)
        return self.ways.through(state.solution, wire.wire)

    def _strongest(self, way: Way | None) -> int:
        """The load most of a wire's current goes to or comes from; -1 where there is none."""
        for hop in (*way.ground, *reversed(way.feed)) if way is not None else ():
            if hop.element.sort == "load":
                return self.circuit.load_of[hop.element.component, hop.element.name]
        return -1

    def _wire_judgement(self, wires: Sequence[WireLoad], fuse: int) -> Judgement:
        worst = max(wires, key=lambda one: one.share or 0.0)  # of equal ones the first in natural order
        branch, rating, way = self.loads.branch(worst.wire), worst.rating, self._way(worst)
        load, moment = self._strongest(way), worst.for_a_moment
        amps, at = (worst.worst_a, worst.worst_at) if moment else (worst.steady_a, worst.steady_at)
        allowed = (rating.for_a_moment_a if moment else rating.amps) or 0.0
        others = [wire_words(self.loads.branch(one.wire)) for one in wires if one is not worst]
        text = f"wire {wire_words(branch)} carries {amps:.1f} A, good for {allowed:.1f} A"
        text += f" for {SHORT_S:g} s" if moment else ""
        text += f"; with {self._state(at)}" + (f"; most of it for {load_words(self.loads, load)}" if load >= 0 else "")
        text += f"; {len(others)} more {'wire' if len(others) == 1 else 'wires'} on its way as well" if others else ""
        hops = tuple(way.hops()) if way is not None else ()
        parts = [branch, *_branches(hops)]
        shown = {
            "amps": round(amps, 3),
            "allowed_amps": round(allowed, 2),
            "by": rating.allowable.source if rating.allowable is not None else "",
            "state": str(self.loads.state(at).condition),
            "path": way_rows(hops),
            "also": others,
        }
        assumed = assumptions(parts, rating.assumed)
        sure = _is_verified(rating) and not any(part.why or part.likely for part in parts)
        if not moment and float(self.loads.currents.nominal.amps[worst.wire]) <= allowed:
            sure = False
            assumed = [*assumed, ALTERNATOR_HOLDS]
        component = self.circuit.loads[load].component if load >= 0 else ""
        finding = self._made("wire-overloaded", sure, wire_spot(branch), component, text, shown, assumed, branch)
        return Judgement(finding, text, worst.share or 0.0, fuse, load, tuple(one.wire for one in wires))

    # -- fuses

    def _fuse(self, fuse: FuseLoad) -> Iterator[Judgement]:
        if fuse.too_big:
            yield self._too_big(fuse)
        elif fuse.slowest is not None:
            yield self._too_slow(fuse, fuse.slowest)
        if fuse.too_small:
            yield self._too_small(fuse)

    def _too_big(self, fuse: FuseLoad) -> Judgement:
        assert fuse.thinnest is not None
        assert fuse.rating_a is not None
        place, amps = fuse.thinnest
        wire = self.loads.wires[place]
        branch, rating = self.loads.branch(wire.wire), wire.rating
        text = f"{capital(fuse_text(fuse.name, fuse.rating_a))} guards wire {wire_words(branch)}, good for {amps:.1f} A"
        short = next(one for one in fuse.shorts if one.guard.wire == wire.wire)
        if short.safe is False:
            text += f"; not even a dead short at its far end ({short.amps:.0f} A) blows the fuse in time"
        shown = {
            "rating": fuse.rating_a,
            "allowed_amps": round(amps, 2),
            "by": rating.alone.source if rating.alone is not None else "",
            "amps": round(wire.steady_a, 3),
            "short_amps": round(short.amps, 1),
        }
        assumed = assumptions([branch], rating.assumed)
        sure = rating.is_sure and not branch.likely
        finding = self._made("fuse-too-big", sure, wire_spot(branch), fuse.component, text, shown, assumed, branch)
        return Judgement(finding, text, fuse.rating_a / amps if amps > 0 else float("inf"), fuse.fuse, -1, (wire.wire,))

    def _too_slow(self, fuse: FuseLoad, short: ShortAtEnd) -> Judgement:
        wire = self.loads.wire_at[short.guard.wire]
        branch, rating = self.loads.branch(wire.wire), wire.rating
        text = f"a short at the far end of wire {wire_words(branch)} passes {short.amps:.0f} A: "
        text += f"{fuse_text(fuse.name, fuse.rating_a)} "
        if short.melts_s is None:
            text += "may never blow"
        else:
            text += f"may take {short.melts_s:.2g} s" if short.melts_s < MINUTE_S else f"may take {short.melts_s:.0f} s"
        if short.stands_a2s is not None and short.lets_a2s is not None:
            text += f" and lets {short.lets_a2s:.0f} A²s through, the wire stands {short.stands_a2s:.0f} A²s"
        else:
            text += f", and the wire is good for {rating.alone_a or 0.0:.1f} A"
        shown = {
            "rating": fuse.rating_a,
            "short_amps": round(short.amps, 1),
            "loop_ohm": round(short.guard.loop_ohm or 0.0, 5),
            "volts": short.guard.volts,
            "melts_s": None if short.melts_s is None else round(short.melts_s, 4),
            "lets_a2s": None if short.lets_a2s is None else round(short.lets_a2s, 1),
            "stands_a2s": None if short.stands_a2s is None else round(short.stands_a2s, 1),
        }
        assumed = list(dict.fromkeys([*short.guard.whys, *rating.assumed, *_form_assumed(fuse)]))
        sure = not short.guard.whys and not branch.likely and not fuse.form_assumed and _is_verified(rating)
        finding = self._made("fuse-too-slow", sure, wire_spot(branch), fuse.component, text, shown, assumed, branch)
        badness = short.lets_a2s / short.stands_a2s if short.lets_a2s and short.stands_a2s else 1.0
        return Judgement(finding, text, badness, fuse.fuse, -1, (wire.wire,))

    def _too_small(self, fuse: FuseLoad) -> Judgement:
        assert fuse.rating_a is not None
        lasting = fuse.nominal_a > CONTINUOUS_USE * fuse.rating_a
        if lasting:
            amps, at, share = fuse.nominal_a, fuse.nominal_at, CONTINUOUS_USE
        elif fuse.steady_a > fuse.rating_a:
            amps, at, share = fuse.steady_a, fuse.steady_at, 1.0
        else:
            amps, at, share = fuse.worst_a, fuse.worst_at, HOLDS
        text = f"{capital(fuse_text(fuse.name, fuse.rating_a))} carries {amps:.1f} A"
        text += f", {amps / fuse.rating_a:.0%} of its rating"
        text += " at the loads' rated volts" if lasting else ""
        text += f"; at most {share:.0%} is good practice" if share < 1 else ": it may blow"
        text += f"; with {self._state(at)}"
        way = self.ways.through(self.loads.state(at).solution, fuse.fuse)
        load = self._strongest(way)
        text += f"; most of it for {load_words(self.loads, load)}" if load >= 0 else ""
        hops = tuple(way.hops()) if way is not None else ()
        shown = {
            "rating": fuse.rating_a,
            "amps": round(amps, 3),
            "share": round(amps / fuse.rating_a, 3),
            "state": str(self.loads.state(at).condition),
            "path": way_rows(hops),
        }
        assumed = assumptions(_branches(hops))
        spot = self._fuse_spot(fuse)
        sure = not any(part.why or part.likely for part in _branches(hops))
        finding = self._made(
            "fuse-too-small", sure, spot, fuse.component, text, shown, assumed, self.loads.branch(fuse.fuse)
        )
        return Judgement(finding, text, amps / fuse.rating_a / share, fuse.fuse, load)

    def _fuse_spot(self, fuse: FuseLoad) -> Spot:
        """The contact on the fuse's far end."""
        ends = self.loads.feeds.ends.get(fuse.fuse)
        spot = terminal_spot(self.loads, fuse.component, ends[1]) if ends is not None else NO_SPOT
        return spot if spot.connector else Spot("", "", fuse.name)

    # -- drops

    def _drops(self) -> Iterator[Judgement]:
        """One finding for all loads that lose most of their volts in one place."""
        groups: dict[tuple[str, tuple[str, str, str]], list[Drop]] = defaultdict(list)
        for drop in self.loads.drops:
            if drop.volts > drop.limit_v + ROUNDING:
                groups[drop.side, drop.culprit.element.key].append(drop)
        for drops in groups.values():
            yield self._drop(drops)

    def _label(self, load: int) -> str:
        return self.circuit.loads[load].label if load >= 0 else ""

    def _drop(self, drops: Sequence[Drop]) -> Judgement:
        worst = min(drops, key=lambda one: (-one.volts / one.limit_v, natural_key(self._label(one.load))))
        element = worst.culprit.element
        what = capital(load_words(self.loads, worst.load)) if worst.load >= 0 else "the charging lead"
        others = [load_words(self.loads, one.load) for one in drops if one is not worst]
        place = wire_words(element) if isinstance(element, Branch) else f"{element.component} {element.name}"
        text = f"{what} loses {worst.volts:.2f} V on its {drop_words(worst)}" if worst.load >= 0 else f"{what} loses "
        text += "" if worst.load >= 0 else f"{worst.volts:.2f} V"
        text += f" at {worst.amps:.1f} A, {worst.limit_v:.1f} V is good practice for a {worst.function}"
        text += f"; {worst.culprit.drop_v:.2f} V of it on {element.sort} {place}; with {self._state(worst.state)}"
        text += f"; {', '.join(others)} as well" if others else ""
        volts = self._nominal_v(worst)
        lost_in = wire_spot(element) if isinstance(element, Branch) else NO_SPOT
        shown = {
            "volts": round(worst.volts, 4),
            "limit_volts": worst.limit_v,
            "most_volts": round(worst.most_v, 4),
            "percent": round(100 * worst.volts / volts, 2),
            "amps": round(worst.amps, 3),
            "state": str(self.loads.state(worst.state).condition),
            "path": way_rows(worst.hops),
            "most_at": asdict(lost_in) if isinstance(element, Branch) else {},
            "also": others,
        }
        assumed = assumptions(_branches(worst.hops))
        parts = [*_branches(worst.hops), *self._load_branch(worst)]
        component = self.circuit.loads[worst.load].component if worst.load >= 0 else self._alternator()
        spot = self._load_spot(worst)
        sure = not any(part.why or part.likely for part in parts)
        part = parts[0] if parts else None
        finding = self._made("volt-drop", sure, spot, component, text, shown, assumed, part)
        row = element.row if isinstance(element, Branch) else None
        by_design = isinstance(row, Pin | Wire) and row.ohms is not None
        evidence = replace(finding.evidence, lost_in=lost_in, lost_by_design=by_design)
        finding = replace(finding, evidence=evidence)
        return Judgement(finding, text, worst.volts / worst.limit_v, -1, worst.load, (), worst.side)

    def _nominal_v(self, drop: Drop) -> float:
        loads = self.circuit.loads
        return loads[drop.load].volts if drop.load >= 0 else next((one.volts for one in loads), 12.0)

    def _load_branch(self, drop: Drop) -> list[Branch]:
        return [self.circuit.branches[self.circuit.loads[drop.load].branch]] if drop.load >= 0 else []

    def _alternator(self) -> str:
        return next((port.component for port in self.circuit.ports if port.sort == "alternator"), "")

    def _load_spot(self, drop: Drop) -> Spot:
        """The contact a load's side arrives at."""
        if drop.load < 0:
            return wire_spot(drop.culprit.element) if isinstance(drop.culprit.element, Branch) else NO_SPOT
        load = self.circuit.loads[drop.load]
        node = drop.hops[-1].end if drop.side == FEED else drop.hops[0].start
        spot = terminal_spot(self.loads, load.component, node)
        return spot if spot.connector else Spot("", "", load.name or drop.side)

    # -- what they share

    def _state(self, number: int) -> str:
        return condition_words(self.loads, self.loads.state(number).condition)

    def _made(
        self,
        kind: KindName,
        sure: bool,
        spot: Spot,
        component: str,
        text: str,
        shown: Mapping[str, Any],
        assumed: Sequence[str],
        part: Branch | None,
    ) -> Finding:
        row = part.row if part is not None else None
        read_at = (str(row.place),) if row is not None else ()
        evidence = Evidence(shown=shown, assumed=tuple(assumed), read_at=read_at)
        words = {"text": capital(text)}
        do = self._caution(spot, component) or guarded(SENTENCES[kind].do, (self.study, spot.connector))
        return make_finding(kind, least(sure), spot, NO_SPOT, words, (component, ""), evidence, do=do)

    def _caution(self, spot: Spot, component: str) -> str:
        """What to say instead of what to do, on restraint and high-voltage wiring."""
        judge = self.study.hands_off
        return " ".join(stop(together((*judge.part(component), *judge.contact(spot.connector, spot.cavity)))))


def _branches(hops: Iterable[Hop]) -> list[Branch]:
    return [hop.element for hop in hops if isinstance(hop.element, Branch)]


def _is_verified(rating: Rating) -> bool:
    return rating.is_sure and rating.allowable is not None and rating.allowable.status == "verified"


def _form_assumed(fuse: FuseLoad) -> list[str]:
    return [f"form of {fuse.name} not written: {fuse.form} assumed"] if fuse.form_assumed else []
