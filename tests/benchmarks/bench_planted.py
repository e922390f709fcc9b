"""How a compare tells one fault that was put into a copy of a car. Run by hand.

``python tests/benchmarks/bench_planted.py [CASES] [FILE.xml]`` takes a car (the example's donor), puts one fault at a
time into a copy of it (two contacts of a plug exchanged, a contact taken out, a wire of another colour), compares the
car with the copy and counts: cases in which the fault's own contact has a finding, and findings above note that name
neither the contacts nor the parts of the fault. Both ways round: the car as it is as donor, then as shell.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from builders.files import good  # noqa: E402  the path is set above

from harnesscheck.align import align  # noqa: E402
from harnesscheck.compare.finding.findings import Finding  # noqa: E402
from harnesscheck.compare.finding.kinds import Severity  # noqa: E402
from harnesscheck.compare.joined import compare_joined  # noqa: E402
from harnesscheck.model.records import Netlist, Pin  # noqa: E402
from harnesscheck.network.graph.sides import Study  # noqa: E402
from harnesscheck.read import configure, read_netlist  # noqa: E402
from harnesscheck.trade.colours import Colour  # noqa: E402

WANTED = 0.1  # others above note, a case
SEED = 13


@dataclass(frozen=True)
class Planted:
    """A fault, and the contacts it is at."""

    kind: str
    netlist: Netlist
    at: frozenset[tuple[str, str]]


def planted(car: Netlist, cases: int) -> Iterator[Planted]:
    """One fault after the other, a third of each kind."""
    draw = random.Random(SEED)
    wired = [at for at, pin in enumerate(car.pins) if pin.connector and pin.circuit and pin.to != "?"]
    for number in range(cases):
        at = draw.choice(wired)
        pin = car.pins[at]
        here = (pin.connector or "", pin.cavity or "")
        if number % 3 == 0:
            others = [one for one in wired if car.pins[one].connector == pin.connector and _differs(pin, car.pins[one])]
            if not others:
                continue
            other = draw.choice(others)
            there = (pin.connector or "", car.pins[other].cavity or "")
            pins = tuple(_exchanged(one, here[0], here[1], there[1]) for one in car.pins)
            yield Planted("exchanged", replace(car, pins=pins), frozenset({here, there}))
        elif number % 3 == 1:
            pins = tuple(one for one in car.pins if (one.connector, one.cavity) != here)
            yield Planted("removed", replace(car, pins=pins), frozenset({here}))
        else:
            colour = Colour("PK/GY", ("pink", "grey"))
            pins = (*car.pins[:at], replace(pin, colour=colour), *car.pins[at + 1 :])
            yield Planted("recoloured", replace(car, pins=pins), frozenset({here}))


def _differs(one: Pin, other: Pin) -> bool:
    return one.cavity != other.cavity and one.circuit != other.circuit


def _exchanged(pin: Pin, connector: str, one: str, other: str) -> Pin:
    if pin.connector != connector or pin.cavity not in (one, other):
        return pin
    return replace(pin, cavity=other if pin.cavity == one else one)


def places(one: Finding) -> set[tuple[str, str]]:
    """Every contact that a finding names."""
    spots = [one.donor, one.shell, *(spot for pair in one.evidence.places or () for spot in pair)]
    return {(spot.connector, spot.cavity) for spot in spots if spot.connector}


def main() -> None:
    """Print the table."""
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    file = Path(sys.argv[2]) if len(sys.argv) > 2 else ROOT / "harness_demo" / "donor.xml"
    car = good(read_netlist(file))
    own = Study(configure(car))
    counts: Counter[tuple[str, str, str]] = Counter()
    for one in planted(car, cases):
        other = Study(configure(one.netlist))
        mated = {(own.vehicle.mate_of.get(plug, ""), cavity) for plug, cavity in one.at}
        parts = {own.vehicle.connectors[plug].component for plug, _ in one.at | mated if plug in own.vehicle.connectors}
        for way, donor, shell in (("donor", own, other), ("shell", other, own)):
            found = compare_joined(donor, shell, align(donor, shell)).findings
            serious = [each for each in found if each.severity < Severity.NOTE]
            here = [each for each in found if places(each) & (one.at | mated)]
            elsewhere = [each for each in serious if each not in here and each.donor_component not in parts - {None}]
            counts[one.kind, way, "cases"] += 1
            counts[one.kind, way, "found"] += bool(here)
            counts[one.kind, way, "others"] += len(elsewhere)
            for each in elsewhere:
                print(f"  {one.kind} {sorted(one.at)} {way}: {each.severity.word} {each.kind} {each.donor}")
    for kind in ("exchanged", "removed", "recoloured"):
        for way in ("donor", "shell"):
            n = counts[kind, way, "cases"] or 1
            told, others = (counts[kind, way, what] / n for what in ("found", "others"))
            print(f"{kind:12} car as {way}: {n:3} cases, found {told:.2f}, others {others:.2f} (goal {WANTED})")


if __name__ == "__main__":
    main()
