"""Always on and blows its fuse: which contact or wire joins what it should not, found by unplugging."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from harnesscheck.bench.symptoms.breaks import OPTIMAL, OPTIMAL_IN_TREE
from harnesscheck.bench.symptoms.orders import Effort, FaultFound, Fork, Halving, Order, best_order, halved
from harnesscheck.bench.symptoms.plans import Diagnosis, MeasurementPlan, MeterAnswer, MeterQuestion
from harnesscheck.bench.trace.elementwords import element_words
from harnesscheck.bench.trace.lighting import closed_ports
from harnesscheck.bench.trace.safety import care_at
from harnesscheck.bench.trace.spots import Spots
from harnesscheck.bench.trace.trace import Trace
from harnesscheck.bench.trace.ways import Way, WayFinder, WayHop
from harnesscheck.compare.finding.cavitywords import named
from harnesscheck.network.behaviour.states import Condition
from harnesscheck.network.volts.circuit import SOURCES, Branch, Port
from harnesscheck.network.volts.lengths import Lengths
from harnesscheck.network.volts.resistances import plain

UNPLUG_MIN, TURN_MIN = 2.0, 0.5  # minutes to unplug, to turn a switch; common practice, no source
CONTACT_WEIGHT, WIRE_WEIGHT_PER_M, LOAD_WEIGHT = 4.0, 1.0, 1.0  # how likely each is; common practice, no source
TEST_LAMP = "a 21 W lamp in the holder in place of the fuse (common practice, no source)"
TOLD_APART = "These no unplugging tells apart"


# -- always on


def always_on_plan(found: Trace) -> MeasurementPlan:
    """What keeps a load on with its controls at rest: a contact that bridges, or a wire beside it."""
    rest = Condition(found.condition.stage)
    place = _open_at_rest(found, rest)
    intro: tuple[str, ...] = (f"Set: {rest!s}, all controls at rest; the load is on all the same.",)
    if place is None:
        text = f"by the file nothing between feed and ground is open at {rest}: this load is meant to be on then"
        return MeasurementPlan(
            "always-on", intro, Diagnosis(text, "Compare with another car before you look for a fault.")
        )
    outward = _outward(found, place)
    plugs = [number for number, hop in enumerate(outward) if hop.sort == "contact" and _tells(found, outward, hop)]
    cuts = [0, *plugs, len(outward)]
    runs = [outward[a:b] for a, b in pairwise(cuts)]
    runs = [run for run in runs if run]
    spots = Spots(found.study, found.behaviour.circuit)
    tests = [outward[number] for number in plugs][-(len(runs) - 1) :] if len(runs) > 1 else []
    efforts = [Effort(UNPLUG_MIN, spots.at(hop.element.name)) for hop in tests]
    order = best_order([_bridge_weight(found, run) for run in runs], efforts, _start(found))
    intro += ("Battery off before each plug is opened, on again to look.", OPTIMAL)
    return MeasurementPlan(
        "always-on",
        intro,
        _unplugged(found, runs, tests, order.root, "a live wire" if place < found.load else "the body"),
    )


def _open_at_rest(found: Trace, rest: Condition) -> int | None:
    """The hop nearest the load that is open when nothing is worked; interlocks, closed in a sound car, not counted."""
    circuit = found.behaviour.circuit
    closed = closed_ports(circuit, rest, found.behaviour.state(rest).solution.energised)
    shut = {id(circuit.ports[number]) for number in closed}
    opened = [
        number
        for number, hop in enumerate(found.hops)
        if isinstance(hop.element, Port)
        and hop.sort != "diode"
        and id(hop.element) not in shut
        and not _is_interlock(found, hop)
    ]
    return min(opened, key=lambda number: (abs(number - found.load), number), default=None)


def _is_interlock(found: Trace, hop: WayHop) -> bool:
    return bool(found.study.vehicle.components[hop.element.component].safety)


def _outward(found: Trace, place: int) -> Way:
    """The hops from the load out to the open one, that one included."""
    if place < found.load:
        return tuple(hop.turned for hop in reversed(found.hops[place : found.load]))
    return found.hops[found.load + 1 : place + 1]


def _tells(found: Trace, outward: Way, contact: WayHop) -> bool:
    """Whether unplugging there parts that way at one place, leaves the load's other side, and is not its own plug."""
    halves = _halves(found, contact)
    way = {id(hop.element) for hop in outward}
    same = [hop for hop in found.hops if hop.sort == "contact" and _halves(found, hop) == halves]
    beside = [hop for hop in same if id(hop.element) in way]
    near = (
        found.hops[: found.load] if any(hop in found.hops[found.load :] for hop in beside) else found.hops[found.load :]
    )
    load = found.hops[found.load].element.component
    own = any(found.study.vehicle.connectors[half].component == load for half in halves)
    if found.study.hands_off.plug(min(halves)):
        return False
    return len(beside) == 1 and not own and not any(hop in near for hop in same)


def _halves(found: Trace, contact: WayHop) -> frozenset[str]:
    half = contact.element.name.partition(":")[0]
    return frozenset({half, found.study.vehicle.mate_of[half]})


def _bridge_weight(found: Trace, run: Way) -> float:
    return sum(CONTACT_WEIGHT if isinstance(hop.element, Port) else _wire_m(found, hop) for hop in run) or 0.1


def _wire_m(found: Trace, hop: WayHop) -> float:
    """How likely a wire is to be chafed: by its length."""
    if hop.sort != "wire":
        return 0.1
    row = hop.element.row
    return WIRE_WEIGHT_PER_M * plain(Lengths(found.study.vehicle).of(row, *hop.names))  # type: ignore[arg-type]


def _unplugged(
    found: Trace, runs: Sequence[Way], tests: Sequence[WayHop], order: Order, touched: str
) -> MeterQuestion | Diagnosis:
    """The tree; ``touched`` is what a chafed wire would have to touch."""
    if isinstance(order, FaultFound):
        return _bridge_verdict(found, runs[order.suspect], touched)
    contact = tests[order.spot - 1]
    half, mate = sorted(_halves(found, contact))
    at = Spots(found.study, found.behaviour.circuit).at(contact.element.name)
    return MeterQuestion(
        contact.element.name,
        at,
        f"unplug {half} from {mate}, look at the load, plug in again",
        (
            MeterAnswer("goes out", _unplugged(found, runs, tests, order.after, touched)),
            MeterAnswer("stays on", _unplugged(found, runs, tests, order.before, touched)),
        ),
    )


def _bridge_verdict(found: Trace, run: Way, touched: str) -> Diagnosis:
    words, do = [], []
    for hop in sorted(run, key=lambda one: not isinstance(one.element, Port)):
        if isinstance(hop.element, Port):
            if _is_interlock(found, hop):
                continue
            words.append(_stuck(found, hop))
            do.append(_stuck_do(hop))
        elif hop.sort == "wire":
            words.append(f"{element_words(found.study, hop)} touches {touched}")
    do.append("Follow the loom by eye for crushed, chafed or melted places; battery off first.")
    spots = Spots(found.study, found.behaviour.circuit)
    do.append(care_at(found.study, run, [end for hop in run for end in spots.ends(hop)]))
    return Diagnosis(
        "; ".join(words) or "a contact touches its neighbour in the plug", " ".join(dict.fromkeys(filter(None, do)))
    )


def _stuck(found: Trace, hop: WayHop) -> str:
    name = named(found.study, hop.element.component)
    return {
        "make": f"relay {name}: contact welded, or its coil is held in",
        "break": f"relay {name}: does not pull in",
        "output": f"{name} keeps its output {hop.driven} on",
    }.get(hop.sort, f"{name} bridges {hop.element.name} though it is at rest")


def _stuck_do(hop: WayHop) -> str:
    if hop.sort in ("make", "break"):
        return (
            f"Pull the relay: out means relay or its coil. Fit a like one: on again means its coil is driven, "
            f"trace {hop.element.component} with --symptom always-on."
        )
    if hop.sort == "output":
        return "Read the module's codes; unplugged and out means its driver is burnt, or it is told to."
    return "Unplug it and measure across its terminals at rest: open, or it is the fault."


def _start(found: Trace) -> str | None:
    return found.steps[found.split].spot.at if found.steps else None


# -- blows its fuse


@dataclass(frozen=True, slots=True)
class _SuspectPart:
    """One suspect behind a fuse: a wire, or something fed by it; ``node`` is where it hangs."""

    words: str
    weight: float
    nodes: tuple[int, ...]
    care: str = ""  # what is said beside it where restraint or high-voltage wiring is near


def blows_fuse_plan(found: Trace) -> MeasurementPlan:
    """Where behind a fuse the short is: halves by unplugging and by switching off."""
    fuse = _fuse_of(found)
    if fuse is None:
        return MeasurementPlan(
            "blows-fuse", (), Diagnosis("no fuse lies before this target in the file", "Look for it in the car.")
        )
    region = _Region(found, fuse)
    parts, tests = _told_apart(region.parts(), region)
    efforts = [Effort(test.minutes, test.at) for test, _ in tests]
    tree, exact = halved(
        [sum(one.weight for one in group) for group in parts],
        [behind for _, behind in tests],
        efforts,
        _fuse_at(found, fuse),
    )
    halving = "Many branches: each test halves what is left, weighed by its effort; not shown optimal."
    note = OPTIMAL_IN_TREE if exact else halving
    rating = fuse.element.rating_a if isinstance(fuse.element, Branch) else None
    name = f"{fuse.element.name} {rating:g} A" if rating else fuse.element.name
    intro = (
        f"Set: {str(found.condition).replace('=', ' ')}; take fuse {name} out and put {TEST_LAMP}. Bright is the "
        "short; dim or out is only what the parts draw. Never a bigger fuse, never a bridge.",
        "Key off before each plug is opened. What you unplugged stays unplugged until the short is found.",
        note,
    )
    return MeasurementPlan("blows-fuse", intro, _halved(parts, [test for test, _ in tests], tree))


def _fuse_of(found: Trace) -> WayHop | None:
    """The target's own fuse, else the nearest before the load."""
    fuses = [hop for hop in found.hops if hop.sort == "fuse"]
    own = next((hop for hop in fuses if found.target.name in (hop.element.name, hop.element.component)), None)
    before = found.hops[: found.load] if found.load >= 0 else found.hops
    return own or next((hop for hop in reversed(before) if hop.sort == "fuse"), None)


def _fuse_at(found: Trace, fuse: WayHop) -> str | None:
    spots = Spots(found.study, found.behaviour.circuit)
    return spots.at(spots.ends(fuse)[1])


@dataclass(frozen=True, slots=True)
class _Test:
    """One thing to take apart: what to do, where, how long, and which elements it opens."""

    place: str
    at: str | None
    how: str
    minutes: float
    opens: frozenset[int]  # ids of elements


class _Region:
    """All that a fuse feeds in one state, up to the loads and to ground."""

    def __init__(self, found: Trace, fuse: WayHop) -> None:
        self.found = found
        circuit = found.behaviour.circuit
        energised = found.behaviour.state(found.condition).solution.energised
        self.finder = WayFinder(circuit, closed_ports(circuit, found.condition, energised))
        self.fuse = fuse
        self.spots = Spots(found.study, circuit)
        self.nodes = self._reached(frozenset())
        self.hops = self._inside()

    def _reached(self, opened: frozenset[int]) -> set[int]:
        """The nodes still joined to the fuse with some elements open; ground and battery are not walked on from."""
        ends = self.finder.minus | self.finder.plus
        seen, stack = {self.fuse.end}, [self.fuse.end]
        while stack:
            for hop in self.finder.hops[stack.pop()]:
                if hop.element is self.fuse.element or id(hop.element) in opened or hop.sort == "resistor":
                    continue
                if hop.end not in seen and hop.end not in ends:
                    seen.add(hop.end)
                    stack.append(hop.end)
        return seen

    def _inside(self) -> list[WayHop]:
        found: dict[int, WayHop] = {}
        for node in sorted(self.nodes):
            for hop in self.finder.hops[node]:
                if hop.end in self.nodes and hop.element is not self.fuse.element:
                    found.setdefault(id(hop.element), hop)
        return list(found.values())

    def parts(self) -> list[_SuspectPart]:
        """Wires by their length, and what they feed."""
        wires = [
            _SuspectPart(
                element_words(self.found.study, hop), _wire_m(self.found, hop), (hop.start, hop.end), self._care(hop)
            )
            for hop in self.hops
            if hop.sort == "wire"
        ]
        circuit = self.found.behaviour.circuit
        fed: dict[str, tuple[int, WayHop]] = {}
        for number, branch in enumerate(circuit.branches):
            if branch.sort in ("load", "coil"):
                node = next((one for one in (branch.a, branch.b) if one in self.nodes), None)
                if node is not None:
                    fed.setdefault(branch.component, (node, WayHop(branch, branch.a, branch.b, number)))
        loads = [
            _SuspectPart(element_words(self.found.study, hop), LOAD_WEIGHT, (node,), self._care(hop))
            for node, hop in fed.values()
        ]
        return [*wires, *loads]

    def _care(self, hop: WayHop) -> str:
        plugs = [f"{row.id}:" for row in self.found.study.vehicle.connectors_of.get(hop.element.component, ())]
        return care_at(self.found.study, (hop,), (*self.spots.ends(hop), *plugs))

    def tests(self, parts: Sequence[_SuspectPart]) -> Iterator[tuple[_Test, frozenset[int]]]:
        """What can be unplugged or switched off, and the suspects each takes off the fuse."""
        for test in (*self._plugs(), *self._switches()):
            left = self._reached(test.opens)
            behind = {number for number, part in enumerate(parts) if not left.intersection(part.nodes)}
            yield test, frozenset(behind)

    def _plugs(self) -> Iterator[_Test]:
        plugs: dict[frozenset[str], list[WayHop]] = {}
        for hop in self.hops:
            if hop.sort == "contact":
                plugs.setdefault(_halves(self.found, hop), []).append(hop)
        for halves, hops in plugs.items():
            half, mate = sorted(halves)
            if self.found.study.hands_off.plug(half):
                continue
            opens = frozenset(id(hop.element) for hop in hops)
            yield _Test(half, self.spots.at(half), f"unplug {half} from {mate}", UNPLUG_MIN, opens)

    def _switches(self) -> Iterator[_Test]:
        for hop in self.hops:
            element = hop.element
            if isinstance(element, Port) and element.sort not in SOURCES and element.sort != "diode":
                what = "pull the relay" if element.sort in ("make", "break") else "turn it to rest"
                at = self.spots.at(f"{element.component}.")
                yield _Test(element.component, at, f"{what}: {element.component}", TURN_MIN, frozenset({id(element)}))


def _told_apart(
    parts: Sequence[_SuspectPart], region: _Region
) -> tuple[list[list[_SuspectPart]], list[tuple[_Test, frozenset[int]]]]:
    """Suspects that every test takes off together, as one; and the tests over these."""
    tests = list(region.tests(parts))
    groups: dict[tuple[bool, ...], list[_SuspectPart]] = {}
    for number, part in enumerate(parts):
        groups.setdefault(tuple(number in behind for _, behind in tests), []).append(part)
    found = [
        (test, frozenset(number for number, signs in enumerate(groups) if signs[order]))
        for order, (test, _) in enumerate(tests)
    ]
    return list(groups.values()), [(test, behind) for test, behind in found if behind]


def _halved(
    parts: Sequence[Sequence[_SuspectPart]], tests: Sequence[_Test], tree: Halving
) -> MeterQuestion | Diagnosis:
    if not isinstance(tree, Fork):
        left = [part for one in tree.suspects for part in parts[one]]
        words = [part.words for part in sorted(left, key=lambda part: -part.weight)]
        head = f"{TOLD_APART}: " if len(words) > 1 else ""
        return Diagnosis(
            head + ("; ".join(words) or "nothing is left: the fuse's own holder"),
            "Look along it for crushed, chafed or melted places and water in plugs; a part: unplugged, its terminals "
            "to ground in ohms. Mend it, then a fuse of the printed rating, once."
            + "".join(f" {care}" for care in dict.fromkeys(part.care for part in left if part.care)),
        )
    test = tests[tree.test]
    return MeterQuestion(
        test.place,
        test.at,
        test.how,
        (
            MeterAnswer("lamp goes dim or out: behind it", _halved(parts, tests, tree.inside)),
            MeterAnswer("lamp stays bright: before it", _halved(parts, tests, tree.outside)),
        ),
    )
