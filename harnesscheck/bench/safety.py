"""What is never measured from our lists: restraint wiring and high voltage."""

from __future__ import annotations

from collections.abc import Iterable

from harnesscheck.bench.ways import Hop
from harnesscheck.network.sides import SPECIAL_SYSTEMS, Label, Study, special_circuit

RESTRAINT = (
    "Restraint system (airbags, belt tensioners). Stop: no meter, no test lamp, no probing, no unplugging from this "
    "list. Battery off and the waiting time of the maker's manual (without one, at least 10 minutes), then only the "
    "maker's procedure, by a person licensed for it."
)
HIGH_VOLTAGE = (
    "High voltage (orange cables). Stop: no meter and no hands from this list. Trained and authorised people only, "
    "by the maker's procedure."
)


def stop_reason(study: Study, nodes: Iterable[int], hops: Iterable[Hop] = ()) -> str:
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
