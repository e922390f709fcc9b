"""Which plug is this: probabilities that add up, and answers on made-up cars and the demo."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders.demo import DEMO, vehicle_at
from cars import make_car, vehicle_of
from cars.questions import asked, hard_questions, wires_of

from harnesscheck.align.identify import PlugQuestion, identify


@pytest.mark.parametrize("seed", range(3))
def test_probabilities_add_up_and_fall(seed: int):
    vehicle = vehicle_of(make_car(seed, 80))

    for one in asked(seed, 5):
        answer = identify([vehicle], one.question)

        said = [candidate.probability for candidate in answer.candidates]
        assert sum(said) + answer.none == pytest.approx(1)
        assert said == pytest.approx(sorted(said, reverse=True))
        assert all(0 <= value <= 1 for value in said)


def test_a_plug_read_without_mistakes_is_named_with_its_mate():
    """Every half of a loom of eight wires and more, read as it is."""
    car = make_car(11)
    vehicle = vehicle_of(car)
    for plug, wires in wires_of(11).items():
        if len(wires) >= 8:
            row = car.plugs[plug]

            best = identify([vehicle], PlugQuestion(tuple(wires.values()), len(row.cavities), row.housing)).candidates[
                0
            ]

            assert plug in best.connectors
            mate = vehicle.mate_of[plug]
            assert len(best.connectors) == (1 if car.plugs[mate].part else 2)
            assert best.probability > 0.9


def test_a_plug_of_no_car_given_is_most_likely_none_of_these():
    """Sixteen wires of a colour that the car has nowhere."""
    vehicle = vehicle_of(make_car(12))

    answer = identify([vehicle], PlugQuestion((("turquoise", "gold"),) * 16, 20))

    assert answer.none > 0.99


def test_two_mistaken_colours_and_a_missing_wire_leave_the_plug_in_the_first_three():
    """The benchmark has the share over many cars."""
    vehicle = vehicle_of(make_car(13))
    asked_of = hard_questions(13, 40, 5)

    hits = [any(one.plug in c.connectors for c in identify([vehicle], one.question).candidates[:3]) for one in asked_of]

    assert sum(hits) >= 39


def test_order_tells_look_alikes_apart():
    """Two plugs with the same wires in other cavities: only the order decides."""
    car = make_car(14)
    plug, wires = next((p, w) for p, w in sorted(wires_of(14).items()) if len(w) == len(car.plugs[p].cavities) >= 4)
    cavities = car.plugs[plug].cavities
    in_order = tuple(wires[name] for name in cavities)
    vehicle = vehicle_of(car)

    right = identify([vehicle], PlugQuestion(in_order, len(cavities), in_order=True))
    reversed_ = identify([vehicle], PlugQuestion(in_order[::-1], len(cavities), in_order=True))

    assert plug in right.candidates[0].connectors
    assert right.candidates[0].probability > 0.99
    named = {id: one.probability for one in reversed_.candidates for id in one.connectors}
    assert named[plug] < 0.5


def test_what_to_look_at_next_differs_between_the_first_candidates():
    vehicle = vehicle_of(make_car(15))

    answer = identify([vehicle], PlugQuestion((("black",), ("red", "blue")), 2))

    assert answer.look_at is not None
    assert len(set(answer.look_at.seen)) > 1
    assert len(answer.look_at.seen) <= len(answer.candidates)


def test_two_cars_of_one_name_stay_apart():
    """The same car given twice: every plug is there twice, each with half the probability."""
    vehicle = vehicle_of(make_car(17, 60))
    plug, wires = max(wires_of(17, 60).items(), key=lambda item: len(item[1]))

    first, second = identify([vehicle, vehicle], PlugQuestion(tuple(wires.values()))).candidates[:2]

    assert plug in first.connectors and first.connectors == second.connectors
    assert (first.number, second.number) == (0, 1)
    assert first.probability == pytest.approx(second.probability)


def test_more_that_is_known_never_hurts_the_right_plug_much():
    """Adding the true place and housing raises the plug's probability, or leaves it."""
    car = make_car(16)
    vehicle = vehicle_of(car)
    plug, wires = next((p, w) for p, w in sorted(wires_of(16).items()) if len(w) == 2)
    question = PlugQuestion(tuple(wires.values()), 2)
    row = car.plugs[plug]

    def share(asked: PlugQuestion) -> float:
        return next(c.probability for c in identify([vehicle], asked).candidates if plug in c.connectors)

    assert share(replace(question, housing_colour=row.housing)) >= share(question)
    assert share(replace(question, housing_colour=row.housing, at=row.at)) >= share(question)


def test_a_plug_of_the_demo_is_named():
    vehicles = [vehicle_at(DEMO / name) for name in ("donor.xml", "shell.xml")]
    vehicle = vehicles[1]
    pins = [pin for pin in vehicle.netlist.pins if pin.connector == "C12" and pin.colour is not None]
    row = vehicle.connectors["C12"]

    answer = identify(vehicles, PlugQuestion(tuple(pin.colour.names for pin in pins), len(row.cavities or ())))

    assert "C12" in answer.candidates[0].connectors
    assert {one.vehicle for one in answer.candidates} == {each.name for each in vehicles}
