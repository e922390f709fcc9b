"""What is never measured from our lists: restraint wiring and high voltage."""

from __future__ import annotations

from collections.abc import Iterable

from harnesscheck.bench.trace.ways import WayHop
from harnesscheck.model.order import natural_key
from harnesscheck.network.graph.sides import SPECIAL_SYSTEMS, Label, Study, special_circuit

RESTRAINT = (
    "Restraint system (airbags, belt tensioners). Stop: no meter, no test lamp, no probing, no unplugging from this "
    "list. Battery off and the waiting time of the maker's manual (without one, at least 10 minutes), then only the "
    "maker's procedure, by a person licensed for it."
)
HIGH_VOLTAGE = (
    "High voltage (orange cables). Stop: no meter and no hands from this list. Trained and authorised people only, "
    "by the maker's procedure."
)


def stop_reason(study: Study, nodes: Iterable[int], hops: Iterable[WayHop] = ()) -> str:
    """Why some nodes of the index, or a way, must not be measured at; empty where they may."""
    systems = {system for node in nodes for system in _systems(study, node)}
    for hop in hops:
        row = hop.element.row
        circuit = study.vehicle.circuits.get(getattr(row, "circuit", None) or "")
        if special_circuit(circuit):
            systems.add("high-voltage" if circuit is not None and circuit.system == "high-voltage" else "restraint")
        part = study.vehicle.components.get(hop.element.component)
        if part is not None and part.system in SPECIAL_SYSTEMS:
            systems.add(part.system)
    if not systems:
        return ""
    return HIGH_VOLTAGE if systems == {"high-voltage"} else RESTRAINT


def special_cavities(study: Study, connector: str) -> tuple[str, ...]:
    """The cavities of a plug half that hold restraint or high-voltage wiring; all of them where its part is such."""
    vehicle = study.vehicle
    row = vehicle.connectors[connector]
    part = vehicle.components.get(row.component or "")
    if part is not None and part.system in SPECIAL_SYSTEMS:
        return study.index.cavities(connector)
    marked = {
        pin.cavity or ""
        for pin in vehicle.pins_of.get(connector, ())
        if special_circuit(vehicle.circuits.get(pin.circuit or ""))
    }
    return tuple(sorted(marked, key=natural_key))


def is_special_plug(study: Study, connector: str) -> bool:
    """Whether either half of a plug holds restraint or high-voltage wiring: it is not opened from our lists."""
    halves = (connector, study.vehicle.mate_of.get(connector))
    return any(half is not None and special_cavities(study, half) for half in halves)


def cautions_of(study: Study, hops: Iterable[WayHop]) -> tuple[str, ...]:
    """What to take care of on one way: plugs shared with restraint wiring, fuel, pulses."""
    vehicle, found = study.vehicle, []
    hops = tuple(hops)
    plugs = dict.fromkeys(hop.element.name.partition(":")[0] for hop in hops if hop.sort == "contact")
    for plug in plugs:
        cavities = dict.fromkeys(one for half in (plug, vehicle.mate_of[plug]) for one in special_cavities(study, half))
        if cavities:
            names = ", ".join(cavities)
            found.append(
                f"{plug} also holds restraint wiring ({names}): keep the probe out of it, do not open this plug."
            )
    parts = [vehicle.components.get(hop.element.component) for hop in hops]
    if any(part is not None and part.system == "fuel" for part in parts):
        found.append("Fuel: battery off before a plug is opened there, no test lamp, no sparks, extinguisher at hand.")
    interlocks = dict.fromkeys(part.name or part.id for part in parts if part is not None and part.safety)
    found += [f"{name} is an interlock: measured if need be, never bridged." for name in interlocks]
    rows = [vehicle.circuits.get(getattr(hop.element.row, "circuit", None) or "") for hop in hops]
    if any(row is not None and row.signal == "pwm" for row in rows):
        found.append("Fed in pulses: a meter shows an average; the volts here are for full on.")
    return tuple(found)


def _systems(study: Study, node: int) -> Iterable[str]:
    """The special systems of a node: its part's, its circuits', or what its net is."""
    index = study.index
    piece = index.piece_of[node]
    for component, _ in index.terminals_of[piece]:
        system = study.vehicle.components[component].system
        if system in SPECIAL_SYSTEMS:
            yield system
    names = index.circuits_of[piece]
    rows = [study.vehicle.circuits.get(name) for name in names]
    for row in rows:
        if special_circuit(row):
            yield "high-voltage" if row is not None and row.system == "high-voltage" else "restraint"
    if study.piece_side(piece, None).label is Label.RESTRAINT:
        high = any(row is not None and row.system == "high-voltage" for row in rows)
        yield "high-voltage" if high else "restraint"
