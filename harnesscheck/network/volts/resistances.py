"""What wires, contacts, fuses, loads and coils resist; what the file does not say is assumed, and says so.

Resistances are in Ω, volts in V, currents in A, lengths in m, areas in mm². A
quantity the file gives is a plain number; one it does not give is ``Defaulted``,
with the reason in words, so that every answer can name what it rests on.

Assumed values are common practice, no source, unless their comment names one.
They are chosen so that an unknown wire hides nothing behind it: thick and short.
"""

from __future__ import annotations

from dataclasses import dataclass

from harnesscheck.model.records import Component, Inside, Pin, Wire
from harnesscheck.trade.fuses import fuse, fuse_form
from harnesscheck.trade.sizes import wire_ohm_per_m

NOMINAL_V = 12.0
DEFAULT_LENGTH_M = 1.5
DEFAULT_AREA_MM2 = 10.0  # thick: a wire nobody measured is not to be blamed
STRAP_LENGTH_M = 0.3
WIRE_DEGC = 20.0  # what tables of resistance are printed for; a written ambient goes before it
MIN_CONTACT_OHM = 0.0001  # the least a fuse or a contact has
MIN_WIRE_OHM = 0.00001
SWITCH_OHM = 0.001  # a switch, a relay's contact, a module's driver
CONTACT_OHM_MM2 = 0.001  # a crimped contact adds what 6 cm of its own wire has
FUSE_DROP_V = 0.075  # a cold blade drops about this much at its rating; 7.7 mΩ at 10 A, 4.8 mΩ at 15 A, makers' data
FUSE_RATING_A = 10.0
BATTERY_OHM = 0.01
ALTERNATOR_OHM = 0.001
RUNNING_V_PER_V = 14.2 / 12.0
FIELD_OHM = 10.0
COIL_OHM_AT_12_V = 85.0  # plug-in relay sheet: 12 V, 85 Ω
DIODE_V = 0.7
DIODE_OHM = 0.05
LOAD_A = 1.0
MODULE_A = 0.1


@dataclass(frozen=True, slots=True)
class Defaulted:
    """A value the file does not give, and why this one stands in for it."""

    value: float
    why: str


Quantity = float | Defaulted


def plain(quantity: Quantity) -> float:
    """The number of a quantity, given or assumed.

    >>> plain(Defaulted(1.5, "length not written: 1.5 m assumed"))
    1.5
    """
    return quantity.value if isinstance(quantity, Defaulted) else quantity


def reason(quantity: Quantity) -> str:
    """Why a quantity was assumed; nothing where the file gives it."""
    return quantity.why if isinstance(quantity, Defaulted) else ""


def wire_ohm(row: Pin | Wire, length_m: Quantity, degc: float = WIRE_DEGC, *, strap: bool = False) -> Quantity:
    """A wire's resistance by its ``ohms``, else by its length and the most its size may have at a temperature."""
    if row.ohms is not None:
        return max(row.ohms, MIN_WIRE_OHM)
    whys = [reason(length_m)] if reason(length_m) else []
    area_mm2 = row.size.area_mm2 if row.size is not None else DEFAULT_AREA_MM2 * (2 if strap else 1)
    if row.size is None:
        whys.append(f"wire size not written: {area_mm2:g} mm² assumed")
    ohm = max(plain(length_m) * wire_ohm_per_m(area_mm2, degc), MIN_WIRE_OHM)
    return Defaulted(ohm, "; ".join(whys)) if whys else ohm


def contact_ohm(area_mm2: float | None) -> float:
    """A mated contact, as good as its wire is thick."""
    return max(CONTACT_OHM_MM2 / (area_mm2 or DEFAULT_AREA_MM2), MIN_CONTACT_OHM)


def fuse_ohm(rating_a: float | None, type_: str | None) -> Quantity:
    """A fuse's cold resistance: the published one of its form and rating, else by its rating."""
    form = fuse_form(type_) if type_ else None
    known = fuse(form, rating_a) if form and rating_a else None
    if known is not None and known.cold_resistance_ohm is not None:
        return max(known.cold_resistance_ohm, MIN_CONTACT_OHM)
    ohm = max(FUSE_DROP_V / (rating_a or FUSE_RATING_A), MIN_CONTACT_OHM)
    return ohm if rating_a else Defaulted(ohm, f"fuse rating not written: taken as {FUSE_RATING_A:g} A")


def load_ohm(row: Component | Inside, volts: float, default_a: float = LOAD_A) -> Quantity:
    """A load's hot resistance by its amps at these volts, its watts, or its ohms, whichever is written first."""
    if row.amps:
        return volts / row.amps
    if row.watts:
        return volts * volts / row.watts
    if row.ohms is not None:
        return max(row.ohms, MIN_CONTACT_OHM)
    return Defaulted(volts / default_a, f"load not written: {default_a:g} A assumed")


def coil_ohm(component: Component, volts: float) -> Quantity:
    """A relay coil's resistance by its ohms, else by its amps."""
    if component.ohms:
        return component.ohms
    if component.amps:
        return volts / component.amps
    ohm = COIL_OHM_AT_12_V * (volts / NOMINAL_V) ** 2  # the same watts at other volts
    return Defaulted(ohm, f"relay coil not written: {ohm:g} Ω assumed")


def sender_ohm(curve: str) -> Quantity | None:
    """The middle point of a sender's scale (``0:10 0.5:90 1:180``); None where it has no such points."""
    ohms = []
    for point in curve.split():
        _, colon, text = point.partition(":")
        try:
            ohms.append(float(text))
        except ValueError:
            return None
        if not colon:
            return None
    if not ohms:
        return None
    middle = sorted(ohms)[len(ohms) // 2]
    return Defaulted(max(middle, MIN_CONTACT_OHM), f"sender taken at the middle of its scale, {middle:g} Ω")
