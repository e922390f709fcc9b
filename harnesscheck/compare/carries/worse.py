"""What two cars' wiring carries, held against each other: only what is worse for the donor's parts.

The donor's parts are put into the shell's wiring: each aligned load draws there what
it draws in the donor. A judgement of that car is a finding only where the donor's
own fuse, wire or load of the same work stands better by ``WORSE_BY``.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from harnesscheck.align.pairs import Pairs
from harnesscheck.compare.carries.fusemap import fuse_map_numbers
from harnesscheck.compare.carries.loadfindings import Judgement, judgements
from harnesscheck.compare.carries.loads import HOLDS, FuseLoad, Loads, WireLoad, loads_of
from harnesscheck.compare.carries.loadwords import circuit_at
from harnesscheck.compare.coverage import Unjudged
from harnesscheck.compare.finding.findings import NO_SPOT, Finding, Hybrid, Spot, least
from harnesscheck.compare.finding.kinds import KindName, Severity
from harnesscheck.compare.works.loadpairs import LoadPairs, load_pairs
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Component, Inside, Pin, Wire
from harnesscheck.model.shortened import shortened
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.behaviour.states import Behaviour, State
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import Load
from harnesscheck.network.volts.paths import Hop, Ways
from harnesscheck.trade.fuses import CONTINUOUS_USE

WORSE_BY = 1.05  # the same wire under another name, the same lamp a little brighter: no finding
WORSE_STILL = 1.25  # where the donor is beyond its limit as well, only what is much worse is news
NAMED = 8  # places named in a sentence about what could not be judged
_DRAWN = ("amps", "watts", "ohms")


@dataclass(frozen=True, slots=True)
class Carried:
    """What the shell's wiring does worse, and in sentences what of it could not be held against the donor's."""

    findings: tuple[Finding, ...] = ()
    unjudged: tuple[Unjudged, ...] = ()


def carried(
    donor: Behaviour, shell: Behaviour, pairs: Pairs, told: Collection[str] = (), other: str = "shell"
) -> Carried:
    """What the shell's wiring does worse to the donor's parts than the donor's, in no particular order.

    A car against itself, renamed or not, gives nothing. Volts lost by a component
    (of the donor) that is ``told`` of already, as dim or dead, are left out. Where
    the donor's size or rating is not written, a limit that is passed is no finding
    but named: nobody knows whether it is worse. ``other`` is what the second car is called.
    """
    aligned = load_pairs(donor.study, donor.circuit, shell.study, shell.circuit, pairs.component)
    if not aligned.pairs:
        return Carried()
    theirs = _with_donor_parts(donor, shell, aligned)
    found = judgements(theirs)
    unfed = tuple(_unfed(theirs, other))
    if not found:
        return Carried((), unfed)
    held = _Held(donor.study.kept(_loads), theirs, pairs, aligned, other)
    worse = (one for one in held.findings(found) if one.kind != "volt-drop" or one.donor_component not in told)
    return Carried(tuple(worse), (*held.unheld(found), *unfed))


def _loads(study: Study) -> Loads:
    return loads_of(study.kept(Behaviour))


def _with_donor_parts(donor: Behaviour, shell: Behaviour, aligned: LoadPairs) -> Loads:
    """The shell's wiring judged with what the donor's loads draw; its conditions stay what they are."""
    parts: dict[str, Component] = {}
    insides: dict[tuple[str, str, str], Inside] = {}
    for pair in aligned.pairs:
        ours, theirs = donor.circuit.loads[pair.donor], shell.circuit.loads[pair.shell]
        row, new = _row(shell, theirs), _drawing(_row(donor, ours), _row(shell, theirs), ours, theirs)
        if new is None or new == row:
            continue
        if isinstance(new, Component):
            parts[new.id] = new
        else:
            insides[new.component, new.from_, new.to] = new
    if not parts and not insides:
        return loads_of(shell)
    netlist = shell.study.vehicle.netlist
    vehicle = Vehicle(
        replace(
            netlist,
            components=tuple(parts.get(row.id, row) for row in netlist.components),
            insides=tuple(_inside(insides, row) for row in netlist.insides),
        )
    )
    return loads_of(Behaviour(Study(vehicle)), shell.conditions)


def _unfed(loads: Loads, other: str) -> Iterator[Unjudged]:
    """In one sentence the fuses that nothing in the file feeds."""
    names = sorted({loads.branch(number).name for number in loads.feeds.unfed}, key=natural_key)
    if names:
        listed = shortened(names, NAMED)
        yield Unjudged(f"what these fuses guard, for nothing in the {other}'s file feeds them: {listed}")


def _inside(insides: dict[tuple[str, str, str], Inside], row: Inside) -> Inside:
    new = insides.get((row.component, row.from_, row.to))
    return new if new is not None and new.load == row.load else row


def _row(behaviour: Behaviour, load: Load) -> Component | Inside | None:
    row = behaviour.circuit.branches[load.branch].row
    return row if isinstance(row, Component | Inside) else None


def _drawing(
    ours: Component | Inside | None, theirs: Component | Inside | None, load: Load, other: Load
) -> Component | Inside | None:
    """The shell's row drawing what the donor's draws; None where either is not known."""
    if ours is None or theirs is None or not any(getattr(ours, name) for name in _DRAWN):
        return None
    drawn = {name: getattr(ours, name) for name in _DRAWN}
    if load.volts != other.volts and ours.ohms is None:
        amps = ours.amps or (ours.watts or 0.0) / load.volts
        drawn = {"amps": None, "watts": None, "ohms": load.volts / amps}
    return replace(theirs, **drawn, duty=ours.duty)


@dataclass(frozen=True)
class _Held:
    """The shell's judgements held against the donor's numbers."""

    donor: Loads
    shell: Loads
    pairs: Pairs
    aligned: LoadPairs
    other: str

    def findings(self, found: Iterable[Judgement]) -> Iterator[Finding]:
        """What is worse in the shell than in the donor, told once a place."""
        for one in found:
            known = self._known(one)
            if known is None or not self._is_worse(one, max(known, self._same_place.get(self._place(one), 0.0))):
                continue
            if self._is_own(one):
                yield self._told(one, known)

    @cached_property
    def _same_place(self) -> Mapping[tuple[str, str, str, str], float]:
        """How far the donor passes the same limit in the same place; places and parts by the shell's names."""
        plugs = {pair.donor: pair.shell for pair in self.pairs.connectors}
        parts = {pair.donor: pair.shell for pair in self.pairs.components}
        found: dict[tuple[str, str, str, str], float] = {}
        for one in judgements(self.donor):
            kind, plug, cavity, part = self._place(one)
            at = (kind, plugs.get(plug, ""), cavity, parts.get(part, ""))
            found[at] = max(found.get(at, 0.0), one.badness)
        return found

    @staticmethod
    def _place(one: Judgement) -> tuple[str, str, str, str]:
        finding = one.finding
        return finding.kind, finding.donor.connector, finding.donor.cavity, finding.donor_component

    def unheld(self, found: Iterable[Judgement]) -> Iterator[Unjudged]:
        """In one sentence the limits passed in the shell of which nobody knows how the donor stands."""
        names = {f"{one.finding.kind} at {_place(one.finding)}" for one in found if self._is_unheld(one)}
        shown = sorted(names, key=natural_key)
        if shown:
            listed = shortened(shown, NAMED)
            yield Unjudged(f"beyond a limit in the {self.other}'s wiring, the donor's not known: {listed}")

    def _is_unheld(self, one: Judgement) -> bool:
        """Whether damage is not told for want of a size, a rating or a place in the donor's file."""
        if one.finding.severity > Severity.DAMAGE:
            return False
        known = self._known(one)
        if known is None:
            return True
        if not self._is_worse(one, known) or self._is_own(one):
            return False
        if one.finding.kind != "wire-overloaded":
            return True
        there = self._counterparts(one)
        return not there or any(wire.rating.amps is None for wire in there)

    @staticmethod
    def _is_worse(one: Judgement, known: float) -> bool:
        return one.badness > known * (WORSE_BY if known <= 1 else WORSE_STILL)

    def _is_sure(self, one: Judgement) -> bool:
        """Whether what the donor's number rests on is written: what is assumed there may be as bad."""
        fuses = [fuse for fuse in self.donor.fuses if fuse.fuse in self.fuses_of.get(one.fuse, ())]
        shorts = [short for fuse in fuses for short in fuse.shorts]
        if one.finding.kind == "fuse-too-big":
            return all(self.donor.wire_at[short.guard.wire].rating.alone_a is not None for short in shorts)
        if one.finding.kind == "fuse-too-slow":
            return not any(fuse.form_assumed for fuse in fuses) and all(
                short.safe is not None and not short.guard.whys for short in shorts
            )
        loads = {self.load_of[one.load]} if one.load in self.load_of else set()
        loads |= {load for fuse in fuses for load in self.donor.feeds.loads.get(fuse.fuse, ())}
        numbers = {self.donor.behaviour.circuit.loads[load].branch for load in loads}
        numbers |= set(self._on_way(one.load)) if one.load in self.load_of else set()
        return not any(branch.why or branch.likely for branch in map(self.donor.branch, sorted(numbers)))

    def _is_own(self, one: Judgement) -> bool:
        """Whether it lies in the wire or the fuse itself; other ways and other currents are another fault's doing."""
        if one.finding.kind == "wire-overloaded":
            allowed = [wire.rating.amps for wire in self._counterparts(one)]
            known = [amps for amps in allowed if amps is not None]
            own = [self.shell.wire_at[wire].rating.amps or 0.0 for wire in one.wires]
            return len(known) == len(allowed) > 0 and min(own) * WORSE_BY < min(known)
        if one.finding.kind == "fuse-too-small":
            rated = sum(self._rated_a(load) for load in self.shell.feeds.loads.get(one.fuse, ()))
            return next(fuse.nominal_a for fuse in self.shell.fuses if fuse.fuse == one.fuse) <= rated * WORSE_STILL
        return one.fuse < 0 or self._is_guarded_there(one)

    def _rated_a(self, load: int) -> float:
        circuit = self.shell.behaviour.circuit
        return circuit.loads[load].volts / circuit.branches[circuit.loads[load].branch].ohm

    def _is_guarded_there(self, one: Judgement) -> bool:
        """Whether the donor's fuse of that work guards the wire in the same cavity, else of the same circuit, too."""
        spot = one.finding.donor
        if not spot.cavity:
            return True
        circuit = next((pair.donor for pair in self.pairs.circuits if pair.shell == spot.circuit), spot.circuit)
        same = {id(row) for row in self._rows_there(spot)}
        for guard in self.donor.feeds.guards:
            row = self.donor.branch(guard.wire).row
            if guard.fuse not in self.fuses_of.get(one.fuse, ()) or not isinstance(row, Pin | Wire):
                continue
            if id(row) in same if same else (circuit and row.circuit == circuit):
                return True
        return False

    def _rows_there(self, spot: Spot) -> Sequence[Pin | Wire]:
        """The donor's wires in the cavity that is a place of the shell's."""
        pair = next((pair for pair in self.pairs.connectors if pair.shell == spot.connector), None)
        index = self.donor.behaviour.study.index
        node = index.cavity.get((pair.donor, spot.cavity)) if pair is not None and spot.cavity else None
        return index.wires_at.get(node, ()) if node is not None else ()

    def _counterparts(self, one: Judgement) -> list[WireLoad]:
        """The donor's wires that do what some overloaded wires do: in the same cavity, else on the same way."""
        rows = {id(row) for row in self._rows_there(one.finding.donor)}
        if rows:
            return [wire for wire in self.donor.wires if id(self.donor.branch(wire.wire).row) in rows]
        fuses = [fuse for fuse in self.donor.fuses if fuse.fuse in self.fuses_of.get(one.fuse, ())]
        guarded = {short.guard.wire for fuse in fuses for short in fuse.shorts}
        on_way = set(self._on_way(one.load)) if one.load in self.load_of else set()
        if guarded and on_way & guarded:
            on_way &= guarded
        elif one.fuse < 0:
            on_way -= {guard.wire for guard in self.donor.feeds.guards}
        return [wire for wire in self.donor.wires if wire.wire in (on_way or guarded)]

    def _known(self, one: Judgement) -> float | None:
        """How near its limit the donor's wire, fuse or load of the same work is; None where it has none."""
        if one.finding.kind == "volt-drop":
            load = self.load_of.get(one.load, -1)
            drops = [drop for drop in self.donor.drops if (drop.load, drop.side) == (load, one.side)]
            comparable = drops and (load >= 0 or one.load < 0)
            return max(drop.volts / drop.limit_v for drop in drops) if comparable else None
        if one.finding.kind == "wire-overloaded" and self._rows_there(one.finding.donor):
            return max((wire.share or 0.0 for wire in self._counterparts(one)), default=0.0)
        if one.fuse < 0:
            return self._known_by_load(one)
        fuses = [fuse for fuse in self.donor.fuses if fuse.fuse in self.fuses_of.get(one.fuse, ())]
        if not fuses:
            return self._known_by_load(one) if one.load >= 0 else None
        if one.finding.kind == "fuse-too-big" and any(fuse.thinnest is None or not fuse.rating_a for fuse in fuses):
            return None  # nothing is known to hold it against
        if one.finding.kind == "fuse-too-small" and not all(fuse.rating_a for fuse in fuses):
            return None
        if any(fuse.fuse in self.donor.feeds.unfed for fuse in fuses):
            return None
        if one.finding.kind == "fuse-too-slow" and not any(s.safe is not None for fuse in fuses for s in fuse.shorts):
            return None
        return max(_badness(self.donor, fuse, one.finding.kind) for fuse in fuses)

    def _known_by_load(self, one: Judgement) -> float | None:
        """The fullest wire on the donor's way to the load that fills the shell's most, with most on and by itself."""
        if one.load not in self.load_of:
            return None
        wires = (self.donor.wire_at.get(number) for number in self._on_way(one.load))
        return max((wire.share or 0.0 for wire in wires if wire is not None), default=0.0)

    def _on_way(self, shell_load: int) -> list[int]:
        """The donor's branches on the way of the load that is the shell's, with most on and by itself."""
        load = self.load_of[shell_load]
        states = self.donor.currents.states
        fullest = max(states, key=lambda state: abs(float(state.load_volts[load])))
        hops = [hop for state in (fullest, *self._everything_on) for hop in self._hops(state, load)]
        hops += [hop for drop in self.donor.drops if drop.load == load for hop in drop.hops]
        wanted = {id(hop.element) for hop in hops}
        return [number for number, one in enumerate(self.donor.behaviour.circuit.branches) if id(one) in wanted]

    @cached_property
    def _everything_on(self) -> tuple[State, ...]:
        settings = self.donor.behaviour.everything_on
        return tuple(state for state in self.donor.currents.states if state.condition.settings == settings)

    @cached_property
    def _ways(self) -> Ways:
        return Ways(self.donor.behaviour.circuit)

    def _hops(self, state: State, load: int) -> tuple[Hop, ...]:
        way = self._ways.of(state.solution, load)
        return tuple(way.hops()) if way is not None else ()

    @cached_property
    def load_of(self) -> dict[int, int]:
        """The donor's load by the shell's."""
        return {pair.shell: pair.donor for pair in self.aligned.pairs}

    @cached_property
    def fuses_of(self) -> dict[int, list[int]]:
        """The donor's fuses that do the work of each of the shell's."""
        found: dict[int, list[int]] = {}
        sides = (self.donor.behaviour, self.donor.feeds), (self.shell.behaviour, self.shell.feeds)
        for ours, others in fuse_map_numbers(*sides, self.pairs).items():
            for other in others:
                found.setdefault(other, []).append(ours)
        return found

    def _told(self, one: Judgement, known: float) -> Finding:
        """The finding at the shell's place and its partner in the donor, with how the donor stands."""
        finding = one.finding
        there = finding.donor
        pair = next((pair for pair in self.pairs.connectors if pair.shell == there.connector), None)
        here = NO_SPOT
        if pair is not None:
            study = self.donor.behaviour.study
            known_cavity = not there.cavity or (pair.donor, there.cavity) in study.index.cavity
            cavity = there.cavity if known_cavity else ""
            here = Spot(pair.donor, cavity, circuit_at(study, pair.donor, cavity) if cavity else "")
        part = next((pair for pair in self.pairs.components if pair.shell == finding.donor_component), None)
        sure = (pair is None or pair.sure) and (part is None or part.sure) and self._is_sure(one)
        text = f"In the {self.other}'s wiring: {one.words}; the donor's is at {known:.0%} of that limit."
        return replace(
            finding,
            certainty=least(finding.certainty, sure),
            donor=here,
            shell=there,
            donor_component=part.donor if part is not None else "",
            shell_component=finding.donor_component,
            text=text,
            evidence=replace(finding.evidence, hybrid=Hybrid.WIRING, donor_share=round(known, 4)),
        )


def _place(finding: Finding) -> str:
    """Where a limit is passed: the part, else the contact, else the circuit."""
    return finding.donor_component or (str(finding.donor) if finding.donor.connector else finding.donor.circuit)


def _badness(loads: Loads, fuse: FuseLoad, kind: KindName) -> float:
    """How near its limit a fuse, or the fullest wire behind it, is; 1 at the limit."""
    rating = fuse.rating_a
    if kind == "wire-overloaded":
        guarded = {short.guard.wire for short in fuse.shorts}
        return max((wire.share or 0.0 for wire in loads.wires if wire.wire in guarded), default=0.0)
    if not rating:
        return 0.0
    if kind == "fuse-too-small":
        return max(fuse.nominal_a / CONTINUOUS_USE, fuse.steady_a, fuse.worst_a / HOLDS) / rating
    if kind == "fuse-too-big":
        return rating / fuse.thinnest[1] if fuse.thinnest is not None and fuse.thinnest[1] > 0 else 0.0
    shares = [short.lets_a2s / short.stands_a2s for short in fuse.shorts if short.lets_a2s and short.stands_a2s]
    return max([1.0 if fuse.slowest is not None else 0.0, *shares])
