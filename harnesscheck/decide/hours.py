"""Three-point hours: mean, spread, and the 50 and 90 % points of a sum by seeded simulation.

A piece of work takes ``best`` to ``worst`` hours, most often ``likely``. Its mean
is taken as (a + 4 m + b) / 6 [1]_; the distribution drawn from is the beta
distribution on [a, b] that has this mean, with shape parameters that add up to 6
[2]_. Pieces of work are drawn independently, which makes the sum look surer than
a person who is slow at everything would find it.

References
----------
.. [1] D. G. Malcolm, J. H. Roseboom, C. E. Clark, W. Fazar, "Application of a technique
   for research and development program evaluation", Operations Research 7 (1959).
.. [2] D. Vose, "Risk Analysis", 2nd edition (2000), the modified PERT distribution with λ = 4.
   Both from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

DRAWS = 4000
SEED = 20160


@dataclass(frozen=True, slots=True)
class Estimate:
    """Hours of one piece of work: best <= likely <= worst."""

    best_h: float
    likely_h: float
    worst_h: float

    @property
    def mean_h(self) -> float:
        """(a + 4 m + b) / 6 [1]_."""
        return (self.best_h + 4 * self.likely_h + self.worst_h) / 6

    @property
    def variance_h2(self) -> float:
        """The variance of the distribution that is drawn from [2]_: (μ - a)(b - μ) / 7."""
        return (self.mean_h - self.best_h) * (self.worst_h - self.mean_h) / 7

    def __add__(self, other: Estimate) -> Estimate:
        return Estimate(self.best_h + other.best_h, self.likely_h + other.likely_h, self.worst_h + other.worst_h)

    def times(self, factor: float) -> Estimate:
        """The same work ``factor`` times over, in one go."""
        return Estimate(self.best_h * factor, self.likely_h * factor, self.worst_h * factor)


NO_TIME = Estimate(0.0, 0.0, 0.0)


def estimate(hours: Sequence[float]) -> Estimate:
    """One number, or best, likely, worst."""
    return Estimate(hours[0], hours[0], hours[0]) if len(hours) == 1 else Estimate(hours[0], hours[1], hours[2])


def total(estimates: Iterable[Estimate]) -> Estimate:
    """Best, likely and worst of everything together; far wider than what is to be expected."""
    result = NO_TIME
    for one in estimates:
        result += one
    return result


@dataclass(frozen=True, slots=True)
class HoursSpread:
    """The hours that half, and nine in ten, of the simulated jobs stayed under."""

    p50_h: float
    p90_h: float


def spread(estimates: Sequence[Estimate], draws: int = DRAWS, seed: int = SEED) -> HoursSpread:
    """P50 and P90 of a sum of pieces of work, rounded to 0.1 h; the same for the same input everywhere."""
    import numpy as np

    totals = simulated_h(estimates, draws, seed)
    p50, p90 = np.percentile(totals, (50, 90)).tolist()
    return HoursSpread(round(p50, 1), round(p90, 1))


def simulated_h(estimates: Sequence[Estimate], draws: int = DRAWS, seed: int = SEED) -> Sequence[float]:
    """``draws`` sums of the pieces of work, each drawn from its distribution."""
    import numpy as np

    rng = np.random.RandomState(seed)  # its stream is frozen for good, unlike the newer generators'
    totals = np.zeros(draws)
    for one in estimates:
        width = one.worst_h - one.best_h
        if width <= 0:
            totals += one.likely_h
            continue
        alpha = 1 + 4 * (one.likely_h - one.best_h) / width
        totals += one.best_h + width * rng.beta(alpha, 6 - alpha, draws)
    result: list[float] = totals.tolist()
    return result
