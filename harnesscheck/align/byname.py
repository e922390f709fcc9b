"""Pairs that need no thinking: what the crosswalk says, and rows called the same in both cars.

A name pairs two rows only where nothing known about them forbids it: a fuse is
not a lamp, a component's plug is not a harness's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from harnesscheck.align.pairs import Pair, Pairs
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Component, Connector
from harnesscheck.model.vehicle import Vehicle

CROSSWALK, SAME_NAME = "crosswalk", "same id"


@dataclass(frozen=True, slots=True)
class Crosswalk:
    """Certain knowledge, donor = shell. A connector key may be a single cavity (``C12:4``)."""

    connector: Mapping[str, str] = field(default_factory=dict)
    component: Mapping[str, str] = field(default_factory=dict)
    circuit: Mapping[str, str] = field(default_factory=dict)

    @property
    def cavities(self) -> Mapping[str, str]:
        """The entries that map single cavities."""
        return {donor: shell for donor, shell in self.connector.items() if ":" in donor}

    @property
    def connectors(self) -> Mapping[str, str]:
        """The entries that map whole connectors, and those that single cavities imply."""
        whole = {donor: shell for donor, shell in self.connector.items() if ":" not in donor}
        for donor, shell in self.cavities.items():
            whole.setdefault(donor.partition(":")[0], shell.partition(":")[0])
        return whole


def _paired(said: Mapping[str, str], donor: Iterable[str], shell: Iterable[str]) -> list[Pair]:
    """Crosswalk first, then equal ids; a row the crosswalk names is not paired by its id."""
    same = sorted(set(donor) & set(shell), key=natural_key)
    taken = set(said.values())
    pairs = [Pair(a, b, 1.0, CROSSWALK) for a, b in said.items()]
    pairs += [Pair(a, a, 1.0, SAME_NAME) for a in same if a not in said and a not in taken]
    return pairs


def _component_fits(a: Component, b: Component) -> bool:
    return a.kind is None or b.kind is None or a.kind == b.kind


def _connector_fits(a: Connector, b: Connector) -> bool:
    if (a.component is None) != (b.component is None):
        return a.harness is None and b.harness is None  # a plug nobody assigned yet may be either
    elsewhere = a.at is not None and b.at is not None and a.at != b.at
    other_loom = a.harness is not None and b.harness is not None and a.harness != b.harness
    return not (elsewhere and other_loom)


def _named_circuits(vehicle: Vehicle) -> set[str]:
    rows = vehicle.netlist.circuits
    used = [pin.circuit for pin in vehicle.netlist.pins if pin.circuit is not None]
    used += [wire.circuit for wire in vehicle.netlist.wires if wire.circuit is not None]
    return {*(row.id for row in rows), *used}


def pairs_by_name(donor: Vehicle, shell: Vehicle, crosswalk: Crosswalk | None = None) -> Pairs:
    """Pairs by crosswalk and by equal id. Entries of the crosswalk that name no row are left out."""
    said = crosswalk or Crosswalk()
    connectors = _paired(said.connectors, donor.connectors, shell.connectors)
    components = _paired(said.component, donor.components, shell.components)
    a_connectors, b_connectors = donor.connectors, shell.connectors
    a_components, b_components = donor.components, shell.components
    return Pairs(
        connectors=tuple(
            pair
            for pair in connectors
            if pair.donor in a_connectors
            and pair.shell in b_connectors
            and (pair.why == CROSSWALK or _connector_fits(a_connectors[pair.donor], b_connectors[pair.shell]))
        ),
        components=tuple(
            pair
            for pair in components
            if pair.donor in a_components
            and pair.shell in b_components
            and (pair.why == CROSSWALK or _component_fits(a_components[pair.donor], b_components[pair.shell]))
        ),
        circuits=tuple(_paired(said.circuit, _named_circuits(donor), _named_circuits(shell))),
        harnesses=tuple(_paired({}, donor.harnesses, shell.harnesses)),
        grounds=tuple(_paired({}, donor.grounds, shell.grounds)),
        cavities=dict(said.cavities),
    )
