"""The ladder: what to write down next, and what that would settle.

Every further thing in a file answers more; each rung here is one of them, with how
much of it is missing in each car. The rungs stand in the order in which they pay: a
part is of no use to an answer before it is known what its plug goes into. One of which
nearly all is there comes after those that are really missing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from harnesscheck.assemble.standin import untyped_halves
from harnesscheck.compare.coverage import car_coverage
from harnesscheck.model.records import Component, Pin, Wire
from harnesscheck.network.graph.conduction import FUSES
from harnesscheck.network.graph.sides import Study

NEARLY_THERE = 0.1  # of a rung missing, up to which others come first; a choice of ours
_LOADS = frozenset({"lamp", "motor", "heater", "solenoid", "sounder"})


@dataclass(frozen=True, slots=True)
class Rung:
    """Something to write down: what, how much of it is missing, and what it settles. ``share`` is of the worse car."""

    name: str
    write: str
    missing: str
    settles: str
    share: float

    @property
    def sentence(self) -> str:
        """All of it in one sentence."""
        return f"Next that would pay: {self.write} ({self.missing}). It settles {self.settles}."


_WORDS: Mapping[str, tuple[str, str, str]] = {  # what is counted, what to write, what it settles
    "mates": (
        "plug halves without a mate",
        "which plug goes into which (`mates`, once, on either half)",
        "what goes into what, which circuits the other harness has nowhere, and what may be certain instead of likely",
    ),
    "halves": (
        "plug halves of which no contact is typed",
        "the contacts of the other half of plugs that are typed on one side",
        "what really meets there; until then each is taken to carry what its other half carries, likely at most",
    ),
    "components": (
        "no battery or no part",
        "the parts: battery, fuses, key switch, and what hangs on each plug (`on` and `kind` beside the plug)",
        "what works, what is fed in which key position, what stays dead and what burns",
    ),
    "loads": (
        "wires, fuses and loads without size, rating or amps",
        "sizes and lengths of wires, ratings of fuses, amps or watts of parts",
        "what gets hot, which fuse does not protect its wire, where volts are lost",
    ),
    "hours": (
        "harnesses without hours",
        "hours to take each harness out and in (`out-hours`, `in-hours`)",
        "which choice of harnesses takes least work",
    ),
    "cavities": (
        "cavities nobody wrote down",
        "the cavities that are not documented (`validate --next` says which first)",
        "what these contacts face; a feed or a ground among them may burn",
    ),
}


def rungs(cars: Mapping[str, Study]) -> tuple[Rung, ...]:
    """Everything that is missing in some cars, what pays most first. The cars are by what a report calls them."""
    found = []
    counted = {word: dict(_missing(study)) for word, study in cars.items()}
    for name, (what, write, settles) in _WORDS.items():
        counts = {word: of[name] for word, of in counted.items() if name in of and of[name][0]}
        if counts:
            told = "; ".join(
                f"{word}: {what}" if name == "components" else f"{word}: {lacking} of {all_} {what}"
                for word, (lacking, all_) in counts.items()
            )
            share = max(lacking / all_ for lacking, all_ in counts.values())
            found.append(Rung(name, write, told, settles, share))
    return tuple(sorted(found, key=lambda rung: rung.share < NEARLY_THERE))


def next_sentence(cars: Mapping[str, Study]) -> str:
    """The next rung in one sentence; where all are climbed, what is left to do."""
    found = rungs(cars)
    if found:
        return found[0].sentence
    return "Nothing more that a file can hold would settle more: what is left is measured (`harnesscheck ringout`)."


def lacks_parts(study: Study) -> bool:
    """Whether a file has no battery or no other part, so that nothing can be said of what works."""
    return not study.reach.sources


def _missing(study: Study) -> Iterator[tuple[str, tuple[int, int]]]:
    """By rung, how much is missing of how much."""
    vehicle, car = study.vehicle, car_coverage(study)
    plugs = vehicle.connectors
    yield "mates", (car.unmated, len(plugs))
    halves = [name for name, row in plugs.items() if row.component is None and name in vehicle.mate_of]
    yield "halves", (len(untyped_halves(vehicle)), max(1, len(halves)))
    yield "components", (int(lacks_parts(study)), 1)
    if not lacks_parts(study):
        yield "loads", _unmeasured(study)
    looms = [row for row in vehicle.harnesses.values() if not (row.out_hours and row.in_hours)]
    named = {row.harness for row in plugs.values() if row.harness}
    unnamed = named - vehicle.harnesses.keys()
    if named:
        yield "hours", (len(looms) + len(unnamed), len(vehicle.harnesses) + len(unnamed))
    yield "cavities", (car.cavities - car.documented, max(1, car.cavities))


def _unmeasured(study: Study) -> tuple[int, int]:
    """Wire ends, fuses and loads whose numbers are not written, and how many there are."""
    vehicle = study.vehicle
    looms = {row.id for row in vehicle.netlist.connectors if row.component is None}
    ends = [pin for pin in vehicle.netlist.pins if pin.connector in looms and (pin.to or pin.circuit)]
    wires: list[Pin | Wire] = [*ends, *vehicle.netlist.wires]
    sizes = [row.size is not None or row.ohms is not None for row in wires]
    inside = vehicle.insides_of
    fuses = [bool(row.rating) for row in vehicle.netlist.components if row.kind in FUSES and row.id not in inside]
    loads = [_has_power(row) for row in vehicle.netlist.components if row.kind in _LOADS and row.id not in inside]
    said = [*sizes, *fuses, *loads]
    return said.count(False), max(1, len(said))


def _has_power(row: Component) -> bool:
    return any(value is not None for value in (row.amps, row.watts, row.ohms))
