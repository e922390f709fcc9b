"""Whether the looms of one car may go in the place of another's: every car that this builds, judged.

All looms together on the other car's parts, and looms alone, as two cars that
nobody has decided about are joined. What is so judged is asked of the other car's
parts: a loom with more circuits than they need goes in, one with fewer does not.
"""

from __future__ import annotations

from dataclasses import dataclass

from harnesscheck.align.check import align_checked
from harnesscheck.assemble.assemble import assembly
from harnesscheck.assemble.choice import DONOR, ChoiceError
from harnesscheck.compare.built import compare_built
from harnesscheck.compare.finding.cautions import hazard_words
from harnesscheck.compare.finding.findings import Finding, in_order
from harnesscheck.compare.finding.kinds import Certainty
from harnesscheck.compare.joined import all_joined_choices
from harnesscheck.model.swapsheet import SwapSheet
from harnesscheck.network.graph.sides import Study

NOTHING_SAID = SwapSheet("")
MOST_UNKNOWN = 0.02  # of a car's contacts; with more of them nothing is told. Our choice, no source


@dataclass(frozen=True, slots=True)
class Exchange:
    """What is found with one car's looms in another, worst first.

    ``hazards`` names those of which looms and parts are then of two cars: that is so of every car with such a set, and
    no finding of theirs. ``unknown`` counts the contacts of which that could not be told;
    with ``doubtful`` they are too many, or it is written nowhere what a loom is: then nothing is told of the exchange.
    """

    findings: tuple[Finding, ...]
    hazards: tuple[str, ...]
    unknown: int
    doubtful: bool


def exchanged(giver: Study, taker: Study) -> Exchange:
    """What the giver's looms do in the taker's place: all of them on its parts, then those that are joined alone."""
    pairs = align_checked(taker, giver, None)
    joined = list(all_joined_choices(taker.vehicle, giver.vehicle, pairs))
    whole = [one for one in joined if one.by_parts and one.choice.parts == {"*": DONOR}]
    found: list[Finding] = []
    for one in (*whole, *(each for each in joined if not each.by_parts)):
        try:
            made = assembly(taker.vehicle, giver.vehicle, pairs, one.choice)
        except ChoiceError:
            continue  # what cannot leave its harness is not joined so
        found += compare_built(taker, giver, pairs, made, NOTHING_SAID).findings
    hazards = {hazard_words((mark,)) for each in found if each.evidence.mixed for mark in each.evidence.hands_off}
    told = in_order(each for each in found if each.evidence.mixed is None)
    unknown = sum(one.kind == "not-documented" or one.certainty is Certainty.NOT_KNOWN for one in told)
    cars = (giver.vehicle, taker.vehicle)
    doubtful = not all(car.harnesses for car in cars) or unknown > MOST_UNKNOWN * min(
        len(car.netlist.pins) for car in cars
    )
    return Exchange(tuple(told), tuple(sorted(hazards)), unknown, doubtful)
