"""First power-up: what is checked, in its fixed order, once the looms have been rung out.

Volts and amperes are those of the direct-current solution (``network.behaviour.states``), rounded;
what a file does not say rests on assumptions, which are named. The order of the
first power-up is fixed: fuses out and electronics unplugged, ground and polarity at every
module plug, a 21 W lamp in series with the battery and the key off, fuse by
fuse, modules in with the battery off, key on, crank with fuel and ignition off, leak
check, start, sleep current. Common practice, no source; so are the limits here
unless their comment says more.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from harnesscheck.bench.ringout.looms import NO_PLACE, Looms, held_parts, special_parts
from harnesscheck.bench.ringout.underload import fuses_kept_out
from harnesscheck.bench.trace.safety import AT_THE_BATTERY, HIGH_TENSION, sparks
from harnesscheck.compare.finding.cautions import shared_plug
from harnesscheck.model.order import natural_key
from harnesscheck.network.behaviour.states import Behaviour, Condition, State
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.solve import TooLargeError

GLOWS_A = 0.3  # a 21 W lamp in series begins to glow about here
SLEEP_A = 0.05  # most cars of the years of wire and fuse stay below it asleep
CRANKING_V = 9.6  # at the battery while cranking, at 20 °C
RUNNING_V = (13.8, 14.6)
BLOWS_AT = 2.0  # times its rating a fuse holds for seconds at most: ISO 8820-3 gates as quoted
SHORT_A = 200.0  # with the key off and nothing touched no car draws this; common practice, no source
MOST_DANGERS = 6  # of a car that must not be built so, before the list


@dataclass(frozen=True, slots=True)
class Check:
    """One line of a list to tick: what to do, where, the key's position, what to expect."""

    number: int
    step: str
    do: str
    place: str = ""
    at: str = ""
    key: str = ""
    expect: str = ""
    note: str = ""


def numbered(checks: Sequence[Check]) -> tuple[Check, ...]:
    """The checks counted from 1."""
    return tuple(replace(check, number=number) for number, check in enumerate(checks, start=1))


class PowerUp:
    """What is worked out of one car for its first power-up."""

    def __init__(self, study: Study, looms: Looms, behaviour: Behaviour, dangers: Sequence[str] = ()) -> None:
        """``dangers`` is what burns or hurts in the car as it would be: said before anything is done."""
        self.study = study
        self.looms = looms
        self.dangers = dangers
        self.full = behaviour
        rows = study.vehicle.netlist.components
        self.special = special_parts(study)
        self.held = held_parts(study)
        self.modules = self._named(row.id for row in rows if row.kind == "module" and row.id not in self.held)
        self.turning = self._named(
            row.id for row in rows if row.kind == "alternator" or (row.kind == "motor" and row.system == "starting")
        )
        self.bare = Behaviour(study, frozenset({*self.modules, *self.turning, *self.special}))

    def _named(self, ids: Iterator[str]) -> tuple[str, ...]:
        return tuple(sorted((one for one in ids if one not in self.special), key=natural_key))

    @cached_property
    def too_large(self) -> str:
        """Why volts and amperes cannot be worked out: a car that does not fit in memory; else nothing."""
        try:
            _ = self.full.network, self.bare.network
        except TooLargeError as error:
            return f"too large to work out volts and amperes ({error})"
        return ""

    # -- fuses

    @cached_property
    def fuses(self) -> tuple[tuple[str, int, int], ...]:
        """Every fuse by name with its branch in the whole and the bare circuit, from the battery outwards."""
        bare = {branch.key: number for number, branch in enumerate(self.bare.circuit.branches)}
        found = []
        for number, branch in enumerate(self.full.circuit.branches):
            if branch.sort == "fuse" and branch.component not in self.special:
                found.append((branch.name, number, bare.get(branch.key, -1)))
        depth = self._depths()
        return tuple(sorted(found, key=lambda one: (depth.get(one[0], 99), natural_key(one[0]))))

    def _depths(self) -> dict[str, int]:
        """How many fuses lie between a fuse's far side and the battery."""
        reach = self.study.reach
        found: dict[str, int] = {}
        for element in reach.elements:
            if element.sort == "fuse":
                found[element.name] = max(len(reach.fuses_towards_feed(end)) for end in (element.a, element.b))
        return found

    @cached_property
    def kept_out(self) -> frozenset[str]:
        """The fuses that feed wiring which is left out: they stay in the box until the maker's procedure."""
        return fuses_kept_out(self.looms)

    # -- the list

    def checks(self) -> tuple[Check, ...]:
        """The first power-up in its fixed order; nothing where it is ``too_large``."""
        if self.too_large:
            return ()
        return numbered(
            [
                *self._not_yet(),
                *self._prepare(),
                *self._module_plugs(),
                *self._lamp(),
                *self._fuse_by_fuse(),
                *self._module_volts(),
                *self._modules_in(),
                *self._key_on(),
                *self._crank(),
                *self._start(),
                *self._sleep(),
            ]
        )

    def _not_yet(self) -> Iterator[Check]:
        """What keeps the battery off: one line a danger."""
        more = len(self.dangers) - MOST_DANGERS
        for text in self.dangers[:MOST_DANGERS]:
            yield Check(0, "not yet", f"Do not connect the battery before this is mended: {text}")
        if more > 0:
            yield Check(0, "not yet", f"Nor before {more} more dangers are mended: compare --swap lists them all.")

    def _prepare(self) -> Iterator[Check]:
        step = "prepare"
        off = "Battery off, negative clamp first. Name the one person who puts it on again."
        yield Check(0, step, f"{off} {AT_THE_BATTERY}")
        yield Check(0, step, "Take off every tie lead and count them: as many as were put on.")
        if self.special:
            yield Check(0, step, f"Restraint and high voltage ({', '.join(self.special)}): not from this list. {STOP}")
        yield Check(
            0, step, f"All fuses and links out: {', '.join(name for name, _, _ in self.fuses) or 'none listed'}."
        )
        yield Check(0, step, f"Modules unplugged: {', '.join(self.modules) or 'none listed'}.")
        for name, plugs in self.held.items():
            words = " ".join(shared_plug(self.study, plug) for plug in plugs)
            yield Check(0, step, f"{name} stays plugged in there. {words}")
        turning = ", ".join(self.turning) or "none listed"
        yield Check(0, step, f"Starter and alternator unplugged, their cables insulated: {turning}.")
        yield Check(0, step, "Switch everything off: lights, wipers, heater fan, radio. Doors and hatch shut.")

    def _module_plugs(self) -> Iterator[Check]:
        """With the battery still off: ground and polarity at every module plug, in ohms."""
        for connector, cavity, role, label in self._module_contacts():
            place = self.study.vehicle.place_of(connector, loom=True) or NO_PLACE
            at = f"{connector}:{cavity}"
            expect = "0.5 ohm or less" if role == "ground" else "over 0.5 ohm: no ground"
            if role != "ground" and self.looms.is_metal(self.looms.net_of[self.looms.face[connector, cavity]]):
                expect = "0.5 ohm or less by the file, and it should be a supply: no power before this is mended"
            yield Check(0, "module plugs", "Ohms to the negative clamp", place, at, "off", expect, label)

    def _module_contacts(self) -> Iterator[tuple[str, str, str, str]]:
        """Supply and ground contacts of the looms' plugs on modules: plug, cavity, role, module and terminal."""
        vehicle = self.study.vehicle
        found = []
        for pin in vehicle.netlist.pins:
            row = vehicle.connectors.get(pin.connector or "")
            if row is None or row.component not in self.modules or pin.role not in ("supply", "ground"):
                continue
            mate = vehicle.mate_of.get(row.id)
            node = self.looms.face.get((mate or "", pin.cavity or ""))
            if mate and node is not None and self._may_probe(node):
                found.append((mate, pin.cavity or "", pin.role, f"{row.component} {pin.terminal}"))
        yield from sorted(found, key=lambda one: (natural_key(one[0]), natural_key(one[1])))

    def _may_probe(self, node: int) -> bool:
        return node not in self.looms.shunned and self.looms.net_of[node] not in self.looms.left_out

    def _lamp(self) -> Iterator[Check]:
        yield Check(
            0, "lamp in series",
            "Put a 21 W lamp between the negative post and its clamp. Key off. It must stay dark: bright is a short "
            "before the first fuse; off again, and back to the ring-out.",
            at="battery", key="off", expect="dark",
        )  # fmt: skip

    def _fuse_by_fuse(self) -> Iterator[Check]:
        off = self.bare.state(Condition("off"))
        for name, _, number in self.fuses:
            if name in self.kept_out:
                do = "Leave it out: it feeds restraint or high-voltage wiring. " + STOP
                yield Check(0, "fuse by fuse", do, at=name)
                continue
            amps = _amps(off, number)
            do, expect = "Fit it and look at the lamp", f"{_amps_words(amps)}; lamp {_lamp_words(amps)}"
            if self._is_short(name, amps):
                do, expect = "Leave it out", SHORT_WORDS.format(amps=_amps_words(amps))
            yield Check(0, "fuse by fuse", do, self._place(name), name, "off", expect)

    @cached_property
    def _ratings_a(self) -> dict[str, float]:
        branches = self.full.circuit.branches
        return {name: branches[number].rating_a or SHORT_A for name, number, _ in self.fuses}

    def _is_short(self, fuse: str, amps: float) -> bool:
        """Whether a fuse would carry a short circuit's current; of one whose rating is not written a car's most."""
        return amps > BLOWS_AT * self._ratings_a[fuse] or amps > SHORT_A

    def _place(self, fuse: str) -> str:
        components = self.study.vehicle.components
        row = components.get(fuse)
        if row is None:
            owner = next((one.component for one in self.study.vehicle.netlist.insides if one.id == fuse), "")
            row = components.get(owner)
        return (row.at if row is not None else None) or ""

    def _module_volts(self) -> Iterator[Check]:
        """With the fuses in and the key turned: which module contacts are live when."""
        step, do = "volts at module plugs", "Volts to the negative clamp"
        note = "volts here are nominal: a charged battery reads 12.6 V"
        yield Check(0, step, "Battery off, lamp out, battery on. Modules still unplugged.", key="off", note=note)
        states = [self.bare.state(Condition(key)) for key in ("off", "run")]
        for connector, cavity, role, label in self._module_contacts():
            if role != "supply":
                continue
            node = self.bare.circuit.node_of[self.study.index.cavity[connector, cavity]]
            volts = [_volts_words(state.solution.volts[node]) for state in states]
            place = self.study.vehicle.place_of(connector, loom=True) or NO_PLACE
            expect = f"{volts[0]}, then {volts[1]}"
            yield Check(0, step, do, place, f"{connector}:{cavity}", "off, then run", expect, label)

    def _modules_in(self) -> Iterator[Check]:
        step, amps = "modules in", _battery_amps(self.full.state(Condition("off")))
        yield Check(0, step, "Battery off, lamp in again. Plug the modules in, starter and alternator too.", key="off")
        lamp = f"lamp {_lamp_words(amps)}"
        yield Check(0, step, "Battery on, the lamp in series: look at it", "", "battery", "off", lamp)
        if amps > SHORT_A:
            expect = SHORT_WORDS.format(amps=_amps_words(amps))
            yield Check(0, step, "Battery off again, and no further", "", "battery", "off", expect)
            return
        do = "Battery off, lamp out, ammeter in the negative lead, battery on: current out of the battery"
        note = "modules awake draw more for some minutes"
        yield Check(0, step, do, "", "battery", "off", _amps_words(amps), note)

    def _key_on(self) -> Iterator[Check]:
        step, do = "key on", "Current through it, nothing switched on"
        yield Check(0, step, "Ammeter out, battery lead home. Key to run: look, listen, smell.", key="run")
        off, run = self.full.state(Condition("off")), self.full.state(Condition("run"))
        for name, number, _ in self.fuses:
            if name not in self.kept_out:
                currents = _amps(off, number), _amps(run, number)
                expect = f"{_amps_words(currents[0])} off, {_amps_words(currents[1])} run"
                if self._is_short(name, max(currents)):
                    expect = SHORT_WORDS.format(amps=_amps_words(max(currents)))
                yield Check(0, step, do, self._place(name), name, "off, then run", expect)

    def _cranking(self) -> State:
        """The state in which the starter turns: the key at start, or one more control worked (a clutch pedal)."""
        turning = [n for n, load in enumerate(self.full.circuit.loads) if load.component in self.turning]
        rest = self.full.state(Condition("start"))
        for state in (rest, *(self.full.singles("start") if turning else ())):
            if any(abs(state.load_volts[n]) > self.full.circuit.loads[n].volts / 2 for n in turning):
                return state
        return rest

    @cached_property
    def pump_fuses(self) -> tuple[str, ...]:
        """The fuses on the way to fuel pumps, the nearest of each."""
        study, found = self.study, set()
        for row in study.vehicle.netlist.components:
            if row.system != "fuel" or row.kind not in ("motor", "solenoid"):
                continue
            for (component, _), node in study.index.terminal.items():
                if component == row.id:
                    found |= set(study.reach.fuses_towards_feed(study.index.piece_of[node])[:1])
        return tuple(sorted(found, key=natural_key))

    def _crank(self) -> Iterator[Check]:
        volts = _battery_volts(self._cranking())
        expect = f"{_volts_words(volts)} worked out; not under {CRANKING_V:g} V"
        pump = f" (fuel pump: {', '.join(self.pump_fuses)})" if self.pump_fuses else ""
        do = f"Fuel pump's and ignition's fuses out{pump}: nothing may fire. Gear out, brake on, hands clear."
        yield Check(0, "crank", f"{do} Eye protection at the battery: it gasses.")
        yield Check(0, "crank", "Crank for five seconds: volts across the battery", "", "battery", "start", expect)
        yield Check(
            0,
            "crank",
            "Start inhibit, inertia cut-off, brake lamp and bonnet switch work as they should: never bridged.",
        )

    def _start(self) -> Iterator[Check]:
        do = (
            "Fuel pump's fuse in, key to run, engine standing: look and smell for fuel along every line. No sparks; "
            "extinguisher at hand."
        )
        yield Check(0, "leak check", do, key="run", expect="dry")
        volts = _battery_volts(self.full.state(Condition("running")))
        expect = f"{RUNNING_V[0]:g} to {RUNNING_V[1]:g} V ({_volts_words(volts)} worked out)"
        if sparks(self.study):
            yield Check(0, "start", HIGH_TENSION)
        yield Check(
            0, "start", "Ignition's fuses in. Start: volts across the battery", "", "battery", "running", expect
        )

    def _sleep(self) -> Iterator[Check]:
        expect = f"under {SLEEP_A * 1000:g} mA"
        note = "what sleeping modules draw is not in the wiring; the file's currents are of modules awake"
        do = "Everything off and shut, locked. After 20 to 40 minutes: current out of the battery"
        yield Check(0, "sleep", do, "", "battery", "off", expect, note)


SHORT_WORDS = "a short circuit by the file ({amps}): no power before it is found and mended"
STOP = "Maker's procedure, licensed practice; battery off and the maker's waiting time first."


def _amps(state: State, branch: int) -> float:
    return abs(float(state.solution.branch_amps[branch])) if branch >= 0 else 0.0


def _battery_amps(state: State) -> float:
    ports = state.solution.network.circuit.ports
    return sum(abs(float(state.solution.port_amps[n])) for n, port in enumerate(ports) if port.sort == "battery")


def _battery_volts(state: State) -> float:
    ports = state.solution.network.circuit.ports
    volts = state.solution.volts
    return next((float(volts[p.a] - volts[p.b]) for p in ports if p.sort in ("battery", "discharge")), math.nan)


def _amps_words(amps: float) -> str:
    """An expected current, no finer than it is known."""
    if amps < 0.005:
        return "0 A"
    return f"{amps * 1000:.0f} mA" if amps < 0.1 else f"{amps:.1f} A"


def _lamp_words(amps: float) -> str:
    if amps < 0.1:
        return "dark"
    return "glows faintly" if amps < GLOWS_A else "glows: switch off what draws it, or note it"


def _volts_words(volts: float) -> str:
    return "nothing (joined to no feed)" if math.isnan(volts) else f"{abs(round(float(volts), 1)):.1f} V"
