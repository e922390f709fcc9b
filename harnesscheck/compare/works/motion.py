"""Motors that are driven both ways: which way they run is what they do, whatever their file says of polarity.

A window, a seat, a roof, a tailgate that closes where it should open, or moves with
nothing touched, hurts somebody. What only locks, folds or turns air is let off by its
name (common practice, no source); a name that nobody understands is not.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.behaviour.judging import DIM_SHARE
from harnesscheck.network.volts.circuit import Load
from harnesscheck.trade.lexicon import understand

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_GENTLE = frozenset(
    {"door-lock", "lock", "unlock", "mirror", "flap", "lamp-levelling", "air", "air-conditioning", "valve", "antenna"}
)


def is_driven_both_ways(load: Load, volts: NDArray[np.float64]) -> bool:
    """Whether some of a motor's volts are of one sign and some of the other, enough of both to turn it.

    What is driven so and is not said to be something else is taken for a motor.
    """
    least = DIM_SHARE * load.volts
    return load.kind in ("motor", "other") and bool((volts >= least).any() and (volts <= -least).any())


def can_pinch(vehicle: Vehicle, load: Load) -> bool:
    """Whether what a motor moves may close on somebody."""
    return not _GENTLE & said_of(vehicle, load)


def said_of(vehicle: Vehicle, load: Load) -> frozenset[str]:
    """What the names of a load and of its part say it is."""
    row = vehicle.components[load.component]
    return frozenset(concept for text in (row.id, row.name, load.name) for concept in understand(text).concepts)
