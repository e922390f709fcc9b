"""What a report calls a car."""

from __future__ import annotations

from harnesscheck.model.vehicle import Vehicle


def car_words(vehicle: Vehicle) -> str:
    """``Linnet van 2016 (donor.xml)``: its name, and its file where that says more."""
    path = vehicle.netlist.header.file.path
    return vehicle.name + (f" ({path})" if path and path != vehicle.name else "")
