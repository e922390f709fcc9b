"""A car as it was found: what the swap sheet says of cuts, taps, bridges and colours seen, done to its rows.

A person names a contact by either half of its plug; the wire is in the harness's.
Restraint wiring that somebody cut or tapped is shown as it is, for it is the find
that matters most.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from harnesscheck.assemble.apply import EditError, apply
from harnesscheck.model.edits import Cut, Edit, Recolour, Tap
from harnesscheck.model.places import InputFault
from harnesscheck.model.swapsheet import BuiltSection, SwapSheet
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.trade.colours import Colour, read_colour

DONOR, SHELL = "donor", "shell"


@dataclass(frozen=True, slots=True)
class _Entry:
    """One entry of the sheet: its list, the cavity by which it is found there, and the edit it means."""

    key: str
    end: str
    edit: Edit


def both_as_built(donor: Vehicle, shell: Vehicle, sheet: SwapSheet) -> tuple[Vehicle, Vehicle] | list[InputFault]:
    """Both cars of a swap sheet as they were found; returns every fault instead where there is any."""
    cars = [
        as_built(donor, sheet.built_donor, sheet, DONOR),
        as_built(shell, sheet.built_shell, sheet, SHELL),
    ]
    faults = [fault for car in cars if isinstance(car, list) for fault in car]
    if faults:
        return faults
    first, second = (car for car in cars if isinstance(car, Vehicle))
    return first, second


def as_built(vehicle: Vehicle, section: BuiltSection, sheet: SwapSheet, car: str) -> Vehicle | list[InputFault]:
    """The car as found; returns a fault for every entry that cannot be so in this car.

    ``sheet`` and ``car`` (donor | shell), the section's name, are for the places of
    faults. Colours are looked at first, then cuts, taps and bridges:
    a tap on a contact that was cut off as well is on its stub.
    """
    faults: list[InputFault] = []
    entries: list[_Entry] = []
    for end, text in section.seen.items():
        colour = read_colour(text, vehicle.netlist.header.colour_code)
        if isinstance(colour, Colour):
            connector, _, cavity = _in_harness(vehicle, end).partition(":")
            entries.append(_Entry("seen", end, Recolour(connector, cavity, colour)))
        else:
            faults.append(InputFault(sheet.place(("built", car, "seen", end)), text, f"seen: {colour}"))
    entries += _worked_on(vehicle, section)
    try:
        found = apply(vehicle, [entry.edit for entry in entries], found=True)
    except EditError as error:
        faults += [_fault(sheet, car, entries[one.number], one.why) for one in error.faults]
        return sorted(faults, key=lambda fault: fault.place)
    return faults or found


def _fault(sheet: SwapSheet, car: str, entry: _Entry, why: str) -> InputFault:
    place = sheet.place(("built", car, entry.key, entry.end))
    return InputFault(place, entry.end, f"built.{car}.{entry.key}: what can be so in the {car}; {why}")


def _worked_on(vehicle: Vehicle, section: BuiltSection) -> Iterator[_Entry]:
    for end in section.cut:
        yield _Entry("cut", end, Cut(_in_harness(vehicle, end)))
    for tap in section.tap:
        yield _Entry("tap", tap.at, Tap(_in_harness(vehicle, tap.at), what=tap.what))
    for one, other in section.bridge:
        yield _Entry("bridge", one, Tap(_in_harness(vehicle, one), to=_in_harness(vehicle, other)))


def _in_harness(vehicle: Vehicle, end: str) -> str:
    """The cavity in the harness's half, where the part's half was named."""
    connector, _, cavity = end.partition(":")
    row = vehicle.connectors.get(connector)
    mate = vehicle.connectors.get(vehicle.mate_of.get(connector, ""))
    if row is None or row.component is None or mate is None or mate.component is not None:
        return end
    return f"{mate.id}:{cavity}"
