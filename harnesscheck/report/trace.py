"""A trace as blocks and as JSON, from the same steps."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from harnesscheck.bench.trace.lighting import closed_ports
from harnesscheck.bench.trace.orphans import Liveness
from harnesscheck.bench.trace.spots import GROUND, ProbeSpot, Spots, wire_row
from harnesscheck.bench.trace.trace import Trace, TraceStep
from harnesscheck.draw.scene import Scene
from harnesscheck.lists.looseends import LooseEnd
from harnesscheck.model.shortened import shortened
from harnesscheck.network.behaviour.states import Condition
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.circuit import Port
from harnesscheck.network.volts.lengths import Lengths
from harnesscheck.network.volts.resistances import plain
from harnesscheck.report.blocks.vocabulary import (
    Answer,
    BriefOrFull,
    Caution,
    Figure,
    Listing,
    Paragraph,
    Passage,
    Report,
    Route,
    RoutePoint,
    Section,
    paragraphs,
    passage,
    present,
    section,
)
from harnesscheck.report.document import envelope
from harnesscheck.report.drawings import figure, page_font
from harnesscheck.report.stops import stop_block
from harnesscheck.report.trace_words import (
    CAUTIONS,
    group_steps,
    group_title,
    hop_words,
    is_likely,
    joins_by_case,
    part_words,
    probe_of,
    volts_words,
    wire_looks,
)
from harnesscheck.report.traced import Traced

SHOWN_ALSO = 6
CRANKING = (
    "KEY AT START CRANKS THE ENGINE: out of gear, handbrake on, fuel and ignition off, hands and leads clear of belts "
    "and fans, ten seconds at most."
)
RUNNING = "ENGINE RUNNING: out of gear, handbrake on, fumes led away, hands and leads clear of belts, fans, hot parts."
SHOWN_NET = 40
SHOWN_V = 0.5


def trace_report(traced: Traced, inputs: Mapping[str, Any], tree: Sequence[Scene] = ()) -> Report:
    """The whole sheet; ``tree`` is the plan of measurements drawn."""
    found = traced.trace
    target = f"{found.target.name}: {found.target.words}"
    about = ((traced.word, traced.car_name), ("trace of", target))
    if found.stop:
        return Report(target, about, (Caution((found.stop,), urgent=True),), inputs)
    first = len(group_steps(found.up, upwards=True)) + 1
    up = "Up to the feed" if found.to_feed else "Up, as far as it goes"
    down = "Down to ground" if found.to_ground else "Down, as far as it goes"
    blocks = present(
        stop_block(found.study),
        Caution(traced.alarms, urgent=True) if traced.alarms else None,
        passage(*map(Answer, traced.breaks)),
        _ends(traced),
        _state(traced),
        _leg(up, found.up, traced, 1, upwards=True),
        _load(found),
        _leg(down, found.down, traced, first, upwards=False),
        passage(*paragraphs(_missing(found))),
        _net(traced),
        *traced.sections,
        section("The measurements drawn", BriefOrFull((), _drawn(tree))) if tree else None,
        passage(*paragraphs(_assumed(found))),
        Caution(CAUTIONS, "Take care"),
    )
    return Report(target, about, blocks, inputs, page_font(tree))


def _drawn(tree: Sequence[Scene]) -> tuple[Figure, ...]:
    return tuple(figure(scene, scene.title, number) for number, scene in enumerate(tree))


def _state(traced: Traced) -> Passage | None:
    found = traced.trace
    care = [*traced.notes]
    care += [CRANKING] if found.condition.key == "start" else []
    care += [RUNNING] if found.condition.running else []
    return passage(*paragraphs(_state_words(traced)), Caution(tuple(care)) if care else None)


def _state_words(traced: Traced) -> Iterator[str]:
    found = traced.trace
    if found.lit and not traced.asked:
        component = found.hops[found.load].element.component
        yield f"State: {condition_words(found.condition)} (the least that makes {component} work)."
    else:
        why = "" if traced.asked else "; no load on it works in any state known"
        yield f"State: {condition_words(found.condition)}{why}."
    if any(step.volts is not None for step in found.steps):
        volts = found.behaviour.circuit.vehicle.netlist.header.volts or 12.0
        yield (
            f"Volts are over bare body metal, computed for a battery that gives {volts:g} V and everything plugged "
            "in. A charged battery gives a little more: measure yours first, and add the difference."
        )


def condition_words(condition: Condition) -> str:
    """``key off, reading-switch on``."""
    return str(condition).replace("=", " ")


def _leg(head: str, steps: Sequence[TraceStep], traced: Traced, number: int, *, upwards: bool) -> Section | None:
    spots = Spots(traced.trace.study, traced.trace.behaviour.circuit)
    groups = group_steps(steps, upwards=upwards)
    points = []
    for order, group in enumerate(groups):
        probe = probe_of(group)
        also = [name for step in group for name in step.also]
        told = f"also on this net: {shortened(also, SHOWN_ALSO)}" if also else ""
        following = groups[order + 1] if order + 1 < len(groups) else None
        points.append(
            RoutePoint(
                number=str(number + order),
                reading=volts_words(probe.volts),
                place=group_title(spots, group),
                now=volts_words(probe.found_v) if traced.found and _differs(probe) else "",
                lines=tuple(filter(None, (_probe_words(group, probe), told))),
                between=_between(traced, _next_hop(group, following, upwards)),
            )
        )
    return section(head, Route(head, tuple(points))) if points else None


def _between(traced: Traced, step: TraceStep | None) -> str:
    """What lies between a place and the next, and from which car it is."""
    if step is None or step.hop is None:
        return ""
    car = traced.cars.get(step.hop.element.name, "")
    return hop_words(traced.trace.study, step.hop) + (f" [{car}]" if car else "")


def _differs(step: TraceStep) -> bool:
    """Whether the car as found reads something else that a meter shows plainly."""
    return abs((step.volts or 0.0) - (step.found_v or 0.0)) >= SHOWN_V


def _probe_words(group: Sequence[TraceStep], probe: TraceStep) -> str:
    words = f"probe {probe.spot.place}: {probe.spot.side}" if len(group) > 1 else f"probe {probe.spot.side}"
    return words if probe.spot.reachable else probe.spot.side


def _next_hop(group: Sequence[TraceStep], following: Sequence[TraceStep] | None, upwards: bool) -> TraceStep | None:
    """The step that holds the element between a group and the next."""
    if following is None:
        return None
    return group[-1] if upwards else following[0]


def _load(found: Trace) -> Passage | None:
    if found.split != found.load or found.load < 0:
        return None
    return passage(Paragraph(f"THE LOAD: {hop_words(found.study, found.hops[found.load])}"))


def _missing(found: Trace) -> Iterator[str]:
    """What the chain lacks, in words."""
    if found.complete:
        return
    lacks = [words for there, words in ((found.to_feed, "feed"), (found.to_ground, "ground")) if not there]
    yield f"In this state the file shows no way to {' and no way to '.join(lacks)}."
    last = found.steps[-1].spot if found.steps else None
    if not found.to_ground and last is not None and last.sort == GROUND:
        metal = found.study.vehicle.grounds[last.place].on or "body"
        yield f"{last.place} is on {metal}, and by the file no strap joins that to the battery's negative."
    for part in _never_closing(found):
        yield f"Open in every state known: {part}. Trace {part} itself: it is what has to work first."


def _never_closing(found: Trace) -> list[str]:
    """The relays, modules and switches on a leg that no state known closes."""
    circuit = found.behaviour.circuit
    energised = found.behaviour.state(found.condition).solution.energised
    shut = {id(circuit.ports[number]) for number in closed_ports(circuit, found.condition, energised)}
    legs = ((found.to_feed, found.up[:-1]), (found.to_ground, found.down))
    hops = [step.hop for whole, leg in legs for step in leg if not whole and step.hop is not None]
    opened = [hop.element for hop in hops if isinstance(hop.element, Port) and id(hop.element) not in shut]
    return list(dict.fromkeys(element.component for element in opened if element.sort in ("make", "break")))


def _net(traced: Traced) -> Section | None:
    """Everything a wire that is no load's feed or ground is joined to."""
    if not traced.net:
        return None
    study = traced.trace.study
    wires = tuple(f"{' to '.join(hop.names)}: {wire_looks(study, hop)}" for hop in traced.net_wires)
    return section(
        "All that hangs together with it",
        Listing(tuple(_spot_words(study, spot) for spot in traced.net), most=SHOWN_NET),
        Listing(wires, most=SHOWN_NET, noun="wires") if wires else None,
    )


def _spot_words(study: Study, spot: ProbeSpot) -> str:
    mate = study.vehicle.connectors.get(study.vehicle.mate_of.get(spot.connector, ""))
    part = study.vehicle.components.get((mate.component if mate is not None else None) or "")
    return ", ".join(filter(None, (spot.place, (part.name or part.id) if part is not None else "", spot.at)))


def _ends(traced: Traced) -> Section | None:
    return section("Where it ends", *paragraphs(_end_words(traced))) if traced.ends else None


def _end_words(traced: Traced) -> Iterator[str]:
    for end in traced.ends:
        yield f"{end.place}{f', {end.at}' if end.at else ''}: {end.why}{'' if end.certain else ' (likely)'}"
    if traced.live is not None:
        yield live_words(traced.live)
    if traced.functions:
        yield f"Its wires belong to {', '.join(traced.functions)}."
    if traced.once_fed:
        names = ", ".join(part_words(traced.other_study or traced.trace.study, one) for one in traced.once_fed)
        yield f"In the other car the same circuit goes to: {names} (likely: by its name)."
    if traced.alike:
        yield f"Called or coloured alike elsewhere: {shortened(traced.alike, SHOWN_ALSO, '; ')}."
    yield do_words(traced.ends, traced.live, _fuse_before(traced.trace))


def _fuse_before(found: Trace) -> str:
    """The name of the fuse nearest the target on its feed, or nothing."""
    before = found.hops[: max(0, found.split)] if found.to_feed else ()
    return next((hop.element.name for hop in reversed(before) if hop.sort == "fuse"), "")


def live_words(live: Liveness) -> str:
    """Key off first: what may be live while nobody expects it."""
    if "off" in live.sure:
        return "LIVE WITH THE KEY OFF. Take the battery off (negative first) or pull its fuse before you touch it."
    if live.sure:
        words = [f"Live with the key at {', '.join(live.sure)}."]
    elif live.known:
        words = ["Dead in every key position at rest, by the file."]
    else:
        words = ["NOT KNOWN WHETHER IT IS LIVE: the file does not tell all it is joined to. Take it for live."]
    if live.called and not live.sure:
        words.append(f"The file calls it a {live.called}.")
    if live.maybe:
        words.append(f"A switch, relay or module could make it live (key {', '.join(live.maybe)}).")
    return " ".join([*words, "Measure before you trust it: key off first, then each position."])


def do_words(ends: Sequence[LooseEnd], live: Liveness | None, fuse: str = "") -> str:
    """What to do with a loose end; ``fuse`` is the one before it, where that is known."""
    first = f"pull {f'fuse {fuse}' if fuse else 'its fuse'}, then " if live is not None and live.suspect else ""
    if any(end.cut for end in ends):
        return (
            f"Do: {first}join the cut wire again with a crimped and sealed joint of the same size, or, where it is no "
            "longer wanted, insulate both ends (one sleeve each) and tie them back to the loom. Cut nothing shorter."
        )
    return (
        f"Do: {first}cap the plug or put a sleeve on every end by itself, tie it back to the loom, and label it. "
        "Do not cut it off: the next person needs it."
    )


def _assumed(found: Trace) -> Iterator[str]:
    whys = dict.fromkeys(why for hop in found.hops for why in hop.element.why.split("; ") if why)
    if whys:
        yield f"Assumed, for the file does not say: {'; '.join(whys)}."


# -- JSON


def trace_document(traced: Traced, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """The JSON of a trace: its points in the order of the current, feed first."""
    found = traced.trace
    document = envelope("trace", inputs, {"donor": found.study})
    document.update(
        target={"name": found.target.name, "sort": found.target.sort, "text": found.target.words},
        state={
            "key": found.condition.key,
            "running": found.condition.running,
            "controls": dict(found.condition.settings),
        },
        stop=found.stop,
        alarms=list(traced.alarms),
        complete=found.complete,
        points=[*(_point(traced, number, step) for number, step in enumerate(found.steps)), *_net_points(traced)],
        ends=[{"place": one.place, "at": one.at, "why": one.why, "certain": one.certain} for one in traced.ends],
        live=list(traced.live.sure) if traced.live is not None and (traced.live.sure or traced.live.known) else None,
        breaks=list(traced.breaks),
        plan=traced.tree,
    )
    document["could-be-live"] = list(traced.live.maybe) if traced.live is not None else None
    document["once-fed"] = list(traced.once_fed)
    document["alike"] = list(traced.alike)
    document["verdict"]["sentence"] = _sentence(traced)
    return document


def _sentence(traced: Traced) -> str:
    """What a trace comes to; never that all is well, for nothing was measured yet."""
    found = traced.trace
    if found.stop:
        return found.stop
    if traced.breaks:
        return " ".join(traced.breaks)
    if found.complete:
        return "By the file the way is whole from battery to ground; nothing is measured yet."
    return "By the file the way is not whole; see ends."


def _point(traced: Traced, number: int, step: TraceStep) -> dict[str, Any]:
    found = traced.trace
    leg = "ground" if found.load >= 0 and number > found.load else "feed" if found.to_feed else "ground"
    return {
        "place": step.spot.place,
        "connector": step.spot.connector or None,
        "cavity": step.spot.cavity or None,
        "volts": step.volts,
        "key": found.condition.key,
        "at": step.spot.at,
        "leg": leg,
        "side": step.spot.side,
        "found-volts": step.found_v if traced.found else None,
        "also": list(step.also),
        "through": _through(traced, step),
    }


def _net_points(traced: Traced) -> Iterator[dict[str, Any]]:
    """What else hangs together with a target that is no part of a whole chain; its volts are not known."""
    told = {step.spot.place for step in traced.trace.steps}
    for spot in traced.net:
        if spot.place not in told:
            yield {
                "place": spot.place,
                "connector": spot.connector or None,
                "cavity": spot.cavity or None,
                "volts": None,
                "key": traced.trace.condition.key,
                "at": spot.at,
                "leg": "net",
                "side": spot.side,
                "found-volts": None,
                "also": [],
                "through": None,
            }


def _through(traced: Traced, step: TraceStep) -> dict[str, Any] | None:
    """The element between the point before and this one."""
    hop = step.hop
    if hop is None:
        return None
    row = wire_row(hop)
    length = plain(Lengths(traced.trace.study.vehicle).of(row, *hop.names)) if row and not joins_by_case(row) else None
    return {
        "sort": hop.sort,
        "component": hop.element.component or None,
        "name": hop.element.name,
        "circuit": row.circuit if row is not None else None,
        "colour": row.colour.text if row is not None and row.colour is not None else None,
        "size": row.size.text if row is not None and row.size is not None else None,
        "length": length,
        "certainty": "likely" if is_likely(hop) else "known",
        "car": traced.cars.get(hop.element.name),
    }
