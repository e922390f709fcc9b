"""Small pairs of cars for the decision: a front loom with the feeds, looms behind in-line plugs, lamps on them.

The shell is the donor with what really differs between years: a plug re-pinned on
both halves, a wire that is not there, a contact on another feed, another keyway.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace

from builders.rows import POWER, bare, named
from builders.rows import half as half_row
from harnesscheck.align.pairs import Pairs
from harnesscheck.network.graph.sides import Study

FEEDS = ("P", "Q", "R", "A")
CAVITIES = ("1", "2", "3", "4", "5", "6")


@dataclass(frozen=True)
class Circuit:
    """A lamp behind an in-line plug: its feed, the cavity, and whether each half of the wire is there."""

    name: str
    feed: str
    cavity: str
    near: bool = True
    far: bool = True
    size: str = "1"


@dataclass(frozen=True)
class World:
    """One car: by loom its circuits, the keyways of the plugs, hours of the looms."""

    circuits: dict[str, tuple[Circuit, ...]]
    keyways: dict[str, str]
    hours: dict[str, tuple[int, int]]
    grounds: dict[str, str] = field(default_factory=dict)

    def rows(self) -> str:
        """The car in the XML form."""
        looms = "".join(
            f'<harness id="{name}" out-hours="{out}" in-hours="{in_}"/>' for name, (out, in_) in self.hours.items()
        )
        text = POWER.replace('<harness id="front"/> <harness id="rear"/>', looms)
        text = text.replace("<splice ", '<splice harness="front" ')
        for loom, circuits in self.circuits.items():
            plug = f"C-{loom}"
            near = {one.cavity: f'{one.name}>{one.feed} size="{one.size}" length="1"' for one in circuits if one.near}
            far = {one.cavity: f'{one.name}>L-{one.name}:1 size="{one.size}" length="2"' for one in circuits if one.far}
            keyway = f'half="sockets" keyway="{self.keyways[loom]}"'
            text += half_row(plug, near, "front", f"{plug}B", "1-6", keyway)
            text += half_row(f"{plug}B", far, loom, "", "1-6", keyway.replace("sockets", "pins"))
            for one in circuits:
                text += (
                    f'<component id="{one.name}" kind="lamp" watts="5"><connector id="L-{one.name}-S" cavities="2">'
                    '<pin cavity="1" terminal="+" role="supply"/><pin cavity="2" terminal="-" role="ground"/>'
                    "</connector></component>"
                )
                ground = {"2": '>G1 size="1" length="1"'}
                text += half_row(f"L-{one.name}", ground, loom, f"L-{one.name}-S", "2")
        return text


def donor_world(rng: random.Random, looms: int) -> World:
    """Looms called m0, m1 … with a few lamps each."""
    circuits: dict[str, tuple[Circuit, ...]] = {}
    for number in range(looms):
        cavities = rng.sample(CAVITIES, rng.randrange(1, 5))
        circuits[f"m{number}"] = tuple(
            Circuit(f"lamp{number}{n}", rng.choice(FEEDS), cavity) for n, cavity in enumerate(sorted(cavities))
        )
    hours = {name: (rng.randrange(1, 9), rng.randrange(1, 9)) for name in ("front", *circuits)}
    return World(circuits, dict.fromkeys(circuits, "A"), hours)


def shell_world(rng: random.Random, donor: World) -> World:
    """The donor with edits."""
    circuits, keyways = dict(donor.circuits), dict(donor.keyways)
    for loom, rows in donor.circuits.items():
        new = list(rows)
        edit = rng.choice(("", "", "re-pin", "re-pin", "no near", "no far", "feed", "keyway"))
        at = rng.randrange(len(new))
        if edit == "re-pin":
            seats = rng.sample(CAVITIES, len(new))
            new = [replace(one, cavity=seat) for one, seat in zip(new, seats, strict=True)]
        elif edit == "no near":
            new[at] = replace(new[at], near=False)
        elif edit == "no far":
            new[at] = replace(new[at], far=False)
        elif edit == "feed":
            new[at] = replace(new[at], feed=rng.choice(FEEDS))
        elif edit == "keyway":
            keyways[loom] = "B"
        circuits[loom] = tuple(new)
    return World(circuits, keyways, {name: (rng.randrange(1, 9), rng.randrange(1, 9)) for name in donor.hours})


def pair(seed: int, looms: int | None = None) -> tuple[Study, Study, Pairs]:
    """A donor, a shell, and who is who."""
    rng = random.Random(seed)
    ours = donor_world(rng, looms or rng.randrange(1, 4))
    donor, shell = bare(ours.rows()), bare(shell_world(rng, ours).rows())
    return donor, shell, named(donor, shell)
