"""Whether a load is on, dim, off or fed backwards at its volts.

Volts are signed and rounded to 1 µV before they meet a threshold. A reference is
the volts a load has when it works: the highest over the states of the car it is
compared with, engine standing and running apart, or its nominal volts where one
car stands alone. Shares of it are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from harnesscheck.network.volts.circuit import Load

ON_SHARE = 0.85
LAMP_SHARE = 0.90
DIM_SHARE = 0.08
CLOSE = 0.001  # within this share of a threshold an answer is ``close``


class Status(Enum):
    """What a load does."""

    ON = "on"
    DIM = "dim"
    OFF = "off"
    REVERSED = "reversed"


@dataclass(frozen=True, slots=True)
class JudgedLoad:
    """A load's status at some volts; ``close`` says that another 0.1 % would change it."""

    status: Status
    volts: float
    close: bool


def on_volts(load: Load, reference_v: float) -> float:
    """The volts from which a load is on: its ``min-volts``, else its share of the reference."""
    if load.min_volts is not None:
        return load.min_volts
    return (LAMP_SHARE if load.kind == "lamp" else ON_SHARE) * abs(reference_v)


def judged(load: Load, volts: float, reference_v: float | None = None) -> JudgedLoad:
    """What a load does at ``volts`` across it, positive end first.

    ``reference_v`` is signed: below 0 the load works with its ends the other way
    round. A load that does not mind, or of which nobody says which end is
    positive and no reference is given, is never reversed.
    """
    v = round(volts, 6)
    reference = load.volts if reference_v is None else reference_v
    known = load.directed if reference_v is None else True
    forwards = v if reference >= 0 else -v
    dim_v, on_v = DIM_SHARE * abs(reference), on_volts(load, reference)
    close = any(abs(abs(v) - limit) <= CLOSE * limit for limit in (dim_v, on_v))
    if abs(v) < dim_v or abs(v) == 0:
        return JudgedLoad(Status.OFF, v, close)
    if load.polar and known and forwards < 0:
        return JudgedLoad(Status.REVERSED, v, close)
    return JudgedLoad(Status.ON if abs(v) >= on_v else Status.DIM, v, close)
