"""What a way may not be measured at, and what to take care of on it; who is meant is asked of the judge."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from harnesscheck.bench.trace.ways import WayHop
from harnesscheck.compare.finding.cautions import shared_plug, stop
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.hands_off import Mark, together
from harnesscheck.network.volts.circuit import Branch
from harnesscheck.trade.lexicon.reading import read

HIGH_TENSION = (
    "Ignition: the high-tension side gives tens of thousands of volts. Engine off before a lead is touched, nobody "
    "with a pacemaker near it; only the 12 V side is measured."
)
XENON = "Gas discharge lamp: its ballast gives some 20 kV at switching on. Off and a minute's wait before it is opened."
CAPACITOR = "A charged capacitor keeps its charge with the battery off: let it discharge through a lamp, then measure."
AT_THE_BATTERY = (
    "Battery: it gasses hydrogen and holds acid. Eye protection, no sparks or flames, rings and watches off; a memory "
    "saver keeps the car live: take it out too."
)
FUEL = (
    "Fuel: battery off before a plug is opened there, pressure relieved before a line is, no test lamp, no flame or "
    "spark, fresh air, extinguisher at hand."
)

_CAPACITOR = re.compile(r"capacitor|condenser|kondensator|condensateur", re.IGNORECASE)  # from memory


def stop_reason(study: Study, nodes: Iterable[int], hops: Iterable[WayHop] = ()) -> str:
    """Why some nodes of the index, or a way, must not be measured at; empty where they may."""
    judge = study.hands_off
    if not judge.any:
        return ""
    marks = [mark for node in nodes for mark in judge.node(node)]
    marks += [mark for hop in hops for mark in _of_hop(study, hop)]
    return " ".join(stop(together(marks)))


def _of_hop(study: Study, hop: WayHop) -> Iterator[Mark]:
    judge, element = study.hands_off, hop.element
    yield from judge.part(element.component)
    if isinstance(element, Branch) and element.row is not None:
        yield from judge.row(element.row)
    if hop.sort == "contact":
        yield from judge.end(element.name)


def care_at(study: Study, hops: Iterable[WayHop], ends: Iterable[str]) -> str:
    """What to say beside an instruction at some elements and ends of a way: stop, and who opens a shared plug."""
    if not study.hands_off.any:
        return ""
    said = list(stop(together(mark for hop in hops for mark in _of_hop(study, hop))))
    plugs = [end.partition(":")[0] for end in ends if ":" in end]
    said += [text for plug in dict.fromkeys(plugs) if (text := shared_plug(study, plug))]
    return " ".join(said)


def cautions_of(study: Study, hops: Iterable[WayHop], ends: Iterable[str] = ()) -> tuple[str, ...]:
    """What to take care of on one way: plugs shared with restraint wiring, fuel, high tension, pulses.

    ``ends`` are what was asked for: only who asks for the battery works at it.
    """
    vehicle, found = study.vehicle, []
    hops = tuple(hops)
    plugs = dict.fromkeys(hop.element.name.partition(":")[0] for hop in hops if hop.sort == "contact")
    shared = [text for plug in plugs if (text := shared_plug(study, plug))]
    found += [f"STOP at this plug: {text} Keep the probe out of those contacts." for text in shared]
    parts = [vehicle.components.get(hop.element.component) for hop in hops]
    if any(part is not None and part.system == "fuel" for part in parts):
        found.append(FUEL)
    if any(_is_battery(study, end) for end in ends):
        found.append(AT_THE_BATTERY)
    found += dict.fromkeys(text for part in parts if part is not None for text in _of_words(part.name or part.id))
    interlocks = dict.fromkeys(part.name or part.id for part in parts if part is not None and part.safety)
    found += [f"{name} is an interlock: measured if need be, never bridged." for name in interlocks]
    rows = [vehicle.circuits.get(getattr(hop.element.row, "circuit", None) or "") for hop in hops]
    if any(row is not None and row.signal == "pwm" for row in rows):
        found.append("Fed in pulses: a meter shows an average; the volts here are for full on.")
    return tuple(found)


def _is_battery(study: Study, end: str) -> bool:
    """Whether a terminal (``battery.+``) or a cavity (``BA:1``) is the battery's own, or on its plug."""
    vehicle = study.vehicle
    plug = end.partition(":")[0]
    halves = [vehicle.connectors.get(one) for one in (plug, vehicle.mate_of.get(plug, ""))] if ":" in end else []
    owners = [half.component for half in halves if half is not None] or [end.rpartition(".")[0]]
    parts = [vehicle.components.get(owner or "") for owner in owners]
    return any(part is not None and part.kind == "battery" for part in parts)


def sparks(study: Study) -> bool:
    """Whether a car has an ignition whose high tension the file names."""
    rows = study.vehicle.netlist.components
    return any(HIGH_TENSION in _of_words(row.name or row.id) for row in rows)


def _of_words(name: str) -> Iterator[str]:
    """The one line for a part that can hurt by itself."""
    concepts = set(read(name).concepts)
    if concepts & {"ignition-coil", "spark-plug"} or {"ignition", "coil"} <= concepts:
        yield HIGH_TENSION
    if concepts & {"xenon", "ballast"}:
        yield XENON
    if _CAPACITOR.search(name) and not concepts & {"fan", "air-conditioning"}:
        yield CAPACITOR
