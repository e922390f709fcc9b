"""What each wire of a car may carry, and for how long, by its size, insulation, surroundings and bundle.

A, mm² and °C. All limits are of one table (``trade.ampacity.BOOK``), taken to the wire's
temperatures and bundle. What the file does not say is assumed and named: PVC for 80 °C,
30 °C around it, and in a loom beside two others that carry current; a cable thicker than
those of a loom lies alone. A wire whose size is not written is not judged.

Where the table has no rule for a bundle, the wire alone is judged and that is named:
what is too much alone is too much in company.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.graph.sides import Study
from harnesscheck.network.volts.lumping import holders
from harnesscheck.trade.ampacity import (
    DEFAULT_AMBIENT_DEGC,
    DEFAULT_INSULATION,
    INSULATION_LIMITS_DEGC,
    Allowable,
    allowable_current,
)
from harnesscheck.trade.short_circuit import end_temperature_degc, k_factor

PVC_ASSUMED = "PVC insulation for 80 °C"
SHORT_S = 30.0  # how long a load of short duty is taken to be on; common practice, no source

IN_A_LOOM = 3  # wires of a loom that carry current at the same time; common practice, no source
LOOM_UP_TO_MM2 = 10.0  # thicker ones are cables that run by themselves; common practice, no source

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Rating:
    """What one wire may carry. ``why_not`` says why it is not judged; then ``allowable`` is None."""

    area_mm2: float | None
    insulation: str
    ambient_degc: float
    bundle: int
    allowable: Allowable | None
    alone: Allowable | None
    why_not: str
    assumed: tuple[str, ...]

    @property
    def is_sure(self) -> bool:
        """Whether its table is verified and its insulation written: better insulation than the assumed carries more."""
        return self.alone is not None and self.alone.status == "verified" and PVC_ASSUMED not in self.assumed

    @property
    def amps(self) -> float | None:
        """What it may carry for hours."""
        return None if self.allowable is None else self.allowable.current_a

    @property
    def alone_a(self) -> float | None:
        """What it may carry for hours while its neighbours carry little, as when only its circuit is at fault."""
        return None if self.alone is None else self.alone.current_a

    @property
    def for_a_moment_a(self) -> float | None:
        """What takes it from its surroundings to its insulation's limit in ``SHORT_S``, no heat leaving it."""
        limit_degc = INSULATION_LIMITS_DEGC.get(self.insulation)
        if self.area_mm2 is None or limit_degc is None or limit_degc <= self.ambient_degc:
            return self.amps
        moment: float = k_factor(self.ambient_degc, limit_degc) * self.area_mm2 / SHORT_S**0.5
        return max(moment, self.amps or 0.0)

    @property
    def k(self) -> float | None:
        """k of I²t = k²S² from the insulation's limit on; None where no end temperature is published for it."""
        start = INSULATION_LIMITS_DEGC.get(self.insulation)
        end = end_temperature_degc(self.insulation, self.area_mm2 or 0.0)
        return None if start is None or end is None or end <= start else k_factor(start, end)


def rating_of(study: Study, row: Pin | Wire) -> Rating:
    """What the wire of a row may carry."""
    assumed: list[str] = []
    insulation = _said(study, row, "insulation", DEFAULT_INSULATION, assumed, PVC_ASSUMED)
    ambient = _said(study, row, "ambient", DEFAULT_AMBIENT_DEGC, assumed, f"{DEFAULT_AMBIENT_DEGC:g} °C around it")
    area = row.size.area_mm2 if row.size is not None else None
    usual = IN_A_LOOM if area is not None and area <= LOOM_UP_TO_MM2 else 1
    words = f"in a loom beside {IN_A_LOOM - 1} others that carry current" if usual > 1 else "alone, not in a loom"
    bundle = max(1, round(_said(study, row, "bundle", float(usual), assumed, words)))
    limit = INSULATION_LIMITS_DEGC.get(insulation)
    if area is None:
        return Rating(None, insulation, ambient, bundle, None, None, "size not written", tuple(assumed))
    if limit is None:
        why_not = f"no temperature known for {insulation}"
        return Rating(area, insulation, ambient, bundle, None, None, why_not, tuple(assumed))
    alone = allowable_current(area, limit, ambient)
    allowable = allowable_current(area, limit, ambient, bundle) or alone
    if allowable is alone and bundle > 1:
        assumed.append(f"its bundle of {bundle} left out: no published rule for this size")
    why_not = "" if allowable is not None else f"no published table covers {area:g} mm²"
    if allowable is not None and allowable.status != "verified":
        assumed.append(f"{allowable.source} ({allowable.status})")
    return Rating(area, insulation, ambient, bundle, allowable, alone, why_not, tuple(assumed))


def _said(study: Study, row: Pin | Wire, name: str, default: T, assumed: list[str], words: str) -> T:
    """What a wire's row, its circuit or its harness says; else the default, which is named."""
    for holder in holders(study, row):
        value: T | None = getattr(holder, name, None)
        if value is not None:
            return value
    assumed.append(words)
    return default
