"""How much of two cars is documented well enough to be judged, and what could not be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from harnesscheck.compare.context import Context
from harnesscheck.network.index import UNKNOWN
from harnesscheck.network.sides import Label, Study


@dataclass(frozen=True, slots=True)
class CarCoverage:
    """Counts of one car."""

    connectors: int
    components: int
    cavities: int
    documented: int  # cavities with a wire whose circuit or end is known, or known to be empty
    unmated: int  # plug halves whose other half the file does not name
    battery: bool

    @property
    def percent(self) -> int:
        """Documented cavities of all, whole percent, rounded down."""
        return 100 * self.documented // self.cavities if self.cavities else 0


@dataclass(frozen=True, slots=True)
class Coverage:
    """What was compared and what was not."""

    donor: CarCoverage
    shell: CarCoverage
    connectors_paired: int
    connectors_likely: int
    unjudged: tuple[str, ...]  # sentences


def car_coverage(study: Study) -> CarCoverage:
    """Count what is documented of one car."""
    index, vehicle = study.index, study.vehicle
    cavities = documented = 0
    for connector in vehicle.connectors:
        for cavity in index.cavities(connector):
            cavities += 1
            piece = index.piece(connector, cavity)
            if piece is None:
                documented += index.state(connector, cavity) != UNKNOWN
            else:
                rows = index.wires_of[piece]
                documented += bool(index.circuits_of[piece] or index.terminals_of[piece]) or any(
                    row.function or row.to for row in rows
                )
    return CarCoverage(
        len(vehicle.connectors),
        len(vehicle.components),
        cavities,
        documented,
        sum(1 for connector in vehicle.connectors if connector not in vehicle.mate_of),
        bool(study.reach.sources),
    )


def coverage_of(ctx: Context, unjudged: Sequence[str] = ()) -> Coverage:
    """Count what is documented, and say in words what that leaves unjudged."""
    donor, shell = car_coverage(ctx.donor), car_coverage(ctx.shell)
    pairs = ctx.pairs.connectors
    said = []
    for word, car in (("donor", donor), ("shell", shell)):
        if not car.battery:
            said.append(f"{word}: no battery in the file, so which contacts are live is taken from names and classes")
        if car.unmated:
            said.append(f"{word}: the other half of {car.unmated} of {car.connectors} plugs is not in the file")
        missing = car.cavities - car.documented
        if missing:
            said.append(f"{word}: {missing} of {car.cavities} cavities are not documented")
    if not any(study.vehicle.components for study in (ctx.donor, ctx.shell)):
        said.append("no components in either file: functions rest on names alone, likely at most")
    if ctx.pairs.ambiguous:
        said.append(f"{len(ctx.pairs.ambiguous)} sets of look-alikes could not be told apart")
    said += unjudged
    said.append("timing, coding and what modules say to each other")
    likely = sum(1 for pair in pairs if not pair.sure)
    return Coverage(donor, shell, len(pairs), likely, tuple(said))


def label_of(study: Study, connector: str, cavity: str) -> Label:
    """The label of a cavity's side, for counting."""
    return study.side(connector, cavity).label
