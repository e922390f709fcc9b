"""Laws of joined cars, on small cars drawn at random: a front and a rear loom that meet in one plug of two contacts.

What a front contact carries is a fused feed, the body, a switch to the body or nothing; what a rear one goes to
is a lamp, the body, a module's input or nothing. The two cars are drawn apart, so most pairs are dangerous.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from builders.erase import erased, erasures
from builders.rows import FRONT, half, joined, netlist, socket
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.model.records import TABLE_OF, Netlist
from harnesscheck.network.graph.sides import Study
from harnesscheck.read import configure
from harnesscheck.read.check import check
from harnesscheck.read.faults import Faults

FRONTS = ("", "30P>P", "31>G1", "HB>hand-H:1")
REARS = ("", "L{0}>lamp{0}-H:1", "31>G1", "IN>unit-H:1")
Half = tuple[str, ...]
CARS = st.tuples(*(st.tuples(*[st.sampled_from(kinds)] * 2) for kinds in (FRONTS, REARS)))


def drawn(front: Half, rear: Half) -> Netlist:
    """A car; every part is there whatever is wired, and a part's contact is wired once."""
    ours, theirs = _once(front), _once(tuple(one.format(n) for n, one in enumerate(rear, start=1)))
    lamps = "".join(
        socket(f"lamp{n}", "lamp", {"1": "+", "2": "-"}, {"2": "31>G1"}, 'watts="5"', harness="rear")
        for n in range(1, 5)
    )
    hand = socket("hand", "switch", {"1": "1", "2": "2"}, {"2": "31>G1"}, inside='<inside when="on" from="1" to="2"/>')
    unit = socket("unit", "module", {"1": "IN input", "2": "31 ground"}, {"2": "31>G1"}, harness="rear")
    plug = half("X", ours, "front", "XR") + half("XR", theirs, "rear")
    return netlist(FRONT, plug, lamps, hand, unit)


def _once(wires: Half) -> dict[str, str]:
    """What is in each cavity; a contact of a part is taken by the first."""
    seen: set[str] = set()
    found: dict[str, str] = {}
    for number, one in enumerate(wires, start=1):
        if one and not (":" in one and one in seen):
            found[str(number)] = one
            seen.add(one)
    return found


def is_harmless(car: tuple[Half, Half]) -> bool:
    """Whether nothing burns in a car as it is: its feed meets neither the body nor an input of the module."""
    pairs = zip(*car, strict=True)
    return not any(ours.startswith("30P") and theirs.startswith(("31", "IN")) for ours, theirs in pairs)


def studied(car: Netlist) -> Study:
    """The car, with nothing worked out of it before."""
    return Study(configure(car))


def told(donor: Netlist, shell: Netlist) -> list[tuple[Any, ...]]:
    """What is said, without the words."""
    return [
        (one.kind, one.severity, one.certainty, one.donor.connector, one.donor.cavity, one.donor_component)
        for one in joined(studied(donor), studied(shell))
    ]


def dangers(donor: Netlist, shell: Netlist) -> set[tuple[Severity, str, str]]:
    """What burns or hurts at which contact of the plug in which the looms meet, whichever half tells of it."""
    found = (one for one in joined(studied(donor), studied(shell)) if one.severity <= Severity.DAMAGE)
    return {(one.severity, "X", one.donor.cavity or one.shell.cavity) for one in found if _at_plug(one)}


def _at_plug(one: Finding) -> bool:
    return bool({one.donor.connector, one.shell.connector} & {"X", "XR"})


@settings(max_examples=5, deadline=None)
@given(CARS, CARS, st.integers(0, 99))
def test_rows_in_another_order_change_nothing(donor: tuple[Half, Half], shell: tuple[Half, Half], seed: int) -> None:
    """The rows of every sort, in both files."""
    rng = random.Random(seed)

    def mixed(car: Netlist) -> Netlist:
        rows = {slot: tuple(rng.sample(getattr(car, slot), len(getattr(car, slot)))) for slot in TABLE_OF.values()}
        return replace(car, **rows)

    cars = drawn(*donor), drawn(*shell)

    assert told(*map(mixed, cars)) == told(*cars)


@settings(max_examples=5, deadline=None)
@given(CARS, CARS)
def test_what_burns_burns_whichever_car_is_called_the_donor(donor: tuple[Half, Half], shell: tuple[Half, Half]) -> None:
    """The same contacts of the same joined cars, as bad; what burns in one car as built is no change."""
    assume(is_harmless(donor) and is_harmless(shell))
    cars = drawn(*donor), drawn(*shell)

    assert dangers(*cars) == dangers(*cars[::-1])


@settings(max_examples=5, deadline=None)
@given(CARS, CARS)
def test_circuits_of_other_names_change_nothing(donor: tuple[Half, Half], shell: tuple[Half, Half]) -> None:
    """Every circuit of both cars gets a number for its name."""

    def renamed(car: Netlist) -> Netlist:
        names = {"30": "101", "31": "102", "30P": "103", "HB": "104", "IN": "105"} | {
            f"L{n}": f"20{n}" for n in range(5)
        }
        rows = tuple(replace(pin, circuit=names.get(pin.circuit or "", pin.circuit)) for pin in car.pins)
        return replace(car, pins=rows)

    cars = drawn(*donor), drawn(*shell)

    assert {one[:2] + one[3:] for one in told(*map(renamed, cars))} == {one[:2] + one[3:] for one in told(*cars)}


@settings(max_examples=5, deadline=None)
@given(CARS, CARS, st.integers(0, 10**6), st.booleans())
def test_less_knowledge_silences_no_danger(
    donor: tuple[Half, Half], shell: tuple[Half, Half], seed: int, is_donors: bool
) -> None:
    """One thing taken out of one file: what burned at a contact is still spoken of there, or of the whole plug."""
    cars = drawn(*donor), drawn(*shell)
    one = random.Random(seed).choice(list(_erasures(cars[not is_donors])))
    less = erased(cars[not is_donors], one)
    pair = (less, cars[1]) if is_donors else (cars[0], less)
    before, after = dangers(*cars), joined(*map(studied, pair))
    spoken = {(each.donor.cavity or each.shell.cavity) for each in after if _at_plug(each)}

    assert {cavity for _, _, cavity in before} <= spoken or "" in spoken, str(one)


def _erasures(car: Netlist) -> Iterator[Any]:
    """What can be taken out of a car so that its file still keeps the rules."""
    for one in erasures(car):
        faults = Faults()
        check(erased(car, one), faults)
        if not faults:
            yield one
