"""Dead and dim: where a chain is broken, and where it loses its volts."""

from __future__ import annotations

from harnesscheck.bench.symptoms.chain import Chain, battery_v, chain_of
from harnesscheck.bench.symptoms.orders import BestOrder, FaultFound, Order, best_order
from harnesscheck.bench.symptoms.plans import Diagnosis, MeasurementPlan, MeterAnswer, MeterQuestion
from harnesscheck.bench.trace.elementwords import element_words
from harnesscheck.bench.trace.safety import care_at
from harnesscheck.bench.trace.spots import Spots
from harnesscheck.bench.trace.trace import Trace
from harnesscheck.bench.trace.ways import WayHop

FEED_LOST_V, GROUND_LOST_V = 0.5, 0.2  # over what the wires themselves take; workshop practice, no source
_OPTIMAL = (
    "The order is the one with the least expected effort for exactly one fault{where} ({how}; how likely each part "
    "fails and what a measurement costs are common practice, no source)."
)
OPTIMAL = _OPTIMAL.format(where=" on this chain", how="dynamic programming over all orders")
OPTIMAL_IN_TREE = _OPTIMAL.format(where="", how="all orders tried")


def dead_plan(found: Trace) -> MeasurementPlan:
    """Where the chain of a dead load is broken. Needs a complete trace."""
    chain = chain_of(found)
    order = best_order(chain.weights, chain.efforts, _start(found))
    intro = (
        f"Set: {str(found.condition).replace('=', ' ')}, everything plugged in. Black lead on bare body metal.",
        f"First the battery itself: {battery_v(found.behaviour.circuit):g} V or a little more; add the difference to "
        "what is said below. A reading counts as the value it is within 1 V of; what lies between is a bad contact, "
        "not a break: use --symptom dim.",
        _cost_words(order),
        OPTIMAL,
    )
    return MeasurementPlan("dead", intro, _dead(chain, order.root))


def _start(found: Trace) -> str | None:
    """Where a person stands at the beginning: at the target."""
    return found.steps[found.split].spot.at if found.steps else None


def _cost_words(order: BestOrder) -> str:
    return (
        f"On average {order.measurements:.1f} measurements and {order.minutes:.0f} minutes, at most {order.most} "
        "measurements."
    )


def _dead(chain: Chain, order: Order) -> MeterQuestion | Diagnosis:
    if isinstance(order, FaultFound):
        return verdict_of(chain, order.suspect)
    step = chain.spots[order.spot - 1]
    live_v, dead_v = chain.live_v[order.spot - 1], chain.dead_v[order.spot - 1]
    after, before = _dead(chain, order.after), _dead(chain, order.before)
    if chain.is_ground_side(order.spot - 1):
        answers = (MeterAnswer(f"good: {dead_v:.1f} V", before), MeterAnswer(f"bad: live, {live_v:.1f} V", after))
    else:
        answers = (MeterAnswer(f"good: {live_v:.1f} V", after), MeterAnswer(f"bad: {dead_v:.1f} V", before))
    return MeterQuestion(step.spot.place, step.spot.at, step.spot.side, answers)


def verdict_of(chain: Chain, suspect: int) -> Diagnosis:
    """The leaf for one suspect: what lies between its two spots, and how to prove it."""
    hops = chain.suspects[suspect]
    spots = Spots(chain.trace.study, chain.trace.behaviour.circuit)
    first, last = spots.ends(hops[0])[0], spots.ends(hops[-1])[1]
    likely = sorted(range(len(hops)), key=lambda number: (-_weight(hops[number]), number))
    words = "; ".join(element_words(chain.trace.study, hops[number]) for number in likely)
    between = f"between {first} and {last}: " if first != last else ""
    ends = [end for hop in hops for end in spots.ends(hop)]
    care = care_at(chain.trace.study, hops, ends)
    return Diagnosis(f"{between}{words}", f"{_proof(hops)} {care}".strip(), (first, last))


def _weight(hop: WayHop) -> float:
    return {"load": 4.0, "fuse": 3.0, "contact": 2.0, "wire": 1.0}.get(hop.sort, 2.5)


def _proof(hops: tuple[WayHop, ...]) -> str:
    """How a suspect is proven before anything is replaced."""
    sorts = {hop.sort for hop in hops}
    relay = next((hop.element.component for hop in hops if hop.sort in ("make", "break")), "")
    words = []
    if relay:
        words.append(f"First trace the relay's coil: target {relay}.")
    if "fuse" in sorts:
        words.append("Pull the fuse and measure it: under 1 Ω. If a new one blows, use --symptom blows-fuse.")
    if "load" in sorts or "contact" in sorts:
        words.append("Unplug, look for green, bent or pushed-back contacts; measure the part itself in ohms.")
    if "wire" in sorts and "load" not in sorts:
        words.append("Battery off, both ends apart: end to end under 0.5 Ω, else that wire is broken or cut.")
    return " ".join(words) or "Swap or bypass nothing; measure the part unplugged, by the maker's values."


# -- dim


def dim_plan(found: Trace) -> MeasurementPlan:
    """Where a dim load loses its volts: the same chain, measured under load."""
    chain = chain_of(found)
    order = best_order(chain.weights, chain.efforts, _start(found))
    intro = (
        f"Set: {str(found.condition).replace('=', ' ')}; the load must be on, dim as it is: a drop shows only under "
        "current. Black lead on the battery's negative post, not on the body.",
        f"First the battery itself under this load: {battery_v(found.behaviour.circuit):g} V or a little more, and "
        "take what it has more or less off every reading.",
        f"More than {FEED_LOST_V:g} V lost on the feed side or {GROUND_LOST_V:g} V on the ground side, beyond what "
        "the wires themselves take, is bad (workshop practice, no source).",
        _cost_words(order),
        OPTIMAL,
    )
    return MeasurementPlan("dim", intro, _dim(chain, order.root))


def _dim(chain: Chain, order: Order) -> MeterQuestion | Diagnosis:
    if isinstance(order, FaultFound):
        verdict = verdict_of(chain, order.suspect)
        return Diagnosis(f"volts are lost {verdict.text}", verdict.do, verdict.places)
    step = chain.spots[order.spot - 1]
    volts = step.volts if step.volts is not None else 0.0
    if chain.is_ground_side(order.spot - 1):
        answers = (
            MeterAnswer(f"good: {volts:.2f} V, at most {volts + GROUND_LOST_V:.1f} V", _dim(chain, order.before)),
            MeterAnswer(f"bad: more than {volts + GROUND_LOST_V:.1f} V", _dim(chain, order.after)),
        )
    else:
        answers = (
            MeterAnswer(f"good: {volts:.1f} V, at least {volts - FEED_LOST_V:.1f} V", _dim(chain, order.after)),
            MeterAnswer(f"bad: less than {volts - FEED_LOST_V:.1f} V", _dim(chain, order.before)),
        )
    return MeterQuestion(step.spot.place, step.spot.at, step.spot.side, answers)
