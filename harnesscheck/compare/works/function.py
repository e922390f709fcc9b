"""What works in the donor and not in the other car, and what is on there when it should not be.

Every load both cars have is judged in every condition both can be put into. What a
finding at a plug already explains is not told again (``compare.works.causes``); what the
file does not tell makes a finding likely (``compare.works.dark``).
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from harnesscheck.compare.context import Context, plugs_of
from harnesscheck.compare.coverage import Unjudged
from harnesscheck.compare.finding.cavitywords import named
from harnesscheck.compare.finding.findings import NO_SPOT, Evidence, Finding, Spot, capital
from harnesscheck.compare.finding.kinds import KIND, KindName, Severity, Trait, kinds_of
from harnesscheck.compare.finding.sentences import (
    EXCHANGED,
    EXCHANGED_DO,
    EXCHANGED_LAMPS_DO,
    RUNS_BACK,
    RUNS_BACK_DO,
    TOO_FEW_VOLTS_DO,
    TOO_MANY_VOLTS,
    TOO_MANY_VOLTS_DO,
)
from harnesscheck.compare.works.causes import CUTTING, JOINING, Far, Places, places_of, telling
from harnesscheck.compare.works.dark import MINUS, PLUS, Darkness
from harnesscheck.compare.works.exchanged import exchanged, is_road_lamp
from harnesscheck.compare.works.loadpairs import LoadPairs, load_pairs
from harnesscheck.compare.works.mapped import Controls, controls
from harnesscheck.compare.works.motion import can_pinch
from harnesscheck.compare.works.onoff import OnOff, OnOffCell, lit, stages
from harnesscheck.compare.works.polarity import ELECTRONICS
from harnesscheck.compare.works.sneak import KnownWays, Sneak, keys_of, known, overloaded, sneak
from harnesscheck.compare.works.stress import WITHSTANDS, burns_at
from harnesscheck.model.order import natural_key
from harnesscheck.model.shortened import shortened
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.behaviour.judging import DIM_SHARE, Status, judged
from harnesscheck.network.behaviour.states import Behaviour, Condition, State
from harnesscheck.network.volts.circuit import Load
from harnesscheck.network.volts.paths import Area, Key, Way, way_words
from harnesscheck.network.volts.solve import Solution, TooLargeError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Flags = NDArray[np.bool_]

GAINING = kinds_of(Trait.LIGHTING)
VITAL_SYSTEMS = frozenset({"starter", "starting", "start", "fuel", "ignition"})
_VITAL = re.compile(r"(?<![a-z])(?:starter|fuel[- ]pump|injectors?|ignition[- ]coils?)(?![a-z])", re.IGNORECASE)
_BURNING = kinds_of(Trait.BRIDGING) | {"reversed"}
_WORKING = frozenset({Status.ON, Status.REVERSED})
_LESS = {Status.OFF: "off", Status.DIM: "only dim", Status.REVERSED: "fed backwards", Status.ON: "fed backwards"}
BLOWS_AT = 2.0  # times its rating a fuse holds for seconds at most: ISO 8820-3 gates as quoted
DRAINS_A = 0.05  # what a sleeping car as a whole may draw; workshop practice, no source
MOST_NAMED = 6  # controls named in a sentence; what turns a load on never needs so many
NAMED = 8  # loads named in a sentence about what could not be judged


@dataclass(frozen=True, slots=True)
class FunctionChange:
    """A load, or a relay, that does something else in the other car. ``words`` fill the kind's sentence."""

    kind: KindName
    severity: Severity
    sure: bool
    words: dict[str, str]
    donor: Spot = NO_SPOT
    shell: Spot = NO_SPOT
    donor_component: str = ""
    shell_component: str = ""
    evidence: Evidence = field(default_factory=Evidence)
    parts: frozenset[str] = frozenset()  # the donor's components on its ways in either car
    text: str = ""  # instead of the kind's own words
    do: str = ""


@dataclass(frozen=True, slots=True)
class Functions:
    """What function compare found, and in sentences what it could not judge.

    ``consequences`` says by the id of a finding what it does to loads that need no finding of their own.
    """

    changes: tuple[FunctionChange, ...] = ()
    unjudged: tuple[Unjudged, ...] = ()
    consequences: Mapping[str, Sequence[str]] = field(default_factory=dict)


def functions(ctx: Context, told: Sequence[Finding], dead_before: Collection[str] = ()) -> Functions:
    """Judge both cars' loads in all states. ``told`` is what was found at plugs; ``dead_before`` names parts."""
    for word, study in (("donor", ctx.donor), (ctx.word, ctx.shell)):
        if not study.vehicle.components or not study.reach.sources:
            return _untried(f"the {word}'s file has no battery or no components")
    try:
        return _Function(ctx, told, frozenset(dead_before)).result()
    except TooLargeError as why:
        return _untried(f"too large to try every state, {why}")


def _untried(why: str) -> Functions:
    """Nothing of what works could be tried."""
    return Functions((), (Unjudged(f"what works: {why}", "untried"),))


@dataclass(frozen=True, slots=True)
class _FunctionDraft:
    """What is said of one load, before loads of one part are put together."""

    kind: KindName
    load: Load
    number: int
    cell: OnOffCell
    others: int
    severity: Severity
    sure: bool
    words: dict[str, str]
    shown: dict[str, Any]  # as evidence
    parts: frozenset[str] = frozenset()
    other: _FunctionDraft | None = None  # of the load it has changed places with


def _exchanged_with(first: _FunctionDraft, other: _FunctionDraft) -> _FunctionDraft:
    """What is said of a load that has changed places with another."""
    return replace(
        first,
        other=other,
        sure=first.sure and other.sure,
        shown=first.shown | {"exchanged": [first.load.label, other.load.label]},
        parts=first.parts | other.parts,
    )


class _Function:
    """One comparison under way."""

    def __init__(self, ctx: Context, told: Sequence[Finding], dead_before: frozenset[str]) -> None:
        self.ctx, self.told, self.dead_before = ctx, told, dead_before
        self.donor, self.shell = ctx.donor_behaviour, ctx.shell_behaviour
        parts = ctx.pairs.component
        self.controls: Controls = controls(self.donor.circuit, self.shell.circuit, parts)
        self.loads: LoadPairs = load_pairs(ctx.donor, self.donor.circuit, ctx.shell, self.shell.circuit, parts)
        self.onoff = OnOff(self.donor, self.shell, self.controls.conditions(self.donor), self.loads.pairs)
        self.consequences: dict[str, list[str]] = {}
        self._shorted: dict[int, bool] = {}  # by the solution, which its state keeps
        self.back = {shell: donor for donor, shell in ctx.component_map.items()}

    # -- looked up once, only where something differs

    @cached_property
    def our_places(self) -> Places:
        """Where each of the donor's loads is."""
        return self.ctx.donor.kept(places_of)

    @cached_property
    def their_places(self) -> Places:
        """Where each of the shell's loads is."""
        return self.ctx.shell.kept(places_of)

    @cached_property
    def our_dark(self) -> Darkness:
        """Which of the donor's loads nothing could feed."""
        worked = {control for control, _ in self.controls.shared}
        return Darkness(self.donor, self.our_places.ways, worked)

    @cached_property
    def their_dark(self) -> Darkness:
        """Which of the shell's loads nothing could feed."""
        return Darkness(self.shell, self.their_places.ways, self.controls.targets)

    # -- the whole

    def result(self) -> Functions:
        """Everything found, and what was not judged."""
        if not self.loads.pairs:
            return _untried(f"no load of the donor was found in the {self.ctx.word}")
        drafts = [draft for number in self.onoff.differing for draft in self._draft(number)]
        drafts += self._held({draft.number for draft in drafts})
        changes = [*self._hunting(), *self._too_many_volts(), *self._standing()]
        changes += self._gathered(self._with_exchanged(drafts))
        consequences = {id_: sorted(texts, key=natural_key) for id_, texts in self.consequences.items()}
        return Functions(tuple(changes), tuple(self._unjudged()), consequences)

    def _unjudged(self) -> Iterator[Unjudged]:
        loads = self.onoff.loads
        reference = self.onoff.reference_v
        never = [load for load, volts in zip(loads, reference, strict=True) if volts == 0 and not load.pwm]
        seen = self._ever_on()
        alone = [
            load
            for number, (load, volts) in enumerate(zip(loads, reference, strict=True))
            if volts != 0 and not load.pwm and number not in seen
        ]
        pulsed = [load for load in loads if load.pwm]
        ours, theirs = {pair.donor for pair in self.loads.pairs}, {pair.shell for pair in self.loads.pairs}
        donor, shell, other = self.ctx.donor, self.ctx.shell, self.ctx.word
        for words, car, found in (
            ("nothing in the donor's file turns on, not exercised", donor, never),
            (f"worked by what the {other}'s file has not, not exercised", donor, alone),
            ("fed in pulses, not judged by direct current", donor, pulsed),
            (f"no such load in the {other}'s file", donor, _left(self.donor.circuit.loads, ours)),
            ("no such load in the donor's file", shell, _left(self.shell.circuit.loads, theirs)),
        ):
            if found:
                yield Unjudged(f"{words}: {shortened(_in_order(found, car.vehicle), NAMED)}")
        assumed = list(dict.fromkeys([*self.donor.circuit.assumptions, *self.shell.circuit.assumptions]))
        if assumed:
            more = f"; and {len(assumed) - 3} more" if assumed[3:] else ""
            yield Unjudged(f"volts rest on {'; '.join(assumed[:3])}{more}", "assumed")

    def _ever_on(self) -> set[int]:
        """The pairs that some shared condition turns on in the donor."""
        import numpy as np

        if not self.loads.pairs:
            return set()
        least = np.array([0.08 * abs(volts) for volts in self.onoff.reference_v])
        return {int(n) for n in np.flatnonzero((np.abs(self.onoff.volts[0]) >= least).any(axis=0))}

    # -- one load

    def _draft(self, number: int) -> Iterator[_FunctionDraft]:
        if not (self.onoff.may_gain(number) or self.onoff.may_lose(number, self._burning)):
            return
        cells = [cell for cell in self.onoff.cells(number) if not self._is_shaken(cell, number)]
        gained = [cell for cell in cells if not lit(cell.ours) and lit(cell.theirs)]
        lost = [cell for cell in cells if self._is_lost(cell, number)]
        if gained:
            draft = self._gained(number, cells, gained, lost)
        elif lost:
            draft = self._lost(number, cells, lost)
        else:
            return
        if not self._explained(number, draft, [*gained, *lost]):
            yield replace(draft, parts=self._parts(number, [draft.cell, *[one for one in cells if lit(one.ours)][:4]]))

    def _is_shaken(self, cell: OnOffCell, number: int) -> bool:
        """Whether a relay that hunts decides what a load has: the relay is told, not the load."""
        if id(cell.mapped) not in self._unsteady:
            return False
        phases = self.onoff.their_state(cell).solution.phases
        load = self.loads.pairs[number].shell
        volts = [float(one.load_volts[load]) for one in phases]
        return max(volts) - min(volts) > 1e-3

    @cached_property
    def _unsteady(self) -> frozenset[int]:
        """The conditions, which the cells share, in which anything hunts in the other car."""
        return frozenset(id(one) for one in self.onoff.conditions if self.shell.state(one.theirs).solution.phases)

    def _is_lost(self, cell: OnOffCell, number: int) -> bool:
        ours, theirs = cell.ours.status, cell.theirs.status
        if theirs is Status.DIM and self._is_shorted(self.onoff.their_state(cell).solution):
            return False
        if ours in _WORKING:
            return theirs is not ours
        return ours is Status.DIM and theirs is Status.OFF and self._is_direct(cell, number)

    def _is_shorted(self, solution: Solution) -> bool:
        """Whether a fuse is about to blow: what a short takes from others for that moment is not their fault."""
        if id(solution) not in self._shorted:
            across, limits_v = self._fuses
            self._shorted[id(solution)] = bool((abs(solution.volts_across(across)) > limits_v).any())
        return self._shorted[id(solution)]

    @cached_property
    def _burning(self) -> Flags:
        """By condition whether a fuse is about to blow in the other car."""
        import numpy as np

        return np.array([self._is_shorted(self.shell.state(one.theirs).solution) for one in self.onoff.conditions])

    @cached_property
    def _fuses(self) -> tuple[Array, Array]:
        """Of the other car's fuses of known rating: how they are read off, and the volts at which they blow."""
        import numpy as np

        branches = self.shell.circuit.branches
        rated = [(number, one.rating_a, one.ohm) for number, one in enumerate(branches) if one.sort == "fuse"]
        known = [(number, BLOWS_AT * rating * ohm) for number, rating, ohm in rated if rating]
        across = self.shell.network.across([number for number, _ in known])
        return across, np.array([limit_v for _, limit_v in known])

    def _is_direct(self, cell: OnOffCell, number: int) -> bool:
        """Whether the donor's load gets its current through no other load: less than full on purpose."""
        way = self.our_places.ways.of(self.onoff.our_state(cell).solution, self.loads.pairs[number].donor)
        return way is not None and not any(hop.element.sort == "load" for hop in (*way.feed, *way.ground))

    def _gained(
        self, number: int, cells: list[OnOffCell], gained: list[OnOffCell], lost: list[OnOffCell]
    ) -> _FunctionDraft:
        before = self._known(number, cells)
        cell = min(gained, key=lambda one: (bool(one.mapped.ours.settings), one.mapped.ours.stage != "off"))
        way = self._their_way(cell, number)
        found = sneak(way, before) if way is not None else Sneak(False, False, False)
        kind = self._gained_kind(cell, cells, found)
        load = self.onoff.loads[number]
        severity = KIND[kind].severity
        shown = self._shown(number, cell)
        if way is not None:
            shown["path"] = list(way_words(self.shell.circuit, way))
            over = overloaded(self.ctx.shell, way)
            if over:
                severity, shown["overload"] = Severity.DAMAGE, over
        if kind == "sneak-path" and found.pattern:
            shown["pattern"] = found.pattern
        if self._is_vital(load) or (kind == "always-on" and self._can_pinch(number)):
            severity = Severity.INJURY
        cranking_only = not lost and all(one.mapped.ours.stage == "start" for one in gained)
        if kind == "wrong-key-position" and cranking_only and "overload" not in shown:
            severity = Severity.NOTE  # what runs in the next position anyway does no harm while the engine is cranked
        drain_ma = self._drain_ma(number)
        if kind == "always-on":
            shown["drain_ma"] = drain_ma
        if lost:
            shown["lost"] = [state_words(one.mapped.ours) for one in lost[:3]]
        here, there = stages(cells, theirs=False), stages(cells, theirs=True)
        words = {
            "path": " > ".join(shown.get("path", ())),
            "drain": f", draining {drain_ma:g} mA with the key off" if drain_ma else "",
            "lost": f"; {_LESS[lost[0].theirs.status]} with {state_words(lost[0].mapped.ours)}, where it works here"
            if lost
            else "",
            "had": _stage_words(here),
            "now": _stage_words(there),
        }
        sure = self._gain_is_sure(number, cell, way, before)
        return _FunctionDraft(kind, load, number, cell, len(gained) - 1, severity, sure, words, shown)

    def _gained_kind(self, cell: OnOffCell, cells: list[OnOffCell], found: Sneak) -> KindName:
        condition = cell.mapped.ours
        if found.through:
            return "sneak-path"
        if condition == Condition("off"):
            return "always-on"
        if any(one.mapped.ours.settings == condition.settings and one.ours.status in _WORKING for one in cells):
            return "wrong-key-position"
        if not condition.settings or not found.any:
            return "always-on"
        return "sneak-path"

    def _lost(self, number: int, cells: list[OnOffCell], lost: list[OnOffCell]) -> _FunctionDraft:
        cell, kind = self._lost_kind(cells, lost)
        load = self.onoff.loads[number]
        severity = KIND[kind].severity
        component = self.ctx.donor.vehicle.components[load.component]
        what = component.kind or self.ctx.shell.vehicle.components[self.ctx.component_map[load.component]].kind
        if kind == "reversed" and what in {*ELECTRONICS, None}:
            severity = Severity.DAMAGE
        if kind == "reversed" and self._can_pinch(number):
            severity = Severity.INJURY
        shown = self._shown(number, cell)  # what stands still hurts nobody, be it a fuel pump
        ours = self._our_way(cell, number)
        theirs = self._their_way(cell, number)
        if ours is not None:
            shown["path"] = list(way_words(self.donor.circuit, ours))
        if theirs is not None:
            shown["path_there"] = list(way_words(self.shell.circuit, theirs))
        here, there = stages(cells, theirs=False), stages(cells, theirs=True)
        words = {
            "why": self._why_dark(number, cell),
            "had": _stage_words(here) if kind == "wrong-key-position" else f"{abs(cell.ours.volts):.1f} V",
            "now": _stage_words(there) if kind == "wrong-key-position" else f"{cell.theirs.volts:+.1f} V",
            "drain": "",
            "lost": "",
        }
        sure = self._loss_is_sure(number, cell)
        return _FunctionDraft(kind, load, number, cell, len(lost) - 1, severity, sure, words, shown)

    def _lost_kind(self, cells: list[OnOffCell], lost: list[OnOffCell]) -> tuple[OnOffCell, KindName]:
        turned = [cell for cell in lost if cell.theirs.status in _WORKING]
        if turned:
            return turned[0], "reversed"
        simplest = min(lost, key=lambda one: len(one.mapped.ours.settings))
        dark = [cell for cell in lost if cell.theirs.status is Status.OFF]
        works_with = {one.mapped.ours.settings for one in cells if one.theirs.status in _WORKING}
        elsewhere = [cell for cell in dark if cell.mapped.ours.settings in works_with]
        if dark and len(elsewhere) == len(dark):
            return elsewhere[0], "wrong-key-position"
        return simplest, "dead-accessory" if simplest.theirs.status is Status.OFF else "dim-accessory"

    def _shown(self, number: int, cell: OnOffCell) -> dict[str, Any]:
        shown: dict[str, Any] = {
            "state": state_words(cell.mapped.ours),
            "volts": round(cell.theirs.volts, 3),
            "volts_here": round(cell.ours.volts, 3),
            "reference_v": round(self.onoff.reference_v[number], 3),
        }
        if cell.close:
            shown["close"] = True
        return shown

    def _held(self, told: Collection[int]) -> Iterator[_FunctionDraft]:
        """Loads that stay on when their control is let go, by a relay that stays in where the donor's does not."""
        seen = set(told)
        for mapped in self.onoff.conditions:
            theirs, ours = self.shell.state(mapped.theirs), self.donor.state(mapped.ours)
            if theirs.released is None or not {self.back.get(one, one) for one in theirs.held} - ours.held:
                continue
            rest = [self.shell.state(Condition(mapped.theirs.stage)), self.donor.state(Condition(mapped.ours.stage))]
            for number, pair in enumerate(self.loads.pairs):
                volts = float(theirs.released.load_volts[pair.shell]) * (-1 if pair.turned else 1)
                reference = self.onoff.reference_v[number]
                now = judged(self.onoff.loads[number], volts, reference)
                before = abs(float(rest[0].load_volts[pair.shell])), abs(float(rest[1].load_volts[pair.donor]))
                if number in seen or not reference or not lit(now) or max(before) > DIM_SHARE * abs(reference):
                    continue
                seen.add(number)
                yield self._held_draft(number, OnOffCell(mapped, judged(self.onoff.loads[number], 0.0, reference), now))

    def _held_draft(self, number: int, cell: OnOffCell) -> _FunctionDraft:
        state = self.onoff.their_state(cell)
        load, released = self.onoff.loads[number], state.released
        way = self.their_places.ways.of(released, self.loads.pairs[number].shell) if released is not None else None
        words = {
            "state": f"{cell.mapped.ours}, let go again",
            "path": " > ".join(way_words(self.shell.circuit, way)) if way is not None else "",
            "drain": "",
            "lost": "",
        }
        shown = self._shown(number, cell) | {"state": words["state"], "held": sorted(state.held, key=natural_key)}
        severity = Severity.INJURY if self._is_vital(load) else KIND["always-on"].severity
        sure = self.loads.pairs[number].sure and cell.mapped.sure
        parts = frozenset({load.component, *(self.back.get(one, "") for one in state.held)}) - {""}
        return _FunctionDraft("always-on", load, number, cell, 0, severity, sure, words, shown, parts)

    # -- ways and reasons

    def _our_way(self, cell: OnOffCell, number: int) -> Way | None:
        return self.our_places.ways.of(self.onoff.our_state(cell).solution, self.loads.pairs[number].donor)

    def _their_way(self, cell: OnOffCell, number: int) -> Way | None:
        return self.their_places.ways.of(self.onoff.their_state(cell).solution, self.loads.pairs[number].shell)

    def _our_area(self, cell: OnOffCell, number: int) -> Area:
        branch = self.donor.circuit.loads[self.loads.pairs[number].donor].branch
        return self.our_places.ways.area(self.onoff.our_state(cell).solution, branch)

    def _their_area(self, cell: OnOffCell, number: int) -> Area:
        branch = self.shell.circuit.loads[self.loads.pairs[number].shell].branch
        return self.their_places.ways.area(self.onoff.their_state(cell).solution, branch)

    def _known(self, number: int, cells: Sequence[OnOffCell]) -> KnownWays:
        """What the donor's ways of a load use, over all states it is lit in."""
        areas = {id(area): area for cell in cells if lit(cell.ours) for area in (self._our_area(cell, number),)}
        used = {id(one): one for area in areas.values() for one in area.elements}
        return known(used.values(), self._our_keys, self.ctx.component_map)

    @cached_property
    def _our_keys(self) -> frozenset[Key]:
        """All the donor has, in the other car's words."""
        return keys_of((*self.donor.circuit.branches, *self.donor.circuit.ports), self.ctx.component_map)

    def _why_dark(self, number: int, cell: OnOffCell) -> str:
        """What a load lacks."""
        if lit(cell.theirs):
            return ""
        state = self.onoff.their_state(cell)
        for element in self._our_area(cell, number).elements:
            relay = self.ctx.component_map.get(element.component, "")
            if element.sort == "make" and relay and relay not in state.solution.energised:
                return f"relay {named(self.ctx.shell, relay)} does not pull in"
        ends = self.their_dark.ends(state, self.loads.pairs[number].shell)
        reached = ends[0] | ends[1]
        if PLUS not in reached:
            return "no feed reaches it" if MINUS in reached else "neither feed nor ground reaches it"
        return "it has no ground" if MINUS not in reached else "what reaches it is not enough"

    def _drain_ma(self, number: int) -> float:
        """What a load draws with the key off and nothing touched, more than in the donor."""
        theirs, ours = self.loads.pairs[number].shell, self.loads.pairs[number].donor
        found = []
        for behaviour, load in ((self.shell, theirs), (self.donor, ours)):
            solution = behaviour.state(Condition("off")).solution
            found.append(abs(float(solution.branch_amps[behaviour.circuit.loads[load].branch])))
        return round(1000 * max(found[0] - found[1], 0.0), 1)

    def _can_pinch(self, number: int) -> bool:
        """Whether a motor that runs both ways moves what may close on somebody."""
        return number in self.onoff.both_ways and can_pinch(self.ctx.donor.vehicle, self.onoff.loads[number])

    def _is_vital(self, load: Load) -> bool:
        return _is_vital(self.ctx.donor.vehicle, load)

    # -- how sure

    def _loss_is_sure(self, number: int, cell: OnOffCell) -> bool:
        pair = self.loads.pairs[number]
        ours = self._our_area(cell, number)
        if not (pair.sure and cell.mapped.sure) or any(getattr(one, "likely", False) for one in ours.elements):
            return False
        if cell.theirs.status is Status.REVERSED and not self.onoff.is_of_known_kind(self.onoff.loads[number]):
            return False
        if not lit(cell.theirs):
            return self.their_dark.is_sure(self.onoff.their_state(cell), pair.shell)
        if number in self.onoff.both_ways and cell.theirs.status in _WORKING:
            return True  # which way it runs does not hang on how many ohms its wires have
        return not self._rests_on_assumed(ours) and not self._rests_on_assumed(self._their_area(cell, number))

    def _gain_is_sure(self, number: int, cell: OnOffCell, way: Way | None, before: KnownWays) -> bool:
        pair = self.loads.pairs[number]
        theirs = self._their_area(cell, number)
        if (
            way is None
            or not (pair.sure and cell.mapped.sure)
            or any(getattr(one, "likely", False) for one in theirs.elements)
        ):
            return False
        if cell.theirs.status is Status.DIM and self._rests_on_assumed(theirs):
            return False
        return self.our_dark.is_sure(self.onoff.our_state(cell), pair.donor)

    def _rests_on_assumed(self, area: Area) -> bool:
        return any(one.why or getattr(one, "likely", False) for one in area.elements)

    def _parts(self, number: int, cells: Sequence[OnOffCell]) -> frozenset[str]:
        """The donor's components on a load's ways, its relays' coils among them, in either car."""
        pair = self.loads.pairs[number]
        found = {self.onoff.loads[number].component}
        for cell in cells:
            for places, state, load in (
                (self.our_places, self.onoff.our_state(cell), pair.donor),
                (self.their_places, self.onoff.their_state(cell), pair.shell),
            ):
                areas = places.areas(state.solution, [places.circuit.loads[load].branch])
                names = {element.component for area in areas for element in area.elements}
                if places is self.their_places:
                    names |= self.their_dark.parts(state, load)
                found |= names if places is self.our_places else {self.back.get(name, "") for name in names}
        return frozenset(found - {""})

    # -- told once

    def _explained(self, number: int, draft: _FunctionDraft, cells: Sequence[OnOffCell]) -> bool:
        softly = draft.severity is Severity.DEAD and draft.kind not in GAINING
        least = Severity.NOTE if softly else draft.severity
        kinds = self._explaining(draft)
        if not any(one.kind in kinds and one.severity <= least for one in self.told):
            return False
        pair = self.loads.pairs[number]
        alone = draft.kind in ("dim-accessory", "reversed")  # no coil and no module's supply makes a load dim
        lit_here = [cell for cell in self.onoff.cells(number) if lit(cell.ours)]
        lit_there = [cell for cell in self.onoff.cells(number) if lit(cell.theirs)]
        looked_at = [*cells[:4], *lit_here[:4], *lit_there[:4]]
        ours = _all_of(
            self.our_places.of(self.onoff.our_state(cell), pair.donor, alone=alone)
            for cell in looked_at
            if lit(cell.ours)
        )
        there = (
            self.their_places.of(self.onoff.their_state(cell), pair.shell, alone=alone)
            for cell in looked_at
            if lit(cell.theirs)
        )
        gains = draft.kind in GAINING
        theirs = _all_of(there) if gains else next(filter(None, there), {})  # of a loss only whether it is lit there
        if not theirs:
            kinds -= {"wrong-feed"}  # it would be lit by the other feed
        by = telling(self.told, kinds, least, ours, theirs if gains else {})
        if by is not None:
            text = f"{draft.load.label}: {draft.kind}, {state_words(draft.cell.mapped.ours)}"
            self.consequences.setdefault(by.id, []).append(text)
        return by is not None

    @staticmethod
    def _explaining(draft: _FunctionDraft) -> frozenset[KindName]:
        """The kinds of findings at plugs that may explain what a load does."""
        kinds = JOINING if draft.kind in GAINING else CUTTING
        if not draft.sure:
            kinds |= {"not-documented"}
        if draft.kind in GAINING:  # nobody expects light, or an engine that turns, of what is only crossed
            kinds &= _BURNING | ({"wrong-feed"} if draft.kind == "wrong-key-position" else set())
        return kinds

    def _with_exchanged(self, drafts: Sequence[_FunctionDraft]) -> Iterator[_FunctionDraft]:
        """Two loads that have changed places say so where nothing worse comes of it; once, where both are of a kind."""
        merged = {one.number: one for one in drafts if one.severity is Severity.DEAD and "overload" not in one.shown}
        told: set[int] = set()
        for a, b in exchanged(sorted(merged), *self.onoff.codes):
            told |= {a, b}
            first, other = merged[a], merged[b]
            yield _exchanged_with(first, other)
            if first.kind != other.kind:
                yield _exchanged_with(other, first)
        yield from (one for one in drafts if one.number not in told)

    def _own_words(self, first: _FunctionDraft, part: str) -> tuple[str, str]:
        """Sentence and what to do where a kind's own do not tell what it is; "" for the kind's own."""
        vehicle = self.ctx.donor.vehicle
        words = {"part": capital(part), "part_within": part, "state": state_words(first.cell.mapped.ours)}
        if first.other is not None:
            load = first.other.load
            name = named(self.ctx.donor, load.component)
            words |= {"other": f"{name}, {load.name}" if load.name else name}
            words |= {"then": state_words(first.other.cell.mapped.ours), "drain": first.words["drain"]}
            on_road = is_road_lamp(vehicle, first.load) or is_road_lamp(vehicle, load)
            return EXCHANGED.format_map(words), EXCHANGED_LAMPS_DO if on_road else EXCHANGED_DO
        if first.kind == "reversed" and first.number in self.onoff.both_ways:
            return RUNS_BACK.format_map(words), RUNS_BACK_DO
        if first.kind in ("dim-accessory", "dead-accessory"):
            return "", self._too_few_volts_do(first, part)
        return "", ""

    def _gathered(self, drafts: Iterable[_FunctionDraft]) -> Iterator[FunctionChange]:
        """Loads of one part that share a kind are told together, the worst of them first."""
        groups: dict[tuple[str, KindName], list[_FunctionDraft]] = {}
        for draft in sorted(drafts, key=lambda one: (one.severity, not one.sure, natural_key(one.load.label))):
            groups.setdefault((draft.load.component, draft.kind), []).append(draft)
        for (component, kind), group in sorted(groups.items(), key=lambda item: (natural_key(item[0][0]), item[0][1])):
            yield self._change(component, kind, group)

    def _change(self, component: str, kind: KindName, group: Sequence[_FunctionDraft]) -> FunctionChange:
        first = group[0]
        shell = self.ctx.component_map[component]
        names = [one.load.name for one in group if one.load.name]
        part = named(self.ctx.donor, component) + (f", {shortened(names, NAMED)}" if names else "")
        volts = f"{abs(first.cell.theirs.volts):.1f} V"
        others = f" (and in {first.others} more states)" if first.others > 1 else ""
        before = "; it was dead already" if self.dead_before & {component, shell} else ""
        words = {
            "part": part,
            "state": f"{state_words(first.cell.mapped.ours)}{others}",
            "volts": volts,
            "before": before,
            **first.words,
        }
        shown = dict(first.shown)
        if before:
            shown["before"] = "was dead already"
        if len(group) > 1:
            shown["loads"] = [{"load": one.load.label, **one.shown} for one in group]
        sure = all(one.sure for one in group)
        spots = plugs_of(self.ctx, component, shell)
        parts = frozenset().union(*(one.parts for one in group))
        text, do = self._own_words(first, part)
        evidence = Evidence(shown=shown)
        return FunctionChange(kind, first.severity, sure, words, *spots, component, shell, evidence, parts, text, do)

    # -- volts

    def _too_many_volts(self) -> Iterator[FunctionChange]:
        """Parts that get far more volts than they are rated for, where the donor's do not: one change a part."""
        import numpy as np

        ours, theirs = (np.abs(volts) for volts in self.onoff.volts)
        seen: set[str] = set()
        for number, pair in enumerate(self.loads.pairs):
            load, other = self.onoff.loads[number], self.shell.circuit.loads[pair.shell]
            rated_v = load.volts if self.ctx.built is None else other.volts
            most_v = float(theirs[:, number].max(initial=0.0))
            before_v = float(ours[:, number].max(initial=0.0))
            if load.component in seen or load.pwm or not burns_at(rated_v, most_v) or burns_at(load.volts, before_v):
                continue
            seen.add(load.component)
            written = load.min_volts is not None or bool(self.ctx.donor.vehicle.netlist.header.volts)
            at = int(theirs[:, number].argmax())
            yield self._burnt(load.component, at, rated_v, most_v, sure=pair.sure and written)
        yield from self._coils_burnt(seen)

    def _coils_burnt(self, told: set[str]) -> Iterator[FunctionChange]:
        """Relay coils that get far more volts than they are made for, where the donor's do not."""
        coils = {coil.component: coil for coil in self.shell.circuit.coils}
        both = [(coil, coils.get(self.ctx.component_map.get(coil.component, ""))) for coil in self.donor.circuit.coils]
        asked = [(coil, other) for coil, other in both if other is not None and coil.component not in told]
        ours = self._most_volts(self.donor, [coil.branch for coil, _ in asked], theirs=False)
        theirs = self._most_volts(self.shell, [other.branch for _, other in asked], theirs=True)
        for (coil, other), (before_v, _), (most_v, at) in zip(asked, ours, theirs, strict=True):
            rated_v = coil.volts if self.ctx.built is None else other.volts
            if burns_at(rated_v, most_v) and not burns_at(coil.volts, before_v):
                sure = self.ctx.pairs.component[coil.component].sure
                yield self._burnt(coil.component, at, rated_v, most_v, sure=sure)

    def _most_volts(self, car: Behaviour, branches: Sequence[int], *, theirs: bool) -> list[tuple[float, int]]:
        """By branch the most volts across it in one car, whichever way, and the number of the condition."""
        import numpy as np

        across = car.network.across(branches)
        states = (car.state(one.theirs if theirs else one.ours) for one in self.onoff.conditions)
        volts = np.abs(np.array([state.solution.volts_across(across) for state in states]))
        return list(zip(volts.max(axis=0).tolist(), volts.argmax(axis=0).tolist(), strict=True))

    def _burnt(self, component: str, at: int, rated_v: float, most_v: float, *, sure: bool) -> FunctionChange:
        """``at`` is the number of the condition in which the most arrives."""
        shell = self.ctx.component_map[component]
        state = state_words(self.onoff.conditions[at].ours)
        part = named(self.ctx.donor, component)
        words = {"part": part, "rated": f"{rated_v:g} V", "volts": f"{most_v:.1f} V", "state": state}
        evidence = Evidence(shown={"state": state, "volts": round(most_v, 3), "rated_v": rated_v})
        spots = plugs_of(self.ctx, component, shell)
        return FunctionChange(
            "wrong-feed",
            Severity.DAMAGE,
            sure,
            words,
            *spots,
            component,
            shell,
            evidence,
            frozenset({component}),
            TOO_MANY_VOLTS.format_map(words),
            TOO_MANY_VOLTS_DO.format_map(words),
        )

    def _too_few_volts_do(self, draft: _FunctionDraft, part: str) -> str:
        """What to do about a part that is made for more volts than the whole car has; "" where it is not."""
        have_v = max((one.emf_v for one in self.shell.circuit.ports if one.sort == "battery"), default=0.0)
        if not 0 < have_v * WITHSTANDS < draft.load.volts:
            return ""
        return TOO_FEW_VOLTS_DO.format(part=part, rated=f"{draft.load.volts:g} V", volts=f"{have_v:g} V")

    # -- fields and coils

    def _standing(self) -> Iterator[FunctionChange]:
        """Alternator fields and relay coils that draw with the key off and nothing touched, and not in the donor."""
        ours = _standing_a(self.donor.state(Condition("off")))
        for (sort, part), amps in _standing_a(self.shell.state(Condition("off"))).items():
            donor = self.back.get(part, "")
            if not donor or amps < DRAINS_A or ours.get((sort, donor), 0.0) >= DRAINS_A:
                continue
            what = "field" if sort == "field" else "coil"
            words = {
                "part": f"{named(self.ctx.donor, donor)}, {what}",
                "state": str(Condition("off")),
                "volts": f"{amps:.2g} A",
                "path": "its supply, live with the key off",
                "drain": f", draining {1000 * amps:.0f} mA with the key off",
            }
            evidence = Evidence(shown={"state": str(Condition("off")), "drain_ma": round(1000 * amps, 1)})
            spots = plugs_of(self.ctx, donor, part)
            sure = self.ctx.pairs.component[donor].sure
            severity = KIND["always-on"].severity
            yield FunctionChange("always-on", severity, sure, words, *spots, donor, part, evidence, frozenset({donor}))

    # -- relays

    def _works_both(self, donor: str, shell: str) -> bool:
        """Whether the donor's relay or module comes in, all around it told; and nothing of the other's coil assumed."""
        if any(branch.why for branch in self.shell.circuit.branches if branch.key == ("coil", shell, "coil")):
            return False
        states = (self.donor.state(one.ours) for one in self.onoff.conditions)
        pulled = next((state for state in states if donor in state.solution.energised), None)
        return pulled is not None and self.our_dark.is_clear(pulled, donor)

    def _hunting(self) -> Iterator[FunctionChange]:
        """Relays and modules that do not come to rest, where the donor's do."""
        found: dict[str, list[tuple[State, str]]] = {}
        for one in self.onoff.conditions:
            theirs = self.shell.state(one.theirs)
            if not theirs.hunting:
                continue
            ours = self.donor.state(one.ours).hunting
            for relay in sorted(theirs.hunting, key=natural_key):
                if self.back.get(relay, relay) not in ours:
                    found.setdefault(relay, []).append((theirs, state_words(one.ours)))
        for relay, states in found.items():
            state, words = states[0]
            donor = self.back.get(relay, "")
            part = named(self.ctx.donor, donor) if donor else named(self.ctx.shell, relay)
            shown = {"state": words, "rounds": len(state.solution.phases), "with": sorted(state.hunting)}
            others = f" (and in {len(states) - 1} more states)" if len(states) > 2 else ""
            spots = plugs_of(self.ctx, donor, relay)
            sure = bool(donor) and self.ctx.pairs.component[donor].sure and self._works_both(donor, relay)
            text = {"part": part, "state": f"{words}{others}"}
            severity, parts = KIND["relay-hunts"].severity, frozenset({donor})
            evidence = Evidence(shown=shown)
            yield FunctionChange("relay-hunts", severity, sure, text, *spots, donor, relay, evidence, parts)


def _all_of(places: Iterable[Far]) -> Far:
    found: Far = {}
    for some in places:
        found |= some
    return found


def _standing_a(state: State) -> dict[tuple[str, str], float]:
    """The current of every alternator's field and relay's coil in a state, by sort and component."""
    solution = state.solution
    circuit = solution.network.circuit
    found: dict[tuple[str, str], float] = {}
    for number, port in enumerate(circuit.ports):
        if port.sort == "field":
            found[port.sort, port.component] = abs(float(solution.port_amps[number]))
    for number, branch in enumerate(circuit.branches):
        if branch.sort == "coil":
            found[branch.sort, branch.component] = abs(float(solution.branch_amps[number]))
    return found


def state_words(condition: Condition) -> str:
    """A condition as a person sets it up; of very many controls, that everything is on."""
    if len(condition.settings) <= MOST_NAMED:
        return str(condition)
    return f"{Condition(condition.stage)}, everything on"


def _is_vital(vehicle: Vehicle, load: Load) -> bool:
    """Whether it cranks, pumps fuel or sparks: where that happens at the wrong time somebody is hurt."""
    row = vehicle.components[load.component]
    if row.kind == "lamp":
        return False
    return (row.system or "") in VITAL_SYSTEMS or bool(_VITAL.search(f"{row.id} {row.name or ''} {load.name}"))


def _left(loads: Sequence[Load], paired: Collection[int]) -> list[Load]:
    """The loads that have no pair."""
    return [load for number, load in enumerate(loads) if number not in paired]


def _in_order(loads: Sequence[Load], vehicle: Vehicle) -> list[str]:
    """Labels, what may hurt or burn first: a list is cut short."""

    def order(load: Load) -> tuple[bool, bool, object]:
        """Vital loads first, then what is not electronics, by name."""
        return not _is_vital(vehicle, load), load.kind not in ELECTRONICS, natural_key(load.label)

    return [load.label for load in sorted(loads, key=order)]


def _stage_words(found: Sequence[str]) -> str:
    return ", ".join(str(Condition(stage)).removeprefix("key ") for stage in found) or "nothing"
