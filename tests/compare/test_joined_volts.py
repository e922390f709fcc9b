"""Every electrical rule in the car that joins both: what is told, and its volts as a simulator has them.

The front loom has the battery and the fuses, the rear one the loads; one plug, C1, joins them. In each pair of cars the
looms fit each other within a car and not across. ngspice (a program of its own) solves every state of the joined cars
from the parts as they were found, and each node agrees within a microvolt: what is told rests on real volts.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product
from pathlib import Path

import pytest
from builders.rows import FRONT, TWO, bare, findings, inline, named, socket
from builders.spice import deck, operating_points, program

from harnesscheck.assemble.assemble import assembly
from harnesscheck.assemble.choice import Choice
from harnesscheck.compare.built import judged_car
from harnesscheck.compare.finding.findings import Finding
from harnesscheck.compare.finding.kinds import Severity
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import Study

KEY = '<inside when="run start" from="30" to="15"/>'
POWERED = (
    FRONT
    + '<splice id="R" harness="front"/>'
    + socket("key", "switch", {"1": "30", "2": "15"}, {"1": "30P>P", "2": "15>R"}, 'key="yes"', KEY)
)
PRESSED = '<inside when="pressed" from="1" to="2"/>'
PULLED = '<inside when="on" from="1" to="2"/>'
DIODE = {"1": "A", "2": "K"}

Cars = tuple[Study, Study]


def car(front: Mapping[str, str], rear: Mapping[str, str], *parts: str, power: str = POWERED) -> Study:
    """The power, the plug C1 with its two halves, the parts."""
    return bare(power, inline(front, rear), *parts)


def load(id_: str, plus: str, minus: str, kind: str = "lamp", more: str = 'watts="21"') -> str:
    """A load on a plug of the rear loom."""
    return socket(id_, kind, TWO, {"1": plus, "2": minus}, more, harness="rear")


def lit(feed: str, ground: str, *, back: str = "SG", power: str = POWERED, kind: str = "lamp", more: str = "") -> Study:
    """One load behind C1: in which cavity its feed comes and its ground goes."""
    rear = {feed: "30P>SF", ground: f"31>{back}"}
    one = load("one", "30P>SF", f"31>{back}", kind, more or 'watts="21"')
    return car({feed: "30P>P", ground: "31>G1"}, rear, one, power=power)


def of_24_volts() -> Study:
    """A car of 24 V."""
    power = POWERED.replace('id="battery" kind="battery"', 'id="battery" kind="battery" volts="24"')
    return lit("1", "2", power=power, more='watts="21" volts="24"')


def relay(feed: str, hand: str) -> Study:
    """A relay and a diode across its coil, its button in the front loom."""
    coil = socket("coil", "relay", {"1": "86", "2": "85"}, {"1": "30H>SF", "2": "HB>SH"}, 'ohms="85"', harness="rear")
    diode = socket("diode", "diode", DIODE, {"1": "HB>SH", "2": "30H>SF"}, harness="rear")
    button = socket("button", "switch", {"1": "1", "2": "2"}, {"1": f"HB>C1:{hand}", "2": "31>G1"}, inside=PRESSED)
    return car({feed: "30H>P"}, {feed: "30H>SF", hand: "HB>SH"}, coil, diode, button)


def excited(cavity: str, other: str) -> Study:
    """An alternator whose D+ is on the key; in the other cavity the permanent feed of a lamp."""
    terminals, wires = {"1": "B+", "2": "D+", "3": "B-"}, {"2": "15>SD", "3": "31>SG"}
    part = socket("alternator", "alternator", terminals, wires, harness="rear")
    rear = {cavity: "15>SD", other: "30P>SF", "3": "31>SG"}
    return car({cavity: "15>R", other: "30P>P", "3": "31>G1"}, rear, part, load("one", "30P>SF", "31>SG"))


def grounded(cavity: str) -> Study:
    """Two lamps, one permanent and one on the key, that share one ground through C1."""
    rear = {"1": "30P>SF", "2": "15>SR", cavity: "31>SG"}
    front = {"1": "30P>P", "2": "15>R", cavity: "31>G1"}
    return car(front, rear, load("one", "30P>SF", "31>SG"), load("two", "15>SR", "31>SG", more='watts="5"'))


def braked(lamp: str, horn: str) -> Study:
    """A lamp behind a switch and a horn on the permanent feed; which cavity carries which."""
    pedal = socket("pedal", "switch", {"1": "1", "2": "2"}, {"1": "30P>P", "2": f"54>C1:{lamp}"}, inside=PULLED)
    rear = {lamp: "54>SL", horn: "30P>SH", "3": "31>SG"}
    loads = (load("stop", "54>SL", "31>SG"), load("fridge", "30P>SH", "31>SG", "motor", 'amps="4"'))
    return car({horn: "30P>P", "3": "31>G1"}, rear, pedal, *loads)


def polar(plus: str, minus: str) -> Study:
    """A pump that minds which way round it is fed."""
    return lit(plus, minus, kind="motor", more='amps="6" polar="yes"')


RULES: dict[str, tuple[Cars, Severity, str]] = {
    "a feed meets the body": ((lit("1", "2", back="G1"), lit("2", "1", back="G1")), Severity.INJURY, "feed-to-ground"),
    "a lamp of 12 V on 24 V": ((of_24_volts(), lit("1", "2")), Severity.DAMAGE, "wrong-feed"),
    "a pump turned round": ((polar("1", "2"), polar("2", "1")), Severity.DEAD, "reversed"),
    "a diode turned round": ((relay("1", "2"), relay("2", "1")), Severity.DAMAGE, "reversed"),
    "a field on a permanent feed": ((excited("1", "2"), excited("2", "1")), Severity.DEAD, "always-on"),
    "a ground that two share": ((grounded("3"), grounded("4")), Severity.DEAD, "ground-lost"),
    "a lamp past its switch": ((braked("1", "2"), braked("2", "1")), Severity.DEAD, "always-on"),
}


def mixed(cars: Cars) -> Iterator[tuple[Vehicle, tuple[Finding, ...]]]:
    """Every car that joins the two looms, with the lamp of either car; each with what is told of it."""
    donor, shell = cars
    for (front, rear), lamp in product((("donor", "shell"), ("shell", "donor")), ("donor", "shell")):
        parts = {"one": lamp} if "one" in donor.vehicle.components else {}
        choice = Choice({"front": front, "rear": rear}, parts)
        made = assembly(donor.vehicle, shell.vehicle, named(donor, shell), choice)
        yield made.vehicle, judged_car(donor, shell, made).findings


@pytest.mark.parametrize("rule", RULES)
def test_each_rule_is_told_of_the_joined_car(rule: str) -> None:
    """By its kind, and as badly as it is; the cars as built tell nothing of the sort."""
    cars, least, kind = RULES[rule]
    bad = {one.kind for _, found in mixed(cars) for one in found if one.severity <= least}

    assert kind in bad
    for own in cars:
        assert not [one for one in findings(own, own) if one.severity < Severity.NOTE]


@pytest.mark.parametrize("rule", RULES)
def test_its_volts_are_the_simulator_s(rule: str, tmp_path: Path) -> None:
    """Every node that the simulator solves, in every state of every joined car, within a microvolt."""
    program()
    decks, ours = [], {}
    for which, (vehicle, _) in enumerate(mixed(RULES[rule][0])):
        behaviour = Behaviour(Study(vehicle))
        for number, state in enumerate(behaviour.states()):
            prefix = f"c{which}s{number}"
            decks.append(deck(state.solution, prefix))
            ours |= {f"{prefix}n{node}": float(volts) for node, volts in enumerate(state.solution.volts)}

    theirs = {name: volts for name, volts in operating_points(tmp_path, decks).items() if name in ours}

    assert len(theirs) >= 4 * len(decks)
    assert {name: ours[name] for name in theirs} == pytest.approx(theirs, abs=1e-6)
