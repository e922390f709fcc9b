"""Draws edits for a car: most can be done, some cannot, so that both ways are walked."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

from cars.car import colour_of, size_of

from harnesscheck.model.edits import (
    AddLead,
    AddTail,
    AddWire,
    Conductor,
    Cut,
    Edit,
    Housing,
    Insulate,
    Lay,
    MovePin,
    PlugIn,
    Recolour,
    SwapFuse,
    SwapHousing,
    Tap,
    Unplug,
)
from harnesscheck.model.records import Connector
from harnesscheck.model.vehicle import Vehicle

NEW = Conductor(circuit="new", colour=colour_of("GN/WH"), size=size_of("0.75"), length=0.4)


class Drawing:
    """Edits of one car from one seed."""

    def __init__(self, vehicle: Vehicle, rng: random.Random) -> None:
        self.vehicle = vehicle
        self.rng = rng
        self.plugs = [row for row in vehicle.netlist.connectors if row.component is None]
        pins = vehicle.netlist.pins
        self.used = {f"{pin.connector}:{pin.cavity}" for pin in pins} | {pin.to for pin in pins if pin.to}

    def plug(self) -> Connector:
        return self.rng.choice(self.plugs)

    def beside(self, plug: Connector) -> Connector:
        return self.rng.choice([row for row in self.plugs if row.harness == plug.harness])

    def cavity(self, plug: Connector, *, used: bool) -> str:
        names = [name for name in plug.cavities or () if (f"{plug.id}:{name}" in self.used) is used]
        return self.rng.choice(names or list(plug.cavities or ("1",)))

    def point(self, plug: Connector) -> str:
        splices = [row.id for row in self.vehicle.netlist.splices if row.harness == plug.harness]
        return self.rng.choice([*splices, *self.vehicle.grounds])

    def move(self) -> Edit:
        plug = self.plug()
        there = self.beside(plug)
        return MovePin(plug.id, self.cavity(plug, used=True), there.id, self.cavity(there, used=False))

    def cut(self) -> Edit:
        if self.vehicle.netlist.wires and self.rng.random() < 0.2:
            wire = self.rng.choice(self.vehicle.netlist.wires)
            return Cut(wire.from_, wire.to)
        pin = self.rng.choice([pin for pin in self.vehicle.netlist.pins if pin.to and pin.connector] or [None])
        if pin is not None and self.rng.random() < 0.5:
            seat = f"{pin.connector}:{pin.cavity}"
            return self.rng.choice([Cut(seat), Cut(seat, pin.to), Cut(pin.to or "", seat)])
        plug = self.plug()
        return Cut(f"{plug.id}:{self.cavity(plug, used=True)}")

    def recolour(self) -> Edit:
        plug = self.plug()
        return Recolour(plug.id, self.cavity(plug, used=True), colour_of("PK"))

    def insulate(self) -> Edit:
        plug = self.plug()
        return Insulate(plug.id, self.cavity(plug, used=True))

    def wire(self) -> Edit:
        plug = self.plug()
        there = self.beside(plug)
        end = self.rng.choice([f"{there.id}:{self.cavity(there, used=False)}", self.point(plug)])
        return AddWire(f"{plug.id}:{self.cavity(plug, used=False)}", end, NEW)

    def tap(self) -> Edit:
        plug = self.plug()
        at = f"{plug.id}:{self.cavity(plug, used=True)}"
        there = self.rng.choice([self.beside(plug), self.plug()])
        used = self.rng.random() < 0.6
        ends = [None, self.point(plug), f"{there.id}:{self.cavity(there, used=used)}"]
        return Tap(at, self.rng.choice(ends), NEW, "a siren")

    def lead(self) -> Edit:
        first = self.plug()
        mate = self.vehicle.mate_of.get(first.id)
        second = self.vehicle.connectors[mate] if mate is not None else self.plug()
        lays = tuple(
            Lay(cavity, self.rng.choice(second.cavities or ("1",)), replace(NEW, circuit=None))
            for cavity in (first.cavities or ())[:3]
        )
        return AddLead("lead", first.id, second.id, lays)

    def tail(self) -> Edit:
        plug = self.plug()
        lays = (Lay("1", self.point(plug), NEW), Lay("2", f"{plug.id}:{self.cavity(plug, used=False)}", NEW))
        return AddTail("tail", plug.harness or "", Housing(cavities=("1", "2", "3"), half="pins"), lays)

    def housing(self) -> Edit:
        plug = self.plug()
        names = tuple(f"A{number}" for number in range(len(plug.cavities or ()) + self.rng.choice((0, 2))))
        moves = tuple(
            (old, new)
            for old, new in zip(plug.cavities or (), names, strict=False)
            if f"{plug.id}:{old}" in self.used and self.rng.random() < 0.98
        )
        return SwapHousing(plug.id, Housing(cavities=names, half=plug.half, keyway="Z"), moves)

    def fuse(self) -> Edit:
        fuses = [row.id for row in self.vehicle.netlist.components if row.kind in ("fuse", "fusible-link")]
        fuses += [row.id for row in self.vehicle.netlist.insides if row.id and row.fuse]
        return SwapFuse(self.rng.choice([*fuses, "F-none"]), 7.5)

    def unplug(self) -> Edit:
        return Unplug(self.plug().id)

    def plug_in(self) -> Edit:
        free = [row for row in self.vehicle.netlist.connectors if row.id not in self.vehicle.mate_of]
        half = self.rng.choice(free or self.plugs)
        fitting = [row.id for row in free if (row.cavities, row.keyway) == (half.cavities, half.keyway)]
        return PlugIn(half.id, self.rng.choice(fitting or [self.plug().id]))

    def edit(self) -> Edit:
        """One edit of any sort."""
        return self.rng.choice(SORTS)(self)


SORTS: tuple[Callable[[Drawing], Edit], ...] = (
    Drawing.move, Drawing.cut, Drawing.recolour, Drawing.insulate, Drawing.wire, Drawing.tap, Drawing.lead,
    Drawing.tail, Drawing.housing, Drawing.fuse, Drawing.unplug, Drawing.plug_in,
)  # fmt: skip
