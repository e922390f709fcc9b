"""What new wires are made of, and which circuits are not to be worked on from our lists at all."""

from __future__ import annotations

from dataclasses import dataclass

from harnesscheck.compare.context import Context
from harnesscheck.decide.sources import wire_area_mm2
from harnesscheck.model.edits import Conductor
from harnesscheck.model.records import Pin, Wire
from harnesscheck.trade.sizes import Size

MAKERS_ONLY = frozenset({"brake", "brakes", "abs", "steering", "throttle"})
"""Systems that get the maker's own parts only (common practice, no source)."""

DEFAULT_NEW_WIRE_M = 2.0
DEFAULT_AREA_MM2 = 0.75

Spot = tuple[str, str]  # connector, cavity


@dataclass(frozen=True, slots=True)
class NewWire:
    """A wire to be laid, and whether its size and its length are written or assumed."""

    conductor: Conductor
    is_sized: bool
    is_measured: bool

    @property
    def assumed(self) -> tuple[str, ...]:
        """What was assumed of it, in words."""
        length = () if self.is_measured else (f"length of a new wire not known: {DEFAULT_NEW_WIRE_M:g} m assumed",)
        return self.assumed_size + length

    @property
    def assumed_size(self) -> tuple[str, ...]:
        """What was assumed of a piece whose length is known."""
        return () if self.is_sized else (f"size of a new wire not known: {DEFAULT_AREA_MM2:g} mm² assumed",)


def forbidden(ctx: Context, donor: Spot, car: Spot) -> bool:
    """Whether a contact belongs to restraint, high voltage, an interlock, or to what gets the maker's parts only."""
    restrained = ctx.restrained(ctx.donor, *donor) or (bool(car[0]) and ctx.restrained(ctx.shell, *car))
    return restrained or bool(_systems(ctx, donor) & MAKERS_ONLY) or _interlock(ctx, donor)


def _systems(ctx: Context, spot: Spot) -> set[str]:
    """The systems of the circuits at a plug's cavity and of the part it plugs into."""
    vehicle = ctx.donor.vehicle
    mate = vehicle.mate_of.get(spot[0])
    circuits = {row.circuit for half in (spot[0], mate) if half for row in ctx.wires(ctx.donor, half, spot[1])}
    rows = [vehicle.circuits.get(name or "") for name in circuits]
    owner = vehicle.components.get(vehicle.connectors[mate].component or "") if mate else None
    said = [row.system for row in (*rows, owner) if row is not None and row.system]
    return {name.casefold() for name in said}


def _interlock(ctx: Context, spot: Spot) -> bool:
    """Whether a plug is an interlock's own: it is never worked round."""
    vehicle = ctx.donor.vehicle
    mate = vehicle.connectors.get(vehicle.mate_of.get(spot[0], ""))
    owner = vehicle.components.get(mate.component or "") if mate is not None else None
    return owner is not None and owner.safety is True


def new_conductor(ctx: Context, spot: Spot, fuse_a: float | None) -> NewWire:
    """A wire like the donor's at a place, thick enough for the fuse before it."""
    like: Pin | Wire | None = next(iter(ctx.wires(ctx.donor, *spot)), None)
    said = like.size if like is not None else None
    area = wire_area_mm2(said.area_mm2 if said is not None else DEFAULT_AREA_MM2, fuse_a)
    size = said if said is not None and said.area_mm2 >= area else Size(f"{area:g}", area)
    same_code = ctx.donor.vehicle.netlist.header.colour_code == ctx.shell.vehicle.netlist.header.colour_code
    length = like.length if like is not None else None
    circuit = like.circuit if like is not None else None
    made = Conductor(
        circuit=ctx.circuit_map.get(circuit, circuit) if circuit else None,
        colour=like.colour if like is not None and same_code else None,
        size=size,
        length=length or DEFAULT_NEW_WIRE_M,
    )
    return NewWire(made, is_sized=said is not None, is_measured=length is not None)
