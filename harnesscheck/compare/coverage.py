"""How much of two cars is documented well enough to be judged, and what could not be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from harnesscheck.assemble.standin import StoodIn
from harnesscheck.compare.context import Context
from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.graph.index import UNKNOWN
from harnesscheck.network.graph.sides import Study


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
class Unjudged:
    """One thing that could not be judged, in words, and of what sort it is.

    ``untried``: the files tell too little to try anything of what works. ``assumed``:
    what the volts rest on. ``never``: what no wiring tells, or not these files.
    """

    text: str
    sort: Literal["", "untried", "assumed", "never"] = ""


@dataclass(frozen=True, slots=True)
class Coverage:
    """What was compared and what was not."""

    donor: CarCoverage
    shell: CarCoverage
    connectors_paired: int
    connectors_likely: int
    unjudged: tuple[Unjudged, ...]


def car_coverage(study: Study) -> CarCoverage:
    """Count what is documented of one car."""
    vehicle = study.vehicle
    cavities = documented = 0
    for connector in vehicle.connectors:
        for cavity in cavities_of_plug(study, connector):
            cavities += 1
            documented += is_documented(study, connector, cavity)
    return CarCoverage(
        len(vehicle.connectors),
        len(vehicle.components),
        cavities,
        documented,
        sum(1 for connector in vehicle.connectors if connector not in vehicle.mate_of),
        bool(study.reach.sources),
    )


def cavities_of_plug(study: Study, connector: str) -> tuple[str, ...]:
    """The cavities of a half; those of its other half where nothing tells its own, for cavity n meets cavity n."""
    index = study.index
    return index.cavities(connector) or index.cavities(study.vehicle.mate_of.get(connector, ""))


def is_documented(study: Study, connector: str, cavity: str) -> bool:
    """Whether somebody wrote down what is in a cavity: a wire whose circuit, words or end are known, or nothing."""
    index = study.index
    piece = index.piece(connector, cavity)
    if connector in study.kept(StoodIn).halves:
        return False  # what its other half says was typed there
    if piece is None:
        return index.state(connector, cavity) != UNKNOWN
    rows = index.wires_of[piece]
    known = bool(index.circuits_of[piece] or index.terminals_of[piece])
    return known or any(row.function or row.to for row in rows)


NEVER_JUDGED = (  # by any command: each names it every time
    "timing, coding and what modules say to each other",
    "shielding and what one wire induces in another; currents in the moment of switching on; what is fed in pulses",
    "what volts and currents a module's contacts stand, where the file does not say",
)
NOT_JOINED = "cars that take several harnesses of each: write a swap sheet, compare --swap judges that car"


def coverage_of(ctx: Context, unjudged: Sequence[Unjudged] = ()) -> Coverage:
    """Count what is documented, and say in words what that leaves unjudged."""
    donor, shell = car_coverage(ctx.donor), car_coverage(ctx.shell)
    pairs = ctx.pairs.connectors
    said = [Unjudged(text) for text in _undocumented(ctx, donor, shell)]
    if not any(study.vehicle.components for study in (ctx.donor, ctx.shell)):
        said.append(Unjudged("no components in either file: functions rest on names alone, likely at most", "never"))
    if ctx.pairs.ambiguous:
        said.append(Unjudged(f"{len(ctx.pairs.ambiguous)} sets of look-alikes could not be told apart"))
    said += unjudged
    said += (Unjudged(text, "never") for text in NEVER_JUDGED)
    if ctx.built is None:
        said.append(Unjudged(NOT_JOINED, "never"))
    likely = sum(1 for pair in pairs if not pair.sure)
    return Coverage(donor, shell, len(pairs), likely, tuple(said))


def _undocumented(ctx: Context, donor: CarCoverage, shell: CarCoverage) -> Iterator[str]:
    """What either car's file leaves open."""
    if ctx.lone:
        yield f"every other plug and part: the {ctx.lone}'s file is of one plug"
    for word, car in (("donor", donor), (ctx.word, shell)):
        if not car.battery:
            yield f"{word}: no battery in the file, so which contacts are live is taken from names and classes"
        if car.unmated:
            yield f"{word}: the other half of {car.unmated} of {car.connectors} plugs is not in the file"
        missing = car.cavities - car.documented
        if missing:
            yield f"{word}: {missing} of {car.cavities} cavities are not documented"
    for word, study in (("donor", ctx.donor), (ctx.word, ctx.shell)):
        yield from (f"{word}: {text}" for text in _unmeasured(study))


def _unmeasured(study: Study) -> Iterator[str]:
    """How many wires and fuses cannot be held against what they carry; nothing for a car without a battery."""
    if not study.reach.sources:
        return
    vehicle = study.vehicle
    plugs = {row.id for row in vehicle.netlist.connectors if row.component is None}
    ends = [pin for pin in vehicle.netlist.pins if pin.connector in plugs and (pin.to or pin.circuit)]
    wires: list[Pin | Wire] = [*ends, *vehicle.netlist.wires]
    unsized = sum(1 for row in wires if row.size is None and row.ohms is None)
    if unsized:
        yield f"{unsized} of {len(wires)} wire ends have no size, so what they may carry is not known"
    unrated = [row.id for row in vehicle.netlist.components if row.kind in FUSES and not row.rating]
    unrated = [name for name in unrated if name not in vehicle.insides_of]
    if unrated:
        yield f"{len(unrated)} fuses have no rating, so what they protect is not known"
