"""One version of a car: a netlist whose rows all apply, with its look-ups.

``read.configure`` and ``assemble`` make vehicles; nothing above them may ask
which of the two did.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from harnesscheck.model.records import (
    Circuit,
    Component,
    Connector,
    Ground,
    Harness,
    Inside,
    Netlist,
    Pin,
    Splice,
)


@dataclass(frozen=True)
class Vehicle:
    """A configured netlist. Look-ups are built once, on first use; the order is the file's."""

    netlist: Netlist

    @property
    def name(self) -> str:
        """What to call it: its own name and model year, else the file it came from."""
        return self.netlist.name

    @cached_property
    def connectors(self) -> Mapping[str, Connector]:
        """Connectors by id."""
        return {row.id: row for row in self.netlist.connectors}

    @cached_property
    def components(self) -> Mapping[str, Component]:
        """Components by id."""
        return {row.id: row for row in self.netlist.components}

    @cached_property
    def circuits(self) -> Mapping[str, Circuit]:
        """Circuits by id; a circuit that only pins name is not here."""
        return {row.id: row for row in self.netlist.circuits}

    @cached_property
    def harnesses(self) -> Mapping[str, Harness]:
        """Harnesses by id."""
        return {row.id: row for row in self.netlist.harnesses}

    @cached_property
    def grounds(self) -> Mapping[str, Ground]:
        """Ground points by id."""
        return {row.id: row for row in self.netlist.grounds}

    @cached_property
    def splices(self) -> Mapping[str, Splice]:
        """Splices by id."""
        return {row.id: row for row in self.netlist.splices}

    @cached_property
    def pins_of(self) -> Mapping[str, tuple[Pin, ...]]:
        """The pins of each connector that has any."""
        return _grouped([(pin.connector, pin) for pin in self.netlist.pins if pin.connector is not None])

    @cached_property
    def loose_pins_of(self) -> Mapping[str, tuple[Pin, ...]]:
        """Terminals wired or grounded without a plug, by component."""
        return _grouped([(pin.component, pin) for pin in self.netlist.pins if pin.component is not None])

    @cached_property
    def connectors_of(self) -> Mapping[str, tuple[Connector, ...]]:
        """The connectors of each component that has any."""
        return _grouped([(row.component, row) for row in self.netlist.connectors if row.component is not None])

    @cached_property
    def insides_of(self) -> Mapping[str, tuple[Inside, ...]]:
        """What is joined inside each component."""
        return _grouped([(row.component, row) for row in self.netlist.insides])

    def called(self, component: str) -> str:
        """A component by name and id, as a person would look for it."""
        row = self.components.get(component)
        return f"{row.name} ({component})" if row is not None and row.name and row.name != component else component

    def place_of(self, connector: str | None, *, loom: bool = False) -> str:
        """Where a plug half is, the nearest that is written: itself, its part, its other half, that one's part.

        With ``loom`` where its harness is, if nothing else is written; empty where nothing is.
        """
        row = self.connectors.get(connector or "")
        if row is None:
            return ""
        mate = self.connectors.get(self.mate_of.get(row.id, ""))
        halves = [half for half in (row, mate) if half is not None]
        known = [one for half in halves for one in (half, self.components.get(half.component or ""))]
        harness = self.harnesses.get(row.harness or "") if loom else None
        return next((one.at for one in (*known, harness) if one is not None and one.at), "")

    def place_at(self, end: str, *, loom: bool = False) -> str:
        """Where a wire's end is: a cavity's plug, a splice, a ground point, a part's terminal; empty where not written.

        ``loom`` as in ``place_of``.
        """
        connector = end.partition(":")[0]
        if connector in self.connectors:
            return self.place_of(connector, loom=loom)
        row = self.splices.get(end) or self.grounds.get(end) or self.components.get(end.rpartition(".")[0])
        return (row.at if row is not None else None) or ""

    @cached_property
    def mate_of(self) -> Mapping[str, str]:
        """The other half of every mated connector, both ways round."""
        mates: dict[str, str] = {}
        for row in self.netlist.connectors:
            if row.mates is not None:
                mates[row.id] = row.mates
                mates.setdefault(row.mates, row.id)
        return mates


T = TypeVar("T")


def _grouped(pairs: list[tuple[str, T]]) -> Mapping[str, tuple[T, ...]]:
    groups: dict[str, list[T]] = defaultdict(list)
    for key, row in pairs:
        groups[key].append(row)
    return {key: tuple(rows) for key, rows in groups.items()}
