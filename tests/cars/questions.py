"""Questions about loose plugs: read off a car by somebody who makes mistakes, sometimes off another car."""

from __future__ import annotations

import random
from dataclasses import dataclass

from cars.car import colour_of
from cars.generate import make_car
from harnesscheck.align.identify import PlugQuestion

MIX_UPS = {
    "black": ("brown", "grey"), "brown": ("black", "red"), "red": ("orange", "brown", "pink"),
    "orange": ("red", "yellow"), "yellow": ("white", "orange"), "green": ("blue", "turquoise"),
    "blue": ("violet", "green"), "violet": ("blue", "pink"), "grey": ("white", "black"),
    "white": ("yellow", "grey", "natural"), "pink": ("red", "violet"),
}  # fmt: skip
HOUSINGS = ("natural", "black", "grey", "brown", "blue", "green")


@dataclass(frozen=True, slots=True)
class Asked:
    """A question, and the plug it was read off; None where it is of another car."""

    question: PlugQuestion
    plug: str | None


def mistaken(names: tuple[str, ...], rng: random.Random) -> tuple[str, ...]:
    """Another colour for the base: seven times in ten one that looks alike."""
    near = MIX_UPS[names[0]] if rng.random() < 0.7 else tuple(MIX_UPS)
    base = rng.choice([name for name in near if name != names[0]])
    return (base, *names[1:])


def wires_of(seed: int, halves: int = 350) -> dict[str, dict[str, tuple[str, ...]]]:
    """The colours in each half of a loom of the car of that seed, by cavity."""
    car = make_car(seed, halves)
    found: dict[str, dict[str, tuple[str, ...]]] = {}
    for wire in car.wires:
        for end in (wire.a, wire.b):
            plug, colon, cavity = end.partition(":")
            if colon and wire.colour:
                found.setdefault(plug, {})[cavity] = colour_of(wire.colour).names or ()
    return found


def asked(seed: int, count: int) -> list[Asked]:
    """Questions about the car of that seed; one in ten about a plug of another car."""
    rng = random.Random(seed)
    cars = [(make_car(one), wires_of(one)) for one in (seed, seed + 1_000_003)]
    questions = []
    for _ in range(count):
        absent = rng.random() < 0.1
        car, wires = cars[absent]
        plug = rng.choice(sorted(wires))
        row = car.plugs[plug]
        seen = list(wires[plug].values())
        rate = rng.choice((0.0, 0.05, 0.15))
        seen = [mistaken(names, rng) if rng.random() < rate else names for names in seen]
        seen = [names[:1] if len(names) > 1 and rng.random() < 0.06 else names for names in seen]
        seen = [names for names in seen if rng.random() >= 0.12] or seen[:1]
        rng.shuffle(seen)
        housing = row.housing if rng.random() < 0.95 else rng.choice(HOUSINGS)
        questions.append(
            Asked(
                PlugQuestion(
                    wires=tuple(seen),
                    cavities=len(row.cavities) if rng.random() < 0.97 else len(row.cavities) + 1,
                    housing_colour=housing if rng.random() < 0.5 else None,
                    at=row.at if rng.random() < 0.2 else None,
                ),
                None if absent else plug,
            )
        )
    return questions


def hard_questions(seed: int, count: int, least: int = 5) -> list[Asked]:
    """Plugs of at least some wires, two colours mistaken, one wire torn off, housing colour and size known."""
    rng = random.Random(seed)
    car, wires = make_car(seed), wires_of(seed)
    plugs = [plug for plug, held in sorted(wires.items()) if len(held) >= least]
    questions = []
    for _ in range(count):
        plug = rng.choice(plugs)
        seen = list(wires[plug].values())
        rng.shuffle(seen)
        seen = [mistaken(names, rng) for names in seen[:2]] + seen[3:]
        row = car.plugs[plug]
        questions.append(Asked(PlugQuestion(tuple(seen), len(row.cavities), row.housing), plug))
    return questions
