"""What a report calls a car."""

from __future__ import annotations

from harnesscheck.model.vehicle import Vehicle


def car_words(vehicle: Vehicle) -> str:
    """``Linnet van 2016 (donor.xml)``: its name, its file where that says more, the version that was chosen."""
    header = vehicle.netlist.header
    path = header.file.path if header.file.path != vehicle.name else ""
    beside = ", ".join(filter(None, (path, header.version)))
    return vehicle.name + (f" ({beside})" if beside else "")
